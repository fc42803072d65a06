"""Nutrient arithmetic against published rules and worked figures; each outside value names its source."""

from __future__ import annotations

import math
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import InputError, NotFoundError
from service.core.food import Component, FoodEntry, FoodTable
from service.core.nutrients import (
    Counted,
    NetConvention,
    analyse,
    component_amounts,
    coverage,
    energy_shares,
    net_carbohydrate,
    net_of_food,
    polyols_left,
    total,
)

TAGNAMES = ("ENERC_KCAL", "PROCNT", "FAT", "CHOCDF", "FIBTG")
NAN = math.nan


def table(*rows: tuple[float, ...]) -> FoodTable:
    """Invented foods with these amounts of TAGNAMES per 100 g."""
    components = tuple(
        Component(tagname, str(number), tagname.title(), "kcal" if number == 0 else "g", 2)
        for number, tagname in enumerate(TAGNAMES)
    )
    foods = tuple(FoodEntry(f"own:{number}", f"Invented food {number}") for number in range(len(rows)))
    return FoodTable(foods, components, np.array(rows, dtype=float).reshape(-1, len(TAGNAMES)))


def weighed(line: int, place: int, value: float, low: float | None = None, high: float | None = None) -> Counted:
    return Counted(line, place, (value, value if low is None else low, value if high is None else high))


QUAY_SALAD = table(
    (160.0, 2.0, 14.66, 8.53, 6.7),
    (680.0, 0.96, 74.85, 0.57, 0.0),
    (40.0, 1.1, 0.1, 9.34, NAN),  # fibre is not published
    (0.0, 0.0, 0.0, 0.0, 0.0),
    (20.0, 1.0, 0.2, 3.1, 4.0),  # more fibre than carbohydrate
)


# ---- net carbohydrate ------------------------------------------------------------------------------------------

# Exact decimals (12.6 - 3.1 - 4.2 is 5.299999999999999 in binary): US label practice, FDA Food Labeling Guide terms.
# Fibre is in the US total and out of the EU carbohydrate: 21 CFR 101.9(c)(6); Regulation (EU) 1169/2011 Annex I 7.
# Avocado, all varieties: CHOAVLDF of INFOODS, CHOCDF 8.53 and FIBTG 6.7 of SR28 09037.
NETS = [
    ("label", (12.6, 3.1), {"polyols": 4.2}, "5.3", ""),
    ("second label", (9.4, 2.2), {"polyols": 3.3}, "3.9", ""),
    ("avocado", (8.53, 6.7), {}, "1.83", ""),
    ("EU basis has fibre out already", (3.1, 4.0), {"basis": "available"}, "3.1", ""),
    ("EU basis needs no fibre", (3.1, None), {"basis": "available"}, "3.1", ""),
    ("US basis is never below zero", (3.1, 4.0), {"basis": "total"}, "0", "clamped; inconsistent input"),
    ("unknown fibre", (8.0, None), {}, None, "fibre unknown: net unknown, total reported"),
    ("unknown fibre with zero carbohydrate", (0.0, None), {}, None, "fibre unknown: net unknown, total reported"),
    ("unknown carbohydrate", (None, 1.0), {}, None, "carbohydrate unknown: net unknown"),
    ("unknown polyols", (8.0, 1.0), {"polyols": None}, None, "polyols unknown: net unknown, total reported"),
]


@pytest.mark.parametrize(("terms", "options", "net", "flag"), [case[1:] for case in NETS], ids=[c[0] for c in NETS])
def test_net_carbohydrate(terms, options, net, flag):
    found = net_carbohydrate(*terms, **options)
    assert found.value == (None if net is None else Decimal(net))
    assert found.flag == flag


