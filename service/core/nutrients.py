"""Nutrient arithmetic: components of a part, totals of a list, net carbohydrate, energy shares, coverage.

Unknown is never zero. A total that lacks something has no `value`: `known` is the sum of what is known, `low` a sure
lower bound, `high` None, and `unknown_in` names the lines at fault. Amounts are in the component's own unit, grams
are of edible portion. Energy is the publisher's; the general factors serve shares only.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache
from itertools import compress
from typing import Generic, Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

from service.core.errors import InputError, NotFoundError
from service.core.food import CarbohydrateBasis, Component, ComponentValue, FoodTable, Release

DEFAULT_COMPONENTS = ("ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG")
# Available carbohydrate (INFOODS): by difference, polyols inside, or the sum of sugars and starch, polyols outside.
AVAILABLE, AVAILABLE_SUM = "CHOAVLDF", "CHOAVL"
POLYOLS, ERYTHRITOL, ALLULOSE = "POLYL", "ERYTHL", "ALLULOSE"
# What net carbohydrate is worked out from.
NET_TERMS = ("CHOCDF", "FIBTG", AVAILABLE, AVAILABLE_SUM, POLYOLS, ERYTHRITOL, ALLULOSE)
# Grams by which the parts of a food may miss 100 g, or its total carbohydrate: 95 to 105 g is acceptable by the
# FAO/INFOODS Guidelines for Checking Food Composition Data prior to Publication (2012), from memory.
MOST_OFF = 5.0
# Amounts whose net carbohydrate is kept: recipes name the same foods again and again.
MOST_NETS = 20_000
# kcal per gram; 21 CFR 101.9(c)(1)(i)(B), and 7 for ethanol, Regulation (EU) 1169/2011 Annex XIV.
GENERAL_FACTORS = {"PROCNT": 4, "FAT": 9, "CHOCDF": 4, "ALC": 7}

# (kcal, kJ) per gram, Regulation (EU) 1169/2011 Annex XIV: the kJ factors are no multiple of the kcal factors.
EU_FACTORS = {
    "protein": (4, 17),
    "fat": (9, 37),
    "carbohydrate": (4, 17),
    "polyols": (2.4, 10),
    "erythritol": (0, 0),
    "fibre": (2, 8),
    "alcohol": (7, 29),
    "organic acids": (3, 13),
    "salatrims": (6, 25),
}
# kcal per gram, 21 CFR 101.9(c)(1)(i)(F); allulose: FDA guidance announced in 85 FR 66217 (2020).
US_SWEETENER_FACTORS = {
    "isomalt": 2.0,
    "lactitol": 2.0,
    "xylitol": 2.4,
    "maltitol": 2.1,
    "sorbitol": 2.6,
    "hydrogenated starch hydrolysates": 3.0,
    "mannitol": 1.6,
    "erythritol": 0.0,
    "allulose": 0.4,
}

Polyols = Literal["all", "half", "by name", "none"]
_POLYOLS_OFF = {
    "all": ", less polyols", "half": ", less half the polyols", "none": "",
    "by name": ", less erythritol and half the other polyols",
}  # fmt: skip

POLYOLS_UNKNOWN = "polyols unknown: net unknown, total reported"

L = TypeVar("L")
Array = NDArray[np.float64]
# The tagnames of what is known of a food, and its amounts per 100 g in the same order.
KnownAmounts = tuple[Sequence[str], Array]


@dataclass(frozen=True, slots=True)
class NetCarbohydrate:
    """Net carbohydrate of one food or label; `flag` says why it is None or was set to 0, "" where plain."""

    value: Decimal | None
    flag: str = ""


@dataclass(frozen=True, slots=True)
class NetConvention:
    """What net carbohydrate leaves out beside fibre (common practice, no standard behind it).

    polyols    "all", "half", "none", or "by name": erythritol whole, every other polyol half
    allulose   whether allulose is taken off too
    """

    polyols: Polyols = "all"
    allulose: bool = True


# What holds where nobody says otherwise, of a recipe, of a list and of one food alike.
CONVENTION = NetConvention()


@dataclass(frozen=True, slots=True)
class Counted:
    """One food named by a line, as far as totals go.

    line      number of the line, from 1
    place     row of the food in the table; None: no fair entry was found
    grams     (value, low, high) of edible portion; None: no weight is known
    check     somebody should look at it
    optional  the line says that it may be left out (it is counted)
    """

    line: int
    place: int | None = None
    grams: tuple[float, float | None, float | None] | None = None
    check: bool = False
    optional: bool = False

    @property
    def counts(self) -> bool:
        return self.place is not None and self.grams is not None


@dataclass(frozen=True, slots=True)
class Total:
    """The sum of one component; `value` is None where it is not known in full, see the module's head."""

    tagname: str
    unit: str
    value: float | None
    known: float
    low: float
    high: float | None
    unknown_in: tuple[int, ...] = ()

    def divided(self, by: float, *, taken: float = 1.0) -> Total:
        """The same of one of `by` equal servings, or of so many `taken` of them: 100 of as many grams as a dish has."""
        value = None if self.value is None else self.value * taken / by
        high = None if self.high is None else self.high * taken / by
        known, low = self.known * taken / by, self.low * taken / by
        return Total(self.tagname, self.unit, value, known, low, high, self.unknown_in)


