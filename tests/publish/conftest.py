"""Publications made by hand: a plate of a harbour-side lunch room, with and without gaps."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
import pytest

from service.core.cautions import Caution
from service.core.composition import Dish, Ingredient, Spread
from service.core.figures import figures
from service.core.food import Component, FoodEntry, Release
from service.core.nutrients import NetConvention, net_formula
from service.core.panel import eu_declaration, us_panel
from service.publish import Helping, ListLine, ListSection, Origin, Publication

HOSTILE = "</script><script>alert(1)</script> & \"quotes\" 'and' <b>bold</b> ]]> \x00\x0b\ud800 é 日本"
UNITS = {
    "ENERC_KCAL": "kcal",
    "ENERC_KJ": "kJ",
    "NA": "mg",
    "CHOLE": "mg",
    "CA": "mg",
    "FE": "mg",
    "K": "mg",
    "VITD": "µg",
}
NAMES = (*UNITS, "PROCNT", "FAT", "FASAT", "FATRN", "CHOCDF", "FIBTG", "SUGAR", "SUGAD", "ALC", "WATER")
COMPONENTS = tuple(Component(name, name, name, UNITS.get(name, "g"), 1) for name in NAMES)
# Invented foods, per 100 g.
FISH = {"ENERC_KCAL": 116.0, "PROCNT": 25.2, "FAT": 0.96, "FASAT": 0.2, "FATRN": 0.0, "CHOCDF": 0.0, "FIBTG": 0.0,
        "SUGAR": 0.0, "SUGAD": 0.0, "NA": 763.0, "CHOLE": 77.0, "CA": 49.0, "FE": 1.4, "K": 415.0, "VITD": 1.0,
        "ALC": 0.0, "WATER": 71.5, "ENERC_KJ": 485.0}  # fmt: skip
LEEK = {"ENERC_KCAL": 61.0, "PROCNT": 1.5, "FAT": 0.3, "FASAT": 0.04, "FATRN": 0.0, "CHOCDF": 14.15, "FIBTG": 1.8,
        "SUGAR": 3.9, "SUGAD": 0.0, "NA": 20.0, "CHOLE": 0.0, "CA": 59.0, "FE": 2.1, "K": 180.0, "VITD": 0.0,
        "ALC": 0.0, "WATER": 83.0, "ENERC_KJ": 255.0}  # fmt: skip
NUTS = LEEK | {"FAT": 65.2, "CHOCDF": 13.7, "FIBTG": 6.7, "ENERC_KCAL": 654.0, "PROCNT": 15.2}
Food: TypeAlias = dict[str, float] | None
Publish: TypeAlias = Callable[..., Publication]


def ingredient(line: int, amounts: Food, grams: float | None) -> Ingredient:
    if amounts is None:
        return Ingredient(line, "unknown", None, None, None)
    row = np.array([amounts.get(name, np.nan) for name in NAMES])
    weight = None if grams is None else Spread(grams, grams, grams)
    return Ingredient(line, "food", FoodEntry(f"x:{line}", "Food", nitrogen_factor=6.25), row, weight)


def helping(
    name: str, foods: list[tuple[Food, float | None]], *, servings: float, notes: tuple[str, ...] = ()
) -> Helping:
    parts = tuple(ingredient(line, amounts, grams) for line, (amounts, grams) in enumerate(foods, 1))
    weight = sum(part.grams.value for part in parts if part.grams)
    made = Dish("Plate", parts, *(Spread(weight, weight, weight),) * 2, "the weights of the lines")
    whole = figures(made, COMPONENTS, NetConvention())
    one = whole.divided(servings)
    per_100g = whole.divided(whole.grams.value / 100) if whole.grams.value else None
    label = eu_declaration(made, COMPONENTS, grams=whole.grams, servings=servings)
    return Helping(name, servings, one, per_100g, us_panel(one, servings=servings), label, notes)


@pytest.fixture
def published() -> Publish:
    """Makes a publication; `gap` leaves a line without an entry, `toppings` adds an optional section."""

    def make(*, title: str = "Smoked fish plate", lines: int = 2, gap: bool = False, toppings: bool = True,
             text: str = "200 g smoked haddock", servings: float = 4) -> Publication:  # fmt: skip
        plain: list[tuple[Food, float | None]] = [(FISH, 200.0), (LEEK, 89.0)]
        notes = (f"Not counted, no table has an entry: “{text}”.",) if gap else ()
        if gap:
            plain.append((None, None))
        listed = (ListLine(text, 200.0, False), *(ListLine("1 leek", 89.0, False) for _ in range(lines - 1)))
        sections = [ListSection("Plate", False, listed)]
        if gap:
            sections.append(ListSection(text, False, (ListLine(text, None, False, counted=False),)))
        if toppings:
            sections.append(ListSection("Toppings", True, (ListLine("60 g walnuts", 60.0, True),)))
        everything = helping("with everything", [*plain, (NUTS, 60.0)], servings=servings, notes=notes)
        release = Release("sr28", "Invented tables", "1", "", "", 3, len(NAMES), 40, 0)
        return Publication(
            title, tuple(sections), helping("plain", plain, servings=servings, notes=notes),
            everything if toppings else None, net_formula(NetConvention()),
            (Caution("temperature", "Fish: 62.8 °C inside.", "FSIS", (1,)),), (release,),
            Origin("recipe:7", 3, 12, "0123456789abcdef", "28 November 2026"), "The Bollard Room",
        )  # fmt: skip

    return make


@pytest.fixture
def hostile(published: Publish) -> Publication:
    """Markup and control characters in every text that a writer gives."""
    return published(title=HOSTILE, text=HOSTILE, gap=True)