# AFCD 2, F009837 (dark chocolate, no added sugar): 4.1 g available without and 32.1 g with polyols. Fineli 20, 24
# (sorbitol) and 37 (chocolate, artificially sweetened) publish no polyols: total 100 and 55.65 g, fibre 0 and 3.5.
CHOCOLATE = {"CHOAVL": 4.1, "POLYL": 28.0}
SORBITOL = {"CHOAVL": 0.0, "CHOCDF": 100.0, "FIBTG": 0.0}
SWEETENED = {"CHOAVL": 1.7, "CHOCDF": 55.65, "FIBTG": 3.5}
APPLE = {"CHOAVL": 8.2, "CHOCDF": 11.0, "FIBTG": 2.0}
OUTSIDE = [
    (CHOCOLATE, "all", "4.1", (0, 0)), (CHOCOLATE, "half", "18.1", (14, 14)), (CHOCOLATE, "none", "32.1", (28, 28)),
    ({**CHOCOLATE, "ERYTHL": 8.0}, "by name", "14.1", (10, 10)),
    ({**CHOCOLATE, "ALLULOSE": 0.5}, "none", "31.6", (28, 28)),
    (SORBITOL, "all", "0", (0, 0)), (SORBITOL, "none", None, (0, 100)), (SORBITOL, "by name", None, (0, 50)),
    (SWEETENED, "all", "1.7", (0, 0)), (SWEETENED, "none", None, (0, 50.45)), (SWEETENED, "half", None, (0, 25.225)),
    (APPLE, "none", "8.2", (0, 0.8)),  # no more than analyses may miss
    ({"CHOAVL": 0.0, "CHOCDF": 89.0}, "none", None, (0, 89)),  # fibre is not known either
    ({"CHOAVL": 8.2}, "none", None, (0, float("inf"))), ({"CHOAVL": 8.2}, "all", "8.2", (0, 0)),
]  # fmt: skip


@pytest.mark.parametrize(("amounts", "polyols", "net", "left"), OUTSIDE)
def test_polyols_outside_of_a_sum_obey_the_convention(amounts, polyols, net, left):
    convention = NetConvention(polyols)
    assert polyols_left(amounts, convention) == pytest.approx(left)
    found = net_of_food(amounts, "available", convention)
    assert found.value == (None if net is None else Decimal(net))
    assert found.flag == ("" if net else "polyols unknown: net unknown, total reported")


hundredths = st.integers(0, 10_000).map(lambda number: number / 100)


@given(hundredths, hundredths)
def test_net_carbohydrate_is_between_nothing_and_the_total(carbohydrate, fibre):
    net = net_carbohydrate(carbohydrate, fibre)
    assert net.value is not None
    assert 0 <= net.value <= Decimal(str(carbohydrate))
    assert bool(net.flag) == (fibre > carbohydrate)


# ---- energy shares ---------------------------------------------------------------------------------------------

# Ketogenic ratio 4:1 to 1:1, fat to protein and carbohydrate: shares of fat by 9 and 4 kcal/g (ISRN 2012:263139).
SHARES = [
    ({"PROCNT": 0.5, "FAT": 4.0, "CHOCDF": 0.5}, 0.9),
    ({"PROCNT": 0.5, "FAT": 3.0, "CHOCDF": 0.5}, 0.871),
    ({"PROCNT": 0.5, "FAT": 2.0, "CHOCDF": 0.5}, 0.8182),
    ({"PROCNT": 0.5, "FAT": 1.0, "CHOCDF": 0.5}, 0.6923),
]


@pytest.mark.parametrize(("grams", "fat"), SHARES)
def test_energy_shares(grams, fat):
    shares = energy_shares(grams)
    assert shares is not None
    assert shares["FAT"] == pytest.approx(fat, abs=1e-4)
    assert sum(shares.values()) == pytest.approx(1)


def test_energy_shares_of_a_dish():
    # 52.06 g fat, 21.71 g protein, 4.32 g carbohydrate by 9-4-4: 81.8, 15.2 and 3.0 % (21 CFR 101.9(c)(1)(i)(B)).
    shares = energy_shares({"FAT": 52.06, "PROCNT": 21.71, "CHOCDF": 4.32})
    assert shares is not None
    assert [round(100 * shares[name], 1) for name in ("FAT", "PROCNT", "CHOCDF")] == [81.8, 15.2, 3.0]