@dataclass(frozen=True, slots=True)
class Totals:
    """Totals of a list or of one serving; `clamped_in` are lines of foods with more fibre than total carbohydrate."""

    components: tuple[Total, ...]
    net_carbohydrate: Total
    clamped_in: tuple[int, ...] = ()

    def divided(self, by: float) -> Totals:
        """The totals of one of `by` equal servings."""
        components = tuple(total.divided(by) for total in self.components)
        return Totals(components, self.net_carbohydrate.divided(by), self.clamped_in)


@dataclass(frozen=True, slots=True)
class Coverage:
    """What the totals count; all but the first three fields of lines are line numbers, from 1.

    lines_counted of food_lines (lines that are not_food are in neither) count with every food they name;
    grams_counted of grams_stated, which is None where a food that does not count has no known weight.
    """

    lines: int
    food_lines: int
    lines_counted: int
    grams_counted: float
    grams_stated: float | None
    no_match: tuple[int, ...] = ()
    no_weight: tuple[int, ...] = ()
    to_check: tuple[int, ...] = ()
    optional: tuple[int, ...] = ()
    unread: tuple[int, ...] = ()

    @property
    def lines_share(self) -> float | None:
        """Share of 1 of the food lines that count, None where there are none."""
        return self.lines_counted / self.food_lines if self.food_lines else None

    @property
    def grams_share(self) -> float | None:
        """Share of 1 of the grams that count, None where it is not known."""
        return self.grams_counted / self.grams_stated if self.grams_stated else None


@dataclass(frozen=True, slots=True)
class Analysis(Generic[L]):
    """An ingredient list worked out; `per_serving` is None where no servings are given."""

    lines: tuple[L, ...]
    whole: Totals
    per_serving: Totals | None
    coverage: Coverage
    servings: float | None
    releases: tuple[Release, ...]


# ---- one food --------------------------------------------------------------------------------------------------


def known_amounts(row: Array, columns: Mapping[str, int]) -> KnownAmounts:
    """The known amounts of a food per 100 g; `row` has NaN where one is unknown."""
    asked = row[list(columns.values())]
    known = ~np.isnan(asked)
    return tuple(compress(columns, known.tolist())), asked[known]


def amounts_in(grams: float | None, known: KnownAmounts, unknown: Mapping[str, None]) -> dict[str, float | None]:
    """Amounts in `grams` of a food by tagname, None for those not known; all that is known is among the `unknown`.

    Without a weight an amount is unknown, unless the food has none of it at any weight.
    """
    amounts: dict[str, float | None] = dict(unknown)
    names, per_100g = known
    if grams is None:
        amounts.update(dict.fromkeys(compress(names, (per_100g == 0).tolist()), 0.0))
    else:
        amounts.update(zip(names, (per_100g * (grams / 100)).tolist(), strict=True))
    return amounts


def component_amounts(row: Array, grams: float | None, columns: Mapping[str, int]) -> dict[str, float | None]:
    """Amounts in `grams` of a food by tagname, as `amounts_in` gives them, from its row per 100 g."""
    return amounts_in(grams, known_amounts(row, columns), dict.fromkeys(columns))


@lru_cache(maxsize=MOST_NETS)
def net_carbohydrate(
    carbohydrate: float | None,
    fibre: float | None,
    *,
    polyols: float | None = 0,
    basis: CarbohydrateBasis = "total",
) -> NetCarbohydrate:
    """Net carbohydrate in exact decimals; all amounts in grams of the same portion.

    "total" carbohydrate (US, by difference) has fibre in it, which is taken off; "available" carbohydrate (EU) has
    it out already. Nothing is assumed: an unknown term makes the net unknown. Never below 0: more fibre than
    carbohydrate is inconsistent input, flagged.
    """
    if carbohydrate is None:
        return NetCarbohydrate(None, "carbohydrate unknown: net unknown")
    if polyols is None:
        return NetCarbohydrate(None, POLYOLS_UNKNOWN)
    net = _decimal(carbohydrate) - _decimal(polyols)
    if basis == "total":
        if fibre is None:
            return NetCarbohydrate(None, "fibre unknown: net unknown, total reported")
        net -= _decimal(fibre)
    return NetCarbohydrate(net) if net >= 0 else NetCarbohydrate(Decimal(0), "clamped; inconsistent input")


