"""A component that a food's own table lacks, borrowed from the same food in another table that is in use.

Only along a publisher's own statement that two entries are one food, unless their figures are too far apart for that
(a plain yogurt tied to one with strawberries), only where the food's table gives the component for no food at all, and
only from a table of the same carbohydrate basis; energy, carbohydrate and the polyols that net carbohydrate rests on
are never borrowed, since they rest on each publisher's own factors and methods. What is borrowed is marked with the
entry it comes from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import groupby

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
    for pairs in _by_tables(partners):
        ours, theirs = (np.array([places[pair[side]] for pair in pairs]) for side in (0, 1))
        own, lending = map(dataset_of, pairs[0])
        columns = np.flatnonzero(lacks[own] & ~lacks[lending])
        offered = table.amounts[np.ix_(theirs, columns)]
        rows, among = np.nonzero(np.isnan(amounts[np.ix_(ours, columns)]) & ~np.isnan(offered))
        amounts[ours[rows], columns[among]] = offered[rows, among]
        for row, column in zip(rows.tolist(), columns[among].tolist(), strict=True):
            food_id, lender = pairs[row]
            borrowed.setdefault(food_id, {})[tagnames[column]] = lender
    return replace(table, amounts=amounts, borrowed=borrowed) if borrowed else table


def _by_tables(partners: Mapping[str, Sequence[str]]) -> Iterator[Sequence[tuple[str, str]]]:
    """Pairs of foods and who may lend to them, those of the same two tables together, what is preferred first."""
    for turn in range(max(map(len, partners.values()))):
        found: dict[tuple[str, str], list[tuple[str, str]]] = {}
        for food_id, lenders in partners.items():
            if turn < len(lenders):
                found.setdefault((dataset_of(food_id), dataset_of(lenders[turn])), []).append((food_id, lenders[turn]))
        yield from found.values()


def _partners(table: FoodTable) -> dict[str, list[str]]:
    """Foods that may lend to each food, those of the preferred datasets first."""
    basis = table.bases
    pairs = [
        (one, other) for one, others in twins(table).items() for other in others
        if basis[dataset_of(one)] == basis[dataset_of(other)]
    ]  # fmt: skip
    lenders: dict[str, list[str]] = {}
    for (one, other), apart in zip(pairs, furthest_apart(table, pairs).tolist(), strict=True):
        if apart <= UNLIKE:
            lenders.setdefault(one, []).append(other)
    return lenders


def _lacking(table: FoodTable) -> dict[str, NDArray[np.bool_]]:
    """By dataset, the columns that may be borrowed: those that it gives for no food."""
    may = np.array([_may_be_borrowed(one.tagname) for one in table.components])
    lacks, start = {}, 0
    for dataset, foods in groupby(table.foods, key=lambda food: food.dataset):
        end = start + sum(1 for _ in foods)
        lacks[dataset] = may & np.isnan(table.amounts[start:end]).all(axis=0)
        start = end
    return lacks


def _may_be_borrowed(tagname: str) -> bool:
    return tagname.startswith(_NOT_THEM) or not tagname.startswith(_OWN_TO_A_TABLE)
