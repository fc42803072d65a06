"""FoodData Central: invented downloads of every shape, faults with their place, and the published files."""

from __future__ import annotations

import errno
import json
import shutil
import subprocess
import sys
import time
import zipfile
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from importers import sr28
from importers.check import Findings
from importers.fdc import branded, foundation, rows, sr_legacy, survey
from importers.fdc.measures import read_leading_amount
from importers.fdc.publication import open_publication
from importers.release import QUALIFIERS, CodeText, Footnote, ReleaseData
from importers.tables import Column
from service.core.errors import DataError, StoreError
from service.core.food import Component, FoodEntry, HouseholdMeasure
from tests.benchmarks.branded import amount_of, write_download
from tests.importers.published import SAMPLES, amounts, published

FIXTURES = Path(__file__).parent / "fixtures" / "fdc"
SUPPORTING = FIXTURES / "supporting"
MODULES = {"foundation": foundation, "sr_legacy": sr_legacy, "survey": survey, "branded": branded}
SHAPES = {
    "foundation_2024": "foundation_2024-10-31", "foundation_2019": "foundation_2019-10-11",
    "sr_legacy": "sr_legacy_2018-04-01", "survey": "survey_2022-10-28", "branded": "branded_2024-10-31",
}


def read(shape: str, folder: Path | None = None) -> ReleaseData:
    module = MODULES[shape.removesuffix("_2024").removesuffix("_2019")]
    data: ReleaseData = module.read(folder or FIXTURES / SHAPES[shape], supporting=SUPPORTING, verify=False)
    return data


@pytest.fixture(scope="module")
def invented() -> ReleaseData:
    return read("foundation_2024")


# ---- Foundation: what the README of the data says is odd ---------------------------------------------------------


def test_a_food_keeps_all_that_is_published_of_it(invented: ReleaseData) -> None:
    food = invented.foods[1]
    assert food.entry == FoodEntry(
        id="fdc-foundation:800002", description="Dulse paste, harbour style", group="1600",
        group_name="Legumes and Legume Products", common_name="sea paste, dillisk paste", protein_factor=3.47,
        fat_factor=8.37, carbohydrate_factor=4.07, nitrogen_factor=6.25,
        measures=(HouseholdMeasure(1, "cup, drained", 129, 1), HouseholdMeasure(2, "tablespoon", 33, 2),
                  HouseholdMeasure(1, "jar, small", 71.5, 3)))
    assert invented.groups == (CodeText("0100", "Dairy and Egg Products"),
                               CodeText("1600", "Legumes and Legume Products"))


def test_only_foods_of_foundation_food_are_read_in_order_of_id(invented: ReleaseData) -> None:
    """Samples and superseded twins stand in food.csv and food_nutrient.csv too."""
    assert [food.entry.code for food in invented.foods] == ["1900003", "800002", "900004"]


def test_a_quoted_field_may_hold_a_line_break_and_quotes(invented: ReleaseData) -> None:
    assert invented.foods[0].entry.description == 'Gull egg, hard boiled,\nin brine "of the pier"'


@pytest.mark.parametrize(("code", "linked"), [
    ("800002", ("sr28:01079",)),  # published as 1079
    ("1900003", ("sr28:16158",)),
    ("900004", ()),  # 100147: six digits are later than SR28
])
def test_numbers_of_standard_reference_are_filled_to_five_digits(invented: ReleaseData, code: str,
                                                                 linked: tuple[str, ...]) -> None:
    assert {food.entry.code: food.linked for food in invented.foods}[code] == linked


ENERGIES = [
    ("800002", 88.0, ""),  # 1008 stands, whatever 2047 says
    ("1900003", 139.2, "Energy (208) is not published: Energy (Atwater Specific Factors) (958) stands in"),
    ("900004", 61.0, "Energy (208) is not published: Energy (Atwater General Factors) (957) stands in"),
]


@pytest.mark.parametrize(("code", "energy", "stated"), ENERGIES, ids=["published", "specific", "general"])
def test_energy_is_published_or_specific_or_general_and_stated(invented: ReleaseData, code: str, energy: float,
                                                               stated: str) -> None:
    assert amounts(invented, code)["ENERC_KCAL"] == energy
    notes = [note for food in invented.foods if food.entry.code == code for note in food.footnotes]
    assert [note.text for note in notes if note.component == "208"] == ([stated] if stated else [])


def test_the_two_fibres_are_two_components(invented: ReleaseData) -> None:
    found = amounts(invented, "800002")
    assert {tag: found[tag] for tag in ("FIBTG", "FIBTG_2011", "FIBSOL", "FIBINS")} == {
        "FIBTG": 1.7, "FIBTG_2011": 4.62, "FIBSOL": 0.6, "FIBINS": 0.9}


