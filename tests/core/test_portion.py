"""What a line says of a food that another line states: cases of our own, common usage."""

from __future__ import annotations

import pytest

from service.core.amount import MeasureWords
from service.core.analyse import Resolver
from service.core.ingredient_line import parse_line
from service.core.vocabulary import Vocabulary

NOTES = [
    "The other half of the swede is for tomorrow's stew",
    "The rest of the milk goes in the fridge",
    "The other half of the lime will keep for a week",
    "Half the butter goes in now, half later",
    "The remaining 2 eggs are for the glaze",
    "2 of the eggs are for brushing",
    "the 3 eggs go in one at a time",
    "the 2 limes are for the drinks",
    "One of the onions goes into the stock",
    "100 g of the sugar goes into the meringue",
    "Half of the dough is for the lid",
    "A third of the cheese is for the top",
    "The other 200 g of flour is for dusting",
    "Replace 100 g of the flour with rye for a darker loaf",
    "Swap 1 cup of the milk for yogurt",
    "Save 2 tbsp of the dill for garnish",
    "Keep back 50 ml of the cream",
    "Hold back a third of the berries",
    "Reserve half the dressing for serving",
    "Reserve 2 tbsp of the oil",
    "Use 200 ml of the stock for the sauce",
    "Put 2 tbsp of the flour in a bowl",
    "Swap half the beef for pork",
    "Replace half the butter with oil",
    "Replace 2 eggs with 120 g applesauce",
    "Sub 1 cup honey for the sugar",
    "Leave out 50 g of the sugar if you like",
    "Mix 1 tbsp of the flour with the raisins",
]
# line -> grams of each part
FOODS: list[tuple[str, list[float | None]]] = [
    ("the 3 eggs are large", [150]),
    ("the 500 g of mince must be lean", [500]),
    ("1 tsp salt as well as 1 tsp pepper", [6, 2.3]),
    ("2 seer fish slices", [220]),
    ("The other half of the onion, chopped", [55]),
    ("half of the lemon", [29]),
    ("half the butter", [None]),
    ("the rest of the butter", [None]),
    ("remaining 1 cup flour", [125]),
    ("the remaining 100 g butter, melted", [100]),
    ("2 tbsp of the best olive oil", [27]),
    ("200 g of the darkest chocolate you can find", [200]),
    ("Use 100 ml of the best olive oil", [91.3]),
    ("1/2 of the onion, sliced", [55]),
    ("Use 2 tbsp olive oil", [27]),
    ("Reserve 1/2 cup pasta water", [118.4]),
    ("6 sub rolls", [564]),
    ("sub rolls 4", [376]),
    ("the juice of 1 lemon is enough", [48]),
    ("1 cup flour, half of the weight rye", [102]),
    ("2 eggs, one of the yolks is for brushing", [100, None]),
]


@pytest.mark.parametrize("line", NOTES)
def test_what_becomes_of_food_is_a_note(vocabulary: Vocabulary, measure_words: MeasureWords, line: str) -> None:
    assert not parse_line(line, vocabulary, measure_words).parts


@pytest.mark.parametrize(("line", "grams"), FOODS)
def test_a_share_of_a_food_is_food(resolver: Resolver, line: str, grams: list[float | None]) -> None:
    weights = [part.grams for part in resolver.resolve(line).parts]
    found = [weight.value if weight is not None else None for weight in weights]
    assert found == [pytest.approx(one, rel=0.01) if one is not None else None for one in grams]


# line -> pieces, whether somebody has to look
ONES = [
    ("and the juice of the other lemon", 1, True),
    ("juice of the remaining lime", 1, True),
    ("zest of the second orange", 1, True),
    ("zest of the last lime", 1, True),
    ("the other egg", 1, True),
    ("the second egg, beaten", 1, True),
    ("the other egg white", 1, True),
    ("juice of another lemon", 1, False),
    ("another onion, sliced", 1, False),
    ("another large carrot", 1, False),
    ("one more egg", 1, False),
    ("the other half of the onion, chopped", 0.5, True),
    ("the other tin of tomatoes", 1, True),
    ("another 2 eggs", 2, False),
    ("second cut brisket", None, False),
    ("cheddar or another cheese", None, False),
    ("the remaining cream", None, True),
    ("juice of the other lemons", None, True),
    ("remaining 1 cup flour", 1, True),
]


@pytest.mark.parametrize(("line", "pieces", "doubted"), ONES)
def test_the_other_one_is_one(
    vocabulary: Vocabulary, measure_words: MeasureWords, line: str, pieces: float | None, *, doubted: bool
) -> None:
    read = parse_line(line, vocabulary, measure_words)
    amount = read.parts[0].amount
    assert (amount.low if amount is not None else None) == pieces
    assert bool(read.doubt) == doubted


def test_a_piece_that_another_line_may_state_is_looked_at(resolver: Resolver) -> None:
    answer = resolver.resolve("and the juice of the other lemon")
    assert answer.outcome == "check"
    assert "another line" in answer.parts[0].reasons[-1]
    assert answer.parts[0].grams is not None
    assert answer.parts[0].grams.value is not None
