"""Label rounding at every breakpoint, daily values, serving declarations, and both panels of small dishes.

21 CFR 101.9 with FDA's Food Labeling Guide, Appendix H; Regulation (EU) 1169/2011 with the Commission's guidance on
tolerances of December 2012 (its rounding table from memory, two copies agree).
"""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core import panel
from service.core.composition import Dish, Ingredient, Spread
from service.core.errors import InputError
from service.core.figures import Figures, figures
from service.core.food import Component, FoodEntry
from service.core.nutrients import NetConvention, Total
from service.core.panel import (
    CALCULATED,
    EU_ENERGY,
    EU_FATTY_ACIDS,
    EU_GRAMS,
    EU_SALT,
    US_CHOLESTEROL,
    US_ENERGY,
    US_FAT,
    US_GRAMS,
    US_LINES,
    US_SODIUM,
    US_TENS,
    US_TENTHS,
    Rounding,
    daily_percent,
    declared,
    declared_total,
    eu_declaration,
    eu_sums,
    metric_serving,
    serving_size,
    servings_per_container,
    us_panel,
    vitamin_percent,
)

LESS = "less than "
# (rounding, unit, [(amount, text)]); the clause is named beside each.
ROUNDED: list[tuple[str, Rounding, str, list[tuple[str, str]]]] = [
    # 101.9(c)(1): below 5 as 0, by 5 to 50, by 10 above.
    ("calories", US_ENERGY, "", [
        ("0", "0"), ("4.9", "0"), ("4.99", "0"), ("5", "5"), ("7.4", "5"), ("7.5", "10"), ("47", "45"), ("47.5", "50"),
        ("50", "50"), ("50.1", "50"), ("52", "50"), ("54.9", "50"), ("55", "60"), ("236", "240"), ("1044.9", "1040"),
    ]),
    # 101.9(c)(2), (2)(i), (2)(ii): below 0.5 as 0, by 0.5 below 5, by 1 from 5.
    ("fat", US_FAT, "g", [
        ("0.49", "0 g"), ("0.5", "0.5 g"), ("0.74", "0.5 g"), ("0.75", "1 g"), ("1.24", "1 g"), ("1.25", "1.5 g"),
        ("4.74", "4.5 g"), ("4.75", "5 g"), ("4.99", "5 g"), ("5", "5 g"), ("5.4", "5 g"), ("5.5", "6 g"),
        ("12.5", "13 g"),
    ]),
    # 101.9(c)(3): below 2 as 0, 2 to 5 "less than 5 mg", by 5 above.
    ("cholesterol", US_CHOLESTEROL, "mg", [
        ("1.9", "0 mg"), ("2", LESS + "5 mg"), ("4.9", LESS + "5 mg"), ("5", "5 mg"), ("5.1", "5 mg"),
        ("7.4", "5 mg"), ("7.5", "10 mg"), ("22", "20 mg"), ("22.5", "25 mg"),
    ]),
    # 101.9(c)(4): below 5 as 0, by 5 to 140, by 10 above.
    ("sodium", US_SODIUM, "mg", [
        ("4.9", "0 mg"), ("5", "5 mg"), ("7.4", "5 mg"), ("7.5", "10 mg"), ("138", "140 mg"), ("140", "140 mg"),
        ("140.1", "140 mg"), ("142", "140 mg"), ("145", "150 mg"), ("154.9", "150 mg"), ("155", "160 mg"),
        ("2304", "2300 mg"),
    ]),
    # 101.9(c)(6) with fibre, sugars, added sugars, sugar alcohol, and (c)(7) protein.
    ("gram nutrients", US_GRAMS, "g", [
        ("0", "0 g"), ("0.49", "0 g"), ("0.5", LESS + "1 g"), ("0.99", LESS + "1 g"), ("1", "1 g"), ("1.49", "1 g"),
        ("1.5", "2 g"), ("37.4", "37 g"),
    ]),
    # FDA's advice on amounts of vitamins and minerals; 0.1 below a daily value of 25, 10 from 250 (from memory).
    ("vitamin D and iron", US_TENTHS, "mg", [("0.04", "0 mg"), ("0.05", "0.1 mg"), ("7.95", "8 mg"), ("8", "8 mg")]),
    ("calcium and potassium", US_TENS, "mg", [("4.9", "0 mg"), ("5", "10 mg"), ("235", "240 mg"), ("260", "260 mg")]),
    # Guidance of 2012, table 4.
    ("EU energy", EU_ENERGY, "kJ", [("0.4", "0 kJ"), ("0.5", "1 kJ"), ("1158.4", "1158 kJ"), ("1158.5", "1159 kJ")]),
    ("EU grams", EU_GRAMS, "g", [
        ("0", "0 g"), ("0.01", "<0.5 g"), ("0.5", "<0.5 g"), ("0.51", "0.5 g"), ("0.54", "0.5 g"),
        ("0.55", "0.6 g"), ("2", "2.0 g"), ("9.94", "9.9 g"), ("9.95", "10 g"), ("10", "10 g"), ("10.4", "10 g"),
        ("10.5", "11 g"), ("26.5", "27 g"),
    ]),
    ("EU fatty acids", EU_FATTY_ACIDS, "g", [
        ("0", "0 g"), ("0.1", "<0.1 g"), ("0.11", "0.1 g"), ("0.14", "0.1 g"), ("0.15", "0.2 g"),
        ("9.94", "9.9 g"), ("9.95", "10 g"), ("10.5", "11 g"),
    ]),
    ("EU salt", EU_SALT, "g", [
        ("0", "0 g"), ("0.0125", "<0.01 g"), ("0.0126", "0.01 g"), ("0.0149", "0.01 g"), ("0.015", "0.02 g"),
        ("0.0175", "0.02 g"), ("0.994", "0.99 g"), ("0.995", "1.0 g"), ("1", "1.0 g"), ("1.25", "1.3 g"),
    ]),
]  # fmt: skip
CASES = [
    pytest.param(rounding, unit, amount, text, id=f"{name} {amount}")
    for name, rounding, unit, cases in ROUNDED
    for amount, text in cases
]


