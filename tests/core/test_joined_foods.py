"""Several foods in one line: what each of them takes of the amount, and what no part counts."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> entry and grams of each part; None for what is not stated or not known
JOINED = [
    # the amount of the food before
    ("onions 2, tomatoes same amount", [("11282", 220), ("11529", 246)]),
    ("1 tsp cumin, coriander the same", [("02014", 2.1), ("02013", 1.8)]),
    ("100 g butter, the same amount of sugar", [("01001", 100), ("19335", 100)]),
    ("1 cup sugar, butter equal amount", [("19335", 200), ("01001", 227)]),
    ("2 onions, as many carrots", [("11282", 220), ("11124", 122)]),
    ("2 onions, as many large carrots", [("11282", 220), ("11124", 144)]),
    ("2 onions, as many carrots as onions", [("11282", 220), ("11124", 122)]),
    ("200 g butter, sugar as much as the butter", [("01001", 200), ("19335", 200)]),
    ("200 g butter, sugar same weight as the butter", [("01001", 200), ("19335", 200)]),
    ("1 cup sugar, the same amount of finely chopped walnuts", [("19335", 200), ("12155", 117)]),
    ("1 cup milk, equal parts water", [("01077", 244), ("14411", 237)]),
    ("1 cup sugar, same butter", [("19335", 200), ("01001", 227)]),
    # what a further "as" compares with, and what else is the same, say nothing of that amount
    ("200 g flour, salt as much as needed", [("20081", 200), ("02047", None)]),
    ("500 g potatoes, oil as much as needed", [("11352", 500), ("04044", None)]),
    ("500 g potatoes, oil as much as is needed for frying", [("11352", 500), ("04044", None)]),
    ("1 cup lentils, water as much as required", [("16069", 192), ("14411", None)]),
    ("1 onion, tomato as many as you like", [("11282", 110), ("11529", None)]),
    ("1 kg onions, ghee as much as you can spare", [("11282", 1000)]),
    ("2 apples, pears as many as you can carry", [("09003", 364)]),
    ("2 cups flour, as much water as it takes", [("20081", 250)]),
    ("2 cups flour, same brand sugar", [("20081", 250)]),
    ("1 cup sugar, same kind honey", [("19335", 200)]),
    ("2 onions, same size potatoes", [("11282", 220)]),
    ("2 onions, the same farm tomatoes", [("11282", 220)]),
    ("100 g sugar, twice as much flour", [("19335", 100), ("20081", None)]),
    ("1 tsp cumin, twice as much coriander", [("02014", 2.1), ("11165", None)]),
    # what stands before a colon says what the list is of
    ("Greens: coriander, parsley, basil - 1 small bunch each", [("11165", 30), ("11297", 30), ("02044", 25)]),
    ("Greens: dill, parsley - 1 bunch each", [("02045", 40), ("11297", 60)]),
    ("Herbs: dill, parsley, mint - 1 bunch each", [("02045", 40), ("11297", 60), ("02065", 40)]),
    ("Chicken: thigh, skin", [("05091", None)]),
    # one noun of several adjectives behind a comma; beside salt alone no pepper is a vegetable
    ("Salt, red and black pepper to taste", [("02047", None), ("02031", None), ("02030", None)]),
    ("Salt, black and white pepper", [("02047", None), ("02030", None), ("02032", None)]),
    ("salt, white and cayenne pepper to taste", [("02047", None), ("02032", None), ("02031", None)]),
    ("Salt, black pepper and red pepper", [("02047", None), ("02030", None), ("02031", None)]),
    ("Onion, green pepper and red pepper", [("11282", None), ("11333", None), ("11821", None)]),
    ("Salt, red and green peppers", [("02047", None), ("11821", None), ("11333", None)]),
    ("1 green pepper, salt", [("11333", 119), ("02047", None)]),
    # a dish beside a food is another one
    ("Plain yoghurt and chopped salad, to serve", [("01116", None), (None, None)]),
    ("Rice and salad, to serve", [("20044", None), (None, None)]),
    ("rice, salad and chips, to serve", [("20044", None), (None, None), ("19411", None)]),
    ("rice and green salad", [("20044", None), ("11253", None)]),
    # the amount before "+" and before "and some" is of the first alone
    ("100 ml olive oil + oil for deep-frying the potatoes", [("04053", 91.3), ("04044", None)]),
    ("100 ml olive oil + butter for frying", [("04053", 91.3), ("01001", None)]),
    ("2 tbsp butter + extra for greasing", [("01001", 28.4)]),
    ("2 eggs and some milk", [("01123", 100), ("01077", None)]),
    ("1 lemon and a bit of butter", [("09150", 58), ("01001", None)]),
    ("1 green pepper and some pepper", [("11333", 119), ("02030", None)]),
    # what comes "plus a bit of", or as "some" behind a comma, is another food, whatever both words together name
    ("1 cup oil, some butter", [("04044", 218), ("01001", None)]),
    ("100 g sugar, plus a bit of salt", [("19335", 100), ("02047", None)]),
    ("2 cups flour, plus a little oil for greasing", [("20081", 250), ("04044", None)]),
    ("100 g butter, plus extra olive oil for frying", [("01001", 100), ("04053", None)]),
    ("3 tomatoes plus extra basil leaves", [("11529", 369), ("02044", None)]),
    ("2 eggs, plus extra egg yolk", [("01123", 100), ("01125", None)]),
    ("2 tbsp oil plus extra olive oil", [("04044", 27.2)]),
    ("1 cup flour, plus extra plain flour for dusting", [("20081", 125)]),
    ("2 tbsp butter, a bit of it melted", [("01001", 28.4)]),
    ("2 carrots and celery", [("11124", 61), ("11143", 40)]),
    # two foods, though their words together are a third one's name; not where that is a name with "and"
    ("milk and sugar", [("01077", None), ("19335", None)]),
    ("rice and wine", [("20044", None), ("14084", None)]),
    ("almond and milk", [("12061", None), ("01077", None)]),
    ("cheese and crackers", [("01009", None), ("18228", None)]),
    ("garlic and butter for frying", [("11215", None), ("01001", None)]),
    ("1 cup macaroni and cheese", [("22960", 198)]),
    ("1 can pork and beans", [("16009", 415)]),
    ("1 cup peas and carrots", [("11322", 140)]),
    ("1 cup chicken and rice soup", [("06023", 252)]),
    ("1/2 cup bread and butter pickles", [("11940", 80)]),
    # halves of one amount; what becomes of two halves of a food parts no foods
    ("500 g mince, half beef and half pork", [("23572", 250), ("10219", 250)]),
    ("500g minced meat (half pork, half beef)", [("10219", 250), ("23572", 250)]),
    ("1 lb ground meat, half beef, half pork", [("23572", 227), ("10219", 227)]),
    ("500 g mince (equal parts beef and pork)", [("23572", 250), ("10219", 250)]),
    ("500 g mince, 50/50 beef and pork", [("23572", 250), ("10219", 250)]),
    ("2 cups flour, half white half wholemeal", [("20081", 125), ("20080", 120)]),
    ("300 g mushrooms, half button and half shiitake", [("11260", 150), ("11238", 150)]),
    ("200 g cheese, half cheddar, half gruyere", [("01009", 100), ("01023", 100)]),
    ("1 cup half milk and half water", [("01077", 122), ("14411", 118)]),
    ("1 cup nuts, half walnuts and half pecans, chopped", [("12155", 50), ("12142", 54.5)]),
    ("1 cup half and half", [("01049", 242)]),
    ("6 eggs, half of them separated", [("01123", 300)]),
    ("1 kg tomatoes, half chopped and half pureed", [("11529", 1000)]),
    ("100 g butter, half of it melted", [("01001", 100)]),
    # an amount behind foods is of all of them
    ("peas & carrots (frozen) 2 cups", [("11322", 280)]),
    ("onions and carrots 200 g", [("11282", 100), ("11124", 100)]),
    ("Mint, parsley, dill - a handful", [("02065", 4), ("11297", 4), ("02045", 4)]),
    ("butter, sugar, flour - 100 g each", [("01001", 100), ("19335", 100), ("20081", 100)]),
    ("butter and flour 2 tbsp each", [("01001", 28.4), ("20081", 15.6)]),
    ("salt and butter 100 g", [("02047", None), ("01001", 100)]),
    ("zest & juice 1 lime", [("09156", 4), ("09160", 44)]),
    ("rice, basmati - 1 cup", [("20044", 185)]),
    ("chicken, thighs - 500 g", [("05091", 500)]),
    # another choice
    ("1 cup milk, or use water", [("01077", 244)]),
    ("garlic shoots 2 stalks, or use leek", [("11246", 178)]),
    # more of the same
    ("3 tbsp fish sauce, plus 1 extra", [("06179", 72)]),
    ("2 eggs plus 1 extra", [("01123", 150)]),
    ("3 tbsp sugar plus 1 tsp extra", [("19335", 41.95)]),
    ("2 tbsp apricot jam, plus a bowlful on the table", [("19719", 40)]),
    ("2 tbsp yogurt, plus 1 tbsp to serve", [("01116", 45.9)]),
    ("1 lemon, plus 1 extra to serve", [("09150", 116)]),
    ("1 cup parsley leaves, plus a few to serve", [("11297", None)]),
    # what is tied or stuck to a food
    ("3 scallions, whole, tied with a few cilantro sprigs", [("11291", 45), ("11165", 8.9)]),
    ("1 onion, studded with 4 cloves", [("11282", 110), ("02011", 0.32)]),
    ("1 onion studded with 2 cloves", [("11282", 110), ("02011", 0.16)]),
    ("1 onion studded with cloves", [("11282", 110), ("02011", None)]),
    ("1 bunch parsley, tied with string", [("11297", 60)]),
]


@pytest.mark.parametrize(("line", "parts"), JOINED)
def test_each_food_takes_its_own_amount(
    resolver: Resolver, line: str, parts: list[tuple[str | None, float | None]]
) -> None:
    found = resolver.resolve(line).parts
    assert [part.food.id.removeprefix("sr28:") if part.food else None for part in found] == [code for code, _ in parts]
    for part, (_, grams) in zip(found, parts, strict=True):
        weight = part.grams.value if part.grams is not None else None
        assert weight == (pytest.approx(grams, rel=0.02) if grams is not None else None)


@pytest.mark.parametrize(("line", "outcome"), [
    ("1 lemon - lime if you can get it", "check"),
    ("1 green pepper - Hungarian wax if you can get it", "check"),  # which of the two is weighed
    ("1 cup lentils, soaked, parsley", "check"),
    ("onions and carrots 200 g", "check"),
    ("1 kg onions, ghee as much as you can spare", "check"),
    ("2 cups flour, same brand sugar", "check"),
    ("100 g sugar, twice as much flour", "check"),
    ("1 tsp cumin, twice as much coriander", "check"),
    ("2 tbsp grape, sunflower or rapeseed oil", "check"),  # no table has an oil of grapes by that name
    ("1 lb cod, haddock or other white fish", "resolved"),
    ("3 potatoes, equal size", "resolved"),  # no sweetener
    ("2 onions - red if you have them", "resolved"),
    ("1 cup rice, basmati", "resolved"),
    ("4 green peppers, fried in oil", "resolved"),
    ("1 tin (120 g) sardines in olive oil, drained", "resolved"),
    ("2 tbsp maple syrup, agave, or honey", "resolved"),
    ("1 can white beans with their juice", "resolved"),
])  # fmt: skip
def test_a_food_that_no_part_counts_is_told(resolver: Resolver, line: str, outcome: str) -> None:
    assert resolver.resolve(line).outcome == outcome
