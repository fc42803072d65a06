"""The Canadian Nutrient File: invented files with every quirk of the published ones, faults, and the published ones."""

from __future__ import annotations

import zipfile
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from importers import cnf
from importers.release import ReleaseData
from service.core.errors import DataError
from service.core.food import FoodTable, HouseholdMeasure
from tests.importers.published import amounts, described, faults, food, published, replaced, write

NUTRIENTS = "NutrientID,NutrientCode,NutrientSymbol,NutrientUnit,NutrientName,NutrientNameF,Tagname,NutrientDecimals\n"
CODES = {"339": "328"}  # the component whose code differs from its number, and is used in its place once

TEXTS = {
    "FOOD NAME.csv": (
        "FoodID,FoodCode,FoodGroupID,FoodSourceID,FoodDescription,FoodDescriptionF,FoodDateOfEntry,"
        "FoodDateOfPublication,CountryCode,ScientificName\n"
        '12,12,1,0,"Mackerel, quay, smoked","Maquereau du quai, fumé",2001-01-01,,9040,Scomber inventus\n'
        "9,9,2,30,Sea biscuit,Biscuit de mer,2001-01-01,,18001,\n"
        "77,77,2,32,Kelp crisp,Croustille,2001-01-01,,18002,\n"),
    "FOOD GROUP.csv": (
        "FoodGroupID,FoodGroupCode,FoodGroupName,FoodGroupNameF\n"
        '1,1,Harbour Fish,"Poissons du port\n"\n2,2,Harbour Snacks,Grignotises\n'),
    "FOOD SOURCE.csv": (
        "FoodSourceID,FoodSourceCode,FoodSourceDescription,FoodSourceDescriptionF,,\n"
        "0,0,FOODS BASED ON DATA FROM USDA: NO CHANGES,AUCUNE,,\n"
        "30,11,FOOD BASED ON DATA FROM USDA.  FOOD HAS BEEN DELETED FROM USDA,RETIRÉ,,\n"),
    "NUTRIENT NAME.csv": NUTRIENTS + "".join(
        f'{row["number"]},{CODES.get(row["number"], row["number"])},X,{row["unit"]},"{row["name"]}",x,,1\n'
        for row in described("cnf")),
    "NUTRIENT SOURCE.csv": (
        "NutrientSourceID,NutrientSourceCode,NutrientSourceDescription,NutrientSourc DescriptionF\n"
        "0,0,No change from USDA,Provient\n12,12,Nutrient value is an assumed zero,Zéro\n"),
    "NUTRIENT AMOUNT.csv": (
        "FoodID,NutrientID,NutrientValue,StandardError,NumberofObservations,NutrientSourceID,NutrientDateOfEntry\n"
        "12,203,18.5,0.31,4,0,2010-04-16\n12,205,0,0,0,12,2010-04-16\n12,328,5.5,,,0,2010-04-16\n"
        "9,205,71.2,,,0,2010-04-16\n9,409,6.1,,,0,2010-04-16\n"),
    "MEASURE NAME.csv": (
        "MeasureID,MeasureDescription,MeasureDescriptionF,,\n"
        "1,125ml flaked,125ml émietté,,\n2,1/2 fillet,1/2 filet,,\n3,1 fish (500 g),1 poisson,,\n4,quaker,quaker,,\n"
        "5,10-12 kernels,10-12 graines,,\n"),
    "CONVERSION FACTOR.csv": (
        "FoodID,MeasureID,ConversionFactorValue,ConvFactorDateOfEntry\n12,1,0.40152,1997-05-01\n"
        "12,2,0.8,1997-05-01\n12,3,5,1997-05-01\n9,4,0.3,1997-05-01\n9,502468,0.9,2012-08-14\n9,5,0.055,1997-05-01\n"),
    "REFUSE AMOUNT.csv": (
        "FoodID,RefuseID,RefuseAmount,RefuseDateOfEntry\n12,750,46,1997-05-01\n12,751,33,2000-10-13\n"
        "12,752,13,2000-10-13\n9,750,0,1997-05-01\n"),
    "YIELD NAME.csv": (
        "YieldID,YieldDescription,YieldDescriptionF\n455,amount to make 100ml,quantité\n" + ",,\n" * 5000),
    "YIELD AMOUNT.csv": "FoodID,YieldID,YieldAmount,YieldDateofEntry,,,,\n12,455,22,2004-08-12,,,,\n",
}


@pytest.fixture
def invented(tmp_path: Path) -> ReleaseData:
    return cnf.read(write(tmp_path / "cnf", TEXTS, "cp1252"), verify=False)