def test_sugars_by_sum_stand_in_only_where_the_total_is_absent(invented: ReleaseData) -> None:
    assert [amounts(invented, code).get("SUGAR") for code in ("800002", "1900003", "900004")] == [3.1, 1.2, None]
    assert [amounts(invented, code).get("269.3") for code in ("800002", "1900003", "900004")] == [3.1, 1.204, None]


def test_what_is_not_published_stays_unknown(invented: ReleaseData) -> None:
    assert "CHOCDF" not in amounts(invented, "1900003")
    assert amounts(invented, "900004") == {"957": 61.0, "ENERC_KCAL": 61.0, "2058": 0.4}


def test_a_nutrient_that_no_table_knows_is_no_fault_without_an_amount(invented: ReleaseData) -> None:
    """nutrient.csv of 2024 lacks 2066, which 27 rows name with an empty amount."""
    assert "2066" not in {component.number for component in invented.components}


def test_components_bear_the_units_and_tagnames_of_sr28(invented: ReleaseData) -> None:
    known = {component.tagname: component for component in invented.components}
    assert (known["VITD"].unit, known["VITD_IU"].unit, known["ENERC_KCAL"].unit) == ("µg", "IU", "kcal")
    assert known["2058"] == Component("2058", "2058", "Beta-glucan", "g", 3)  # neither tagname nor number
    assert known["FIBTG_2011"].number == "293"


def test_values_keep_samples_derivation_and_source(invented: ReleaseData) -> None:
    values = invented.values
    place = {component.tagname: k for k, component in enumerate(invented.components)}
    k = int(np.flatnonzero((values.food == 1) & (values.component == place["PROCNT"]))[0])
    assert (values.amount[k], values.samples[k], np.isnan(values.standard_error[k])) == (7.25, 3, True)
    assert values.derivation_codes[values.derivation[k]] == "A"
    assert values.source_codes[values.source[k]] == "1"
    k = int(np.flatnonzero((values.food == 0) & (values.component == place["SUGAR"]))[0])
    assert (values.derivation_codes[values.derivation[k]], values.source_codes[values.source[k]]) == ("", "")
    assert CodeText("NC", "Calculated") in invented.derivations
    assert CodeText("4", "Calculated or imputed") in invented.sources


def test_texts_of_derivations_may_be_missing(tmp_path: Path) -> None:
    """The download of 2024 has no table of derivations: without supporting data the values stand alone."""
    folder = shutil.copytree(FIXTURES / SHAPES["foundation_2024"], tmp_path / "foundation_2024-10-31")
    data = foundation.read(folder, verify=False)
    assert (data.derivations, set(data.values.derivation_codes)) == ((), {""})


def test_refuse_is_stated_where_the_parts_make_up_the_whole(invented: ReleaseData) -> None:
    egg, paste, _ = invented.foods
    assert (egg.entry.refuse_percent, egg.entry.refuse_text, egg.refuse_stated) == (11.5, "Shell", True)
    assert (paste.entry.refuse_percent, paste.refuse_stated) == (0.0, False)  # one part under two names


def test_comments_of_the_publisher_are_footnotes(invented: ReleaseData) -> None:
    egg, paste, _ = invented.foods
    assert egg.footnotes[0] == Footnote("", "D", "", "Shell taken off by hand")
    assert paste.footnotes[0] == Footnote("", "N", "293", "By the longer method")


def test_no_measure_is_made_of_zero_grams(invented: ReleaseData) -> None:
    assert [len(food.entry.measures) for food in invented.foods] == [1, 3, 0]
    assert invented.foods[0].entry.measures[0].text == "serving, NLEA, sliced"


def test_the_older_shape_takes_tables_from_supporting_data(invented: ReleaseData) -> None:
    older = read("foundation_2019")
    assert older.release == "2019-10-11"
    assert amounts(older, "800002") == {"PROCNT": 7.25, "ENERC_KCAL": 88.0}
    assert older.foods[0].entry.measures == (HouseholdMeasure(2, "tablespoon", 33, 1),)
    assert (older.foods[0].entry.refuse_percent, older.foods[0].entry.refuse_text) == (9.0, "Stalk")


def test_supporting_data_are_found_beside_the_download(tmp_path: Path) -> None:
    zipped(FIXTURES / SHAPES["foundation_2019"], tmp_path / "FoodData_Central_foundation_food_csv_2019-10-11.zip")
    with pytest.raises(DataError, match=r"nutrient\.csv: is missing in .* and no FoodData_Central_Supporting_Data"):
        foundation.read(next(tmp_path.glob("*.zip")), verify=False)
    zipped(SUPPORTING, tmp_path / "FoodData_Central_Supporting_Data_csv_2022-10-28.zip")
    data = foundation.read(next(tmp_path.glob("*foundation*.zip")), verify=False)
    assert len(data.values) == 2


