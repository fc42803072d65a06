"""Lines read into amounts, phrases, states and remarks: cases, then laws."""

from __future__ import annotations

import gc
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
    text += f" less {shown(amount.less)}" if amount.less else ""
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
    ("3 in. cinnamon stick", "3 inch", "cinnamon"),
    ('2" knob ginger', "2 inch", "knob ginger"),
    ("a 5 cm piece of ginger", "5 cm", "ginger"),
    ("1 cup rocket, packed", "1 packed cup", "rocket"),
    ("Chinese 5 spice", "-", "chinese 5 spice"),
    ("150 g podded beans (about 500 g in their pods)", "150 g", "podded bean"),
    ("two dozen oysters", "24", "oyster"),
    ("2-3 sprigs thyme", "2-3 sprig", "thyme"),
    ("12) 4 apples", "4", "apple"),
    ("2. 1/2 cup sugar", "0.5 cup", "sugar"),
    ("a) 3 carrots", "3", "carrot"),
    ("a. 2 onions", "2", "onion"),
    ("Jam: 500 g strawberries", "500 g", "strawberry"),
    ("Filling 1 - 500 g minced beef", "500 g", "minced beef"),
    ("Sauce 1: 200 g tomatoes", "200 g", "tomato"),
    ("Filling #2: 200 g ricotta", "200 g", "ricotta"),
    ("Eggs: 2 large", "2 large", "egg"),
    ("rice to serve 200 g", "200 g", "rice"),
    ("oil for frying 50 ml", "50 ml", "oil"),
    ("2 eggs plus 1 for brushing", "2 + 1", "egg"),
    ("300 g flour plus 2 tbsp for dusting", "300 g + 2 tbsp", "flour"),
    ("3 not too big potatoes", "3 medium", "potato"),
    ("sprig thyme", "1 sprig", "thyme"),
    ("clove garlic, crushed", "1 clove", "garlic"),
    ("stick celery, sliced", "1 stick", "celery"),
    ("rasher smoked bacon", "1 rasher", "smoked bacon"),
    ("slice potatoes", "-", "slice potato"),
    ("leaf spinach", "-", "leaf spinach"),
    ("clove powder", "-", "clove powder"),
    ("sprigs thyme", "-", "sprig thyme"),
    ("sprigs of thyme", "-", "thyme"),
    ("between 200 and 250 ml water", "200-250 ml", "water"),
    ("12 to 16 ounces mushrooms", "12-16 oz", "mushroom"),
    ("2 x 400 g tins tomatoes", "2 can [400 g]", "tomato"),
    ("two 400 g tins tomatoes", "2 can [400 g]", "tomato"),
    ("1 can tuna in brine, 160 g", "1 can [160 g]", "tuna"),  # what the can holds
    ("400 g (14 oz) tin tomatoes", "1 can [400 g]", "tomato"),  # a size in two units is one tin's
    ("400g/14oz tin tomatoes", "1 can [400 g]", "tomato"),
    ("2 x 400 g (14 oz) tins tomatoes", "2 can [400 g]", "tomato"),
    ("1 x 400g/14oz can tomatoes", "1 can [400 g]", "tomato"),
    ("14-oz (400 g) can tomatoes", "1 can [14 oz]", "tomato"),
    ("1 x 400g/14oz tin tomatoes", "1 can [400 g]", "tomato"),
    ("400g/14oz tin tomatoes", "1 can [400 g]", "tomato"),
    ("1 x 400g (14oz) tin tomatoes", "1 can [400 g]", "tomato"),
    ("1 x 500g/1lb 2oz pack mince", "1 package [500 g]", "mince"),
    ("500 g (1 lb 2 oz) pack of mince", "1 package [500 g]", "mince"),
    ("1 x 6-pack muffins", "6", "muffin"),
    ("a 6-pack of muffins", "6", "muffin"),
    ("8 pack of pork sausages", "8", "pork sausage"),
    ("2 packs of pork sausages", "2 package", "pork sausage"),
    ("4 x 175g/6oz cod fillets", "4 fillet [175 g]", "cod"),
    ("200g/7oz butter", "200 g = 7 oz", "butter"),
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
    ("three-quarters of a cup of semolina", "0.75 cup", "semolina"),
    ("one and three-quarter cups oats", "1.75 cup", "oat"),
    ("one and two thirds cups oats", "1.667 cup", "oat"),
    ("1/3 tsp plus a pinch cayenne", "0.3333 tsp + 1 pinch", "cayenne"),
    ("1/2 cup plus 2 tbsp and 1 tsp oil", "0.5 cup + 2 tbsp + 1 tsp", "oil"),
    ("1 stick and 3 tbsp butter", "1 stick + 3 tbsp", "butter"),
    ("3 tbsp honey + 1 tsp", "3 tbsp + 1 tsp", "honey"),
    ("2 cups rye flour, plus 3 tbsp for the board", "2 cup + 3 tbsp", "rye flour"),
    ("1 (5- to 6-pound) turkey", "1 [5-6 lb]", "turkey"),
    ("5 (about 3 lb) turnips", "5 = 3 lb", "turnip"),  # of all of them, not of each
    ("3/4 of a 12-oz can corn", "0.75 can [12 oz]", "corn"),
    ("3# onions", "3 lb", "onion"),
    ("2 #10 cans beets", "1 can [2 no. 10 can]", "beet"),
    ("2 cups cooked lentils (from 150 g dried)", "2 cup", "cooked lentil"),  # an amount before it was cooked
    ("Salt, to taste", "-", "salt"),
    ("1 tin 400 g chickpeas", "1 can [400 g]", "chickpea"),
    ("1 tin chickpeas 400 g", "1 can [400 g]", "chickpea"),
    ("2 leeks 300 g", "2 = 300 g", "leek"),
    ("1 cup 200 g sugar", "1 cup = 200 g", "sugar"),
    ("1 c 2 tbsp flour", "1 cup + 2 tbsp", "flour"),
    ("30 g to 70 g sugar", "30-70 g", "sugar"),
    ("100g-150g cheddar", "100-150 g", "cheddar"),
    ("between 1 cup and 2 cups milk", "1-2 cup", "milk"),
    ("c. 350 g kale", "350 g", "kale"),
    ("The juice of half a lime", "0.5", "lime juice"),
    ("The whites of 3 eggs", "3", "egg white"),
    ("yolk of an egg", "1", "egg yolk"),
    ("the flesh of a crab", "1", "crab flesh"),
    ("the butter", "-", "butter"),
    ("kernels from 3 ears of corn", "3 ear", "corn"),
    ("the leaves from a small bunch of dill", "1 small bunch", "dill"),
    ("celeriac, sliced the thickness of a pound coin", "-", "celeriac"),
    ("1. cup rye flour", "1 cup", "rye flour"),
    ("2. large eggs", "2 large", "egg"),
    ("3) Leeks, sliced", "-", "leek"),
    ("Rub: 2 tsp smoked paprika", "2 tsp", "smoked paprika"),
    ("3 in daikon", "3 inch", "daikon"),
    ("2 cups omega 3 oil", "2 cup", "omega 3 oil"),
    ("1 cup and 1/2 sugar", "1.5 cup", "sugar"),
    ("1 1/2 in galangal", "1.5 inch", "galangal"),
    ("1 (6 count) package muffins", "1 package [6]", "muffin"),
    ("1 pkg (8 ct) rolls", "1 package [8]", "roll"),
    ("not more than 1 tsp salt", "1 tsp", "salt"),
    ("1 vac-pack beetroot", "1 package", "beetroot"),
]