def test_foods_come_in_order_of_id_with_both_names(invented: ReleaseData) -> None:
    assert [one.entry.id for one in invented.foods] == ["cnf:12", "cnf:77", "cnf:9"]
    smoked = food(invented, "12")
    assert (smoked.entry.description, smoked.original_name) == ("Mackerel, quay, smoked", "Maquereau du quai, fumé")
    assert (smoked.entry.group_name, smoked.entry.scientific_name) == ("Harbour Fish", "Scomber inventus")


@pytest.mark.parametrize(("code", "linked"), [
    ("12", ("sr28:09040",)), ("9", ()), ("77", ()),
], ids=["taken over", "deleted there", "source unknown"])
def test_only_foods_that_the_usda_still_has_are_linked(invented: ReleaseData, code: str,
                                                       linked: tuple[str, ...]) -> None:
    assert food(invented, code).linked == linked


def test_refuse_is_the_whole_not_the_sum_of_whole_and_parts(invented: ReleaseData) -> None:
    assert [(one.entry.code, one.entry.refuse_percent, one.refuse_stated) for one in invented.foods] == [
        ("12", 46.0, True), ("77", 0.0, False), ("9", 0.0, True)]


def test_measures_weigh_a_hundred_times_their_factor(invented: ReleaseData) -> None:
    assert food(invented, "12").entry.measures == (
        HouseholdMeasure(125, "ml flaked", 40.152, 1), HouseholdMeasure(0.5, "fillet", 80, 2),
        HouseholdMeasure(1, "fish (500 g)", 500, 3))


def test_a_measure_without_a_number_or_a_name(invented: ReleaseData) -> None:
    assert food(invented, "9").entry.measures == (
        HouseholdMeasure(1, "quaker", 30, 1), HouseholdMeasure(1, "10-12 kernels", 5.5, 2))


def test_values_keep_units_source_and_samples(invented: ReleaseData) -> None:
    assert amounts(invented, "12") == {"PROCNT": 18.5, "CHOCDF": 0.0, "VITD": 5.5}
    assert amounts(invented, "9") == {"CHOCDF": 71.2, "NIAEQ": 6.1}
    values = invented.values
    assert (values.samples[0], values.standard_error[0], values.source_codes[values.source[0]]) == (4, 0.31, "0")
    assert np.isnan(values.standard_error[1])  # 0 of no observation is no error


def test_a_zip_and_its_folder_are_read_alike(invented: ReleaseData, tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "cnf.zip", "w") as archive:
        for file in (tmp_path / "cnf").iterdir():
            archive.write(file, f"download/{file.name}")
    assert cnf.read(tmp_path / "cnf.zip", verify=False).foods == invented.foods


FAULTS = [
    (("NUTRIENT AMOUNT.csv", "18.5", "18,5"), "NUTRIENT AMOUNT.csv:2: 8 fields, 7 described"),
    (("NUTRIENT AMOUNT.csv", "18.5", "many"), "NUTRIENT AMOUNT.csv:2:NutrientValue: must be a number (value 'many')"),
    (("NUTRIENT AMOUNT.csv", "18.5", ""), "NUTRIENT AMOUNT.csv:2:NutrientValue: must not be empty"),
    (("NUTRIENT AMOUNT.csv", "18.5", "-1"), "NUTRIENT AMOUNT.csv:2:NutrientValue: must be from 0 to 1e+06"),
    (("NUTRIENT AMOUNT.csv", ",4,", ",4.5,"), "NUTRIENT AMOUNT.csv:2:NumberofObservations: must be a whole number"),
    (("NUTRIENT AMOUNT.csv", "12,205,", "12,203,"), "NUTRIENT AMOUNT.csv:3:food+component: stands twice"),
    (("NUTRIENT AMOUNT.csv", "9,409", "9,9999"), "NUTRIENT AMOUNT.csv:6:component: no such component (value '9999')"),
    (("NUTRIENT AMOUNT.csv", "9,409", "10,409"), "NUTRIENT AMOUNT.csv:6:food: no such food (value '10')"),
    (("NUTRIENT AMOUNT.csv", "12,2010", "13,2010"), "NUTRIENT AMOUNT.csv:3:source: no such nutrient source"),
    (("NUTRIENT AMOUNT.csv", "9,409,6.1", "9,409,6.1,\"torn\nrow\""), "NUTRIENT AMOUNT.csv:6: 8 fields, 7 described"),
    (("NUTRIENT AMOUNT.csv", "NutrientValue", "Value"), "NUTRIENT AMOUNT.csv:1:NutrientValue: the column 'Nutrient"),
    (("NUTRIENT AMOUNT.csv", "12,205,0", "12,339,0"), "NUTRIENT AMOUNT.csv:food+component: a food has two values"),
    (("NUTRIENT NAME.csv", "203,203,X,g", "203,203,X,kg"), "NUTRIENT NAME.csv:2:NutrientID: 203 is given in a unit"),
    (("NUTRIENT NAME.csv", "\n203,203", "\n999,999"), "NUTRIENT NAME.csv:2:NutrientID: is a component that nobody"),
    (("FOOD NAME.csv", "77,77", "9,9"), "FOOD NAME.csv:4:food: stands twice (value '9')"),
    (("FOOD NAME.csv", "9,9,2,", "9,9,3,"), "FOOD NAME.csv:3:group: no such food group (value '3')"),
    (("FOOD GROUP.csv", '"\n2', "\n2"), "FOOD GROUP.csv:2: cannot be parsed from here on"),
    (("MEASURE NAME.csv", "5,10", "6,10"), "CONVERSION FACTOR.csv:MeasureID: 33% of the measures have no name"),
    (("YIELD AMOUNT.csv", "YieldAmount", "Amount"), "YIELD AMOUNT.csv:1:YieldAmount: the column 'YieldAmount' is due"),
]


