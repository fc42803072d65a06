"""CIQUAL: an invented sheet with every quirk of the published one, faults, and the published one.

No library that the project uses writes .xls: the invented sheet is put in place of the rows that one would give.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from importers import ciqual
from importers.ciqual import files
from importers.headed import Row
from importers.release import ReleaseData
from service.core.errors import DataError
from tests.importers.published import amounts, described, food, published, qualified

LEADING = ["alim_grp_code", "alim_ssgrp_code", "alim_ssssgrp_code", "alim_grp_nom_eng", "alim_ssgrp_nom_eng",
           "alim_ssssgrp_nom_eng", "alim_code", "alim_nom_eng", "alim_nom_sci"]
HEADER = [*LEADING, *(row["number"] for row in described("ciqual"))]
ENERGY = "Energy, N x Jones' factor, with fibres (kcal/100g)"

PASTE = ["10", "1009", "000000", "miscellaneous", "quay ingredients", "-", "9621", "Herring paste", "Clupea inventa"]
PASTE_AGAIN = [*PASTE[:4], "quay ingredients for vegetarians", *PASTE[5:]]
SALAD = ["01", "0101", "010102", "starters", "mixed salads", "with kelp", "12", "Kelp salad", ""]
AVERAGE = ["00", "0000", "000000", "", "", "", "100", "Harbour plate (average)", ""]


def row(leading: list[str], **cells: str) -> list[str]:
    """A row of the sheet: cells by the first word of their header, "-" elsewhere."""
    named = {name.split(" (")[0]: name for name in HEADER}
    given = {named[key.replace("_", " ")]: cell for key, cell in cells.items()}
    return [*leading, *(given.get(name, "-") for name in HEADER[len(LEADING):])]


ROWS = [
    HEADER,
    row(PASTE, Protein="15,4", Carbohydrate="< 0,5", Polyols="traces", Salt="1,2", Vitamin_D="4,5"),
    row(SALAD, Carbohydrate="3,25", Fat="0"),
    [*PASTE_AGAIN, *("1160" if name == HEADER[9] else "" for name in HEADER[9:])],
    row(AVERAGE, Protein="7"),
]


@pytest.fixture
def sheet(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The rows that the workbook gives; a test changes them before it reads."""
    rows = [list(one) for one in ROWS]

    def given(*_: object, **__: object) -> Iterator[Row]:
        return iter([(n, one) for n, one in enumerate(rows, start=1)])

    monkeypatch.setattr(files, "read_workbook", lambda *_: ("table.xls", b""))
    monkeypatch.setattr(files, "xls_rows", given)
    return rows


def read(verify: bool = False) -> ReleaseData:
    return ciqual.read(Path("table.xls"), verify=verify)


def test_bounds_traces_and_unknowns_are_told_apart(sheet: list[list[str]]) -> None:
    release = read()
    assert amounts(release, "9621") == {"ENERC_KJ_EU": 1160, "PROCNT": 15.4, "NACL": 1.2, "VITD": 4.5}
    assert qualified(release, "9621") == {"CHOAVLDF": ("below", 0.5), "POLYL": ("trace", 0)}


def test_a_zero_is_a_figure_and_a_dash_is_not(sheet: list[list[str]]) -> None:
    assert amounts(read(), "12") == {"CHOAVLDF": 3.25, "FAT": 0}


def test_a_record_torn_in_two_rows_is_one_food(sheet: list[list[str]]) -> None:
    release = read()
    assert [one.entry.id for one in release.foods] == ["ciqual:100", "ciqual:12", "ciqual:9621"]
    assert food(release, "9621").entry.group_name == "miscellaneous; quay ingredients"


@pytest.mark.parametrize(("code", "group", "name"), [
    ("12", "010102", "starters; mixed salads; with kelp"), ("9621", "1009", "miscellaneous; quay ingredients"),
    ("100", "00", ""),
])
def test_the_group_is_the_lowest_level_given(sheet: list[list[str]], code: str, group: str, name: str) -> None:
    entry = food(read(), code).entry
    assert (entry.group, entry.group_name) == (group, name)


FAULTS = [
    (1, "Fat (g/100g)", "much", "table.xls:2:Fat (g/100g): must be a number, '< ' and a number, traces or -"),
    (1, "Fat (g/100g)", "4.5", "table.xls:2:Fat (g/100g): must be a number"),
    (1, "Fat (g/100g)", "< ", "table.xls:2:Fat (g/100g): must be a number"),
    (1, "Fat (g/100g)", "-3", "table.xls:2:Fat (g/100g): must be a number"),
    (3, "Protein (g/100g)", "9", "table.xls:4:alim_code: stands twice with other values (value '9621')"),
    (2, "alim_code", "9621", "table.xls:3:alim_code: stands twice with other values (value '9621')"),
    (2, "alim_code", "", "table.xls:3:alim_code: must not be empty"),
    (2, "alim_code", "x1", "table.xls:3:alim_code: must be a number (value 'x1')"),
    (0, "Fat (g/100g)", "Fat (mg/100g)", "table.xls:1:Fat (g/100g): the column 'Fat (g/100g)' is due here"),
    (0, "alim_nom_eng", "alim_nom_fr", "table.xls:1:alim_nom_eng: the column 'alim_nom_eng' is due here"),
]