@pytest.mark.parametrize(("rounding", "unit", "amount", "text"), CASES)
def test_rounding(rounding: Rounding, unit: str, amount: str, text: str) -> None:
    assert declared(Decimal(amount), rounding, unit).text == text


ALL = [pytest.param(rounding, id=name) for name, rounding, _, _ in ROUNDED]


@pytest.mark.parametrize("rounding", ALL)
@given(st.decimals(0, 3000, places=4), st.decimals(0, 3000, places=4))
def test_a_larger_amount_is_never_declared_as_less(rounding: Rounding, one: Decimal, other: Decimal) -> None:
    """So that a part that is printed is never above its whole."""
    low, high = sorted((one, other))
    assert (declared(low, rounding).value or 0) <= (declared(high, rounding).value or 0)


def test_noise_of_binary_sums_breaks_no_tie() -> None:
    assert declared_total(_total(14.25 / 3), US_FAT, "g").text == "5 g"
    assert declared_total(_total(math.fsum([4.1, 0.65 - 1e-15])), US_FAT, "g").text == "5 g"


# ---- daily values ----------------------------------------------------------------------------------------------

# FDA's sample label (inputs from memory); (c)(9), (d)(7)(ii).
MACROS = [("FAT", 8, 10), ("FASAT", 1, 5), ("NA", 160, 7), ("CHOCDF", 37, 13), ("FIBTG", 4, 14), ("SUGAD", 10, 20)]
# (c)(8)(iii), (iv); potassium at 5.0 % is a tie between 4 and 6.
MICROS = [("VITD", 2, 10), ("CA", 260, 20), ("FE", 8, 45), ("K", 235, 6)]
DAILY = {line.tagname: line.daily_value or 0 for line in US_LINES}


@pytest.mark.parametrize(("tagname", "amount", "percent"), MACROS)
def test_percent_of_a_reference_value(tagname: str, amount: int, percent: int) -> None:
    assert daily_percent(Decimal(amount), DAILY[tagname]) == percent


@pytest.mark.parametrize(("tagname", "amount", "percent"), MICROS)
def test_percent_of_a_vitamin_or_mineral(tagname: str, amount: int, percent: int) -> None:
    assert vitamin_percent(Decimal(amount), DAILY[tagname]) == percent