@pytest.mark.parametrize(("change", "fault"), FAULTS, ids=[fault[:60] for _, fault in FAULTS])
def test_a_fault_is_told_with_its_place(tmp_path: Path, change: tuple[str, str, str], fault: str) -> None:
    told = faults(cnf.read, write(tmp_path / "cnf", replaced(TEXTS, *change), "cp1252"))
    assert any(one.startswith(fault) for one in told), told


def test_faults_of_all_files_are_gathered(tmp_path: Path) -> None:
    texts = replaced(replaced(TEXTS, "NUTRIENT AMOUNT.csv", "18.5", "many"), "REFUSE AMOUNT.csv", "46", "146")
    told = faults(cnf.read, write(tmp_path / "cnf", texts, "cp1252"))
    assert [one.split(":")[0] for one in told] == ["NUTRIENT AMOUNT.csv", "REFUSE AMOUNT.csv"]


def test_utf8_is_not_read_as_windows_letters(tmp_path: Path) -> None:
    write(tmp_path / "cnf", TEXTS, "cp1252")
    write(tmp_path / "cnf", {"FOOD NAME.csv": TEXTS["FOOD NAME.csv"]}, "utf-8")
    assert faults(cnf.read, tmp_path / "cnf")[0].startswith("FOOD NAME.csv: is not in cp1252, as published")


def test_bytes_that_are_no_letters_are_told_with_their_line(tmp_path: Path) -> None:
    folder = write(tmp_path / "cnf", TEXTS, "cp1252")
    path = folder / "FOOD NAME.csv"
    path.write_bytes(path.read_bytes().replace(b"biscuit", b"b\x81scuit"))
    assert faults(cnf.read, folder)[0].startswith("FOOD NAME.csv:3: is not in cp1252")


@pytest.mark.parametrize("rows", ["", "FoodID,NutrientID,NutrientValue,StandardError,NumberofObservations,"
                                      "NutrientSourceID,NutrientDateOfEntry\n"], ids=["no line", "no row"])
def test_an_empty_table_is_a_fault(tmp_path: Path, rows: str) -> None:
    told = faults(cnf.read, write(tmp_path / "cnf", {**TEXTS, "NUTRIENT AMOUNT.csv": rows}, "cp1252"))
    assert told == ["NUTRIENT AMOUNT.csv: has no rows"]


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    folder = write(tmp_path / "cnf", TEXTS, "cp1252")
    (folder / "MEASURE NAME.csv").unlink()
    assert faults(cnf.read, folder) == ["MEASURE NAME.csv: is missing in cnf"]


def test_a_truncated_zip_is_told(tmp_path: Path) -> None:
    (tmp_path / "cnf.zip").write_bytes(b"PK\x03\x04" + b"\0" * 500)
    with pytest.raises(DataError, match=r"cnf\.zip: "):
        cnf.read(tmp_path / "cnf.zip")


def test_a_release_of_other_size_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=r"FOOD NAME\.csv: 3 rows read, 5,690 expected"):
        cnf.read(write(tmp_path / "cnf", TEXTS, "cp1252"))


def test_progress_reaches_its_total(tmp_path: Path) -> None:
    seen: list[tuple[int, int, str]] = []
    cnf.read(write(tmp_path / "cnf", TEXTS, "cp1252"), verify=False, progress=lambda *step: seen.append(step))
    assert seen[0][0] == 0
    assert seen[-1][0] == seen[-1][1]
    assert seen == sorted(seen)


# ---- the published files: Canadian Nutrient File 2015, CSV download ------------------------------------------------


@pytest.fixture
def real() -> ReleaseData:
    return published(cnf.read, "cnf/cnf_2015_csv.zip")


def test_published_counts(real: ReleaseData) -> None:
    """Counted in the files: 5,690 foods, 152 components; 19,505 measures less the 146 that have no name."""
    assert (len(real.foods), len(real.components), len(real.values)) == (5690, 152, 524_674)
    assert real.measures == 19_505 - 146
    assert real.carbohydrate_basis == "total"


