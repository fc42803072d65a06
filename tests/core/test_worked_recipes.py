"""The recipe engine against published recipe calculations: USDA survey database 2019-2020, 3,516 recipes.

Source: Food and Nutrient Database for Dietary Studies 2019-2020, USDA Agricultural Research Service (public domain);
value = 100 x sum of grams x value / 100, over sum of grams x (1 + moisture change / 100), water taking the change.
"""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Iterator
from functools import cached_property
from pathlib import Path

import numpy as np
import pytest

from service.core.composition import Composition, Dish, Spread, Taken, dish, ingredients
from service.core.cooking import Treated
from service.core.figures import SURVEY_DECIMALS, Figures, figures, kept, row_of
from service.core.food import Component, FoodEntry
from service.core.nutrients import NetConvention
from service.core.recipe import Recipe, RecipeLine, RecipeYield, Section

FOLDER = Path(os.environ.get("GRAMWRIGHT_SAMPLE_DATA", "../shared/data")) / "fndds"
COLUMNS = {
    "energy_kcal": "ENERC_KCAL", "protein_g": "PROCNT", "carbohydrate_g": "CHOCDF", "sugars_g": "SUGAR",
    "fibre_g": "FIBTG", "fat_g": "FAT", "alcohol_g": "ALC", "water_g": "WATER",
}  # fmt: skip
COMPONENTS = tuple(Component(tagname, "", tagname, "g", 2) for tagname in COLUMNS.values())

pytestmark = pytest.mark.skipif(not FOLDER.is_dir(), reason=f"no sample data in {FOLDER}")


def rows(name: str) -> Iterator[dict[str, str]]:
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


class SurveyLarder:
    """The survey's ingredients and recipes, by their codes."""

    @cached_property
    def foods(self) -> dict[str, Composition]:
        found = {}
        for row in rows("worked_recipes_ingredient_values.csv"):
            values = [float(row[column]) if row[column] else math.nan for column in COLUMNS]
            entry = FoodEntry(f"survey:{row['ingredient_code']}", row["ingredient_description"])
            found[entry.id] = Composition(entry, np.array(values))
        return found

    @cached_property
    def recipes(self) -> dict[str, list[dict[str, str]]]:
        found: dict[str, list[dict[str, str]]] = {}
        for row in rows("worked_recipes_lines.csv"):
            found.setdefault(row["food_code"], []).append(row)
        return found

    def __init__(self, *, decimals: int | None = None) -> None:
        self.made: dict[str, Dish] = {}
        self.decimals = decimals  # of a recipe's values where others use it; None: it is used as it is

    def composition(self, food_id: str) -> Composition:
        if food_id not in self.foods:
            code = food_id.removeprefix("kept:")
            row = row_of(self.per_100g(code), decimals=self.decimals)
            self.foods[food_id] = Composition(FoodEntry(food_id, code), row)
        return self.foods[food_id]

    def treated(self, composition: Composition, treatment: str) -> Treated:
        raise AssertionError("the survey's recipes have no treatments")

    def entry(self, code: str) -> FoodEntry:
        if len(code) == 8:
            return FoodEntry(f"{'recipe' if self.decimals is None else 'kept'}:{code}", code)
        return self.foods[f"survey:{code}"].food

    def dish(self, food_id: str) -> Dish:
        if food_id not in self.made:
            lines = self.recipes[food_id.removeprefix("recipe:")]
            change = float(lines[0]["moisture_change_pct"])
            texts = tuple(RecipeLine(line["ingredient_description"]) for line in lines)
            recipe = Recipe(food_id, (Section(texts),), yields=RecipeYield(factor=1 + change / 100))
            taken = [
                Taken(number, line["ingredient_description"], self.entry(line["ingredient_code"]),
                      Spread(*(float(line["grams"]),) * 3))
                for number, line in enumerate(lines, 1)
            ]
            numbers = frozenset(range(1, len(lines) + 1))
            self.made[food_id] = dish(recipe, ingredients(recipe, taken, self), numbers)
        return self.made[food_id]

    def per_100g(self, code: str) -> Figures:
        made = figures(self.dish(f"recipe:{code}"), COMPONENTS, NetConvention())
        assert made.grams.value is not None
        return made.divided(made.grams.value, taken=100.0)


@pytest.fixture(scope="module")
def larder() -> SurveyLarder:
    return SurveyLarder()


@pytest.fixture(scope="module")
def published() -> list[dict[str, str]]:
    return list(rows("worked_recipes_published_values.csv"))


@pytest.fixture(scope="module")
def decimals(published: list[dict[str, str]]) -> dict[str, int]:
    return {column: max(len(row[column].partition(".")[2]) for row in published) for column in COLUMNS}


def test_every_published_calculation_is_reproduced(
    published: list[dict[str, str]], decimals: dict[str, int]
) -> None:
    """By the publisher's rule: what recipes come to is kept to three decimals, used so in others, then printed."""
    larder, off, printed = SurveyLarder(decimals=SURVEY_DECIMALS), dict[tuple[str, str], float](), 0
    assert len(published) == 3516
    for row in published:
        values = row_of(larder.per_100g(row["food_code"]), decimals=SURVEY_DECIMALS)
        for value, column in zip(values, COLUMNS, strict=True):
            off[row["food_code"], column] = abs(value - float(row[column])) * 10 ** decimals[column]
            printed += abs(kept(value, decimals[column]) - float(row[column])) < 1e-9
    assert {where for where, units in off.items() if units > 0.51} == set()
    assert (len(off), printed >= 28_123) == (28_128, True), printed


def test_recipes_of_recipes_need_no_rounding_on_the_way(
    larder: SurveyLarder, published: list[dict[str, str]], decimals: dict[str, int]
) -> None:
    """Used as they are, all figures are near what is printed: by as much as it is rounded twice or more."""
    errors = [
        abs((larder.per_100g(row["food_code"]).total(tagname).value or 0) - float(row[column])) * 10 ** decimals[column]
        for row in published
        for column, tagname in COLUMNS.items()
    ]
    assert max(errors) < 0.6
    assert sum(error <= 0.51 for error in errors) >= 27_685


def test_a_published_calculation_uses_recipes_within_recipes(larder: SurveyLarder) -> None:
    depth = {len(one.within) for code in larder.recipes for one in larder.dish(f"recipe:{code}").ingredients}
    assert max(depth) >= 2, depth
