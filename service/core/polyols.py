"""Polyols in all, where a publisher gives them in another form only; worked out from its own figures and marked so.

    POLYL = CHOAVL_POLYL - CHOAVL       available carbohydrate with them, less that without them
    POLYL = SORTL + MANTL + ...         those given by name, where there is any of one

What no analysis looked for is in neither, so that a sum by name is the least there is. It is what net carbohydrate and
labels count of the food; without it they would count none.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from service.core.food import Component, FoodTable, in_columns
from service.core.nutrients import AVAILABLE_SUM, ERYTHRITOL, POLYOLS

POLYOLS_IN_ALL = Component(POLYOLS, "", "Polyols, total", "g", 1)
WITH_POLYOLS = "CHOAVL_POLYL"
# Polyols one by one, by their names among the US energy factors.
POLYOL_NAMES = {
    ERYTHRITOL: "erythritol", "XYLTL": "xylitol", "SORTL": "sorbitol", "MANTL": "mannitol", "MALTL": "maltitol",
    "LACTL": "lactitol", "ISOMALT": "isomalt",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PolyolsInAll:
    """Polyols of 100 g, with the formula and its figures."""

    amount: float
    text: str


def polyols_in_all(known: Mapping[str, float]) -> PolyolsInAll | None:
    """From what is known of a food by tagname, per 100 g; None where it tells nothing of them."""
    if WITH_POLYOLS in known and AVAILABLE_SUM in known:
        inside, outside = known[WITH_POLYOLS], known[AVAILABLE_SUM]
        text = f"worked out: available carbohydrate {inside:g} g with polyols less {outside:g} g without"
        return PolyolsInAll(float(max(Decimal(0), _decimal(inside) - _decimal(outside))), text)
    named = {name: known[tagname] for tagname, name in POLYOL_NAMES.items() if known.get(tagname, 0.0) > 0}
    if not named:
        return None
    text = " + ".join(f"{name} {amount:g} g" for name, amount in named.items())
    return PolyolsInAll(float(sum(map(_decimal, named.values()), Decimal(0))), f"worked out: {text}")


def _decimal(number: float) -> Decimal:
    return Decimal(repr(float(number)))


def with_polyols(table: FoodTable) -> FoodTable:
    """The table with the polyols that can be worked out; the same table where there are none such."""
    found = dict(_found(table))
    if not found:
        return table
    components = with_polyols_in_all(table.components)
    amounts = in_columns(table.amounts, len(components))
    derived, column = dict(table.derived), [one.tagname for one in components].index(POLYOLS)
    for place, polyols in found.items():
        amounts[place, column] = polyols.amount
        food_id = table.foods[place].id
        derived[food_id] = {**derived.get(food_id, {}), POLYOLS: polyols.text}
    return replace(table, components=components, amounts=amounts, derived=derived)


def _found(table: FoodTable) -> Iterator[tuple[int, PolyolsInAll]]:
    """The polyols of each food, by its place, of which the publisher says nothing in all."""
    columns = {one.tagname: place for place, one in enumerate(table.components)}
    names = [one for one in (WITH_POLYOLS, AVAILABLE_SUM, *POLYOL_NAMES) if one in columns]
    rows = table.amounts[:, [columns[one] for one in names]]
    told = ~np.isnan(rows[:, [place for place, one in enumerate(names) if one != AVAILABLE_SUM]]).all(axis=1)
    if POLYOLS in columns:
        told &= np.isnan(table.amounts[:, columns[POLYOLS]])
    for place in np.flatnonzero(told).tolist():
        known = {name: cell for name, cell in zip(names, rows[place].tolist(), strict=True) if not math.isnan(cell)}
        found = polyols_in_all(known)
        if found is not None and POLYOLS not in table.limits.get(table.foods[place].id, {}):
            yield place, found


def with_polyols_in_all(components: tuple[Component, ...]) -> tuple[Component, ...]:
    """The components with polyols in all among them, where they may be worked out of the others."""
    tagnames = {one.tagname for one in components}
    told = tagnames & {WITH_POLYOLS, *POLYOL_NAMES}
    return (*components, POLYOLS_IN_ALL) if told and POLYOLS not in tagnames else components
