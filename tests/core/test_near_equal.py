"""Near-equal entries of a table that is asked first: which stand for a line, which never do, and what is said of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from service.core.analyse import PartResult, Resolver, Tables, vocabulary_of
from service.core.food import Component, FoodEntry, FoodTable, HouseholdMeasure, Release
from service.core.vocabulary import Vocabulary
from service.tables import load_tables

COMPONENTS = tuple(
    Component(tagname, "", tagname, unit, 1)
    for tagname, unit in (("WATER", "g"), ("PROCNT", "g"), ("FAT", "g"), ("CHOCDF", "g"), ("CHOAVLDF", "g"),
                          ("FIBTG", "g"), ("ENERC_KCAL", "kcal"), ("NA", "mg"))
)  # fmt: skip
NAN = float("nan")
# Invented figures in the manner of each food: water, protein, fat, total and available carbohydrate, fibre, energy,
# sodium.
BANANA = (75.0, 1.1, 0.3, 22.8, NAN, 2.6, 89.0, 1.0)
POTATO = (79.0, 2.0, 0.1, 17.5, NAN, 2.2, 77.0, 6.0)
MILK = (88.0, 3.2, 3.3, 4.8, NAN, 0.0, 61.0, 43.0)
EGG = (75.0, 12.6, 10.6, 1.1, NAN, 0.0, 155.0, 124.0)
LEAVES = (95.0, 1.3, 0.2, 2.9, NAN, 1.3, 15.0, 28.0)
SALTED = (16.0, 0.9, 81.0, 0.1, NAN, 0.0, 717.0, 640.0)
CURD = (83.0, 12.4, 1.0, 2.7, NAN, 0.0, 72.0, 13.0)
CREAM = (58.0, 2.8, 36.0, 2.8, NAN, 0.0, 340.0, 27.0)
HARD = (37.0, 27.0, 28.0, 5.4, NAN, 0.0, 380.0, 190.0)
FISH = (77.0, 21.0, 1.0, 0.0, NAN, 0.0, 93.0, 60.0)
CUP = HouseholdMeasure(1, "cup, mashed", 225, 1)
MEDIUM = HouseholdMeasure(1, "medium", 118, 2)
# The entries that names lead to, by the codes of SR28.
NAMED = {
    "09040": ("Bananas, raw", BANANA, (CUP, MEDIUM)),
    "11352": ("Potatoes, flesh and skin, raw", POTATO, ()),
    "01077": ("Milk, whole, 3.25% milkfat, with added vitamin D", MILK, ()),
    "01129": ("Egg, whole, cooked, hard-boiled", EGG, ()),
    "11251": ("Lettuce, cos or romaine, raw", LEAVES, ()),
    "01001": ("Butter, salted", SALTED, ()),
    "43352": ("Cheese, cottage, lowfat, 1% milkfat, no sodium added", CURD, ()),  # stands in for quark
    "01053": ("Cream, fluid, heavy whipping", CREAM, ()),  # of which creme fraiche is a name
    "01040": ("Cheese, swiss", HARD, ()),  # and of this emmental
    "11477": ("Squash, summer, zucchini, includes skin, raw", LEAVES, ()),
}


def changed(row: tuple[float, ...], **amounts: float) -> tuple[float, ...]:
    return tuple(amounts.get(one.tagname, value) for one, value in zip(COMPONENTS, row, strict=True))


def resolver(
    tables: Tables, *pier: tuple[str, tuple[float, ...]], order: tuple[str, ...] = ("pier", "sr28"),
    measures: tuple[HouseholdMeasure, ...] = (),
) -> Resolver:  # fmt: skip
    """One over the named entries and a table of the pier, whose codes are 1, 2, ... in the order given."""
    foods = [(FoodEntry(f"pier:{code}", text, measures=measures), row) for code, (text, row) in enumerate(pier, 1)]
    foods += [(FoodEntry(f"sr28:{code}", text, measures=own), row) for code, (text, row, own) in sorted(NAMED.items())]
    release = Release("", "", "1", "", "", 0, 0, 0, 0)
    releases = tuple(replace(release, dataset=dataset) for dataset in order)
    kept = [(food, row) for food, row in foods if food.dataset in order]
    amounts = np.array([row for _, row in kept])
    table = FoodTable(tuple(food for food, _ in kept), COMPONENTS, amounts, releases)
    return Resolver(table, tables, vocabulary())


@cache
def vocabulary() -> Vocabulary:
    """The words and names of the tables: half of the work of a resolver."""
    return vocabulary_of(load_tables())


def answer(resolver: Resolver, line: str) -> PartResult:
    [part] = resolver.resolve(line).parts
    assert part.food is not None
    return part


# (line, the pier's entries, the code of the one that answers; 0 where that of the name does)
CASES = [
    ("banana", [("Banana, pulp, raw", BANANA)], 1),
    ("banana", [("BANANA, WITHOUT SKIN", BANANA)], 1),
    ("banana", [("Banana, raw", changed(BANANA, CHOCDF=NAN, CHOAVLDF=19.9))], 1),
    ("banana", [("Banana, golden finger, raw", BANANA), ("Banana, raw", BANANA)], 2),
    ("banana", [("Banana, golden finger, raw", BANANA), ("Banana, red, raw", changed(BANANA, WATER=77.0))], 1),
    # figures disagree
    ("banana", [("Banana, pulp", changed(BANANA, WATER=3.0))], 0),
    ("banana", [("Banana, pulp, raw", changed(BANANA, CHOCDF=30.0))], 0),
    ("banana", [("Banana, pulp, raw", changed(BANANA, PROCNT=NAN))], 0),
    ("banana", [("Banana, pulp, raw", changed(BANANA, CHOCDF=NAN, FIBTG=NAN, ENERC_KCAL=NAN, NA=NAN))], 0),
    ("butter", [("Butter, 80% fat, without salt", changed(SALTED, NA=15.0))], 0),
    ("whole milk", [("Milk, half-fat", changed(MILK, FAT=1.6))], 0),
    # where its plain banana is unlike the answer, a sort of it is no match
    ("banana", [("Banana, baby, pulp, raw", BANANA), ("Banana, pulp, raw", changed(BANANA, CHOCDF=30.0))], 0),
    # described word for word: more may differ, but not everything
    ("banana", [("Banana", changed(BANANA, CHOCDF=28.0))], 1),
    ("banana", [("Banana", changed(BANANA, WATER=55.0))], 0),
    # another state, or cooked another way
    ("banana", [("Banana, canned", BANANA)], 0),
    ("2 hard-boiled eggs", [("Egg, hard-boiled", EGG)], 1),
    ("2 hard-boiled eggs", [("Egg, fried, without added fat", EGG)], 0),
    ("2 hard-boiled eggs", [("Egg, raw", EGG)], 0),
    # another food, though its figures are near
    ("banana", [("Banana bread, raw", BANANA)], 0),
    ("banana", [("Banana and apple, raw", BANANA)], 0),
    ("potatoes", [("Sweet potato, raw", POTATO)], 0),
    ("potatoes", [("Potato pudding, raw", POTATO)], 0),
    ("whole milk", [("Milk, alcohol free", MILK)], 0),
    ("whole milk", [("Milk, without lactose", MILK)], 0),
    ("whole milk", [("Goat milk", MILK)], 0),
    ("romaine lettuce", [("Mixed leaves, romaine lettuce, raw", LEAVES)], 0),
    ("romaine lettuce", [("Cos lettuce, raw", LEAVES)], 1),
]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "pier", "code"), CASES, ids=[f"{line}: {'; '.join(one[0] for one in pier)}" for line, pier, _ in CASES]
)
def test_near_equal_entries_of_the_table_asked_first_answer(
    tables: Tables, line: str, pier: list[tuple[str, tuple[float, ...]]], code: int
) -> None:
    part = answer(resolver(tables, *pier), line)
    alone = answer(resolver(tables, order=("sr28",)), line)
    assert part.food is not None
    assert alone.food is not None
    assert part.food.id == (f"pier:{code}" if code else alone.food.id)
    assert (part.outcome, part.confidence) == (alone.outcome, alone.confidence)


def test_it_says_why(tables: Tables) -> None:
    part = answer(resolver(tables, ("Banana, pulp, raw", BANANA)), "banana")
    assert (
        "preferred to sr28:09040 'Bananas, raw', near-equal by name, state and figures: pier is asked before sr28"
    ) in part.reasons


ORDERS = pytest.mark.parametrize("order", [("pier", "sr28"), ("sr28", "pier")], ids="+".join)


@ORDERS
@pytest.mark.parametrize(("pier", "code", "outcome"), [
    ([("Quark, low fat", CURD)], 1, "check"),  # another food by what it says
    ([("QUARK, <0.5% FAT", CURD)], 1, "resolved"),
    ([("Quark, with fruit, sweetened", CURD), ("Quark, plain", CURD)], 2, "resolved"),  # that leaves least unsaid
    ([("Quark, flavoured", CURD)], 1, "check"),
    ([("Quark, plain", CURD), ("Quark, pier", changed(CURD, FAT=12.0))], 1, "resolved"),  # like the stand-in
    ([("Quark, red", changed(CURD, FAT=5.0)), ("Quark, pier", changed(CURD, FAT=12.0))], 1, "check"),
    ([("Cheesecake with quark", CURD)], 0, "check"),  # made of it
    ([("Banana, pulp, raw", BANANA)], 0, "check"),
], ids=str)  # fmt: skip
def test_a_table_that_has_the_food_itself_goes_before_a_stand_in_of_another(
    tables: Tables, pier: list[tuple[str, tuple[float, ...]]], code: int, outcome: str, order: tuple[str, ...]
) -> None:
    part = answer(resolver(tables, *pier, order=order), "250 g quark")
    assert part.food is not None
    assert part.food.id == (f"pier:{code}" if code else "sr28:43352")
    assert part.outcome == outcome
    assert any("only stands in for it" in reason for reason in part.reasons) is bool(code)
    assert any("no entry of its own" in reason for reason in part.reasons) is not bool(code)


# what the names call absent; (line, the pier's entries, the code of the one that answers, outcome)
@ORDERS
@pytest.mark.parametrize(("line", "pier", "code", "outcome"), [
    ("200 g barramundi", [("Barramundi, farmed, raw", FISH)], 1, "resolved"),
    ("barramundi fillet", [("Barramundi, fillet, raw", FISH), ("Barramundi, fillet, grilled", FISH)], 1, "resolved"),
    ("200 g grilled barramundi", [("Barramundi, raw", FISH), ("Barramundi, grilled", FISH)], 2, "resolved"),
    ("200 g barramundi", [("Barramundi, grilled", FISH)], 1, "check"),
    ("200 g smoked barramundi", [("Barramundi, raw", FISH)], 1, "check"),
    ("100 g haloumi", [("Cheese, haloumi", HARD)], 1, "resolved"),
    ("100 g halloumi cheese", [("CHEESE, HALLOUMI CHEESE, 22% FAT", HARD)], 1, "resolved"),
    ("150 g kangaroo fillet", [("Kangaroo, loin fillet, raw", FISH)], 1, "check"),
    ("100 g meringue", [("Pie, lemon meringue", BANANA)], 0, "no_match"),
    ("100 g pickled lemon", [("Lemon, raw", LEAVES)], 0, "no_match"),
], ids=str)  # fmt: skip
def test_what_the_names_call_absent_is_found_where_another_table_has_it(
    tables: Tables, line: str, pier: list[tuple[str, tuple[float, ...]]], code: int, outcome: str,
    order: tuple[str, ...],
) -> None:  # fmt: skip
    [part] = resolver(tables, *pier, order=order).resolve(line).parts
    assert (part.food.id if part.food else None) == (f"pier:{code}" if code else None)
    assert part.outcome == outcome
    [alone] = resolver(tables, order=("sr28",)).resolve(line).parts
    assert (alone.food, alone.outcome) == (None, "no_match")


# names of an entry that has another name itself; codes with the pier asked first, and asked later
@pytest.mark.parametrize(("line", "pier", "first", "later"), [
    ("100 g emmental", [("Emmental cheese, from cow's milk", changed(HARD, CHOCDF=0.5))], 1, 0),
    ("100 g emmenthal", [("Cheese, emmental", HARD)], 1, 0),
    ("100 g creme fraiche", [("CRÈME FRAÎCHE, 28% FAT", changed(CREAM, FAT=28.0))], 1, 0),
    # the pier tells the two apart
    ("100 g creme fraiche", [("Crème fraîche", CREAM), ("WHIPPING CREAM, 35% FAT", CREAM)], 1, 1),
    ("100 g courgette", [("Courgette, raw", LEAVES)], 1, 0),
    ("100 g emmental", [("Emmental, smoked", HARD)], 0, 0),  # another state
    ("100 g emmental", [("Emmental", changed(HARD, WATER=5.0))], 0, 0),  # unlike it
], ids=str)  # fmt: skip
def test_a_name_of_another_food_gives_way_to_an_entry_of_that_name(
    tables: Tables, line: str, pier: list[tuple[str, tuple[float, ...]]], first: int, later: int
) -> None:
    alone = answer(resolver(tables, order=("sr28",)), line)
    assert alone.food is not None
    for order, code in ((("pier", "sr28"), first), (("sr28", "pier"), later)):
        part = answer(resolver(tables, *pier, order=order), line)
        assert part.food is not None
        assert part.food.id == (f"pier:{code}" if code else alone.food.id)
        assert part.outcome == "resolved"
        assert any("pier has the food itself" in reason for reason in part.reasons) is bool(code)


@pytest.mark.parametrize(("line", "measures", "grams", "borrowed"), [
    ("1 medium banana", (), 118, True),
    ("1 medium banana", (HouseholdMeasure(1, "medium", 125, 1),), 125, False),
    ("1 medium banana", (HouseholdMeasure(1, "banana, whole", 150, 1),), 118, True),  # which says no size
    ("1 banana", (HouseholdMeasure(1, "banana, whole", 150, 1),), 150, False),
    ("2 cups mashed banana", (), 450, True),
    ("100 g banana", (), 100, False),
])  # fmt: skip
def test_grams_come_from_the_other_where_it_has_no_measure(
    tables: Tables, line: str, measures: tuple[HouseholdMeasure, ...], grams: float, borrowed: bool
) -> None:
    part = answer(resolver(tables, ("Banana, pulp, raw", BANANA), measures=measures), line)
    assert part.food is not None
    assert part.grams is not None
    assert (part.food.id, part.grams.value) == ("pier:1", grams)
    assert ("weighed by what is known of sr28:09040" in part.reasons) == borrowed
    assert part.food.measures == measures, "the entry itself stays as published"


@pytest.mark.parametrize("order", [("sr28", "pier"), ("sr28",)], ids="+".join)
def test_a_table_asked_later_changes_nothing(tables: Tables, order: tuple[str, ...]) -> None:
    pier = [(f"{text}, pulp", row) for text, row, _ in NAMED.values()]
    for line in ("banana", "potatoes", "whole milk", "butter", "romaine lettuce"):
        part = answer(resolver(tables, *pier, order=order), line)
        alone = answer(resolver(tables, order=("sr28",)), line)
        assert (part.food, part.reasons, part.grams) == (alone.food, alone.reasons, alone.grams)


# a name leads to an entry of a table that is not asked at all: nothing is said of what it would have been there
@pytest.mark.parametrize(("line", "pier", "code"), [
    ("100 g quark", ("Quark, plain", CURD), 1),
    ("200 g banana", ("Banana, raw", BANANA), 1),
    ("250 g potatoes", ("Potato, raw", POTATO), 1),
    ("100 g emmental", ("Cheese, emmental", HARD), 1),
    ("200 g barramundi", ("Barramundi, raw", FISH), 1),
    *((line, pier[0], None) for line, pier, _ in CASES),
], ids=str)  # fmt: skip
def test_two_tables_answer_though_that_of_the_names_is_not_among_them(
    tables: Tables, line: str, pier: tuple[str, tuple[float, ...]], code: int | None
) -> None:
    [part] = resolver(tables, pier, order=("pier", "quay")).resolve(line).parts
    assert part.food is None or part.food.id == "pier:1"
    assert code is None or part.food is not None
    assert not any("sr28" in reason for reason in part.reasons)
