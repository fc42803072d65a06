"""What a kitchen calls things comes before the tables, and never where it is but part of another name."""

from __future__ import annotations

import numpy as np
import pytest

from service.core.analyse import PartResult, Resolver
from service.core.errors import InputError, NotFoundError
from service.core.food import FoodEntry, HouseholdMeasure
from service.core.kitchen import Content, Kitchen, KitchenFood, StandingChoice
from service.core.measure import SIZES
from tests.fuzz.line_laws import check_weight

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
        "recipe:2": KitchenFood(
            FoodEntry("recipe:2", "Lemon dressing"), lambda: nothing, 300.0, servings=4,
            variants=("cheesy", "extra creamy"),
        ),
        "recipe:3": KitchenFood(FoodEntry("recipe:3", "Quay spice mix"), lambda: nothing, 60.0),
        "recipe:4": KitchenFood(FoodEntry("recipe:4", "RUSKS (for the chowder)"), lambda: nothing, 100.0, 10, "rusks"),
        "recipe:5": KitchenFood(FoodEntry("recipe:5", "Buns (small)"), lambda: nothing, 100.0, 10, "buns"),
        "recipe:6": KitchenFood(FoodEntry("recipe:6", "Buns (big)"), lambda: nothing, 800.0, 10, "buns"),
        "recipe:7": KitchenFood(FoodEntry("recipe:7", "Skerry base"), lambda: nothing, 200.0, servings=2),
        "recipe:8": KitchenFood(FoodEntry("recipe:8", "Skerry base"), lambda: nothing, 500.0, servings=2),
        "recipe:9": KitchenFood(
            FoodEntry("recipe:9", "Pier rub"), lambda: nothing, 70.0, 10, "spoonfuls", 2, weighs_more=True
        ),
        "own:3": KitchenFood(FoodEntry("own:3", "Lemon bar"), lambda: nothing),
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
        ("double the lemon dressing", "recipe:2", 600, "saved recipe"),
        ("twice the quay spice mix", "recipe:3", 120, "saved recipe"),
        ("triple the seed crackers", "recipe:1", 720, "saved recipe"),
        ("a double batch of lemon dressing", "recipe:2", 600, "saved recipe"),
        ("the whole lemon dressing", "recipe:2", 300, "saved recipe"),
        ("the entire lemon dressing", "recipe:2", 300, "saved recipe"),
        ("a whole batch of seed crackers", "recipe:1", 240, "saved recipe"),
        ("a single batch of lemon dressing", "recipe:2", 300, "saved recipe"),
        ("10 % of the lemon dressing", "recipe:2", 30, "saved recipe"),
        ("50% of the lemon dressing", "recipe:2", 150, "saved recipe"),
        ("50 percent of the lemon dressing", "recipe:2", 150, "saved recipe"),
        ("100 % of the seed crackers", "recipe:1", 240, "saved recipe"),
        ("10 % of a batch of lemon dressing", "recipe:2", 30, "saved recipe"),
        ("1 1/2 times the lemon dressing", "recipe:2", 450, "saved recipe"),
        ("1½ times the lemon dressing", "recipe:2", 450, "saved recipe"),
        ("three times the lemon dressing", "recipe:2", 900, "saved recipe"),
        ("two times a batch of lemon dressing", "recipe:2", 600, "saved recipe"),
        ("a tenth of the lemon dressing", "recipe:2", 30, "saved recipe"),
        ("a third of the lemon dressing", "recipe:2", 100, "saved recipe"),
        ("3/4 of the quay spice mix", "recipe:3", 45, "saved recipe"),
        ("roughly half of the lemon dressing", "recipe:2", 150, "saved recipe"),
        ("half the lemon dressing recipe", "recipe:2", 150, "saved recipe"),
        ("half the recipe for lemon dressing", "recipe:2", 150, "saved recipe"),
        ("2 servings' worth of lemon dressing", "recipe:2", 150, "saved recipe"),
        ("lemon dressing (1/2 batch)", "recipe:2", 150, "saved recipe"),
        ("seed crackers, 2 batches", "recipe:1", 480, "saved recipe"),
        ("lemon dressing - 2 servings", "recipe:2", 150, "saved recipe"),
        ("half a serving of lemon dressing", "recipe:2", 37.5, "saved recipe"),
        ("2 seed crackers (20 g each)", "recipe:1", 40, "saved recipe"),
        ("50% of the quay bar", "own:2", 15, "own food"),
        ("double the quay bar", "own:2", 60, "own food"),
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


