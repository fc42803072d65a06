"""A recipe as people paste it: title, for how many, sections, list marks."""

from __future__ import annotations

import pytest

from service.core.bare_line import Heads
from service.core.errors import InputError
from service.core.measure import OUNCE
from service.core.recipe import RecipeLine, checked
from service.core.recipe_text import UNTITLED, ReadRecipe, read_recipe, read_schema_org
from service.core.recipe_yield import Yielded, read_yield
from service.tables.cooking import load_cooking_tables


def read(text: str) -> ReadRecipe:
    return read_recipe(text, heads=lambda line: "heading" if line.strip().endswith(":") else "")


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
        ("Chowder for four people", "Chowder", 4, None),
        ("Chowder for 4", "Chowder for 4", 1, None),
        ("Chowder, for 4", "Chowder, for 4", 1, None),
        ("Fish-and-fennel pie", "Fish-and-fennel pie", 1, None),
        ("Fish pie (version 4)", "Fish pie (version 4)", 1, None),
        ("(serves 4)", UNTITLED, 4, None),
        ("Chowder Serves 6", "Chowder", 6, None),
        ("Chowder serves 4-6", "Chowder", 4, None),
    ],
)
def test_a_title_may_end_in_for_how_many(first: str, title: str, servings: float, pieces: float | None) -> None:
    found = read(f"{first}\n\n2 eggs").recipe
    assert (found.title, found.servings, found.yields.pieces) == (title, servings, pieces)


@pytest.mark.parametrize(
    ("text", "title", "servings", "lines"),
    [
        ("Serves 4\n\nBeef Stew\n\n500 g beef mince", "Beef Stew", 4, ["500 g beef mince"]),
        ("Makes 12 rolls\nServes 6\n\n**Quay rolls**\n\n500 g flour", "Quay rolls", 6, ["500 g flour"]),
        ("Serves 4\nTitle: Beef Stew\n500 g beef mince", "Beef Stew", 4, ["500 g beef mince"]),
        ("**Title: Beef Stew**\n**Serves:** 4\n500 g beef mince", "Beef Stew", 4, ["500 g beef mince"]),
        ("Recipe name: Beef Stew (serves 4)\n\n500 g beef mince", "Beef Stew", 4, ["500 g beef mince"]),
        ("Chowder for four people\nA winter soup\n2 eggs", "Chowder", 4, ["A winter soup", "2 eggs"]),
        # what heads a list is no title, nor what nothing follows
        ("Serves 4\n\nIngredients\n\n500 g beef mince", UNTITLED, 4, ["500 g beef mince"]),
        ("Serves 4\n\nFor the top:\n\n500 g beef mince", UNTITLED, 4, ["500 g beef mince"]),
        ("Serves 4\n\nsalt\n500 g beef mince", UNTITLED, 4, ["salt", "500 g beef mince"]),
        ("Serves 4\n\nsalt", UNTITLED, 4, ["salt"]),
        ("Serves 4\n\nMethod\n\nBrown it.", UNTITLED, 4, []),
        ("Plate\n\n2 eggs\nName: salt", "Plate", 1, ["2 eggs", "Name: salt"]),
    ],
)  # fmt: skip
def test_a_title_may_stand_behind_the_yield_or_its_label(
    text: str, title: str, servings: float, lines: list[str]
) -> None:
    found = read_recipe(text, heads=lambda line: "heading" if line.strip(":") in ("Ingredients", "For the top") else "")
    assert (found.recipe.title, found.recipe.servings, texts(found)) == (title, servings, lines)


@pytest.mark.parametrize(
    ("above", "below", "servings", "pieces", "told"),
    [
        ("", "Serves 4", 4, None, "'serves 4'"),
        ("", "Fry it.\n\n**Makes 12 rolls**", 12, 12, "'makes 12 rolls'"),
        ("", "(this recipe serves 4 to 6)", 4, None, "larger serving"),
        ("Serves 2\n", "Serves 4", 2, None, "'serves 2' and 'serves 4': taken as 2"),
        ("Serves 2\n", "Makes 12 rolls", 2, 12, "'makes 12 rolls'"),
        ("", "Serving: 1 roll\nServes 0", 1, None, "does not say for how many"),
        ("", "Makes a mess. Serve 4 at once.", 1, None, "does not say for how many"),
    ],
)  # fmt: skip
def test_a_yield_may_stand_below_the_method(
    above: str, below: str, servings: float, pieces: float | None, told: str
) -> None:
    found = read(f"Stew\n{above}\n500 g beef mince\n\nMethod\n{below}")
    assert (found.recipe.servings, found.recipe.yields.pieces, texts(found)) == (servings, pieces, ["500 g beef mince"])
    assert told in " ".join(found.notes)


