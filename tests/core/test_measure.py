"""Measures of lines, and household measures as publishers write them."""

from __future__ import annotations

import pytest

from service.core.amount import Amount
from service.core.food import HouseholdMeasure
from service.core.measure import Measure, MeasureForm, Measures, food_words, measure_kind, read_household
from tests.core.weighing import FOODS, TABLES

KINDS = [
    (None, "none"),
    (Amount(1, 1, "tsp"), "spoon"),
    (Amount(0.5, 0.5, "tsp"), "pinch"),
    (Amount(1, 1, "pinch"), "pinch"),
    (Amount(2, 2, "cup"), "cup"),
    (Amount(500, 500, "ml"), "cup"),
    (Amount(1, 1, "pint"), "cup"),
    (Amount(3, 3), "piece"),
    (Amount(1, 1, "bunch"), "piece"),
    (Amount(1, 1, "handful"), "piece"),
    (Amount(2, 2, "sprig"), "piece"),
    (Amount(1, 1, "lb"), "weight"),
    (Amount(1, 1, "can"), "weight"),
    (Amount(2, 2, package=Amount(400, 400, "g")), "weight"),
]


@pytest.mark.parametrize(("asked", "kind"), KINDS)
def test_measure_kind(asked: Amount | None, kind: str) -> None:
    assert measure_kind(asked) == kind


def test_every_measure_of_the_table_has_its_kind() -> None:
    """measure_kind knows the table's names: every mass and package is a weight, every volume a spoon or a cup."""
    wanted = {
        "mass": {"weight"},
        "package": {"weight"},
        "volume": {"pinch", "spoon", "cup"},
        "piece": {"piece"},
        "vague": {"pinch", "spoon", "cup", "piece"},
    }
    wrong = [
        name for name, kind in TABLES.measures.kinds.items() if measure_kind(Amount(1, 1, name)) not in wanted[kind]
    ]
    assert wrong == []


FORMS = [
    ("tsp", "tsp"),
    ("t", "tsp"),
    ("T", "tbsp"),
    ("tbs", "tbsp"),
    ("tablespoonful", "tbsp"),
    ("c", "cup"),
    ("oz", "oz"),
    ("lbs", "lb"),
    ("gramme", "g"),
    ("kilo", "kg"),
    ("cc", "ml"),
    ("litre", "l"),
    ("fluid ounce", "fl oz"),
    ("tin", "can"),
    ("dessertspoon", "dsp"),
    ("pkg", "package"),
    ("rasher", "rasher"),
    ("imperial pint", "uk pint"),
]


@pytest.mark.parametrize(("form", "measure"), FORMS)
def test_written_forms(form: str, measure: str) -> None:
    assert TABLES.measures.forms[form] == measure


def test_a_system_without_its_own_value_is_read_as_usual() -> None:
    cup = MeasureForm("cup", Measure("cup", "volume", "ml", 240.0))
    assert Measures([cup]).get("cup", system="uk") == cup.measure


# food, the publisher's row, unit, grams of one, size
READ = [
    ("11124", (1, 'large (7-1/4" to 8-1/2" long)', 72), "", 72, "large"),
    ("11143", (1, 'stalk, medium (7-1/2" - 8" long)', 40), "stalk", 40, "medium"),
    ("11352", (1, 'Potato large (3" to 4-1/4" dia)', 369), "potato", 369, "large"),
    ("02044", (5, "leaves", 2.5), "leaf", 0.5, ""),
    ("12061", (1, "oz (23 whole kernels)", 28.35), "kernel", 28.35 / 23, ""),
    ("05057", (0.5, "breast, bone removed", 145), "breast", 145, ""),
    ("14003", (1, "serving (5 fl oz)", 148), "fl oz", 29.6, ""),
    ("20081", (0.25, "cup", 30), "cup", 120, ""),
    ("11090", (1, "NLEA serving", 148), "serving", 148, ""),
]


@pytest.mark.parametrize(("code", "row", "unit", "grams", "size"), READ)
def test_household_measures_are_read(
    code: str, row: tuple[float, str, float], unit: str, grams: float, size: str
) -> None:
    found = read_household(HouseholdMeasure(*row), TABLES.measures, food_words(FOODS[code]))
    assert found is not None
    assert (found.unit, found.size) == (unit, size)
    assert found.grams == pytest.approx(grams)


APART = ["unit (yield from 1 lb ready-to-cook chicken)", "piece, cooked (yield from 1 lb raw meat, boneless)", ""]


@pytest.mark.parametrize("text", APART)
def test_a_yield_from_a_pound_is_no_piece(text: str) -> None:
    assert read_household(HouseholdMeasure(1, text, 276), TABLES.measures, frozenset()) is None


def test_reading_a_hostile_measure_ends_at_once() -> None:
    """Reading is linear: a publisher's text of 100,000 characters is read, whatever it holds."""
    for text in ("(" * 100_000, "1/" * 50_000, "cup " * 25_000):
        read_household(HouseholdMeasure(1, text, 1), TABLES.measures, frozenset())
