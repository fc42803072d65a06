"""The same food in several tables in use: which entry stands for a line, by the order in which tables are preferred.

Names of the tables lead to entries of one table. Where a table that is preferred to it has the same food, by a
publisher's own statement or by the very description that the line says, that entry answers and the other is named (see
`near_equal` for foods that are the same by names and figures only). An entry that has no household measures or refuse
of its own is weighed by those of the same food elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from service.core.food import FoodEntry, FoodTable

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
    found = {}
    for food_id, others in sorted(linked.items()):
        alone = [one for one in others if sum(dataset_of(one) == dataset_of(other) for other in others) == 1]
        if alone:
            found[food_id] = tuple(sorted(alone, key=lambda one: order.index(dataset_of(one))))
    return found


def _links(table: FoodTable) -> Iterator[tuple[str, str]]:
    """Pairs of entries of two datasets, both in the table."""
    known = {food.id for food in table.foods}
    for food_id, links in table.links.items():
        yield from ((food_id, link) for link in links if link in known and dataset_of(link) != dataset_of(food_id))


def weighed_as(food: FoodEntry, twin: FoodEntry, *, itself: bool = False) -> FoodEntry:
    """The twin, by which lines name the food, with the food's own measures first and its refuse where it has one.

    Where lines name the food by `itself`, it is the food that both are known of.
    """
    refuse = food if food.refuse_percent else twin
    return replace(
        food if itself else twin, measures=(*food.measures, *twin.measures), refuse_percent=refuse.refuse_percent,
        refuse_text=refuse.refuse_text,
    )  # fmt: skip