@pytest.mark.parametrize(("line", "column", "cell", "fault"), FAULTS, ids=[one[3][:70] for one in FAULTS])
def test_a_fault_is_told_with_its_place(sheet: list[list[str]], line: int, column: str, cell: str, fault: str) -> None:
    sheet[line][HEADER.index(column)] = cell
    with pytest.raises(DataError) as caught:
        read()
    assert str(caught.value.faults[0]).startswith(fault)


def test_a_column_more_and_an_empty_sheet_are_faults(sheet: list[list[str]]) -> None:
    sheet[0].append("Caffeine (mg/100g)")
    with pytest.raises(DataError, match=r"is a column that nobody described"):
        read()
    sheet[:] = [HEADER]
    with pytest.raises(DataError, match=r"table\.xls: has no rows"):
        read()


def test_a_release_of_other_size_is_refused(sheet: list[list[str]]) -> None:
    with pytest.raises(DataError, match="3 rows read, 3,185 expected"):
        read(verify=True)


@pytest.mark.parametrize("data", [b"", b"not a workbook", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600],
                         ids=["empty", "text", "torn"])
def test_a_damaged_workbook_is_told(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "table.xls").write_bytes(data)
    with pytest.raises(DataError, match=r"table\.xls:?.*: cannot be read"):
        ciqual.read(tmp_path / "table.xls")


def test_a_folder_must_hold_one_workbook(tmp_path: Path) -> None:
    with pytest.raises(DataError, match=r"holds 0 files \*\.xls, one is due"):
        ciqual.read(tmp_path)


# ---- the published file: workbook of 2020-07-07, English -----------------------------------------------------------


@pytest.fixture
def real() -> ReleaseData:
    return published(ciqual.read, "ciqual")


def test_published_counts(real: ReleaseData) -> None:
    """3,186 rows of 3,185 foods; 16,630 bounds and 1,904 traces among the 213,462 cells, as counted in the sheet."""
    assert (len(real.foods), len(real.components), real.carbohydrate_basis) == (3185, 67, "available")
    assert real.values.qualifier is not None
    assert np.bincount(real.values.qualifier).tolist() == [129_676, 16_630, 1_904]


# The sheet "compo" of the published workbook.
FIGURES = [
    ("25601", "PROCNT", 9.15), ("25601", "CHOAVLDF", 7.74), ("30746", "CHOAVLDF", 1.46), ("30746", "ENERC_KCAL", 290),
    ("9621", "CHOAVLDF", 23.6), ("9621", "ENERC_KJ_EU", 1160), ("24999", "NACL", 0.38),
]


@pytest.mark.parametrize(("code", "tagname", "amount"), FIGURES)
def test_published_figures(real: ReleaseData, code: str, tagname: str, amount: float) -> None:
    assert amounts(real, code)[tagname] == amount


def test_published_bounds_and_traces(real: ReleaseData) -> None:
    sausage = qualified(real, "30746")
    assert (sausage["FRUS"], sausage["OA"]) == (("below", 0.15), ("trace", 0))


def test_polyols_are_inside_carbohydrate(real: ReleaseData) -> None:
    """Energy by Regulation (EU) 1169/2011 fits when polyols are counted at 2.4 and the rest of the carbohydrate at 4
    kcal/g, and misses by about their own energy when polyols are taken to be outside: so they are inside CHOAVLDF.
    """
    place = {c.tagname: k for k, c in enumerate(real.components)}
    matrix = real.matrix()

    def column(tagname: str) -> np.ndarray:
        return np.asarray(matrix[:, place[tagname]])

    rich = column("POLYL") > 0.5
    others = (4 * column("PROCNT_625") + 9 * column("FAT") + 2 * column("FIBTG") + 7 * np.nan_to_num(column("ALC"))
              + 3 * np.nan_to_num(column("OA")))
    inside = others + 4 * (column("CHOAVLDF") - column("POLYL")) + 2.4 * column("POLYL") - column("ENERC_KCAL_EU")
    outside = inside + 4 * column("POLYL")
    assert np.nanmedian(np.abs(inside[rich])) < 0.3
    assert np.nanmedian(np.abs(outside[rich])) > 5
