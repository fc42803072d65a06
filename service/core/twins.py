"""The same food in several tables in use: which entry stands for a line, by the order in which tables are preferred.

Names of the tables lead to entries of one table. Where a table that is preferred to it has the same food, by a
publisher's own statement or by the very description that the line says, that entry answers and the other is named (see
`near_equal` for foods that are the same by names and figures only). An entry that has no household measures or refuse
of its own is weighed by those of the same food elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain

import numpy as np

from service.core.food import Component, FoodDetails, FoodEntry, FoodTable
from service.core.likeness import UNLIKE, furthest_apart
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
    pairs = tuple(_links(table))
    order = {release.dataset: place for place, release in enumerate(table.releases)}
    linked: dict[str, set[str]] = {}
    for one, other in pairs:
        linked.setdefault(one, set()).add(other)
        linked.setdefault(other, set()).add(one)
    false = _false_links(table, pairs)
    found = {food_id: _in_order(food_id, others, order, false) for food_id, others in sorted(linked.items())}
    return {food_id: others for food_id, others in found.items() if others}


def _in_order(
    food_id: str, others: Iterable[str], order: Mapping[str, int], false: Container[frozenset[str]]
) -> tuple[str, ...]:
    """What is linked with a food and alone so in its table, the preferred table first."""
    by_table: dict[int, list[str]] = {}
    for one in others:
        by_table.setdefault(order[dataset_of(one)], []).append(one)
    alone = (ids[0] for _, ids in sorted(by_table.items()) if len(ids) == 1)
    return tuple([one for one in alone if frozenset((food_id, one)) not in false])


def is_false_link(one: FoodDetails, other: FoodDetails) -> bool:
    """Whether two foods that a publisher calls the same are a food of its own each, by what is known of both."""
    known = [{value.tagname: value for value in found.values} for found in (one, other)]
    tagnames = tuple(dict.fromkeys(chain(*known)))
    amounts = [[values[tagname].known if tagname in values else None for tagname in tagnames] for values in known]
    limits = {
        found.food.id: {tagname: value.amount for tagname, value in values.items() if value.qualifier == "below"}
        for found, values in zip((one, other), known, strict=True)
    }
    components = tuple(Component(tagname, "", "", "", 0) for tagname in tagnames)
    table = FoodTable((one.food, other.food), components, np.array(amounts, dtype=float), limits=limits)
    return bool(_false_links(table, [(one.food.id, other.food.id)]))


def _links(table: FoodTable) -> Iterator[tuple[str, str]]:
    """Pairs of entries of two datasets, both in the table."""
    known = {food.id for food in table.foods}
    for food_id, links in table.links.items():
        yield from ((food_id, link) for link in links if link in known and dataset_of(link) != dataset_of(food_id))


def _false_links(table: FoodTable, pairs: Sequence[tuple[str, str]]) -> set[frozenset[str]]:
    """The pairs whose figures lie too far apart for one food while their descriptions have little in common.

    What is not known of both tells nothing.
    """
    apart = [pairs[at] for at in np.flatnonzero(furthest_apart(table, pairs) > UNLIKE).tolist()]
    ids = {food_id for pair in apart for food_id in pair}
    words = {food.id: {*map(singular, _WORD.findall(fold(food.description)))} for food in table.foods if food.id in ids}
    return {frozenset((one, other)) for one, other in apart if not _are_called_alike(words[one], words[other])}


def _are_called_alike(words: set[str], others: set[str]) -> bool:
    """Whether half of the words of the shorter description are in the other one.

    By trial on six tables: so are those of salt-roasted seeds and of flours in two tables whose figures differ, but not
    those of a plain yogurt and one with strawberries, which a publisher calls the same.
    """
    shared = len(words & others)
    return shared > 0 and min(len(words), len(others)) <= 2 * shared


def weighed_as(food: FoodEntry, twin: FoodEntry, *, itself: bool = False) -> FoodEntry:
    """The twin, by which lines name the food, with the food's own measures first and its refuse where it has one.

    Where lines name the food by `itself`, it is the food that both are known of.
    """
    refuse = food if food.refuse_percent else twin
    return replace(
        food if itself else twin, measures=(*food.measures, *twin.measures), refuse_percent=refuse.refuse_percent,
        refuse_text=refuse.refuse_text,
    )  # fmt: skip
