"""A component that a food's own table lacks, borrowed from the same food in another table that is in use.

Only along a publisher's own statement that two entries are one food, unless their figures are too far apart for that
(a plain yogurt tied to one with strawberries), only where the food's table gives the component for no food at all, and
only from a table of the same carbohydrate basis; energy, carbohydrate and the polyols that net carbohydrate rests on
are never borrowed, since they rest on each publisher's own factors and methods. What is borrowed is marked with the
entry it comes from.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from service.core.food import FoodTable
from service.core.likeness import UNLIKE, furthest_apart
from service.core.twins import dataset_of, twins

# Tagnames that begin so are energy, carbohydrate by difference or by sum, and polyols in all.
_OWN_TO_A_TABLE = ("ENERC", "CHO", "POLYL")
_NOT_THEM = ("CHOLE", "CHOLN", "CHOCAL")


def with_borrowed(table: FoodTable) -> FoodTable:
    """The table with what its foods may borrow from each other; the same table where that is nothing."""
    partners = _partners(table)
    if not partners:
        return table
    places = {food.id: place for place, food in enumerate(table.foods)}
    tagnames = [component.tagname for component in table.components]
    lacks, amounts = _lacking(table), table.amounts.copy()
    borrowed: dict[str, dict[str, str]] = {}
    for turn in range(max(map(len, partners.values()))):
        pairs = [(food_id, lenders[turn]) for food_id, lenders in partners.items() if turn < len(lenders)]
        ours, theirs = (np.array([places[pair[side]] for pair in pairs]) for side in (0, 1))
        may = np.array([lacks[dataset_of(food_id)] for food_id, _ in pairs])
        rows, columns = np.nonzero(may & np.isnan(amounts[ours]) & ~np.isnan(table.amounts[theirs]))
        amounts[ours[rows], columns] = table.amounts[theirs[rows], columns]
        for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
            food_id, lender = pairs[row]
            borrowed.setdefault(food_id, {})[tagnames[column]] = lender
    return replace(table, amounts=amounts, borrowed=borrowed) if borrowed else table


def _partners(table: FoodTable) -> dict[str, list[str]]:
    """Foods that may lend to each food, those of the preferred datasets first."""
    pairs = [(one, other) for one, others in twins(table).items() for other in others if _same_basis(table, one, other)]
    lenders: dict[str, list[str]] = {}
    for (one, other), apart in zip(pairs, furthest_apart(table, pairs).tolist(), strict=True):
        if apart <= UNLIKE:
            lenders.setdefault(one, []).append(other)
    return lenders


def _same_basis(table: FoodTable, one: str, other: str) -> bool:
    return table.bases.get(dataset_of(one), "total") == table.bases.get(dataset_of(other), "total")


def _lacking(table: FoodTable) -> dict[str, NDArray[np.bool_]]:
    """By dataset, the columns that may be borrowed: those that it gives for no food."""
    datasets = np.array([food.dataset for food in table.foods])
    may = np.array([_may_be_borrowed(one.tagname) for one in table.components])
    return {name: may & np.isnan(table.amounts[datasets == name]).all(axis=0) for name in set(datasets.tolist())}


def _may_be_borrowed(tagname: str) -> bool:
    return tagname.startswith(_NOT_THEM) or not tagname.startswith(_OWN_TO_A_TABLE)