@pytest.mark.parametrize(
    ("line", "reason"),
    [
        ("2 seed crackers per person", "the amount is for one"),
        ("2 seed crackers each", "the amount is for one"),
        ("2 seed crackers per serving", "the amount is for one"),
        ("2 seed crackers for every guest", "the amount is for one"),
        ("2 seed crackers a head", "the amount is for one"),
        ("seed crackers, 2 per person", "the amount is for one"),
        ("per person: 2 seed crackers", "the amount is for one"),
        ("30 g lemon dressing per person", "the amount is for one"),
        ("1 quay bar per person", "the amount is for one"),
        ("1 quay bar each", "the amount is for one"),
        ("20 g mayo per person", "the amount is for one"),
        ("one batch lemon dressing, doubled", "'doubled', which was not counted"),
        ("half the lemon dressing, the rest to serve", "speaks of the rest"),
        ("more than half the lemon dressing", "'more than' was not counted"),
        ("the rest of the lemon dressing", "how much of it is left is not known"),
        ("what's left of the lemon dressing", "how much of it is left is not known"),
        ("half of the remaining lemon dressing", "how much of it is left is not known"),
        ("most of the lemon dressing", "how much of it is left is not known"),
        ("5 % seed crackers", "was taken for a share"),
        ("double lemon dressing", "was taken for a share or multiple"),
        ("a slice of seed crackers", "is a guess"),
        ("2 lemon bars", "is a guess"),
    ],
)
def test_how_much_is_meant_is_to_be_checked(resolver: Resolver, kitchen: Kitchen, line: str, reason: str) -> None:
    found = first(resolver, kitchen, line)
    assert (found.outcome, found.by != "") == ("check", True)
    assert any(reason in one for one in found.reasons), found.reasons


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("2 servings of lemon dressing with everything", "'everything'"),
        ("2 servings lemon dressing with toppings", "'topping'"),
        ("2 servings of lemon dressing, no toppings", "'no toppings'"),
        ("a serving of lemon dressing without maltitol", "'without maltitol'"),
        ("200 g lemon dressing (without the cream)", "'without the cream'"),
        ("200 g lemon dressing, minus the cheese", "'minus the cheese'"),
        ("200 g lemon dressing (no cream)", "'no cream'"),
        ("200 g lemon dressing, leaving out the garlic", "'leaving out the garlic'"),
        ("200 g lemon dressing, made with oat milk", "'made with oat milk'"),
        ("200 g lemon dressing (made with half the sugar)", "'made with half the sugar'"),
        ("200 g lemon dressing, using almond milk", "'using almond milk'"),
        ("200 g lemon dressing, reduced by half", "'reduced'"),
        ("200 g lemon dressing, boiled down", "'boiled', 'down'"),
        ("2 seed crackers, fried", "'fried'"),
        ("2 seed crackers with butter", "'butter'"),
        ("200 g lemon dressing, low fat", "'lowfat'"),
        ("200 g lemon dressing (vegan)", "'vegan'"),
        ("100 g lemon dressing, double strength", "'double', 'strength'"),
        ("100 g lemon dressing, sweetened", "'sweetened'"),
        ("2 quay bars without the chocolate", "'without the chocolate'"),
        ("2 quay bars, cooked", "'cooked'"),
        ("2 tbsp mayo, light", "'light'"),
        ("2 tbsp mayo without egg", "'without egg'"),
    ],
)
def test_what_is_said_to_be_in_a_food_of_the_kitchen_or_not_is_named_and_to_be_checked(
    resolver: Resolver, kitchen: Kitchen, line: str, said: str
) -> None:
    found = first(resolver, kitchen, line)
    assert (found.outcome, found.by != "") == ("check", True)
    assert f"the line also says {said}, which was not counted" in found.reasons


