"""Folding and singulars: cases and laws."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.text import fold, singular, with_article, without_bullet

FOLDED = [
    ("Crème Fraîche", "creme fraiche"),
    ("1½ cups", "1 1/2 cups"),
    ("½ cup", "1/2 cup"),
    ("1⁄2 cup", "1/2 cup"),
    ("3–4 lb", "3-4 lb"),
    ("2 × 400 g", "2 x 400 g"),
    ("salt &amp; pepper", "salt & pepper"),
    ("jalapen\u0303o", "jalapeno"),
    ("Gruyère  —  grated", "gruyere - grated"),
    ("smørrebrød", "smorrebrod"),
    ("goat’s cheese", "goat's cheese"),
    ("\u0421rab m\u0435at", "crab meat"),  # Cyrillic letters among Latin ones
    ("\u0440\u0438\u0441", "\u0440\u0438\u0441"),  # a word all in Cyrillic
    ("\u00a0 2\u2009eggs ", "2 eggs"),
]


@pytest.mark.parametrize(("text", "want"), FOLDED)
def test_fold(text: str, want: str) -> None:
    assert fold(text) == want


WITH_ARTICLE = [
    ("cup", "a cup"), ("egg sized knob", "an egg sized knob"), ("armful", "an armful"), ("oz", "an oz"),
    ("inch", "an inch"), ("unit", "a unit"), ("uk pint", "a uk pint"), ("us pint", "a us pint"),
    ("espresso cup", "an espresso cup"), ("piece", "a piece"), ("udon bowl", "an udon bowl"),
]  # fmt: skip


@pytest.mark.parametrize(("noun", "want"), WITH_ARTICLE)
def test_with_article(noun: str, want: str) -> None:
    assert with_article(noun) == want


BULLETS = [
    ("- 3 eggs", "3 eggs"), ("[ ] 2 tbsp", "2 tbsp"), ("• 1 cup", "1 cup"), ("* butter", "butter"),
    ("2 eggs", "2 eggs"),
]


@pytest.mark.parametrize(("text", "want"), BULLETS)
def test_without_bullet(text: str, want: str) -> None:
    assert without_bullet(text) == want


SINGULARS = [
    ("tomatoes", "tomato"), ("leaves", "leaf"), ("berries", "berry"), ("radishes", "radish"), ("eggs", "egg"),
    ("couscous", "couscous"), ("asparagus", "asparagus"), ("molasses", "molasses"), ("swiss", "swiss"),
    ("anchovies", "anchovy"), ("cookies", "cookie"), ("chillies", "chili"), ("peaches", "peach"), ("boxes", "box"),
    ("slices", "slice"), ("olives", "olive"), ("hummus", "hummus"), ("brussels", "brussels"), ("peas", "pea"),
]


@pytest.mark.parametrize(("plural", "want"), SINGULARS)
def test_singular(plural: str, want: str) -> None:
    assert singular(plural) == want


@given(st.text(max_size=200))
def test_folding_twice_changes_nothing(text: str) -> None:
    once = fold(text)
    assert fold(once) == once


@given(st.text(max_size=200))
def test_folded_text_has_single_spaces_and_no_capitals(text: str) -> None:
    folded = fold(text)
    assert "  " not in folded
    assert folded == folded.strip()
    assert folded == folded.lower()
