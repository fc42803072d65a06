"""Releases of other publishers' making: no household measures, no food groups, other orders of words and states.

The names of service/tables stand for entries of one release. Against another, its own descriptions must be found as
they are written, and what it lacks may never be answered silently by a neighbour.
"""

from __future__ import annotations

import gc
import weakref
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.core.analyse import Resolver, Tables
from service.core.errors import InputError
from service.core.food import Component, FoodEntry, FoodTable
from service.tables import load_tables

ENERGY = Component("ENERC_KCAL", "208", "Energy", "kcal", 0)

# Invented entries, in the manners of national tables: head first or state first, lower case, shares in the text,
# capitals, brackets, other languages, no facets at all.
DESCRIPTIONS = (
    "Cheddar cheese, 30% fat",
    "rye bread",
    "boiled potato, without peel",
    "skimmed milk",
    "whole milk",
    "smoked salmon",
    "salmon",
    "dried apricot",
    "butter",
    "rapeseed oil",
    "canned tuna in water",
    "carrot",
    "coconut flour",
    "shirataki noodle",
    "gooseberry porridge",
    "frozen spinach",
    "spinach",
    "cooked brown rice",
    "brown rice",
    "Karelian pasty",
    "oat drink, unsweetened",
    "cloudberry jam",
    "egg",
    "crème fraîche 28% (fat)",
    "SEA BUCKTHORN JUICE",
    "Pain de mie",
)
# Said like an entry of this release, in a line's own way.
SAID = (
    ("200 g coconut flour", "coconut flour"),  # the names call it absent: of their own release
    ("2 packs (200 g) shirataki noodles", "shirataki noodle"),
    ("1 Karelian pasty", "Karelian pasty"),
    ("250 ml unsweetened oat drink", "oat drink, unsweetened"),
    ("150 g brown rice, cooked", "cooked brown rice"),
    ("150 g brown rice", "brown rice"),
    ("100 g cheddar cheese (30% fat)", "Cheddar cheese, 30% fat"),
    ("80 g spinach, frozen", "frozen spinach"),
    ("2 eggs", "egg"),
    ("1 tbsp rapeseed oil", "rapeseed oil"),
    ("3 slices rye bread", "rye bread"),
)
# What a kitchen buys and this release lacks, though it has words of most of them.
LACKED = (
    "1 tbsp olive oil", "100 g goat cheese", "200 g chicken thigh", "2 tbsp peanut butter", "1 cup coconut milk",
    "100 g salmon roe", "50 g potato starch", "200 g egg noodles", "2 tbsp apricot jam", "100 g soy sauce",
    "1 l buttermilk", "200 g spinach ravioli", "100 g rye flour", "1 cup carrot juice", "2 tbsp honey",
    "100 g brown sugar", "100 g milk chocolate", "1 rice cake", "100 g sour milk",
)  # fmt: skip


def release(descriptions: Sequence[str]) -> FoodTable:
    """A table of entries with nothing but their descriptions; entry i has an energy of i kcal."""
    foods = tuple(FoodEntry(f"harbour:{at:04}", text) for at, text in enumerate(descriptions))
    return FoodTable(foods, (ENERGY,), np.arange(len(foods), dtype=float).reshape(-1, 1))


@pytest.fixture(scope="module")
def other(tables: Tables) -> Resolver:
    return Resolver(release(DESCRIPTIONS), tables)


@pytest.mark.parametrize("description", DESCRIPTIONS)
def test_an_entry_is_found_by_its_description(other: Resolver, description: str) -> None:
    part = other.resolve(f"100 g {description}", components=("ENERC_KCAL",)).parts[0]
    assert part.food is not None
    assert part.food.description == description
    assert part.components["ENERC_KCAL"] == DESCRIPTIONS.index(description)


@pytest.mark.parametrize(("line", "description"), SAID)
def test_an_entry_is_found_as_a_line_says_it(other: Resolver, line: str, description: str) -> None:
    food = other.resolve(line).parts[0].food
    assert food is not None
    assert food.description == description


@pytest.mark.parametrize("line", LACKED)
def test_what_the_release_lacks_is_never_silent(other: Resolver, line: str) -> None:
    result = other.resolve(line)
    assert result.outcome in ("no_match", "check")
    if result.outcome == "no_match":
        assert all(part.food is None for part in result.parts)


