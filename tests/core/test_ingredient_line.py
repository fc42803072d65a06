"""Lines read into amounts, phrases, states and remarks: cases, then laws."""

from __future__ import annotations

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.amount import Amount, MeasureWords
from service.core.ingredient_line import IngredientLine, parse_line
from service.core.vocabulary import Vocabulary


def shown(amount: Amount | None) -> str:
    """An amount in one short line, for tables of cases."""
    if amount is None:
        return "-"
    number = f"{amount.low:.4g}" if amount.low == amount.high else f"{amount.low:.4g}-{amount.high:.4g}"
    words = [number, amount.heap or "", amount.size or "", amount.measure or ""]
    text = " ".join(word for word in words if word)
    text += f" [{shown(amount.package)}]" if amount.package else ""
    text += f" + {shown(amount.plus)}" if amount.plus else ""
    return text + (f" = {shown(amount.also)}" if amount.also else "")


@pytest.fixture(scope="module")
def read(vocabulary: Vocabulary, measure_words: MeasureWords):  # type: ignore[no-untyped-def]
    def parse(line: str) -> IngredientLine:
        return parse_line(line, vocabulary, measure_words)

    return parse


# line -> amount, words in look-up order (the head last)
LINES = [
    ("500g rye bread", "500 g", "rye bread"),
    ("1 1/2 lbs crab", "1.5 lb", "crab"),
    ("1½ cups cream", "1.5 cup", "cream"),
    ("1-1/2 cups flour", "1.5 cup", "flour"),
    ("1,5 kg pork belly", "1.5 kg", "pork belly"),
    ("1,000 g carrots", "1000 g", "carrot"),
    ("2 T mustard", "2 tbsp", "mustard"),
    ("1/2 t. cinnamon", "0.5 tsp", "cinnamon"),
    ("1 lb 4 oz potatoes", "1 lb + 4 oz", "potato"),
    ("1/4 cup plus 1 tablespoon olive oil", "0.25 cup + 1 tbsp", "olive oil"),
    ("a cup and a half of milk", "1.5 cup", "milk"),
    ("one and a half tablespoons of vinegar", "1.5 tbsp", "vinegar"),
    ("half a dozen eggs", "6", "egg"),
    ("two dozen oysters", "24", "oyster"),
    ("2-3 sprigs thyme", "2-3 sprig", "thyme"),
    ("between 200 and 250 ml water", "200-250 ml", "water"),
    ("12 to 16 ounces mushrooms", "12-16 oz", "mushroom"),
    ("2 x 400 g tins tomatoes", "2 can [400 g]", "tomato"),
    ("two 400 g tins tomatoes", "2 can [400 g]", "tomato"),
    ("1 (14.5-oz) can tomatoes", "1 can [14.5 oz]", "tomato"),
    ("1 can (13.5 oz) coconut milk", "1 can [13.5 oz]", "coconut milk"),
    ("a 190g jar of pesto", "1 jar [190 g]", "pesto"),
    ("4 (6-oz) salmon fillets", "4 fillet [6 oz]", "salmon"),
    ("170 g (6 oz) feta", "170 g = 6 oz", "feta"),
    ("1 swede (about 600g)", "1 = 600 g", "swede"),
    ("Butter - 50 g", "50 g", "butter"),
    ("quinoa, 180g, rinsed", "180 g", "quinoa"),
    ("4 cloves of garlic", "4 clove", "garlic"),
    ("2 garlic cloves", "2 clove", "garlic"),
    ("1 small head cauliflower", "1 small head", "cauliflower"),
    ("half a small avocado", "0.5 small", "avocado"),
    ("scant 1/2 cup sugar", "0.5 scant cup", "sugar"),
    ("1 heaping tablespoon cocoa", "1 heaped tbsp", "cocoa"),
    ("thumb-sized piece of ginger", "1 thumb", "ginger"),
    ("juice of 1 lemon", "1", "lemon juice"),
    ("1 lime, juiced", "1", "lime juice"),
    ("leg of lamb", "-", "lamb leg"),
    ("Salt, to taste", "-", "salt"),
]


@pytest.mark.parametrize(("line", "amount", "words"), LINES)
def test_amount_and_words(read, line: str, amount: str, words: str) -> None:  # type: ignore[no-untyped-def]
    part = read(line).parts[0]
    assert (shown(part.amount), " ".join(part.phrases[0].tokens)) == (amount, words)


SEVERAL = [
    ("salt and pepper", ["salt", "pepper"]),
    ("2 eggs and 1 egg yolk", ["egg", "egg yolk"]),
    ("2 tbsp butter + 1 tbsp olive oil", ["butter", "olive oil"]),
    ("1 tsp each ground cumin, coriander and turmeric", ["ground cumin", "ground coriander", "ground turmeric"]),
    ("grated zest and juice of 1 orange", ["orange zest", "orange juice"]),
    ("red and green bell peppers", ["red bell pepper", "green bell pepper"]),
    ("6 fl oz half-and-half", ["halfandhalf"]),
]


@pytest.mark.parametrize(("line", "words"), SEVERAL)
def test_several_foods(read, line: str, words: list[str]) -> None:  # type: ignore[no-untyped-def]
    got = [" ".join(t for t in part.phrases[0].tokens if t not in ("grated", "each")) for part in read(line).parts]
    assert got == words


