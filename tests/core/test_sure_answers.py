"""What nobody has to look at is what a dietitian would take: stand-ins, states and lengths that were silent once."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver
from service.core.food_choice import Outcome, of_line

# Line, and each part's outcome; "-" where the tables have nothing of it.
PARTS = [
    ("2 tbsp sambal oelek and 1 tsp honey", "check check resolved"),
    ("1 tsp sumac + 2 tbsp olive oil", "check - resolved"),
    ("1 tbsp each mirin, soy sauce and sugar", "check - resolved resolved"),
    ("3 tbsp kecap manis, 1 tbsp lime juice", "check - resolved"),
    ("2 tsp sumac", "no_match -"),
    ("1 tbsp mirin, 1 tsp asafoetida", "no_match - -"),
    ("bread, salad and feta", "check check - resolved"),  # no salad cheese
]  # fmt: skip


@pytest.mark.parametrize(("line", "said"), PARTS)
def test_what_the_tables_have_of_a_line_is_given(resolver: Resolver, line: str, said: str) -> None:
    whole, *parts = said.split()
    result = resolver.resolve(line)
    assert result.outcome == whole
    assert [part.outcome.replace("no_match", "-") for part in result.parts] == parts
    assert all((part.food is None) == (part.outcome == "no_match") for part in result.parts)


@pytest.mark.parametrize(
    ("outcomes", "line"),
    [
        (["no_match", "resolved"], "check"),
        (["check", "no_match"], "check"),
        (["no_match", "no_match"], "no_match"),
        (["no_match", "not_food"], "no_match"),
        (["resolved", "check"], "check"),
        (["resolved", "resolved"], "resolved"),
    ],
)
def test_the_outcome_of_a_line(outcomes: list[Outcome], line: Outcome) -> None:
    assert of_line(outcomes) == line


# Lines of which an entry is only near, or which no entry is the state of.
CHECKED = [
    ("1 cup lentil soup", "27032"),  # sold condensed, and ready to eat
    ("400 ml tin tomato soup", "06159"),
    ("1 cup instant coffee", "14214"),  # the powder, or the drink
    ("100 g dark chocolate, no added sugar", "19078"),
    ("200 g pizza, salmon", "15236"),  # what a word behind a comma makes is not what it stands behind
    ("100 g snails in puff pastry", "90560"),
    ("100 g textured soy protein, rehydrated", "16117"),
    ("1 cup almond meal, defatted", "12061"),
    ("12 oz mushrooms (shiitake is best)", "11260"),  # not "which is used"
    ("Instead of 1 egg: 1/4 cup applesauce", "09020"),
    ("Correction: 2 cups flour not 3", "20081"),
    ("Or use 2 tsp dried thyme", "02042"),
    ("400 g chickpeas in water", "16056"),  # they are out of a tin, and cooked
    ("200 g salmon in water", "15236"),
    ("1 cup gravy from dry mix, prepared with water", "06127"),
    ("1 cup frozen orange juice concentrate, diluted", "09214"),
    ("1 tsp powder black pepper", "02030"),  # not the powder of another spice
    ("1 cup whole wheat semolina", "20066"),  # nor a pasta of it
    ("1 cup skim goat milk", "01085"),
    ("300 g radishes, roasted", "11431"),  # the entry is of oriental ones
    ("6 chicken thighs, meat only", "05091"),  # weighed with their skin, or without
    ("1 rotisserie chicken, meat only", "05009"),
    ("2 mangoes, stoned (400 g)", "09176"),  # of each or of both
    ("4 eggs (240 g), yolks only", "01125"),  # four yolks weigh 68 g
    ("chops, 1.1 kg", "10036"),  # no step of the method
    ("1 tbsp ginger oil", "04044"),
    ("2 tsp rosemary olive oil", "04053"),
    ("2 tbsp garlic mayo", "04025"),
    ("100 g morbier", "01034"),
    ("150 g kasseri cheese", "01035"),
    ("80 g montasio", "01020"),
    ("1 cup khorasan flour", "20080"),
    ("3 unripe bananas", "09040"),
    ("100 g marinated aubergine", "11209"),
    ("100 g powdered carrots", "11124"),
    ("1 cup mashed yuca", "11134"),
]
# Lines that name what they mean, in a state that changes nothing or with its purpose.
RESOLVED = [
    ("about 100 g cupcake", "18146"),  # no yield
    ("200 g tofu in water", "16427"),
    ("500 g frozen bacon, thawed", "10123"),
    ("200 g chicken breast, marinated", "05062"),
    ("2 lb beef for stew", "23093"),
    ("600 g veal for stewing", "17140"),
    ("1 kg chuck for braising", "23093"),
    ("500 g doppio zero flour", "20081"),
    ("1 tbsp honey, agave or golden syrup", "19296"),
    ("1 cup pureed carrots", "11125"),
    ("1 cup mashed beetroot", "11081"),
]


@pytest.mark.parametrize(
    ("line", "outcome", "code"),
    [(line, "check", code) for line, code in CHECKED] + [(line, "resolved", code) for line, code in RESOLVED],
)
def test_answers(resolver: Resolver, line: str, outcome: str, code: str) -> None:
    result = resolver.resolve(line)
    assert result.parts[0].food is not None
    assert (result.outcome, result.parts[0].food.code) == (outcome, code), result.parts[0].reasons


@pytest.mark.parametrize(
    ("line", "low", "high"),
    [
        ("3 carrots (7 inches)", 170, 240),  # SR28 11124: each 72 g of about 8 in
        ("2 cucumbers, 8 inches long", 500, 700),  # SR28 11205: 301 g of 8 1/4 in
        ("1 carrot (8 inches)", 60, 85),
        ("6 large flour tortillas, 8 inches", 280, 310),  # SR28 18364: the length says more than the size
        ("2 small flour tortillas (25 cm)", 140, 150),
        ("1 cup steel-cut oats", 150, 180),  # labels: 40 to 44 g a quarter of a cup
        ("1 cup instant oats", 75, 100),
        ("1 cup spelt flakes", 80, 120),
        ("1 cup jaggery", 145, 220),  # SR28 19334: between the loose and the packed cup
        ("1 cup pureed watermelon", 215, 250),
        ("1 x 150 g pack feta, drained", 150, 150),
        ("2 balls mozzarella (125 g each), drained", 250, 250),
        ("1 can (6.5 oz) crab, drained", 110, 140),  # SR28 15141
        ("1 turkey crown, 3 kg", 2250, 2760),  # SR28 05191: bone 10 %
        ("3 aji panca, dried", 12, 42),
    ],
)
def test_a_weight_is_what_a_cook_means(resolver: Resolver, line: str, low: float, high: float) -> None:
    part = resolver.resolve(line).parts[0]
    assert part.grams is not None
    assert part.grams.value is not None
    assert low <= part.grams.value <= high, part.grams
