"""An own food as entered from a label: checks, composition per 100 g, and what on the label does not add up.

A US label gives total carbohydrate with fibre inside; an EU or UK label gives available carbohydrate, fibre outside,
polyols inside (Regulation (EU) 1169/2011 Annex I, point 7). On either, the carbohydrate may stand under CHOCDF or
CHOAVLDF where `carbohydrate_basis` is "available"; on a US label it is CHOCDF. Amounts are in each component's own
unit (g; mg of sodium and cholesterol; kcal and kJ).

    CHOCDF = CHOAVLDF + FIBTG            only where fibre is known
    FIBTG  = FIBSOL + FIBINS             where only both parts are given
    POLYL  = sum of the polyols by name  where only these are given
    NACL g = 2.5 x NA mg / 1000          Annex I, point 11
    1 kcal = 4.184 kJ                    where only one is given

What cannot be is refused with a pointer; what is unlikely is a `Finding`. Unknown stays unknown, never zero.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Literal, get_args

import numpy as np

from service.core.errors import InputError
from service.core.figures import PART_OF
from service.core.food import CarbohydrateBasis, Component, HouseholdMeasure
from service.core.nutrients import ALLULOSE, ERYTHRITOL, POLYOLS, US_SWEETENER_FACTORS, Array, eu_energy
from service.core.polyols import POLYOL_NAMES

Basis = Literal["100 g", "100 ml", "serving"]
TOTAL, AVAILABLE = "CHOCDF", "CHOAVLDF"
KJ_PER_KCAL = 4.184
SALT_PER_SODIUM = Decimal("2.5")

# What a label states as part of what; the carbohydrate is that of the label's own basis.
LABEL_PART_OF = {
    **PART_OF, **dict.fromkeys(POLYOL_NAMES, POLYOLS), AVAILABLE: TOTAL, ALLULOSE: TOTAL,
}  # fmt: skip

MOST_GRAMS = 100_000
MOST_MEASURES = 100
MOST_TEXT = 500
# Grams of 100 ml: from whipped to syrup and beyond; nothing eaten lies outside.
LEAST_DENSITY, MOST_DENSITY = 5.0, 250.0
# kcal per gram: pure fat has 9.02 by the specific factors; nothing eaten has more than this.
MOST_ENERGY = 9.5
GRAMS_OF_UNIT = {"g": 1.0, "mg": 1e-3, "µg": 1e-6}
# Energy further from its factors than this share, beyond what rounding explains, is pointed out: twice what food-
# specific factors move it in common foods.
FAR = 0.1
# Sound analyses miss the weight of the food by as much as this share: of SR28's foods, one in fourteen by more.
SLACK = 0.01


@dataclass(frozen=True, slots=True)
class OwnFood:
    """A food as its label states it.

    serving_grams      what one serving weighs; wanted where amounts are per serving
    serving_ml         the volume of one serving, if it is stated
    grams_per_100_ml   what 100 ml weigh, for amounts per 100 ml; else from the serving, else 100 is assumed
    carbohydrate_basis "total": US, fibre inside; "available": EU and UK, fibre outside
    components         tagname -> amount in the basis; what is not stated is not there
    measures           (amount, measure, grams): further household measures
    """

    description: str
    basis: Basis = "100 g"
    serving_grams: float | None = None
    serving_ml: float | None = None
    grams_per_100_ml: float | None = None
    carbohydrate_basis: CarbohydrateBasis = "total"
    components: Mapping[str, float] = field(default_factory=dict)
    measures: tuple[tuple[float, str, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Finding:
    """Something on a label that does not add up; `pointer` is the field to look at (RFC 6901)."""

    pointer: str
    text: str


# ---- checks ----------------------------------------------------------------------------------------------------


def checked(own: OwnFood, components: Sequence[Component]) -> OwnFood:
    """The food as it is; InputError with a pointer where a field cannot be. `components` are all that may be given."""
    if not own.description.strip() or len(own.description) > MOST_TEXT:
        raise InputError(f"a food needs a description of at most {MOST_TEXT} characters", pointer="/description")
    if own.basis not in get_args(Basis):
        raise InputError(f"amounts are per {', '.join(get_args(Basis))}, not {own.basis!r}", pointer="/basis")
    if own.carbohydrate_basis not in get_args(CarbohydrateBasis):
        message = f"carbohydrate is total or available, not {own.carbohydrate_basis!r}"
        raise InputError(message, pointer="/carbohydrate_basis")
    _check_weights(own)
    _check_components(own, {component.tagname: component.unit for component in components})
    _check_measures(own.measures)
    return own


def _check_weights(own: OwnFood) -> None:
    _positive(own.serving_grams, "serving_grams")
    _positive(own.serving_ml, "serving_ml")
    _positive(own.grams_per_100_ml, "grams_per_100_ml")
    if own.basis == "serving" and own.serving_grams is None:
        raise InputError("amounts per serving need the grams of a serving", pointer="/serving_grams")
    stated = own.grams_per_100_ml
    grams, pointer = (stated, "/grams_per_100_ml") if stated is not None else (_served_density(own), "/serving_ml")
    if grams is not None and not LEAST_DENSITY <= grams <= MOST_DENSITY:
        message = f"100 ml of a food weigh {LEAST_DENSITY:g} to {MOST_DENSITY:g} g, not {grams:g}"
        raise InputError(message, pointer=pointer)


def _positive(number: float | None, name: str) -> None:
    if number is not None and not (math.isfinite(number) and 0 < number <= MOST_GRAMS):
        raise InputError(f"{name} must be above 0 and at most {MOST_GRAMS:,}, not {number:g}", pointer=f"/{name}")


def _check_components(own: OwnFood, units: Mapping[str, str]) -> None:
    weight = basis_grams(own)
    for tagname, amount in own.components.items():
        pointer = f"/components/{tagname}"
        if tagname not in units:
            raise InputError(f"no component has the tagname {tagname!r}", pointer=pointer)
        if not (math.isfinite(amount) and amount >= 0):
            raise InputError(f"{tagname} must be a number of 0 or more, not {amount:g}", pointer=pointer)
        most = _most(units[tagname], weight)
        if amount > most:
            message = f"{weight:g} g of a food cannot hold {amount:g} {units[tagname]} of {tagname}"
            heavier = own.basis == "100 ml" and _grams_per_100_ml(own) is None
            hint = "; if 100 ml weigh more, state it in grams_per_100_ml" if heavier else ""
            raise InputError(message + hint, pointer=pointer)
    if own.carbohydrate_basis == "total" and AVAILABLE in own.components and TOTAL not in own.components:
        message = f"on the basis of total carbohydrate the label's carbohydrate is {TOTAL}, not {AVAILABLE}"
        raise InputError(message, pointer=f"/components/{AVAILABLE}")


def _most(unit: str, weight: float) -> float:
    """The most of a component that so many grams hold; small servings are rounded to whole grams and kilocalories."""
    if unit in ("kcal", "kJ"):
        kcal = MOST_ENERGY * weight + 5
        return kcal if unit == "kcal" else kcal * KJ_PER_KCAL
    return (weight + 0.5) / GRAMS_OF_UNIT[unit] if unit in GRAMS_OF_UNIT else math.inf


def _check_measures(measures: Sequence[tuple[float, str, float]]) -> None:
    if len(measures) > MOST_MEASURES:
        raise InputError(f"a food may have {MOST_MEASURES} measures, not {len(measures)}", pointer="/measures")
    for place, (amount, measure, grams) in enumerate(measures):
        for name, number in (("amount", amount), ("grams", grams)):
            if not (math.isfinite(number) and 0 < number <= MOST_GRAMS):
                message = f"{name} must be above 0 and at most {MOST_GRAMS:,}, not {number:g}"
                raise InputError(message, pointer=f"/measures/{place}/{name}")
        if not measure.strip() or len(measure) > MOST_TEXT:
            raise InputError("a measure needs a name", pointer=f"/measures/{place}/measure")


# ---- composition -----------------------------------------------------------------------------------------------


def basis_grams(own: OwnFood) -> float:
    """The grams that the label's amounts are of."""
    if own.basis == "serving" and own.serving_grams is not None:
        return own.serving_grams
    return _grams_per_100_ml(own) or 100.0 if own.basis == "100 ml" else 100.0


