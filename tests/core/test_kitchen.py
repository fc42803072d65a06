"""What a kitchen calls things comes before the tables, and never where it is but part of another name."""

from __future__ import annotations

import numpy as np
import pytest

from service.core.analyse import PartResult, Resolver
from service.core.errors import InputError, NotFoundError
from service.core.food import FoodEntry, HouseholdMeasure
from service.core.kitchen import Content, Kitchen, KitchenFood, StandingChoice
from service.core.measure import SIZES

CHOICES = (
    StandingChoice("mayo", food="sr28:04025"),
    StandingChoice("1 egg", size="medium"),
    StandingChoice("a knob", grams=12),
    StandingChoice("1 cup almond flour", grams=90),
    StandingChoice("gone", food="sr28:99999"),
)


@pytest.fixture(scope="module")
def kitchen(resolver: Resolver) -> Kitchen:
    nothing = Content(np.zeros(len(resolver.table.components)))
    oat = FoodEntry("own:1", "Quay oat drink", measures=(HouseholdMeasure(100, "ml", 103),))
    bar = FoodEntry("own:2", "Quay bar", measures=(HouseholdMeasure(1, "serving", 45), HouseholdMeasure(2, "bars", 60)))
    foods = {
        "recipe:1": KitchenFood(FoodEntry("recipe:1", "Seed crackers"), lambda: nothing, 240.0, 12, "crackers", 6),
        "recipe:2": KitchenFood(FoodEntry("recipe:2", "Lemon dressing"), lambda: nothing, 300.0, servings=4),
        "recipe:3": KitchenFood(FoodEntry("recipe:3", "Quay spice mix"), lambda: nothing, 60.0),
        "recipe:4": KitchenFood(FoodEntry("recipe:4", "RUSKS (for the chowder)"), lambda: nothing, 100.0, 10, "rusks"),
        "recipe:5": KitchenFood(FoodEntry("recipe:5", "Buns (small)"), lambda: nothing, 100.0, 10, "buns"),
        "recipe:6": KitchenFood(FoodEntry("recipe:6", "Buns (big)"), lambda: nothing, 800.0, 10, "buns"),
        "own:1": KitchenFood(oat, lambda: nothing),
        "own:2": KitchenFood(bar, lambda: nothing),
    }
    names = [(food.entry.description, food_id) for food_id, food in foods.items()]

    def fetch(food_id: str) -> KitchenFood:
        if food_id not in foods:
            raise NotFoundError(f"no food has the id {food_id!r}")
        return foods[food_id]

    return Kitchen(names, CHOICES, fetch=fetch, read=lambda phrase: resolver.read(phrase).parts)


def first(resolver: Resolver, kitchen: Kitchen, line: str) -> PartResult:
    return resolver.resolve(line, kitchen=kitchen).parts[0]


@pytest.mark.parametrize(
    ("line", "food", "grams", "by"),
    [
        ("2 seed crackers, crumbled", "recipe:1", 40, "saved recipe"),
        ("1 Seed Cracker", "recipe:1", 20, "saved recipe"),
        ("1/2 the seed crackers", "recipe:1", 120, "saved recipe"),
        ("all the seed crackers", "recipe:1", 240, "saved recipe"),
        ("170 g seed crackers", "recipe:1", 170, "saved recipe"),
        ("half the dressing", "recipe:2", 150, "saved recipe"),
        ("1 lemon dressing", "recipe:2", 300, "saved recipe"),
        ("1 serving of lemon dressing", "recipe:2", 75, "saved recipe"),
        ("2 portions lemon dressing", "recipe:2", 150, "saved recipe"),
        ("1 serving seed crackers", "recipe:1", 40, "saved recipe"),
        ("half a batch of seed crackers", "recipe:1", 120, "saved recipe"),
        ("2 batches of the lemon dressing", "recipe:2", 600, "saved recipe"),
        ("1 recipe lemon dressing", "recipe:2", 300, "saved recipe"),
        ("all of the seed crackers", "recipe:1", 240, "saved recipe"),
        ("2 seed crackers, enough for half of the plates", "recipe:1", 40, "saved recipe"),
        ("2 seed crackers (see recipe)", "recipe:1", 40, "saved recipe"),
        ("half the spice mix", "recipe:3", 30, "saved recipe"),
        ("all of the spice mix", "recipe:3", 60, "saved recipe"),
        ("2 rusks", "recipe:4", 20, "saved recipe"),
        ("1 serving of quay bar", "own:2", 45, "own food"),
        ("2 servings quay bar", "own:2", 90, "own food"),
        ("half a quay bar", "own:2", 15, "own food"),
        ("3 quay bars", "own:2", 90, "own food"),
        ("200 ml quay oat drink", "own:1", 206, "own food"),
        ("2 tbsp mayo", "sr28:04025", 27.6, "standing choice"),
        ("3 eggs", "sr28:01123", 132, "standing choice"),
        ("a knob of butter", "sr28:01001", 12, "standing choice"),
        ("2 knobs butter", "sr28:01001", 24, "standing choice"),
    ],
)
def test_a_name_of_the_kitchen_counts(
    resolver: Resolver, kitchen: Kitchen, line: str, food: str, grams: float, by: str
) -> None:
    found = first(resolver, kitchen, line)
    assert found.food is not None
    assert found.grams is not None
    assert (found.food.id, found.by) == (food, by)
    assert found.grams.value == pytest.approx(grams)