@pytest.mark.parametrize(
    ("servings", "heading", "told"),
    [
        (2, "Ingredients (per serving):", True), (2, "Per serving:", True), (4, "For one person:", True),
        (4, "Amounts per portion:", True), (4, "Ingredients for 1 person:", True), (4, "Ingredients for 2:", True),
        (4, "+ Topping (for each plate):", True), (1, "Per serving:", False), (2, "Ingredients for 2:", False),
        (2, "For serving:", False), (2, "For the top:", False), (4, "For one cake:", False),
    ],
)  # fmt: skip
def test_a_heading_that_says_its_amounts_are_of_one_is_told(servings: int, heading: str, told: bool) -> None:
    found = read(f"Chia pudding\nServes {servings}\n\n{heading}\n30 g chia seeds")
    assert texts(found) == ["30 g chia seeds"]
    assert any("says that its amounts are for" in note for note in found.notes) == told


def test_a_weight_is_no_title() -> None:
    found = read("Total weight: 700 g\n\nStew\n\n500 g beef")
    assert (found.recipe.title, texts(found)) == ("Stew", ["500 g beef"])
    assert "'total weight: 700 g' was not understood" in " ".join(found.notes)


def test_a_title_that_may_end_in_for_how_many_is_told() -> None:
    assert "'for 2' of the title may say for how many it is" in " ".join(read("Pancakes for 2\n\n2 eggs").notes)
    assert "'for nine' of the title" in " ".join(read("Pancakes for nine\n\n2 eggs").notes)
    assert "of the title" not in " ".join(read("Pancakes for 2\nServes 4\n2 eggs").notes)


def test_a_title_stands_before_a_yield_that_is_not_understood() -> None:
    found = read_recipe("Cake\nMakes enough to fill two tins\n200 g butter", heads=lambda _: "")
    assert found.recipe.title == "Cake"
    assert "not understood" in " ".join(found.notes)


MARKED_TEXT = """# Kale soup

**Serves: 4**

## For the soup
- **500 g** kale

### To serve (optional)
* 10 g __chives__

"""


METHODS = [
    "## Method", "**Method**", "Method (30 min)", "METHOD -", "=== Method ===", "The method:", "Step 1:",
    "Cooking instructions", "Instructions for baking:", "How to make it:", "Process",
]  # fmt: skip


@pytest.mark.parametrize("method", [f"{heading}\n1. Add 100 ml cream." for heading in METHODS])
def test_marks_of_headings_and_of_bold_words_are_no_part_of_a_text(method: str) -> None:
    found = read(MARKED_TEXT + method).recipe
    assert (found.title, found.servings) == ("Kale soup", 4)
    assert [(one.name, one.optional, [line.text for line in one.lines]) for one in found.sections] == [
        ("For the soup", False, ["500 g kale"]), ("To serve", True, ["10 g chives"]),
    ]  # fmt: skip


def test_a_number_behind_a_hash_is_no_heading() -> None:
    assert texts(read("Plate\n\nServes 2\n# 10 can of tomatoes\n2 * 3 eggs")) == ["# 10 can of tomatoes", "2 * 3 eggs"]


def test_a_range_in_a_title_is_no_silent_guess() -> None:
    assert "larger serving" in " ".join(read("Chowder (serves 4-6)\n\n2 eggs").notes)


def test_a_line_of_its_own_goes_before_the_title() -> None:
    assert read("Chowder (serves 4)\nServes 6\n2 eggs").recipe.servings == 6