def _grams_per_100_ml(own: OwnFood) -> float | None:
    return own.grams_per_100_ml if own.grams_per_100_ml is not None else _served_density(own)


def _served_density(own: OwnFood) -> float | None:
    return own.serving_grams / own.serving_ml * 100 if own.serving_grams and own.serving_ml else None


def composition(own: OwnFood, columns: Mapping[str, int]) -> Array:
    """Amounts per 100 g over `columns` (tagname -> place), NaN where the label does not say.

    The carbohydrate stands in the columns CHOCDF and CHOAVLDF, as far as both are known; which of the two the label
    states is `own.carbohydrate_basis`.
    """
    row = np.full(max(columns.values(), default=-1) + 1, np.nan)
    share = 100 / basis_grams(own)
    for tagname, amount in completed(own).items():
        if tagname in columns:
            row[columns[tagname]] = amount if share == 1 else amount * share
    return row


def completed(own: OwnFood) -> dict[str, float]:
    """The label's amounts with those that follow from them, in the label's own basis; exact in decimals."""
    stated = {tagname: Decimal(repr(float(amount))) for tagname, amount in own.components.items()}
    if own.carbohydrate_basis == "available" and AVAILABLE not in stated and TOTAL in stated:
        stated[AVAILABLE] = stated.pop(TOTAL)
    known = dict(stated)
    _complete(known, "FIBTG", [stated.get("FIBSOL"), stated.get("FIBINS")])
    if POLYOLS not in known and (named := [stated[name] for name in POLYOL_NAMES if name in stated]):
        known[POLYOLS] = sum(named, Decimal(0))
    _complete(known, TOTAL, [known.get(AVAILABLE), known.get("FIBTG")])
    if TOTAL in known and "FIBTG" in known:
        known.setdefault(AVAILABLE, max(Decimal(0), known[TOTAL] - known["FIBTG"]))
    _complete(known, "NACL", [_times(stated.get("NA"), SALT_PER_SODIUM / 1000)])
    _complete(known, "NA", [_times(stated.get("NACL"), 1000 / SALT_PER_SODIUM)])
    kj = Decimal(repr(KJ_PER_KCAL))
    _complete(known, "ENERC_KJ", [_times(stated.get("ENERC_KCAL"), kj)])
    _complete(known, "ENERC_KCAL", [_times(stated.get("ENERC_KJ"), 1 / kj)])
    return {tagname: float(amount) for tagname, amount in known.items()}