def zipped(folder: Path, path: Path, inside: str = "") -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for file in sorted(folder.iterdir()):
            archive.write(file, f"{inside}{file.name}")
    return path


@pytest.mark.parametrize("inside", ["", "FoodData_Central_foundation_food_csv_2024-10-31/"])
def test_a_zip_is_read_in_place(tmp_path: Path, invented: ReleaseData, inside: str) -> None:
    path = zipped(FIXTURES / SHAPES["foundation_2024"], tmp_path / "foundation_2024-10-31.zip", inside)
    data = foundation.read(path, supporting=SUPPORTING)
    assert data.foods == invented.foods
    assert [file.name for file in tmp_path.iterdir()] == [path.name]


@pytest.mark.parametrize(("name", "release"), [
    ("FoodData_Central_foundation_food_csv_2024-10-31", "2024-10-31"),
    ("FoodData_Central_sr_legacy_food_csv_2018-04", "2018-04"),
    ("foundation", "2024-10-31"),  # the latest date of a food; one is written 8/16/2023
])
def test_a_release_is_named_by_its_date(tmp_path: Path, name: str, release: str) -> None:
    folder = shutil.copytree(FIXTURES / SHAPES["foundation_2024"], tmp_path / name)
    assert read("foundation_2024", folder).release == release


# ---- the other shapes --------------------------------------------------------------------------------------------


def test_unit_9999_means_that_the_modifier_is_the_measure() -> None:
    food = read("sr_legacy").foods[0]
    assert (food.entry.id, food.linked) == ("fdc-sr-legacy:167512", ("sr28:09003",))
    assert food.entry.measures == (HouseholdMeasure(1, "cup, crumbled", 80, 1),
                                   HouseholdMeasure(0.25, "round (large)", 12.5, 2))


def test_survey_foods_have_their_own_groups_names_and_measures() -> None:
    data = read("survey")
    entry = data.foods[0].entry
    assert (entry.id, entry.group, entry.group_name, entry.common_name) == (
        "fdc-survey:2705384", "1002", "Milk, whole", "goat; ewe")
    assert entry.measures == (HouseholdMeasure(1, "cup", 244, 1), HouseholdMeasure(1.5, "fl oz (no ice)", 45.8, 2))


def test_survey_values_may_name_nutrients_by_number_or_by_id() -> None:
    """Three-digit numbers in place of ids: from memory, of some survey downloads."""
    assert amounts(read("survey"), "2705384") == {"PROCNT": 3.3, "ENERC_KCAL": 61.0, "CHOCDF": 4.8}


@pytest.mark.parametrize(("text", "amount", "rest"), [
    ("1 cup", 1, "cup"), ("1/2 cup, NFS", 0.5, "cup, NFS"), ("1 1/2 fl oz", 1.5, "fl oz"), ("2 PIECES", 2, "PIECES"),
    ("0.25 cup (30 g)", 0.25, "cup (30 g)"), ("1-1/4 cups", 1.25, "cups"), ("piece", 1, "piece"), ("3", 1, "3"),
    ("12oz can", 1, "12oz can"), ("0 cup", 1, "0 cup"), ("1/0 cup", 1, "1/0 cup"), ("", 1, ""),
])
def test_the_amount_that_a_text_begins_with(text: str, amount: float, rest: str) -> None:
    assert read_leading_amount(text) == (amount, rest)


@given(st.text(max_size=30))
def test_no_text_breaks_the_reading_of_amounts(text: str) -> None:
    amount, rest = read_leading_amount(text)
    assert amount > 0
    assert rest or not text.split()


def test_branded_foods_are_the_latest_of_their_gtin_by_weight() -> None:
    """200002 is an older twin, 200003 counts by the millilitre, 300005 does not say by what."""
    data = read("branded")
    assert [food.entry.code for food in data.foods] == ["1100001", "1100004"]
    assert data.foods[0].entry.measures == (HouseholdMeasure(1.5, "pieces", 25, 1),)
    assert data.foods[1].entry.measures == (HouseholdMeasure(1, "serving", 28, 1),)
    assert (data.foods[0].manufacturer, data.foods[0].entry.common_name) == ("Pier Bakers", "Pier")


def test_a_label_value_below_or_above_a_limit_is_no_figure() -> None:
    data = read("branded")
    assert amounts(data, "1100004") == {"CHOCDF": 60.0}
    place = {component.tagname: k for k, component in enumerate(data.components)}
    below = (data.values.component == place["FIBTG"])
    assert data.values.qualifier is not None
    assert [QUALIFIERS[q] for q in data.values.qualifier[below]] == ["below"]
    assert data.values.amount[below].tolist() == [0.5]
    assert not (data.values.component == place["SUGAR"]).any()  # from a "greater than" value


