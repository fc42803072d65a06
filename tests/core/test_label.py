"""Own foods from labels: what is refused, what follows from the figures, what does not add up."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.core.errors import InputError
from service.core.label import (
    LABEL_PART_OF,
    OwnFood,
    checked,
    completed,
    composition,
    energy_ways,
    findings,
    household_measures,
)
from service.core.nutrients import net_carbohydrate
from service.tables.label_components import COLUMNS as COLUMNS_OF_TABLE
from service.tables.label_components import PATH, load_label_components
from service.tables.rows import read_rows

COMPONENTS = load_label_components()
COLUMNS = {component.tagname: place for place, component in enumerate(COMPONENTS)}


def own(basis: str = "100 g", /, carbs: str = "total", **more: Any) -> OwnFood:
    """A food of the lunch room; components are the keywords in capitals."""
    components = {name: more.pop(name) for name in list(more) if name.isupper()}
    fields = {"description": "Seed cracker", "basis": basis, "carbohydrate_basis": carbs, "components": components}
    return OwnFood(**(fields | more))


def amount(food: OwnFood, tagname: str) -> float | None:
    value = composition(food, COLUMNS)[COLUMNS[tagname]]
    return None if math.isnan(value) else float(value)


UNKNOWN = math.nan


# ---- refused ---------------------------------------------------------------------------------------------------

BAD = [
    (own(description="  "), "/description"),
    (own(description="x" * 501), "/description"),
    (own("100 oz"), "/basis"),
    (own(carbs="net"), "/carbohydrate_basis"),
    (own("serving", FAT=3), "/serving_grams"),
    (own("serving", serving_grams=0, FAT=3), "/serving_grams"),
    (own("serving", serving_grams=math.inf, FAT=3), "/serving_grams"),
    (own(serving_ml=-5), "/serving_ml"),
    (own("100 ml", grams_per_100_ml=0.9), "/grams_per_100_ml"),  # grams a millilitre, typed for grams of 100 ml
    (own("100 ml", serving_grams=240, serving_ml=24), "/serving_ml"),
    (own(FATT=3), "/components/FATT"),
    (own(FAT=-1), "/components/FAT"),
    (own(FAT=math.nan), "/components/FAT"),
    (own(FAT=math.inf), "/components/FAT"),
    (own(FAT=101), "/components/FAT"),
    (own("serving", serving_grams=5, FAT=6), "/components/FAT"),
    (own(NA=110_000), "/components/NA"),
    (own(ENERC_KCAL=2_000), "/components/ENERC_KCAL"),  # kJ typed for kcal
    (own(ENERC_KJ=5_000), "/components/ENERC_KJ"),
    (own("100 ml", SUGAR=115), "/components/SUGAR"),
    (own(CHOAVLDF=5), "/components/CHOAVLDF"),
    (own(measures=((1, "slice", 0),)), "/measures/0/grams"),
    (own(measures=((1, "slice", 30), (-1, "slice", 30))), "/measures/1/amount"),
    (own(measures=((1, " ", 30),)), "/measures/0/measure"),
]


@pytest.mark.parametrize(("food", "pointer"), BAD, ids=[f"{pointer} {place}" for place, (_, pointer) in enumerate(BAD)])
def test_what_cannot_be_is_refused_with_its_place(food: OwnFood, pointer: str) -> None:
    with pytest.raises(InputError) as caught:
        checked(food, COMPONENTS)
    assert caught.value.pointer == pointer


GOOD = [
    own(),
    own("serving", serving_grams=0.8, CHOCDF=1),  # a packet of sweetener: 21 CFR 101.9(c)(6) rounds to 1 g
    own("100 ml", grams_per_100_ml=140, SUGAR=115),
    own("100 ml", carbs="available", CHOCDF=4.5),
    own(FAT=100, ENERC_KCAL=902),  # SR28: pure fats at 9.02 kcal/g
]


@pytest.mark.parametrize("food", GOOD)
def test_what_can_be_is_left_as_it_is(food: OwnFood) -> None:
    assert checked(food, COMPONENTS) is food


# ---- what follows ----------------------------------------------------------------------------------------------

FOLLOWS = [
    # 1 kcal = 4.184 kJ (INFOODS, ENERC): butter of SR28 has 717 kcal
    ("kJ from kcal", own(ENERC_KCAL=717), {"ENERC_KJ": 2999.928}),
    ("kcal from kJ", own(ENERC_KJ=418.4), {"ENERC_KCAL": 100}),
    ("both energies as stated", own(ENERC_KCAL=279.2, ENERC_KJ=1158), {"ENERC_KCAL": 279.2, "ENERC_KJ": 1158}),
    # salt = sodium x 2.5, Regulation (EU) 1169/2011 Annex I
    ("salt from sodium", own(NA=400), {"NACL": 1.0}),
    ("sodium from salt", own(NACL=1.25), {"NA": 500}),
    ("total from available", own(carbs="available", CHOAVLDF=3.1, FIBTG=4.0), {"CHOCDF": 7.1, "CHOAVLDF": 3.1}),
    ("one carbohydrate, read by the basis", own(carbs="available", CHOCDF=3.1, FIBTG=4.0),
     {"CHOCDF": 7.1, "CHOAVLDF": 3.1}),
    ("total unknown without fibre", own(carbs="available", CHOAVLDF=3.1), {"CHOCDF": UNKNOWN, "FIBTG": UNKNOWN}),
    ("available from total", own(CHOCDF=12.6, FIBTG=3.1), {"CHOAVLDF": 9.5}),
    ("available unknown without fibre", own(CHOCDF=12.6), {"CHOAVLDF": UNKNOWN}),
    ("available is not below nothing", own(CHOCDF=3.1, FIBTG=4.0), {"CHOAVLDF": 0, "CHOCDF": 3.1}),
    ("fibre from its parts", own(FIBSOL=1.1, FIBINS=2.2), {"FIBTG": 3.3}),
    ("fibre from one part is unknown", own(FIBSOL=1.1), {"FIBTG": UNKNOWN, "FIBINS": UNKNOWN}),
    ("fibre as stated", own(FIBSOL=1, FIBINS=2, FIBTG=4), {"FIBTG": 4}),
    ("polyols by name", own(ERYTHL=2, MALTL=3), {"POLYL": 5, "XYLTL": UNKNOWN}),
    ("polyols as stated", own(ERYTHL=2, POLYL=5), {"POLYL": 5}),
    ("polyols stay inside either carbohydrate", own(carbs="available", CHOAVLDF=15, POLYL=5, FIBTG=6),
     {"CHOAVLDF": 15, "CHOCDF": 21, "POLYL": 5}),
    ("nothing stated is unknown", own(), dict.fromkeys(COLUMNS, UNKNOWN)),
    ("per serving", own("serving", serving_grams=30, PROCNT=6), {"PROCNT": 20}),
    ("per 100 ml", own("100 ml", grams_per_100_ml=103, PROCNT=3.09), {"PROCNT": 3.0}),
    ("per 100 ml, weight from the serving", own("100 ml", serving_ml=250, serving_grams=260, PROCNT=3.12),
     {"PROCNT": 3.0}),
    ("per 100 ml without a weight", own("100 ml", PROCNT=3.1), {"PROCNT": 3.1}),
]  # fmt: skip


@pytest.mark.parametrize(("food", "expected"), [case[1:] for case in FOLLOWS], ids=[case[0] for case in FOLLOWS])
def test_what_follows_from_a_label(food: OwnFood, expected: dict[str, float]) -> None:
    row = composition(food, COLUMNS)
    assert [row[COLUMNS[name]] for name in expected] == pytest.approx(list(expected.values()), rel=1e-12, nan_ok=True)


# Net carbohydrate of labels as carried per 100 g: fibre is taken off once (US) or not at all (EU); the US clamp is
# flagged; an unknown fibre leaves a US net unknown. Regulation (EU) 1169/2011 Annex I; common practice for "net".
NETS = [
    (own(carbs="available", CHOCDF=3.1, FIBTG=4.0), 3.1, ""),
    (own(CHOCDF=3.1, FIBTG=4.0), 0.0, "clamped; inconsistent input"),
    (own(CHOCDF=8.0), None, "fibre unknown: net unknown, total reported"),
    (own(CHOCDF=12.6, FIBTG=3.1, POLYL=4.2), 5.3, ""),
    (own(CHOCDF=9.4, FIBTG=2.2, ERYTHL=3.3), 3.9, ""),
]


@pytest.mark.parametrize(("food", "net", "flag"), NETS)
def test_net_carbohydrate_of_a_label(food: OwnFood, net: float | None, flag: str) -> None:
    tagname = "CHOCDF" if food.carbohydrate_basis == "total" else "CHOAVLDF"
    polyols = amount(food, "POLYL") or 0  # a label without polyols says that none were added
    found = net_carbohydrate(
        amount(food, tagname), amount(food, "FIBTG"), polyols=polyols, basis=food.carbohydrate_basis
    )
    assert (None if found.value is None else float(found.value), found.flag) == (net, flag)


def test_measures_of_a_food_with_its_serving_and_volume() -> None:
    food = own("100 ml", serving_ml=250, serving_grams=260, measures=((2, "slices", 18),))
    assert [(one.amount, one.text, one.grams) for one in household_measures(food)] == [
        (2, "slices", 18), (1, "serving", 260), (100, "ml", 104)
    ]  # fmt: skip
    assert household_measures(own()) == ()


# ---- what does not add up --------------------------------------------------------------------------------------

# A consistent pair of labels, by 4-4-9 and by Regulation (EU) 1169/2011: 22 P, 40 F, 30 carbohydrate, 12 fibre.
US_CRACKER = own(ENERC_KCAL=568, PROCNT=22, FAT=40, CHOCDF=30, FIBTG=12, SUGAR=3, FASAT=5, NA=600)
EU_CRACKER = own(carbs="available", ENERC_KCAL=544, ENERC_KJ=2256, PROCNT=22, FAT=40, CHOAVLDF=18, FIBTG=12, SUGAR=3,
                 FASAT=5, NACL=1.5)  # fmt: skip


def but(food: OwnFood, **changes: Any) -> OwnFood:
    components = {**food.components, **{name: value for name, value in changes.items() if name.isupper()}}
    fields = {name: value for name, value in changes.items() if not name.isupper()}
    return dataclasses.replace(food, components={k: v for k, v in components.items() if v is not None}, **fields)


ODD = [
    ("proximates over 100 g", but(US_CRACKER, FAT=60, ENERC_KCAL=748), "/components", "113.5"),
    ("proximates over the serving", own("serving", serving_grams=10, PROCNT=5, FAT=5, CHOCDF=5), "/components", "15"),
    ("energy far from the factors", but(US_CRACKER, ENERC_KCAL=350), "/components/ENERC_KCAL", "no fibre counted"),
    ("energy by the other basis", but(US_CRACKER, CHOCDF=18, FIBTG=35, FAT=20, PROCNT=10, ENERC_KCAL=362),
     "/components/ENERC_KCAL", "available carbohydrate"),
    ("energy for fibre not stated", but(EU_CRACKER, FIBTG=None, PROCNT=2, FAT=1, CHOAVLDF=5, ENERC_KCAL=190,
                                        ENERC_KJ=None, FASAT=None), "/components/ENERC_KCAL", "fibre"),
    ("kJ and kcal disagree", but(EU_CRACKER, ENERC_KJ=1900), "/components/ENERC_KJ", "2276"),
    ("fibre over total carbohydrate", but(US_CRACKER, FIBTG=34), "/components/FIBTG", "EU, UK"),
    ("sugars over carbohydrate", but(EU_CRACKER, SUGAR=20), "/components/SUGAR", "CHOAVLDF"),
    ("saturates over fat", but(EU_CRACKER, FASAT=42), "/components/FASAT", "FAT"),
    ("soluble fibre over fibre", but(EU_CRACKER, FIBSOL=14), "/components/FIBSOL", "FIBTG"),
    ("polyols over carbohydrate", but(EU_CRACKER, POLYL=20, ERYTHL=20), "/components/POLYL", "CHOAVLDF"),
    ("a polyol over polyols", but(EU_CRACKER, POLYL=5, ERYTHL=8), "/components/ERYTHL", "POLYL"),
    ("polyols by name over polyols", but(EU_CRACKER, POLYL=5, ERYTHL=4, XYLTL=4), "/components/POLYL", "8"),
    ("parts of fibre unlike the total", but(EU_CRACKER, FIBSOL=2, FIBINS=7), "/components/FIBTG", "9"),
    ("available and fibre unlike the total", but(EU_CRACKER, CHOCDF=40), "/components/CHOCDF", "30"),
    ("sugars and polyols over carbohydrate", but(EU_CRACKER, SUGAR=12, POLYL=12), "/components/CHOAVLDF", "24"),
    ("sugars and fibre over total carbohydrate", but(US_CRACKER, SUGAR=25), "/components/CHOCDF", "37"),
    ("sodium and salt disagree", but(EU_CRACKER, NA=300), "/components/NACL", "0.75"),
    ("allulose over carbohydrate", but(US_CRACKER, ALLULOSE=40), "/components/ALLULOSE", "CHOCDF"),
    ("added sugars over sugars", but(US_CRACKER, SUGAD=5), "/components/SUGAD", "SUGAR"),
    ("a volume without a weight", own("100 ml", CHOCDF=3), "/grams_per_100_ml", "assumed"),
    ("carbohydrate read by the basis", but(EU_CRACKER, CHOAVLDF=None, CHOCDF=18), "/components/CHOCDF", "available"),
]  # fmt: skip


@pytest.mark.parametrize(("food", "pointer", "words"), [case[1:] for case in ODD], ids=[case[0] for case in ODD])
def test_what_does_not_add_up_is_pointed_out(food: OwnFood, pointer: str, words: str) -> None:
    checked(food, COMPONENTS)
    assert any(found.pointer == pointer and words in found.text for found in findings(food)), findings(food)


SOUND = {
    "US": US_CRACKER,
    "EU": EU_CRACKER,
    "rounded US serving": own("serving", serving_grams=28, ENERC_KCAL=160, PROCNT=6, FAT=14, CHOCDF=6, FIBTG=4, SUGAR=1,
                              FASAT=1, FATRN=0, NA=0),  # SR28 12061, an ounce of almonds, rounded by 21 CFR 101.9(c)
    "packet of sweetener": own("serving", serving_grams=0.8, ENERC_KCAL=0, PROCNT=0, FAT=0, CHOCDF=1, SUGAR=0),
    "pure erythritol, EU": own(carbs="available", ENERC_KCAL=0, ENERC_KJ=0, PROCNT=0, FAT=0, CHOAVLDF=100, POLYL=100,
                               ERYTHL=100, SUGAR=0, FIBTG=0, NACL=0),
    "pure allulose, US": own("serving", serving_grams=4, ENERC_KCAL=0, PROCNT=0, FAT=0, CHOCDF=4, ALLULOSE=4, SUGAR=0),
    "fibre over available carbohydrate": own(carbs="available", ENERC_KCAL=186, PROCNT=3, FAT=1.3, CHOAVLDF=1,
                                             FIBTG=79, SUGAR=0),
    "sodium and salt agree": but(EU_CRACKER, NA=600),
    "parts of fibre make the total": but(US_CRACKER, FIBSOL=2.5, FIBINS=9.5),
    "worked example of both energies": own(carbs="available", ENERC_KCAL=279.2, ENERC_KJ=1158, PROCNT=10, FAT=20,
                                           CHOAVLDF=15, POLYL=5, ERYTHL=2, FIBTG=6),
    "nothing stated": own(),
}  # fmt: skip


@pytest.mark.parametrize("food", SOUND.values(), ids=SOUND)
def test_a_sound_label_has_no_findings(food: OwnFood) -> None:
    checked(food, COMPONENTS)
    assert findings(food) == ()


def test_energy_by_the_us_ways() -> None:
    # 21 CFR 101.9(c)(1)(i): maltitol 2.1, xylitol 2.4, erythritol 0; allulose 0.4 (85 FR 66217): 10.5 + 9.6 + 0 + 3.2
    food = own(PROCNT=0, FAT=0, CHOCDF=27, MALTL=5, XYLTL=4, ERYTHL=10, ALLULOSE=8)
    assert energy_ways(food) == pytest.approx({"4-4-9": 108, "4-4-9, sweeteners by their own factors": 23.3})
    fibre = own(PROCNT=0, FAT=0, CHOCDF=10, FIBTG=6, FIBSOL=2)
    assert energy_ways(fibre)["4-4-9, soluble fibre at 2 kcal and no other fibre"] == pytest.approx(20)


def test_energy_by_the_eu_way() -> None:
    # Regulation (EU) 1169/2011 Annex XIV, worked in kcal: 40 + 180 + 40 + 7.2 + 12
    food = own(carbs="available", PROCNT=10, FAT=20, CHOAVLDF=15, POLYL=5, ERYTHL=2, FIBTG=6)
    assert list(energy_ways(food).values()) == [pytest.approx(279.2)]


# ---- laws ------------------------------------------------------------------------------------------------------

grams = st.floats(0, 30, allow_nan=False).map(lambda number: round(number, 1))
labels = st.dictionaries(
    st.sampled_from(["PROCNT", "FAT", "CHOCDF", "FIBTG", "FIBSOL", "ERYTHL", "POLYL", "NA"]), grams
)
bases = st.sampled_from(["total", "available"])


@given(labels, bases, st.floats(1, 500))
def test_the_basis_changes_nothing_but_the_scale(components: dict[str, float], basis: Any, serving: float) -> None:
    per_100 = OwnFood("x", carbohydrate_basis=basis, components=components)
    share = {tagname: amount * serving / 100 for tagname, amount in components.items()}
    served = OwnFood("x", "serving", serving, carbohydrate_basis=basis, components=share)
    np.testing.assert_allclose(composition(served, COLUMNS), composition(per_100, COLUMNS), rtol=1e-9, atol=1e-9)


@given(labels, bases)
def test_what_is_stated_stays_as_stated(components: dict[str, float], basis: Any) -> None:
    known = completed(OwnFood("x", carbohydrate_basis=basis, components=components))
    for tagname, stated in components.items():
        read_as = "CHOAVLDF" if tagname == "CHOCDF" and basis == "available" else tagname
        assert known[read_as] == stated
    if "FIBTG" in known and "CHOCDF" in known and basis == "available":
        assert known["CHOCDF"] == pytest.approx(known["CHOAVLDF"] + known["FIBTG"], abs=1e-12)


@given(st.dictionaries(st.sampled_from(list(COLUMNS)), st.floats(0, 1e5) | st.integers(0, 10_000)), bases)
def test_findings_of_anything_are_found_without_error(components: dict[str, float], basis: Any) -> None:
    for found in findings(OwnFood("x", carbohydrate_basis=basis, components=components)):
        assert found.pointer.startswith("/")
        assert found.text


# ---- the components of labels ----------------------------------------------------------------------------------


def test_parts_are_those_of_the_table() -> None:
    parts = {row.text("tagname"): row.text("part_of") for row in read_rows(PATH, COLUMNS_OF_TABLE, key=("tagname",))}
    assert {part: whole for part, whole in parts.items() if whole} == LABEL_PART_OF


def test_components_that_sr28_has_are_named_as_there(sr28_table: Any) -> None:
    known = {component.tagname: component for component in sr28_table.components}
    assert [one for one in COMPONENTS if one.tagname in known and known[one.tagname] != one] == []
