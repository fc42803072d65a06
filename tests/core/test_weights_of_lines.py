"""Weights of lines with the bounds that honesty asks for: where a source or the kin of an entry differ, so do these."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line, grams, at most so high the low bound, at least so high the high bound, source
WEIGHTS = [
    # a grating is a grind of what is ground over a dish only; of cheese and chocolate it is a spoonful
    ("a grating of parmesan", 5, 2, 12, "SR28 01032: a tablespoon 5 g"),
    ("a grating of cheese", 5, 2, 12, "common kitchen practice"),
    ("a grating of chocolate", 3, 1, 8, "common kitchen practice"),
    ("a grating of nutmeg", 0.1, 0.05, 0.3, "common kitchen practice"),
    ("a handful of spaghetti", 75, 40, 120, "common kitchen practice: a portion is 75 to 100 g"),
    ("a handful of penne", 40, 25, 70, "common kitchen practice"),
    ("1 dollop of whipped cream", 8, 4, 20, "SR28 01054: a tablespoon 3 g"),
]


@pytest.mark.parametrize(("line", "grams", "low", "high", "source"), WEIGHTS)
def test_a_weight_with_its_bounds(
    resolver: Resolver, line: str, grams: float, low: float, high: float, source: str
) -> None:
    found = resolver.resolve(line).parts[0].grams
    assert found is not None, source
    assert found.value == pytest.approx(grams, rel=0.04), source
    assert found.low is not None, source
    assert found.high is not None, source
    assert found.low <= low * 1.04, source
    assert found.high >= high * 0.96, source
