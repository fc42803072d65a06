"""A recipe as people paste it: title, for how many, sections, list marks."""

from __future__ import annotations

import pytest

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