def _complete(known: dict[str, Decimal], tagname: str, parts: Sequence[Decimal | None]) -> None:
    """Set an amount that is not stated to the sum of its parts, where all of them are known."""
    given = [part for part in parts if part is not None]
    if tagname not in known and len(given) == len(parts):
        known[tagname] = sum(given, Decimal(0))


def _times(amount: Decimal | None, factor: Decimal) -> Decimal | None:
    return None if amount is None else amount * factor


def household_measures(own: OwnFood) -> tuple[HouseholdMeasure, ...]:
    """The food's own measures, then its serving, and 100 ml where what they weigh is known or assumed."""
    found = list(own.measures)
    if own.serving_grams is not None:
        found.append((1.0, "serving", own.serving_grams))
    grams = _grams_per_100_ml(own) or (100.0 if own.basis == "100 ml" else None)
    if grams is not None:
        found.append((100.0, "ml", grams))
    return tuple(HouseholdMeasure(amount, text, weight, place) for place, (amount, text, weight) in enumerate(found, 1))


# ---- what does not add up --------------------------------------------------------------------------------------


def findings(own: OwnFood) -> tuple[Finding, ...]:
    """What on a label does not add up, beyond what rounding of its figures explains; () for a consistent one."""
    amounts = completed(own)
    found = [*_assumed(own), *_parts(own, amounts), *_sums(own, amounts), *_proximates(own, amounts)]
    return (*found, *_salt(own), *_energies(own), *_energy(own, amounts))


