"""What the tables do not give of a dish: foods without an entry, components of a food without a figure.

A component of a food is bounded where the tables give a limit or a trace of it; of a line, where that is so of each of
its foods that has no figure.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from service.core.composition import Dish, Ingredient
from service.core.figures import NET, Figures
from service.core.nutrients import NET_TERMS


def absent(dish: Dish) -> Iterator[tuple[bool, tuple[Ingredient, ...]]]:
    """Ingredients that are not counted: those that no table has, then those whose chosen food is `gone`."""
    for gone in (False, True):
        if found := tuple(one for one in dish.ingredients if one.unmatched and one.gone is gone):
            yield gone, found


@dataclass(frozen=True, slots=True)
class LackingFoods:
    """Foods of which the tables give no figure of the same components, or but a bound."""

    bounded: bool
    tagnames: tuple[str, ...]
    foods: tuple[Ingredient, ...]


def lacking_foods(dish: Dish, figures: Figures, tagnames: Iterable[str]) -> list[LackingFoods]:
    """The foods of a dish that lack some of these components, by what they lack, in order of their first lines."""
    places = _places(figures)
    known = [tagname for tagname in tagnames if tagname in places]
    found: dict[tuple[bool, tuple[str, ...]], list[Ingredient]] = {}
    for one in dish.ingredients:
        lacks = [tagname for tagname in known if _lacks(one, places[tagname])]
        for bounded in (False, True):
            if named := tuple(tagname for tagname in lacks if (tagname in one.limits) is bounded):
                found.setdefault((bounded, named), []).append(one)
    groups = sorted(found.items(), key=lambda pair: min(one.line for one in pair[1]))
    return [LackingFoods(*what, tuple(foods)) for what, foods in groups]


@dataclass(frozen=True, slots=True)
class LackingLines:
    """Lines that are counted though the tables give no figure of the same components of them, or but a bound."""

    bounded: bool
    tagnames: tuple[str, ...]
    lines: tuple[int, ...]


def lacking_lines(dish: Dish, figures: Figures, tagnames: Iterable[str]) -> list[LackingLines]:
    """The lines of a dish that lack some of these components (or net carbohydrate), by what they lack."""
    found: dict[tuple[tuple[int, ...], bool], list[str]] = {}
    for tagname in tagnames:
        total = figures.net_carbohydrate if tagname == NET else figures.total(tagname)
        lacking = {*total.unknown_in} - {*dish.unmatched, *dish.unweighed, *dish.undivided}
        lacking -= {one.line for one in dish.ingredients if one.absorbs} - _lacking_in(dish, figures, tagname)
        bounds = {line for line in lacking if _is_bounded(dish, figures, line, tagname)}
        for lines, bounded in ((lacking - bounds, False), (bounds, True)):
            if lines:
                found.setdefault((tuple(sorted(lines)), bounded), []).append(tagname)
    return [LackingLines(bounded, tuple(named), lines) for (lines, bounded), named in found.items()]


def _is_bounded(dish: Dish, figures: Figures, line: int, tagname: str) -> bool:
    parts = [one for one in dish.ingredients if one.line == line]
    if tagname == NET:
        has_end = figures.net_carbohydrate.high is not None
        return has_end and any(not one.limits.keys().isdisjoint(NET_TERMS) for one in parts)
    place = _places(figures)[tagname]
    lacking = [one for one in parts if _lacks(one, place)]
    return bool(lacking) and all(tagname in one.limits for one in lacking)


def _lacking_in(dish: Dish, figures: Figures, tagname: str) -> set[int]:
    """The lines of which the table of a food lacks a figure; net carbohydrate is not looked for."""
    place = _places(figures).get(tagname)
    return {one.line for one in dish.ingredients if place is None or _lacks(one, place)}


def _places(figures: Figures) -> dict[str, int]:
    return {total.tagname: place for place, total in enumerate(figures.components)}


def _lacks(one: Ingredient, place: int) -> bool:
    """Whether some of it is eaten, and its table gives no figure; unknown frying fat is no gap of a table."""
    weightless = one.grams is not None and one.grams.high == 0
    row = one.least if one.absorbs else one.row
    return row is not None and not weightless and math.isnan(row[place])