@pytest.mark.parametrize("line", ["2 tbsp light mayo", "1 tbsp lemon dressing mix", "2 large eggs", "100 g butter"])
def test_a_name_that_is_part_of_another_does_not(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    assert first(resolver, kitchen, line) == first(
        resolver, Kitchen((), (), fetch=kitchen.fetch, read=lambda _: ()), line
    )


@pytest.mark.parametrize("line", ["half the dressing", "half the spice mix", "2 rusks"])
def test_what_is_guessed_from_a_part_of_a_title_is_to_be_checked(
    resolver: Resolver, kitchen: Kitchen, line: str
) -> None:
    assert first(resolver, kitchen, line).outcome == "check"


@pytest.mark.parametrize(
    ("line", "outcome"),
    [
        ("1 lemon dressing", "check"),
        ("2 lemon dressings", "check"),
        ("1 batch of lemon dressing", "resolved"),
        ("2 servings of lemon dressing", "resolved"),
        ("half the lemon dressing", "resolved"),
        ("100 g lemon dressing", "resolved"),
        ("2 seed crackers", "resolved"),
        ("1 quay spice mix", "resolved"),  # for nobody in particular
    ],
)
def test_a_count_of_a_recipe_for_several_may_have_meant_servings(
    resolver: Resolver, kitchen: Kitchen, line: str, outcome: str
) -> None:
    assert first(resolver, kitchen, line).outcome == outcome


@pytest.mark.parametrize("line", ["the rest of the dressing", "the rest of the lemon dressing", "remaining dressing"])
def test_what_is_left_of_a_recipe_has_no_weight(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    found = first(resolver, kitchen, line)
    assert (found.food and found.food.id, found.grams and found.grams.value) == ("recipe:2", None)


def test_a_title_without_its_bracket_that_two_recipes_have_means_neither(resolver: Resolver, kitchen: Kitchen) -> None:
    found = first(resolver, kitchen, "2 buns")
    assert found.by != "saved recipe"
    named = first(resolver, kitchen, "2 buns (big)")
    assert (named.food and named.food.id, named.grams and named.grams.value) == ("recipe:6", 160)


def test_a_chosen_weight_leaves_no_word_of_the_one_it_stands_for(resolver: Resolver, kitchen: Kitchen) -> None:
    reasons = first(resolver, kitchen, "a knob of butter").reasons
    assert "standing choice: a knob -> 12 g" in reasons
    assert not any("was taken as" in reason for reason in reasons)


def test_a_line_may_name_a_recipe_and_a_food(resolver: Resolver, kitchen: Kitchen) -> None:
    found = resolver.resolve("2 seed crackers and 1 tbsp butter", kitchen=kitchen).parts
    assert [part.food.id for part in found if part.food] == ["recipe:1", "sr28:01001"]


def test_a_choice_whose_entry_is_gone_is_said(resolver: Resolver, kitchen: Kitchen) -> None:
    found = first(resolver, kitchen, "1 gone")
    assert (found.outcome, found.food) == ("check", None)
    assert "not there" in found.reasons[0]


def test_the_title_does_not_mean_itself_inside_its_recipe(resolver: Resolver, kitchen: Kitchen) -> None:
    inside = first(resolver, kitchen.inside("recipe:2"), "1 tbsp lemon dressing")
    assert inside.food is None or inside.food.id != "recipe:2"


@pytest.mark.parametrize(("food", "grams"), [("sr28:01001", None), ("recipe:1", None), ("own:1", 55.0)])
def test_a_food_and_grams_by_hand_overrule_the_text(
    resolver: Resolver, kitchen: Kitchen, food: str, grams: float | None
) -> None:
    result = resolver.resolve("2 tbsp something odd", kitchen=kitchen, food=food, grams=grams)
    part = result.parts[0]
    assert part.food is not None
    assert part.food.id == food
    assert part.by == "by hand"
    if grams is not None:
        assert part.grams is not None
        assert part.grams.value == grams
        assert result.outcome == "resolved"


def test_grams_by_hand_want_one_food(resolver: Resolver) -> None:
    with pytest.raises(InputError) as error:
        resolver.resolve("salt and pepper", grams=3)
    assert error.value.pointer == "/grams"


def test_an_unknown_food_is_refused(resolver: Resolver, kitchen: Kitchen) -> None:
    with pytest.raises(NotFoundError):
        resolver.resolve("1 egg", kitchen=kitchen, food="sr28:00000")


def test_without_names_nothing_changes(resolver: Resolver) -> None:
    empty = Kitchen((), (), fetch=lambda food_id: pytest.fail(food_id), read=lambda _: ())
    for line in ("half a small avocado", "salt and pepper", "For the dressing:", f"2 {next(iter(SIZES))} eggs"):
        assert resolver.resolve(line, kitchen=empty) == resolver.resolve(line)
