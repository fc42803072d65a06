"""What the resolver is to read in a line, as tables of lines say it."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from service.core.analyse import LineResult


def assert_read(result: LineResult, outcome: str, parts: Sequence[tuple[str, float | None]]) -> None:
    """A result has this outcome and the foods of these SR28 codes, each with so many grams within 4 %, None any."""
    assert result.outcome == outcome
    assert [part.food.id.removeprefix("sr28:") for part in result.parts if part.food] == [code for code, _ in parts]
    for part, (_, grams) in zip(result.parts if parts else (), parts, strict=True):
        if grams is not None:
            assert part.grams is not None
            assert part.grams.value == pytest.approx(grams, rel=0.04)