def carbohydrate_of(basis: CarbohydrateBasis, known: Container[str]) -> str:
    """The component that net carbohydrate starts from, by what is known of a food."""
    if basis == "total":
        return "CHOCDF"
    return AVAILABLE_SUM if AVAILABLE_SUM in known and AVAILABLE not in known else AVAILABLE


def net_formula(convention: NetConvention = CONVENTION) -> str:
    """The formula of net carbohydrate in words."""
    allulose = ", less allulose" if convention.allulose else ""
    return (
        f"total carbohydrate less fibre{_POLYOLS_OFF[convention.polyols]}{allulose}; where carbohydrate is declared as "
        f"available, fibre is out of it already; not below 0 for any food"
    )


def off_net(convention: NetConvention) -> str:
    """What a convention takes off total carbohydrate, in words: "fibre, half the polyols, allulose"."""
    return f"fibre{_POLYOLS_OFF[convention.polyols]}{', allulose' if convention.allulose else ''}".replace(" less", "")


def plain_amounts(values: Iterable[ComponentValue]) -> dict[str, float]:
    """Amounts by tagname of values that are plain figures."""
    return {value.tagname: value.amount for value in values if not value.qualifier}


def net_of_food(
    amounts: Mapping[str, float], basis: CarbohydrateBasis = "total", convention: NetConvention = CONVENTION
) -> NetCarbohydrate:
    """Net carbohydrate of 100 g of a food by a convention, from what is known of it by tagname.

    Polyols are outside of a sum of sugars and starch, so that what a convention leaves of them is added.
    """
    tagname = carbohydrate_of(basis, amounts)
    carbohydrate, fibre = amounts.get(tagname), amounts.get("FIBTG")
    if tagname != AVAILABLE_SUM or carbohydrate is None:
        return net_carbohydrate(carbohydrate, fibre, polyols=taken_off(amounts, convention), basis=basis)
    least, most = polyols_left(amounts, convention)
    if most - least > MOST_OFF:
        return net_carbohydrate(carbohydrate, fibre, polyols=None, basis=basis)
    declared = float(_decimal(carbohydrate) + _decimal(least))
    return net_carbohydrate(declared, fibre, polyols=_allulose_off(amounts, convention), basis=basis)


def polyols_left(amounts: Mapping[str, float], convention: NetConvention = CONVENTION) -> tuple[float, float]:
    """(least, most) grams in 100 g of polyols beside a sum of sugars and starch that a convention does not take off.

    Where the publisher gives no polyols they are no more than what that sum and fibre leave of total carbohydrate.
    """
    if convention.polyols == "all":
        return 0.0, 0.0
    if POLYOLS in amounts:
        left = float(max(Decimal(0), _decimal(amounts[POLYOLS]) - _decimal(_polyols_off(amounts, convention))))
        return left, left
    most = polyols_at_most(amounts)
    return 0.0, most if convention.polyols == "none" else most / 2


def polyols_at_most(amounts: Mapping[str, float]) -> float:
    """Grams of polyols that there can be beside a sum of sugars and starch, infinite where nothing bounds them."""
    total, available = amounts.get("CHOCDF"), amounts.get(AVAILABLE_SUM)
    if total is None or available is None:
        return math.inf
    return float(max(Decimal(0), _decimal(total) - _decimal(available) - _decimal(amounts.get("FIBTG", 0.0))))


def taken_off(amounts: Mapping[str, float], convention: NetConvention = CONVENTION) -> float:
    """Grams of polyols and allulose that a convention takes off; what is not known is not."""
    share, allulose = _polyols_off(amounts, convention), _allulose_off(amounts, convention)
    return float(_decimal(share) + _decimal(allulose)) if share and allulose else share or allulose


def _polyols_off(amounts: Mapping[str, float], convention: NetConvention) -> float:
    polyols, erythritol = amounts.get(POLYOLS, 0.0), amounts.get(ERYTHRITOL, 0.0)
    return {
        "all": polyols, "half": polyols / 2, "none": 0.0, "by name": erythritol + max(0.0, polyols - erythritol) / 2
    }[convention.polyols]  # fmt: skip


