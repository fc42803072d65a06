"""Entries whose figures do not add up, said beside the figures that use them; the publisher's values stay as they are.

    proximates    water, protein, fat, ash, carbohydrate and alcohol of 100 g come to more or less than 100 g
    energy        energy is far from the general factors on protein, fat, carbohydrate and alcohol
    fibre         more fibre than total carbohydrate
    sugars        more sugars than carbohydrate without fibre
    carbohydrate  more available carbohydrate than total
    measures      a tablespoon and a cup, 100 ml and 225 ml, or other volumes of the same words weigh unlike
    duplicates    two entries with the same description
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from service.core.food import FoodEntry, FoodTable
from service.core.measure import Households, Measures
from service.core.nutrients import (
    AVAILABLE,
    AVAILABLE_SUM,
    GENERAL_FACTORS,
    MOST_OFF,
    POLYOLS,
    carbohydrate_of,
    polyols_at_most,
)
from service.core.total_carbohydrate import summed

# By difference their sum is 100 g but for rounding and what is not listed, as acids.
PROXIMATES = ("WATER", "PROCNT", "FAT", "ASH", "CHOCDF")
# Grams of protein that are no analysis but a value lost where 100 g lack some: SR28 gives 0.01 g for 19 packaged breads
# (NDB 28377 to 28396).
LOST, LOST_OFF = 0.01, 2.0
# Specific factors lie within a quarter of the general ones for mixed foods; below so much energy they say little.
ENERGY_SHARE, ENERGY_FLOOR = 0.35, 40.0
# Fewest grams of a part over total carbohydrate that rounding does not explain.
PART_OVER = 0.1
# As many of sugars: they are analysed, carbohydrate is what the other parts leave of 100 g.
SUGARS_OVER = 0.5
# Grams by which alcohol that no publisher gives may differ as the rest of 100 g and by its energy.
ALCOHOL_OFF = 1.0


@dataclass(frozen=True, slots=True)
class Finding:
    """What does not add up in one entry; `kind` is one of the module's head."""

    food_id: str
    description: str
    kind: str
    text: str


def findings(table: FoodTable, measures: Measures) -> tuple[Finding, ...]:
    """Every finding of a table, in order of food."""
    columns = {one.tagname: place for place, one in enumerate(table.components)}
    twins = _twins(table)
    found: list[Finding] = []
    for food, row in zip(table.foods, table.amounts.tolist(), strict=True):
        known = {tagname: row[place] for tagname, place in columns.items() if not math.isnan(row[place])}
        basis = table.bases.get(food.dataset, "total")
        said = [*of_food(food, known, total=basis == "total", measures=measures), *twins.get(food.id, ())]
        found += [Finding(food.id, food.description, kind, text) for kind, text in said]
    return tuple(found)


def of_food(
    food: FoodEntry, known: Mapping[str, float], *, total: bool, measures: Measures
) -> tuple[tuple[str, str], ...]:
    """(kind, text) of what does not add up in one entry by itself; `total` says the carbohydrate basis."""
    doubts = Households.read(food, measures).doubts if food.measures else ()
    return (*of_composition(known, total=total), *(("measures", doubt) for doubt in doubts))


def of_composition(known: Mapping[str, float], *, total: bool) -> tuple[tuple[str, str], ...]:
    """(kind, text) of what does not add up in the figures of one entry."""
    return tuple(_composition(known, total=total))


def _composition(known: Mapping[str, float], *, total: bool) -> Iterator[tuple[str, str]]:
    held = _with_alcohol(known, total=total)
    yield from _proximates(held if total or "CHOCDF" in known else {**held, **summed(known)})
    yield from _energy(held, total=total)
    yield from _sugars(known, total=total)
    if "CHOCDF" in known:
        over = known["CHOCDF"] + PART_OVER
        if total and known.get("FIBTG", 0.0) > over:
            yield "fibre", f"{known['FIBTG']:g} g of fibre in {known['CHOCDF']:g} g of total carbohydrate"
        if (available := _carbohydrate(known, total=False)) is not None and available > over:
            yield "carbohydrate", f"{available:g} g of available in {known['CHOCDF']:g} g of total carbohydrate"