@pytest.mark.parametrize(("line", "amount", "words"), LINES)
def test_amount_and_words(read, line: str, amount: str, words: str) -> None:  # type: ignore[no-untyped-def]
    part = read(line).parts[0]
    assert (shown(part.amount), " ".join(part.phrases[0].tokens)) == (amount, words)


# what is said once of several foods, and what is denied: line -> amounts, and states of the parts
ONCE = [
    ("3 tbsp each chopped dill, chives and coriander", ["3 tbsp"] * 3, ["raw"] * 3),
    ("1 tbsp each fresh sage, oregano and thyme", ["1 tbsp"] * 3, ["raw"] * 3),
    ("1 cup each dried apricots and cranberries", ["1 cup"] * 2, ["dried"] * 2),
    ("1 tsp each dried oregano, salt and pepper", ["1 tsp"] * 3, ["dried", "", ""]),
    ("2 tbsp each olive oil and butter", ["2 tbsp"] * 2, ["", ""]),  # "butter with olive oil" is a name too
    ("fennel, cumin and turmeric, 1 tsp of each", ["1 tsp"] * 3, [""] * 3),
    ("paprika and cumin (2 tsp each)", ["2 tsp"] * 2, ["", ""]),
    ("50 g each butter and sugar, plus 3 eggs", ["50 g", "50 g", "3"], [""] * 3),
    ("3 bay leaves and 4 cloves", ["3 leaf", "4"], ["", ""]),
    ("5 cloves and a stick of cinnamon", ["5", "1 stick"], ["", ""]),
    ("1 cup dill, fresh not dried", ["1 cup"], ["raw"]),
    ("300 g spinach, not frozen", ["300 g"], [""]),
    ("1 cup fresh or canned apricots", ["1 cup"], ["raw"]),  # counts the first
    ("150 g dried cannellini beans, soaked and boiled", ["150 g"], ["dried"]),  # boiled after they are weighed
    ("1 bunch chard, washed and dried", ["1 bunch"], [""]),
    ("1 cup rice (3 cups cooked)", ["1 cup"], [""]),
    ("2 leeks, fried until soft", ["2"], [""]),
    ("3 lemons x 2", ["3"], [""]),
    ("limes x 5", ["5"], [""]),
    ("2 parsnips, diced small", ["2"], ["raw"]),
    ("2 small parsnips, diced", ["2 small"], ["raw"]),
    ("3 slices of rye bread (14 g carbs each)", ["3 slice"], [""]),
    ("1 bun - 5 g carbs", ["1"], [""]),
]