# What kitchens write beneath a title: (said, servings, pieces, name of a piece, cooked grams, yield factor).
YIELDS = [
    ("Serves four", 4, None, None, None, None),
    ("Serves two or three", 2, None, None, None, None),
    ("Serves 4 as a starter", 4, None, None, None, None),
    ("Serves 4 (generously)", 4, None, None, None, None),
    ("Serves 4 | Prep 10 min", 4, None, None, None, None),
    ("Serves 1½", 1.5, None, None, None, None),
    ("4 people", 4, None, None, None, None),
    ("Makes enough for 4", 4, None, None, None, None),
    ("Makes a dozen muffins", 12, 12, "muffins", None, None),
    ("Makes 2 dozen rolls", 24, 24, "rolls", None, None),
    ("Makes 2-3 dozen rolls", 24, 24, "rolls", None, None),
    ("Makes one loaf", 1, 1, "loaf", None, None),
    ("Makes 1 loaf (12 slices)", 12, 1, "loaf", None, None),
    ("Makes one 23cm cake (12 slices)", 12, 1, "cake", None, None),
    ("Makes one 9-inch cake, about 10 slices", 10, 1, "cake", None, None),
    ("Makes one cake (12 slices), serves 8", 8, 1, "cake", None, None),
    ("Makes 2 loaves (12 slices)", 2, 2, "loaves", None, None),
    ("Servings: 8 rolls", 8, None, None, None, None),
    ("Portions: 6 bowls of soup", 6, None, None, None, None),
    ("Makes: 12 rolls of 50 g", 12, 12, "rolls", None, None),
    ("Makes 12 x 50 g rolls", 12, 12, "rolls", None, None),
    ("Makes 4 500 g loaves", 4, 4, "loaves", None, None),
    ("Serves 1 000", 1000, None, None, None, None),
    ("Serves 1 200 people", 1200, None, None, None, None),
    ("Serves 4!", 4, None, None, None, None),
    ("*Serves 4*", 4, None, None, None, None),
    ("_Makes 12 rolls_", 12, 12, "rolls", None, None),
    ("(serves 4 to 6 people)", 4, None, None, None, None),
    ("[Makes 12 rolls, serves 6]", 6, 12, "rolls", None, None),
    ("This recipe serves 4", 4, None, None, None, None),
    ("Recipe makes 4 servings", 4, None, None, None, None),
    ("The recipe makes 12 rolls", 12, 12, "rolls", None, None),
    ("Enough for 6", 6, None, None, None, None),
    ("Enough for four people", 4, None, None, None, None),
    ("Makes 16 squares, serves 8", 8, 16, "squares", None, None),
    ("Makes 1 x 20cm cake, serves 8", 8, 1, "cake", None, None),
    ("Makes 60 g", 1, None, None, 60, None),
    ("Makes 1.2kg", 1, None, None, 1200, None),
    ("Yields 850g cooked", 1, None, None, 850, None),
    ("Makes 2 lb", 1, None, None, 907.18474, None),  # NIST Handbook 44, Appendix C
    ("Serves 1,000", 1000, None, None, None, None),
    ("Serves 1,5", 1.5, None, None, None, None),
    ("Makes 1,200 rolls", 1200, 1200, "rolls", None, None),
    ("Makes 1,250 g", 1, None, None, 1250, None),
    ("Makes 1,25 kg", 1, None, None, 1250, None),
    ("Makes 0,125 kg", 1, None, None, 125, None),
    ("Makes 500 ml", 1, 500, "ml", None, None),
    ("Weight after cooking: 850 g", 1, None, None, 850, None),
    ("Yield factor: 0.8", 1, None, None, None, 0.8),
    ("Serves 8, makes 16 slices, 640 g cooked", 8, 16, "slices", 640, None),
    ("Serves 8, yield factor 0.8", 8, None, None, None, 0.8),
    ("Serves 4 to 6, makes 12 rolls", 4, 12, "rolls", None, None),
    ("Serves four to six, makes a dozen rolls", 4, 12, "rolls", None, None),
    ("Serves 4 to 6 (makes 12 rolls)", 4, 12, "rolls", None, None),
    ("Serves 4 to 6. Makes 12 rolls.", 4, 12, "rolls", None, None),
    ("Serves 4 to 6 and makes 12 rolls", 4, 12, "rolls", None, None),
    ("Serves 4 and makes 12 rolls", 4, 12, "rolls", None, None),
    ("Makes 12 rolls and serves 4 to 6", 4, 12, "rolls", None, None),
    ("Serves 4/makes 12", 4, 12, None, None, None),
    ("Serves 4 to 6, yield: 12 rolls", 4, 12, "rolls", None, None),
    ("Serves approx. 4 to 6, makes 12", 4, 12, None, None, None),
    ("Serves 4-6 as a main, 8 as a starter", 4, None, None, None, None),
    ("Makes 12 rolls of bread and butter", 12, 12, "rolls of bread and butter", None, None),
]


