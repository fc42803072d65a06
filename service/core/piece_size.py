"""The size of a piece: which of a food's household measures it means, and what a size weighs that no row has."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from service.core.amount import Amount
from service.core.edible_portion import KindRow
from service.core.food import FoodEntry
from service.core.measure import Household, size_gap
from service.core.sisters import weighed_as_bought
from service.core.weighed_line import LARGER, SMALLER, Each, WeighedLine


def of_size(rows: tuple[Household, ...], amount: Amount, line: WeighedLine, *, certain: bool) -> Each:
    """One piece by the row of the size said; none said: the usual size, medium, the row without one, or the first.

    `rows` are household measures of one unit, at least one; `certain`: they are what the line counts.
    """
    best = [row for row in rows if row.cuts & line.cuts or row.marks & line.said]
    best = best or [row for row in rows if not row.marks] or list(rows)  # "1 slice", not "1 slice, thin"
    if amount.measure in _SLICED and (such := _of_thickness(rows, amount)):
        grams = such.grams
        return Each(grams, grams * 0.9, grams * 1.1, "household measure", such.text, certain)
    row = of_inches(best, line) or _pick_size(best, amount.size or _usual_size(best, line))
    low, high = _piece_bounds(row, rows, amount.size)
    each = Each(row.grams, low, high, "household measure", row.text, certain)
    told = _of_kind(each, row, amount.size, line) if amount.size and row.size else None
    if amount.size and row.size != amount.size:
        each = told or _of_other_size(each, amount.size, row.size)
    if amount.size == "large" and amount.measure in _SLICED and _SHAVED.search(row.text):
        each = replace(each, high=max(each.high, row.grams * _TIMES_SHAVED), reasons=(*each.reasons, SHAVED))
    if weighed_as_bought(line.food, row.text, line.sisters):
        each = _less_refuse(each, line.food)
    whole = row.whole or amount.measure is None
    bounds = _bounds(row, amount, line) if whole and told is None else None
    if bounds is None or bounds.size not in ("", row.size) or (row.size and amount.size == row.size != bounds.size):
        return each
    # bounds of no size hold both the small and the large: a size that is said widens to its own side
    low = each.low if amount.size in LARGER and not bounds.size else min(each.low, bounds.low)
    high = each.high if amount.size in SMALLER and not bounds.size else max(each.high, bounds.high)
    return replace(each, low=low, high=high)


# What a thick slice, read as a large one, and a thin one are called by publishers.
_CALLED = {"large": "thick", "small": "thin"}
_SLICED = frozenset({"slice", "rasher", "strip"})
# Slices of a sixteenth or an eighth of an inch; a cook's thick one may weigh so many times as much.
_SHAVED = re.compile(r"\b(?:1/16|1/8|3/32)\"")
_TIMES_SHAVED = 4.0
SHAVED = "the publisher's slice is thin"


def _of_thickness(rows: Sequence[Household], amount: Amount) -> Household | None:
    """The publisher's own thick or thin slice, where slices of that thickness are counted."""
    called = _CALLED.get(amount.size or "")
    return next((row for row in rows if called in row.marks), None) if called else None


def _of_other_size(each: Each, size: str, listed: str) -> Each:
    """A piece of a size that no row has, by a row of another size or of none."""
    each = replace(each, reasons=(f"the tables have no {size} piece of this food",))
    each = replace(each, low=each.value, high=each.value * 1.5)
    return resized(each, size, listed) if listed else widened(each, size)


def _of_kind(each: Each, row: Household, size: str, line: WeighedLine) -> Each | None:
    """A piece of a size that the tables give for its kind beside the one listed: a boiled egg, by raw ones."""
    if row.size == size:
        return None
    find = line.tables.pieces.find
    listed, said = (find("bounds:", line.kin, size=one, any_food=False) for one in (row.size, size))
    if listed is None or said is None or listed.size != row.size or said.size != size:
        return None
    scale = row.grams / listed.value
    basis = f"{each.basis}; {size}: {said.value / listed.value:.2g} of it"
    return replace(each, value=said.value * scale, low=said.low * scale, high=said.high * scale, basis=basis)


def _less_refuse(each: Each, food: FoodEntry) -> Each:
    """A piece that the publisher weighed as it is bought, without what nobody eats of it."""
    share = 1 - food.refuse_percent / 100
    cut = each.times(share, share, share)
    return replace(cut, basis=f"{each.basis} as bought; refuse {food.refuse_percent:g}%")