def _with_alcohol(known: Mapping[str, float], *, total: bool) -> Mapping[str, float]:
    """Where a publisher gives no alcohol, so much of it as 100 g lack and as energy has over the other parts alike.

    Fineli counts it in the energy of drinks but has no such component.
    """
    carbohydrate = _carbohydrate(known, total=total)
    if "ALC" in known or carbohydrate is None or any(one not in known for one in ("ENERC_KCAL", *PROXIMATES)):
        return known
    missing = 100 - math.fsum(known[tagname] for tagname in PROXIMATES)
    by_energy = (known["ENERC_KCAL"] - _by_factors(known, carbohydrate)) / GENERAL_FACTORS["ALC"]
    agree = missing > ALCOHOL_OFF and abs(missing - by_energy) <= ALCOHOL_OFF
    return {**known, "ALC": missing} if agree else known


def _proximates(known: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    if all(tagname in known for tagname in PROXIMATES):
        together = math.fsum(known[tagname] for tagname in PROXIMATES) + known.get("ALC", 0.0)
        lost = 0 < known["PROCNT"] <= LOST and 100 - together > LOST_OFF
        if lost or abs(together - 100) > MOST_OFF:
            said = f"; protein reads {known['PROCNT']:g} g" if lost else ""
            text = f"water, protein, fat, ash, carbohydrate and alcohol come to {together:.1f} g in 100 g{said}"
            yield "proximates", text


def _energy(known: Mapping[str, float], *, total: bool) -> Iterator[tuple[str, str]]:
    """Energy far from the general factors; fibre may be counted or not, polyols and acids at less.

    Beside a sum of sugars and starch there may be as many polyols as total carbohydrate leaves.
    """
    stated, carbohydrate = known.get("ENERC_KCAL"), _carbohydrate(known, total=total)
    if stated is None or carbohydrate is None or "PROCNT" not in known or "FAT" not in known:
        return
    fibre, inside, beside = known.get("FIBTG", 0.0), known.get(POLYOLS, 0.0), 0.0
    if carbohydrate_of("total" if total else "available", known) == AVAILABLE_SUM:
        inside, beside = 0.0, known.get(POLYOLS, polyols_at_most(known))
    most = _by_factors(known, carbohydrate if total else carbohydrate + fibre + (beside if beside < math.inf else 0.0))
    least = _by_factors(known, max(0.0, carbohydrate - inside - (fibre if total else 0.0)))
    off = stated - most if stated > most else least - stated
    if max(stated, most) >= ENERGY_FLOOR and off > ENERGY_SHARE * max(stated, most):
        yield "energy", f"{stated:g} kcal are stated, {most:.0f} kcal follow from protein, fat and carbohydrate"


def _sugars(known: Mapping[str, float], *, total: bool) -> Iterator[tuple[str, str]]:
    carbohydrate = _carbohydrate(known, total=total)
    if carbohydrate is None or "SUGAR" not in known:
        return
    carbohydrate -= known.get("FIBTG", 0.0) if total else 0.0
    if known["SUGAR"] > carbohydrate + SUGARS_OVER:
        without = " without fibre" if not total or "FIBTG" in known else ""
        yield "sugars", f"{known['SUGAR']:g} g of sugars in {max(0.0, carbohydrate):.4g} g of carbohydrate{without}"


def _carbohydrate(known: Mapping[str, float], *, total: bool) -> float | None:
    names = ("CHOCDF",) if total else (AVAILABLE, AVAILABLE_SUM)
    return next((known[tagname] for tagname in names if tagname in known), None)


def _by_factors(known: Mapping[str, float], carbohydrate: float) -> float:
    grams = {**known, "CHOCDF": carbohydrate}
    return math.fsum(factor * grams.get(tagname, 0.0) for tagname, factor in GENERAL_FACTORS.items())


# ---- duplicates ------------------------------------------------------------------------------------------------


def _twins(table: FoodTable) -> dict[str, list[tuple[str, str]]]:
    """Entries of one dataset with the same description."""
    same: dict[tuple[str, str], list[str]] = defaultdict(list)
    for food in table.foods:
        same[food.dataset, food.description].append(food.id)
    return {
        food_id: [("duplicates", f"the same description as {', '.join(one for one in ids if one != food_id)}")]
        for ids in same.values() if len(ids) > 1
        for food_id in ids
    }  # fmt: skip