@pytest.mark.parametrize(("line", "amounts", "states"), ONCE)
def test_said_once_or_denied(read, line: str, amounts: list[str], states: list[str]) -> None:  # type: ignore[no-untyped-def]
    parts = read(line).parts
    assert [shown(part.amount) for part in parts] == amounts
    assert [" ".join(sorted(part.phrases[0].states)) for part in parts] == states


SEVERAL = [
    ("salt and pepper", ["salt", "pepper"]),
    ("2 eggs and 1 egg yolk", ["egg", "egg yolk"]),
    ("2 tbsp butter + 1 tbsp olive oil", ["butter", "olive oil"]),
    ("1 tsp each ground cumin, coriander and turmeric", ["ground cumin", "ground coriander", "ground turmeric"]),
    ("grated zest and juice of 1 orange", ["orange zest", "orange juice"]),
    ("zest & juice 1 lime", ["lime zest", "lime juice"]),
    ("red and green bell peppers", ["red bell pepper", "green bell pepper"]),
    ("6 fl oz half-and-half", ["halfandhalf"]),
    ("2 tsp each onion and garlic powder", ["onion powder", "garlic powder"]),
    ("1 each red, green and orange pepper", ["red pepper", "green pepper", "orange pepper"]),
    ("250 g flour, plus 2 eggs", ["flour", "egg"]),
    ("knob of butter & lots of pepper", ["butter", "pepper"]),
    ("butter and oil", ["butter", "oil"]),
    ("ham, cheese", ["ham", "cheese"]),
    ("salt, pepper, 1 tsp paprika", ["salt", "pepper", "paprika"]),
    ("1/2 cup lemon juice, from 3 lemons", ["lemon juice"]),
    ("50g mixed pumpkin, sunflower and sesame seeds", ["mixed pumpkin seed", "sunflower seed", "sesame seed"]),
    ("onion, tomato and cumin seeds", ["onion", "tomato", "cumin seed"]),
]