def _allulose_off(amounts: Mapping[str, float], convention: NetConvention) -> float:
    return amounts.get(ALLULOSE, 0.0) if convention.allulose else 0.0


def net_terms(rows: Array, columns: Mapping[str, int]) -> list[dict[str, float]]:
    """What each row gives of NET_TERMS by tagname, without what is unknown (NaN)."""
    terms = [tagname for tagname in NET_TERMS if tagname in columns]
    cells = rows[:, [columns[tagname] for tagname in terms]].tolist()
    return [{tagname: x for tagname, x in zip(terms, row, strict=True) if x == x} for row in cells]


def _decimal(number: float) -> Decimal:
    # repr gives the shortest digits that name the number: those the publisher printed.
    return Decimal(repr(float(number)))


def energy_shares(grams: Mapping[str, float | None]) -> dict[str, float] | None:
    """Shares of 1 of energy by the general factors, from grams of PROCNT, FAT, CHOCDF and, if there is any, ALC.

    None where one is unknown or where there is no energy. For shares only: energy itself is the publisher's.
    """
    amounts = {tagname: grams[tagname] for tagname in GENERAL_FACTORS if tagname in grams}
    energy = {tagname: amount * GENERAL_FACTORS[tagname] for tagname, amount in amounts.items() if amount is not None}
    total = sum(energy.values())
    if len(energy) < len(amounts) or total <= 0:
        return None
    return {tagname: kcal / total for tagname, kcal in energy.items()}


def eu_energy(grams: Mapping[str, float]) -> tuple[float, float]:
    """(kcal, kJ) by the factors of EU_FACTORS, from grams of its nutrients.

    "carbohydrate" has the polyols in it and "polyols" the erythritol, as Annex I of the regulation defines them.
    """
    amounts = dict(grams)
    amounts["carbohydrate"] = grams.get("carbohydrate", 0.0) - grams.get("polyols", 0.0)
    amounts["polyols"] = grams.get("polyols", 0.0) - grams.get("erythritol", 0.0)
    kcal = sum(amounts.get(name, 0.0) * factors[0] for name, factors in EU_FACTORS.items())
    return kcal, sum(amounts.get(name, 0.0) * factors[1] for name, factors in EU_FACTORS.items())


# ---- a list ----------------------------------------------------------------------------------------------------


def analyse(
    results: Iterable[L],
    counted: Sequence[Counted],
    table: FoodTable,
    *,
    not_food: int = 0,
    unread: tuple[int, ...] = (),
    components: Sequence[str] = DEFAULT_COMPONENTS,
    servings: float | None = None,
    nets: Mapping[str, NetCarbohydrate] | None = None,
) -> Analysis[L]:
    """Totals and coverage of line results, of which `counted` names every food and `not_food` lines name none.

    `components` are tagnames, or ("all",); an unknown one raises NotFoundError, servings not above 0 InputError.
    `nets` are as `total` takes them.
    """
    servings = checked_servings(servings)
    lines = tuple(results)
    whole = total(table, counted, components=components, nets=nets)
    per_serving = whole.divided(servings) if servings else None
    return Analysis(
        lines, whole, per_serving, coverage(counted, len(lines), not_food, unread=unread), servings, table.releases
    )


def checked_servings(servings: float | None) -> float | None:
    """The number of servings as it is; InputError unless it is a finite number above 0, or None."""
    if servings is not None and not (math.isfinite(servings) and servings > 0):
        raise InputError(f"servings must be a finite number above 0, not {servings:g}", pointer="/servings")
    return servings


def chosen_components(table: FoodTable, tagnames: Sequence[str]) -> tuple[Component, ...]:
    """The components of these tagnames, each once; ("all",) is every one of the table's."""
    if tuple(tagnames) == ("all",):
        return table.components
    known = {component.tagname: component for component in table.components}
    for place, tagname in enumerate(tagnames):
        if tagname not in known:
            raise NotFoundError(f"no component has the tagname {tagname!r}", pointer=f"/components/{place}")
    return tuple(known[tagname] for tagname in dict.fromkeys(tagnames))