# NUTRIENT AMOUNT.csv of the published download, rows of these FoodIDs.
FIGURES = [
    ("2", "PROCNT", 9.54), ("2", "FAT", 15.7), ("2", "CHOCDF", 5.91), ("2", "ASH", 1.67),
    ("1222", "FIBTG", 8.6), ("5543", "F16D0", 0.185),
]


@pytest.mark.parametrize(("code", "tagname", "amount"), FIGURES)
def test_published_figures(real: ReleaseData, code: str, tagname: str, amount: float) -> None:
    assert amounts(real, code)[tagname] == amount


def test_published_measures_and_refuse(real: ReleaseData) -> None:
    """CONVERSION FACTOR.csv: food 2, measure 341 is 0.40152; REFUSE AMOUNT.csv: food 600 is 46 = 33 + 13."""
    assert food(real, "2").entry.measures[0] == HouseholdMeasure(100, "ml", 40.152, 1)
    assert food(real, "600").entry.refuse_percent == 46


def test_values_taken_over_from_the_usda_equal_sr28(real: ReleaseData, sr28_table: FoodTable) -> None:
    """Nutrient source 0, "No change from USDA", in linked foods: 290,481 values, counted.

    281,057 equal SR28 to half a unit of the publisher's last digit. 5,297 are SR28's figure with fewer decimals, cut
    off (0.229 g as 0.22 g, entered in 2009) or rounded. 4,127 (1.4 %, in 574 foods) differ: most, 3,014, in 88 foods of
    which a fifth or more of all values do, as where a later release of the USDA has them analysed anew. No factor of
    units occurs among them more than by chance: no component is mapped amiss.
    """
    foods = {one.id: k for k, one in enumerate(sr28_table.foods)}
    places = {c.tagname: k for k, c in enumerate(sr28_table.components)}
    food_of = np.array([foods.get(one.linked[0], -1) if one.linked else -1 for one in real.foods])
    column_of = np.array([places.get(c.tagname, -1) for c in real.components])
    values = real.values
    food_, column = food_of[values.food], column_of[values.component]
    taken = (values.source == values.source_codes.index("0")) & (food_ >= 0) & (column >= 0)
    theirs = np.where(taken, sr28_table.amounts[food_, column], np.nan)
    known = ~np.isnan(theirs)
    ours, theirs, own = values.amount[known], theirs[known], values.food[known]
    half = np.array([0.5 * 10.0**-c.decimals for c in real.components])[values.component[known]]
    equal = np.abs(ours - theirs) <= half + 1e-9
    shorter = ~equal & has_fewer_decimals(ours, theirs)
    other = ~equal & ~shorter
    assert (len(ours), equal.sum(), shorter.sum(), other.sum()) == (290_481, 281_057, 5_297, 4_127)
    differing, all_of = (np.bincount(own[which], minlength=len(real.foods)) for which in (other, known[known]))
    anew = differing >= 0.2 * np.maximum(all_of, 1)
    assert ((differing > 0).sum(), anew.sum(), differing[anew].sum()) == (574, 88, 3_014)
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = (ours / theirs)[other & (theirs > 0)]
    assert all(np.isclose(ratios, times, rtol=1e-3).sum() <= 1 for times in (1000, 4.184, 6.25))


def has_fewer_decimals(ours: NDArray[np.float64], theirs: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Whether figures are others cut to at most two decimals, or rounded to two."""
    found = np.isclose(ours, np.round(theirs, 2), rtol=0, atol=1e-9)
    for scale in (1.0, 10.0, 100.0):
        found |= np.isclose(ours, np.floor(theirs * scale + 1e-9) / scale, rtol=0, atol=1e-9)
    return found


def test_linked_foods_are_the_same_foods(real: ReleaseData, sr28_table: FoodTable) -> None:
    """Of 4,012 foods linked to one that SR28 still has, two differ by more than 10 g in a proximate: frozen chips of
    sweet potato (with and without fat), and dietetic syrup.
    """
    foods = {one.id: k for k, one in enumerate(sr28_table.foods)}
    theirs = {c.tagname: k for k, c in enumerate(sr28_table.components)}
    ours = {c.tagname: k for k, c in enumerate(real.components)}
    pairs = [(k, foods[one.linked[0]]) for k, one in enumerate(real.foods) if one.linked and one.linked[0] in foods]
    own, other = (np.array(column) for column in zip(*pairs, strict=True))
    tags = ("WATER", "PROCNT", "FAT", "CHOCDF")
    gaps = np.abs(real.matrix()[np.ix_(own, [ours[tag] for tag in tags])]
                  - sr28_table.amounts[np.ix_(other, [theirs[tag] for tag in tags])])
    assert len(pairs) > 4000
    assert (np.nan_to_num(gaps).max(axis=1) > 10).sum() <= 2
