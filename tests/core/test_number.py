"""Numbers as people write them: in words, with spaces and dots, as ranges, side by side."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from tests.core.reading import assert_read

# line, outcome, (SR28 code, grams) of each part; the weights are those of SR28's household measures
NUMBERS = [
    # tens, hundreds and dozens in words are one number
    ("twenty-five grams butter", "resolved", [("01001", 25)]),
    ("seventy-five grams butter", "resolved", [("01001", 75)]),
    ("two hundred fifty g flour", "resolved", [("20081", 250)]),
    ("two hundred and fifty grams of caster sugar", "resolved", [("19335", 250)]),
    ("a hundred and fifty grams of butter", "resolved", [("01001", 150)]),
    ("one thousand grams of flour", "resolved", [("20081", 1000)]),
    ("twenty-four large eggs", "resolved", [("01123", 1200)]),
    ("twenty five-ounce tins of tuna", "resolved", [("15121", 553)]),
    ("a dozen and a half eggs", "resolved", [("01123", 900)]),
    ("one and a half dozen eggs", "resolved", [("01123", 900)]),
    ("two dozen eggs", "resolved", [("01123", 1200)]),
    # a fraction may have a space in it, or another bar
    ("3/ 4 cup sugar", "resolved", [("19335", 150)]),
    ("3 /4 cup sugar", "resolved", [("19335", 150)]),
    ("1 1/ 2 cups flour", "resolved", [("20081", 188)]),
    ("2 1\\4 tsp active dry yeast", "resolved", [("18375", 9)]),
    # marks and words of a range
    ("from 150 up to 180 g castor sugar", "resolved", [("19335", 165)]),
    ("100 or up to 150 g flour", "resolved", [("20081", 125)]),
    ("100 ... 150 g butter", "resolved", [("01001", 125)]),
    ("2 … 3 eggs", "resolved", [("01123", 125)]),
    ("2…3 eggs", "resolved", [("01123", 125)]),
    ("at least 2 at most 3 tbsp honey", "resolved", [("19296", 52.5)]),
    ("200 max. 250 ml milk", "resolved", [("01077", 232)]),
    ("Flour...... 200 g", "resolved", [("20081", 200)]),
    ("1 or about 150 g onion", "resolved", [("11282", 110)]),
    ("one hundred and twelve g butter", "resolved", [("01001", 112)]),
    ("one hundred two hundred g flour", "check", [("20081", 150)]),
    ("flour type 405..... 200 g", "resolved", [("20081", 200)]),
    # two numbers side by side
    ("15 30 g meatballs", "check", [("07972", 450)]),
    ("two three tbsp honey", "check", [("19296", 52.5)]),
    ("100 + 150 g (about 9 oz) butter", "resolved", [("01001", 250)]),
    ("2 3 tbsp honey", "check", [("19296", 52.5)]),
    ("100 150 g feta", "check", [("01019", 125)]),
    ("10 20 g butter", "check", [("01001", 200)]),
    ("250 250 g butter", "check", [("01001", 250)]),
    ("2 400 g tins tomatoes", "resolved", [("11531", 800)]),
    ("two 8 oz salmon fillets", "resolved", [("15236", 454)]),
    ("100 plus 150 g butter", "resolved", [("01001", 250)]),
    ("1+1 cup milk", "resolved", [("01077", 488)]),
    ("2 not 3 tbsp sugar", "resolved", [("19335", 25.2)]),
]


@pytest.mark.parametrize(("line", "outcome", "parts"), NUMBERS)
def test_a_number(
    resolver: Resolver, line: str, outcome: str, parts: list[tuple[str, float | None]]
) -> None:
    assert_read(resolver.resolve(line), outcome, parts)
