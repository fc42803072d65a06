"""Amounts behind a verb, a year, a time or a sign that may be taken for the amount itself, over all of SR28."""

from __future__ import annotations

import pytest

from service.core.analyse import Resolver

# line -> outcome, entry, grams within a twentieth
# four figures before a measure are no year
YEARS = [
    ("about 1900 g potatoes", "resolved", "11352", 1900),
    ("approx. 1800 g potatoes", "resolved", "11352", 1800),
    ("up to 2000 ml milk", "resolved", "01077", 2063),
    ("about 2000 g flour", "resolved", "20081", 2000),
    ("roughly 1850 g carrots", "resolved", "11124", 1850),
    ("total 2000 g flour", "resolved", "20081", 2000),
]
# verbs before the number that counts; whether such a line is a step of the method, nobody can tell
VERBS = [
    # what is done to a food now makes no other food of it
    ("condense 500 ml milk", "check", "01077", 515),
    ("dry 1 kg figs", "check", "09089", 1000),
    ("freeze 200 g peas", "check", "11304", 200),
    ("salt 500 g cod", "check", "15018", 500),  # or salt cod
    # measures and shares as well
    ("crack 2 eggs", "check", "01123", 100),
    ("Crack 3 eggs into a bowl", "check", "01123", 150),
    ("drop 2 eggs", "check", "01123", 100),
    ("twist 3 lemons", "check", "09150", 174),
    ("squeeze 2 lemons", "check", "09152", 96),  # or their juice, which is the same
    ("grind 100 g almonds", "check", "12061", 100),
    ("sprinkle 2 tbsp sugar", "check", "19335", 25.2),
    ("shake 100 ml milk", "resolved", "01077", 103),
    ("halve 2 avocados", "check", "09038", 272),
    ("Halve 12 cherry tomatoes", "check", "11529", 204),
    ("halve 1 kg potatoes", "check", "11352", 1000),
    ("halve 1/2 cabbage", "check", "11109", 454),
    ("Quarter 500 g strawberries", "check", "09316", 500),
    ("quarter 4 tomatoes", "check", "11529", 492),
    ("quarter 1 cabbage", "check", "11109", 908),
    ("peel 1 kg potatoes", "check", "11352", 880),
    ("slice 1 onion", "check", "11282", 110),
    ("slice 2 onions", "check", "11282", 220),
    ("slice 4 apples", "check", "09003", 728),
    ("drop 3 lemons", "check", "19107", 18),  # or lemon drops
    ("can 2 tomatoes", "check", "11531", 400),
    ("half 3 onions", "check", "11282", 55),
    ("half of 2 onions", "check", "11282", 55),
    # shares and measures all the same
    ("half an avocado", "resolved", "09038", 68),
    ("half one lemon", "resolved", "09150", 29),
    ("half a dozen eggs", "resolved", "01123", 300),
    ("quarter of 1 cabbage", "resolved", "11109", 227),
    ("1/2 14 oz can tomatoes", "resolved", "11531", 198),
    ("1/2 500 g pumpkin", "resolved", "11422", 175),
    ("pinch salt", "resolved", "02047", 0.4),
    ("squeeze lemon juice", "resolved", "09152", 5),
    ("can 400 g tomatoes", "resolved", "11531", 400),
]
# one that weighs so much, or a share; of several nobody knows whether each or all weigh it
SLASHES = [
    ("onion 1/150 g", "resolved", "11282", 150),
    ("1/400 g tin tomatoes", "resolved", "11531", 400),
    ("milk 1/250 ml", "resolved", "01077", 258),
    ("1/20 g saffron", "resolved", "02037", 0.05),
    ("1/2 g saffron", "resolved", "02037", 0.5),
    ("2/300 g chicken breasts", "check", "05062", 151),
    ("flour 2/30 g", "check", "20081", 0.067),
]
USED = [
    ("oil 2 tbsp used", "resolved", "04044", 27.2),  # no note on oil
    ("2 eggs used", "resolved", "01123", 100),
    ("2 eggs, whites only used", "resolved", "01124", 66),
    ("1 lemon, only zest used", "resolved", "09156", 6),
    ("1 tbsp honey, only used for drizzling", "resolved", "19296", 21),
    ("2/3 cup water (warm at 75F / 35C)", "resolved", "14411", 157.9),  # no 35 cups
]
# a time before a food hides no weight behind it
TIMES = [
    ("aged 30 days beef 500 g", "check", "13795", 500),
    ("aged 24 months parmesan 50 g", None, "01033", 50),
    ("soaked for 12 hours, 200 g chickpeas", "check", "16056", 200),
    ("marinated 2 hours chicken 500 g", "check", "05006", 500),
    ("cooked 20 minutes rice 200 g", "resolved", "20045", 200),
]