# ---- faults ------------------------------------------------------------------------------------------------------

Alter = Callable[..., Path]


@pytest.fixture
def altered(tmp_path: Path) -> Alter:
    """`altered(shape, (file, old, new), ...)` is a copy of a download in which `old` is `new`, once each."""

    def make(shape: str, *changes: tuple[str, str, str]) -> Path:
        folder = shutil.copytree(FIXTURES / SHAPES[shape], tmp_path / SHAPES[shape])
        for file, old, new in changes:
            data = (folder / file).read_bytes()
            assert data.count(old.encode()) == 1, f"{old!r} must stand once in {file}"
            (folder / file).write_bytes(data.replace(old.encode(), new.encode("latin-1")))
        return folder

    return make


FAULTS = [
    ("foundation_2024", ("food_nutrient.csv", '"amount"', '"amounts"'), [
        "food_nutrient.csv:1:amount: column is missing",
        "food_nutrient.csv:1:amounts: column is not described in columns.csv"]),
    ("foundation_2024", ("food_nutrient.csv", '"9003","800002"', '"9003"'), [
        "food_nutrient.csv:4: 10 fields, the header has 11"]),
    ("foundation_2024", ("food.csv", '"800002","foundation_food"', '"800002","x","foundation_food"'), [
        "food.csv:3: 6 fields, the header has 5"]),
    ("foundation_2024", ("food.csv", '"900004","foundation_food"', '"900004"'), [
        "food.csv:7: 4 fields, the header has 5"]),  # a record above takes two lines
    ("foundation_2024", ("food_portion.csv", '"2.0","1001"', '"2,0","1001"'), [
        "food_portion.csv:2:amount: must be a number (value '2,0')"]),
    ("foundation_2024", ("food_portion.csv", '"71.5"', '"-71.5"'), [
        "food_portion.csv:4:gram_weight: must be from 0 to 100000 (value '-71.5')"]),
    ("foundation_2024", ("food_portion.csv", '"800002","1","1.0","1000"', '"800002","1","1.0","1777"'), [
        "food_portion.csv:3:measure_unit_id: no such measure unit (value '1777')"]),
    ("foundation_2024", ("food_nutrient.csv", '"7.25"', '"inf"'), [
        "food_nutrient.csv:5:amount: must be from 0 to 1e+09 (value 'inf')"]),
    ("foundation_2024", ("food_nutrient.csv", '"800002","1079"', '"800002","2033"'), [
        "food_nutrient.csv:8:food+nutrient: stands twice (value '800002 2033')"]),
    ("foundation_2024", ("food_nutrient.csv", '"900004","2058"', '"900004","2066"'), [
        "food_nutrient.csv:23:nutrient_id: no such component (value '2066')"]),
    ("foundation_2024", ("foundation_food.csv", '"900004"', '"1900003"'), [
        "foundation_food.csv:4:food: stands twice (value '1900003')"]),
    ("foundation_2024", ("foundation_food.csv", '"900004"', '"900005"'), [
        "foundation_food.csv:4:fdc_id: no such food (value '900005')"]),
    ("foundation_2024", ("food.csv", 'crisped","16"', 'crisped","17"'), [
        "food.csv:7:food_category_id: no such category (value '17')"]),
    ("foundation_2024", ("nutrient.csv", '"Beta-glucan","G"', '"Beta-glucan","OZ"'), [
        "nutrient.csv:16:unit_name: no such unit (value 'OZ')"]),
    ("foundation_2024", ("nutrient.csv", '"Protein","G"', '"Protein","MG"'), [
        "nutrient.csv:6:unit_name: PROCNT must be in g (value 'MG')"]),
    ("foundation_2024", ("nutrient.csv", '"1084"', '"1082"'), ["nutrient.csv:11:nutrient: stands twice"]),
    ("foundation_2024", ("food.csv", "harbour style\",", "harbour sty\xe9le\","), ["food.csv:3: is not UTF-8"]),
    ("foundation_2024", ("food.csv", "harbour style\",", "harbour \0sty\xe9le\","), [
        "food.csv:3: holds a null character", "food.csv:3: is not UTF-8"]),
    ("foundation_2024", ("food_attribute.csv", '"dillisk paste"', '"dillisk paste'), [
        "food_attribute.csv:4: a quote is not closed"]),
    ("foundation_2019", ("all_downloaded_table_record_counts.csv", '"food_nutrient","2"', '"food_nutrient","3"'), [
        "food_nutrient.csv: 2 rows read, 3 expected"]),
    ("sr_legacy", ("food_nutrient.csv", '"0","49"', '"0","48"'), [
        "food_nutrient.csv:3:derivation_id: no such derivation (value '48')"]),
    ("sr_legacy", ("food_nutrient_derivation.csv", '"Calculated","2"', '"Calculated","3"'), [
        "food_nutrient_derivation.csv:3:source_id: no such source (value '3')"]),
    ("sr_legacy", ("food_nutrient_derivation.csv", '"Calculated","2"', '"Calculated","inf"'), [
        "food_nutrient_derivation.csv:3:source_id: must be from 1 to 30000 (value 'inf')"]),
    ("survey", ("survey_fndds_food.csv", '"1002"', '"1003"'), [
        "survey_fndds_food.csv:2:category: no such category (value '1003')"]),
    ("branded", ("branded_food.csv", '"GRM"', '"STONE"'), [
        "branded_food.csv:2:serving_size_unit: no such unit (value 'STONE')"]),
    ("branded", ("branded_food.csv", '"200002"', '"1100004"'), ["branded_food.csv:3:food: stands twice"]),
    ("branded", ("branded_food.csv", '"200003"', '"200009"'), [
        "branded_food.csv:4:fdc_id: no such food (value '200009')"]),
    ("branded", ("food.csv", '"200003"', '"200002"'), [
        "food.csv:4:food: stands twice (value '200002')"]),
    ("branded", ("food_nutrient.csv", '"1100001","1005"', '"1100001","1003"'), [
        "food_nutrient.csv:11:food+nutrient: stands twice (value '1100001 1003')"]),
    ("branded", ("food_nutrient.csv", '"1100001","1008"', '"1100001","3000"'), [
        "food_nutrient.csv:4:nutrient_id: no such component (value '3000')"]),
    ("branded", ("food_nutrient.csv", '"340.0"', '"34O.0"'), [
        "food_nutrient.csv:4:amount: must be a number (value '34O.0')"]),
]


