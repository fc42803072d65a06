"""The same food in several tables in use: which entry stands for a line, by the order in which tables are preferred.

Names of the tables lead to entries of one table. Where a table that is preferred to it has the same food, by a
publisher's own statement or by the very description that the line says, that entry answers and the other is named (see
`near_equal` for foods that are the same by names and figures only). An entry that has no household measures or refuse
of its own is weighed by those of the same food elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from service.core.food import FoodEntry, FoodTable
from service.core.likeness import UNLIKE, compared_figures, shares_apart
from service.core.text import fold, singular

_WORD = re.compile(r"[^\W\d_]{3,}")
_NONE: Mapping[str, tuple[str, ...]] = {}


def dataset_of(food_id: str) -> str:
    """The dataset of a food's id."""
    return food_id.partition(":")[0]


def twins(table: FoodTable) -> Mapping[str, tuple[str, ...]]:
    """By id, the same food in other tables in use, the preferred table first; of two in one table neither counts."""
    if not table.links:
        return _NONE
    linked: dict[str, set[str]] = {}
    for one, other in _links(table):
        linked.setdefault(one, set()).add(other)
        linked.setdefault(other, set()).add(one)
    order = [release.dataset for release in table.releases]
    found, agree = {}, _agreement(table)
    for food_id, others in sorted(linked.items()):
        alone = [one for one in others if sum(dataset_of(one) == dataset_of(other) for other in others) == 1]
        alone = [one for one in alone if agree(food_id, one)]
        if alone:
            found[food_id] = tuple(sorted(alone, key=lambda one: order.index(dataset_of(one))))
    return found


def _links(table: FoodTable) -> Iterator[tuple[str, str]]:
    """Pairs of entries of two datasets, both in the table."""
    known = {food.id for food in table.foods}
    for food_id, links in table.links.items():
        yield from ((food_id, link) for link in links if link in known and dataset_of(link) != dataset_of(food_id))


def _agreement(table: FoodTable) -> Callable[[str, str], bool]:
    """Whether two linked entries agree in more than a number: in a word, or in what they are made of."""
    places = {food.id: place for place, food in enumerate(table.foods)}

    def agree(food_id: str, other_id: str) -> bool:
        one, other = places[food_id], places[other_id]
        return _share_a_word(table.foods[one], table.foods[other]) or not _are_unlike(table, one, other)

    return agree


def _share_a_word(one: FoodEntry, other: FoodEntry) -> bool:
    words, others = ({*map(singular, _WORD.findall(fold(food.description)))} for food in (one, other))
    return not words.isdisjoint(others)


def _are_unlike(table: FoodTable, one: int, other: int) -> bool:
    """Whether two entries are too far apart for one food; what is not known of both tells nothing."""
    ours, theirs = compared_figures(table, (one, other))
    return bool(shares_apart(ours, theirs).max() > UNLIKE)


def weighed_as(food: FoodEntry, twin: FoodEntry, *, itself: bool = False) -> FoodEntry:
    """The twin, by which lines name the food, with the food's own measures first and its refuse where it has one.

    Where lines name the food by `itself`, it is the food that both are known of.
    """
    refuse = food if food.refuse_percent else twin
    return replace(
        food if itself else twin, measures=(*food.measures, *twin.measures), refuse_percent=refuse.refuse_percent,
        refuse_text=refuse.refuse_text,
    )  # fmt: skip
