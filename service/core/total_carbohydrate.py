"""Total carbohydrate of foods whose publisher gives available carbohydrate only, worked out from its own figures.

    CHOCDF = available carbohydrate, polyols inside, + FIBTG    where the publisher gives both
    CHOCDF = 100 g - WATER - PROCNT - FAT - ASH - ALC           where it gives one of them or none

The sum leaves out organic acids and whatever no analysis named, the difference holds all that and the errors of five
figures. Where both can be told and are further apart than the parts of a sound entry may be from 100 g, neither is
taken: unknown, with a bound. A figure that is worked out is marked with its formula wherever it goes, so that it does
not silently join totals by difference. Net carbohydrate rests on the published available carbohydrate, never on this.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache

import numpy as np

from service.core.food import Component, FoodTable, in_columns
from service.core.nutrients import MOST_OFF

TOTAL = Component("CHOCDF", "", "Carbohydrate, total", "g", 2)
FIBRE = "FIBTG"
# Available carbohydrate with polyols inside: by difference, and summed.
AVAILABLE = ("CHOAVLDF", "CHOAVL_POLYL")
OTHER_PARTS = {"WATER": "water", "PROCNT": "protein", "FAT": "fat", "ASH": "ash", "ALC": "alcohol"}
TERMS = (*AVAILABLE, FIBRE, *OTHER_PARTS)


@dataclass(frozen=True, slots=True)
class TotalCarbohydrate:
    """Total carbohydrate of 100 g; `amount` None where unknown, then `most` is an upper bound, None without one.

    text  the formula with its figures, or why the total is unknown
    """

    amount: float | None
    text: str
    most: float | None = None


def total_carbohydrate(known: Mapping[str, float], limits: Mapping[str, float]) -> TotalCarbohydrate:
    """From what is known of a food by tagname, per 100 g, and the bounds of what is below a limit or a trace."""
    rest, bounds = _rest(known), {**limits, **known}
    if parts := _parts(known):
        return _sum(*parts, rest)
    if most := _parts(bounds):
        return TotalCarbohydrate(None, "available carbohydrate or fibre is a trace or below a limit", float(sum(most)))
    if rest is None:
        return TotalCarbohydrate(None, "it gives neither available carbohydrate and fibre nor all other parts")
    if rest < sum(_decimal(known.get(name, 0.0)) for name in (*AVAILABLE, FIBRE)):
        return TotalCarbohydrate(None, f"the other parts leave only {_shown(rest)} of 100 g for it")
    others = ", ".join(f"{what} {known[tagname]:g}" for tagname, what in OTHER_PARTS.items())
    return TotalCarbohydrate(float(rest), f"worked out: 100 g less {others} g")


def summed(known: Mapping[str, float]) -> Mapping[str, float]:
    """Total carbohydrate by tagname as the sum of available carbohydrate and fibre, empty where one is not known."""
    parts = _parts(known)
    return {TOTAL.tagname: float(sum(parts))} if parts else {}


def _parts(known: Mapping[str, float]) -> tuple[Decimal, Decimal] | None:
    """Available carbohydrate and fibre, None where one is not known."""
    available = next((known[name] for name in AVAILABLE if name in known), None)
    return None if available is None or FIBRE not in known else (_decimal(available), _decimal(known[FIBRE]))


def _sum(available: Decimal, fibre: Decimal, rest: Decimal | None) -> TotalCarbohydrate:
    total = available + fibre
    if rest is not None and abs(rest - total) > MOST_OFF:
        text = f"available carbohydrate and fibre come to {_shown(total)}, the other parts leave {_shown(rest)}"
        return TotalCarbohydrate(None, text, float(max(rest, total)))
    text = f"worked out: available carbohydrate {_shown(available)} + fibre {_shown(fibre)}"
    return TotalCarbohydrate(float(total), text)


def _rest(known: Mapping[str, float]) -> Decimal | None:
    """What is left of 100 g, None where a part is not known."""
    if any(tagname not in known for tagname in OTHER_PARTS):
        return None
    return Decimal(100) - sum((_decimal(known[tagname]) for tagname in OTHER_PARTS), Decimal(0))


def _decimal(number: float) -> Decimal:
    return Decimal(repr(float(number)))


def _shown(grams: Decimal) -> str:
    return f"{float(grams):g} g"


def with_totals(table: FoodTable) -> FoodTable:
    """The table with the total carbohydrate that can be worked out; the same table where every publisher gives it."""
    bases = table.bases
    places = [place for place, food in enumerate(table.foods) if bases.get(food.dataset, "total") == "available"]
    if not places:
        return table
    components = with_total(table.components)
    columns = {one.tagname: place for place, one in enumerate(components)}
    amounts = in_columns(table.amounts, len(components))
    limits, derived = dict(table.limits), {}
    for place, found in _found(table, places):
        food_id = table.foods[place].id
        if found.amount is not None:
            amounts[place, columns[TOTAL.tagname]] = found.amount
            derived[food_id] = {TOTAL.tagname: found.text}
        elif found.most is not None:
            limits[food_id] = {**limits.get(food_id, {}), TOTAL.tagname: found.most}
    return replace(table, components=components, amounts=amounts, limits=limits, derived=derived)


def with_total(components: tuple[Component, ...]) -> tuple[Component, ...]:
    """The components with total carbohydrate among them."""
    there = any(one.tagname == TOTAL.tagname for one in components)
    return components if there else (*components, TOTAL)


def _found(table: FoodTable, places: list[int]) -> Iterator[tuple[int, TotalCarbohydrate]]:
    """The total of each of these foods for which the publisher says nothing of it."""
    columns = {one.tagname: place for place, one in enumerate(table.components)}
    names = tuple([name for name in (*TERMS, TOTAL.tagname) if name in columns])
    rows = table.amounts[np.ix_(places, [columns[name] for name in names])]
    for place, row in zip(places, rows, strict=True):
        limits = table.limits.get(table.foods[place].id, {})
        found = _of_row(names, row.tobytes(), tuple(sorted(limits.items())))
        if found is not None:
            yield place, found


# Who takes up another release of one table works the totals of the others out again.
@lru_cache(1 << 14)
def _of_row(
    names: tuple[str, ...], cells: bytes, limits: tuple[tuple[str, float], ...]
) -> TotalCarbohydrate | None:
    """The total by a row of a table; None where the publisher says something of it."""
    row = np.frombuffer(cells).tolist()
    known = {name: cell for name, cell in zip(names, row, strict=True) if not math.isnan(cell)}
    bounds = dict(limits)
    return None if TOTAL.tagname in known or TOTAL.tagname in bounds else total_carbohydrate(known, bounds)