@pytest.mark.parametrize("grams", [{"FAT": 1.0, "PROCNT": None, "CHOCDF": 1.0}, {"FAT": 0.0, "PROCNT": 0.0}, {}])
def test_energy_shares_that_are_not_known(grams):
    assert energy_shares(grams) is None


# ---- components of a part --------------------------------------------------------------------------------------

PARTS = [
    ("scaled", 0, 50.0, {"CHOCDF": 4.265, "FIBTG": 3.35}),
    ("unknown stays unknown", 2, 50.0, {"CHOCDF": 4.67, "FIBTG": None}),
    ("none of it", 2, 0.0, {"CHOCDF": 0.0, "FIBTG": None}),
    ("no weight", 0, None, {"CHOCDF": None, "FIBTG": None}),
    ("no weight, but none of it at any", 1, None, {"CHOCDF": None, "FIBTG": 0.0}),
]


@pytest.mark.parametrize(("place", "grams", "amounts"), [case[1:] for case in PARTS], ids=[c[0] for c in PARTS])
def test_component_amounts(place, grams, amounts):
    found = component_amounts(QUAY_SALAD.amounts[place], grams, {"CHOCDF": 3, "FIBTG": 4})
    assert {name: value is None for name, value in found.items()} == {n: v is None for n, v in amounts.items()}
    assert [value for value in found.values() if value is not None] == pytest.approx(
        [value for value in amounts.values() if value is not None]
    )


# ---- totals ----------------------------------------------------------------------------------------------------


def test_total_of_known_foods_has_value_and_bounds():
    found = total(QUAY_SALAD, [weighed(1, 0, 100, 75, 100), weighed(2, 1, 10)], components=("CHOCDF", "FIBTG"))
    carbohydrate, fibre = found.components
    assert (carbohydrate.value, carbohydrate.low, carbohydrate.high) == pytest.approx((8.587, 6.4545, 8.587))
    assert (fibre.value, fibre.low, fibre.high) == pytest.approx((6.7, 5.025, 6.7))
    assert found.net_carbohydrate.value == pytest.approx(1.83 + 0.057)
    assert found.net_carbohydrate.unit == "g"
    assert carbohydrate.unknown_in == fibre.unknown_in == ()


def test_total_with_an_unpublished_component_is_a_lower_bound():
    found = total(QUAY_SALAD, [weighed(1, 0, 100), weighed(3, 2, 50)])
    named = {one.tagname: one for one in (*found.components, found.net_carbohydrate)}
    assert named["CHOCDF"].value == pytest.approx(8.53 + 4.67)
    for tagname, known in (("FIBTG", 6.7), ("net_carbohydrate", 1.83)):
        one = named[tagname]
        assert (one.value, one.high, one.unknown_in) == (None, None, (3,))
        assert one.known == one.low == pytest.approx(known)


def test_total_with_a_line_without_entry_is_a_lower_bound_throughout():
    found = total(QUAY_SALAD, [weighed(1, 0, 100), Counted(2)])
    assert all(one.value is None and one.high is None and one.unknown_in == (2,) for one in found.components)
    assert found.components[0].known == pytest.approx(160.0)


def test_food_without_weight_leaves_unknown_only_what_it_may_give():
    # Salt to taste gives no energy.
    assert total(QUAY_SALAD, [weighed(1, 0, 100), Counted(2, 3)]).components[0].value == pytest.approx(160.0)
    found = total(QUAY_SALAD, [weighed(1, 0, 100), Counted(2, 1)])
    assert {one.tagname: one.unknown_in for one in found.components} == {
        "ENERC_KCAL": (2,), "PROCNT": (2,), "FAT": (2,), "CHOCDF": (2,), "FIBTG": ()
    }  # fmt: skip


@pytest.mark.parametrize(("place", "high"), [(0, None), (3, 0.0)], ids=["gives some", "gives none"])
def test_open_upper_bound_of_a_weight(place, high):
    part = Counted(1, place, (10.0, None, None))
    energy = total(QUAY_SALAD, [part]).components[0]
    assert (energy.low, energy.high) == (0.0, high)
    assert energy.value is not None


