"""Many lines at once: text blocks into lines, line results into totals and coverage."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from service.core.analyse import LineResult, PartResult, Resolver
from service.core.food import FoodTable
from service.core.kitchen import Kitchen
from service.core.line_list import in_their_list
from service.core.nutrients import DEFAULT_COMPONENTS, Analysis, Counted, NetCarbohydrate, analyse
from service.core.weighed_line import GramWeight

Grams = tuple[float, float | None, float | None]


def split_lines(text: str) -> list[str]:
    """The lines of a text, which end at LF only; the last one need not."""
    lines = text.split("\n")
    return lines[:-1] if lines[-1] == "" else lines


def analyse_results(
    resolver: Resolver,
    results: Sequence[LineResult],
    *,
    components: Sequence[str] = DEFAULT_COMPONENTS,
    servings: float | None = None,
    kitchen: Kitchen | None = None,
) -> Analysis[LineResult]:
    """Totals and coverage of lines that are resolved already, in `kitchen` where they were resolved in one."""
    results = in_their_list(results, titled=True)
    table, places, nets = _with_foods_of(kitchen, resolver, results)
    counted = [food for number, result in enumerate(results, 1) for food in _foods(places, number, result)]
    not_food = sum(result.outcome == "not_food" for result in results)
    unread = tuple(number for number, result in enumerate(results, 1) if result.unread)
    return analyse(
        results, counted, table, not_food=not_food, unread=unread, components=components, servings=servings, nets=nets
    )  # fmt: skip


def _with_foods_of(
    kitchen: Kitchen | None, resolver: Resolver, results: Sequence[LineResult]
) -> tuple[FoodTable, Mapping[str, int], Mapping[str, NetCarbohydrate]]:
    """The table with the row of each food by id; of the foods named only, where some of them are the kitchen's.

    With the net carbohydrate of the kitchen's foods.
    """
    table, places = resolver.table, resolver.index.places
    if kitchen is None:
        return table, places, {}
    named = dict.fromkeys(part.food.id for result in results for part in result.parts if part.food)
    if all(food_id in places for food_id in named):
        return table, places, {}
    foods = [resolver.known(food_id, kitchen) for food_id in named]
    contents = [food.content() for food in foods]
    rows = np.array([content.row[: len(table.components)] for content in contents])
    own = replace(table, foods=tuple(food.entry for food in foods), amounts=rows)
    nets = {food_id: content.net for food_id, content in zip(named, contents, strict=True) if content.net is not None}
    return own, {food_id: place for place, food_id in enumerate(named)}, nets


def _foods(places: Mapping[str, int], number: int, result: LineResult) -> Iterator[Counted]:
    """What a line adds to the totals; a line that could not be read at all still names something."""
    if result.outcome == "no_match" and not result.parts:
        yield Counted(number)
    for part in result.parts:
        if part.outcome != "not_food":
            yield _food(places, number, part)


def _food(places: Mapping[str, int], number: int, part: PartResult) -> Counted:
    found = part.food is not None and part.outcome in ("resolved", "check")
    place = places[part.food.id] if found and part.food else None
    return Counted(number, place, _grams(part.grams), part.outcome == "check", part.optional)


def _grams(weight: GramWeight | None) -> Grams | None:
    return None if weight is None or weight.value is None else (weight.value, weight.low, weight.high)
