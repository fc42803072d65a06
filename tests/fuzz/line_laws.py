"""What holds of the answer to any line."""

from __future__ import annotations

import json
import math
from collections.abc import Collection, Iterable

from service.api.payloads import line_payload
from service.core.amount import Amount
from service.core.analyse import LineResult, PartResult
from service.core.food_choice import of_line
from service.core.ingredient_line import IngredientLine
from service.core.kitchen import SAVED_RECIPE
from service.core.weighed_line import GramWeight

OUTCOMES = frozenset({"resolved", "check", "no_match", "not_food"})


def check_reading(line: str, parsed: IngredientLine) -> None:
    """A line's reading keeps its text, has parts or says why not, and every amount is two finite ends in order."""
    assert parsed.text == line
    assert bool(parsed.parts) != bool(parsed.reason)
    for part in parsed.parts:  # one without phrases names no food, and is answered so
        assert part.text.strip()
        check_amount(part.amount)


def check_amount(amount: Amount | None) -> None:
    if amount is None:
        return
    check_finite((amount.low, amount.high))
    assert 0 <= amount.low <= amount.high, amount
    for inner in (amount.package, amount.plus, amount.less, amount.also):
        check_amount(inner)


def check_finite(figures: Iterable[float | None]) -> None:
    for figure in figures:
        assert figure is None or math.isfinite(figure), figure


def check_result(line: str, result: LineResult, tagnames: Collection[str]) -> None:
    """The answer repeats the line, is as sure as its least sure part, and can be sent as JSON."""
    assert result.line == line
    assert result.outcome in OUTCOMES
    if result.parts and result.outcome != "not_food":
        assert result.outcome == of_line([part.outcome for part in result.parts])
    assert result.parts or result.reasons, "an answer without parts says why"
    for part in result.parts:
        check_part(part, tagnames)
    json.dumps(line_payload(result), allow_nan=False)


def check_part(part: PartResult, tagnames: Collection[str]) -> None:
    assert part.outcome in OUTCOMES
    assert part.text.strip()
    assert 0 <= part.confidence <= 1
    assert all(0 <= candidate.confidence <= 1 for candidate in part.candidates)
    assert (part.food is None) == (part.outcome in ("no_match", "not_food")), part
    check_amount(part.amount)
    if part.food is None:
        assert part.grams is None
        assert not part.components
        return
    assert part.grams is not None
    assert part.candidates[0].food == part.food
    check_weight(part.grams)
    assert set(part.components) == set(tagnames)
    check_finite(part.components.values())
    if part.grams.value is None:  # of what a food has none of, no amount has any
        assert not any(part.components.values()), "unknown is not a figure"


def check_weight(weight: GramWeight) -> None:
    """A weight stands between its bounds, or all three are unknown, but for what a part of a recipe weighs at least."""
    figures = (weight.low, weight.value, weight.high)
    check_finite(figures)
    if weight.value is None or weight.low is None or weight.high is None:
        least = weight.low if weight.rule == SAVED_RECIPE else None
        assert figures == (least, None, None), weight
        assert (least or 0) >= 0, weight
    else:
        assert 0 <= weight.low <= weight.value <= weight.high, weight