@pytest.mark.parametrize(("shape", "change", "faults"), FAULTS,
                         ids=[f"{shape}-{faults[0].split(' (')[0]}" for shape, _, faults in FAULTS])
def test_one_fault_is_told_once_with_its_place(altered: Alter, shape: str, change: tuple[str, str, str],
                                               faults: list[str]) -> None:
    with pytest.raises(DataError) as caught:
        read(shape, altered(shape, change))
    assert [str(fault)[:len(wanted)] for fault, wanted in zip(caught.value.faults, faults, strict=True)] == faults


def test_faults_of_all_tables_are_gathered(altered: Alter) -> None:
    changes = ("food_portion.csv", '"71.5"', '"-71.5"'), ("food_nutrient.csv", '"7.25"', '"x"')
    folder = altered("foundation_2024", *changes)
    with pytest.raises(DataError) as caught:
        read("foundation_2024", folder)
    assert [fault.file for fault in caught.value.faults] == ["food_nutrient.csv", "food_portion.csv"]


@pytest.mark.parametrize(("shape", "table"), [
    (shape, table) for shape, tables in {
        "foundation_2024": ("food.csv", "foundation_food.csv", "food_nutrient.csv", "food_portion.csv"),
        "sr_legacy": ("sr_legacy_food.csv",), "survey": ("survey_fndds_food.csv",),
        "branded": ("food.csv", "branded_food.csv", "food_nutrient.csv")}.items() for table in tables])
def test_a_missing_or_an_empty_table_is_told(altered: Alter, shape: str, table: str) -> None:
    folder = altered(shape)
    head = (folder / table).read_bytes().split(b"\n")[0] + b"\n"
    for content, message in ((head, "has no records"), (b"", "has no records"), (None, "is missing in")):
        (folder / table).unlink() if content is None else (folder / table).write_bytes(content)
        with pytest.raises(DataError) as caught:
            read(shape, folder)
        assert message in next(fault.message for fault in caught.value.faults if fault.file == table)


def test_no_part_is_given_before_every_fault_is_known(altered: Alter) -> None:
    folder = altered("branded", ("food_nutrient.csv", '"1100001","1005"', '"1100001","1003"'))
    with pytest.raises(DataError):
        next(branded.read_chunks(folder, part=1, supporting=SUPPORTING))


def test_scratch_files_go_when_reading_stops(tmp_path: Path) -> None:
    scratch = tmp_path / "scratch"
    scratch.mkdir()
    parts = branded.read_chunks(FIXTURES / SHAPES["branded"], part=1, scratch=scratch)
    next(parts)
    assert list(scratch.iterdir())
    parts.close()
    assert not list(scratch.iterdir())


