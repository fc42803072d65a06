"""Polyols in all: worked out of what a publisher gives one by one or beside them, marked, never a guess."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from service.core.food import Component, FoodEntry, FoodTable
from service.core.polyols import polyols_in_all, with_polyols, with_polyols_in_all

# What is known -> polyols and their formula. AFCD 2, F009837 (its erythritol and xylitol are not in its own figure) and
# F000262 (banana); CNF 2015, 1731 (pear).
CASES: tuple[tuple[str, Mapping[str, float], float | None, str], ...] = (
    ("with less without", {"CHOAVL_POLYL": 32.1, "CHOAVL": 4.1, "MALTL": 28.0, "XYLTL": 3.6, "ERYTHL": 3.8}, 28.0,
     "worked out: available carbohydrate 32.1 g with polyols less 4.1 g without"),
    ("none in the food", {"CHOAVL_POLYL": 19.6, "CHOAVL": 19.6}, 0.0,
     "worked out: available carbohydrate 19.6 g with polyols less 19.6 g without"),
    ("by name", {"SORTL": 2.3}, 2.3, "worked out: sorbitol 2.3 g"),
    ("several by name", {"XYLTL": 0.1, "SORTL": 0.2, "MANTL": 0.0}, 0.3, "worked out: xylitol 0.1 g + sorbitol 0.2 g"),
    ("none of the one that was looked for", {"SORTL": 0.0}, None, ""),
    ("nothing known", {"CHOAVL": 3.0, "CHOCDF": 5.0}, None, ""),
)  # fmt: skip


@pytest.mark.parametrize(("known", "amount", "text"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_they_are_worked_out_where_they_are_told(known: Mapping[str, float], amount: float | None, text: str) -> None:
    found = polyols_in_all(known)
    assert (found.amount, found.text) == (amount, text) if found else amount is None


def table(*tagnames: str, rows: list[list[float]]) -> FoodTable:
    foods = tuple(FoodEntry(f"quay:{place}", "Kelp") for place in range(len(rows)))
    return FoodTable(foods, tuple(Component(one, "", one, "g", 1) for one in tagnames), np.array(rows))


def test_a_table_gets_the_component_with_its_mark() -> None:
    found = with_polyols(table("CHOCDF", "SORTL", rows=[[15.2, 2.3], [9.0, 0.0], [4.0, math.nan]]))
    assert [one.tagname for one in found.components] == ["CHOCDF", "SORTL", "POLYL"]
    np.testing.assert_array_equal(found.amounts[:, 2], [2.3, math.nan, math.nan])
    assert found.derived == {"quay:0": {"POLYL": "worked out: sorbitol 2.3 g"}}


def test_what_is_published_stays() -> None:
    published = table("POLYL", "SORTL", rows=[[5.0, 2.3]])
    assert with_polyols(published) is published
    below = replace(table("POLYL", "SORTL", rows=[[math.nan, 2.3]]), limits={"quay:0": {"POLYL": 0.5}})
    assert with_polyols(below) is below
    plain = table("CHOCDF", rows=[[5.0]])
    assert with_polyols(plain) is plain
    assert with_polyols_in_all(plain.components) == plain.components