def test_more_fibre_than_carbohydrate_is_clamped_food_by_food():
    found = total(QUAY_SALAD, [weighed(1, 0, 100), weighed(2, 4, 100)])
    assert found.net_carbohydrate.value == pytest.approx(1.83)  # not 1.83 - 0.9
    assert found.clamped_in == (2,)


def test_total_of_nothing_is_zero():
    assert [one.value for one in total(QUAY_SALAD, []).components] == [0.0] * 5


def test_net_carbohydrate_of_a_table_without_fibre_is_unknown():
    full = table((160.0, 2.0, 14.66, 8.53, 6.7))
    less = FoodTable(full.foods, full.components[:4], full.amounts[:, :4])
    assert total(less, [weighed(1, 0, 100)], components=("CHOCDF",)).net_carbohydrate.value is None


def test_components_are_chosen_by_tagname():
    assert [one.tagname for one in total(QUAY_SALAD, [], components=("all",)).components] == list(TAGNAMES)
    assert [one.tagname for one in total(QUAY_SALAD, [], components=("FAT", "FAT")).components] == ["FAT"]
    with pytest.raises(NotFoundError, match="'SOUL'") as caught:
        total(QUAY_SALAD, [], components=("FAT", "SOUL"))
    assert caught.value.pointer == "/components/1"


foods = st.lists(
    st.tuples(st.integers(0, 4), st.floats(0, 2000), st.floats(0, 1), st.floats(1, 3)), min_size=1, max_size=12
)


@given(foods)
def test_bounds_hold_the_value_and_servings_add_up(parts):
    counted = [
        Counted(line, place, (grams, grams * down, grams * up))
        for line, (place, grams, down, up) in enumerate(parts, 1)
    ]
    found = analyse(range(len(parts)), counted, QUAY_SALAD, servings=4)
    assert found.per_serving is not None
    for whole, serving in zip(found.whole.components, found.per_serving.components, strict=True):
        assert whole.low <= whole.known * (1 + 1e-12)
        assert whole.high is None or whole.known <= whole.high * (1 + 1e-12)
        assert (whole.value is None) == (whole.high is None) == bool(whole.unknown_in)
        assert serving.known * 4 == pytest.approx(whole.known)


@given(foods, st.randoms())
def test_order_of_lines_does_not_matter(parts, random):
    counted = [weighed(line, place, grams) for line, (place, grams, _, _) in enumerate(parts, 1)]
    shuffled = random.sample(counted, len(counted))
    for one, other in zip(total(QUAY_SALAD, counted).components, total(QUAY_SALAD, shuffled).components, strict=True):
        assert one.known == pytest.approx(other.known)
        assert one.unknown_in == other.unknown_in


# ---- coverage --------------------------------------------------------------------------------------------------


def test_coverage_names_what_is_left_out():
    parts = [
        weighed(1, 0, 60), Counted(2, 3), Counted(3), Counted(4, 1, (40, 40, 40), check=True),
        Counted(5, 0, (10, 10, 10), optional=True), Counted(5),
    ]  # fmt: skip
    found = coverage(parts, lines=7, not_food=2)
    assert (found.lines, found.food_lines, found.lines_counted, found.lines_share) == (7, 5, 2, 0.4)
    assert (found.no_match, found.no_weight, found.to_check, found.optional) == ((3, 5), (2,), (4,), (5,))
    assert (found.grams_counted, found.grams_stated, found.grams_share) == (110, None, None)


def test_coverage_of_grams_where_the_weight_left_out_is_stated():
    found = coverage([weighed(1, 0, 60), Counted(2, None, (20, 20, 20))], lines=2)
    assert (found.grams_counted, found.grams_stated, found.grams_share) == (60, 80, 0.75)


def test_coverage_of_no_food_is_no_share():
    found = coverage([], lines=3, not_food=3)
    assert (found.food_lines, found.lines_share, found.grams_share) == (0, None, None)


