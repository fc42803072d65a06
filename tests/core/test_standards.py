"""Published rules that no other test holds: label equivalents, pairs shown to readers, temperatures, energy factors,
ketogenic ratios, shell eggs, the mixed method of recipes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest

from service.api.payloads import shown_ounces
from service.core.amount import Amount
from service.core.analyse import Resolver, Tables
from service.core.composition import Composition, Dish, Ingredient, Spread
from service.core.cooking import Treated
from service.core.figures import Figures, figures, per_100_grams
from service.core.food import Component, FoodEntry, FoodTable
from service.core.measure import OUNCE, to_celsius
from service.core.nutrients import GENERAL_FACTORS, US_SWEETENER_FACTORS, Array, NetConvention, eu_energy
from service.core.recipe import RecipeLine, RecipeYield
from tests.core.larder import COMPONENTS, Larder, dish_of, recipe, row

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
    factors = {name: US_SWEETENER_FACTORS[name] for name in ("maltitol", "xylitol", "erythritol", "allulose")}
    assert factors == {"maltitol": 2.1, "xylitol": 2.4, "erythritol": 0, "allulose": 0.4}


# ---- ketogenic ratio -------------------------------------------------------------------------------------------

# R g of fat to 1 g of protein and carbohydrate, by 9 and 4 kcal/g; 31 kcal for 3:1 in ISRN 2012:263139, table 2.
UNITS = [(4, 0.9, 40), (3, 0.871, 31), (2, 0.8182, 22), (1, 0.6923, 13)]


def weighed(*foods: tuple[Array, float], components: Sequence[Component] = COMPONENTS) -> Figures:
    """The figures of a dish of these rows in these grams."""
    parts = [
        Ingredient(line, "", FoodEntry(f"test:{line}", ""), amounts, Spread(grams, grams, grams))
        for line, (amounts, grams) in enumerate(foods, 1)
    ]
    whole = math.fsum(grams for _, grams in foods)
    made = Dish("", tuple(parts), Spread(whole, whole, whole), Spread(whole, whole, whole), "")
    return figures(made, components, NetConvention())


@pytest.mark.parametrize(("ratio", "share", "kcal"), UNITS)
def test_a_dietary_unit(ratio: float, share: float, kcal: float) -> None:
    unit = weighed((row(FAT=ratio, PROCNT=0.5, CHOCDF=0.5, FIBTG=0, ALC=0), 100))
    assert unit.ratio_on_total.value == pytest.approx(ratio)
    assert unit.energy_shares is not None
    assert unit.energy_shares["FAT"] == pytest.approx(share, abs=1e-4)
    assert GENERAL_FACTORS["FAT"] * ratio + GENERAL_FACTORS["PROCNT"] == kcal


def test_a_day_at_three_to_one() -> None:
    """ISRN 2012:263139, table 2: 18 kg, 1,224 kcal are 39 units of 31 kcal; 39, 6 and 7 g at each of three meals."""
    units = 1224 // 31
    day = weighed((row(FAT=3 * units, PROCNT=18, CHOCDF=units - 18, FIBTG=0, ALC=0), 100))
    assert day.ratio_on_total.value == day.ratio_on_net.value == pytest.approx(3)
    meal = day.divided(3)
    assert [meal.total(name).value for name in ("FAT", "PROCNT", "CHOCDF")] == pytest.approx([39, 6, 7])


def test_ratio_of_a_dish_on_total_and_on_net(sr28_table: FoodTable) -> None:
    """Two eggs, butter, cream, spinach and cheese, by hand from SR28."""
    dish = {"01123": 100.0, "01001": 14.2, "01053": 59.5, "11457": 30.0, "01009": 28.35}
    places = {food.code: place for place, food in enumerate(sr28_table.foods)}
    foods = [(sr28_table.amounts[places[code]], grams) for code, grams in dish.items()]
    found = weighed(*foods, components=sr28_table.components)
    assert found.ratio_on_total.value == pytest.approx(1.999, abs=0.002)
    assert found.ratio_on_net.value == pytest.approx(2.051, abs=0.002)
    assert found.energy_shares is not None
    shares = [100 * found.energy_shares[name] for name in ("FAT", "PROCNT", "CHOCDF")]
    assert shares == pytest.approx([81.8, 15.2, 3.0], abs=0.1)


# ---- eggs, recipes ---------------------------------------------------------------------------------------------

# USDA AMS weight classes, ounces a dozen in shell at least; SR28 01123 has 12 % refuse.
CLASSES = [("jumbo", 30), ("extra large", 27), ("large", 24), ("medium", 21), ("small", 18)]


@pytest.mark.parametrize(("size", "ounces"), CLASSES)
def test_an_egg_is_its_class_without_the_shell(resolver: Resolver, size: str, ounces: float) -> None:
    egg = resolver.index.entry(resolver.index.places["sr28:01123"])
    grams = resolver.resolve(f"1 {size} egg").parts[0].grams
    assert grams is not None
    assert grams.value == pytest.approx(ounces * OUNCE / 12 * (1 - egg.refuse_percent / 100), abs=0.7)


def test_mixed_method_of_a_recipe() -> None:
    """Retention per ingredient, yield per dish (INFOODS, EuroFIR), with invented figures; a serving needs no yield."""
    places = {"FAT": 0, "VITC": 1, "WATER": 2}
    components = [Component(name, "", name, "g", 1) for name in places]
    fish, leaves = np.array([15.0, 0.0, 60.0]), np.array([0.2, 30.0, 80.0])

    class Galley(Larder):
        def composition(self, food_id: str) -> Composition:
            return Composition(FoodEntry(food_id, ""), fish if food_id == "test:fish" else leaves)

        def treated(self, composition: Composition, treatment: str) -> Treated:
            return Treated(composition.row * [1.0, 0.7, 1.0], None, ())

    made = recipe("fish", RecipeLine("leaves", treatment="wilted"), servings=4, yields=RecipeYield(factor=0.8))
    dish = dish_of(Galley(), made, ["test:fish", "test:leaves"], [600, 400])
    whole = figures(dish, components, made.net)
    hundred = per_100_grams(whole, dish, components, made.net)
    assert dish.cooked.value == pytest.approx(800)
    assert hundred is not None
    assert (hundred.total("FAT").value, hundred.total("VITC").value) == pytest.approx((11.35, 10.5))
    assert whole.divided(made.servings).total("FAT").value == pytest.approx(22.7)


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
