"""A recipe as people paste it: title, for how many, sections, list marks."""

from __future__ import annotations

import pytest

from service.core.recipe import RecipeLine
from service.core.recipe_text import ReadRecipe, read_recipe


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