def test_a_description_said_word_for_word_is_sure(other: Resolver) -> None:
    assert [other.resolve(f"100 g {food}").outcome for food in ("rye bread", "brown rice", "egg")] == ["resolved"] * 3


@pytest.mark.parametrize("line", ["2 cups milk", "100 g cheese", "200 g potatoes", "100 g rice"])
def test_one_of_several_kinds_is_only_proposed(other: Resolver, line: str) -> None:
    assert other.resolve(line).outcome in ("check", "no_match")


@pytest.mark.parametrize("texts", [(), ("",), (",", " ", "(((", ")", "a" * 5000), ("milk",) * 3], ids=repr)
def test_odd_descriptions_do_not_stop_a_resolver(tables: Tables, texts: Sequence[str]) -> None:
    resolver = Resolver(release(texts), tables)
    for line in ("100 g milk", "2 eggs", "1 cup flour, sifted", "a pinch of salt"):
        assert resolver.resolve(line, components=("all",)).line == line
    with pytest.raises(InputError):
        resolver.search("!!!")


@settings(max_examples=10, deadline=None)
@given(texts=st.lists(st.text(max_size=30), max_size=6), line=st.text(max_size=40))
def test_any_descriptions_give_an_answer(texts: list[str], line: str) -> None:
    result = Resolver(release(texts), load_tables()).resolve(line)
    assert result.outcome in ("resolved", "check", "no_match", "not_food")


# -- without household measures -------------------------------------------------------------------


@pytest.fixture(scope="module")
def unmeasured(sr28_table: FoodTable, tables: Tables) -> Resolver:
    """The embedded release as if its publisher gave no household measures."""
    foods = tuple(replace(food, measures=()) for food in sr28_table.foods)
    return Resolver(replace(sr28_table, foods=foods), tables)


MEASURED = [  # line, grams at least and at most: common practice, no source
    ("250 g flour", 250, 250),
    ("1 lb ground beef", 453, 454),
    ("1 cup milk", 235, 255),
    ("1 tbsp olive oil", 13, 14.5),
    ("2 tsp salt", 9, 13),
    ("1 cup flour", 110, 155),
    ("2 eggs", 90, 125),
    ("1 onion", 70, 150),
    ("3 carrots", 150, 216),
    ("2 cloves garlic", 4, 14),
    ("1 cup sugar", 180, 225),
    ("a pinch of salt", 0.1, 1),
]


@pytest.mark.parametrize(("line", "least", "most"), MEASURED)
def test_weights_without_household_measures(unmeasured: Resolver, line: str, least: float, most: float) -> None:
    weight = unmeasured.resolve(line).parts[0].grams
    assert weight is not None
    assert weight.value is not None
    assert least <= weight.value <= most
    assert weight.low <= weight.value <= weight.high
    assert weight.rule != "household measure"


def test_the_food_does_not_depend_on_measures(unmeasured: Resolver, resolver: Resolver) -> None:
    for line, *_ in MEASURED:
        foods = [one.resolve(line).parts[0].food for one in (unmeasured, resolver)]
        assert foods[0] is not None
        assert foods[1] is not None
        assert foods[0].id == foods[1].id


@pytest.mark.parametrize("line", ["1 wedge of cloudberry cake", "2 zorks of tofu", "1 lemon"])
def test_an_unknown_weight_is_unknown_and_said(unmeasured: Resolver, line: str) -> None:
    result = unmeasured.resolve(line)
    assert result.outcome != "resolved"
    for part in result.parts:
        assert part.grams is None or part.grams.value is None or part.grams.reasons


def test_a_resolver_that_another_replaced_is_freed_at_once(resolver: Resolver, tables: Tables) -> None:
    """Its many objects are hidden from the garbage collector (service.wiring), so that it must stand in no circle."""
    old = Resolver(replace(resolver.table, foods=resolver.table.foods[:9], amounts=resolver.table.amounts[:9]), tables)
    old.recall("100 g butter")
    old.resolve("1 zorvani (brolo) butter, 2 eggs")
    seen = [weakref.ref(one) for one in (old, old.index, old.vocabulary, old.matcher)]
    was_on = gc.isenabled()
    gc.disable()
    try:
        del old
        assert [one() for one in seen] == [None] * len(seen)
    finally:
        if was_on:
            gc.enable()
