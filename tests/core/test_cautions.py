"""Which cautions a dish has, in which order, and laws that hold for every dish."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.allergens import by_law
from service.core.cautions import Caution, allergens_found, cautions
from service.core.composition import Dish, Ingredient, Spread
from service.core.figures import figures
from service.core.food import FoodEntry
from service.core.nutrients import NetConvention
from service.tables.cautions import load_caution_tables
from tests.core.larder import COMPONENTS, row

TABLES = load_caution_tables()
KNOWN = {"ENERC_KCAL": 100.0, "PROCNT": 5.0, "FAT": 8.0, "CHOCDF": 2.0, "FIBTG": 1.0}


def part(
    line: int, name: str, *, group: str = "", grams: float | None = 100, known: bool = True,
    notes: tuple[str, ...] = (), **amounts: float,
) -> Ingredient:  # fmt: skip
    """An ingredient of 100 g; amounts over those of KNOWN."""
    food = FoodEntry(f"test:{line}", name, group_name=group) if known else None
    weight = None if grams is None else Spread(grams, grams, grams)
    return Ingredient(line, name, food, row(**{**KNOWN, **amounts}) if known else None, weight, notes=notes)


def found(
    *parts: Ingredient, served: Sequence[Ingredient] | None = None, net: NetConvention | None = None
) -> tuple[Caution, ...]:
    """The cautions of a dish of these ingredients."""
    grams = math.fsum(one.grams.value for one in parts if one.grams is not None)
    dish = Dish(
        "Test dish", parts, Spread(grams, grams, grams), Spread(grams, grams, grams), "the weights of the lines"
    )
    convention = net or NetConvention()
    return cautions(dish, figures(dish, COMPONENTS, convention), tables=TABLES, net=convention, served=served)


def of_kind(kind: str, *parts: Ingredient) -> list[Caution]:
    return [one for one in found(*parts) if one.kind == kind]


# ---- which apply -----------------------------------------------------------------------------------------------

HARD = part(1, "Egg, whole, cooked, hard-boiled", group="Dairy and Egg Products")
FROM_DRESSING = replace(part(1, "oil", grams=None), within=("Quay dressing",))
_FRIED = part(1, "dough", FAT=math.nan, ENERC_KCAL=math.nan)
SOAKED = replace(_FRIED, absorbs=True, least=part(1, "dough").row, fullest=_FRIED.row)
# What is in the dish, the kind of caution, its lines, words of its text.
APPLY = [
    ([part(1, "leaf"), part(2, "sea purslane", known=False)], "lower bound", (2,), ["lower bound", "“sea purslane”"]),
    ([part(1, "lettuce"), part(2, "dill", grams=None)], "lower bound", (2,), ["No weight", "“dill”"]),
    ([part(1, "cornsalad", FIBTG=math.nan)], "unknown value", (1,), ["fibre", "“cornsalad”", "0 to 2 g", "not mean 0"]),
    ([part(1, "cornsalad", CHOCDF=math.nan)], "unknown value", (1,), ["carbohydrate", "at least 0 g"]),
    ([part(3, "cornsalad", FAT=math.nan)], "unknown value", (3,), ["fat of"]),
    ([part(1, "dulse", FAT=math.nan, FIBTG=math.nan)], "unknown value", (1,), ["fat and fibre of “dulse”"]),
    ([part(n, "dulse", FAT=math.nan) for n in (1, 2)], "unknown value", (1, 2), ["fat of “dulse”."]),
    ([part(n, f"leaf {n}", FAT=math.nan) for n in range(1, 6)], "unknown value", (1, 2, 3, 4, 5), ["” and 2 more"]),
    ([SOAKED], "unknown value", (1,), ["frying fat taken up by “dough”", "lower bounds"]),
    ([part(1, "kelp", CHOCDF=2, FIBTG=5)], "net below 0", (1,), ["below 0", "“kelp”"]),
    ([part(1, "lettuce")], "net carbohydrate", (), ["no legal meaning", "total carbohydrate"]),
    ([part(1, "lettuce")], "dosing", (), ["insulin", "ketogenic", "clinician"]),
    ([part(1, "lettuce")], "SGLT2 inhibitors", (), ["ketoacidosis", "clinician"]),
    ([part(1, "lettuce"), part(2, "maltitol", CHOCDF=100, POLYL=100)], "laxative", (2,), ["10 %", "laxative effects"]),
    ([part(2, "maltitol", CHOCDF=100, POLYL=100)], "polyols", (2,), ["blood glucose"]),
    ([part(1, "Chicken, breast, raw", group="Poultry Products")], "safe temperature", (1,), ["165 °F (73.9 °C)"]),
    ([part(1, "Beef, ground, raw", group="Beef Products")], "safe temperature", (1,), ["160 °F (71.1 °C)", "Local"]),
    ([part(1, "Pork, loin, raw", group="Pork Products")], "safe temperature", (1,), ["145 °F (62.8 °C)", "3 minutes"]),
    ([part(1, "Egg, whole, raw", group="Dairy and Egg Products")], "raw egg", (1,), ["pasteurised", "mayonnaise"]),
    ([part(1, "Fish, haddock, smoked", group="Finfish")], "safe temperature", (1,), ["white fish", "145 °F (62.8 °C)"]),
    ([replace(HARD, text="1 soft-boiled egg")], "safe temperature", (1,), ["Eggs", "160 °F"]),
    ([replace(HARD, text="1 soft-boiled egg")], "raw egg", (1,), ["runny"]),
    ([FROM_DRESSING], "lower bound", (1,), ["No weight", "“Quay dressing”"]),
    ([FROM_DRESSING, part(1, "salt")], "lower bound", (1,), ["No weight", "“oil”"]),
    ([replace(part(2, "x"), food=FoodEntry("own:1", "Harbour bar"))], "allergens unknown", (2,), ["“Harbour bar”"]),
    ([part(1, "sea purslane", known=False)], "nothing counted", (), ["figures are of nothing"]),
    ([part(1, "lettuce", grams=4_000)], "odd serving", (), ["4,000 g"]),
    ([part(1, "lettuce", grams=10_400)], "odd serving", (), ["10,400 g"]),
    ([part(1, "lettuce", grams=0.2)], "odd serving", (), ["0.2 g"]),
    ([part(1, "lettuce")], "label law", (), ["local authority"]),
    ([part(4, "Butter, salted")], "allergens us", (4,), ["May contain", "milk (line 4)"]),
    ([part(1, "cream"), part(3, "feta")], "allergens eu", (1, 3), ["milk (lines 1, 3)", "by the entries taken"]),
    ([part(1, "pecans"), part(2, "almonds")], "allergens us", (1, 2), ["tree nuts: almond (line 2), pecan (line 1)"]),
    ([part(1, "rye crackers", known=False)], "allergens eu", (1,), ["gluten: wheat (line 1), rye (line 1)"]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("parts", "kind", "lines", "words"), APPLY, ids=[f"{p[-1].text} {kind}" for p, kind, *_ in APPLY]
)
def test_a_caution_that_applies(parts: list[Ingredient], kind: str, lines: tuple[int, ...], words: list[str]) -> None:
    (caution,) = of_kind(kind, *parts)
    assert caution.lines == lines
    assert [word for word in words if word not in caution.text] == []
    assert caution.source


NOT_APPLY = [
    ([part(1, "lettuce")], "lower bound"),
    ([part(1, "lettuce")], "unknown value"),
    ([part(1, "cornsalad", FIBTG=math.nan, grams=0)], "unknown value"),
    ([part(1, "cornsalad", FIBSOL=math.nan)], "unknown value"),
    ([part(1, "lettuce")], "net below 0"),
    ([part(1, "rice", CHOCDF=80, FAT=0)], "SGLT2 inhibitors"),
    ([part(1, "lettuce"), part(2, "maltitol", grams=8, CHOCDF=100, POLYL=100)], "laxative"),
    ([part(1, "erythritol", CHOCDF=100, POLYL=100, ERYTHL=100)], "polyols"),
    ([part(1, "Chicken, breast, cooked, roasted", group="Poultry Products")], "safe temperature"),
    ([HARD], "safe temperature"),
    ([replace(HARD, text="soft-boiled duck", food=FoodEntry("x", "Chicken, cooked", group_name="Poultry"))], "raw egg"),
    ([part(1, "Fish, salmon, smoked", group="Finfish")], "safe temperature"),
    ([part(1, "Pork, bacon, cooked, baked", group="Pork Products")], "safe temperature"),
    ([part(1, "Egg, whole, raw", group="Dairy and Egg Products", notes=("cooked weight 90 % of raw",))], "raw egg"),
    ([part(1, "lettuce")], "allergens us"),
    ([part(1, "celery")], "allergens us"),
    ([part(1, "pine nuts")], "allergens eu"),
]


@pytest.mark.parametrize(("parts", "kind"), NOT_APPLY, ids=[f"{p[-1].text} {kind}" for p, kind in NOT_APPLY])
def test_a_caution_that_does_not_apply(parts: list[Ingredient], kind: str) -> None:
    assert of_kind(kind, *parts) == []


def test_the_lower_bound_comes_first_and_law_last() -> None:
    parts = [
        part(1, "shrimp"),
        part(2, "dulse", known=False),
        part(3, "dill", grams=None),
        part(4, "leaf", FAT=math.nan),
    ]
    kinds = [one.kind for one in found(*parts)]
    assert kinds == ["lower bound", "lower bound", "unknown value", "net carbohydrate", "dosing", "SGLT2 inhibitors",
                     "allergens us", "allergens eu", "safe temperature", "label law"]  # fmt: skip


def test_net_below_zero_goes_by_the_convention() -> None:
    bar = part(1, "bar", CHOCDF=20, FIBTG=10, POLYL=15)
    kinds = {rule: {one.kind for one in found(bar, net=NetConvention(polyols=rule))} for rule in ("all", "none")}
    assert "net below 0" in kinds["all"]
    assert "net below 0" not in kinds["none"]


def test_a_limit_is_no_missing_value() -> None:
    """As CIQUAL 2020, 13005: banana, fat "< 0,5"; beside it a component without any value."""
    banana = replace(part(1, "banana", FAT=math.nan, FIBTG=math.nan), limits={"FAT": 0.5})
    limit, none = sorted(one.text for one in of_kind("unknown value", banana))
    assert limit.startswith("Not known exactly: fat of “banana”. The tables give only a bound")
    assert none.startswith("Not known: fibre of “banana”. The tables give no value")


def test_polyols_beside_a_sum_of_sugars_and_starch_are_not_none() -> None:
    """As Fineli 20, 37: 1.7 g available, 3.5 g of fibre, 55.65 g in all, no word of polyols."""
    bar = replace(part(1, "bar", CHOCDF=55.65, FIBTG=3.5, CHOAVL=1.7), basis="available")
    [told] = [one for one in found(bar, net=NetConvention(polyols="none")) if one.kind == "unknown value"]
    assert (told.lines, "polyols of “bar”" in told.text, "1.7 to 52" in told.text) == ((1,), True, True)
    assert not [one for one in found(bar) if one.kind == "unknown value"]


def test_less_total_than_available_carbohydrate_is_pointed_out() -> None:
    """As Fineli 20, 928: cola, whose net carbohydrate would stand above its total without a word."""
    cola = part(1, "cola", ENERC_KCAL=44, PROCNT=0, FAT=0, CHOCDF=7.91, FIBTG=0, CHOAVL=10.9)
    [told] = of_kind("doubtful entry", replace(cola, basis="available"))
    assert "10.9 g of available in 7.91 g of total carbohydrate" in told.text


def test_a_topping_whose_entry_does_not_add_up_is_pointed_out() -> None:
    plain, topping = part(1, "lettuce"), part(2, "seed mix", ENERC_KCAL=500, PROCNT=0.01, FAT=1, CHOCDF=10, FIBTG=5)
    [told] = [one for one in found(plain, served=[plain, topping]) if one.kind == "doubtful entry"]
    assert told.lines == (2,)


def test_toppings_and_swaps_are_looked_at_too() -> None:
    plain, topping = part(1, "lettuce"), part(2, "chopped pecans")
    (caution,) = (one for one in found(plain, served=[plain, topping]) if one.kind == "allergens us")
    assert caution.lines == (2,)


def test_what_the_line_says_counts_beside_the_entry() -> None:
    taken = part(1, "Bread, multi-grain", group="Baked Products")
    spoken = Ingredient(1, "walnut bread", taken.food, taken.row, taken.grams)
    assert "walnut (line 1)" in of_kind("allergens eu", spoken)[0].text


# ---- the two laws ----------------------------------------------------------------------------------------------


def test_the_laws_name_different_allergens() -> None:
    """FASTER Act; FDA Allergen Q&A ed. 5 (2025), which dropped coconut; Regulation (EU) 1169/2011 Annex II."""
    lines = (
        "toasted coconut|celery sticks|sesame seeds|flaked almonds|shrimp|mussels|lupin flour|English mustard".split(
            "|"
        )
    )
    parts = [part(number, name) for number, name in enumerate(lines, 1)]
    listed = allergens_found(parts, TABLES.allergens)
    us, eu = (by_law(listed, law, TABLES.allergens) for law in ("us", "eu"))  # type: ignore[arg-type]
    assert us == {"crustacean shellfish": {"crustacean": {5}}, "sesame": {"sesame": {3}}, "tree nuts": {"almond": {4}}}
    assert eu == {
        "crustaceans": {"crustacean": {5}}, "sesame": {"sesame": {3}}, "nuts": {"almond": {4}},
        "celery": {"celery": {2}}, "mustard": {"mustard": {8}}, "lupin": {"lupin": {7}}, "molluscs": {"molluscs": {6}},
    }  # fmt: skip


# ---- laws ------------------------------------------------------------------------------------------------------

FOODS = ("cream", "rye bread", "shrimp", "coconut milk", "lettuce", "Chicken, raw", "2 eggs", "soy sauce", "pecans")
DISHES = st.lists(st.sampled_from(FOODS), min_size=1, max_size=8)


def dish_parts(names: Sequence[str]) -> list[Ingredient]:
    return [part(number, name) for number, name in enumerate(names, 1)]


@given(DISHES)
def test_order_does_not_matter(names: list[str]) -> None:
    parts = dish_parts(names)
    assert found(*parts) == found(*reversed(parts))


@given(DISHES, st.sampled_from(FOODS))
def test_another_food_takes_no_allergen_away(names: list[str], more: str) -> None:
    before = allergens_found(dish_parts(names), TABLES.allergens)
    after = allergens_found(dish_parts([*names, more]), TABLES.allergens)
    assert all(lines <= after[name] for name, lines in before.items())


@given(DISHES)
def test_no_caution_says_that_anything_is_absent(names: list[str]) -> None:
    for caution in found(*dish_parts(names)):
        assert not re.search(r"\bfree\b|does not contain|contains no", caution.text)
        assert set(caution.lines) <= set(range(1, len(names) + 1))
        assert len(caution.text) < 600
