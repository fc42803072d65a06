"""Standard uncertainty: the worked case of the published rules, SR28's own standard errors, and laws."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.food import ComponentValue
from service.core.uncertainty import NET, Term, propagate, table_errors
from service.settings import Settings
from service.wiring import open_catalogue


def term(line: int, grams: float, u_grams: float, amount: float, error: float, food_id: str = "") -> Term:
    """A line whose weight is evenly likely between bounds of this standard uncertainty: half the width / sqrt 3."""
    half = u_grams * math.sqrt(3)
    return Term(line, f"line {line}", food_id or f"test:{line}", amount, error, grams, grams - half, grams + half)


def value(
    tagname: str, amount: float, error: float | None = None, *, source: str = "1", said: str = ""
) -> ComponentValue:
    return ComponentValue(tagname, amount, 3, error, source, "", "", "", said)


# Fat of egg, butter, avocado and almonds with the standard errors of SR28: JCGM 100:2008, 5.1.2, equation 10.
PLATE = [
    term(1, 100, 3.0, 9.51, 0.115), term(2, 14.2, 0.8, 81.11, 0.065), term(3, 75, 7.5, 14.66, 0.542),
    term(4, 28.35, 0.3, 49.93, 0.286),
]  # fmt: skip


def test_fat_of_four_foods() -> None:
    found = propagate(PLATE)
    assert (found.low + found.high) / 2 == pytest.approx(46.18, abs=0.01)
    assert found.standard == pytest.approx(1.39, abs=0.01)
    assert found.high - found.low == pytest.approx(2 * 2.77, abs=0.02)
    assert [(one.line, one.cause) for one in found.contributors] == [
        (3, "weight"), (2, "weight"), (3, "table value")
    ]  # fmt: skip
    assert found.contributors[0].share == pytest.approx(1.100**2 / 1.385**2, abs=0.01)


def test_one_food_in_two_lines_has_one_table_value() -> None:
    """Two lines of 50 g are as unsure of the table as one of 100 g: fully correlated, 5.2.2."""
    once = propagate([term(1, 100, 0, 14.66, 0.542, "test:avocado")])
    twice = propagate([term(line, 50, 0, 14.66, 0.542, "test:avocado") for line in (1, 2)])
    apart = propagate([term(line, 50, 0, 14.66, 0.542) for line in (1, 2)])
    assert twice.standard == pytest.approx(once.standard) == pytest.approx(0.542)
    assert apart.standard == pytest.approx(0.542 / math.sqrt(2))


@pytest.fixture(scope="module")
def published(sr28_store: Settings) -> Iterator[Callable[[str], Mapping[str, float]]]:
    catalogue = open_catalogue(sr28_store)
    yield lambda code: table_errors(catalogue.details(f"sr28:{code}").values, dataset="sr28")
    catalogue.engine.dispose()


# By difference, inputs taken as independent: from SR28's standard errors of water, protein, fat and ash.
BY_DIFFERENCE = [("09037", 1.98), ("11090", 1.13), ("11124", 0.43), ("12061", 0.38)]


@pytest.mark.parametrize(("code", "error"), BY_DIFFERENCE, ids=["avocado", "broccoli", "carrot", "almonds"])
def test_carbohydrate_by_difference(published: Callable[[str], Mapping[str, float]], code: str, error: float) -> None:
    assert published(code)["CHOCDF"] == pytest.approx(error, abs=0.01)


def test_net_carbohydrate_of_avocado(published: Callable[[str], Mapping[str, float]]) -> None:
    """1.83 g, known to 2.17 g: a second decimal of it is decoration."""
    errors = published("09037")
    assert errors[NET] == pytest.approx(2.17, abs=0.01)
    found = propagate([term(1, 100, 0, 1.83, errors[NET])])
    assert (found.low, found.high) == (0, pytest.approx(1.83 + 2 * 2.17, abs=0.02))


# Without a standard error a share of the value stands in, never zero but where the value is zero by definition: by
# USDA's list of sources (SR28 SRC_CD, FoodData Central food_nutrient_source). Other publishers' codes are not those.
@pytest.mark.parametrize(
    ("dataset", "source", "error"),
    [
        ("sr28", "1", 1.0), ("sr28", "4", 1.0), ("sr28", "8", 2.0), ("sr28", "9", 2.0), ("sr28", "7", 0.0),
        ("fdc-foundation", "7", 0.0), ("sr28", "unheard of", 2.0), ("cnf", "7", 2.0), ("fineli", "1", 2.0),
        ("sr28", "borrowed", 2.0),
    ],
)  # fmt: skip
def test_a_value_without_a_standard_error(dataset: str, source: str, error: float) -> None:
    assert table_errors([value("FAT", 10, source=source)], dataset=dataset) == {"FAT": pytest.approx(error)}


def test_what_cooking_changes_is_a_cause_of_its_own() -> None:
    """Evenly likely within 2 g per 100 g of 200 g: 4 g / sqrt 3 (JCGM 100:2008, 4.3.7)."""
    found = propagate([replace(term(1, 200, 0, 10, 0), cooking=2.0)])
    assert found.standard == pytest.approx(4 / math.sqrt(3))
    assert [(one.cause, one.share) for one in found.contributors] == [("cooking", pytest.approx(1))]


def test_lines_whose_error_is_taken_are_named() -> None:
    assumed = [replace(term(line, 10, 0, 10, error), assumed=True) for line, error in ((1, 1.0), (2, 0.0))]
    assert propagate([*assumed, term(3, 10, 0, 10, 1.0)]).assumed_in == (1,)


def test_what_is_below_a_limit_has_no_error_of_its_own() -> None:
    assert table_errors([value("FAT", 0.5, said="below"), value("PROCNT", 2, 0.1)], dataset="sr28") == {"PROCNT": 0.1}


@given(st.lists(st.tuples(st.floats(0.1, 500), st.floats(0, 0.5), st.floats(0, 100), st.floats(0, 10)), min_size=1))
def test_the_range_holds_the_sum_and_shares_are_of_one(lines: list[tuple[float, float, float, float]]) -> None:
    terms = [term(at, grams, grams * part, amount, error) for at, (grams, part, amount, error) in enumerate(lines)]
    found, total = propagate(terms), math.fsum(one.amount * one.grams / 100 for one in terms)
    assert found.low <= total <= found.high
    assert found.low >= 0
    assert math.fsum(one.share for one in found.contributors) <= 1 + 1e-9
    assert propagate(terms[::-1]).standard == pytest.approx(found.standard)