# 101.9(c)(8)(iii) at its breakpoints, of a daily intake of 100.
STEPS = [("1.99", 0), ("2", 2), ("2.99", 2), ("3", 4), ("10", 10), ("10.1", 10), ("12.4", 10), ("12.5", 15),
         ("50", 50), ("50.1", 50), ("54.9", 50), ("55", 60), ("137", 140)]  # fmt: skip


@pytest.mark.parametrize(("amount", "percent"), STEPS)
def test_steps_of_vitamin_percents(amount: str, percent: int) -> None:
    assert vitamin_percent(Decimal(amount), 100) == percent


# 101.9(c)(8)(iv) and (c)(9), 2016 rule, adults and children of 4 or more.
def test_daily_values_are_those_of_2016() -> None:
    assert {name: value for name, value in DAILY.items() if value} == {
        "FAT": 78, "FASAT": 20, "CHOLE": 300, "NA": 2300, "CHOCDF": 275, "FIBTG": 28, "SUGAD": 50, "VITD": 20,
        "CA": 1300, "FE": 18, "K": 4700,
    }  # fmt: skip


# ---- how a serving is declared ---------------------------------------------------------------------------------

# 101.9(b)(8); FDA inspection guide to nutritional labelling, attachment 6.
CONTAINERS = [(1.4, "about 1 serving"), (2.35, "about 2.5 servings"), (2.72, "about 2.5 servings"),
              (3.1, "about 3 servings"), (4.6, "about 4.5 servings"), (5.6, "about 6 servings"),
              (7.5, "about 8 servings"), (4, "4 servings"), (2.5, "2.5 servings"), (1, "1 serving"),
              (0.4, "about 1 serving"), (2, "2 servings"), (4.75, "about 5 servings")]  # fmt: skip


@pytest.mark.parametrize(("servings", "text"), CONTAINERS)
def test_servings_per_container(servings: float, text: str) -> None:
    assert servings_per_container(servings) == f"{text} per container"


@pytest.mark.parametrize("servings", [0, -1, math.nan, math.inf])
def test_servings_have_to_be_some(servings: float) -> None:
    with pytest.raises(InputError) as caught:
        servings_per_container(servings)
    assert caught.value.pointer == "/servings"


# 101.9(b)(7): whole above 5, by 0.5 from 2 to 5, by 0.1 below 2.
METRIC = [(1.94, "1.9 g"), (1.95, "2 g"), (2, "2 g"), (2.24, "2 g"), (2.25, "2.5 g"), (5, "5 g"), (5.4, "5 g"),
          (5.5, "6 g"), (240.4, "240 g")]  # fmt: skip


@pytest.mark.parametrize(("grams", "text"), METRIC)
def test_metric_serving(grams: float, text: str) -> None:
    assert metric_serving(grams) == text


def test_a_serving_without_a_weight_says_so() -> None:
    assert serving_size(_total(None, known=40)) == "1 serving (weight not known)"
    assert serving_size(_total(236.4), "2 rolls") == "2 rolls (236 g)"


# ---- what is not known -----------------------------------------------------------------------------------------


def _total(value: float | None, *, known: float | None = None, high: float | None = None) -> Total:
    sure = (known or 0.0) if value is None else value
    return Total("FAT", "g", value, sure, sure, value if value is not None else high, () if value is not None else (1,))


# (known, high) of a total without a value; a lower bound is rounded down, so that it stays true.
PARTIAL = [(0.0, None, "not known"), (0.4, None, "not known"), (4.9, None, "at least 4.5 g"),
           (12.9, None, "at least 12 g"), (12.9, 13.2, "13 g"), (12.9, 40.0, "at least 12 g"), (0.1, 0.3, "0 g"),
           (0.0, 30.0, "not known")]  # fmt: skip


@pytest.mark.parametrize(("known", "high", "text"), PARTIAL)
def test_what_is_not_known_in_full(known: float, high: float | None, text: str) -> None:
    assert declared_total(_total(None, known=known, high=high), US_FAT, "g").text == text


