"""A recipe as people paste it: title, for how many, sections, list marks."""

from __future__ import annotations

import pytest

from service.core.errors import InputError
from service.core.recipe import RecipeLine, checked
from service.core.recipe_text import ReadRecipe, read_recipe, read_schema_org
from service.tables.cooking import load_cooking_tables


def read(text: str) -> ReadRecipe:
    return read_recipe(text, is_heading=lambda line: line.strip().endswith(":"))


def texts(recipe: ReadRecipe) -> list[str]:
    return [line.text for section in recipe.recipe.sections for line in section.lines]


@pytest.mark.parametrize(
    ("first", "title", "servings", "pieces"),
    [
        ("Chowder", "Chowder", 1, None),
        ("Chowder (serves 4)", "Chowder", 4, None),
        ("CHOWDER - SERVES 4", "CHOWDER", 4, None),
        ("Chowder, for 4 people", "Chowder", 4, None),
        ("Chowder [4 servings]", "Chowder", 4, None),
        ("Chowder (serves 4-6)", "Chowder", 4, None),
        ("Chowder (serves 4 - 6)", "Chowder", 4, None),
        ("Quay rolls (makes 8 rolls)", "Quay rolls", 8, 8),
        ("Chowder (with 2 fish)", "Chowder (with 2 fish)", 1, None),
        ("Chowder, for 4", "Chowder, for 4", 1, None),
        ("Fish-and-fennel pie", "Fish-and-fennel pie", 1, None),
        ("Fish pie (version 4)", "Fish pie (version 4)", 1, None),
        ("(serves 4)", "(serves 4)", 1, None),
    ],
)
def test_a_title_may_end_in_for_how_many(first: str, title: str, servings: float, pieces: float | None) -> None:
    found = read(f"{first}\n\n2 eggs").recipe
    assert (found.title, found.servings, found.yields.pieces) == (title, servings, pieces)


def test_a_range_in_a_title_is_no_silent_guess() -> None:
    assert "larger serving" in " ".join(read("Chowder (serves 4-6)\n\n2 eggs").notes)


def test_a_line_of_its_own_goes_before_the_title() -> None:
    assert read("Chowder (serves 4)\nServes 6\n2 eggs").recipe.servings == 6


@pytest.mark.parametrize("mark", ["- ", "* ", "• ", "[ ] ", "– ", "· "])
def test_list_marks_are_no_part_of_a_line(mark: str) -> None:
    assert texts(read(f"Plate\n\n{mark}2 eggs\n{mark}10 g chives")) == ["2 eggs", "10 g chives"]


# ---- what is said of cooking -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "grams"),
    [("Cooked weight: 850 g", 850), ("Cooked weight 1.2 kg", 1200), ("baked weight: about 640 grams", 640)],
)
def test_a_cooked_weight(said: str, grams: float) -> None:
    found = read(f"Loaf\n\nServes 8\nMakes 16 slices\n{said}\n200 g almonds").recipe
    assert (found.yields.cooked_grams, found.yields.pieces, len(found.lines)) == (grams, 16, 1)


MARKED = [
    ("500 g beef mince [browned]", RecipeLine("500 g beef mince", treatment="browned")),
    ("100 ml oil [20% eaten; 90 g]", RecipeLine("100 ml oil", share_eaten=0.2, grams=90)),
    ("1 egg [optional; sr28:01123]", RecipeLine("1 egg", optional=True, food="sr28:01123")),
    ("10 g chives [left out]", RecipeLine("10 g chives", left_out=True)),
    ("1 lemon [organic]", RecipeLine("1 lemon [organic]")),
    ("1 lemon [browned; organic]", RecipeLine("1 lemon [browned; organic]")),
]


@pytest.mark.parametrize(("text", "line"), MARKED, ids=[text for text, _ in MARKED])
def test_what_is_said_behind_a_line(text: str, line: RecipeLine) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", is_heading=lambda _: False, is_treatment="browned".__eq__)
    assert found.recipe.lines == (line,)


def test_brackets_that_are_no_mark_are_told() -> None:
    found = read_recipe("Plate\n\nServes 2\n1 lemon [browend]", is_heading=lambda _: False)
    assert any("[browend] is no mark" in note for note in found.notes)


