"""From weights as bought to edible portions: EDIBLE % = 100 - REFUSE % (INFOODS)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.edible_portion import EdibleShare, KindRow, KindTable, edible_share
from service.core.measure import food_words
from tests.core.weighing import FOODS, TABLES


def share(code: str, *, said: str = "", states: str = "", as_purchased: bool = False) -> EdibleShare | None:
    food = FOODS[code]
    return edible_share(
        food,
        food_words(food),
        said=frozenset(said.split()),
        states=frozenset(states.split()),
        as_purchased=as_purchased,
        tables=TABLES.edible,
    )


# food, words said, as purchased, edible share (None: edible as stated), source
CASES = [
    ("11090", "", True, 0.61, "H08, SR28 11090 refuse 39 %"),
    ("09040", "", True, 0.64, "SR28 09040 refuse 36 %"),
    ("09040", "peeled", False, 0.64, "the whole peel of a banana is taken off"),
    ("11090", "", False, None, "a stated weight is edible unless the line says otherwise"),
    ("05006", "whole", False, 0.68, "SR28 05006 refuse 32 %"),
    ("05006", "chicken piece", False, 0.68, "joints on the bone, SR28 05006"),
    ("05006", "cut up", False, 0.68, "the same"),
    ("05006", "cut into bite size piece", False, None, "cut by the cook, of meat that may have no bones"),
    ("05006", "bone in", True, 0.68, "SR28 05006"),
    ("09037", "pitted peeled", False, 0.74, "SR28 09037 refuse 26 %"),
    ("12061", "shelled", False, None, "nuts are sold shelled"),
    ("12061", "shell unshelled", True, 0.40, "SR28 12061 refuse 60 %"),
    ("17230", "whole", False, 0.78, "SR28 17230 refuse 22 %: a joint that is counted has its bone"),
    ("17230", "whole butterflied", False, None, "its bone is out"),
    ("09195", "unpitted", True, 0.80, "a fifth is stone, though olives are sold pickled"),
    ("15149", "peeled", False, None, "shrimp are sold peeled"),
    ("01053", "", True, None, "cream has no refuse"),
    ("11233", "stem removed", False, 0.72, "SR28 11233 refuse 28 %, as of kale that is stemmed"),
    ("11233", "stalk discarded", False, 0.72, "the same"),
    ("11147", "stem removed", False, 0.55, "stalks of chard are nearly half; common kitchen practice"),
    ("11090", "end trimmed off", False, 0.61, "SR28 11090 refuse 39 %"),
    ("11090", "cut into floret", False, 0.61, "florets are cut from a trimmed head"),
    ("11090", "floret", False, None, "sold as florets"),
    ("09164", "peeled stoned", False, 0.60, "SR28 09164 refuse 40 %: shell and seeds"),
    ("09144", "peeled", False, 0.28, "SR28 09144 refuse 72 %: no more is left than of what is not peeled"),
    ("12097", "in their shells", False, 0.74, "SR28 12097 refuse 26 %, not that of other nuts"),
    ("12097", "", False, 0.74, "the entry is of unpeeled ones"),
    ("12155", "in shell", True, 0.45, "SR28 12155 refuse 55 %"),
    ("23005", "bone in", True, 0.75, "SR28 23005 refuse 25 %: bone and connective tissue"),
    ("11211", "in pods", False, 0.53, "SR28 11450 refuse 47 %: pods"),
    ("11246", "trimmed", False, 0.65, "SR28 11246 refuse 56 %, of which shops take some off"),
    ("11246", "white part only", False, 0.60, "SR28 11246 refuse 56 %: tops and root end"),
]


@pytest.mark.parametrize(("code", "said", "as_purchased", "edible", "source"), CASES)
def test_edible_share(code: str, said: str, as_purchased: bool, edible: float | None, source: str) -> None:
    found = share(code, said=said, as_purchased=as_purchased)
    assert (found.value if found else None) == (pytest.approx(edible) if edible is not None else None), source


def test_paring_takes_less_than_the_whole_refuse() -> None:
    found = share("11352", said="peeled")
    assert found is not None
    assert 0.75 <= found.low < found.value < found.high <= 1


def test_what_is_frozen_in_its_pods_is_weighed_with_them() -> None:
    found = share("11211", said="in pods", states="frozen")
    assert found is not None
    assert found.value == pytest.approx(0.53)


@pytest.mark.parametrize("state", ["canned", "frozen", "dried"])
def test_what_is_sold_ready_loses_nothing(state: str) -> None:
    assert share("11124", said="peeled", states=state) is None


@given(st.floats(0, 100), st.sampled_from(["", "peeled", "trimmed"]), st.booleans())
def test_a_share_lies_between_its_bounds(refuse: float, said: str, as_purchased: bool) -> None:
    food = replace(FOODS["11090"], refuse_percent=refuse, description="Seakale, raw")
    found = edible_share(
        food,
        food_words(food),
        said=frozenset(said.split()),
        states=frozenset(),
        as_purchased=as_purchased,
        tables=TABLES.edible,
    )
    assert found is None or 0 <= found.low <= found.value <= found.high <= 1


def row(words: str, value: float, **more: object) -> KindRow:
    return KindRow("", frozenset(words.split()), value, value, value, "invented", **more)  # type: ignore[arg-type]


TABLE = KindTable(
    [
        row("", 1),
        row("bean", 2),
        row("green bean", 3),
        row("bean", 4, said=frozenset({"canned"})),
        row("oil", 5),
        row("oil", 6, size="small"),
        row("pea", 7, without=frozenset({"chick"})),
    ]
)
FOUND = [
    ("green bean", "", "", 3),
    ("bean", "", "", 2),
    ("bean", "canned", "", 4),
    ("green bean", "canned", "", 3),
    ("oil", "", "", 5),
    ("oil", "", "small", 6),
    ("oil", "", "large", 5),
    ("chick pea", "", "", 1),
    ("salt", "", "", 1),
]


@pytest.mark.parametrize(("words", "said", "size", "value"), FOUND)
def test_the_most_telling_row_wins(words: str, said: str, size: str, value: float) -> None:
    found = TABLE.find("", frozenset(words.split()), said=frozenset(said.split()), size=size)
    assert found is not None
    assert found.value == value


def test_a_row_must_name_the_food_where_that_is_asked() -> None:
    assert TABLE.find("", frozenset({"salt"}), any_food=False) is None
