"""Reads the nutrient workbook of the Australian Food Composition Database: all foods per 100 g, liquids per 100 ml.

Source: Food Standards Australia New Zealand, Australian Food Composition Database, release 2, nutrient file. The
sheets name a component and its unit in one header cell, with line breaks; the second sheet has its own spelling,
order and a line of units, and serves only for the weight of 100 ml: what a food's proximates come to by volume over
what they come to by weight. Columns in percent of fatty acids or per gram of nitrogen are known and not stored.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pandas as pd

from importers.check import Findings, check_count, check_unique
from importers.headed import Row, frame_of, header, number
from importers.mapping import Mapped, Published, components_of, load_mapping, values_of
from importers.release import CodeText, Progress, ReleaseData, ReleaseFood, ReleaseValues, no_progress
from importers.tables import Column, load_columns
from importers.workbook import read_workbook, xlsx_rows
from service.core.food import FoodEntry, HouseholdMeasure

DATASET = "afcd"
NAME = "Australian Food Composition Database"
RELEASE = "2"
LICENCE = "CC BY-SA 3.0 AU"
CITATION = "Food Standards Australia New Zealand. Australian Food Composition Database, release 2. Canberra: FSANZ."

PUBLICATION = "AFCD"
WEIGHT, VOLUME = "All solids & liquids per 100g", "Liquids only per 100mL"
FOODS, LIQUIDS = 1616, 189  # counted in the publisher's workbook of release 2
ENERGY_BASIS = (
    "Australia New Zealand Food Standards Code, Schedule 11, in kJ: protein 17 kJ/g, fat 37, available carbohydrate "
    "17, alcohol 29, fibre 8, polyols and organic acids by their own factors; kcal is kJ / 4.184"
)
FIBRE_METHOD = "AOAC total dietary fibre; the method of a value is not published"
# The proximates, which together are nearly all of a food's weight, as both sheets spell them.
PROXIMATES = (
    "Moisture (water) (g)", "Protein (g)", "Fat, total (g)", "Ash (g)", "Total dietary fibre (g)", "Alcohol (g)",
    "Available carbohydrate, with sugar alcohols (g)",
)


def read(path: Path, *, verify: bool = True, progress: Progress | None = None) -> ReleaseData:
    """The release in the workbook at `path`, or in a folder or zip with that one workbook, checked; every fault found
    is raised in one DataError. `verify` compares the numbers of foods and liquids with those of release 2.
    """
    progress = progress or no_progress
    findings = Findings(PUBLICATION)
    mapping = load_mapping(Path(__file__).with_name("components.csv"))
    progress(0, 2, f"Reading {PUBLICATION}")
    file, data = read_workbook(path, ".xlsx", findings)
    weight, volume = xlsx_rows(data, (WEIGHT, VOLUME), findings, file=file)
    progress(1, 2, f"Reading {PUBLICATION}")
    findings.raise_any()
    rows = frame_of(weight, _columns(mapping), findings, decimal=".")
    check_unique(findings, rows, ["code"], file=WEIGHT)
    liquids = _liquids(volume, findings)
    strange = {code: line for code, (line, _) in liquids.items() if code not in set(rows["code"])}
    findings.add_cells("no such food", ((line, code) for code, line in strange.items()), file=VOLUME,
                       column="Public Food Key")
    if verify:
        check_count(findings, len(rows), FOODS, file=WEIGHT)
        check_count(findings, len(liquids), LIQUIDS, file=VOLUME)
    findings.raise_any()
    progress(2, 2, f"Reading {PUBLICATION}")
    return _release(rows.sort_values("code", key=lambda codes: codes.astype(str)), liquids, mapping)


def _columns(mapping: Sequence[Mapped]) -> tuple[Column, ...]:
    """The described columns, then one a component, whose header names component and unit."""
    described = load_columns(Path(__file__).with_name("columns.csv"))[WEIGHT]
    stored = {row.number for row in mapping if row.tagname}
    numbers = dict.fromkeys(row.number for row in mapping)
    components = (
        Column(WEIGHT, len(described) + k, name, "decimal", False, 0, 1e7, name if name in stored else "")
        for k, name in enumerate(numbers, start=1))
    return (*described, *components)


def _liquids(rows: Iterator[Row], findings: Findings) -> dict[str, tuple[int, float]]:
    """Line and grams of proximates in 100 ml of each liquid; the line of units has no key."""
    names = header(next(rows, (1, ()))[1])
    described = [column.name for column in load_columns(Path(__file__).with_name("columns.csv"))[VOLUME]]
    for name in (*described, *PROXIMATES):
        if name not in names:
            findings.add("this column is missing", file=VOLUME, line=1, column=name)
    if not findings.clean(VOLUME):
        return {}
    places = [names.index(name) for name in PROXIMATES]
    found: dict[str, tuple[int, float]] = {}
    for line, cells in rows:
        if not cells[0]:
            continue
        if cells[0] in found:
            findings.add("stands twice", file=VOLUME, line=line, column=described[0], value=cells[0])
        grams = [number(cells[place], ".") for place in places]
        for name, place, figure in zip(PROXIMATES, places, grams, strict=True):
            if figure is None:
                findings.add("must be a number", file=VOLUME, line=line, column=name, value=cells[place])
        found[cells[0]] = line, sum(filter(None, grams))
    return found


def _release(rows: pd.DataFrame, liquids: dict[str, tuple[int, float]], mapping: Sequence[Mapped]) -> ReleaseData:
    by_weight = dict(zip(rows["code"], rows[list(PROXIMATES)].sum(axis=1), strict=True))
    densities = {code: grams / by_weight[code] for code, (_, grams) in liquids.items() if by_weight[code] > 0}
    foods = tuple(
        ReleaseFood(
            entry=FoodEntry(id=f"{DATASET}:{code}", description=description, group=group,
                            measures=_measures(densities.get(code))),
            refuse_stated=False)
        for code, group, description in zip(rows["code"], rows["group"], rows["description"], strict=True))
    return ReleaseData(
        dataset=DATASET, name=NAME, release=RELEASE, licence=LICENCE, citation=CITATION,
        components=components_of(mapping),
        groups=tuple(CodeText(group, "") for group in sorted(set(rows["group"]) - {""})), foods=foods,
        values=_values(rows, mapping), carbohydrate_basis="available", energy_basis=ENERGY_BASIS,
        fibre_method=FIBRE_METHOD)


def _measures(density: float | None) -> tuple[HouseholdMeasure, ...]:
    return () if not density else (HouseholdMeasure(100.0, "ml", round(100 * density, 1), 1),)


def _values(rows: pd.DataFrame, mapping: Sequence[Mapped]) -> ReleaseValues:
    numbers = list(dict.fromkeys(row.number for row in mapping if row.tagname))
    amounts = rows[numbers].to_numpy(dtype=float)
    food, component = np.nonzero(~np.isnan(amounts))
    return values_of(Published(
        food=food.astype(np.int32), component=component.astype(np.int32), numbers=numbers,
        amount=amounts[food, component]), mapping)
