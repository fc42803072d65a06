"""The tables of cooking: they load, agree with their publishers' files, and a bad row is named by its place."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Any

import pytest

import service.tables
from service.core.cooking import RETAINED
from service.core.errors import TableError
from service.core.food import FoodTable
from service.tables.cooking import load_cooking_tables
from service.tables.rows import TableRow, read_rows

FOLDER = Path(service.tables.__file__).parent
NAMES = ("treatments.csv", "cooking_kinds.csv", "retention.csv", "cooking_yields.csv")
SAMPLES = Path(os.environ.get("GRAMWRIGHT_SAMPLE_DATA", "../shared/data"))
TABLES = load_cooking_tables(FOLDER)

# Component numbers of the retention file behind our columns, in the numbering of SR28.
NUMBERS = {
    "CA": 301, "FE": 303, "MG": 304, "P": 305, "K": 306, "NA": 307, "ZN": 309, "CU": 312, "VITC": 401, "THIA": 404,
    "RIBF": 405, "NIA": 406, "VITB6A": 415, "FOL": 417, "CHOLN": 421, "VITB12": 418, "VITA": 318, "CARTB": 321,
    "ALC": 221,
}  # fmt: skip


def rows_of(name: str) -> list[TableRow]:
    with (FOLDER / name).open(encoding="utf-8") as file:
        columns = file.readline().strip().split(",")
    return read_rows(FOLDER / name, columns, key=columns)


def sheet(path: str) -> list[tuple[Any, ...]]:
    """Rows of a publisher's workbook."""
    openpyxl = pytest.importorskip("openpyxl")
    if not (SAMPLES / path).exists():
        pytest.skip(f"no sample file {path}: GRAMWRIGHT_SAMPLE_DATA names their folder")
    workbook = openpyxl.load_workbook(SAMPLES / path, read_only=True)
    return list(workbook.worksheets[0].iter_rows(values_only=True))


# ---- the publishers' files -------------------------------------------------------------------------------------


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_retention_factors_are_those_of_the_publisher() -> None:
    published: dict[tuple[int, int], float | None] = {}
    for code, _, _, number, _, percent, *_ in sheet("retention/USDAcookingretn06.xlsx"):
        published[code, number] = percent
    compared = 0
    for row in rows_of("retention.csv"):
        for code in row.text("code").split():
            for name, number in NUMBERS.items():
                if percent := published.get((int(code), number)):
                    if name == "ALC" or row.text("kind") != "alcohol":
                        assert float(row.text(name) or 1) == percent / 100, (code, name)
                        compared += 1
    assert compared > 2400


@pytest.mark.filterwarnings("ignore::UserWarning")
def test_cooking_yields_are_those_of_the_publisher() -> None:
    published = sheet("yields/USDA_CookingYields_MeatPoultry02.xlsx")
    compared = 0
    for row in rows_of("cooking_yields.csv"):
        source = row.text("source")
        if not source.startswith("USDA cooking yields release 2, row "):
            continue
        line = int(source.removeprefix("USDA cooking yields release 2, row ").split()[0].rstrip(";"))
        _, ndb, _, _, percent, _, _, least, most, _, fat, _ = published[line - 1]
        assert ndb is None or f"NDB {ndb:05d}" in source
        assert row.number("factor") == pytest.approx(percent / 100, abs=0.0051)
        if isinstance(least, (int, float)) and least <= percent <= most:
            assert (row.number("low"), row.number("high")) == pytest.approx((least / 100, most / 100), abs=0.0051)
        if isinstance(fat, (int, float)):
            assert float(row.text("fat_low")) <= fat <= float(row.text("fat_high")), source
            if fat <= 0:
                assert float(row.text("fat_change")) == pytest.approx(fat, abs=0.0051)
        compared += 1
    assert compared >= 90


# ---- the rows --------------------------------------------------------------------------------------------------