# line -> the amount of each of its foods
SHARED = [
    ("2 tbsp olive oil, salt and pepper", ["2 tbsp", "-", "-"]),
    ("1 tbsp oil, salt, pepper", ["1 tbsp", "-", "-"]),
    ("2 small and 1 large egg", ["2 small + 1 large"]),
    ("10 small or 5 big mushrooms", ["10 small"]),
    ("1 cup brown rice, 1 cup white", ["1 cup", "1 cup"]),
    ("1 kg flour, salt and sugar", ["1 kg", "-", "-"]),
    ("1 tbsp rum, icing sugar and cinnamon to dust", ["1 tbsp", "-", "-"]),
    ("3 tbsp yogurt, 2 tbsp vinegar, 1 lemon", ["3 tbsp", "2 tbsp", "1"]),  # three foods, no kinds of the first
    ("6 eggs, 4 whole, 2 yolks", ["4", "2"]),
    ("1 tsp cumin, coriander and turmeric", ["1 tsp", "1 tsp", "1 tsp"]),
    ("4 chicken breasts, each wrapped in 2 slices bacon", ["4", "8 slice"]),
    ("12 asparagus spears each wrapped in a slice of ham", ["12 spear", "12 slice"]),
    ("6 figs wrapped in ham", ["6", "-"]),
    ("4 eggs (2 whole + 2 whites)", ["2", "2"]),
    ("2 cups flour (1 cup white and 1 cup rye)", ["1 cup", "1 cup"]),
    ("2 cups sugar (1 white, 1 brown)", ["1 cup", "1 cup"]),
    ("2 lemons, 1 juiced and 1 sliced", ["1", "1"]),
    ("1 lemon, half juiced, half sliced", ["0.5", "0.5"]),
    ("2 limes, zested and juiced", ["2", "2"]),
    ("1 lemon zested, then juiced", ["1", "1"]),
    ("1 cup sugar / 1 cup butter / 2 eggs", ["1 cup", "1 cup", "2"]),
    ("butter/sugar/flour 100 g each", ["100 g", "100 g", "100 g"]),
    ("dhania / coriander seeds 2 tbsp", ["2 tbsp"]),  # one food by two names
    ("salt/pepper to taste", ["-", "-"]),
    ("1 cup less 2 tbsp flour", ["1 cup less 2 tbsp"]),
    ("1 cup sugar, less 2 tbsp", ["1 cup less 2 tbsp"]),
    ("1 onion, garlic", ["1", "-"]),
    ("4 potatoes (2 large, 2 small)", ["2 large", "2 small"]),
    ("2 eggs fried in butter", ["2", "-"]),
    ("4 potatoes, tossed in oil", ["4", "-"]),
    ("1 tin peaches sliced in juice", ["1 can"]),
    ("1 lemon zest & juice", ["1", "1"]),
    ("200 g flour 100 g sugar 50 g butter", ["200 g", "100 g", "50 g"]),
    ("1/4 cup lime juice, from about 2 limes", ["0.25 cup"]),
    ("1 cup rice, basmati", ["1 cup"]),
    ("2 tsp sugar, honey, or molasses", ["2 tsp"]),
    ("4 dried mushrooms, soaked in hot water", ["4"]),
    ("6 eggs (4 whole, 2 yolks)", ["4", "2"]),
    ("3 lemons (2 juiced, 1 sliced)", ["2", "1"]),
    ("3 onions (2 red, 1 white)", ["3"]),
    ("5 eggs (1 for brushing, 4 for the dough)", ["5"]),
    ("2 eggs on toast", ["2", "-"]),
    ("1 tsp salt, pepper and paprika", ["1 tsp", "1 tsp", "1 tsp"]),
    ("90 g watercress, spinach and rocket", ["30 g", "30 g", "30 g"]),
    ("30 g each watercress, spinach and rocket", ["30 g", "30 g", "30 g"]),
]


@pytest.mark.parametrize(("line", "amounts"), SHARED)
def test_whose_an_amount_is(read, line: str, amounts: list[str]) -> None:  # type: ignore[no-untyped-def]
    assert [shown(part.amount) for part in read(line).parts] == amounts


@pytest.mark.parametrize(("line", "words"), SEVERAL)
def test_several_foods(read, line: str, words: list[str]) -> None:  # type: ignore[no-untyped-def]
    got = [" ".join(t for t in part.phrases[0].tokens if t not in ("grated", "each")) for part in read(line).parts]
    assert got == words


