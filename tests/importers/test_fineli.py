"""Fineli: invented files with every quirk of the published ones, faults, and the published ones."""

from __future__ import annotations

import contextlib
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from importers import fineli
from importers.release import CodeText, ReleaseData
from service.core.errors import DataError
from service.core.food import HouseholdMeasure
from tests.importers.published import amounts, described, faults, food, published, replaced, write

TEXTS = {
    "food.csv": (
        "FOODID;FOODNAME;FOODTYPE;PROCESS;EDPORT;IGCLASS;IGCLASSP;FUCLASS;FUCLASSP\n"
        "7;LAITURISILAKKA;FOOD;RAW;100;FISH;FISHTOT;FISHPROD;FISHTOT\n"
        "8;LAITURISILAKKA, RUOTOINEEN;FOOD;RAW;80;FISH;FISHTOT;FISHPROD;FISHTOT\n"
        "9;MERIJUURI, KUORINEEN;FOOD;RAW;85;FISH;FISHTOT;FISHPROD;FISHTOT\n"),
    "foodname_EN.csv": (
        'FOODID;FOODNAME;LANG\n7;HERRING, "QUAY", FILLET;EN\n8;HERRING, QUAY, WITH BONES;EN\n'
        "9;SEA ROOT, UNPEELED;EN\n"),
    "foodname_TX.csv": "FOODID;FOODNAME;LANG\n7;CLUPEA INVENTA;TX\n\n",
    "fuclass_EN.csv": "THSCODE;DESCRIPT;LANG\nFISHPROD;Fish products;EN\n",
    "component.csv": "EUFDNAME;COMPUNIT;CMPCLASS;CMPCLASSP\n" + "".join(
        f'{row["number"]};{row["unit"]};X;Y\n' for row in described("fineli")),
    "component_value.csv": (
        "FOODID;EUFDNAME;BESTLOC;ACQTYPE;METHTYPE;METHIND\n7;ENERC;418,4;S;S;MI0107\n7;CHOAVL;1,25;S;S;MI0181\n"
        "7;FIBC;;S;S;MI0107\n7;F18D2CN6;250;S;S;MI0107\n7;VITA;12;S;S;MI0107\n7;VITE;0,5;S;S;MI0107\n"
        "8;ENERC;334,72;S;S;MI0107\n8;CHOAVL;1,0;S;S;MI0181\n8;WATER;60;S;S;MI0107\n8;PROT;20,5;S;S;MI0107\n"
        "9;CHOAVL;15,5;S;S;MI0181\n9;WATER;79;S;S;MI0107\n9;CHOCDF;20,5;S;S;MI0107\n"),
    "acqtype_EN.csv": "THSCODE;DESCRIPT;LANG\nS;value created within host-system;EN\n",
    "methind_EN.csv": "THSCODE;DESCRIPT;LANG\nMI0107;Energy;EN\nMI0181;Sugar and starch;EN\n",
    "foodaddunit.csv": "FOODID;FOODUNIT;MASS\n7;DL;60,5\n8;KPL_M;150,00\n9;KPL_M;70,00\n",
    "foodunit_EN.csv": "THSCODE;DESCRIPT;LANG\nDL;decilitre;EN\nKPL_M;medium-sized piece;EN\n",
    "publication.csv": "PUBLID;CITATION;REFTYPE;ACQTYPE;DOI\n1257;A record that is torn\nin two;WW;E;\n",
}


@pytest.fixture
def invented(tmp_path: Path) -> ReleaseData:
    return fineli.read(write(tmp_path / "fineli", TEXTS, "latin-1"), verify=False)


def test_foods_have_english_finnish_and_scientific_names(invented: ReleaseData) -> None:
    herring = food(invented, "7")
    assert herring.entry.description == 'HERRING, "QUAY", FILLET'  # quotes are letters here
    assert (herring.original_name, herring.entry.scientific_name) == ("LAITURISILAKKA", "CLUPEA INVENTA")
    assert (herring.entry.group, herring.entry.group_name) == ("FISHPROD", "Fish products")


