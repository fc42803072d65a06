"""What is weighed and what comes of it: the values that the rules of weighing share, and what several of them read.

A rule takes an amount and a `WeighedLine` and gives the weight of one of the amount's measure (`Each`), or None where
it does not answer; core/gram_weight tries the rules in order and multiplies.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from service.core.edible_portion import EdibleTables, KindRow, KindTable
from service.core.food import FoodEntry
from service.core.measure import CUTS, Households, Measures
from service.core.values import quick


@quick
@dataclass(frozen=True, slots=True)
class GramWeight:
    """A gram weight; `value` is None where it is unknown, and `low` and `high` with it.

    Of a share of a saved recipe in which not all has a weight, `low` alone is known: it weighs at least that.

    rule     the rule that answered; basis: the figure it rests on, in words
    certain  the weight is stated, or rests on this food's own household measures
    share    of a saved recipe: what the line states of it as shares of all of it (value, low, high), whatever it weighs
    """

    value: float | None
    low: float | None
    high: float | None
    rule: str
    basis: str
    certain: bool
    reasons: tuple[str, ...] = ()
    share: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Heap:
    """How far a word such as "heaped" moves a spoon ("spoon"), a cup ("cup") or anything else ("other")."""

    factor: float
    low: float
    high: float

    def over(self, other: Heap) -> Heap:
        """How far a measure heaped in this way is from one heaped in another; the bounds of both widen it."""
        return Heap(self.factor / other.factor, self.low / other.high, self.high / other.low)


@dataclass(frozen=True, slots=True)
class WeightTables:
    """The hand-kept tables of weighing, as service/tables/weights.py loads them.

    uncounted    heads of foods that nobody counts by the piece
    same_pieces  measure -> other names of the same piece, likeliest first
    """

    measures: Measures
    edible: EdibleTables
    densities: KindTable
    pieces: KindTable
    packages: KindTable
    vague: KindTable
    drained: KindTable
    yields: KindTable
    fluid: KindTable
    heaps: Mapping[tuple[str, str], Heap] = field(default_factory=dict)
    systems: KindTable = field(default_factory=KindTable)
    uncounted: frozenset[str] = frozenset()
    same_pieces: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@quick
@dataclass(frozen=True, slots=True)
class Each:
    """The weight in grams of one of the amount's measure, with bounds; `rule` to `reasons` as in GramWeight."""

    value: float
    low: float
    high: float
    rule: str
    basis: str
    certain: bool
    reasons: tuple[str, ...] = ()

    def times(self, factor: float, low: float, high: float) -> Each:
        """The value and each bound times a factor of its own."""
        return replace(self, value=self.value * factor, low=self.low * low, high=self.high * high)


def of_row(row: KindRow, rule: str, what: str) -> Each:
    """The grams that a row of a table gives for one `what`, with its source; never certain."""
    basis = f"{what}: {row.value:g} g ({row.source})"
    reason = f"{what} of this food was taken as {row.value:g} g"
    return Each(row.value, row.low, row.high, rule, basis, False, (reason,))


@quick
@dataclass(frozen=True, slots=True)
class WeighedLine:
    """What a line says beside its amount, with the food it was matched to.

    rows    the food's own household measures
    kin     words that name the food: of its description and of the line's phrase
    said    every word of the part; cuts: its cutting words by the stems of CUTS,
            coarser ones that meet them included; exact: without those
    tokens  the words of its phrase; head: the last of them
    as_purchased, drained, taken: see Part
    sisters  entries of the same cut that differ in what was analysed of it: see core/sisters
    """

    food: FoodEntry
    rows: Households
    kin: frozenset[str]
    said: frozenset[str]
    cuts: frozenset[str]
    exact: frozenset[str]
    tokens: frozenset[str]
    head: str
    states: frozenset[str]
    as_purchased: bool
    drained: bool
    taken: str | None
    tables: WeightTables
    sisters: tuple[FoodEntry, ...] = ()


# A finer cut is met by the row of a coarser one where the publisher has no row of its own.
_COARSER = {"mince": ("chop",), "strip": ("slice",), "sliver": ("slice",), "flake": ("chop", "slice")}
# What a food is worked into that is none of these by itself: flour of almonds is ground, paste of ginger mashed.
# Word -> the cut, by its stem in CUTS.
WORKED = {"flour": "grind", "meal": "grind", "paste": "mash"}


# The forms in which a food is filled into a measure, and what may become of them after that.
_FILLED = frozenset({"chop", "mince", "slice", "strip", "sliver", "shred", "half", "whole", "crumble", "flake"})
_AFTERWARDS = _FILLED | {"mash", "crush", "grind", "melt", "crumb"}


# The group of what is filled whole and ground by the cook; of spices "ground" says what was bought.
_NUTS = "Nut and Seed Products"


def as_filled(cuts: frozenset[str], phrase: Sequence[str | None], food: FoodEntry) -> frozenset[str]:
    """The cuts without those that come about after measuring: "2 cups walnut halves, ground" are filled as halves.

    `phrase` are the words before the first mark, by which a measure is filled where they name a form.
    """
    if not cuts:
        return cuts
    said = frozenset([CUTS[word] for word in phrase if word in CUTS])
    if filled := said & _FILLED:
        return cuts - (_AFTERWARDS - filled)
    return cuts - ({"grind"} - said) if food.group_name == _NUTS else cuts


def cuts_asked(exact: frozenset[str], phrase: frozenset[str], described: frozenset[str]) -> frozenset[str]:
    """The cuts that a line asks for, by the stems of CUTS, coarser ones that meet them included.

    `exact` are those that it says, `phrase` the words of its food, `described` those of the entry: the flour of a food
    that is none ("almond flour", of almonds) is ground.
    """
    worked = phrase & WORKED.keys()
    cuts = exact.union([WORKED[word] for word in worked]) if worked and described.isdisjoint(WORKED) else exact
    return cuts.union(*(_COARSER.get(cut, ()) for cut in cuts)) if cuts else cuts


# Sizes on either side of medium.
SMALLER = frozenset({"small", "extra small"})
LARGER = frozenset({"large", "extra large", "jumbo"})
# Size -> how far it moves a measure that has none ("a small handful"), as a factor; common kitchen practice.
SIZE_FACTORS = {"extra small": 0.5, "small": 0.7, "large": 1.4, "extra large": 1.7, "jumbo": 2.0}
