"""The Australian table: an invented workbook with every quirk of the published one, faults, and the published one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from importers import afcd
from importers.afcd.files import PROXIMATES, VOLUME, WEIGHT
from importers.release import ReleaseData
from service.core.errors import DataError
from service.core.food import HouseholdMeasure
from tests.importers.published import amounts, described, faults, food, published

Cells = list[list[object]]
Change = Callable[[Cells, Cells], object]

HEADER = ["Public Food Key", "Classification", "Food Name", *(one["number"] for one in described("afcd"))]
LIQUID_HEADER = ["Public Food Key", "Classification", "Food name", *PROXIMATES, "Caffeine (mg)"]


def proximates(*, water: float, carbohydrate: float) -> dict[str, object]:
    return {**dict.fromkeys(PROXIMATES, 0), PROXIMATES[0]: water, PROXIMATES[-1]: carbohydrate}


def workbook(path: Path, change: Change = lambda weight, volume: None) -> Path:
    """The invented workbook, whose sheets `change` may alter before they are written."""
    weight: Cells = [[name.replace(" (", " \n(") for name in HEADER], [None] * len(HEADER), [None] * len(HEADER)]
    cordial = proximates(water=60, carbohydrate=40) | {
        "Energy with dietary fibre, equated (kJ)": 418.4, "C20:5w3 (mg)": 250, "Tryptophan (mg)": 12.5,
        "Oxalic acid (g)": 0.02, "C4 (%T)": 3, "Vitamin A retinol equivalents (ug)": 7}
    chips = {"Maltitol (g)": 28, "Available carbohydrate, without sugar alcohols (g)": 4.1,
             "Available carbohydrate, with sugar alcohols (g)": 32.1}
    weight[1] = ["F000900", 11301, "Cordial, sea buckthorn", *map(cordial.get, HEADER[3:]), None, None]
    weight[2] = ["F000100", None, "Quay chip, no added sugar", *map(chips.get, HEADER[3:]), None, None]
    liquid = proximates(water=72, carbohydrate=48)
    volume: Cells = [list(LIQUID_HEADER), [None, None, None, *["per 100 mL"] * (len(LIQUID_HEADER) - 3)],
                     ["F000900", "11301", "Cordial, sea buckthorn", *(liquid[name] for name in PROXIMATES), 0]]
    change(weight, volume)
    book = openpyxl.Workbook()
    for title, rows in ((WEIGHT, weight), (VOLUME, volume)):
        sheet = book.create_sheet(title)
        for cells in rows:
            sheet.append(cells)
    book.save(path)
    return path


@pytest.fixture
def invented(tmp_path: Path) -> ReleaseData:
    return afcd.read(workbook(tmp_path / "table.xlsx"), verify=False)


def test_foods_come_in_order_of_key_with_group_where_given(invented: ReleaseData) -> None:
    assert [(one.entry.id, one.entry.group, one.entry.description) for one in invented.foods] == [
        ("afcd:F000100", "", "Quay chip, no added sugar"), ("afcd:F000900", "11301", "Cordial, sea buckthorn")]


def test_units_are_those_of_the_project(invented: ReleaseData) -> None:
    known = amounts(invented, "F000900")
    assert known["ENERC_KJ"] == 418.4
    assert known["ENERC_KCAL"] == pytest.approx(100)
    assert (known["F20D5"], known["TRP_G"], known["OXALAC"], known["VITA"]) == (0.25, 0.0125, 20, 7)


def test_carbohydrate_with_and_without_polyols_are_two_components(invented: ReleaseData) -> None:
    assert amounts(invented, "F000100") == {"MALTL": 28, "CHOAVL": 4.1, "CHOAVL_POLYL": 32.1}


def test_shares_of_fatty_acids_are_not_stored(invented: ReleaseData) -> None:
    assert not [c for c in invented.components if "%T" in c.unit or "%T" in c.number]
    assert "F4D0" not in amounts(invented, "F000900")


def test_a_liquid_weighs_what_its_two_rows_say(invented: ReleaseData) -> None:
    assert food(invented, "F000900").entry.measures == (HouseholdMeasure(100, "ml", 120, 1),)
    assert food(invented, "F000100").entry.measures == ()


def put(sheet: int, line: int, column: int, cell: object) -> Change:
    return lambda *sheets: sheets[sheet][line - 1].__setitem__(column, cell)


FAT = HEADER.index("Fat, total (g)")
FAULTS = [
    (put(0, 2, FAT, "much"), f"{WEIGHT}:2:Fat, total (g): must be a number (value 'much')"),
    (put(0, 2, FAT, -1), f"{WEIGHT}:2:Fat, total (g): must be from 0"),
    (put(0, 1, FAT, "Fat, total \n(mg)"), f"{WEIGHT}:1:Fat, total (g): the column 'Fat, total (g)' is due here"),
    (put(0, 3, 0, "F000900"), f"{WEIGHT}:3:code: stands twice (value 'F000900')"),
    (put(0, 3, 0, None), f"{WEIGHT}:3:Public Food Key: must not be empty"),
    (put(1, 1, 3, "Water (g)"), f"{VOLUME}:1:{PROXIMATES[0]}: this column is missing"),
    (put(1, 3, 0, "F000901"), f"{VOLUME}:3:Public Food Key: no such food (value 'F000901')"),
    (put(1, 3, 3, "wet"), f"{VOLUME}:3:{PROXIMATES[0]}: must be a number (value 'wet')"),
    (lambda weight, volume: weight.__delitem__(slice(1, 3)), f"{WEIGHT}: has no rows"),
]


@pytest.mark.parametrize(("change", "fault"), FAULTS, ids=[fault[:70] for _, fault in FAULTS])
def test_a_fault_is_told_with_its_place(tmp_path: Path, change: Change, fault: str) -> None:
    told = faults(afcd.read, workbook(tmp_path / "table.xlsx", change))
    assert any(one.startswith(fault) for one in told), told


def test_a_damaged_workbook_and_a_missing_sheet_are_told(tmp_path: Path) -> None:
    path = workbook(tmp_path / "table.xlsx")
    whole = path.read_bytes()
    path.write_bytes(whole[:len(whole) // 2])
    assert faults(afcd.read, path)[0].startswith("table.xlsx: cannot be read")
    openpyxl.Workbook().save(path)
    assert faults(afcd.read, path)[0].startswith("table.xlsx: cannot be read")


def test_a_release_of_other_size_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DataError, match="2 rows read, 1,616 expected"):
        afcd.read(workbook(tmp_path / "table.xlsx"))


# ---- the published file: release 2, nutrient file ------------------------------------------------------------------


@pytest.fixture
def real() -> ReleaseData:
    return published(afcd.read, "afcd")


def test_published_counts(real: ReleaseData) -> None:
    """1,616 foods, 189 of them liquids, as counted in the sheets; two foods have no classification."""
    assert (len(real.foods), real.measures, real.carbohydrate_basis) == (1616, 189, "available")
    assert [one.entry.code for one in real.foods if not one.entry.group] == ["F009803", "F009834"]


# The sheet per 100 g of the published workbook.
FIGURES = [
    ("F002258", "ENERC_KJ", 1236), ("F002258", "FIBTG", 28), ("F002258", "CHOAVL", 34.4), ("F002893", "VITA", 2500),
    ("F006545", "INULN", 3.9), ("F009837", "CHOAVL", 4.1), ("F009837", "CHOAVL_POLYL", 32.1), ("F009837", "MALTL", 28),
    ("F009837", "ERYTHL", 3.8),
]


@pytest.mark.parametrize(("code", "tagname", "amount"), FIGURES)
def test_published_figures(real: ReleaseData, code: str, tagname: str, amount: float) -> None:
    assert amounts(real, code)[tagname] == amount


CUPS = [("F006177", 216 / 2.36588), ("F005634", 244 / 2.36588), ("F004380", 339 / 2.36588)]


@pytest.mark.parametrize(("code", "grams"), CUPS, ids=["olive oil", "milk", "honey"])
def test_published_liquids(real: ReleaseData, code: str, grams: float) -> None:
    """Within 1 %: 100 ml weigh as much by the cups of SR28's foods 04053 (216 g), 01077 (244 g) and 19296 (339 g)."""
    assert food(real, code).entry.measures[0].grams == pytest.approx(grams, rel=0.01)