def test_units_are_those_of_the_project(invented: ReleaseData) -> None:
    assert amounts(invented, "7") == {
        "ENERC_KJ": 418.4, "ENERC_KCAL": pytest.approx(100), "CHOAVL": 1.25, "F18D2CN6": 0.25, "VITA_RAE": 12,
        "TOCPHA": 0.5}


def test_an_empty_value_is_unknown_not_zero(invented: ReleaseData) -> None:
    assert "FIBTG" in [c.tagname for c in invented.components]
    assert "FIBTG" not in amounts(invented, "7")


def test_a_food_with_its_refuse_is_brought_to_edible_grams(invented: ReleaseData) -> None:
    whole = food(invented, "8")
    assert (whole.entry.refuse_percent, whole.entry.measures[0].grams) == (20, 120)
    assert amounts(invented, "8")["CHOAVL"] == amounts(invented, "7")["CHOAVL"]
    assert amounts(invented, "8")["ENERC_KJ"] == pytest.approx(418.4)


def test_values_that_are_of_the_edible_part_already_stay(invented: ReleaseData) -> None:
    root = food(invented, "9")
    assert (root.entry.refuse_percent, root.entry.measures[0].grams) == (15, 59.5)
    assert amounts(invented, "9")["CHOAVL"] == 15.5


def test_measures_and_methods_keep_their_words(invented: ReleaseData) -> None:
    assert food(invented, "7").entry.measures == (HouseholdMeasure(1, "decilitre", 60.5, 1),)
    values = invented.values
    assert {values.derivation_codes[k] for k in values.derivation} == {"MI0107", "MI0181"}
    assert CodeText("MI0181", "Sugar and starch") in invented.derivations


FAULTS = [
    (("component_value.csv", "1,25", "1.25"), "component_value.csv:3:BESTLOC: must be a number (value '1.25')"),
    (("component_value.csv", "418,4", "418,4;"), "component_value.csv:2: 7 fields, 6 described"),
    (("component_value.csv", "7;FIBC", "7;CHOAVL"), "component_value.csv:4:food+component: stands twice"),
    (("component_value.csv", "7;VITA;", "7;VITX;"), "component_value.csv:6:component: no such component"),
    (("component_value.csv", "1,25;S;", "1,25;Q;"), "component_value.csv:3:source: no such acquisition type"),
    (("component.csv", "ENERC;KJ", "ENERC;KCAL"), "component.csv:2:EUFDNAME: ENERC is given in a unit other than 'KJ'"),
    (("component.csv", "ENERC;KJ", "XENERC;KJ"), "component.csv:EUFDNAME: this component is missing (value 'ENERC')"),
    (("component.csv", "COMPUNIT", "UNIT"), "component.csv:1:COMPUNIT: the column 'COMPUNIT' is due here"),
    (("component_value.csv", "9;WATER;79", "9;WATER;72"), "food.csv:4:EDPORT: proximates come to 92.5 g, neither"),
    (("food.csv", ";80;", ";0;"), "food.csv:3:EDPORT: must be from 1 to 100"),
    (("food.csv", "8;LAITURI", "7;LAITURI"), "food.csv:3:food: stands twice"),
    (("foodname_EN.csv", "8;HERRING", "5;HERRING"), "food.csv:3:food: no such English name (value '8')"),
    (("foodaddunit.csv", "7;DL", "7;JAR"), "foodaddunit.csv:2:unit: no such household measure (value 'JAR')"),
]


@pytest.mark.parametrize(("change", "fault"), FAULTS, ids=[fault[:60] for _, fault in FAULTS])
def test_a_fault_is_told_with_its_place(tmp_path: Path, change: tuple[str, str, str], fault: str) -> None:
    told = faults(fineli.read, write(tmp_path / "fineli", replaced(TEXTS, *change), "latin-1"))
    assert any(one.startswith(fault) for one in told), told