@pytest.mark.parametrize(("said", "servings", "pieces", "name", "grams", "factor"), YIELDS, ids=[y[0] for y in YIELDS])
def test_for_how_many_and_what_it_makes(
    said: str, servings: float, pieces: float | None, name: str | None, grams: float | None, factor: float | None
) -> None:
    found = read(f"Loaf\n\n{said}\n\n200 g almonds").recipe
    made = found.yields
    assert (found.servings, made.pieces, made.piece_name, made.factor) == (servings, pieces, name, factor)
    assert made.cooked_grams == (None if grams is None else pytest.approx(grams))
    assert [line.text for line in found.lines] == ["200 g almonds"]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Serves 4-6", "larger serving"),
        ("Serves 4 to 6, makes 12 rolls", "'serves 4 to 6' was taken as 4 servings, which gives the larger serving"),
        ("Serves 4 to 6 as a starter", "'as a starter' of"),
        ("Makes 20-24 crackers", "larger piece"),
        ("Makes 24 crackers", "24 servings of one piece each"),
        ("Makes one loaf", "1 serving of one piece"),
        ("Makes 60 g", "taken as one serving"),
        ("Serves 4 as a starter", "'as a starter' of"),
        ("Makes 1 loaf (12 slices)", "'12 slices' was taken as 12 servings"),
        ("Serves a few", "not understood"),
        ("Feeds a crowd", "not understood"),
        ("Serves 2/3", "not understood"),
        ("Makes 2 loaves of 500 g each", "'of 500 g each' of"),
        ("Makes 12 x 50 g rolls", "'x 50 g' of"),
        ("Makes one 23cm cake (12 slices)", "'12 slices' was taken as 12 servings"),
        ("Makes one cake (12 slices), serves 8", "'12 slices' was not read"),
        ("Servings: 8 rolls", "'rolls' of"),
        ("Makes 2.5 litres", "'makes 2.5 litres' does not say for how many"),
        ("Enough for a crowd", "not understood"),
        ("Serves 4\n(serves 8 as a starter)", "'serves 4' and 'serves 8 as a starter': taken as 8"),
    ],
)
def test_what_was_assumed_of_servings_is_told(said: str, told: str) -> None:
    assert told in " ".join(read(f"Loaf\n\n{said}\n\n200 g almonds").notes)


@pytest.mark.parametrize(
    "text", ["Serves 8\nMakes 16 slices", "Makes 16 slices\nServes 8", "Makes 16 slices, serves 8"]
)
def test_pieces_are_no_servings_where_the_text_says_them(text: str) -> None:
    found = read(f"Loaf\n\n{text}\n\n200 g almonds")
    assert (found.recipe.servings, found.recipe.yields.pieces, found.notes) == (8, 16, ())


@pytest.mark.parametrize("said", ["Serves 0", "Serves -2", "Makes 0 rolls", "Makes -3 rolls", "Makes 0 g"])
def test_a_yield_that_cannot_be_is_refused(said: str) -> None:
    with pytest.raises(InputError):
        read(f"Loaf\n\n{said}\n\n200 g almonds")


@pytest.mark.parametrize("said", ["1" * 100_000, "makes " + "1" * 100_000, "serves 4" + ", x" * 50_000])
def test_long_lines_are_no_yield(said: str) -> None:
    assert read_yield(said, Yielded()) is None


@pytest.mark.parametrize("line", ["1 serving of quay salad", "2 portions of the quay salad", "1 batch of rolls"])
def test_a_share_of_a_dish_opens_no_section(line: str) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{line}\n2 eggs", heads=lambda one: "food" if one == line else "")
    assert texts(found) == [line, "2 eggs"]


@pytest.mark.parametrize(
    ("heading", "name", "optional"),
    [
        ("To serve:", "To serve", False),
        ("+ To serve:", "To serve", True),
        ("To serve (optional):", "To serve", True),
        ("To serve, optional:", "To serve", True),
        ("Optional:", "Optional", True),
        ("Optional toppings:", "toppings", True),
    ],
)
def test_a_section_may_say_that_it_is_optional(heading: str, name: str, optional: bool) -> None:
    (section,) = read(f"Plate\n\nServes 2\n{heading}\n2 eggs").recipe.sections
    assert (section.name, section.optional) == (name, optional)


@pytest.mark.parametrize("mark", ["- ", "* ", "• ", "[ ] ", "– ", "· "])
def test_list_marks_are_no_part_of_a_line(mark: str) -> None:
    assert texts(read(f"Plate\n\n{mark}2 eggs\n{mark}10 g chives")) == ["2 eggs", "10 g chives"]