@pytest.mark.parametrize("servings", [0, -1, 0.0, NAN, math.inf, -math.inf])
def test_servings_must_be_a_finite_number_above_zero(servings):
    with pytest.raises(InputError, match="above 0") as caught:
        analyse([], [], QUAY_SALAD, servings=servings)
    assert caught.value.pointer == "/servings"


# ---- SR28 as published -----------------------------------------------------------------------------------------

# Specific factors (USDA Agriculture Handbook 74; columns Pro_Factor, Fat_Factor, CHO_Factor of SR28 FOOD_DES) and
# 6.93 kcal per gram of ethanol give the published energy of these entries: (code, computed, published).
SPECIFIC = [
    ("01001", 716.8, 717), ("01123", 143.2, 143), ("09037", 160.1, 160), ("11090", 33.7, 34), ("12061", 579.0, 579),
    ("04053", 884.0, 884), ("20081", 364.4, 364), ("11282", 39.8, 40), ("05011", 119.1, 119), ("14084", 83.0, 83),
]  # fmt: skip
# Entries whose stated factors do not give the published energy; they load all the same (residual in kcal).
RESIDUAL = [
    ("08092", -26.4), ("08122", -23.4), ("01157", 9.1), ("03008", 14.5), ("05183", -5.1), ("04536", 22.0)
]  # fmt: skip
# Published energy where 4-9-4-7 on total carbohydrate would give another: (code, published, rebuilt).
PUBLISHED = [
    ("19165", 228, 433.3), ("12061", 579, 620.2), ("12006", 486, 511.3), ("19918", 0, 400.0), ("02053", 18, 0.2),
    ("18369", 53, 110.8),
]  # fmt: skip


def composition(table: FoodTable, code: str) -> tuple[int, dict[str, float]]:
    place = next(place for place, food in enumerate(table.foods) if food.id == f"sr28:{code}")
    amounts = table.amounts[place].tolist()
    return place, {component.tagname: amount for component, amount in zip(table.components, amounts, strict=True)}


def specific_energy(food: FoodEntry, amounts: dict[str, float]) -> float:
    """ENERC_KCAL by the entry's own factors; a blank factor counts as 0."""
    factors = {"PROCNT": food.protein_factor, "FAT": food.fat_factor, "CHOCDF": food.carbohydrate_factor, "ALC": 6.93}
    return sum((factor or 0) * amounts[name] for name, factor in factors.items() if not math.isnan(amounts[name]))


@pytest.mark.parametrize(("code", "computed", "published"), SPECIFIC)
def test_energy_by_specific_factors(sr28_table, code, computed, published):
    place, amounts = composition(sr28_table, code)
    assert amounts["ENERC_KCAL"] == published
    assert specific_energy(sr28_table.foods[place], amounts) == pytest.approx(computed, abs=0.06)
    assert computed == pytest.approx(published, abs=0.5)


@pytest.mark.parametrize(("code", "residual"), RESIDUAL)
def test_entries_whose_factors_do_not_fit_are_loaded(sr28_table, code, residual):
    place, amounts = composition(sr28_table, code)
    found = amounts["ENERC_KCAL"] - specific_energy(sr28_table.foods[place], amounts)
    assert found == pytest.approx(residual, abs=0.1)


@pytest.mark.parametrize(("code", "published", "rebuilt"), PUBLISHED)
def test_energy_is_the_publishers(sr28_table, code, published, rebuilt):
    place, amounts = composition(sr28_table, code)
    energy = total(sr28_table, [weighed(1, place, 100)]).components[0]
    assert energy.value == pytest.approx(published, abs=0.5)
    general = sum(f * amounts[n] for n, f in (("PROCNT", 4), ("FAT", 9), ("CHOCDF", 4), ("ALC", 7)) if amounts[n] > 0)
    assert general == pytest.approx(rebuilt, abs=0.1)