# CIQUAL 2020, 13005 (banana) gives fat as "< 0,5" and saturates as "< 0,01"; guidance on tolerances (2012), table 4.
@pytest.mark.parametrize(("rounding", "known", "high", "text"), [
    (EU_GRAMS, 0.0, 0.5, "<0.5 g"), (EU_FATTY_ACIDS, 0.0, 0.01, "<0.1 g"), (EU_GRAMS, 0.0, 0.6, "not known"),
    (EU_GRAMS, 0.0, 0.0, "0 g"), (EU_SALT, 0.0, 0.01, "<0.01 g"), (US_GRAMS, 0.0, 0.9, "less than 1 g"),
    (US_GRAMS, 0.2, 0.4, "0 g"),
])  # fmt: skip
def test_less_than_something_is_true_below_its_bound(rounding: Rounding, known: float, high: float, text: str) -> None:
    assert declared_total(_total(None, known=known, high=high), rounding, "g").text == text


@pytest.mark.parametrize("rounding", ALL)
@given(st.decimals(0, 3000, places=4))
def test_a_lower_bound_is_no_guess(rounding: Rounding, known: Decimal) -> None:
    found = declared_total(_total(None, known=float(known)), rounding)
    assert found.state in ("at least", "not known")
    assert found.value is None or 0 < found.value <= known


# ---- panels of small dishes ------------------------------------------------------------------------------------

UNITS = {
    "ENERC_KCAL": "kcal",
    "ENERC_KJ": "kJ",
    "NA": "mg",
    "CHOLE": "mg",
    "CA": "mg",
    "FE": "mg",
    "K": "mg",
    "VITD": "µg",
}
NAMES = (*UNITS, "PROCNT", "FAT", "FASAT", "FATRN", "CHOCDF", "CHOAVLDF", "CHOAVL", "FIBTG", "SUGAR", "SUGAD", "POLYL",
         "ERYTHL", "ALLULOSE", "ALC", "WATER")  # fmt: skip
COMPONENTS = tuple(Component(name, name, name, UNITS.get(name, "g"), 1) for name in NAMES)
COLUMNS = {name: place for place, name in enumerate(NAMES)}
NONE_OF = dict.fromkeys(("FATRN", "CHOLE", "SUGAD", "ALC"), 0.0)


def food(
    line: int = 1, grams: float | None = 100, basis: str = "total", nitrogen: float | None = 6.25, **amounts: float
) -> Ingredient:
    row = np.full(len(NAMES), np.nan)
    for name, amount in amounts.items():
        row[COLUMNS[name]] = amount
    entry = FoodEntry("x:1", "Invented", nitrogen_factor=nitrogen)
    weight = None if grams is None else Spread(grams, grams, grams)
    return Ingredient(line, "invented", entry, row, weight, basis=basis)  # type: ignore[arg-type]


def dish(*foods: Ingredient) -> Dish:
    weight = sum(one.grams.value for one in foods if one.grams)
    spread = Spread(weight, weight, weight)
    return Dish("Plate", tuple(foods), spread, spread, "the weights of the lines")


def per_serving(made: Dish, servings: float = 1) -> Figures:
    return figures(made, COMPONENTS, NetConvention()).divided(servings)


# SR28 12061, per 100 g: almonds, nitrogen factor 5.18.
ALMONDS = {
    "ENERC_KCAL": 579, "PROCNT": 21.15, "FAT": 49.93, "FASAT": 3.802, "CHOCDF": 21.55, "FIBTG": 12.5, "SUGAR": 4.35,
    "NA": 1, "CA": 269, "FE": 3.71, "K": 733, "VITD": 0, **NONE_OF,
}  # fmt: skip


def us_texts(made: Dish, servings: float = 1) -> dict[str, tuple[str, str]]:
    rows = us_panel(per_serving(made, servings), servings=servings).rows
    return {row.tagname: (row.amount_text, row.daily_value_text) for row in rows}


def test_us_panel_of_almonds() -> None:
    """28.35 g of SR28 12061, rounded by 101.9(c) by hand."""
    assert us_texts(dish(food(grams=28.35, **ALMONDS))) == {
        "ENERC_KCAL": ("160", ""), "FAT": ("14 g", "18%"), "FASAT": ("1 g", "5%"), "FATRN": ("0 g", ""),
        "CHOLE": ("0 mg", "0%"), "NA": ("0 mg", "0%"), "CHOCDF": ("6 g", "2%"), "FIBTG": ("4 g", "13%"),
        "SUGAR": ("1 g", ""), "SUGAD": ("0 g", "0%"), "PROCNT": ("6 g", ""), "VITD": ("0 mcg", "0%"),
        "CA": ("80 mg", "6%"), "FE": ("1.1 mg", "6%"), "K": ("210 mg", "4%"),
    }  # fmt: skip