def _half_step(amount: float) -> float:
    """Half the step to which a figure seems rounded: 12 is 11.5 to 12.5, 2.5 is 2.25 to 2.75, 12.6 is within 0.05."""
    digits = -int(Decimal(repr(float(amount))).normalize().as_tuple().exponent)
    if digits <= 0:
        return 0.5
    return 0.25 if (amount * 2).is_integer() else 0.5 * 10.0**-digits


def _rounding(own: OwnFood, tagnames: Collection[str]) -> float:
    """How far the rounding of stated figures may move their sum; grams are no surer than to a tenth."""
    return sum(max(0.05, _half_step(own.components[tagname])) for tagname in tagnames if tagname in own.components)


def _pointer(tagname: str) -> str:
    return f"/components/{tagname}"


def _assumed(own: OwnFood) -> Iterator[Finding]:
    if own.basis == "100 ml" and _grams_per_100_ml(own) is None:
        text = "nothing says what 100 ml weigh; 100 g was assumed (milk 103, oil 92, syrup 130)"
        yield Finding("/grams_per_100_ml", text)
    if own.carbohydrate_basis == "available" and TOTAL in own.components and AVAILABLE not in own.components:
        yield Finding(_pointer(TOTAL), "read as available carbohydrate, fibre outside, as the label's basis says")


def _carbohydrate(own: OwnFood) -> str:
    """The tagname under which the label states its carbohydrate."""
    if own.carbohydrate_basis == "available" and AVAILABLE in own.components:
        return AVAILABLE
    return TOTAL


def _parts(own: OwnFood, amounts: Mapping[str, float]) -> Iterator[Finding]:
    """Parts above their wholes."""
    carbohydrate = "CHOCDF" if own.carbohydrate_basis == "total" else AVAILABLE
    for part, whole in LABEL_PART_OF.items():
        if part == AVAILABLE or (part == "FIBTG" and own.carbohydrate_basis == "available"):
            continue
        holder = carbohydrate if whole == TOTAL else whole
        if part not in own.components or holder not in amounts:
            continue
        stated = (part, _carbohydrate(own) if whole == TOTAL else holder)
        if own.components[part] > amounts[holder] + _rounding(own, stated):
            advice = ": is it a label of available carbohydrate (EU, UK)?" if part == "FIBTG" else ""
            text = f"{own.components[part]:g} of {part} are more than the {amounts[holder]:g} of {holder}{advice}"
            yield Finding(_pointer(part), text)


def _sums(own: OwnFood, amounts: Mapping[str, float]) -> Iterator[Finding]:
    """Parts that together miss or pass their whole."""
    stated = own.components
    if {"FIBTG", "FIBSOL", "FIBINS"} <= stated.keys():
        parts = stated["FIBSOL"] + stated["FIBINS"]
        if abs(parts - stated["FIBTG"]) > _rounding(own, ("FIBTG", "FIBSOL", "FIBINS")):
            yield Finding(_pointer("FIBTG"), f"soluble and insoluble fibre are {parts:g} g, not {stated['FIBTG']:g} g")
    named = [name for name in POLYOL_NAMES if name in stated]
    if POLYOLS in stated and len(named) > 1:
        together = math.fsum(stated[name] for name in named)
        if together > stated[POLYOLS] + _rounding(own, (*named, POLYOLS)):
            yield Finding(_pointer(POLYOLS), f"the polyols by name are {together:g} g, more than {stated[POLYOLS]:g} g")
    if {TOTAL, AVAILABLE, "FIBTG"} <= stated.keys():
        both = stated[AVAILABLE] + stated["FIBTG"]
        if abs(both - stated[TOTAL]) > _rounding(own, (TOTAL, AVAILABLE, "FIBTG")):
            text = f"available carbohydrate and fibre are {both:g} g, not the total of {stated[TOTAL]:g} g"
            yield Finding(_pointer(TOTAL), text)
    yield from _within_carbohydrate(own, amounts)