NO_FOOD = ["For the dressing:", "FILLING", "To serve:", "~ Crust ~", "Preheat the oven to 180°C / 350°F",
           "Makes 12 muffins", "see tip below about sweeteners",
           "Chicken marinade", "Lemon glaze", "Potato topping –", "(feeds a crowd)",
           "Butter tarts (makes 12)", "Lentils with spiced butter", "vegetarians can skip the anchovies",
           "Freeze the beef for 20 minutes so that it slices cleanly", "or use vegetable oil",
           "the day before", "", "   ", "!!! --- ???", "\x00\x01", "´S"]


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
           "½" * 100_000, "\u0301" * 100_000, "x" * 100_000, "or/" * 33_000, "[" * 100_000, "1 cup (" * 14_000,
           "1 ones and " * 9_000, "." * 100_000, ". " * 50_000, "1 cup white, " * 8_000,
           # a heading's number behind a mark, and heads that many choices share with one long phrase
           "foo bar " * 4_000 + ", " + "baz qux " * 4_000, "sage or " * 6_000, "salt/" * 10_000,
           "bay no fresh " * 2_000 + "red butter or " * 2_000,
           # numbers in words that go on, amounts that may say each other again, pictures
           "one hundred thousand " * 4_000, "burro g 50, " * 8_000, ", about 5 g meat" * 6_000, "🥕" * 50_000,
           "20 20 g " * 9_000, "without the skin and seeds and " * 3_000]