def test_a_us_panel_keeps_the_order_of_the_regulation_and_no_net_carbohydrate() -> None:
    found = us_panel(per_serving(dish(food(**ALMONDS))), servings=4)
    names = [row.name for row in found.rows]
    assert names == [
        "Calories", "Total fat", "Saturated fat", "Trans fat", "Cholesterol", "Sodium", "Total carbohydrate",
        "Dietary fiber", "Total sugars", "Includes added sugars", "Protein", "Vitamin D", "Calcium", "Iron",
        "Potassium",
    ]  # fmt: skip
    assert found.servings == "4 servings per container"
    assert CALCULATED in found.notes


def test_sugar_alcohol_has_a_row_where_there_is_some() -> None:
    assert us_texts(dish(food(**ALMONDS | {"POLYL": 12.2})))["POLYL"] == ("12 g", "")


def test_a_line_that_no_table_has_makes_every_row_a_lower_bound() -> None:
    unmatched = Ingredient(2, "unknown", None, None, None)
    for amount, percent in us_texts(dish(food(**ALMONDS), unmatched)).values():
        assert amount == "not known" or amount.startswith("at least ")
        assert percent == "" or percent.startswith("at least ")
    declaration = eu_of(dish(food(**ALMONDS), unmatched))
    assert all(text.startswith(("at least", "not known")) for text in declaration.values())


def test_a_component_that_no_table_has_is_not_known() -> None:
    small = tuple(one for one in COMPONENTS if one.tagname not in ("VITD", "SUGAD"))
    made = dish(Ingredient(1, "x", FoodEntry("x:1", "x"), np.zeros(len(small)), Spread(10, 10, 10)))
    texts = {row.tagname: row for row in us_panel(figures(made, small, NetConvention()), servings=1).rows}
    assert texts["VITD"].amount_text == "not known"
    assert texts["VITD"].daily_value_percent is None


def test_added_sugars_that_no_table_gives_are_bounded_by_the_sugars() -> None:
    lacking = {name: amount for name, amount in ALMONDS.items() if name != "SUGAD"}
    assert us_texts(dish(food(**lacking)))["SUGAD"] == ("not known", "")
    assert us_texts(dish(food(**lacking | {"SUGAR": 0.4})))["SUGAD"] == ("0 g", "0%")


PARTS = [("FASAT", "FAT"), ("FIBTG", "CHOCDF"), ("SUGAR", "CHOCDF"), ("SUGAD", "SUGAR")]


@given(
    st.tuples(*(st.floats(0, 60) for _ in range(5))), st.tuples(*(st.floats(0, 1) for _ in range(3))),
    st.integers(1, 12),
)  # fmt: skip
def test_a_reader_can_add_up(grams: tuple[float, ...], shares: tuple[float, ...], servings: int) -> None:
    """No part is above its whole; fibre and sugars fit into the carbohydrate, energy is near that of the macros."""
    protein, fat, fibre, sugars, starch = grams
    total = fibre + sugars + starch
    amounts = {"PROCNT": protein, "FAT": fat, "FASAT": fat * shares[0], "FATRN": fat * shares[1] * (1 - shares[0]),
               "CHOCDF": total, "FIBTG": fibre, "SUGAR": sugars, "SUGAD": sugars * shares[2],
               "ENERC_KCAL": 4 * protein + 9 * fat + 4 * total}  # fmt: skip
    rows = {row.tagname: row for row in us_panel(per_serving(dish(food(**amounts)), servings), servings=servings).rows}
    printed = {tagname: _printed(row.amount_text) for tagname, row in rows.items() if row.state == "known"}
    for part, whole in PARTS:
        assert printed[part] <= printed[whole]
    # Halves of the steps of rounding: 0.5 g each, with "less than 1 g" and 0 as they are printed up to 1 g off.
    assert printed["FIBTG"] + printed["SUGAR"] <= printed["CHOCDF"] + 2
    macros = 4 * printed["PROCNT"] + 9 * printed["FAT"] + 4 * printed["CHOCDF"]
    assert abs(macros - printed["ENERC_KCAL"]) <= 4 + 4.5 + 4 + 5