def test_a_download_that_was_changed_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "FoodData_Central_foundation_food_csv_2024-10-31.zip"
    zipped(FIXTURES / SHAPES["foundation_2024"], path)
    with pytest.raises(DataError, match=r"is truncated: .* bytes, 3,258,886 expected"):
        foundation.read(path, supporting=SUPPORTING)
    assert len(foundation.read(path, supporting=SUPPORTING, verify=False).foods) == 3


@pytest.mark.parametrize("place", ["download", "supporting"])
def test_a_damaged_zip_is_told_by_its_name(tmp_path: Path, place: str) -> None:
    zips = {"download": zipped(FIXTURES / SHAPES["foundation_2019"], tmp_path / "download.zip"),
            "supporting": zipped(SUPPORTING, tmp_path / "supporting.zip")}
    data = zips[place].read_bytes()
    start = data.index(b"food_nutrient") + 40
    zips[place].write_bytes(data[:start] + b"\xff" * 20 + data[start + 20:])
    with pytest.raises(DataError, match=rf"{place}\.zip: is damaged or cut short"):
        foundation.read(zips["download"], supporting=zips["supporting"])


@pytest.mark.parametrize(("gtins", "kept"), [
    (("12345", "00012345"), 1), (("12345", "12346"), 2), (("0", "000"), 2), (("", ""), 2), (("12A", "12A"), 2),
])
def test_twins_have_the_same_gtin_whatever_zeros_lead_it(altered: Alter, gtins: tuple[str, str], kept: int) -> None:
    folder = altered("branded", ("branded_food.csv", '"09000000000011"', f'"{gtins[0]}"'),
                     ("branded_food.csv", '"9000000000011"', f'"{gtins[1]}"'))
    assert sum(food.manufacturer == "Pier Bakers" for food in read("branded", folder).foods) == kept


@pytest.mark.parametrize(("read_it", "shape"), [(foundation.read, "foundation_2024"), (branded.read, "branded")])
def test_progress_reaches_its_total(read_it: Callable[..., ReleaseData], shape: str) -> None:
    seen: list[tuple[int, int, str]] = []
    read_it(FIXTURES / SHAPES[shape], supporting=SUPPORTING, progress=lambda *step: seen.append(step))
    assert seen == sorted(seen)
    assert seen[-1][0] == seen[-1][1] > 0


# ---- laws --------------------------------------------------------------------------------------------------------

COLUMNS = (Column("a.csv", 1, "code", "text", False, -np.inf, np.inf, "code"),
           Column("a.csv", 2, "amount", "decimal", False, 0, 1000, "amount"),
           Column("a.csv", 3, "note", "text", False, -np.inf, np.inf, "note"))
TEXT = st.text(st.characters(codec="utf-8", exclude_characters="\r\0"), max_size=12)


@given(table=st.lists(st.tuples(TEXT, st.one_of(st.none(), st.floats(0, 1000)), TEXT), min_size=1, max_size=8),
       block=st.integers(8, 300))
@settings(deadline=None)
def test_what_was_written_is_read_back_whatever_the_block(tmp_path_factory: pytest.TempPathFactory,
                                                          table: list[tuple[str, float | None, str]],
                                                          block: int) -> None:
    frame = pd.DataFrame(table, columns=["code", "amount", "note"])
    path = tmp_path_factory.mktemp("back") / "a.csv"
    frame.to_csv(path, index=False, quoting=1, lineterminator="\n")
    findings = Findings("a")
    with path.open("rb") as stream:
        found = pd.concat(list(rows.read_blocks(stream, COLUMNS, findings, block=block)))
    assert findings.faults == ()
    read_back = [(code, None if amount != amount else amount, note)
                 for code, amount, note in found.itertuples(index=False)]
    assert read_back == table
    lines = [2]
    for code, _, note in table:
        lines.append(lines[-1] + 1 + code.count("\n") + note.count("\n"))
    assert found.index.tolist() == lines[:-1]


@pytest.mark.parametrize("part", [1, 7, 100, 1000])
def test_parts_are_the_release_whatever_their_size(tmp_path: Path, part: int) -> None:
    write_download(tmp_path / "branded", 100, values=3)
    parts = list(branded.read_chunks(tmp_path / "branded", part=part))
    whole = branded.join_parts(parts)
    codes = [food.entry.code for food in whole.foods]
    assert codes == sorted(codes)
    assert len(codes) == 100
    assert max(len(one.foods) for one in parts) == min(part, 100)
    assert len({(one.components, one.groups, one.derivations, one.release) for one in parts}) == 1
    place = {component.number: k for k, component in enumerate(whole.components)}
    expected = [amount_of(int(code) - 300_001, 0) for code in codes]
    assert whole.matrix()[:, place["203"]].tolist() == expected


