"""Total carbohydrate of tables of available carbohydrate: worked out where that is sound, marked, never in net."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.food import FoodEntry, FoodTable, Release
from service.core.nutrients import MOST_OFF
from service.core.total_carbohydrate import TERMS, total_carbohydrate, with_totals
from tests.harbour import COMPONENTS

OTHERS = {"WATER": 76.2, "PROCNT": 1.4, "FAT": 0.2, "ASH": 1.0, "ALC": 0.0}

# What is known, bounds -> amount or None, its upper bound, a word of the text. The first is AFCD 2, F000262 (banana).
CASES: tuple[tuple[str, Mapping[str, float], Mapping[str, float], float | None, float | None, str], ...] = (
    ("both", {"CHOAVL_POLYL": 19.6, "FIBTG": 2.2, **OTHERS}, {}, 21.8, None, "19.6 g + fibre 2.2 g"),
    ("by difference", {"CHOAVLDF": 19.7, "FIBTG": 2.7}, {}, 22.4, None, "19.7 g + fibre 2.7 g"),
    ("a sum without polyols is not enough", {"CHOAVL": 19.6, "FIBTG": 2.2}, {}, None, None, "neither"),
    ("none in the food", {"CHOAVLDF": 0.0, "FIBTG": 0.0}, {}, 0.0, None, "0 g + fibre 0 g"),
    # AFCD 2, F000429: baking soda, all of whose rest is mineral.
    ("two ways that disagree", {"CHOAVL_POLYL": 0.0, "FIBTG": 0.0, "WATER": 0.2, "PROCNT": 0.0, "FAT": 0.0,
                                "ASH": 36.9, "ALC": 0.0}, {}, None, 62.9, "leave 62.9 g"),
    ("fibre below a limit", {"CHOAVLDF": 0.3, **OTHERS}, {"FIBTG": 0.5}, None, 0.8, "below a limit"),
    ("available a trace", {"FIBTG": 1.5}, {"CHOAVLDF": 0.01}, None, 1.51, "trace"),
    ("no fibre given", {"CHOAVLDF": 2.03, **OTHERS}, {}, 21.2, None, "100 g less water 76.2, protein 1.4"),
    ("neither given", OTHERS, {}, 21.2, None, "100 g less"),
    ("neither given nor all others", {"WATER": 76.2}, {}, None, None, "neither"),
    ("alcohol not given", {key: OTHERS[key] for key in OTHERS if key != "ALC"}, {}, None, None, "neither"),
    ("parts beyond 100 g", {**OTHERS, "PROCNT": 23.0}, {}, None, None, "leave only -0.4 g"),
    ("less left than there is", {"CHOAVLDF": 30.0, **OTHERS}, {}, None, None, "leave only 21.2 g"),
)  # fmt: skip


@pytest.mark.parametrize(("known", "limits", "amount", "most", "word"), [case[1:] for case in CASES],
                         ids=[case[0] for case in CASES])  # fmt: skip
def test_a_total_is_worked_out_where_that_is_sound(
    known: Mapping[str, float], limits: Mapping[str, float], amount: float | None, most: float | None, word: str
) -> None:
    found = total_carbohydrate(known, limits)
    assert (found.amount, found.most) == (amount, most)
    assert word in found.text


@given(known=st.dictionaries(st.sampled_from(TERMS), st.floats(0, 100)),
       limits=st.dictionaries(st.sampled_from(TERMS), st.floats(0, 5)))  # fmt: skip
def test_a_total_holds_its_parts_and_is_no_guess(known: dict[str, float], limits: dict[str, float]) -> None:
    found = total_carbohydrate(known, limits)
    available = next((known[name] for name in ("CHOAVLDF", "CHOAVL_POLYL") if name in known), 0.0)
    if found.amount is not None:
        assert found.most is None
        assert found.amount >= max(available, known.get("FIBTG", 0.0)) - 1e-9
        rest = 100 - math.fsum(known.get(name, math.nan) for name in OTHERS)
        assert math.isnan(rest) or abs(rest - found.amount) <= MOST_OFF + 1e-9
    if not known:
        assert found.amount is None


def table(basis: str, **amounts: float) -> FoodTable:
    row = [amounts.get(one.tagname, math.nan) for one in COMPONENTS]
    release = Release("quay", "Quay", "1", "free", "", 1, len(row), 1, 0, carbohydrate_basis=basis)  # type: ignore[arg-type]
    return FoodTable((FoodEntry("quay:1", "Kelp"),), COMPONENTS, np.array([row]), (release,))


def test_a_published_total_stays_and_a_table_of_totals_is_not_touched() -> None:
    published = with_totals(table("available", CHOCDF=9.0, CHOAVLDF=8.0, FIBTG=2.0))
    place = [one.tagname for one in published.components].index("CHOCDF")
    assert (published.amounts[0, place], dict(published.derived)) == (9.0, {})
    total = table("total", CHOAVLDF=8.0, FIBTG=2.0)
    assert with_totals(total) is total


def test_what_is_worked_out_is_marked_and_what_is_not_is_bounded() -> None:
    known = with_totals(table("available", CHOAVLDF=8.0, FIBTG=2.0))
    assert known.derived == {"quay:1": {"CHOCDF": "worked out: available carbohydrate 8 g + fibre 2 g"}}
    below = with_totals(replace(table("available", CHOAVLDF=8.0), limits={"quay:1": {"FIBTG": 0.5}}))
    assert (dict(below.derived), below.limits["quay:1"]) == ({}, {"FIBTG": 0.5, "CHOCDF": 8.5})


def test_a_table_without_the_component_gets_it() -> None:
    whole = table("available", CHOAVLDF=8.0, FIBTG=2.0)
    kept = [place for place, one in enumerate(COMPONENTS) if one.tagname != "CHOCDF"]
    found = with_totals(replace(whole, components=tuple(COMPONENTS[k] for k in kept), amounts=whole.amounts[:, kept]))
    assert (found.components[-1].tagname, found.components[-1].unit) == ("CHOCDF", "g")
    assert found.amounts[0, -1] == 10.0