@settings(max_examples=60, deadline=None)
@given(file=st.sampled_from(sorted(TEXTS)), place=st.floats(0, 1, exclude_max=True), byte=st.integers(0, 255))
def test_a_file_with_one_byte_changed_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, file: str,
                                                         place: float, byte: int) -> None:
    folder = write(tmp_path_factory.mktemp("fineli"), TEXTS, "latin-1")
    data = bytearray((folder / file).read_bytes())
    data[int(place * len(data))] = byte
    (folder / file).write_bytes(data)
    with contextlib.suppress(DataError):
        assert len(fineli.read(folder, verify=False).foods) <= 3


def test_utf8_is_not_read_as_latin_letters(tmp_path: Path) -> None:
    texts = replaced(TEXTS, "foodname_TX.csv", "CLUPEA", "CLUPÉA")
    told = faults(fineli.read, write(tmp_path / "fineli", texts, "utf-8"))
    assert told[0].startswith("foodname_TX.csv: is not in latin-1, as published")


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "fineli", TEXTS, "latin-1")
    (folder / "component.csv").unlink()
    assert faults(fineli.read, folder) == ["component.csv: is missing in fineli"]


# ---- the published files: Fineli, release 20, open data package ----------------------------------------------------


@pytest.fixture
def real() -> ReleaseData:
    return published(fineli.read, "fineli/fineli_release20.zip")


def test_published_counts(real: ReleaseData) -> None:
    """1,424 foods; 55,948 values less 7 empty ones, plus the 1,422 energies in kcal; 7,300 measures."""
    assert (len(real.foods), len(real.components), len(real.values)) == (1424, 41, 55_948 - 7 + 1_422)
    assert (real.measures, real.carbohydrate_basis) == (7300, "available")


# component_value.csv of the published package.
FIGURES = [
    ("1", "ENERC_KJ", 1698.30), ("1", "CHOAVL", 99.9), ("1", "CHOCDF", 99.88), ("11049", "CHOAVL", 18.3),
    ("11049", "FIBTG", 1.8), ("11057", "CHOCDF", 7.47),
]


@pytest.mark.parametrize(("code", "tagname", "amount"), FIGURES)
def test_published_figures(real: ReleaseData, code: str, tagname: str, amount: float) -> None:
    assert amounts(real, code)[tagname] == amount


def test_published_measures(real: ReleaseData) -> None:
    """foodaddunit.csv: a medium banana is 125 g without, 190 g with its skin, of which food.csv has 67 % edible."""
    assert HouseholdMeasure(1, "medium-sized piece", 125, 2) in food(real, "11049").entry.measures
    assert food(real, "28934").entry.measures[1].grams == pytest.approx(190 * 0.67)


# With and without refuse, as food.csv names them.
WITH_REFUSE = [("28934", "11049"), ("28933", "11057"), ("28924", "11045"), ("28925", "11048"), ("28939", "11050")]


@pytest.mark.parametrize(("with_refuse", "without"), WITH_REFUSE)
def test_a_food_with_its_refuse_is_the_food_without(real: ReleaseData, with_refuse: str, without: str) -> None:
    whole, edible = amounts(real, with_refuse), amounts(real, without)
    for tagname in ("ENERC_KJ", "WATER", "CHOAVL", "FAT", "PROCNT"):
        assert whole[tagname] == pytest.approx(edible[tagname], rel=0.01, abs=0.02), tagname


def test_proximates_of_foods_with_refuse_add_up(real: ReleaseData) -> None:
    """Per 100 g edible, water, protein, fat, carbohydrate by difference and ash are 100 g; measured: 97.6 to 100.1."""
    for one in real.foods:
        if one.entry.refuse_percent:
            known = amounts(real, one.entry.code)
            assert 97 < sum(known[tag] for tag in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH")) < 101, one.entry


def test_carbohydrate_by_difference_holds_fibre(real: ReleaseData) -> None:
    """CHOCDF less CHOAVL less fibre has a median of 0: it is total carbohydrate, and not to be mixed with CHOAVL."""
    place = {c.tagname: k for k, c in enumerate(real.components)}
    matrix = real.matrix()
    rest = matrix[:, place["CHOCDF"]] - matrix[:, place["CHOAVL"]] - matrix[:, place["FIBTG"]]
    assert abs(np.nanmedian(rest)) < 0.01