def test_ids_of_unlike_length_are_in_order_of_text() -> None:
    ranks = branded._Ranks(np.array([12, 2_147_483_647, 3, 120, 1_000_000, 999_999, 12], np.int32))
    assert ranks.ids.tolist() == sorted(ranks.ids.tolist(), key=str)
    assert ranks.of(pd.Series([12.0, 13.0, 999_999.0, np.nan])).tolist() == [1, -1, 5, -1]


def test_memory_does_not_follow_the_number_of_products(tmp_path: Path) -> None:
    """At a tenth of the measured sizes, see tests/benchmarks/branded.py."""
    command = [sys.executable, "-m", "tests.benchmarks.branded", "--foods", "5000", "20000", "--values", "5", "--json",
               "--folder", str(tmp_path)]
    done = subprocess.run(command, check=True, capture_output=True, text=True, cwd=Path(__file__).parents[2])
    small, large = json.loads(done.stdout)
    assert (small["foods"], large["foods"]) == (5_000, 20_000)
    assert large["peak_mb"] < 500
    assert large["peak_mb"] - small["peak_mb"] < 100


# ---- the published files -----------------------------------------------------------------------------------------

NEWER, OLDER = (f"fdc/FoodData_Central_foundation_food_csv_{day}.zip" for day in ("2024-10-31", "2019-10-11"))


def release(place: str) -> ReleaseData:
    return published(foundation.read, place)


def table(place: str, name: str) -> pd.DataFrame:
    release(place)  # skips where the file is not at hand
    findings = Findings("published")
    with open_publication(SAMPLES / place, None, findings, verify=False) as publication:
        frame = publication.read(name)
    assert findings.faults == ()
    return frame


def test_row_counts_are_those_of_the_releases() -> None:
    """README of the files for 2024-10-31; all_downloaded_table_record_counts.csv for 2019-10-11."""
    newer, older = release(NEWER), release(OLDER)
    assert (len(newer.foods), newer.measures, len(newer.components)) == (316, 125, 226)
    assert (len(older.foods), older.measures) == (92, 122)
    food = table(NEWER, "food.csv")
    assert len(food) == 68_875
    assert (food["kind"] == "foundation_food").sum() == 316 + 71
    assert len(table(OLDER, "food.csv")) == 15_361


def test_every_published_value_is_read_and_stand_ins_are_added() -> None:
    data, values = release(NEWER), table(NEWER, "food_nutrient.csv")
    own = values[values["food"].isin({int(food.entry.code) for food in data.foods})]
    stated = sum("stands in" in note.text for food in data.foods for note in food.footnotes)
    assert (len(own), own["amount"].isna().sum()) == (14_298, 27)
    assert len(data.values) == 14_271 + stated


def test_energy_stands_as_the_readme_says() -> None:
    data = release(NEWER)
    notes = [note.text for food in data.foods for note in food.footnotes if note.component == "208"]
    counts = {factors: sum(factors in note for note in notes) for factors in ("Specific", "General")}
    known = data.matrix()[:, [c.tagname for c in data.components].index("ENERC_KCAL")]
    assert counts == {"Specific": 186, "General": 4}
    assert (~np.isnan(known)).sum() == 97 + 186 + 4


@pytest.mark.parametrize(("tagname", "foods"), [
    ("CHOCDF", 286), ("FIBTG", 166), ("FIBTG_2011", 34), ("FIBSOL", 10), ("FIBINS", 10), ("PROCNT", 305),
])
def test_components_are_known_for_as_many_foods_as_published(tagname: str, foods: int) -> None:
    """Counts of the README of the files; protein counted in food_nutrient.csv."""
    data = release(NEWER)
    column = data.matrix()[:, [c.tagname for c in data.components].index(tagname)]
    assert (~np.isnan(column)).sum() == foods


@pytest.mark.parametrize(("code", "figures"), [
    # food_nutrient.csv of release 2024-10-31, rows of that fdc_id
    ("746769", {"WATER": 94.7, "PROCNT": 1.24, "CHOCDF": 3.24, "FIBTG": 1.8, "FIBSOL": 0.1, "FIBINS": 1.7, "CA": 35.0,
                "ENERC_KCAL": 17.0, "958": 17.0, "957": 20.0, "SUGAR": 1.19}),  # romaine lettuce
    ("1105314", {"FIBTG": 1.7, "FIBTG_2011": 4.62, "CHOCDF": 23.0, "ENERC_KCAL": 97.0}),  # ripe banana
    ("328637", {"FAT": 34.0, "PROCNT": 23.3, "CHOCDF": 2.44, "CA": 707.0, "ENERC_KCAL": 408.0}),  # cheddar
])
def test_known_figures(code: str, figures: dict[str, float]) -> None:
    found = amounts(release(NEWER), code)
    assert {tagname: found[tagname] for tagname in figures} == figures