def _within_carbohydrate(own: OwnFood, amounts: Mapping[str, float]) -> Iterator[Finding]:
    total = own.carbohydrate_basis == "total"
    parts = [name for name in ("SUGAR", "STARCH", POLYOLS, *(("FIBTG",) if total else ())) if name in amounts]
    whole = amounts.get(TOTAL if total else AVAILABLE)
    together = math.fsum(amounts[name] for name in parts)
    single = max((amounts[name] for name in parts), default=0.0)
    allowed = _rounding(own, (*parts, *POLYOL_NAMES, _carbohydrate(own)))
    if whole is not None and together > whole + allowed >= single:
        text = f"{', '.join(parts)} are {together:g} g together, more than the {whole:g} g of carbohydrate"
        yield Finding(_pointer(_carbohydrate(own)), text)


def _proximates(own: OwnFood, amounts: Mapping[str, float]) -> Iterator[Finding]:
    """Components that share no gram may not weigh more than the food."""
    carbohydrate = TOTAL if TOTAL in amounts else AVAILABLE
    minerals = "ASH" if "ASH" in amounts else "NACL"
    names = [name for name in ("WATER", "PROCNT", "FAT", carbohydrate, minerals, "ALC") if name in amounts]
    weight, together = basis_grams(own), math.fsum(amounts[name] for name in names)
    summed = {"FIBTG"} if own.carbohydrate_basis == "available" else set()
    allowed = _rounding(own, {*names, _carbohydrate(own)} | summed)
    if own.basis == "serving":
        allowed += _half_step(weight)
    if together > weight * (1 + SLACK) + allowed:
        yield Finding("/components", f"{', '.join(names)} weigh {together:.4g} g in {weight:.4g} g of the food")


def _salt(own: OwnFood) -> Iterator[Finding]:
    if {"NA", "NACL"} <= own.components.keys():
        sodium, salt = own.components["NA"], own.components["NACL"]
        expected = sodium * float(SALT_PER_SODIUM) / 1000
        allowed = _half_step(salt) + _half_step(sodium) * float(SALT_PER_SODIUM) / 1000
        if abs(salt - expected) > max(allowed, 0.05 * expected):
            text = f"{sodium:g} mg of sodium are {expected:.3g} g of salt (x 2.5), not {salt:g} g"
            yield Finding(_pointer("NACL"), text)


def _energies(own: OwnFood) -> Iterator[Finding]:
    """kJ against kcal; by the EU's own factors they may differ by a few percent from 4.184."""
    if {"ENERC_KCAL", "ENERC_KJ"} <= own.components.keys():
        kcal, kj = own.components["ENERC_KCAL"], own.components["ENERC_KJ"]
        if abs(kj - kcal * KJ_PER_KCAL) > 0.05 * kj + _energy_step(kcal) * KJ_PER_KCAL + 1:
            yield Finding(_pointer("ENERC_KJ"), f"{kcal:g} kcal are {kcal * KJ_PER_KCAL:.0f} kJ, not {kj:g} kJ")


# ---- energy by the factors of the label's basis -----------------------------------------------------------------


def _energy_step(kcal: float) -> float:
    """Half the step of energy on labels: tens above 50 kcal, fives below, else whole ones (21 CFR 101.9(c)(1))."""
    return 5.0 if kcal % 10 == 0 else 2.5 if kcal % 5 == 0 else 0.5


def _energy(own: OwnFood, amounts: Mapping[str, float]) -> Iterator[Finding]:
    """Energy far from every allowed way of working it out; the nearest is named, and the basis that would fit."""
    kcal = amounts.get("ENERC_KCAL")
    ways = energy_ways(own)
    if kcal is None or not ways:
        return
    name, nearest = min(ways.items(), key=lambda way: abs(way[1] - kcal))
    if not _far(kcal, nearest, own):
        return
    stated = "ENERC_KCAL" if "ENERC_KCAL" in own.components else "ENERC_KJ"
    text = f"{kcal:.4g} kcal are stated; the nearest way of working it out, {name}, gives {nearest:.4g} kcal"
    other: CarbohydrateBasis = "available" if own.carbohydrate_basis == "total" else "total"
    if any(not _far(kcal, value, own) for value in energy_ways(own, basis=other).values()):
        text += f"; it would fit {other} carbohydrate: is the carbohydrate basis right?"
    elif "FIBTG" not in amounts and kcal > nearest and own.carbohydrate_basis == "available":
        text += "; fibre, which is not stated, would add to it"
    elif own.carbohydrate_basis == "total":
        text += "; food-specific factors, which the law allows too, may explain it"
    yield Finding(_pointer(stated), text)