# ---- what is said of cooking -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "grams"),
    [
        ("Cooked weight: 850 g", 850), ("Cooked weight 1.2 kg", 1200), ("baked weight: about 640 grams", 640),
        ("Cooked weight: 1 lb 8 oz", 24 * OUNCE), ("Baked weight: 2 lbs and 4 oz", 36 * OUNCE),
        ("Cooked weight: 1 kg 200 g", 1200), ("Cooked weight (g): 700", 700), ("Baked weight in g: 1,250", 1250),
        ("Cooked weight - 850 g", 850), ("Cooked weight: 700-750 g", 700),
    ],
)  # fmt: skip
def test_a_cooked_weight(said: str, grams: float) -> None:
    found = read(f"Loaf\n\nServes 8\nMakes 16 slices\n{said}\n200 g almonds").recipe
    assert (found.yields.cooked_grams, found.yields.pieces, len(found.lines)) == (pytest.approx(grams), 16, 1)


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Cooked weight: 700-750 g", "lower end"),
        ("Weight: 850 g", "not understood"),
        ("Total weight: 700 g", "not understood"),
        ("Dough weight: 1 lb 8 oz", "not understood"),
        ("Cooked weight: 700 g, 650 g", "not"),
        ("Cooked weight: 850", "not understood"),
    ],
)
def test_a_weight_that_is_not_read_as_it_stands_is_told_and_is_no_food(said: str, told: str) -> None:
    found = read(f"Loaf\n\nServes 8\n{said}\n200 g almonds")
    assert texts(found) == ["200 g almonds"]
    assert [note for note in found.notes if told in note]


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
    found = read_recipe(f"Plate\n\nServes 2\n{text}", heads=lambda _: "", is_treatment="browned".__eq__)
    assert found.recipe.lines == (line,)


def test_brackets_that_are_no_mark_are_told() -> None:
    found = read_recipe("Plate\n\nServes 2\n1 lemon [browend]", heads=lambda _: "")
    assert any("[browend] is no mark" in note for note in found.notes)


SAID = [
    ("100 ml olive oil, half the oil is left in the pan", 0.5),
    ("100 ml olive oil (half is left in the pan)", 0.5),
    ("100 ml olive oil - about a third of it stays in the pan", 2 / 3),
    ("3 tbsp oil, two thirds left", 1 / 3),
    ("3 tbsp oil; 1/4 poured off", 0.75),
    ("1 l oil for deep-frying, 10% absorbed", 0.1),
    ("1 l oil for deep-frying, of which 10 % is absorbed", 0.1),
    ("1 tbsp butter, only half is eaten", 0.5),
    ("200 ml buttermilk, discarded", 0),
    ("250 ml brine (thrown away)", 0),
    ("250 ml brine, thrown away when the fish is cured", 0),
    ("1 cup soy sauce for the marinade, discard the marinade", 0),
    ("1 bay leaf, discard after cooking", 0),
    ("50 g bacon fat, not eaten", 0),
    # of a part, of another food, or under a condition: nothing is read
    ("4 chicken thighs, skin discarded", None),
    ("1 chicken with bones, bones discarded", None),
    ("200 g tuna in oil, oil discarded", None),
    ("500 g chicken thighs, discard the marinade", None),
    ("2 eggs, half the whites discarded", None),
    ("6 mussels, discard any that stay shut", None),
    ("2 avocados, discard when brown", None),
    ("1 lemon, half juiced", None),
    ("1 cup flour, half remaining for dusting", None),
    ("1 egg, 120% eaten", None),
    ("1 egg, 1/0 eaten", None),
    ("half the oil is left in the pan", None),
    ("200 ml oil, half left, the rest discarded", 0.5),
    ("500 g beef, half used", 0.5),
]


@pytest.mark.parametrize(("text", "share"), SAID, ids=[text for text, _ in SAID])
def test_a_share_eaten_in_a_lines_own_words(text: str, share: float | None) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", heads=lambda _: "")
    (line,) = found.recipe.lines
    assert (line.text, line.share_eaten) == (text, pytest.approx(1 if share is None else share))
    assert [note for note in found.notes if "is counted as eaten" in note] != [] or share is None


