"""Which of several entries stands for a line, and how sure that is: the outcome of a part.

Confidence comes from separate questions, not from a score: is it an ingredient, is every food noun accounted
for, is a generic noun only a default, is the state met, is the spelling certain, is the weight known.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from service.core.amount import Amount
from service.core.food import FoodEntry
from service.core.food_match import DISHES, Match
from service.core.noun_phrase import ADJECTIVES
from service.core.part import Part
from service.core.piece_weight import ANY_FOOD
from service.core.said_twice import DISAGREEING
from service.core.volume_weight import ROWS_DIFFER, VESSELS_DIFFER
from service.core.weighed_line import GramWeight

Outcome = Literal["resolved", "check", "no_match", "not_food"]

# From this confidence on nobody has to look; measured on the readable gold lines (tests/benchmarks/lines.py).
SURE = 0.85
FAIR = 0.2
# The weakest part decides the line.
ORDER: dict[str, int] = {"no_match": 0, "check": 1, "resolved": 2, "not_food": 3}


@dataclass(frozen=True, slots=True)
class Choice:
    """The outcome of a part with its confidence in the food and the reasons in plain words."""

    outcome: Outcome
    confidence: float
    reasons: tuple[str, ...]


# What an amount is counted by where it is not of the whole recipe.
_PER = frozenset({"per person", "per serving", "per portion", "per plate", "per bowl", "per head", "per guest"})


# A comparison that no table weighs, unless it is with what a piece is measured by anyhow.
_LIKENESS, _MEASURING = frozenset({"the size of", "size of"}), frozenset({"thumb", "finger"})


# Words before a food that are no measure.
_TELLING = ADJECTIVES | {"whole", "spicy", "chopped", "and"}


# Groups whose foods are bought whole and served by the slice.
_SLICED = frozenset({"Baked Products", "Dairy and Egg Products"})
# How a publisher measures a cake: "1 piece (1/12 of 16 oz cake) = 38 g".
_OF_A_WHOLE = re.compile(r"1 piece \(1/\d")


# What is used beyond the amount that a line states.
_MORE = frozenset({"plus extra", "plus more", "and more"})

# More grams of yeast than two sachets are of the fresh one, unless it is called dry.
_YEAST, _MOST_YEAST = "Leavening agents, yeast, baker's, active dry", 15.0
_CALLED_DRY = frozenset({"dry", "active", "instant", "fast", "quick", "rapid", "easy"})

# A piece that may weigh so many times as much as another, and so many grams more, is asked for.
_APART = ((4.5, 150.0), (12.0, 30.0))

# Nobody stirs more grams of a dried spice into a dish; so much of it may be the fresh plant.
_MOST_SPICE = 250.0


def choose(part: Part, match: Match, weight: GramWeight | None, food: FoodEntry | None = None) -> Choice:
    """Decide the outcome of a part from its match, and the weight of its food."""
    food_group = food.group_name if food is not None else ""
    if not match.found or match.confidence < FAIR:
        return Choice("no_match", 0.0, match.reasons or ("the tables have no fair entry",))
    doubts = [*_doubts_of_amount(part), *_doubts_of_name(part, match, food_group)]
    more = _MORE & part.words if part.amount is not None else frozenset()
    said = (*doubts, *(f"{word!r} has no amount: what it adds is not counted" for word in sorted(more)[:1]))
    if weight is not None:
        weighed = [*_doubts_of_pieces(part, weight, food_group), *_doubts_of_so_much(part, weight, food)]
        doubts += weighed
        said = (*said, *weight.reasons, *weighed)
    sure = match.confidence >= SURE and match.certain and not (weight is not None and _may_differ(weight))
    outcome: Outcome = "resolved" if sure and not doubts else "check"
    return Choice(outcome, round(match.confidence, 4), (*match.reasons, *said))


def _doubts_of_amount(part: Part) -> Iterator[str]:
    """Why what is counted is not clear from the line alone."""
    if part.shared:
        yield "one amount for several foods, divided evenly"
    if part.divided:
        yield "the line says what becomes of some and of others; all are counted alike"
    if part.amount is not None and not part.words.isdisjoint(_PER):
        yield "the amount is for one; the line does not say for how many"
    if not part.words.isdisjoint(_LIKENESS) and part.words.isdisjoint(_MEASURING):
        yield "the size that the line compares it with is not weighed"
    if part.phrases and part.phrases[0].cut:
        yield "pieces of it may be counted, or the whole that is cut into them"


def _doubts_of_name(part: Part, match: Match, food_group: str) -> Iterator[str]:
    """Why a name that is found may be a title or hold a measure."""
    titled = food_group in DISHES or match.strange  # "Harbour granola"
    if part.amount is None and titled and not (part.to_taste or part.optional):
        yield "the line states no amount and may be a title"
    if unread := _may_measure(part, match):
        yield f"{unread!r} may be a measure; pieces were counted"


def _doubts_of_pieces(part: Part, weight: GramWeight, food_group: str) -> Iterator[str]:
    """Why a piece may weigh something else."""
    if part.amount is not None and _is_of_any_size(part.amount, weight):
        yield "one of it may weigh several times as much as another"
    if _is_slice_unsaid(part, weight, food_group):
        yield "one of it was taken for a slice"
    if _may_be_a_part(part, weight, food_group):
        yield "a piece of it may be a part; a whole one was counted"


def _doubts_of_so_much(part: Part, weight: GramWeight, food: FoodEntry | None) -> Iterator[str]:
    """Why so much of a food may be another one, and where nothing is known of its weight."""
    description, grams = food.description if food is not None else "", weight.value or 0.0
    if description.startswith("Spices,") and grams > _MOST_SPICE:
        yield "so much of a dried spice may mean another food"
    if description == _YEAST and grams >= _MOST_YEAST and not _is_called_dry(part):
        yield "so much yeast may be fresh yeast"
    if part.amount is not None and weight.value is None:
        yield "no weight is known for this amount"


def _may_differ(weight: GramWeight) -> bool:
    """Whether what was weighed differs from shelf to shelf or from house to house, as the weight itself says."""
    unsure = weight.rule.startswith(("package default", ANY_FOOD))
    return unsure or any(reason.startswith((DISAGREEING, ROWS_DIFFER, VESSELS_DIFFER)) for reason in weight.reasons)


def _may_measure(part: Part, match: Match) -> str:
    """A word that the entry lacks between a number and the food, which may be what is counted: "6 ser potatoes"."""
    if part.amount is None or part.amount.measure is not None or not part.phrases:
        return ""
    return min(match.strange.intersection(part.phrases[0].tokens) - _TELLING, default="")


def _is_called_dry(part: Part) -> bool:
    """Whether a line that means dry yeast says so."""
    said = part.words.union(*(phrase.tokens for phrase in part.phrases))
    return "dried" in said.union(*(phrase.states for phrase in part.phrases)) or not said.isdisjoint(_CALLED_DRY)


def _is_of_any_size(amount: Amount, weight: GramWeight) -> bool:
    """Whether a piece was counted that may be many times another one: "1 breadfruit", "1 garlic", a clove or a head."""
    if amount.combined or amount.size or not weight.rule.startswith(("household measure", "piece default")):
        return False
    if not weight.low or weight.high is None or amount.low <= 0:
        return False
    least, most = weight.low / amount.low, weight.high / amount.high
    return any(most >= times * least and most - least >= grams for times, grams in _APART)


def _is_slice_unsaid(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether a slice stands in for a loaf or cheese that is only counted: "1 rye bread"."""
    counted = part.amount is not None and part.amount.measure is None and part.amount.package is None
    sliced = weight.basis.startswith("1 slice") or _OF_A_WHOLE.match(weight.basis) is not None
    return counted and food_group in _SLICED and sliced and "slice" not in part.words


# From this weight on, in grams, a fruit or vegetable is often used in part: "1 piece of daikon", but "1 piece carrot".
_USED_IN_PART = 250.0


def _may_be_a_part(part: Part, weight: GramWeight, food_group: str) -> bool:
    """Whether "a piece" of a large fruit or vegetable was counted as a whole one."""
    one = part.amount is not None and part.amount.measure == "piece" and part.amount.low == part.amount.high == 1
    grown = food_group.startswith(("Vegetables", "Fruits"))
    counted = weight.rule.startswith(("household measure", "piece default"))
    return one and grown and counted and (weight.value or 0.0) >= _USED_IN_PART


def weakest(outcomes: list[Outcome]) -> Outcome:
    """The outcome of a line: the weakest of its parts'."""
    return min(outcomes, key=ORDER.__getitem__)
