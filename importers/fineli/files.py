"""Reads the open data package of Fineli: semicolons, ISO-8859-1, bare text, a decimal comma, a header line.

Source: THL, Fineli, release 20, descript.txt. What the files need beyond it:

- measures of a food whose edible portion is below 100 % are of the food with its refuse, and so are its values
  where its proximates add up to the edible portion ("BANANA, WITH SKIN" is 0.67 of "BANANA, WITHOUT SKIN" in every
  component), but not where they add up to 100 ("POTATO, UNPEELED"): all are brought to edible grams here;
- energy is given in kJ alone and is stored in kcal too;
- an empty BESTLOC is unknown;
- publication.csv, which has broken records, and the other files that columns.csv does not name are not needed.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from importers.check import Findings
from importers.headed import TextFormat, check_keys, check_rows, read_tables
from importers.mapping import (
    Mapped,
    Published,
    check_mapping,
    code_texts,
    components_of,
    indices,
    load_mapping,
    values_of,
)
from importers.release import Progress, ReleaseData, ReleaseFood, ReleaseValues, no_progress
from importers.tables import load_columns
from service.core.food import FoodEntry, HouseholdMeasure

DATASET = "fineli"
NAME = "Fineli, Finnish food composition database"
RELEASE = "20"
LICENCE = "CC BY 4.0"
CITATION = "Finnish Institute for Health and Welfare (THL). Fineli, Finnish food composition database. Release 20."

PUBLICATION = "Fineli"
FORM = TextFormat(separator=";", quote="", encoding="latin-1", decimal=",")
ENERGY_BASIS = (
    "Regulation (EU) 1169/2011, Annex XIV, in kJ: available carbohydrate and protein 17 kJ/g, fat 37, alcohol 29, "
    "fibre 8, polyols 10, organic acids 13; kcal is kJ / 4.184"
)
FIBRE_METHOD = "total dietary fibre, enzymatic-gravimetric where analysed; the method stands with each value"

PROXIMATES = ("WATER", "PROT", "FAT", "CHOCDF", "ASH")
NEAR = 5.0  # g by which the proximates of 100 g may miss; the furthest of the foods with refuse misses by 1.3

Frames = Mapping[str, pd.DataFrame]


def read(path: Path, *, verify: bool = True, progress: Progress | None = None) -> ReleaseData:
    """The release in a folder or zip, checked; every fault found is raised in one DataError.

    `verify` compares the numbers of rows with those of release 20 (rows.csv).
    """
    findings = Findings(PUBLICATION)
    mapping = load_mapping(_beside("components.csv"))
    columns = load_columns(_beside("columns.csv"))
    frames = read_tables(path, columns, FORM, findings, progress=progress or no_progress)
    _check_keys(frames, mapping, findings)
    shares = _shares(frames, findings)
    if verify:
        check_rows(findings, {file: len(frame) for file, frame in frames.items()}, _beside("rows.csv"))
    findings.raise_any()
    return _release(frames, mapping, shares)


def _beside(name: str) -> Path:
    return Path(__file__).with_name(name)


UNIQUE = (
    ("food.csv", ["food"]), ("foodname_EN.csv", ["food"]), ("foodname_TX.csv", ["food"]), ("fuclass_EN.csv", ["group"]),
    ("component.csv", ["component"]), ("component_value.csv", ["food", "component"]), ("acqtype_EN.csv", ["code"]),
    ("methind_EN.csv", ["code"]), ("foodaddunit.csv", ["food", "unit"]), ("foodunit_EN.csv", ["unit"]),
)
KNOWN = (
    ("food.csv", "food", "foodname_EN.csv", "food", "English name"),
    ("food.csv", "group", "fuclass_EN.csv", "group", "food use class"),
    ("component_value.csv", "food", "food.csv", "food", "food"),
    ("component_value.csv", "component", "component.csv", "component", "component"),
    ("component_value.csv", "source", "acqtype_EN.csv", "code", "acquisition type"),
    ("component_value.csv", "derivation", "methind_EN.csv", "code", "method"),
    ("foodaddunit.csv", "food", "food.csv", "food", "food"),
    ("foodaddunit.csv", "unit", "foodunit_EN.csv", "unit", "household measure"),
)


def _check_keys(frames: Frames, mapping: tuple[Mapped, ...], findings: Findings) -> None:
    check_keys(findings, frames, UNIQUE, KNOWN)
    if findings.clean("component.csv"):
        found = frames["component.csv"]
        units = dict(zip(found["component"], found["unit"], strict=True))
        lines = dict(zip(found["component"], found.index, strict=True))
        check_mapping(findings, mapping, units, file="component.csv", lines=lines, column="EUFDNAME")


def _shares(frames: Frames, findings: Findings) -> dict[str, float]:
    """The edible share of what each food's published values are of: 1 unless they are of the food with its refuse."""
    rows = frames["component_value.csv"]
    sums = rows[rows["component"].isin(PROXIMATES)].groupby("food", observed=True)["amount"].sum()
    shares = {}
    for line, food, edible in frames["food.csv"][["food", "edible"]].itertuples():
        total = float(sums.get(food, 0.0))
        shares[food] = min((100.0, float(edible)), key=lambda due: abs(total - due)) / 100
        if edible < 100 and findings.clean("component_value.csv") and abs(total - 100 * shares[food]) > NEAR:
            findings.add(f"proximates come to {total:g} g, neither to 100 nor to the edible portion", file="food.csv",
                         line=line, column="EDPORT", value=edible)
    return shares