OPEN = [
    "100 g sunflower seeds, most of it discarded", "3 egg whites, most of it discarded", "200 g juice, most discarded",
    "1 cup soy sauce for the marinade, most of it discarded", "1 cup soy sauce, mostly discarded",
    "1 cup soy sauce for the marinade, discard the rest of the marinade", "500 ml oil (most left in the pan)",
    "500 ml oil, only a little is absorbed", "500 ml oil, very little is eaten", "1 cup buttermilk, discard most of it",
    "1 cup buttermilk, excess discarded", "1 cup buttermilk, the rest of it discarded", "200 g flour, not all is used",
    "200 g flour for dredging, most is shaken off", "200 g sugar for rolling, some left over",
    "300 g rice, leftover rice discarded", "1 cup soy sauce, nearly all of it thrown away",
]  # fmt: skip
WHOLE = [
    "2 peppers, most of the seeds discarded", "1 chicken, excess fat discarded", "2 cups milk, most for the sauce",
    "200 g tomatoes, most of them chopped", "1 onion, the rest left whole", "1 lemon, the rest for another dish",
    "3 egg whites, the rest discarded",
    "juice of 1 lemon, the rest discarded", "1 leek, white part only, discard the rest", "1 onion, some",
    "1 vanilla pod, seeds scraped, rest discarded",
]  # fmt: skip


@pytest.mark.parametrize(("text", "asked"), [*((one, True) for one in OPEN), *((one, False) for one in WHOLE)])
def test_words_that_leave_the_share_eaten_open_are_told(text: str, asked: bool) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", heads=lambda _: "")
    assert found.recipe.lines == (RecipeLine(text),)
    assert any("but 100 % of it is counted: set its share eaten" in note for note in found.notes) == asked


COOKED = [
    ("500 g beef mince, browned and drained", "browned and drained"),
    ("500 g beef mince, browned, fat drained off", "fat drained off"),
    ("500 g beef mince, drained after frying", "drained after frying"),
    ("200 g spinach (boiled, drained)", "boiled, drained"),
    ("100 ml red wine, simmered 30 min", "simmered 30 min"),
    ("120 ml white wine, simmered 30 minutes", "simmered 30 minutes"),
    ("120 ml white wine, simmered for an hour", "simmered for an hour"),
    ("120 ml white wine, simmered 1½ hours", "simmered 1 1/2 hours"),
    ("120 ml white wine, simmered 45 minutes", None),  # the tables know no such time
    ("500 g beef mince, fried", None),  # it may have been bought or weighed so
    ("1 tin chickpeas, drained", None),
    ("1 onion, browned and sliced", None),
]


@pytest.mark.parametrize(("text", "treatment"), COOKED, ids=[text for text, _ in COOKED])
def test_a_treatment_in_a_lines_own_words(text: str, treatment: str | None) -> None:
    known = load_cooking_tables().knows
    found = read_recipe(f"Plate\n\nServes 2\n{text}", heads=lambda _: "", is_treatment=known)
    assert found.recipe.lines == (RecipeLine(text, treatment=treatment),)
    assert [note for note in found.notes if "was taken as its cooking treatment" in note] != [] or treatment is None


def test_marks_go_before_words() -> None:
    text = "Plate\n\nServes 2\n1 tbsp oil, half left [100% eaten]\n1 tbsp oil [30 % Eaten]"
    found = read_recipe(text, heads=lambda _: "")
    assert [line.share_eaten for line in found.recipe.lines] == [1, 0.3]


@pytest.mark.parametrize(("text", "pointer"), [("1 egg [120% eaten]", "/sections/0/lines/0/share_eaten")])
def test_a_mark_that_cannot_be(text: str, pointer: str) -> None:
    found = read_recipe(f"Plate\n\nServes 2\n{text}", heads=lambda _: "")
    with pytest.raises(InputError) as caught:
        checked(found.recipe)
    assert caught.value.pointer == pointer


@pytest.mark.parametrize(("kind", "read"), [
    ("Recipe", True), ("https://schema.org/Recipe", True), ("http://schema.org/Recipe", True),
    ("schema:Recipe", True), (["Article", "schema:Recipe"], True), ("https://other.example/Recipe", False),
    ("RecipeBook", False), (None, False),
])  # fmt: skip
def test_a_recipe_is_told_by_the_name_of_its_type_or_its_iri(kind: object, read: bool) -> None:
    """JSON-LD 1.1, 3.2: a type is an IRI, in full, compact or by a term of the context."""
    value = {"@type": kind, "name": "Plate", "recipeIngredient": ["100 ml oil"]}
    if read:
        assert len(read_schema_org(value).recipe.lines) == 1
    else:
        with pytest.raises(InputError):
            read_schema_org(value)