@pytest.mark.parametrize("line", ["2 servings of lemon dressing, cheesy", "100 g lemon dressing (extra creamy)"])
def test_a_variant_that_a_line_names_is_not_what_was_counted(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    found = first(resolver, kitchen, line)
    assert found.outcome == "check"
    assert any("is a variant of it: the plain recipe was counted" in reason for reason in found.reasons)


@pytest.mark.parametrize(
    "line",
    [
        "200 g lemon dressing, warm", "200 g lemon dressing, chilled", "200 g lemon dressing, thawed",
        "200 g lemon dressing, reheated", "200 g lemon dressing, at room temperature", "200 g lemon dressing, cooked",
        "1 batch of lemon dressing, homemade", "1 batch of lemon dressing, made the day before",
        "1 batch of lemon dressing, made in advance", "200 g lemon dressing (recipe above)",
        "200 g lemon dressing (page 12)", "200 g lemon dressing from yesterday", "200 g leftover lemon dressing",
        "200 g lemon dressing in a jug", "200 g lemon dressing, to serve", "200 g lemon dressing for the table",
        "200 g lemon dressing, on the side", "200 g lemon dressing, well stirred", "200 g lemon dressing, plain",
        "200 g lemon dressing, no need to heat", "200 g lemon dressing, creamy",
        "200 ml lemon dressing, half discarded", "2 seed crackers, toasted", "2 seed crackers, cut into cubes",
        "2 quay bars, chopped", "20 g mayo, homemade",
    ],
)  # fmt: skip
def test_what_leaves_a_food_of_the_kitchen_as_it_is_raises_no_doubt(
    resolver: Resolver, kitchen: Kitchen, line: str
) -> None:
    assert first(resolver, kitchen, line).outcome == "resolved"


@pytest.mark.parametrize(
    ("line", "share", "basis"),
    [
        ("half the pier rub", 0.5, "the whole recipe weighs at least 70 g, as not all of it has a weight"),
        ("1 serving of pier rub", 0.5, "2 servings weigh at least 70 g, as not all of it has a weight"),
        ("2 pier rub", 0.2, "10 spoonfuls weigh at least 70 g, as not all of it has a weight"),
    ],
)
def test_a_part_of_a_recipe_of_which_not_all_has_a_weight_weighs_no_less_than_is_known(
    resolver: Resolver, kitchen: Kitchen, line: str, share: float, basis: str
) -> None:
    part = first(resolver, kitchen, line)
    assert part.grams is not None
    assert (part.grams.value, part.grams.low, part.grams.high) == (None, pytest.approx(70 * share), None)
    assert part.grams.share == pytest.approx((share, share, share))
    check_weight(part.grams)
    assert part.outcome == "check"
    assert basis in part.reasons


def test_a_share_of_what_is_left_weighs_nothing_that_is_known(resolver: Resolver, kitchen: Kitchen) -> None:
    found = first(resolver, kitchen, "half of the remaining lemon dressing")
    assert (found.grams and found.grams.value) is None


def test_an_amount_for_one_stays_so_where_the_food_was_chosen(resolver: Resolver, kitchen: Kitchen) -> None:
    chosen = resolver.resolve("2 seed crackers per person", kitchen=kitchen, food="recipe:1")
    assert chosen.outcome == "check"
    assert resolver.resolve(chosen.line, kitchen=kitchen, food="recipe:1", grams=160).outcome == "resolved"


@pytest.mark.parametrize("line", ["half the skerry base", "100 g skerry base", "2 servings of skerry base"])
def test_a_title_that_two_recipes_have_is_to_be_chosen(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    found = first(resolver, kitchen, line)
    assert found.outcome == "check"
    assert [one.food.id for one in found.candidates] == ["recipe:7", "recipe:8"]
    assert any("is the name of recipe:7 and recipe:8" in reason for reason in found.reasons)
    assert resolver.resolve(line, kitchen=kitchen, grams=50).outcome == "check"
    assert resolver.resolve(line, kitchen=kitchen, food="recipe:8").outcome == "resolved"
    inside = first(resolver, kitchen.inside("recipe:7"), line)
    assert (inside.outcome, inside.food and inside.food.id) == ("resolved", "recipe:8")


@pytest.mark.parametrize(
    "line",
    [
        "10-20% of the lemon dressing", "0% of the lemon dressing", "two double batches of lemon dressing",
        "200 ml double lemon dressing", "100 g whole lemon dressing", "twice as much lemon dressing",
        "the second half of the lemon dressing",
        "1 1/2 by the lemon dressing", "half again of the lemon dressing", "3 by the quay bar",
    ],
)  # fmt: skip
def test_what_is_not_read_is_no_silent_note(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    found = resolver.resolve(line, kitchen=kitchen)
    assert found.outcome in ("check", "no_match")
    assert not any("qq" in reason for part in found.parts for reason in part.reasons)


@pytest.mark.parametrize("line", ["For the lemon dressing:", "Lemon dressing:", "Double lemon dressing:"])
def test_a_heading_stays_one(resolver: Resolver, kitchen: Kitchen, line: str) -> None:
    assert resolver.resolve(line, kitchen=kitchen).outcome == "not_food"


def test_what_is_said_of_the_next_food_is_not_said_of_a_name(resolver: Resolver, kitchen: Kitchen) -> None:
    for line in (
        "2 seed crackers and 1 batch of lemon dressing", "2 seed crackers, 1 tsp each salt and pepper",
        "2 seed crackers and a serving of lemon dressing",
    ):  # fmt: skip
        assert first(resolver, kitchen, line).outcome == "resolved", line


def test_a_title_without_its_bracket_that_two_recipes_have_means_neither(resolver: Resolver, kitchen: Kitchen) -> None:
    found = first(resolver, kitchen, "2 buns")
    assert found.by != "saved recipe"
    named = first(resolver, kitchen, "2 buns (big)")
    assert (named.food and named.food.id, named.grams and named.grams.value) == ("recipe:6", 160)


def test_a_chosen_weight_leaves_no_word_of_the_one_it_stands_for(resolver: Resolver, kitchen: Kitchen) -> None:
    reasons = first(resolver, kitchen, "a knob of butter").reasons
    assert "standing choice: a knob -> 12 g" in reasons
    assert not any("was taken as" in reason for reason in reasons)


@pytest.mark.parametrize(
    ("line", "grams"), [("a knob of butter", 12), ("2 knobs of butter", 24), ("a knob of lard", 10)]
)
@pytest.mark.parametrize("turn", [1, -1], ids=["wide first", "narrow first"])
def test_a_choice_for_one_food_comes_before_that_for_any(
    resolver: Resolver, turn: int, line: str, grams: float
) -> None:
    choices = [StandingChoice("a knob", grams=10), StandingChoice("a knob of butter", grams=12)][::turn]
    ruled = Kitchen((), choices, fetch=lambda food: pytest.fail(food), read=lambda text: resolver.read(text).parts)
    weight = first(resolver, ruled, line).grams
    assert weight is not None
    assert weight.value == grams


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


@pytest.mark.parametrize(
    ("line", "food", "grams"),
    [
        ("100 g block", "sr28:01001", 100),
        ("100 g bar", "sr28:19164", 100),
        ("100g pack (chilled)", "sr28:01001", 100),
        ("one 400 g tin", "sr28:11282", 400),
        ("2 x 100 g bars", "sr28:19164", 200),
        ("500 g tub, chilled", "sr28:01001", 500),
        ("100 g, to serve", "sr28:01001", 100),
        ("For the filling: 100 g", "sr28:01001", 100),
        ("2 tbsp", "sr28:01001", 28.4),
        ("3 slices", "sr28:18069", 87),
        ("2", "sr28:01123", 100),
        ("100 g zorblax bar", "sr28:19164", 100),
        ("120 g", "recipe:1", 120),
        ("Topping", "sr28:01001", None),
    ],
)
def test_a_line_that_leaves_its_food_to_the_writer_still_states_its_amount(
    resolver: Resolver, kitchen: Kitchen, line: str, food: str, grams: float | None
) -> None:
    result = resolver.resolve(line, kitchen=kitchen, food=food)
    part = result.parts[0]
    assert (result.outcome, part.by, part.food and part.food.id) == ("resolved", "by hand", food)
    assert part.grams is not None
    assert part.grams.value == (grams if grams is None else pytest.approx(grams))
    assert "qq" not in part.text


@pytest.mark.parametrize("line", ["Serves 4", "Bake for 20 minutes"])
def test_figures_that_are_no_amount_of_a_chosen_food_are_to_be_checked(resolver: Resolver, line: str) -> None:
    result = resolver.resolve(line, food="sr28:01001")
    assert (result.outcome, result.parts[0].grams and result.parts[0].grams.value) == ("check", None)
    assert resolver.resolve(line, food="sr28:01001", grams=20).outcome == "resolved"


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
