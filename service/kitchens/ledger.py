"""What each line and section of a recipe brings to a serving, for a page that shows a recipe line by line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from service.core.composition import Ingredient, Spread, dish, total
from service.core.figures import Figures, figures
from service.core.nutrients import NET_TERMS
from service.core.recipe import RecipeYield, all_lines
from service.kitchens.book import Book, Worked, weight_of

SHOWN = ("ENERC_KCAL", "ENERC_KJ", "PROCNT", "FAT", "CHOCDF", "FIBTG")
# What net carbohydrate and energy shares are worked out from beside these.
_BEHIND = (*(tagname for tagname in NET_TERMS if tagname not in SHOWN), "ALC")


@dataclass(frozen=True, slots=True, eq=False)
class Contribution:
    """What some lines bring.

    listed      grams of the whole recipe as the lines give them, of what has a weight: a saved recipe weighs what is
                taken of it as it is served, and what of a line is not eaten is on the list too
    raw         edible grams of the whole recipe that are eaten, as they go in: those of a saved recipe one by one
    unweighed   numbers of the lines with a food whose weight is not known
    serving     figures of one plain serving's share of them
    """

    lines: frozenset[int]
    listed: Spread
    raw: Spread
    unweighed: frozenset[int]
    serving: Figures


@dataclass(frozen=True, slots=True, eq=False)
class Ledger:
    """Every line by its number, every section in order, all that is optional, and all there is.

    listed  grams as the lines give them, by the name of each way to serve it
    """

    lines: tuple[Contribution, ...]
    sections: tuple[Contribution, ...]
    optional: Contribution
    everything: Contribution
    listed: Mapping[str, Spread]


def ledger(book: Book, worked: Worked) -> Ledger:
    """What lines and sections bring; lines of swaps are in no section."""
    names = [name for name in (*SHOWN, *_BEHIND) if name in book.columns]
    places = [book.columns[name] for name in names]
    components, base = [book.components[place] for place in places], worked.base
    added = [one for one in worked.ingredients if one.line not in base.lines]
    of_line: dict[int, list[Ingredient]] = {number: [] for number in range(1, len(worked.lines) + 1)}
    for one in (*base.portions.dish.ingredients, *added):
        of_line[one.line].append(one.of_columns(places))
    # What the plain dish holds is cooked already; its yield is not asked for a second time.
    as_served = replace(worked.recipe, yields=RecipeYield())

    stated = _stated(worked)

    def listed(lines: frozenset[int]) -> Spread:
        return total(stated[number] for number in lines if number in stated)

    def brought(lines: frozenset[int]) -> Contribution:
        made = dish(as_served, [one for number in sorted(lines) for one in of_line[number]], lines)
        unweighed = frozenset(one.line for one in made.ingredients if one.grams is None)
        shared = figures(made, components, worked.recipe.net).divided(base.portions.servings)
        return Contribution(lines, listed(lines), made.raw, unweighed, shared)

    return Ledger(
        tuple(brought(frozenset((number,))) for number in of_line),
        tuple(brought(lines) for lines in _sections(worked)),
        brought(worked.optional),
        brought(all_lines(worked.recipe)),
        {way.name: listed(way.lines) for way in (worked.base, *worked.variants)},
    )


def _stated(worked: Worked) -> dict[int, Spread]:
    """Grams that each line gives by its number; a line that is left out gives none."""
    placed = zip(worked.recipe.placed(), worked.lines, strict=True)
    return {
        number: total(spread for part in result.parts if (spread := weight_of(part)) is not None)
        for number, ((_, line), result) in enumerate(placed, 1)
        if not line.left_out
    }


def _sections(worked: Worked) -> list[frozenset[int]]:
    found, start = [], 1
    for section in worked.recipe.sections:
        found.append(frozenset(range(start, start + len(section.lines))))
        start += len(section.lines)
    return found


def share_of(part: Contribution, whole: Contribution) -> Mapping[str, float | None]:
    """Share of 1 that a part brings of each figure; None where either is not known in full, or there is none."""
    pairs = [(part.serving.total(name), whole.serving.total(name)) for name in SHOWN]
    pairs.append((part.serving.net_carbohydrate, whole.serving.net_carbohydrate))
    return {a.tagname: a.value / b.value if a.value is not None and b.value else None for a, b in pairs}