def test_a_schema_org_recipe_is_read_by_the_same_words() -> None:
    value = {"@type": "Recipe", "name": "Plate", "recipeIngredient": ["100 ml oil, half of it is left in the pan"]}
    assert read_schema_org(value).recipe.lines[0].share_eaten == 0.5


LISTED = [
    ({"@type": "PropertyValue", "name": "butter", "value": "100", "unitText": "g"}, "100 g butter"),
    ({"@type": "PropertyValue", "name": "butter", "value": 100, "unitCode": "GRM"}, "100 g butter"),
    ({"@type": "PropertyValue", "name": "parsley", "minValue": 2, "maxValue": 3, "unitText": "sprigs"},
     "2-3 sprigs parsley"),
    ({"@type": "PropertyValue", "name": "cream", "value": {"value": 1.5, "unitCode": "DLT"}}, "1.5 dl cream"),
    ({"@type": "HowToSupply", "name": "2 <b>eggs</b>"}, "2 eggs"),
    ({"@type": "HowToSupply", "name": "flour", "requiredQuantity": "2 cups"}, "2 cups flour"),
    ({"@type": "HowToSupply", "name": "eggs", "requiredQuantity": {"value": 3, "unitCode": "C62"}}, "3 eggs"),
    ({"@type": "ListItem", "position": 1, "item": {"@type": "PropertyValue", "name": "salt"}}, "salt"),
    ({"@type": "ListItem", "item": "1 tsp salt"}, "1 tsp salt"),
    ({"@type": "ListItem", "name": "100 g butter", "item": "https://example.com/butter"}, "100 g butter"),
]  # fmt: skip


@pytest.mark.parametrize(("listed", "line"), LISTED, ids=[case[1] for case in LISTED])
def test_an_ingredient_that_is_an_object_is_read(listed: dict[str, object], line: str) -> None:
    """PropertyValue, HowToSupply, QuantitativeValue and ItemList as schema.org has them."""
    found = read_schema_org({"@type": "Recipe", "name": "Plate", "recipeIngredient": ["100 g sugar", listed]})
    assert [one.text for one in found.recipe.lines] == ["100 g sugar", line]


def test_a_list_of_ingredients_with_a_name_is_a_section() -> None:
    sauce = {"@type": "ItemList", "name": "Sauce", "itemListElement": ["100 ml cream", {"item": "1 lemon"}]}
    found = read_schema_org({"@type": "Recipe", "name": "Plate", "recipeIngredient": ["100 g cod", sauce, "dill"]})
    sections = [(one.name, [line.text for line in one.lines]) for one in found.recipe.sections]
    assert sections == [("", ["100 g cod"]), ("Sauce", ["100 ml cream", "1 lemon"]), ("", ["dill"])]
    alone = read_schema_org({"@type": "Recipe", "recipeIngredient": sauce})
    assert [one.name for one in alone.recipe.sections] == ["Sauce"]


def test_what_follows_a_list_within_a_list_stands_under_the_outer_name() -> None:
    """Else the lines behind it would be of no section, and of none that a variant can name."""
    inner = {"@type": "ItemList", "name": "Roux", "itemListElement": ["50 g butter"]}
    sauce = {"@type": "ItemList", "name": "Sauce (optional)", "itemListElement": ["1 lemon", inner, "2 eggs"]}
    found = read_schema_org({"@type": "Recipe", "name": "Plate", "recipeIngredient": [sauce, "dill"]})
    sections = [(one.name, one.optional, [line.text for line in one.lines]) for one in found.recipe.sections]
    assert sections == [
        ("Sauce", True, ["1 lemon"]), ("Roux", False, ["50 g butter"]), ("Sauce", True, ["2 eggs"]),
        ("", False, ["dill"]),
    ]  # fmt: skip


def nested(depth: int) -> list[object]:
    return [nested(depth - 1)] if depth else ["1 egg"]


@pytest.mark.parametrize(
    ("listed", "pointer"),
    [
        (1, "/recipeIngredient/1"),
        (None, "/recipeIngredient/1"),
        (True, "/recipeIngredient/1"),
        ({"@type": "PropertyValue", "value": 100}, "/recipeIngredient/1"),
        ({"itemListElement": ["1 egg", {}]}, "/recipeIngredient/1/itemListElement/1"),
        (nested(200), "/recipeIngredient/1/0/0"),
    ],
)
def test_an_ingredient_that_cannot_be_read_is_pointed_at(listed: object, pointer: str) -> None:
    with pytest.raises(InputError, match="must be text, or an object with a name") as error:
        read_schema_org({"@type": "Recipe", "name": "Plate", "recipeIngredient": ["100 g sugar", listed]})
    assert error.value.pointer.startswith(pointer)


