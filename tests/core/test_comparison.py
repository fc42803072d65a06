"""What differs between two releases: each kind of change, nothing else, and nothing between a release and itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from importers.release import ReleaseData
from service.core.comparison import Amount, Comparison, compare, differ
from service.core.food import FoodTable, HouseholdMeasure, Release
from tests.harbour import FOODS, changed, harbour


def table(data: ReleaseData) -> FoodTable:
    """The release as a table, without a store; of "<0.5" the limit is kept, a trace is below 0.1."""
    release = Release(data.dataset, data.name, data.release, "", "", 0, 0, 0, 0)
    limits: dict[str, dict[str, float]] = {}
    values = data.values
    assert values.qualifier is not None
    for place in np.flatnonzero(values.qualifier):
        food_id = data.foods[values.food[place]].entry.id
        tagname = data.components[values.component[place]].tagname
        limits.setdefault(food_id, {})[tagname] = float(values.amount[place]) or 0.1
    links = {food.entry.id: food.linked for food in data.foods if food.linked}
    foods = tuple(food.entry for food in data.foods)
    return FoodTable(foods, data.components, data.matrix(), (release,), limits, links)


def kinds(found: Comparison) -> dict[str, int]:
    names = ("added", "dropped", "renamed", "recoded", "values", "measures")
    counted = {name: len(getattr(found, name)) for name in names}
    return {name: count for name, count in counted.items() if count}


OLD = table(harbour())
CUP, HEAVIER, SLICE = HouseholdMeasure(1, "cup", 80), HouseholdMeasure(1, "cup", 84), HouseholdMeasure(1, "slice", 9)
# (what, the new release, changes by kind)
CASES = [
    ("nothing", harbour("2026"), {}),
    ("within rounding", harbour("2026", changed("1", FAT=0.62)), {}),
    ("beyond rounding", harbour("2026", changed("1", FAT=0.7)), {"values": 1}),
    ("to zero", harbour("2026", changed("1", FAT=0)), {"values": 1}),
    ("value becomes a limit", harbour("2026", changed("1", FAT="<0.6")), {"values": 1}),
    ("another limit", harbour("2026", changed("2", CHOCDF="<0.2")), {"values": 1}),
    ("limit becomes a value", harbour("2026", changed("2", CHOCDF=0)), {"values": 1}),
    ("new value", harbour("2026", changed("1", CHOAVLDF=8.3)), {"values": 1}),
    ("added", harbour("2026", {**FOODS, "4": ("Dulse, dried", {"FAT": 1})}), {"added": 1}),
    ("dropped", harbour("2026", {code: FOODS[code] for code in ("1", "2")}), {"dropped": 1}),
    ("renamed", harbour("2026", {**FOODS, "1": ("Seaweed, kelp, raw", FOODS["1"][1])}), {"renamed": 1}),
    ("measure came", harbour("2026", measures={"1": (CUP,)}), {"measures": 1}),
]  # fmt: skip


@pytest.mark.parametrize(("new", "expected"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_each_kind_of_change_is_found_alone(new: ReleaseData, expected: dict[str, int]) -> None:
    assert kinds(compare(OLD, table(new))) == expected


def test_a_change_names_both_amounts() -> None:
    [change] = compare(OLD, table(harbour("2026", changed("2", CHOCDF=0.3)))).values
    assert (change.food.id, change.component.tagname) == ("harbour:2", "CHOCDF")
    assert (change.old, change.new) == (Amount(limit=0.5), Amount(known=0.3))


def test_there_and_back_are_mirrored() -> None:
    new = table(harbour("2026", {**changed("1", FAT=9), "4": ("Dulse, dried", {})}, measures={"3": (SLICE,)}))
    there, back = compare(OLD, new), compare(new, OLD)
    assert (there.added, there.dropped) == (back.dropped, back.added)
    assert [(one.old, one.new) for one in there.values] == [(one.new, one.old) for one in back.values]
    assert [(one.old, one.new) for one in there.measures] == [(one.new, one.old) for one in back.measures]


def test_measures_that_weigh_other_than_before() -> None:
    old, new = (table(harbour(measures={"1": measures})) for measures in ((CUP, SLICE), (HEAVIER, SLICE)))
    [change] = compare(old, new).measures
    assert (change.old, change.new) == (CUP, HEAVIER)


def test_a_food_with_another_code_is_known_by_its_link() -> None:
    other = {**{code: FOODS[code] for code in ("1", "2")}, "9": ("Butter, with salt", {"FAT": 80})}
    old, new = harbour(linked={"3": ("sr28:01001",)}), harbour("2026", other, linked={"9": ("sr28:01001",)})
    found = compare(table(old), table(new))
    [pair] = found.recoded
    assert (pair.old.id, pair.new.id, pair.renamed) == ("harbour:3", "harbour:9", True)
    assert (found.added, found.dropped) == ((), ())


def test_a_link_that_two_foods_share_tells_nothing() -> None:
    other = {**{code: FOODS[code] for code in ("1", "2")}, "8": ("Butter, A", {}), "9": ("Butter, B", {})}
    links = {"8": ("sr28:01001",), "9": ("sr28:01001",)}
    found = compare(table(harbour(linked={"3": ("sr28:01001",)})), table(harbour("2026", other, linked=links)))
    assert (len(found.added), len(found.dropped), found.recoded) == (2, 1, ())


def test_a_component_of_one_release_only_is_no_change_of_values() -> None:
    fewer = replace(OLD, components=OLD.components[:-1], amounts=OLD.amounts[:, :-1])
    found = compare(OLD, fewer)
    assert ([one.tagname for one in found.components_dropped], kinds(found)) == (["NA"], {})


@pytest.mark.parametrize(("one", "other", "decimals", "expected"), [
    (Amount(1.25), Amount(1.3), 1, False), (Amount(1.25), Amount(1.3), 2, True), (Amount(1.0), Amount(), 1, True),
    (Amount(), Amount(), 1, False), (Amount(1.0), Amount(1.5), 0, False), (Amount(0.1 + 0.2), Amount(0.3), 9, False),
])  # fmt: skip
def test_what_differs_beyond_rounding(one: Amount, other: Amount, decimals: int, expected: bool) -> None:
    assert differ(one, other, decimals) is expected