def test_kilojoule_and_kilocalorie_agree(sr28_table):
    # 1 kcal is 4.184 kJ (INFOODS, note on ENERC); the published kcal are rounded to 1, the kJ made before that.
    columns = [component.tagname for component in sr28_table.components]
    kcal, kj = (sr28_table.amounts[:, columns.index(name)] for name in ("ENERC_KCAL", "ENERC_KJ"))
    apart = np.abs(kj - 4.184 * kcal)
    assert int((~np.isnan(apart)).sum()) == 8756
    assert int((apart <= 2.6 + 1e-9).sum()) == 8755
    _, amounts = composition(sr28_table, "01001")
    assert (amounts["ENERC_KCAL"], amounts["ENERC_KJ"]) == (717.0, 2999.0)
    assert amounts["ENERC_KCAL"] * 4.184 == pytest.approx(2999.9, abs=0.05)


def test_carbohydrate_is_by_difference(sr28_table):
    # INFOODS CHOCDF: 100 less water, protein, fat, ash (SR28 takes off alcohol too); avocado 09037: 8.53.
    _, amounts = composition(sr28_table, "09037")
    rest = 100 - sum(amounts[name] for name in ("WATER", "PROCNT", "FAT", "ASH", "ALC"))
    assert rest == pytest.approx(amounts["CHOCDF"], abs=0.02) == pytest.approx(8.53, abs=0.02)


def test_entries_without_fibre_have_no_net_carbohydrate(sr28_table):
    columns = [component.tagname for component in sr28_table.components]
    fibre, carbohydrate = (sr28_table.amounts[:, columns.index(name)] for name in ("FIBTG", "CHOCDF"))
    unknown = np.flatnonzero(np.isnan(fibre))
    # SR28: 8,195 of 8,789 entries have nutrient 291; 351 of the others have more than 5 g carbohydrate.
    assert (len(fibre), len(unknown), int((carbohydrate[unknown] > 5).sum())) == (8789, 594, 351)
    found = total(sr28_table, [weighed(1, int(unknown[0]), 100)])
    assert found.net_carbohydrate.value is None
    assert found.net_carbohydrate.unknown_in == (1,)


# Figures of single portions computed from SR28: (code, grams, {tagname: amount}, tolerance).
PORTIONS = [
    ("04025", 4.6, {"ENERC_KCAL": 31.28, "FAT": 3.44, "CHOCDF": 0.026}, 0.01),
    ("11090", 91.0, {"ENERC_KCAL": 30.9, "CHOCDF": 6.04, "FIBTG": 2.37, "net_carbohydrate": 3.68}, 0.003),
    ("12061", 28.35, {"ENERC_KCAL": 164.1, "FAT": 14.16, "PROCNT": 6.0, "CHOCDF": 6.11, "FIBTG": 3.54,
                      "net_carbohydrate": 2.57}, 0.005),
]  # fmt: skip


@pytest.mark.parametrize(("code", "grams", "amounts", "tolerance"), PORTIONS)
def test_portions(sr28_table, code, grams, amounts, tolerance):
    place, _ = composition(sr28_table, code)
    found = total(sr28_table, [weighed(1, place, grams)])
    named = {one.tagname: one.value for one in (*found.components, found.net_carbohydrate)}
    assert {name: named[name] for name in amounts} == pytest.approx(amounts, rel=tolerance)


def test_figures_of_a_dish(sr28_table):
    # Two eggs, butter, cream, spinach and cheese, by hand from SR28 in exact decimals.
    dish = [("01123", 100.0), ("01001", 14.2), ("01053", 59.5), ("11457", 30.0), ("01009", 28.35)]
    parts = [weighed(line, composition(sr28_table, code)[0], grams) for line, (code, grams) in enumerate(dish, 1)]
    found = total(sr28_table, parts)
    named = {one.tagname: one.value for one in (*found.components, found.net_carbohydrate)}
    assert named["ENERC_KCAL"] == pytest.approx(568.5, abs=0.1)
    amounts = [named[name] for name in ("FAT", "PROCNT", "CHOCDF", "FIBTG", "net_carbohydrate")]
    assert amounts == pytest.approx([52.06, 21.71, 4.32, 0.66, 3.66], abs=0.01)