def total(
    table: FoodTable,
    counted: Sequence[Counted],
    *,
    components: Sequence[str] = DEFAULT_COMPONENTS,
    nets: Mapping[str, NetCarbohydrate] | None = None,
) -> Totals:
    """Sums over the foods that count, with bounds from the bounds of their weights.

    A food without an entry leaves every sum unknown; one without a weight leaves those unknown to which it may give
    anything. `nets` are the net carbohydrate per 100 g of foods, by id, whose row does not tell it.
    """
    chosen = chosen_components(table, components)
    columns = {component.tagname: place for place, component in enumerate(table.components)}
    places = [columns[component.tagname] for component in chosen]
    placed = [part for part in counted if part.place is not None]
    rows = table.amounts[np.array([part.place for part in placed], dtype=np.intp)]
    net, clamped = _net_column(table, placed, net_terms(rows, columns), nets or {})
    amounts = np.column_stack([rows[:, places], net])
    sums = _sums(placed, amounts, _lines(part for part in counted if part.place is None))
    names = [*((component.tagname, component.unit) for component in chosen), ("net_carbohydrate", "g")]
    totals = [Total(tagname, unit, *figures) for (tagname, unit), figures in zip(names, sums, strict=True)]
    return Totals(tuple(totals[:-1]), totals[-1], _lines(placed[place] for place in clamped))


def _net_column(
    table: FoodTable, placed: Sequence[Counted], known: Sequence[Mapping[str, float]],
    given: Mapping[str, NetCarbohydrate],
) -> tuple[list[float], list[int]]:  # fmt: skip
    """Net carbohydrate per 100 g of each part, NaN where unknown, and the parts where it was set to 0."""
    foods = [table.foods[part.place or 0] for part in placed]
    nets = [
        given.get(food.id) or net_of_food(amounts, table.bases.get(food.dataset, "total"))
        for food, amounts in zip(foods, known, strict=True)
    ]
    values = [math.nan if net.value is None else float(net.value) for net in nets]
    return values, [place for place, net in enumerate(nets) if net.value is not None and net.flag]


Figures = tuple[float | None, float, float, float | None, tuple[int, ...]]


def _sums(placed: Sequence[Counted], amounts: Array, no_match: tuple[int, ...]) -> list[Figures]:
    """(value, known, low, high, unknown in) of each column of `amounts`, per 100 g of each part."""
    known = np.nan_to_num(amounts) / 100
    weights = np.array([_weights(part) for part in placed], dtype=float).reshape(-1, 3)
    unweighed = np.array([part.grams is None for part in placed], dtype=bool)
    lacking = np.isnan(amounts) | (unweighed[:, None] & (amounts != 0))
    # An open upper end has to stay open even where a food has none of the component: inf * 0 is no number.
    open_ended = np.isinf(weights[:, 2])
    high = np.where(open_ended, 0.0, weights[:, 2]) @ known
    high[(open_ended[:, None] & (known > 0)).any(axis=0)] = math.inf
    sums = zip((weights[:, 0] @ known).tolist(), (weights[:, 1] @ known).tolist(), high.tolist(), strict=True)
    lacking_rows: dict[int, list[int]] = {}
    for row, column in np.argwhere(lacking).tolist():
        lacking_rows.setdefault(column, []).append(row)
    figures: list[Figures] = []
    for place, (middle, low, upper) in enumerate(sums):
        lines = {placed[row].line for row in lacking_rows.get(place, ())}
        unknown_in = tuple(sorted(lines | set(no_match)))
        bound = None if unknown_in or math.isinf(upper) else upper
        figures.append((None if unknown_in else middle, middle, low, bound, unknown_in))
    return figures


def _weights(part: Counted) -> tuple[float, float, float]:
    """(value, low, high); a missing lower bound is 0, a missing upper one infinite; no weight counts nothing."""
    if part.grams is None:
        return 0.0, 0.0, 0.0
    value, low, high = part.grams
    return value, 0.0 if low is None else low, math.inf if high is None else high


def coverage(counted: Sequence[Counted], lines: int, not_food: int = 0, *, unread: tuple[int, ...] = ()) -> Coverage:
    """What the totals of these foods count, of `lines` lines of which `not_food` name no food.

    `unread` are those of the latter that were taken for notes only because no word of them is known.
    """
    missing = _lines(part for part in counted if not part.counts)
    grams = sum(part.grams[0] for part in counted if part.counts and part.grams)
    left_out = [part.grams for part in counted if not part.counts]
    stated = None if None in left_out else grams + sum(weight[0] for weight in left_out if weight)
    return Coverage(
        lines,
        lines - not_food,
        lines - not_food - len(missing),
        grams,
        stated,
        no_match=_lines(part for part in counted if part.place is None),
        no_weight=_lines(part for part in counted if part.place is not None and part.grams is None),
        to_check=_lines(part for part in counted if part.check),
        optional=_lines(part for part in counted if part.optional),
        unread=unread,
    )


def _lines(parts: Iterable[Counted]) -> tuple[int, ...]:
    numbers: Collection[int] = {part.line for part in parts}
    return tuple(sorted(numbers))