def test_every_share_has_a_column_and_no_share_is_above_one() -> None:
    assert set(NUMBERS) == set(RETAINED)
    assert [one for one in TABLES.retention.values() if not all(0 < share <= 1 for share in one.shares.values())] == []


def test_no_row_is_idle(sr28_table: FoodTable) -> None:
    """Every kind has a food of SR28, a retention method or a yield; every method is one that a treatment asks for."""
    fat = next(place for place, component in enumerate(sr28_table.components) if component.tagname == "FAT")
    met = {
        kind.name
        for entry, amounts in zip(sr28_table.foods, sr28_table.amounts, strict=True)
        if (kind := TABLES.kind(entry, float(amounts[fat]))) is not None
    }
    assert {kind.name for kind in TABLES.kinds} - met == set()
    asked = {method for one in TABLES.treatments.values() for method in (*one.retention, *one.yields, one.alcohol)}
    assert {method for _, method in TABLES.retention} | {one.method for one in TABLES.yields} <= asked
    covered = {kind for kind, _ in TABLES.retention} | {one.kind for one in TABLES.yields}
    assert {kind.name for kind in TABLES.kinds} - covered == {"fat of meat"}  # kept from the rows of lean meat


def test_published_losses_close_the_balance_of_weight() -> None:
    """What is lost is water and fat: a loss of fat is never more than the loss of weight."""
    for one in TABLES.yields:
        if one.fat_change < 0:
            assert -one.fat_change <= 100 * (1 - one.low), one


# table, a row appended to it, the column that is blamed
BAD = [
    ("treatments.csv", "smoked,,boiled in brine,,,drained,x", "retention"),
    ("treatments.csv", "smoked,,,boiled in brine,,drained,x", "yields"),
    ("treatments.csv", "smoked,,,,for a tide,drained,x", "alcohol"),
    ("treatments.csv", "smoked,,,,,spilt,x", "losses"),
    ("treatments.csv", "smoked,,,,,drained,", "source"),
    ("treatments.csv", "smoked,broiled,,,,drained,x", "also"),
    ("treatments.csv", "smoked,steamed,,,,drained,x", "also"),
    ("treatments.csv", "steamed,,,,,drained,x", "treatment"),
    ("cooking_kinds.csv", "seaweed,,kelp,,much,,x", "fat_from"),
    ("cooking_kinds.csv", "seaweed,,kelp,,,,", "source"),
    ("retention.csv", "0001,seaweed,baked" + "," * len(RETAINED) + ",x", "kind"),
    ("retention.csv", "0001,beef,steeped,1.2" + "," * (len(RETAINED) - 1) + ",x", "CA"),
    ("retention.csv", "0001,beef,baked" + "," * len(RETAINED) + ",x", "method"),
    ("cooking_yields.csv", "seaweed,,,grilled,0.7,0.6,0.8,0,0,0,,x", "kind"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.8,0.9,0,0,0,,x", "low"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.6,0.8,-2,-1,0,9,x", "fat_change"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.6,0.8,-2,-3,0,,x", "raw_fat"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.6,0.8,-2,-3,0,1,x", "raw_fat"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.6,0.8,some,-3,0,9,x", "fat_change"),
    ("cooking_yields.csv", "beef,tongue,,grilled,0.7,0.6,0.8,-200,-300,0,9,x", "fat_change"),
]


@pytest.mark.parametrize(("name", "line", "column"), BAD)
def test_a_bad_row_is_named_by_file_line_and_column(name: str, line: str, column: str, tmp_path: Path) -> None:
    for table in NAMES:
        shutil.copy(FOLDER / table, tmp_path)
    with (tmp_path / name).open("a", encoding="utf-8") as file:
        file.write(line + "\n")
    with pytest.raises(TableError) as raised:
        load_cooking_tables(tmp_path)
    lines = (tmp_path / name).read_text("utf-8").count("\n")
    assert (raised.value.file, raised.value.line, raised.value.column) == (name, lines, column)
