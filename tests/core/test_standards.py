"""Published rules that no other test holds: label equivalents, pairs shown to readers, temperatures, energy factors."""

from __future__ import annotations

import pytest

from service.api.payloads import shown_ounces
from service.core.amount import Amount
from service.core.analyse import Resolver, Tables
from service.core.errors import InputError
from service.core.measure import OUNCE, to_celsius
from service.core.nutrients import eu_energy, sweetener_energy

# 21 CFR 101.9(b)(5)(viii): for declaring serving sizes only, never for recipe arithmetic.
LABEL_EQUIVALENTS = [("tsp", 5), ("tbsp", 15), ("cup", 240), ("fl oz", 30)]


@pytest.mark.parametrize(("measure", "label"), LABEL_EQUIVALENTS)
def test_recipe_measures_are_exact_and_not_those_of_labels(tables: Tables, measure: str, label: float) -> None:
    found = tables.weights.measures.get(measure)
    assert found is not None
    assert found.value != label
    assert found.value == pytest.approx(label, rel=0.02)


def test_an_ounce_is_no_label_ounce() -> None:
    assert pytest.approx(453.59237 / 16) == OUNCE  # NIST Handbook 44, Appendix C
    assert OUNCE != 28


# Common practice, no source: grams and ounces printed side by side.
PAIRS = [(170, "6"), (85, "3"), (20, "0.7"), (57, "2"), (113, "4"), (227, "8"), (454, "16"), (0, "0"), (283.5, "10")]


@pytest.mark.parametrize(("grams", "ounces"), PAIRS)
def test_ounces_shown_beside_grams(grams: float, ounces: str) -> None:
    assert shown_ounces(grams) == ounces


# FSIS Safe Minimum Internal Temperature Chart prints both scales.
TEMPERATURES = [(140, 60.0), (145, 62.8), (160, 71.1), (165, 73.9)]


@pytest.mark.parametrize(("fahrenheit", "celsius"), TEMPERATURES)
def test_temperatures(fahrenheit: float, celsius: float) -> None:
    assert to_celsius(fahrenheit) == pytest.approx(celsius, abs=0.05)


def test_eu_energy_has_its_own_kilojoule_factors() -> None:
    """Regulation (EU) 1169/2011 Annex I and XIV; 279.2 kcal times 4.184 would be 1168.2 kJ."""
    grams = {"protein": 10, "fat": 20, "carbohydrate": 15, "polyols": 5, "erythritol": 2, "fibre": 6}
    kcal, kilojoules = eu_energy(grams)
    assert (kcal, kilojoules) == (pytest.approx(279.2), pytest.approx(1158))
    assert kilojoules != pytest.approx(kcal * 4.184, abs=1)


def test_us_sweetener_energy() -> None:
    """21 CFR 101.9(c)(1)(i)(F), clause text from memory; allulose 85 FR 66217 (2020)."""
    energy = sweetener_energy({"maltitol": 5, "xylitol": 4, "erythritol": 10, "allulose": 8})
    assert energy == pytest.approx({"maltitol": 10.5, "xylitol": 9.6, "erythritol": 0, "allulose": 3.2})
    with pytest.raises(InputError, match="saccharin"):
        sweetener_energy({"saccharin": 1})


# SR28 WEIGHT rows asked for in words, as a writer asks: line, entry, grams.
TWENTY_LINES = [
    ("1 stick butter", "01001", 113), ("2 tbsp butter", "01001", 28.4), ("1 cup chopped broccoli", "11090", 91),
    ("half a small avocado", "09038", 68), ("1 tsp mayonnaise", "04025", 4.6), ("2 large eggs", "01123", 100),
    ("1 egg yolk", "01125", 17), ("4 cloves garlic", "11215", 12), ("1 medium onion", "11282", 110),
    ("1 cup blueberries", "09050", 148), ("1 cup heavy cream", "01053", 238), ("1 tbsp soy sauce", "16123", 16),
    ("1 cup long grain white rice", "20044", 185), ("1 medium carrot", "11124", 61),
    ("10 cherry tomatoes", "11529", 170),
    ("1 cup raspberries", "09302", 123), ("1 cup all-purpose flour", "20081", 125), ("1 tsp salt", "02047", 6),
    ("1 cup honey", "19296", 339), ("1 large carrot", "11124", 72), ("1 tbsp olive oil", "04053", 13.5),
]


@pytest.mark.parametrize(("line", "code", "grams"), TWENTY_LINES)
def test_household_measures_of_the_publisher(resolver: Resolver, line: str, code: str, grams: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.food is not None
    assert part.food.code == code
    assert part.grams is not None
    assert part.grams.value == pytest.approx(grams, abs=0.05)
    assert isinstance(part.amount, Amount)
