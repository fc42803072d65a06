"""An index over several datasets: the same whether what it holds is read anew or taken over from another index."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.analyse import Tables
from service.core.food import Component, FoodEntry, FoodTable
from service.core.food_index import FoodIndex
from service.tables import load_tables

TEXTS = (
    "Kelp, raw", "Kelp, dried", "Leeks, cooked, boiled, drained", "Soup, leek, canned", "Butter, salted", "QUAY, dulse",
    "Beans, black, mature seeds, raw", "Oil (kelp)",
)  # fmt: skip
PIER, QUAY, MOLE = ("pier", TEXTS[:3]), ("quay", TEXTS[2:6]), ("mole", TEXTS[4:])


@pytest.fixture(scope="module")
def tables() -> Tables:
    return load_tables()


def table(*datasets: tuple[str, tuple[str, ...]]) -> FoodTable:
    foods = [FoodEntry(f"{name}:{at}", text, "", "Soups") for name, texts in datasets for at, text in enumerate(texts)]
    return FoodTable(tuple(foods), (Component("FAT", "", "fat", "g", 1),), np.zeros((len(foods), 1)))


def indexed(tables: Tables, *datasets: tuple[str, tuple[str, ...]], before: FoodIndex | None = None) -> FoodIndex:
    return FoodIndex(table(*datasets), tables.facet_words, tables.uses, before)


def told(index: FoodIndex) -> object:
    """All that an index says, as plain values."""
    postings = {
        word: (one.places.tolist(), one.weights.tolist(), one.costs.tolist()) for word, one in index.postings.items()
    }
    words = [dict(index.words_at(place)) for place in range(len(index.table.foods))]
    return postings, index.base_cost.tolist(), index.state_bits.tolist(), words


@given(
    st.lists(st.sampled_from([PIER, QUAY, MOLE]), unique=True),
    st.lists(st.sampled_from([PIER, QUAY, MOLE]), unique=True),
    st.tuples(st.sampled_from(TEXTS), st.sampled_from(TEXTS)),
)
def test_an_index_is_the_same_whatever_stood_before(
    tables: Tables, datasets: list[tuple[str, tuple[str, ...]]], others: list[tuple[str, tuple[str, ...]]],
    texts: tuple[str, ...],
) -> None:  # fmt: skip
    before = indexed(tables, *others, ("crane", TEXTS))
    now = (*datasets, ("crane", texts))
    assert told(indexed(tables, *now, before=before)) == told(indexed(tables, *now))


def test_places_of_later_datasets_come_behind(tables: Tables) -> None:
    index = indexed(tables, PIER, QUAY)
    assert index.holding("leek").tolist() == [2, 3, 4]
    assert index.holding_all(["leek", "soup"]).tolist() == [4]


def test_what_says_the_same_is_not_read_anew(tables: Tables) -> None:
    before = indexed(tables, PIER, QUAY)
    after = indexed(tables, PIER, MOLE, before=before)
    assert after._parts[0] is before._parts[0]
    assert after._parts[1] is not before._parts[1]


def test_other_words_have_an_index_of_their_own(tables: Tables) -> None:
    before = indexed(tables, PIER)
    after = FoodIndex(table(PIER), replace(tables.facet_words), tables.uses, before)
    assert after._parts[0] is not before._parts[0]