def _far(kcal: float, worked: float, own: OwnFood) -> bool:
    factors = {"PROCNT": 4, "FAT": 9, TOTAL: 4, AVAILABLE: 4, "FIBTG": 2, "ALC": 7}
    rounding = sum(_half_step(own.components[name]) * by for name, by in factors.items() if name in own.components)
    return abs(kcal - worked) > FAR * max(kcal, worked) + rounding + _energy_step(round(kcal, 6))


def energy_ways(own: OwnFood, *, basis: CarbohydrateBasis | None = None) -> dict[str, float]:
    """kcal of a label's amounts by each way that its law allows, by name; {} where protein, fat or carbohydrate lack.

    "available": Regulation (EU) 1169/2011 Annex XIV. "total": 21 CFR 101.9(c)(1)(i)(B), (C) and (F), and 0.4 kcal per
    gram of allulose (85 FR 66217); food-specific factors (A) cannot be known from a label.
    """
    amounts = completed(own)
    carbohydrate = own.components.get(_carbohydrate(own))
    if carbohydrate is None or not {"PROCNT", "FAT"} <= amounts.keys():
        return {}
    if (basis or own.carbohydrate_basis) == "available":
        return {"the factors of Regulation (EU) 1169/2011": _eu_way(amounts, carbohydrate)}
    return _us_ways(amounts, carbohydrate)


def _eu_way(amounts: Mapping[str, float], carbohydrate: float) -> float:
    named = {
        "protein": "PROCNT", "fat": "FAT", "polyols": POLYOLS, "erythritol": ERYTHRITOL, "fibre": "FIBTG",
        "alcohol": "ALC",
    }  # fmt: skip
    grams = {name: amounts.get(tagname, 0.0) for name, tagname in named.items()}
    return eu_energy({**grams, "carbohydrate": carbohydrate})[0]


def _us_ways(amounts: Mapping[str, float], carbohydrate: float) -> dict[str, float]:
    plain = 4 * amounts["PROCNT"] + 9 * amounts["FAT"] + 4 * carbohydrate + 7 * amounts.get("ALC", 0.0)
    ways = {"4-4-9": plain, **{f"4-4-9, {name}": plain - less for name, less in _less_fibre(amounts)}}
    less = _less_sweeteners(amounts)
    if less:
        ways |= {f"{name}, sweeteners by their own factors": kcal - less for name, kcal in ways.items()}
    return ways


def _less_fibre(amounts: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """kcal that fibre does not give: none of what is insoluble counts, what is soluble at 2 kcal/g."""
    fibre, soluble = amounts.get("FIBTG"), amounts.get("FIBSOL")
    if fibre and soluble is not None:
        yield "soluble fibre at 2 kcal and no other fibre", 4 * fibre - 2 * min(soluble, fibre)
    elif fibre:
        yield "no fibre counted", 4 * fibre
        yield "fibre at 2 kcal", 2 * fibre


def _less_sweeteners(amounts: Mapping[str, float]) -> float:
    """kcal that polyols and allulose give less than at 4 kcal/g; polyols without a name count as the EU's 2.4."""
    named = {name: amounts[tagname] for tagname, name in POLYOL_NAMES.items() if tagname in amounts}
    unnamed = max(0.0, amounts.get(POLYOLS, 0.0) - sum(named.values()))
    less = sum(grams * (4 - US_SWEETENER_FACTORS[name]) for name, grams in named.items())
    return less + unnamed * (4 - 2.4) + amounts.get(ALLULOSE, 0.0) * (4 - US_SWEETENER_FACTORS["allulose"])