def _release(frames: Frames, mapping: tuple[Mapped, ...], shares: Mapping[str, float]) -> ReleaseData:
    foods = _foods(frames)
    return ReleaseData(
        dataset=DATASET, name=NAME, release=RELEASE, licence=LICENCE, citation=CITATION,
        components=components_of(mapping), groups=code_texts(frames["fuclass_EN.csv"], "group"), foods=foods,
        values=_values(frames, mapping, foods, shares), sources=code_texts(frames["acqtype_EN.csv"], "code"),
        derivations=code_texts(frames["methind_EN.csv"], "code"), carbohydrate_basis="available",
        energy_basis=ENERGY_BASIS, fibre_method=FIBRE_METHOD)


def _by(frame: pd.DataFrame, key: str, field: str) -> dict[str, Any]:
    return dict(zip(frame[key], frame[field], strict=True))


def _foods(frames: Frames) -> tuple[ReleaseFood, ...]:
    english = _by(frames["foodname_EN.csv"], "food", "description")
    scientific = _by(frames["foodname_TX.csv"], "food", "scientific_name")
    groups = _by(frames["fuclass_EN.csv"], "group", "text")
    measures = _measures(frames)
    rows: list[Any] = sorted(frames["food.csv"].itertuples(index=False), key=lambda row: str(row.food))
    return tuple(
        ReleaseFood(
            entry=FoodEntry(
                id=f"{DATASET}:{row.food}", description=english[row.food], group=row.group,
                group_name=groups[row.group], scientific_name=scientific.get(row.food, ""),
                refuse_percent=100 - row.edible, measures=tuple(measures.get(row.food, ()))),
            original_name=row.original_name)
        for row in rows)


def _measures(frames: Frames) -> dict[str, list[HouseholdMeasure]]:
    texts = _by(frames["foodunit_EN.csv"], "unit", "text")
    edible = _by(frames["food.csv"], "food", "edible")
    found: dict[str, list[HouseholdMeasure]] = {}
    rows: Any = frames["foodaddunit.csv"].itertuples(index=False)
    for row in rows:
        if row.grams > 0:
            here = found.setdefault(row.food, [])
            grams = round(row.grams * edible[row.food] / 100, 6)
            here.append(HouseholdMeasure(1.0, texts[row.unit], grams, len(here) + 1))
    return found


def _values(frames: Frames, mapping: tuple[Mapped, ...], foods: tuple[ReleaseFood, ...],
            shares: Mapping[str, float]) -> ReleaseValues:
    rows = frames["component_value.csv"]
    rows = rows[rows["amount"].notna()]
    numbers = list(frames["component.csv"]["component"])
    food = indices(rows["food"], [food.entry.code for food in foods])
    share = np.array([shares[food.entry.code] for food in foods])
    return values_of(Published(
        food=food, component=indices(rows["component"], numbers), numbers=numbers,
        amount=(rows["amount"].to_numpy() / share[food]).round(9), source=rows["source"],
        derivation=rows["derivation"]), mapping)