SAID = [
    ("100 ml olive oil, half the oil is left in the pan", 0.5),
    ("100 ml olive oil (half is left in the pan)", 0.5),
    ("100 ml olive oil - about a third of it stays in the pan", 2 / 3),
    ("3 tbsp oil, two thirds left", 1 / 3),
    ("3 tbsp oil; 1/4 poured off", 0.75),
    ("1 l oil for deep-frying, 10% absorbed", 0.1),
    ("1 l oil for deep-frying, of which 10 % is absorbed", 0.1),
    ("1 tbsp butter, only half is eaten", 0.5),
    ("200 ml buttermilk, discarded", 0),
    ("250 ml brine (thrown away)", 0),
    ("250 ml brine, thrown away when the fish is cured", 0),
    ("1 cup soy sauce for the marinade, discard the marinade", 0),
    ("1 bay leaf, discard after cooking", 0),
    ("50 g bacon fat, not eaten", 0),
    # of a part, of another food, or under a condition: nothing is read
    ("4 chicken thighs, skin discarded", None),
    ("1 chicken with bones, bones discarded", None),
    ("200 g tuna in oil, oil discarded", None),
    ("500 g chicken thighs, discard the marinade", None),
    ("2 eggs, half the whites discarded", None),
    ("6 mussels, discard any that stay shut", None),
    ("2 avocados, discard when brown", None),
    ("1 lemon, half juiced", None),
    ("1 cup flour, half remaining for dusting", None),
    ("1 egg, 120% eaten", None),
    ("1 egg, 1/0 eaten", None),
    ("half the oil is left in the pan", None),
]


@pytest.mark.parametrize(("text", "share"), SAID, ids=[text for text, _ in SAID])
def test_a_share_eaten_in_a_lines_own_words(text: str, share: float | None) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", is_heading=lambda _: False)
    (line,) = found.recipe.lines
    assert (line.text, line.share_eaten) == (text, pytest.approx(1 if share is None else share))
    assert [note for note in found.notes if "is counted as eaten" in note] != [] or share is None


COOKED = [
    ("500 g beef mince, browned and drained", "browned and drained"),
    ("500 g beef mince, browned, fat drained off", "fat drained off"),
    ("500 g beef mince, drained after frying", "drained after frying"),
    ("200 g spinach (boiled, drained)", "boiled, drained"),
    ("100 ml red wine, simmered 30 min", "simmered 30 min"),
    ("500 g beef mince, fried", None),  # it may have been bought or weighed so
    ("1 tin chickpeas, drained", None),
    ("1 onion, browned and sliced", None),
]


@pytest.mark.parametrize(("text", "treatment"), COOKED, ids=[text for text, _ in COOKED])
def test_a_treatment_in_a_lines_own_words(text: str, treatment: str | None) -> None:
    known = load_cooking_tables().knows
    found = read_recipe(f"Plate\n\nServes 2\n{text}", is_heading=lambda _: False, is_treatment=known)
    assert found.recipe.lines == (RecipeLine(text, treatment=treatment),)
    assert [note for note in found.notes if "was taken as its cooking treatment" in note] != [] or treatment is None


def test_marks_go_before_words() -> None:
    text = "Plate\n\nServes 2\n1 tbsp oil, half left [100% eaten]\n1 tbsp oil [30 % Eaten]"
    found = read_recipe(text, is_heading=lambda _: False)
    assert [line.share_eaten for line in found.recipe.lines] == [1, 0.3]


@pytest.mark.parametrize(("text", "pointer"), [("1 egg [120% eaten]", "/sections/0/lines/0/share_eaten")])
def test_a_mark_that_cannot_be(text: str, pointer: str) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", is_heading=lambda _: False)
    with pytest.raises(InputError) as caught:
        checked(found.recipe)
    assert caught.value.pointer == pointer


def test_a_schema_org_recipe_is_read_by_the_same_words() -> None:
    value = {"@type": "Recipe", "name": "Plate", "recipeIngredient": ["100 ml oil, half of it is left in the pan"]}
    assert read_schema_org(value).recipe.lines[0].share_eaten == 0.5