def _bounds(row: Household, amount: Amount, line: WeighedLine) -> KindRow | None:
    """The row of the tables that widens a piece: where no size is said that of any size, if there is one."""
    any_size = None if amount.size else line.tables.pieces.find("bounds:", line.kin, any_food=False)
    if any_size is not None and not any_size.size:
        return any_size
    return line.tables.pieces.find("bounds:", line.kin, size=row.size, any_food=False)


def _usual_size(rows: list[Household], line: WeighedLine) -> str | None:
    """The size that a recipe means without saying it, where that is not medium: eggs are large."""
    if len(rows) < 2:
        return None
    usual = line.tables.pieces.find("usual:", line.kin, any_food=False)
    return usual.size if usual else None


_CUT_TO_SIZE = frozenset({"cut", "piece", "pieces", "chunk", "chunks", "strip", "strips", "slice", "slices", "dice"})


def of_inches(rows: Sequence[Household], line: WeighedLine) -> Household | None:
    """The row whose dimensions the line states: "two 10-inch tortillas"."""
    if len(rows) < 2 or "inch" not in line.said or line.said & _CUT_TO_SIZE:  # "cut into 2-inch pieces"
        return None
    sizes = [f'{word}"' for word in line.said if word.isdigit()]
    wanted = [before + size for size in sizes for before in " (-"]
    return next((row for row in rows if any(size in row.text for size in wanted)), None)


def _pick_size(rows: list[Household], size: str | None) -> Household:
    if size is None:
        for wanted in ("medium", "", "large"):
            if found := next((row for row in rows if row.size == wanted), None):
                return found
        return rows[0]
    if not size:
        return next((row for row in rows if not row.size), rows[0])
    return min(rows, key=lambda row: size_gap(row.size, size))


_MADE_TO_SIZE = frozenset({"stick", "pat", "envelope", "tablet", "dash", "spray"})


def _piece_bounds(row: Household, rows: tuple[Household, ...], size: str | None) -> tuple[float, float]:
    """Pieces of one size vary by about a tenth; where no size is said, from the small to the large row."""
    if size is not None and row.size:
        return row.grams * 0.9, row.grams * 1.1
    if row.unit in _MADE_TO_SIZE:
        return row.grams * 0.97, row.grams * 1.03
    near = [other.grams for other in rows if other.size in ("small", "medium", "large", "")]
    if len(near) > 1:
        return min(row.grams, *near), max(row.grams, *near)
    return row.grams * 0.8, row.grams * 1.2


# Size: (share of medium; share of a piece of no size, with the lowest and the highest). Over the foods of SR28 that
# list several sizes the median of small to medium is 0.73 (103 foods), of large to medium 1.36 (112), of extra large
# 1.49 (11); the others are from memory. What is usual may itself be small or large, so its shares are nearer to one.
_SIZE_SHARES = {
    "extra small": (0.6, 0.7, 0.5, 1.0),
    "small": (0.73, 0.8, 0.75, 1.0),
    "medium": (1.0, 1.0, 0.85, 1.15),
    "large": (1.36, 1.2, 1.0, 1.35),
    "extra large": (1.49, 1.3, 1.0, 1.6),
    "jumbo": (1.8, 1.5, 1.0, 1.8),
}


def resized(each: Each, size: str | None, listed: str) -> Each:
    """A piece of a size that no row has, by the row of another size, or by what is usual ("").

    `each` is the weight by that row, `size` what the line says, `listed` the row's.
    """
    if not size or size not in _SIZE_SHARES:
        return each
    share, unsized = _SIZE_SHARES[size][:2]
    share = share / _SIZE_SHARES[listed][0] if listed else unsized
    wide = widened(each, size)
    if share == 1:
        return wide
    low, high = min(wide.low, each.low * share), max(wide.high, each.high * share) if listed else wide.high
    return replace(each, value=each.value * share, low=low, high=high, basis=f"{each.basis}; {size}: {share:.2g} of it")


def widened(each: Each, size: str | None) -> Each:
    """A publisher's piece without a size: its weight stays as published, for any size; the bounds hold the other."""
    if not size or size not in _SIZE_SHARES:
        return each
    lowest, highest = _SIZE_SHARES[size][2:]
    low, high = min(each.low, each.value * lowest), max(each.value, min(each.high * 1.2, each.value * highest))
    return replace(each, low=low, high=high)