@pytest.mark.parametrize("line", [
    "Eat within 2 days", "soak for 2 hours in 1 litre water", "from Auntie Grace, 1987", "Melt the 50 g butter",
    "Don't use more than 1 cup of sugar", "Makes 2 cups sauce", "Use 2 tbsp of the flour for the top",
])  # fmt: skip
def test_a_step_or_a_source_is_no_food(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "not_food"


# What a note weighs is in the dish, or other lines state it: somebody has to look.
NOTED = [
    ("After 10 minutes add 200 g rice", "20044", 200),
    ("bake for 20 minutes, brush with 2 tbsp milk", "01077", 30.5),
    ("My trick is 2 teaspoons of instant coffee", "14214", 2),
    ("You will want about a pound of shrimp for this", "15149", 454),
]


@pytest.mark.parametrize(("line", "code", "grams"), NOTED)
def test_what_a_note_weighs_is_asked_about(resolver: Resolver, line: str, code: str, grams: float) -> None:
    (part,) = (result := resolver.resolve(line)).parts
    assert part.food is not None
    assert part.grams is not None
    assert (result.outcome, part.food.code) == ("check", code)
    assert part.grams.value == pytest.approx(grams, rel=0.05)


@pytest.mark.parametrize(("line", "outcome", "code", "grams"), YEARS + VERBS + SLASHES + USED + TIMES)
def test_what_is_counted(resolver: Resolver, line: str, outcome: str | None, code: str, grams: float) -> None:
    (part,) = (result := resolver.resolve(line)).parts
    assert part.food is not None
    assert part.grams is not None
    assert (part.food.id, result.outcome) == (f"sr28:{code}", outcome or result.outcome), (result.reasons, part.reasons)
    assert part.grams.value == pytest.approx(grams, rel=0.05), part.reasons


@pytest.mark.parametrize("line", [
    "500 g flour, half wholemeal", "500 g flour, half of it rye", "500 g flour, half of it is rye",
    "1 kg potatoes, half sweet potatoes",
    "400 g mince, half pork", "500 g mince (half pork)", "4 peppers, half of them green", "4 peppers (half green)",
    "3 eggs, half of them hard boiled", "200 g sugar plus half", "500 ml oil (2 tbsp used)", "less 2 tbsp sugar",
    "potatoes, carrots or turnips 300 g",
    "100 g oyster or button mushrooms",
    "1 can coconut milk, half used", "1 can coconut milk (only the cream used)", "200 g sugar (only half used)",
    "1 egg, half used for egg wash", "1 onion, 1/4 used", "1 cup flour, some used for dusting",
])  # fmt: skip
def test_which_half_head_or_amount_is_meant_is_asked_about(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "check"


@pytest.mark.parametrize("line", [
    "100 ml olive oil, half of it is left in the pan", "200 g sugar, half of it is eaten",
])  # fmt: skip
def test_a_half_that_is_eaten_is_no_other_food(resolver: Resolver, line: str) -> None:
    assert resolver.resolve(line).outcome == "resolved"


def test_halves_that_are_read_are_sure(resolver: Resolver) -> None:
    parts = (result := resolver.resolve("500 g mince, half beef, half pork")).parts
    assert [part.grams.value for part in parts if part.grams] == [250, 250]
    assert result.outcome == "resolved"


def test_no_verb_hides_the_amount_behind_it(resolver: Resolver) -> None:
    """A verb before an amount that is sure leaves it as it is, or somebody is asked; the line is no note."""
    titles, wrong = resolver.vocabulary.titles, []
    verbs = {*titles.step_verbs, *titles.handling, *"about roughly crack twist drop squeeze grind shake melt".split()}
    for line in ("200 g potatoes", "2000 g flour", "2 tbsp honey", "2 cups flour", "3 lemons"):
        [alone] = resolver.resolve(line).parts
        # what is peeled weighs less: that has rows of its own
        for verb in sorted(verbs - {"peel"} | {"sprinkle", "pinch", "dash", "slice", "halve", "quarter", "sift"}):
            result = resolver.resolve(f"{verb} {line}")
            same = [(part.food, part.grams and part.grams.value) for part in result.parts]
            if result.outcome == "not_food" or (
                result.outcome == "resolved" and same != [(alone.food, alone.grams and alone.grams.value)]
            ):
                wrong.append((verb, line, result.outcome))
    assert not wrong