def _printed(text: str) -> float:
    return float(text.removeprefix(LESS).split(" ")[0])


@given(st.floats(0, 400), st.integers(1, 50))
def test_servings_add_up_to_the_whole_within_their_rounding(grams: float, servings: int) -> None:
    one = _printed(us_texts(dish(food(**ALMONDS | {"FAT": min(grams, 99.0)})), servings)["FAT"][0])
    assert abs(one * servings - min(grams, 99.0)) <= 0.5 * servings


# ---- EU and UK -------------------------------------------------------------------------------------------------


def eu_of(made: Dish, servings: float = 1) -> dict[str, str]:
    whole = figures(made, COMPONENTS, NetConvention())
    return {row.name: row.per_portion.text for row in _eu(made, servings, whole).rows}


def _eu(made: Dish, servings: float, whole: Figures) -> panel.EuDeclaration:
    return eu_declaration(made, COMPONENTS, grams=whole.grams, servings=servings)


def test_eu_declaration_of_almonds() -> None:
    """SR28 12061: protein 21.15 x 6.25 / 5.18 = 25.52; energy by Annex XIV 612.6 kcal, worked by hand."""
    found = _eu(dish(food(nitrogen=5.18, **ALMONDS)), 1, per_serving(dish(food(**ALMONDS))))
    assert [(row.name, row.per_100g.text if row.per_100g else "") for row in found.rows] == [
        ("energy in kJ", "2535 kJ"), ("energy in kcal", "613 kcal"), ("fat", "50 g"), ("saturates", "3.8 g"),
        ("carbohydrate", "9.1 g"), ("sugars", "4.4 g"), ("fibre", "13 g"), ("protein", "26 g"),
        ("salt", "<0.01 g"),
    ]  # fmt: skip
    assert found.portion == "1 portion (100 g)"
    assert not any("nitrogen factor" in note for note in found.notes)


def test_eu_energy_of_the_worked_example() -> None:
    """Regulation (EU) 1169/2011 Annex XIV: 279.2 kcal and 1158 kJ; fibre is outside the carbohydrate."""
    made = dish(food(PROCNT=10, FAT=20, CHOCDF=21, FIBTG=6, POLYL=5, ERYTHL=2, ALC=0))
    sums = {total.tagname: total for total in eu_sums(made, COMPONENTS).totals}
    assert sums["energy in kcal"].value == pytest.approx(279.2)
    assert sums["energy in kJ"].value == pytest.approx(1158)
    assert sums["carbohydrate"].value == pytest.approx(15)
    assert eu_of(made)["polyols"] == "5.0 g"


# Annex I, point 11; inputs in mg.
@pytest.mark.parametrize(("sodium", "salt"), [(400, "1.0 g"), (5, "<0.01 g"), (1000, "2.5 g"), (0, "0 g")])
def test_salt_is_sodium_times_two_and_a_half(sodium: float, salt: str) -> None:
    assert eu_of(dish(food(NA=sodium)))["salt"] == salt


def test_protein_without_a_nitrogen_factor_is_the_tables_own_and_says_so() -> None:
    made = dish(food(nitrogen=5.18, **ALMONDS), replace(food(line=3, nitrogen=None, **ALMONDS), text="leek"))
    found = _eu(made, 1, per_serving(made))
    assert {row.name: row.per_portion.text for row in found.rows}["protein"] == "47 g"  # 25.52 + 21.15
    assert any(note.startswith("For “leek” protein") for note in found.notes)


def test_a_packet_of_the_eu_is_taken_at_its_word() -> None:
    """Its carbohydrate is available already and its energy was worked out by the same factors."""
    packet = food(basis="available", nitrogen=None, ENERC_KCAL=250, ENERC_KJ=1040, PROCNT=8, FAT=10, CHOAVLDF=30)
    texts = eu_of(dish(packet))
    assert (texts["energy in kJ"], texts["energy in kcal"]) == ("1040 kJ", "250 kcal")
    assert texts["carbohydrate"] == "30 g"
    assert texts["fibre"] == "not known"