def test_foods_are_linked_to_sr28() -> None:
    linked = {link for food in release(NEWER).foods for link in food.linked}
    assert len(linked & {food.entry.id for food in reference().foods}) == 199


@cache
def reference() -> ReleaseData:
    return sr28.read(sr28.locate())


def test_units_are_those_of_sr28() -> None:
    units = {component.tagname: component.unit for component in reference().components}
    for data in (release(NEWER), release(OLDER)):
        assert [c for c in data.components if units.get(c.tagname, c.unit) != c.unit] == []


# Foods and median of |Foundation - SR28| / SR28 where SR28 has more than 0.5 per 100 g, measured on release 2024-10-31:
# other samples and later methods (fibre the most), none as far as a wrong unit or food would be.
@pytest.mark.parametrize(("tagname", "foods", "median"), [
    ("PROCNT", 177, 0.0526), ("FAT", 119, 0.0920), ("CHOCDF", 155, 0.0744), ("FIBTG", 103, 0.1374),
    ("ENERC_KCAL", 176, 0.0367), ("WATER", 191, 0.0102), ("SUGAR", 69, 0.0821),
])
def test_sr28_against_foundation_for_the_linked_foods(tagname: str, foods: int, median: float) -> None:
    differences = relative_differences(tagname)
    assert len(differences) == foods
    assert np.median(differences) == pytest.approx(median, abs=5e-5)


def relative_differences(tagname: str) -> list[float]:
    newer, older = release(NEWER), reference()
    places = {food.entry.id: k for k, food in enumerate(older.foods)}
    pairs = [(k, places[link]) for k, food in enumerate(newer.foods) for link in food.linked if link in places]
    here, there = (data.matrix()[:, [c.tagname for c in data.components].index(tagname)] for data in (newer, older))
    return [abs(here[a] - there[b]) / there[b] for a, b in pairs if there[b] > 0.5 and not np.isnan(here[a])]


def test_sr_legacy_shares_its_portions_with_sr28() -> None:
    """13,545 portions weigh the same in both: the issue that asked for this importer states it of the release 2018-04.

    Its download is not among the sample files of this project, so that the number was never counted here; put beside
    them under its publisher's name it is.
    """
    found = sorted((SAMPLES / "fdc").glob("FoodData_Central_sr_legacy_food_csv_2018-04*.zip"))
    if not found:
        pytest.skip(f"no SR Legacy of 2018-04 in {SAMPLES / 'fdc'}")
    weights = {food.entry.id: Counter((m.amount, m.grams) for m in food.entry.measures) for food in reference().foods}
    legacy = sr_legacy.read(found[0]).foods
    shared = [Counter((m.amount, m.grams) for m in food.entry.measures) & weights[link]
              for food in legacy for link in food.linked if link in weights]
    assert sum(one.total() for one in shared) == pytest.approx(13_545, rel=0.01)


def test_the_values_that_both_releases_share_are_equal() -> None:
    """70,671 rows of food_nutrient.csv, samples among them, stand in both for the same food and component."""
    keys = ["food", "nutrient"]
    older, newer = (table(path, "food_nutrient.csv")[[*keys, "amount"]] for path in (OLDER, NEWER))
    both = older.merge(newer, on=keys)
    assert len(both) == 70_671
    assert both["amount_x"].equals(both["amount_y"])
    foods = {food.entry.id for food in release(OLDER).foods} & {food.entry.id for food in release(NEWER).foods}
    assert len(foods) == 44
    for food in foods:
        before, after = (amounts(release(path), food.split(":")[1]) for path in (OLDER, NEWER))
        shared = before.keys() & after.keys()
        assert {tag: after[tag] for tag in shared} == {tag: before[tag] for tag in shared}


def test_the_older_release_states_refuse_of_meat_as_served() -> None:
    """food_component.csv of 2019-10-11: bone and cartilage 32.4 %, skin and separable fat 8.7 % of a drumstick."""
    stated = {food.entry.code: food for food in release(OLDER).foods if food.refuse_stated}
    assert stated["331897"].entry.refuse_percent == 41.1
    assert "334849" not in stated  # its list names parts of two dissections, which come to more than the whole


def test_foundation_is_read_in_time() -> None:
    release(NEWER)
    start = time.process_time()
    foundation.read(SAMPLES / NEWER)
    assert time.process_time() - start < 6


def test_branded_foods_need_room_for_scratch_files(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("importers.fdc.branded.pickle.dump", full)
    with pytest.raises(StoreError, match=r"needs room for scratch files.*No space left on device"):
        next(branded.read_chunks(FIXTURES / SHAPES["branded"], supporting=SUPPORTING, scratch=tmp_path, verify=False))
    assert list(tmp_path.iterdir()) == []
