"""Lines that are no food, and foods that look like such lines: cases of our own, common usage."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.amount import MeasureWords
from service.core.ingredient_line import parse_line
from service.core.vocabulary import Vocabulary

TITLES = [
    "Tagine of lamb & prunes",
    "Saag gosht",
    "Peruvian roast duck",
    "Korean fried cauliflower",
    "Nana's Sunday roast chicken",
    "Fish pot pie, version 3",
    "Fish chowder",
    "Harbour Fish Chowder",
    "Smoked haddock chowder with sweetcorn",
    "Chicken Tikka Masala",
    "Lamb korma, Delhi style",
    "Goat Karahi (Peshawari)",
    "Moqueca de camarão",
    "Poulet yassa",
    "Pollo alla cacciatora",
    "Spaghetti all'amatriciana",
    "Vegetable jalfrezi",
    "Nonna's minestrone",
    "Oma's appeltaart",
    "Auntie Bea's jollof rice",
    "Grandpa's chicken",
    "Rhubarb crumble & custard",
    "Blackberry cobbler",
    "Courgette and feta fritters",
    "Pulled pork sliders",
    "Tofu, spinach and chickpea curry",
    "Aubergine (eggplant) curry",
    "20-minute prawn laksa",
    "3-ingredient pancakes",
    "One-pot chicken",
    "Slow cooker brisket",
    "Air fryer salmon",
    "Three bean salad",
    "Nasi goreng (Indonesian fried rice)",
    "Bún riêu",
    "Murgh handi wala (spiced chicken stew)",
    "Biryani for Eid",
    "Cottage pie for two",
    "Pierogi",
    "UGALI",
    "Mapo tofu 麻婆豆腐",
    "Sunday chicken recipe",
    "Crab cakes (makes 8)",
    # what is made in the list, before its own ingredients
    "Rempah",
    "Chermoula",
    "Curry paste",
    "Crumble",
    "Whole spices",
    "Hazelnut crusted hake with lemon",
    "Ham-wrapped chicken",
    "Crack slaw",
    "Turnip dauphinoise - 8 g carbs per portion",
    "Leek and blue cheese soup (6g net carbs)",
    "Sancocho para 12",
    "Blanquette pour 6 personnes",
    # a dish before the words that say which
    "Moqueca Capixaba",
    "Laksa Sarawak style",
    "Empanadas Cordobesas",
    "Chicken curry Zanzibar",
    "Blanquette à la normande",
    "Minestrone della zia",
    "Bobotie tannie Elsa",
    "Bigos po staropolsku",
    "Caldeirada com broa",
    "Soup Porto style",
    # a gloss behind a bracket or a dash
    "Sancocho (shredded chicken)",
    "Muhammara - pepper and walnut dip",
    # places and peoples that are no misspelled food
    "Moqueca Baiana",
    "Bunny chow Durban style",
    "Pho Saigon",
]
HEADINGS = [
    "Chocolate ganache",
    "Stuffing for one 4 kg goose",
    "For the poolish",
    "Sauce for 2 pizzas",
    "Day 3: bake",
    "Part 2",
    "Group C",
    "2. The topping",
    "c) Glaze",
    "Part two - the crust",
    "Kaymar (dressing)",
    "Gravy (for 6-8 people)",
    "Fish pot (for 4)",
    "Garnish",
    "Topping: see below",
    "Haddock traybake - 15 min prep",
    "Beans (for 4 ppl)",
    "材料",
    "【配料】",
    "Ингредиенты:",
    "المقادير",
]
LABELS = [
    "Total cost approx. £9.40",
    "Prep: 20 mins",
    "12 scones; 220° 12-15 min",
    "Cook: 1 hr 15 | Rest: 10 min",
    "Level: medium",
    "Total time: 45 minutes",
    "Per serving: 410 kcal, 30 g fat, 6 g net carbs",
    "Net carbs: 6 g",
    "3 servings",
    "1 batch = 24 buns",
    "Rinde: 4",
    "Ingredientes para 4 personas",
    "Prep 10 mins, cook 1½ hrs",
    "Ready in 35 minutes",
    "5 g net carbs per slice",
    "Carbs 4g, fat 31g, protein 22g",
    "The skipper's note: never rinse the mussels",
    "Rendement : 8 crêpes",
    "350F for 25 mins",
    "180C 25 min",
    "45 min",
    "1½ hours",
    "2 hours chilling",
    "half an hour",
    "a few minutes",
    "180°C",
    "200 degrees",
    "350 degrees Fahrenheit",
    "gas 6",
    "200 degrees C for 20 minutes",
    "12 March 2024",
    "24 Dec",
    "1 April",
    "6 people",
    "4 adults and 2 children",
    "Protein: 24 g",
    "Fat 18 g, protein 24 g",
    "fibre 6 g per slice",
    "Salt 1.2 g per 100 g",
    "saturated fat 6 g per serving",
    "Sodium 400 mg",
    "Energy 1450 kJ / 347 kcal",
]
NOTES = [
    "If using dried beans, soak overnight",
    "the longer it sits the better",
    "the original calls for lard",
    "less sugar than usual",
    "contains nuts",
    "Extra dumplings freeze well, uncooked",
    "The sauce is ready when the oil rises",
    "Gluten free, can be made vegan",
    "Vegan | nut free",
    "Keeps 3 days in the fridge, or freeze for up to 2 months",
    "Salt the cucumbers and leave for 20 minutes",
    "Juice the lemons",
    "Butter should be at room temperature",
    "Leftover stew can be frozen",
    "The dough keeps for two days",
    "Mackerel works well too",
    "Vegetarian? Leave out the bacon.",
    "No salt until the beans are soft",
    "Serve with rice",
    "Good with boiled potatoes",
    "Mélanger la farine et le beurre",
    "Peel the potatoes just before frying",
    "Dripping is better than oil here",
    "A stale loaf is fine for dunking",
    "Pickled herring on the side or don't bother",
    "Posted 3 June 2018",
    "Grate the cheese",
    "Roast the peppers",
    "2) Chop the onions",
    "Sprinkle with parsley",
    "Brush with melted butter",
    "Deglaze with white wine",
    "Fry in butter",
    "Then add the tomatoes",
    "Next, add the stock",
    "Finally stir through the herbs",
    "Gently heat the milk",
    "In a bowl whisk eggs, milk and salt",
    "On a floured surface roll out the pastry",
    "Over medium heat, melt butter",
    "peel potatoes",
    "boil eggs",
]


@pytest.fixture(scope="module")
def read(vocabulary: Vocabulary, measure_words: MeasureWords):  # type: ignore[no-untyped-def]
    return lambda line: parse_line(line, vocabulary, measure_words)


@pytest.mark.parametrize("line", [*TITLES, *HEADINGS, *LABELS, *NOTES])
def test_no_food(read, line: str) -> None:  # type: ignore[no-untyped-def]
    assert not read(line).parts


EQUIPMENT = [
    "12 wooden skewers, soaked",
    "a 20 cm springform tin, greased and lined",
    "1 large saucepan with a lid",
    "12 paper muffin cases",
    "tin foil",
    "8 lollipop sticks",
    "2 sterilised jars",
    "6-hole muffin tin, greased",
    "9x13 pan",
    "garlic press",
    "1 butter knife",
    "1 ice cream scoop",
    "lemon squeezer",
    "1 pepper mill",
    "8 inch square tin",
]


@pytest.mark.parametrize("line", EQUIPMENT)
def test_equipment(read, line: str) -> None:  # type: ignore[no-untyped-def]
    assert read(line).reason == "kitchen equipment"


FOODS = [
    "cream of chicken soup",
    "leg of lamb",
    "Spanish smoked paprika",
    "Japanese short grain rice",
    "12 chicken skewers",  # no equipment
    "1 wooden spoon of sugar",
    "1 string cheese",
    "1 ($4) box of pasta",  # no price list
    "handful of rocket per plate (serves 4)",
    "gluten-free flour",
    "vegan butter",
    "1 cup warm water (40°C)",
    "250 ml milk, 80° for 5 min",
    # what may be made in the list, with an amount, bought or put beside
    "2 tbsp curry paste",
    "Tamarind chutney",
    "Plum sauce",
    "Tomato paste",
    # a dish that is at hand, goes beside another or may be left out
    "leftover stew",
    "frozen dumplings",
    "shop-bought lasagne",
    "canned chili con carne",
    "Yorkshire puddings, to serve",
    "cooked rice, to serve",
    "naan, to serve",
    "coleslaw (optional)",
    "tacos or tostadas",
    "pork pies, sliced",
    # dishes before a noun
    "taco shells",
    "pho noodles",
    "soup starter",
    "paella rice",
    "idli rava",
    "momo wrappers",
    "Pork pies (sliced)",
    "Sumac - ground",
    # with an amount
    "1 bowl chicken soup",
    "2 pancakes",
    "500 g fish pie",
    "Fish stew (300 g)",
    "a jar of curry sauce",
    "3 burgers",
    # bought under a name that ends as a dish's
    "Cream of mushroom soup",
    "condensed cream of celery soup",
    "Rice cakes",
    "Sponge cake",
    "ginger cookies",
    "Blue cheese crumbles",
    "Soft tacos",
    "Green salad",
    "Thai curry paste",
    "Caesar salad dressing",
    "soup bones",
    "pie crust",
    "pancake mix",
    "burger buns",
    "curry leaves",
    "stew beef",
    # figures of a food beside its amount
    "2 slices rye bread (13 g carbs each)",
    "60 g sugar and fat",
    "Foil-wrapped cheese triangles",
    # a dish behind a link is what the food is for
    "Lettuce for tacos",
    "Sugar for the crumble",
    "chipotles in adobo",
    "mackerel in tomato sauce",
    # heading words in a food's name
    "Vegetable broth",
    "Jerk seasoning",
    "Chipotle in adobo sauce",
    "Spaghetti for four",
    "Dinner rolls",
    "Hawaiian rolls",
    "BBQ sauce",
    "Whipped topping",
    "Veggie patty",
    "Fish/oyster sauce",
    "Meat sauce",
    "Roast beef",
    "Nutritional yeast",
    "nutritional yeast, for sprinkling",
    "Cranberries (adjust amount to preference)",
    "Beef stock (see note 2)",
    "Beef bones with marrow",
    "peel of 2 lemons",
    "Granny Smith apples",
    "any mild cheese will do",
    "grape must",
    "Bread",
    "Salsa",
    "Pesto",
    "Hummus",
    "Falafel",
    "Tortilla chips",
    "lemon wedges, to serve",
    "oil for frying",
    "Salt and pepper",
    "S&P",
    "Oil and vinegar",
    "Lettuce and tomato",
    "Garnish: dill",
    "For the glaze: 1 egg white, beaten",
    "For the filling (makes 12): 200 g crab meat",
    "Rub: 2 tsp smoked paprika",
    "Filling - 400 g smoked haddock",
    "1) 2 cups rye flour",
    "To season: salt and white pepper",
    "Any oil is fine",
    "1 c rice, cook 20 min",
    "For the sauce 200 ml cream",
    "For the topping 100 g cheese, grated",
    "to serve 4 slices bread",
    "for frying 2 tbsp oil",
    "For garnish parsley",
    "for greasing butter",
    "Day 1: 500 g flour",
    "Step 2 - 100 g sugar",
    "serves 4: 400 g pasta",
    "Day before: 200 g dried beans",
    "Jam: 500 g strawberries",
    "2 not too ripe bananas",
    "3 not too big potatoes",
    "gravy, to serve",
    "syrup of your choice",
    "sambal, to serve",
    "1 c. (packed) fresh basil",
    "protein powder",
    "10 g fat",
    "melt chocolate 100 g",
    "sugar 3 g",
]


@pytest.mark.parametrize("line", FOODS)
def test_food_that_looks_like_no_food(read, line: str) -> None:  # type: ignore[no-untyped-def]
    assert read(line).parts


@given(st.sampled_from(TITLES), st.integers(1, 900))
def test_a_weight_before_a_title_makes_it_food(read, title: str, grams: int) -> None:  # type: ignore[no-untyped-def]
    """What a dish means with an amount is for the names to say."""
    assert read(f"{grams} g {title}").parts


# as written -> as read
SPELLINGS = [
    ("grandma", "grandma"),
    ("karahi", "karahi"),
    ("frites", "frite"),
    ("proper", "proper"),
    ("fasting", "fasting"),
    ("masarap", "masarap"),
    ("chirozo", "chorizo"),
    ("cinammon", "cinnamon"),
    ("brocoli", "broccoli"),
]


@pytest.mark.parametrize(("word", "right"), SPELLINGS)
def test_only_slips_are_put_right(vocabulary: Vocabulary, word: str, right: str) -> None:
    assert vocabulary.lex(word)[0].value == right


def test_what_is_bought_may_not_be_a_dish_alone(vocabulary: Vocabulary) -> None:
    """A row of kind "bought" that ends in no dish would say nothing."""
    dishes = vocabulary.titles.dishes
    for form in (form for form, kind in dishes.items() if kind == "bought"):
        words = form.split()
        ends = any(" ".join(words[at:]) in dishes for at in range(1, len(words)))
        assert ends or words[0] in vocabulary.titles.family, form