def test_polyols_count_as_carbohydrate_beside_a_sum_of_sugars_and_starch() -> None:
    """Annex I, points 7 and 9. AFCD 2, F009837: 4.1 g without, 28 g of polyols; Fineli 20, 37 says nothing of them."""
    texts = eu_of(dish(food(basis="available", CHOAVL=4.1, POLYL=28)))
    assert (texts["carbohydrate"], texts["polyols"]) == ("32 g", "28 g")
    assert eu_of(dish(food(basis="available", CHOAVL=1.7, CHOCDF=55.65, FIBTG=3.5)))["carbohydrate"] == "at least 1.7 g"


def test_energy_without_a_known_fibre_lies_between_all_and_none_of_it() -> None:
    """Annex XIV: 20 g of total carbohydrate give from 40 to 80 kcal."""
    [_, kcal, *_] = eu_sums(dish(food(PROCNT=0, FAT=0, CHOCDF=20)), COMPONENTS).totals
    assert (kcal.value, kcal.known, kcal.high) == (None, 40, 80)
    assert eu_of(dish(food(PROCNT=0, FAT=0, CHOCDF=20)))["energy in kcal"] == "at least 40 kcal"


# SR28 11209, raw eggplant: sugars 3.53 g, carbohydrate by difference less fibre 2.88 g.
EGGPLANT = {"CHOCDF": 5.88, "FIBTG": 3.0, "SUGAR": 3.53}


@pytest.mark.parametrize(("foods", "named"), [
    ([EGGPLANT], "“food 1”"),
    ([EGGPLANT, {"CHOCDF": 0, "FIBTG": 0, "SUGAR": 0}], "“food 1”"),
    ([EGGPLANT, {"CHOCDF": 7, "FIBTG": 1, "SUGAR": 3}], ""),
    ([{"CHOCDF": 5.88, "FIBTG": 3.0, "SUGAR": 2.88}], ""),
    ([{"CHOCDF": 5.88, "SUGAR": 3.53}], ""),
    ([EGGPLANT, {"CHOCDF": 7, "FIBTG": 1}], ""),
])  # fmt: skip
def test_sugars_that_stand_above_their_carbohydrate_are_explained(foods: list[dict[str, float]], named: str) -> None:
    made = dish(*(replace(food(line, **one), text=f"food {line}") for line, one in enumerate(foods, 1)))
    notes = [note for note in _eu(made, 1, per_serving(made)).notes if "sugars" in note.lower()]
    assert [named in note for note in notes] == ([True] if named else [])


def test_a_lower_bound_per_100_g_is_one_of_the_quotient() -> None:
    """10 g of fat in 180 to 220 g, beside fat that is not known, are 4.54 g or more in 100 g."""
    fat = food(FAT=10, CHOCDF=0, FIBTG=0, PROCNT=0)
    made = dish(fat, replace(food(line=2, CHOCDF=0, FIBTG=0, PROCNT=0), grams=Spread(100, 80, 120)))
    made = replace(made, cooked=Spread(200, 180, 220))
    rows = {row.name: row.per_100g for row in _eu(made, 1, per_serving(made)).rows}
    assert rows["fat"] is not None
    assert rows["fat"].text == "at least 4.5 g"


def test_allulose_is_named() -> None:
    made = dish(food(CHOCDF=90, FIBTG=0, ALLULOSE=90))
    assert any("Allulose" in note for note in _eu(made, 1, per_serving(made)).notes)


def test_without_a_weight_there_is_no_figure_per_100_g() -> None:
    made = dish(food(**ALMONDS), food(line=2, grams=None, **ALMONDS))
    found = _eu(made, 2, per_serving(made))
    assert all(row.per_100g is None for row in found.rows)
    assert found.portion == "1 portion (weight not known)"


@given(st.floats(0, 30), st.floats(0, 30), st.floats(0, 30), st.floats(0, 10))
def test_eu_energy_of_a_dish_is_that_of_its_foods(protein: float, fat: float, total: float, fibre: float) -> None:
    one = food(PROCNT=protein, FAT=fat, CHOCDF=total, FIBTG=min(fibre, total), ALC=0)
    other = food(line=2, grams=50, PROCNT=5, FAT=1, CHOCDF=9, FIBTG=2, ALC=0)
    sums = [
        [total.value or 0.0 for total in eu_sums(made, COMPONENTS).totals[:2]]
        for made in (dish(one, other), dish(one), dish(other))
    ]
    assert sums[0] == pytest.approx([a + b for a, b in zip(sums[1], sums[2], strict=True)])
