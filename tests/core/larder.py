"""A small larder of invented foods and recipes for tests of dishes and figures."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from service.core.composition import Composition, Dish, Ingredient, Spread, Taken, dish, ingredients
from service.core.cooking import Treated
from service.core.errors import NotFoundError
from service.core.figures import Figures, figures
from service.core.food import Component, FoodEntry
from service.core.recipe import Recipe, RecipeLine, RecipeYield, Section, plain_lines

TAGNAMES = (
    "ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG", "FIBSOL", "WATER", "ALC", "POLYL", "ERYTHL", "ALLULOSE",
    "CHOAVLDF", "CHOAVL",
)  # fmt: skip
COMPONENTS = tuple(Component(tagname, "", tagname, "kcal" if "ENERC" in tagname else "g", 2) for tagname in TAGNAMES)
COLUMNS = {tagname: place for place, tagname in enumerate(TAGNAMES)}


def row(**amounts: float) -> np.ndarray:
    """A row of these amounts, the rest unknown."""
    return np.array([amounts.get(tagname, math.nan) for tagname in TAGNAMES])


FOODS = {
    "test:meal": row(ENERC_KCAL=570, PROCNT=21, FAT=50, CHOCDF=20, FIBTG=12, WATER=5, ALC=0),
    "test:butter": row(ENERC_KCAL=717, PROCNT=1, FAT=81, CHOCDF=0, FIBTG=0, WATER=16, ALC=0),
    "test:leaf": row(ENERC_KCAL=20, PROCNT=2, FAT=0, CHOCDF=4, WATER=92, ALC=0),  # fibre unknown
    "test:packet": row(ENERC_KCAL=400, PROCNT=10, FAT=10, CHOAVLDF=50, WATER=5, ALC=0),  # an EU label without fibre
    "test:water": row(ENERC_KCAL=0, PROCNT=0, FAT=0, CHOCDF=0, FIBTG=0, WATER=100, ALC=0),
    "test:sweetener": row(ENERC_KCAL=0, PROCNT=0, FAT=0, CHOCDF=100, FIBTG=0, WATER=0, POLYL=100, ERYTHL=100, ALC=0),
    "test:syrup": row(ENERC_KCAL=240, PROCNT=0, FAT=0, CHOCDF=100, FIBTG=0, WATER=0, POLYL=80, ERYTHL=0, ALLULOSE=10),
}


class Larder:
    """Foods above, and recipes given as (recipe, food ids of its lines, grams of its lines)."""

    def __init__(self, recipes: Mapping[str, tuple[Recipe, Sequence[str], Sequence[float]]] | None = None) -> None:
        self._recipes = dict(recipes or {})

    def composition(self, food_id: str) -> Composition:
        if food_id == "test:bread":  # an EU label: carbohydrate without its fibre
            return Composition(FoodEntry(food_id, "bread"), row(PROCNT=9, FAT=3, CHOAVLDF=45, FIBTG=4, CHOCDF=49),
                               "available")  # fmt: skip
        return Composition(FoodEntry(food_id, food_id), FOODS[food_id])

    def treated(self, composition: Composition, treatment: str) -> Treated:
        if treatment != "dried":
            raise NotFoundError(f"no treatment is called {treatment!r}", pointer="/treatment")
        return Treated(composition.row, 0.5, ("half its weight",))

    def dish(self, food_id: str) -> Dish:
        return dish_of(self, *self._recipes[food_id])


def recipe(
    *lines: str | RecipeLine, title: str = "Test dish", yields: RecipeYield | None = None, **more: object
) -> Recipe:
    """A recipe of one section."""
    made = tuple(line if isinstance(line, RecipeLine) else RecipeLine(line) for line in lines)
    return Recipe(title, (Section(made),), yields=yields or RecipeYield(), **more)  # type: ignore[arg-type]


def parts_of(
    larder: Larder, made: Recipe, foods: Sequence[str], grams: Sequence[float | Spread]
) -> tuple[Ingredient, ...]:
    """The ingredients of a recipe whose lines are these foods in these grams."""
    taken = [
        Taken(number, food, FoodEntry(food, food), weight if isinstance(weight, Spread) else Spread(*(weight,) * 3))
        for number, (food, weight) in enumerate(zip(foods, grams, strict=True), 1)
    ]
    return ingredients(made, taken, larder)


def dish_of(larder: Larder, made: Recipe, foods: Sequence[str], grams: Sequence[float | Spread]) -> Dish:
    """The plain dish of such a recipe."""
    return dish(made, parts_of(larder, made, foods, grams), plain_lines(made))


def figures_of(made: Dish, recipe: Recipe) -> Figures:
    """What such a dish comes to."""
    return figures(made, COMPONENTS, recipe.net)
