"""Which of several entries stands for a line, and how sure that is: the outcome of a part.

Confidence comes from separate questions, not from a score: is it an ingredient, is every food noun accounted
for, is a generic noun only a default, is the state met, is the spelling certain, is the weight known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.food import FoodEntry
from service.core.food_match import Match
from service.core.name_doubts import NO_KINDS, EntryKinds, doubts_of_amount, doubts_of_name
from service.core.part import Part
from service.core.values import quick
from service.core.weighed_line import GramWeight
from service.core.weight_doubts import doubts_of_weight, may_differ

Outcome = Literal["resolved", "check", "no_match", "not_food"]

# From this confidence on nobody has to look; measured on the readable gold lines (tests/benchmarks/lines.py).
SURE = 0.85
FAIR = 0.2
# The weakest part decides, but for a line of which the tables have some foods only.
ORDER: dict[str, int] = {"no_match": 0, "check": 1, "resolved": 2, "not_food": 3}
_FOUND = frozenset({"check", "resolved"})


@quick
@dataclass(frozen=True, slots=True)
class Choice:
    """The outcome of a part with its confidence in the food and the reasons in plain words."""

    outcome: Outcome
    confidence: float
    reasons: tuple[str, ...]


# What is used beyond the amount that a line states: "plus more for dusting".
_MORE = frozenset({"plus extra", "plus more", "plus additional", "and more", "and extra"})


def choose(
    part: Part, match: Match, weight: GramWeight | None, food: FoodEntry | None = None, kinds: EntryKinds = NO_KINDS
) -> Choice:
    """Decide the outcome of a part from its match, and the weight of its food."""
    if not match.found or match.confidence < FAIR:
        return Choice("no_match", 0.0, match.reasons or ("the tables have no fair entry",))
    doubts = [*doubts_of_amount(part, food, kinds), *doubts_of_name(part, match, food, kinds)]
    said = list(doubts)
    if part.amount is not None and (more := _MORE & part.words):
        said.append(f"{min(more)!r} has no amount: what it adds is not counted")
    if weight is not None:
        weighed = doubts_of_weight(part, weight, food)
        doubts += weighed
        said += [*weight.reasons, *weighed]
    sure = match.confidence >= SURE and match.certain and not (weight is not None and may_differ(weight))
    outcome: Outcome = "resolved" if sure and not doubts else "check"
    return Choice(outcome, round(match.confidence, 4), (*match.reasons, *said))


def weakest(outcomes: Sequence[Outcome]) -> Outcome:
    """The least sure of several outcomes."""
    return min(outcomes, key=ORDER.__getitem__)


def of_line(outcomes: Sequence[Outcome]) -> Outcome:
    """The outcome of a line: the weakest of its parts', but `check` where the tables have some of its foods only."""
    found = weakest(outcomes)
    return "check" if found == "no_match" and not _FOUND.isdisjoint(outcomes) else found
