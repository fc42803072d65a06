"""Reads the English workbook of CIQUAL: one sheet, a food a row, all cells text with a decimal comma.

Source: Anses, CIQUAL French food composition table, 2020 (workbook of 2020-07-07). How it writes values: "-" or an
empty cell is unknown, "< 0,5" is below that limit, "traces" is a trace. One record is torn in two rows, the second
with the one value that the first lacks: rows of one code and name that do not contradict each other are one food.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings, check_count
from importers.headed import frame_of, number
from importers.mapping import Mapped, Published, components_of, load_mapping, values_of
from importers.release import QUALIFIERS, CodeText, Progress, ReleaseData, ReleaseFood, ReleaseValues, no_progress
from importers.tables import Column, load_columns
from importers.workbook import read_workbook, xls_rows
from service.core.food import FoodEntry

DATASET = "ciqual"
NAME = "CIQUAL French food composition table"
RELEASE = "2020"
LICENCE = "Etalab open licence 2.0"
CITATION = "Anses. 2020. CIQUAL French food composition table. Workbook of 2020-07-07."

Cells = NDArray[np.object_]
"""Texts of the components' cells, a row a food, a column a component."""

PUBLICATION = "CIQUAL"
SHEET = "compo"
FOODS = 3185  # counted in the publisher's workbook of 2020-07-07: 3,186 rows, one food in two
UNKNOWN = ("", "-")
BELOW, TRACE = QUALIFIERS.index("below"), QUALIFIERS.index("trace")
ENERGY_BASIS = (
    "general factors: protein (nitrogen x Jones' factor), available carbohydrate 4 kcal/g, fat 9, alcohol 7, "
    "fibre 2, polyols 2.4, organic acids 3; ENERC_KCAL_EU and ENERC_KJ_EU with nitrogen x 6.25, Regulation (EU) "
    "1169/2011, Annex XIV"
)
FIBRE_METHOD = "total dietary fibre; the method of a value is not published"


def read(path: Path, *, verify: bool = True, progress: Progress | None = None) -> ReleaseData:
    """The release in the workbook at `path`, or in a folder or zip with that one workbook, checked; every fault found
    is raised in one DataError. `verify` compares the number of foods with that of release 2020.
    """
    progress = progress or no_progress
    findings = Findings(PUBLICATION)
    mapping = load_mapping(Path(__file__).with_name("components.csv"))
    progress(0, 2, f"Reading {PUBLICATION}")
    file, data = read_workbook(path, ".xls", findings)
    rows = frame_of(xls_rows(data, SHEET, findings, file=file), _columns(mapping, file), findings, decimal=",")
    progress(1, 2, f"Reading {PUBLICATION}")
    findings.raise_any()
    cells = np.array([rows[row.number].astype(str) for row in mapping], dtype=object).T
    first = _join(rows, cells, findings, file=file)
    rows, cells = rows.iloc[first], cells[first]
    values = _values(cells, mapping, rows, findings, file=file)
    if verify:
        check_count(findings, len(rows), FOODS, file=file)
    findings.raise_any()
    progress(2, 2, f"Reading {PUBLICATION}")
    return _release(rows, values, mapping)


def _columns(mapping: Sequence[Mapped], file: str) -> tuple[Column, ...]:
    """The described columns, then one a component, whose header names component and unit."""
    described = load_columns(Path(__file__).with_name("columns.csv"))[SHEET]
    components = (
        Column(file, len(described) + k, row.number, "text", False, -np.inf, np.inf, row.number)
        for k, row in enumerate(mapping, start=1))
    return (*(replace(column, file=file) for column in described), *components)


def _join(rows: pd.DataFrame, cells: Cells, findings: Findings, *, file: str) -> list[int]:
    """Places of the foods' first rows, in order of code; what a further row of the food adds is moved into `cells`."""
    first: dict[float, int] = {}
    for place, (line, code, name) in enumerate(zip(rows.index, rows["code"], rows["description"], strict=True)):
        head = first.setdefault(code, place)
        if head == place:
            continue
        adds = ~np.isin(cells[place], UNKNOWN)
        if name != rows["description"].iloc[head] or (adds & ~np.isin(cells[head], UNKNOWN)).any():
            findings.add("stands twice with other values", file=file, line=int(line), column="alim_code",
                         value=f"{code:.0f}")
        cells[head, adds] = cells[place, adds]
    return [first[code] for code in sorted(first, key=lambda code: f"{code:.0f}")]


def _values(cells: Cells, mapping: Sequence[Mapped], rows: pd.DataFrame, findings: Findings, *,
            file: str) -> ReleaseValues:
    read_cells = {text: _cell(text) for text in set(cells.ravel())}
    amounts = np.vectorize(lambda text: read_cells[text][0], otypes=[float])(cells)
    qualifiers = np.vectorize(lambda text: read_cells[text][1], otypes=[np.int8])(cells)
    for food, component in zip(*np.nonzero(qualifiers < 0), strict=True):
        findings.add("must be a number, '< ' and a number, traces or -", file=file, line=int(rows.index[food]),
                     column=mapping[component].number, value=cells[food, component])
    food, component = np.nonzero(~np.isnan(amounts))
    return values_of(Published(
        food=food.astype(np.int32), component=component.astype(np.int32), numbers=[row.number for row in mapping],
        amount=amounts[food, component], qualifier=qualifiers[food, component]), mapping)


def _cell(text: str) -> tuple[float, int]:
    """Amount, NaN where unknown, and qualifier, -1 for a text that says nothing known."""
    if text in UNKNOWN:
        return np.nan, 0
    if text == "traces":
        return 0.0, TRACE
    below = text.startswith("<")
    amount = number(text.removeprefix("<").strip(), ",")
    if amount is None or amount < 0:
        return np.nan, -1
    return amount, BELOW if below else 0


def _release(rows: pd.DataFrame, values: ReleaseValues, mapping: Sequence[Mapped]) -> ReleaseData:
    groups: dict[str, str] = {}
    foods = []
    for row in rows.to_dict("records"):
        group, name = _group(row)
        groups.setdefault(group, name)
        entry = FoodEntry(
            id=f"{DATASET}:{row['code']:.0f}", description=row["description"], group=group, group_name=groups[group],
            scientific_name=row["scientific_name"])
        foods.append(ReleaseFood(entry=entry, refuse_stated=False))
    return ReleaseData(
        dataset=DATASET, name=NAME, release=RELEASE, licence=LICENCE, citation=CITATION,
        components=components_of(mapping), groups=tuple(CodeText(*pair) for pair in sorted(groups.items())),
        foods=tuple(foods), values=values, carbohydrate_basis="available", energy_basis=ENERGY_BASIS,
        fibre_method=FIBRE_METHOD)


def _group(row: Mapping[Hashable, str]) -> tuple[str, str]:
    """The code of the lowest level that is given, and the names of the levels."""
    levels = [(row[level], row[f"{level}_name"]) for level in ("group", "subgroup", "subsubgroup")]
    given = [(code, name) for code, name in levels if code.strip("0")] or levels[:1]
    return given[-1][0], "; ".join(name for _, name in given if name.strip("-"))
