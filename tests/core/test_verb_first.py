"""Foods behind what is done to them, and steps of the method that look like such: cases of our own, common usage."""

from __future__ import annotations

import pytest

from service.core.amount import MeasureWords
from service.core.analyse import Resolver
from service.core.ingredient_line import parse_line
from service.core.vocabulary import Vocabulary

# What is done to a food, before it or behind: both ways are the same line.
SAID_BEHIND = [
    ("Peel, core and dice 2 pears", "2 pears, peeled, cored, diced"),
    ("Peel and grate 2 parsnips", "2 parsnips, peeled, grated"),
    ("Finely chop 2 shallots", "2 shallots, chopped"),
    ("Crush 2 cloves of garlic", "2 cloves of garlic, crushed"),
    ("Wash and chop a small bunch of dill", "a small bunch of dill, chopped"),
    ("De-stone and halve 6 plums", "6 plums, halved"),
    ("Chop a handful of mint", "a handful of mint, chopped"),
    ("Weigh out 200 g rye flour", "200 g rye flour"),
    ("Drain 1 tin sardines in oil", "1 tin sardines in oil, drained"),
    ("Peel 1 kg turnips (about 6)", "1 kg turnips (about 6), peeled"),
    ("Squeeze 1 lime", "juice of 1 lime"),
    ("Squeeze 200 g grated courgette", "200 g grated courgette"),
    ("Slice 2 leeks and 1 carrot", "2 leeks and 1 carrot"),
]


@pytest.mark.parametrize(("told", "behind"), SAID_BEHIND)
def test_what_is_done_first_is_done_all_the_same(resolver: Resolver, told: str, behind: str) -> None:
    one, other = resolver.resolve(told), resolver.resolve(behind)
    assert [(part.food and part.food.id, part.grams and part.grams.value) for part in one.parts] == [
        (part.food and part.food.id, part.grams and part.grams.value) for part in other.parts
    ]
    assert one.parts
    assert one.outcome == "check"  # it may be a step


# Words of the method behind the food are left out, and somebody looks: line, grams of each food.
OF_METHOD = [
    ("Whisk 3 eggs in a jug", [150]),
    ("Soak 200 g black beans overnight", [200]),
    ("Sift 200 g rye flour into a bowl", [200]),
    ("Grate 100 g courgette and squeeze it out", [100]),
    ("Soak 100 g lentils for 30 minutes", [100]),
    ("Roast 500 g beetroot over a flame", [500]),
    ("Mix 100 g flour with 10 g salt", [100, 10]),
    ("Mix 10 g cornflour with 20 g water until smooth", [10, 20]),
    ("Crack 1 egg into each cup", [50]),
]


@pytest.mark.parametrize(("line", "grams"), OF_METHOD)
def test_a_food_in_a_step_is_counted_and_looked_at(resolver: Resolver, line: str, grams: list[float]) -> None:
    answer = resolver.resolve(line)
    assert [part.grams and part.grams.value for part in answer.parts] == pytest.approx(grams)
    assert answer.outcome == "check"


STEPS = [
    "Whisk 1 egg, add the cream and stir well",
    "Melt the 50 g butter and pour over",
    "Chop half the dill",
    "Toast 2 min in a dry pan",
    "Beat 2 minutes on low speed",
    "Rinse 2-3 times",
    "Cut into 12 squares",
    "Break into 8 pieces",
    "Beat 1 egg at a time into the batter",
    "Roast 20 minutes per 500 g plus 20 minutes",
]


@pytest.mark.parametrize("line", STEPS)
def test_a_step_counts_no_food(vocabulary: Vocabulary, measure_words: MeasureWords, line: str) -> None:
    assert not parse_line(line, vocabulary, measure_words).parts