# ---- bare lines ------------------------------------------------------------------------------------------------

DISHES = frozenset({"scotch egg", "apple pie", "Apple Pie", "Pancakes", "vinaigrette"})
HEADINGS = frozenset({"Sauce", "For the top", "To serve"})


def heads_of(line: str) -> Heads:
    bare = line.removeprefix("- ")
    return "food" if bare in DISHES else "heading" if bare in HEADINGS else ""


def sections(text: str) -> tuple[list[tuple[str, list[str]]], str]:
    """Sections by name with their lines, and the notes, of a text after its title and servings."""
    found = read_recipe(f"Picnic\n\nServes 1\n\n{text}", heads=heads_of)
    return [(one.name, [line.text for line in one.lines]) for one in found.recipe.sections], " ".join(found.notes)


@pytest.mark.parametrize(
    "text",
    [
        "100 g ham\nscotch egg\n100 g cheddar", "scotch egg\n100 g ham", "100 g ham\nApple Pie",
        "100 g ham\nPancakes\nscotch egg", "100 g ham\n\nscotch egg\n\n100 g cheddar", "100 g ham\nSauce",
        "100 g ham\nSauce\nvinaigrette", "100 g ham\nFor the top\nTo serve", "- 100 g ham\n- scotch egg\n- 1 egg",
    ],
)  # fmt: skip
def test_a_bare_line_that_may_be_eaten_stays_a_line(text: str) -> None:
    [(name, lines)], notes = sections(text)
    assert (name, lines) == ("", [line.removeprefix("- ") for line in text.split("\n") if line])
    bare = [line for line in lines if line in DISHES | HEADINGS]
    assert "nothing is counted" in notes
    assert all(repr(line) in notes for line in bare)


@pytest.mark.parametrize("heading", ["Apple Pie", "Pancakes", "Sauce", "For the top", "scotch egg:", "\nscotch egg"])
def test_what_is_written_as_a_heading_and_has_lines_below_it_stays_one(heading: str) -> None:
    found, notes = sections(f"100 g ham\n{heading}\n100 g cheddar")
    assert found == [("", ["100 g ham"]), (heading.strip(" :\n"), ["100 g cheddar"])]
    assert notes == ""


def test_bare_lines_of_linked_data_are_told_of() -> None:
    listed = ["100 g ham", "scotch egg", "Sauce", "50 g mayonnaise", "apple pie"]
    value = {"@type": "Recipe", "name": "Picnic", "recipeYield": "1", "recipeIngredient": listed}
    found = read_schema_org(value, heads=heads_of)
    assert texts(found) == listed
    assert [note for note in found.notes if "'scotch egg', 'apple pie'" in note]


SOUP, SALAD = ({"@type": "Recipe", "name": name, "recipeIngredient": ["100 g cod"]} for name in ("Soup", "Salad"))
STUB = {"@type": "Recipe", "name": "Stew"}


@pytest.mark.parametrize(("value", "note"), [
    ([SOUP, SALAD], "the file holds 2 recipes: 'Soup' was read, not 'Salad'"),
    ({"@graph": [SOUP, {"@type": "WebPage", "mainEntity": SALAD}]},
     "the file holds 2 recipes: 'Soup' was read, not 'Salad'"),
    ([SOUP, SALAD, {**SALAD, "name": ""}], "the file holds 3 recipes: 'Soup' was read, not 'Salad', 'Untitled recipe'"),
    ([SOUP, *({**SALAD, "name": f"Salad {number}"} for number in range(5))],
     "the file holds 6 recipes: 'Soup' was read, not 'Salad 0', 'Salad 1', 'Salad 2' and 2 more"),
    ([STUB, SOUP], ""), ([SOUP, STUB], ""), ({"@graph": [SOUP, {"@type": "WebPage", "mainEntity": SOUP}]}, ""),
    (SOUP, ""),
])  # fmt: skip
def test_recipes_beside_the_one_that_is_read_are_named(value: object, note: str) -> None:
    """What lists no ingredient is a link to a recipe, and the same one twice is one."""
    found = read_schema_org(value)
    assert found.recipe.title == "Soup"
    assert [one for one in found.notes if "recipes" in one] == ([note] if note else [])