NO_FOOD = ["For the dressing:", "FILLING", "To serve:", "~ Crust ~", "Preheat the oven to 180°C / 350°F",
           "Makes 12 muffins", "see tip below about sweeteners",
           "Chicken marinade", "Lemon glaze", "Potato topping –", "(feeds a crowd)",
           "Butter tarts (makes 12)", "Lentils with spiced butter", "vegetarians can skip the anchovies",
           "Freeze the beef for 20 minutes so that it slices cleanly", "or use vegetable oil",
           "the day before", "", "   ", "!!! --- ???", "\x00\x01"]


@pytest.mark.parametrize("line", NO_FOOD)
def test_no_food(read, line: str) -> None:  # type: ignore[no-untyped-def]
    parsed = read(line)
    assert not parsed.parts
    assert parsed.reason


FOOD = ["Soy sauce", "Fish or oyster sauce", "Sugar for the top crust", "Tomato sauce", "chicken thighs with skin",
        "To serve: lime wedges", "As much bacon as you want", "roast chicken 500 g", "stir-fry beef 400g"]


@pytest.mark.parametrize("line", FOOD)
def test_food_that_looks_like_a_heading(read, line: str) -> None:  # type: ignore[no-untyped-def]
    assert read(line).parts


STATES = [
    ("1 cup canned beans, drained", {"canned"}, {"drained"}),
    ("smoked salmon", {"smoked"}, set()),
    ("200 g frozen spinach, thawed and chopped", {"frozen"}, {"chopped"}),  # a said state beats the hint of "chopped"
    ("1 cup onions, peeled and finely chopped", {"raw"}, {"peeled", "finely", "chopped"}),
]


@pytest.mark.parametrize(("line", "states", "preparations"), STATES)
def test_states_and_preparations(read, line: str, states: set[str], preparations: set[str]) -> None:  # type: ignore[no-untyped-def]
    phrase = read(line).parts[0].phrases[0]
    assert (phrase.states, phrase.preparations) == (states, preparations)


def test_alternatives_count_the_first(read) -> None:  # type: ignore[no-untyped-def]
    part = read("2 tbsp butter or margarine").parts[0]
    assert [" ".join(phrase.tokens) for phrase in part.phrases] == ["butter", "margarine"]


def test_shared_head_of_alternatives(read) -> None:  # type: ignore[no-untyped-def]
    part = read("1 cup vegetable or chicken stock").parts[0]
    assert [" ".join(phrase.tokens) for phrase in part.phrases] == ["vegetable stock", "chicken stock"]


@given(st.text(max_size=300))
@settings(max_examples=300, deadline=None)
def test_any_text_is_read(read, text: str) -> None:  # type: ignore[no-untyped-def]
    parsed = read(text)
    assert parsed.text == text
    assert parsed.parts or parsed.reason


HOSTILE = ["(" * 50_000 + "salt", "1 " * 50_000, "a-" * 50_000, "1/2" * 33_000, "and " * 25_000, "salt, " * 16_000,
           "½" * 100_000, "\u0301" * 100_000, "x" * 100_000, "or/" * 33_000, "[" * 100_000, "1 cup (" * 14_000]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: text[:8])
def test_time_grows_linearly(read, text: str) -> None:  # type: ignore[no-untyped-def]
    """Twice the text may take at most about twice the time; measured, not cut off."""

    def seconds(part: str) -> float:
        best = 9.0
        for _ in range(2):
            start = time.perf_counter()
            read(part)
            best = min(best, time.perf_counter() - start)
        return best

    quarter, whole = seconds(text[: len(text) // 4]), seconds(text)
    assert whole < 0.02 + 8 * quarter


# Bugs found on other writers' lines, each first a failing case: line -> the words of its parts.
MENDED = [
    ("11 ounces peeled and sliced waxy potatoes", ["waxy potato"]),
    ("10 small or 5 big mushrooms", ["mushroom"]),
    ("30g+ butter", ["butter"]),
    ("3/4 of a cup of warm water", ["warm water"]),
    ("juice from 1 lime", ["lime juice"]),
    ("2 eggs plus 2 yolks", ["egg", "yolk"]),
    ("1 cup thickened cream plus 2 tbsp extra", ["thickened cream"]),
    ("1 red, 1 yellow and 1 green pepper", ["red pepper", "yellow pepper", "green pepper"]),
    ("2 tbsp each of sunflower, pumpkin and sesame seeds", ["sunflower seed", "pumpkin seed", "sesame seed"]),
    ("Bacon (4 slices) and 2 hard-boiled eggs", ["bacon", "hard boiled egg"]),
    ("1 can diced tomatoes with basil, garlic and oregano", ["tomato"]),
    ("1/2 cup white or brown rice", ["white rice"]),
    ("8 cloves", ["clove"]),
    ("500g porkchops", ["pork chop"]),
    ("150g bacon (you can replace it with mushrooms)", ["bacon"]),
    ("1-2 tortillas. Any brand works, but you can decide", ["tortilla"]),
    ("gram flour 100g", ["gram flour"]),
    ("1 cup basil, fresh, 2 onions", ["basil", "onion"]),
    ("Fresh, ripe tomatoes", ["tomato"]),
    ("tomato, onion and lemon juice", ["tomato", "onion", "lemon juice"]),
    ("2 tomatoes, 1 onion and lemon juice", ["tomato", "onion", "lemon juice"]),
    ("650 g 00 flour", ["00 flour"]),
]


@pytest.mark.parametrize(("line", "words"), MENDED)
def test_mended(read, line: str, words: list[str]) -> None:  # type: ignore[no-untyped-def]
    quiet = {"peeled", "sliced", "diced"}
    got = [" ".join(t for t in part.phrases[0].tokens if t not in quiet) for part in read(line).parts]
    assert got == words