@pytest.mark.parametrize("text", HOSTILE, ids=lambda text: text[:8])
def test_time_grows_linearly(read, text: str) -> None:  # type: ignore[no-untyped-def]
    """Twice the text may take at most about twice the time; measured, not cut off.

    Without the collector of garbage: what it takes grows with all that the tests before left in memory.
    """

    def seconds(part: str) -> float:
        best = 9.0
        gc.disable()
        for _ in range(3):
            start = time.process_time()
            read(part)
            best = min(best, time.process_time() - start)
        gc.enable()
        return best

    end = "salt" if text.endswith("salt") else ""  # what makes the long text a line makes the short one so
    quarter, whole = seconds(text[: len(text) // 4] + end), seconds(text)
    assert whole < 0.02 + 8 * quarter


# Bugs found on other writers' lines, each first a failing case: line -> the words of its parts.
MENDED = [
    ("11 ounces peeled and sliced waxy potatoes", ["waxy potato"]),
    ("10 small or 5 big mushrooms", ["mushroom"]),
    ("30g+ butter", ["butter"]),
    ("3/4 of a cup of warm water", ["warm water"]),
    ("juice from 1 lime", ["lime juice"]),
    ("onion, carrot & celery, 1 of each, minced", ["onion", "carrot", "celery"]),
    ("4 hake fillets, 180 g each", ["hake"]),
    ("Salt, pepper", ["salt", "pepper"]),
    ("Oil, olive", ["olive oil"]),  # one food, not two
    ("butter, Kerrygold, salted", ["butter"]),  # which names it again
    ("Garlic, cloves", ["garlic"]),
    ("Garlic, whole cloves", ["garlic"]),
    ("zest of 1 lemon and juice of 2", ["lemon zest", "lemon juice"]),
    ("3 red onions and 1 white one", ["red onion", "white onion"]),
    ("3 green plantains + 2 ripe ones", ["green plantain", "plantain"]),
    ("mint, zorvani, dill", ["mint", "zorvani", "dill"]),  # what nobody knows hides no food beside it
    ("onion, garlic, and smazz", ["onion", "garlic", "smazz"]),
    ("potatoes, onions, brunoise", ["potato", "onion"]),
    ("eggs, yolks, beaten", ["egg yolk"]),  # of one food the part
    ("1 each red, green and yellow pepper, in rings", ["red pepper", "green pepper", "yellow pepper"]),
    ("1 unwaxed lemon, grated zest and juice", ["lemon zest", "lemon juice"]),
    ("1 lime (juice and zest), 2 eggs", ["lime juice", "lime zest", "egg"]),
    ("2 lemons, juice of 1, zest of both", ["lemon juice", "lemon zest"]),
    ("1 lemon (unwaxed), zest and juice", ["lemon zest", "lemon juice"]),
    ("onions, stock cube", ["onion", "stock"]),  # a measure that belongs to a name
    ("salt,black pepper", ["salt", "black pepper"]),
    ("salt and pepper, red pepper flakes", ["salt", "pepper", "red pepper flake"]),
    ("1 cinnamon stick, 4 cloves, 4 green cardamom pods", ["cinnamon", "clove", "green cardamom"]),
    ("1 bulb of garlic, 4 cloves", ["garlic"]),
    ("pinch salt, water to knead", ["salt", "water"]),
    ("1 cup oats, oil for frying", ["oat", "oil"]),
    ("4 eggs, whites for the coating", ["egg"]),
    ("salt, 1 tsp paprika", ["salt", "paprika"]),
    ("2 onions, 1 zorble, 3 carrots", ["onion", "zorble", "carrot"]),  # what nobody knows is not passed over
    ("2 cups basmati rice, soaked 1 hr", ["basmati rice"]),
    ("1/2 cup gram flour, whisked into 1 cup water", ["gram flour", "water"]),
    ("1 cabbage, cut into 8 wedges", ["cabbage"]),
    ("250 g saltfish, boil out the salt and flake it", ["saltfish"]),
    ("4 green bananas, peel and leave whole", ["green banana"]),
    ("juice of a lemon", ["lemon juice"]),
    ("Onion - 2 large, tomato - 3 medium", ["onion", "tomato"]),
    ("1 bay leaf, 2 tsp salt, black pepper", ["bay", "salt", "black pepper"]),
    ("3 carrots, 5-6 potatoes whole if small", ["carrot", "potato whole"]),
    ("140 g flour, sifted w. a good pinch of salt", ["flour", "salt"]),
    ("150 ml dry cider, or apple juice", ["dry cider"]),
    ("Salt. few spring onions", ["salt", "spring onion"]),
    ("2 T wine vin., 1 tsp oregano", ["wine vinegar", "oregano"]),
    ("200 g zorble or other firm fish", ["zorble"]),
    ("400 g high fat pork belly", ["pork belly"]),
    ("juice of 1 lime and 1 orange", ["lime juice", "orange juice"]),
    ("juice of 1 lemon and 2 garlic cloves", ["lemon juice", "garlic"]),
    ("mustard powder or brown sauce", ["mustard powder"]),
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
    ("2 tbsp ketchup, the peppery kind", ["ketchup"]),
    ("200 g linguine, snapped in three", ["linguine"]),
    ("flour 250g sugar 100g butter 125g", ["flour", "sugar", "butter"]),
    ("1 kg leeks 2 cups cream", ["leek", "cream"]),
    ("rice 1 cup water 2 cups", ["rice", "water"]),
    ("salt, mace, pepper, 40 g butter", ["salt", "mace", "pepper", "butter"]),
    ("2 tbsp oil; salt", ["oil", "salt"]),
    ("salt; ,", ["salt"]),
    ("1 leek; 2 carrots; pepper", ["leek", "carrot", "pepper"]),
    ("2 leeks; finely chopped", ["leek"]),
    ("2 leeks, cooked down with a little butter", ["leek", "butter"]),
    ("Sauce: mustard, dill, honey", ["mustard", "dill", "honey"]),
]


@pytest.mark.parametrize(("line", "words"), MENDED)
def test_mended(read, line: str, words: list[str]) -> None:  # type: ignore[no-untyped-def]
    quiet = {"peeled", "sliced", "diced"}
    got = [" ".join(t for t in part.phrases[0].tokens if t not in quiet) for part in read(line).parts]
    assert got == words


WIDE = [("carrot 1 - 300 g", True), ("salt 1-30 g", True), ("1-2 kg beets", False)]


@pytest.mark.parametrize(("line", "doubted"), WIDE)
def test_a_range_too_wide_is_doubted(
    vocabulary: Vocabulary, measure_words: MeasureWords, line: str, doubted: bool
) -> None:
    assert ("is no range" in parse_line(line, vocabulary, measure_words).doubt) is doubted
