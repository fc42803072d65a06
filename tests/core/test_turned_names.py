"""Names with their noun first, small kinds of fruits, and what is bought in other states."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; weights by SR28's measures, pieces by common kitchen practice
TURNED = [
    ("peel, mixed candied, 50 g", "resolved", [("09426", 50)]),
    ("peel, orange, 1 tbsp", "resolved", [("09216", 6)]),
    ("fries, frozen, 500 g", "resolved", [("11402", 500)]),
    ("stir, 2 minutes", "not_food", []),
    ("peel, 2 potatoes", "check", [("11352", 426)]),
    ("tin tomatoes, 2", "resolved", [("11531", 800)]),
    ("can chickpeas - 2", "resolved", [("16058", 850)]),
    # a bracket that says what a word means, though it has a usual meaning
    ("2 drumsticks (muringakka), cut into lengths", "resolved", [("11620", 30)]),
    ("meat (beef), 500 g", "check", [("13795", 500)]),
]
LISTED = [
    ("ground beef, onion", "resolved", [("23572", None), ("11282", None)]),
    ("ground cumin, coriander and ginger", "resolved", [("02014", None), ("02013", None), ("02021", None)]),
    ("peppers, onions", "check", [("11333", None), ("11282", None)]),
    ("diced peppers", "check", [("11333", None)]),
    ("pepper, salt", "resolved", [("02030", None), ("02047", None)]),
]
SMALL = [
    ("2 baby marrows", "resolved", [("11477", 300)]),
    ("12 damsons, stoned", "resolved", [("09279", 144)]),
    ("6 lady finger bananas", "resolved", [("09040", 360)]),
    ("4 fingers green banana", "check", [("09040", 472)]),
    ("4 cocktail tomatoes", "resolved", [("11529", 160)]),
    ("6 bantam eggs", "resolved", [("01123", 192)]),
    ("2 baby mangoes", "check", [("09176", 672)]),  # of no table
    ("12 baby carrots", "resolved", [("11960", 120)]),
    ("4 Barnsley chops", "resolved", [("17236", 720)]),
]
BOUGHT = [
    ("100 g glaze cherries", "check", [("09426", 100)]),
    ("smoke salmon, 100 g", "resolved", [("15077", 100)]),
    ("500 g fresh chorizo", "check", [("07019", 500)]),
    ("1 kg San Marzano tomatoes", "check", [("11529", 1000)]),
    ("1 can San Marzano tomatoes", "resolved", [("11531", 400)]),
    ("100 g duck sauce", "resolved", [("27046", 100)]),
    ("100 g sugar cane", "no_match", []),
    ("400 g Bombay potatoes", "no_match", []),
    ("600 g flake, cut into chunks", "check", [("15095", 600)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), [*TURNED, *LISTED, *SMALL, *BOUGHT])
def test_names(resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
