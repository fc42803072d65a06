"""Amounts that stand together: sizes and drained weights, ranges over two measures, totals, what a bracket uses."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures
PACKAGES = [
    ("2 tins tuna in spring water (145 g each, 102 g drained)", "resolved", [("15121", 204)]),
    ("2 cans chickpeas (400 g each, 240 g drained)", "resolved", [("16358", 480)]),
    ("2 cans chickpeas, 400 g each (drained 480 g)", "resolved", [("16358", 480)]),
    ("3 tins tomatoes (400 g each, 1.2 kg total)", "resolved", [("11531", 1200)]),
    ("2 packs bacon (250 g each, 500 g total)", "resolved", [("10123", 500)]),
    ("4 chicken breasts (150 g each, 600 g total)", "resolved", [("05062", 600)]),
    ("1 pack (250 g) butter, 200 g softened, 50 g melted", "check", [("01001", 250)]),
    ("1 pack (200 g) feta, 150 g crumbled", "resolved", [("01019", 150)]),
    ("6 quarter-pounder hamburger patties", "resolved", [("23572", 680)]),
]
RANGES = [
    ("500 g-1 kg potatoes", "resolved", [("11352", 750)]),
    ("8 oz - 1 lb mushrooms", "resolved", [("11260", 340)]),
    ("8 oz to 1 lb mushrooms", "resolved", [("11260", 340)]),
    ("2 tsp - 1 tbsp sugar", "resolved", [("19335", 10.5)]),
    ("500 g mince - 1 kg potatoes", "resolved", [("23572", 500), ("11352", 1000)]),
    ("100 g butter - 1 tbsp oil", "resolved", [("01001", 100), ("04044", 13.6)]),
]
LISTS = [
    ("3 tbsp olive oil, 1 of lemon juice", "resolved", [("04053", 40.5), ("09152", 15.2)]),
    ("500 g potatoes, 2 of them peeled", "resolved", [("11352", 440)]),
    ("2 cups greens: 1 cup kale, 1 cup spinach", "check", [("11233", 16), ("11457", 30)]),
    ("2 onions: 1 for blending, 1 sliced", "resolved", [("11282", 220)]),
]
ROWS = [
    ("Flour | 250 | g", "resolved", [("20081", 250)]),
    ("250 | g | flour", "resolved", [("20081", 250)]),
    ("Butter, unsalted | 113 g | 1 stick", "resolved", [("01145", 113)]),
    ("Spaghetti: 320 g | 11 oz", "resolved", [("20120", 320)]),
    ("just a pinch of salt", "resolved", [("02047", 0.4)]),
    ("1/2 c. h2o", "resolved", [("14411", 118)]),
]
BRACKETS = [
    ("2 1/4 tsp (1 packet / 7 g) active dry yeast", "resolved", [("18375", 7)]),
    ("1 cup (1 small bunch / 30 g) parsley, chopped", "check", [("11297", 60)]),
    ("bacon: 250g | 1/2lb", "resolved", [("10123", 250)]),
    ("1 head of garlic (use 6 cloves)", "check", [("11215", 40)]),
    ("8 oz by weight flour", "resolved", [("20081", 227)]),
    ("6 turns of the pepper mill", "resolved", [("02030", 0.9)]),
    ("1 pepper mill", "not_food", []),
    ("1 cup by measure of sugar", "resolved", [("19335", 200)]),
    ("1 loaf banana bread (9x5-inch)", "resolved", [("18019", 750)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), [*PACKAGES, *RANGES, *LISTS, *ROWS, *BRACKETS])
def test_amounts(resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
