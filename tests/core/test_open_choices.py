"""Lines that leave something open: what may be left out, "or two" behind an amount, shapes, rinds weighed or not."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> which of its parts may be left out
OPEN = [
    ("Sage or marjoram (optional)", [True]),
    ("chives/dill (optional)", [True]),
    ("3 tbsp brandy or apple juice (optional)", [True]),
    ("Grated gruyere or emmental (optional, but worth it)", [True]),
    ("Lemon and dill (optional, for the fish)", [True, True]),
    ("prunes, cardamom, saffron (all optional)", [True, True, True]),
    # of a longer list, or of foods with an amount each, the last is meant
    ("Salt, pepper and dill (optional)", [False, False, True]),
    ("2 leeks and 1 carrot (optional)", [False, True]),
    # what may be done to a food, and the condition of another amount, leave no food open
    ("1 cup pumpkin seeds (optionally toasted)", [False]),
    ("300 g flour (350 g if using yogurt)", [False]),
    ("a handful of dill, if using", [True]),
    # a condition of more of it, of how it is done, of another kind of it
    ("1/2 cup milk, or more if needed", [False]),
    ("2 cups flour (more if needed)", [False]),
    ("1 tsp cayenne, more if you like it hot", [False]),
    ("4 peaches (peeled if you like)", [False]),
    ("2 onions, red if you have them", [False]),
    ("1 tbsp sherry (you can skip this)", [True]),
    ("2 tbsp sherry (don't skip this!)", [False]),
    ("Salt (flaky salt if you have it) and pepper", [False, False]),
    ("1 tbsp honey if you like it sweet", [True]),
    ("Chives, for garnish if desired", [True]),
    ("lettuce, onion, tomato if you like", [False, False, True]),
    # the word stands right before the food
    ("1 optional egg", [True]),
    ("1/2 cup (optional) walnuts, chopped", [True]),
    ("a pinch of optional saffron", [True]),
    ("1 egg and 2 optional carrots", [False, True]),
    # an "each" makes it of both, a heading on the line of all
    ("1 tsp each salt and pepper (optional)", [True, True]),
    ("1/2 tsp each optional cumin and coriander", [True, True]),
    ("Optional garnish: 2 tbsp parsley", [True]),
    ("Optional extras - 30 g feta", [True]),
    ("Extras (optional): 30 g feta, 2 tbsp capers", [True, True]),
    ("Optional: 2 tbsp sesame seeds, 1 egg", [True, True]),
    ("Garnish: 2 tbsp parsley", [False]),
    ("If using, 100 g prawns", [True]),
    ("1 tsp cinnamon (opt.)", [True]),
    ("1 tsp cinnamon, opt", [True]),
    ("1 can black beans, opt for low sodium", [False]),
    # only what stands beside the food may be left out
    ("1 cup milk plus optional splash of cream", [False, True]),
    ("2 eggs plus 1 tsp vanilla, optional", [False, True]),
    ("1 lime, juiced, plus wedges (optional)", [False]),
    ("1/2 onion, diced, optional", [True]),
    ("100 g cheese, cheddar (optional)", [True]),
    ("1 tbsp oil, olive oil (optional)", [True]),
    ("2 tbsp sesame seeds, white or black, optional", [True]),
]


@pytest.mark.parametrize(("line", "open_"), OPEN)
def test_what_may_be_left_out(resolver: Resolver, line: str, open_: list[bool]) -> None:
    assert [part.optional for part in resolver.resolve(line).parts] == open_


@pytest.mark.parametrize("line", [
    "1 cup milk, cream optional", "1 chicken, skin optional", "1 chili, seeds optional",
    "100 g butter (plus optional 20 g for the tin)", "100 g butter, plus 20 g for the tin (optional)",
])  # fmt: skip
def test_an_open_part_that_is_not_told_apart(resolver: Resolver, line: str) -> None:
    result = resolver.resolve(line)
    assert (result.outcome, [part.optional for part in result.parts]) == ("check", [False])


# "or two" makes a range of what stands before it, not of another food
RANGES = [
    ("a cup or two of milk", 244, 488),
    ("Butter, a stick or two", 113, 226),
    ("a tablespoon or two olive oil", 13.5, 27),
    ("1 tbsp or 2 of honey", 21, 42),
    ("a carrot or two, grated", 61, 122),
    ("an onion or two", 110, 220),
    ("1 cup or 2 eggs", 243, 243),
]


@pytest.mark.parametrize(("line", "one", "two"), RANGES)
def test_or_two_is_a_range(resolver: Resolver, line: str, one: float, two: float) -> None:
    grams = resolver.resolve(line).parts[0].grams
    assert grams is not None
    assert grams.value == pytest.approx((one + two) / 2, rel=0.01)


@pytest.mark.parametrize("line", ["Eggs (5 if small, 4 if large)", "Lemons (1 per guest)"])
def test_what_a_bracket_counts_is_not_passed_over(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "check"


@pytest.mark.parametrize(
    ("line", "grams"), [("prawns (16/20)", None), ("1 lb shrimp, 21/25 count", 453.6), ("1 lb 26/30 shrimp", 453.6)]
)
def test_a_grade_of_shrimp_is_no_share(resolver: Resolver, line: str, grams: float | None) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.outcome == "resolved"
    assert part.grams is not None
    assert part.grams.value == (pytest.approx(grams, rel=0.01) if grams else None)


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        ("juice 1/2 lemon", 24),
        ("zest 1 lemon", 6),
        ("a dessert spoonful of sugar", 8.5),
        ("1 overfilled teaspoon cinnamon", 3.9),
        ("2 cebollas grandes", 300),
        ("1 kleine Zwiebel", 70),
        ("1 vaso de agua", 200),
        ("una pizca de sal", 0.4),
        ("3 c. à soupe d'huile d'olive", 41.1),
        ("250 g d'oignons", 250),
    ],
)
def test_measures_and_sizes_of_other_kitchens(resolver: Resolver, line: str, grams: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert (part.outcome, part.grams and part.grams.value) == ("resolved", pytest.approx(grams, rel=0.02))


@pytest.mark.parametrize(
    ("line", "outcome", "grams"),
    [
        ("1 part lemon juice", "check", 48),
        ("2 parts egg yolks", "check", 34),
        ("6 turkey parts", "resolved", 660),
        ("8 chicken joints", "resolved", 880),
        ("onions (x3)", "resolved", 330),
        ("1 bunch beets with greens", "resolved", None),
    ],
)
def test_parts_are_no_whole_foods(resolver: Resolver, line: str, outcome: str, grams: float | None) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.outcome == outcome
    assert part.food is not None
    assert "greens" not in part.food.description
    assert grams is None or (part.grams is not None and part.grams.value == pytest.approx(grams, rel=0.02))


@pytest.mark.parametrize(
    ("line", "grams"),
    [
        ("1 (28-ounce can) tomatoes", 793.8),
        ("Two (400 g tins) chickpeas", 800),
        ("1 (8 oz. package) cream cheese", 226.8),
        ("3, 6-ounce cans tomato paste", 510.3),
        ("1 regular can evaporated milk", 377.1),
        ("2 heads (4 oz each) endive", 226.8),
        ("3 bunches (50 g each) parsley", 150),
        ("4 fillets (6 oz each) salmon", 680.4),
    ],
)
def test_packages_with_their_size_in_a_bracket(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value == pytest.approx(grams, rel=0.01)


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        ("2 cups macaroni", 230, 250),
        ("2 cups elbow macaroni", 240, 248),
        ("1 cup fusilli", 94, 98),
        ("1 cup rigatoni", 93, 97),
        ("1 cup avocado", 140, 152),
        ("1 cup mashed avocado", 230, 230),
        ("1 cup strawberries", 144, 144),
    ],
)
def test_a_cup_is_of_the_shape_that_is_meant(resolver: Resolver, line: str, low: float, high: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value is not None
    assert low <= weight.value <= high


@pytest.mark.parametrize(
    ("line", "grams"),
    [("250 g strawberries + 5 to decorate", 310), ("3 eggs plus one to glaze", 200), ("2 limes + 1 for garnish", 201)],
)
def test_more_of_a_food_is_counted_without_a_comma(resolver: Resolver, line: str, grams: float) -> None:
    weight = resolver.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value == pytest.approx(grams, rel=0.02)


@pytest.mark.parametrize("line", ["Spring onion, green part only", "leeks, white and light green parts only"])
def test_a_part_of_a_plant_heads_no_list(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "resolved"


@pytest.mark.parametrize("line", ["2 cups water with 1 stock cube", "1 litre water with 2 bouillon cubes"])
def test_a_cube_beside_water_is_counted(resolver: Resolver, line: str) -> None:
    assert len(resolver.resolve(line).parts) == 2


@pytest.mark.parametrize(
    ("line", "outcome", "code"),
    [
        ("2 cups chicken stock made with 1 cube", "resolved", "06481"),
        ("1 litre beef stock (from 2 stock cubes)", "resolved", "06476"),
        ("500 ml vegetable stock, made from a cube", "check", "06481"),
        ("500 ml chicken stock", "resolved", "06172"),
        # a verb before a food and its amount may be the first word of its name
        ("skim milk 1 cup", "resolved", "01085"),
        ("pop corn 50 g", "check", "19034"),
    ],
)
def test_which_food_is_meant(resolver: Resolver, line: str, outcome: str, code: str) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.food is not None
    assert (part.outcome, part.food.code) == (outcome, code)


@pytest.mark.parametrize("line", ["Zest of 1 lime plus juice of 2", "Zest of 1 lime + juice of 2"])
def test_juice_beside_zest_is_counted(resolver: Resolver, line: str) -> None:
    assert [part.grams and part.grams.value for part in resolver.resolve(line).parts] == [4, 88]


# a shape or thickness is no measure
SHAPES = [
    ("3 round courgettes", 588),
    ("2 round aubergines", 600),
    ("4 rounds of courgette", 39.6),
    ("3 round slices of lemon", 21),
    ("1 oblong potato", 213),
    ("1 clove (the spice)", 0.08),
    ("4 3/4-inch-thick pork chops", 796),
    ("3 tbsp finishing salt", 39.9),
]


@pytest.mark.parametrize(("line", "grams"), SHAPES)
def test_a_shape_is_no_measure(resolver: Resolver, line: str, grams: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert (part.outcome, part.grams and part.grams.value) == ("resolved", pytest.approx(grams, rel=0.01))


@pytest.mark.parametrize(
    ("line", "outcome", "grams"),
    [
        ("1 kg bananas", "check", 640),
        ("2 lb watermelon, cubed", "check", 471.7),
        ("300 g diced mango", "resolved", 300),
        ("2 lb pineapple chunks", "resolved", 907.2),
        ("500 g plums", "resolved", 500),
        ("400 g frozen mango", "resolved", 400),
    ],
)
def test_a_fruit_may_be_weighed_in_its_rind(resolver: Resolver, line: str, outcome: str, grams: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert (part.outcome, part.grams and part.grams.value) == (outcome, pytest.approx(grams, rel=0.01))


@pytest.mark.parametrize(
    ("line", "codes"),
    [
        ("Turkey breast; I usually use turkey thighs", 1),
        ("A thin layer of oil on the pan", 1),
        ("For the baking tin: butter and flour", 2),
        ("a spatula for the pan", 0),
        ("sweet and or hot italian sausage", 1),
    ],
)
def test_how_many_foods_are_named(resolver: Resolver, line: str, codes: int) -> None:
    assert len(resolver.resolve(line).parts) == codes


def test_what_is_precooked_is_no_raw_food(resolver: Resolver) -> None:
    food = resolver.resolve("400 g precooked chickpeas").parts[0].food
    assert food is not None
    assert food.code == "16057"
