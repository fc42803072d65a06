"""Names of foods over lines that say what goes into them, and bare foods that head nothing: lists of our own."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.analyse import LineResult, Resolver
from service.core.bare_line import NEAREST
from service.core.line_list import in_their_list, with_headings

# the lines of a list, and which of them head others
HEADED = [
    ("Rice|2 cups basmati rice|1 tsp salt", "Rice"),
    ("RICE|2 cups basmati|1 bay leaf", "RICE"),
    ("Salsa|3 tomatoes|1 onion|salt", "Salsa"),
    ("Fish|1 lemon|500 g hake", "Fish"),
    ("Chicken|1 onion|2 cloves garlic|500 g chicken thighs", "Chicken"),
    ("Red cabbage|1 small red cabbage|2 tbsp vinegar", "Red cabbage"),
    ("Noodles|300 g flour|150 ml water", "Noodles"),
    ("Whipped cream topping|2 dl whipping cream|1 tbsp icing sugar", "Whipped cream topping"),
    ("Papas|1 kg waxy potatoes|2 tbsp oil", "Papas"),
    ("Harissa (the Armenian one)|2 cups wheat|1 chicken", "Harissa (the Armenian one)"),
    ("A handful of katsuobushi|300 g cabbage|100 g flour", ""),
    ("Okonomiyaki (2 big ones)|300 g cabbage|100 g flour", "Okonomiyaki (2 big ones)"),
    ("Amchur, ground|300 g cabbage|100 g flour", ""),
    ("Crispy onions|3 onions|100 ml oil", "Crispy onions"),
    ("4 hake fillets|Mashed potato|500 g potatoes|50 g butter", "Mashed potato"),
    ("Beans|1 tin black beans|1 onion|Rice|1 cup long-grain rice", "Beans|Rice"),
    ("Morogo (wild greens)|2 bunches morogo|1 tomato", "Morogo (wild greens)"),
    ("Hulba – the froth|2 tbsp ground fenugreek|1 tomato", "Hulba – the froth"),
    ("MASA|500 ml warm water|2 cups masa harina", "MASA"),
    ("**Peanut and lime sauce**|3 tbsp peanut butter|1 lime", "**Peanut and lime sauce**"),
    ("**Salt and pepper**|3 tbsp peanut butter|1 lime", ""),
    ("500 g chicken|Tortillas|1 avocado|2 tomatoes", ""),
    ("2 EGGS|SALT|1 cup flour", ""),
    ("Bacon|1 pork loin|1 onion", ""),
    ("200 g flour|**Salt**|**Butter**|2 eggs", ""),
    ("MASA|500 ML WARM WATER|1 EGG", ""),
    # what is bought, seasons or goes beside
    ("Salt|Pepper|1 red pepper", ""),
    ("Parmesan|200 g mozzarella", ""),
    ("Milk|1 tin coconut milk", ""),
    ("Garlic|1 tsp garlic powder|1 onion", ""),
    ("Chicken|2 cups chicken stock|1 onion", ""),
    ("Oil|2 tbsp olive oil|1 onion", ""),
    ("Soy sauce|2 tsp cornflour|1 egg", ""),
    ("Cumin|1 tsp ground coriander|1 tsp turmeric", ""),
    ("200 g cheddar|Naan|Hummus", ""),
    ("Naan|Hummus|2 tomatoes|1 cucumber", ""),
    ("Rice|Salt|Butter", ""),
    ("rice|2 cups basmati rice", ""),
    ("Rice, cooked|2 cups basmati rice", ""),
    ("Rice to serve|2 cups basmati rice", ""),
    ("1 cup rice|2 cups basmati rice", ""),
    ("Oil for frying|1 tbsp olive oil", ""),
    ("Rice", ""),
]


@pytest.mark.parametrize(("lines", "heading"), HEADED)
def test_what_heads_the_lines_below_it(resolver: Resolver, lines: str, heading: str) -> None:
    alone = [resolver.resolve(line) for line in lines.split("|")]
    found = list(with_headings(alone))
    assert [one.line for one in found if one.outcome == "not_food"] == [line for line in heading.split("|") if line]
    assert [one.line for one in found] == [one.line for one in alone]
    assert all(one.unread and one.reasons and not one.parts for one in found if one.outcome == "not_food")


# lists whose first line may head the others, or is no more than a food that goes with them
DOUBTED = [
    ("Spinach|2 onions|1 egg", "check"),
    ("Spinach|Nutmeg|1 egg", "resolved"),
    ("Nutmeg|2 onions|1 egg", "resolved"),
    ("spinach|2 onions|1 egg", "resolved"),
    ("Spinach to serve|2 onions|1 egg", "resolved"),
    ("Spinach", "resolved"),
]


@pytest.mark.parametrize(("lines", "outcome"), DOUBTED)
def test_what_may_head_the_lines_below_it(resolver: Resolver, lines: str, outcome: str) -> None:
    first, *_ = with_headings(resolver.resolve(line) for line in lines.split("|"))
    assert first.outcome == outcome
    assert first.parts[0].outcome == outcome


def test_a_heading_is_said_with_the_list(resolver: Resolver) -> None:
    found = in_their_list([resolver.resolve(line) for line in ("Rice", "2 cups basmati rice", "1 tsp salt")])
    assert [one.unread for one in found] == [True, False, False]


def test_a_line_alone_stays_a_food(resolver: Resolver) -> None:
    assert resolver.resolve("Rice").outcome == "resolved"


LINES = ("Rice", "2 cups basmati rice", "Salsa", "3 tomatoes", "1 onion", "Salt", "For the sauce:", "", "Fish", "x" * 9)


@given(st.lists(st.sampled_from(LINES), max_size=12))
def test_every_line_is_answered_in_its_place(resolver: Resolver, lines: list[str]) -> None:
    alone = [resolver.resolve(line) for line in lines]
    found = list(with_headings(alone))
    assert [one.line for one in found] == lines
    assert all(one == other or one.outcome in ("not_food", "check") for one, other in zip(found, alone, strict=True))


@given(st.lists(st.sampled_from(LINES), max_size=8), st.lists(st.sampled_from(LINES), min_size=NEAREST, max_size=8))
def test_what_stands_further_below_changes_nothing(resolver: Resolver, lines: list[str], more: list[str]) -> None:
    first = [resolver.resolve(line) for line in [*lines, *more[:NEAREST]]]
    every = [*first, *(resolver.resolve(line) for line in more[NEAREST:])]
    assert list(islice(with_headings(every), len(lines))) == list(islice(with_headings(first), len(lines)))


def test_no_more_is_read_than_tells(resolver: Resolver) -> None:
    read: list[str] = []

    def coming(lines: str) -> Iterator[LineResult]:
        for line in lines.split("|"):
            read.append(line)
            yield resolver.resolve(line)

    answers = with_headings(coming("1 egg|Rice|1 onion|1 leek|1 carrot|1 lemon|1 lime"))
    assert next(answers).line == "1 egg"
    assert read == ["1 egg"]
    assert next(answers).line == "Rice"
    assert len(read) == 2 + NEAREST
