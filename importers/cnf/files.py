"""Reads the Canadian Nutrient File: commas, Windows-1252, a header line, quoted fields that may hold line breaks.

Source: Health Canada, Canadian Nutrient File, 2015, CSV download. What its files need:

- a measure's grams are 100 x ConversionFactorValue; a measure whose number MEASURE NAME lacks cannot be named and is
  left out, as long as those are few;
- refuse number 750 is all refuse of a food, the others are its parts;
- NUTRIENT AMOUNT names a component by its NutrientID, once by its NutrientCode;
- one food names a source that FOOD SOURCE lacks: it is linked to no other table.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from importers.check import Findings, check_known
from importers.headed import TextFormat, check_keys, check_rows, read_tables
from importers.mapping import (
    Mapped,
    Published,
    check_mapping,
    check_once,
    code_texts,
    components_of,
    indices,
    load_mapping,
    values_of,
)
from importers.release import Progress, ReleaseData, ReleaseFood, ReleaseValues, no_progress
from importers.tables import load_columns
from service.core.food import FoodEntry, HouseholdMeasure

DATASET = "cnf"
NAME = "Canadian Nutrient File"
RELEASE = "2015"
LICENCE = "Use allowed with citation of Health Canada; values must not be altered"
CITATION = "Health Canada. Canadian Nutrient File, 2015."

PUBLICATION = "Canadian Nutrient File"
FORM = TextFormat(separator=",", quote='"', encoding="cp1252", decimal=".")
FOODS, AMOUNTS, NUTRIENTS = "FOOD NAME.csv", "NUTRIENT AMOUNT.csv", "NUTRIENT NAME.csv"
MEASURES, CONVERSIONS, REFUSE = "MEASURE NAME.csv", "CONVERSION FACTOR.csv", "REFUSE AMOUNT.csv"
ALL_REFUSE = "750"
UNNAMED = 0.25  # share of measures without a name above which the file itself is taken for broken; published: 0.0075
SOURCE_OF_USDA = re.compile(r"FOODS? BASED ON DATA FROM USDA(?!.*DELETED)")
ENERGY_BASIS = (
    "as the USDA's for values taken over: specific Atwater factors for most foods; the publisher's own calculation "
    "otherwise"
)
FIBRE_METHOD = "AOAC total dietary fibre; the method of a value is not published"

Frames = Mapping[str, pd.DataFrame]


def read(path: Path, *, verify: bool = True, progress: Progress | None = None) -> ReleaseData:
    """The release in a folder or zip, checked; every fault found is raised in one DataError.

    `verify` compares the numbers of rows with those of release 2015 (rows.csv).
    """
    findings = Findings(PUBLICATION)
    mapping = load_mapping(_beside("components.csv"))
    columns = load_columns(_beside("columns.csv"))
    frames = read_tables(path, columns, FORM, findings, progress=progress or no_progress)
    _check_keys(frames, mapping, findings)
    if verify:
        check_rows(findings, {file: len(frame) for file, frame in frames.items()}, _beside("rows.csv"))
    findings.raise_any()
    return _release(frames, mapping, findings)


def _beside(name: str) -> Path:
    return Path(__file__).with_name(name)


UNIQUE = (
    (FOODS, ["food"]), ("FOOD GROUP.csv", ["group"]), ("FOOD SOURCE.csv", ["source"]), (NUTRIENTS, ["component"]),
    ("NUTRIENT SOURCE.csv", ["source"]), (AMOUNTS, ["food", "component"]), (MEASURES, ["measure"]),
    (CONVERSIONS, ["food", "measure"]), (REFUSE, ["food", "refuse"]),
)
KNOWN = (
    (FOODS, "group", "FOOD GROUP.csv", "group", "food group"),
    (AMOUNTS, "food", FOODS, "food", "food"),
    (AMOUNTS, "source", "NUTRIENT SOURCE.csv", "source", "nutrient source"),
    (CONVERSIONS, "food", FOODS, "food", "food"),
    (REFUSE, "food", FOODS, "food", "food"),
)


def _check_keys(frames: Frames, mapping: tuple[Mapped, ...], findings: Findings) -> None:
    check_keys(findings, frames, UNIQUE, KNOWN)
    nutrients = frames[NUTRIENTS]
    lines = dict(zip(nutrients["component"], nutrients.index, strict=True))
    if findings.clean(NUTRIENTS):
        units = dict(zip(nutrients["component"], nutrients["unit"], strict=True))
        check_mapping(findings, mapping, units, file=NUTRIENTS, lines=lines, column="NutrientID")
        known = {*nutrients["component"], *nutrients["code"]}
        check_known(findings, frames[AMOUNTS]["component"], known, file=AMOUNTS, what="component")
    if findings.clean(MEASURES):
        _check_named(frames, findings)


def _check_named(frames: Frames, findings: Findings) -> None:
    """Nearly all measures have a name."""
    conversions = frames[CONVERSIONS]
    share = 1 - conversions["measure"].isin(set(frames[MEASURES]["measure"])).mean() if len(conversions) else 0
    if share > UNNAMED:
        findings.add(f"{share:.0%} of the measures have no name in {MEASURES}", file=CONVERSIONS, column="MeasureID")


def _release(frames: Frames, mapping: tuple[Mapped, ...], findings: Findings) -> ReleaseData:
    foods, components = _foods(frames), components_of(mapping)
    codes = [food.entry.code for food in foods]
    values = _values(frames, mapping, codes)
    check_once(findings, values, components, codes, file=AMOUNTS)
    findings.raise_any()
    return ReleaseData(
        dataset=DATASET, name=NAME, release=RELEASE, licence=LICENCE, citation=CITATION, components=components,
        groups=code_texts(frames["FOOD GROUP.csv"], "group"), foods=foods, values=values,
        sources=code_texts(frames["NUTRIENT SOURCE.csv"], "source"), carbohydrate_basis="total",
        energy_basis=ENERGY_BASIS, fibre_method=FIBRE_METHOD)


def _values(frames: Frames, mapping: tuple[Mapped, ...], codes: list[str]) -> ReleaseValues:
    nutrients, amounts = frames[NUTRIENTS], frames[AMOUNTS]
    numbers = list(nutrients["component"])
    by_id = indices(amounts["component"], numbers)
    by_code = indices(amounts["component"], list(nutrients["code"]))
    samples = amounts["samples"].fillna(0).to_numpy().astype(np.int32)
    return values_of(Published(
        food=indices(amounts["food"], codes), component=np.where(by_id >= 0, by_id, by_code), numbers=numbers,
        amount=amounts["amount"].to_numpy(), samples=samples,
        standard_error=np.where(samples > 0, amounts["standard_error"].to_numpy(), np.nan),
        source=amounts["source"]), mapping)


def _foods(frames: Frames) -> tuple[ReleaseFood, ...]:
    measures, refuse = _measures(frames), _refuse(frames[REFUSE])
    groups = dict(zip(frames["FOOD GROUP.csv"]["group"], frames["FOOD GROUP.csv"]["text"], strict=True))
    sources = frames["FOOD SOURCE.csv"]
    usda = {code for code, text in zip(sources["source"], sources["text"], strict=True) if SOURCE_OF_USDA.match(text)}
    rows: list[Any] = sorted(frames[FOODS].itertuples(index=False), key=lambda row: str(row.food))
    return tuple(
        ReleaseFood(
            entry=FoodEntry(
                id=f"{DATASET}:{row.food}", description=row.description, group=row.group,
                group_name=groups[row.group], scientific_name=row.scientific_name,
                refuse_percent=refuse.get(row.food, 0.0), measures=tuple(measures.get(row.food, ()))),
            refuse_stated=row.food in refuse, original_name=row.original_name,
            linked=(f"sr28:{row.ndb:05.0f}",) if row.source in usda and row.ndb > 0 else ())
        for row in rows)


def _refuse(frame: pd.DataFrame) -> dict[str, float]:
    whole = frame[frame["refuse"] == ALL_REFUSE]
    return {food: float(percent) for food, percent in zip(whole["food"], whole["percent"], strict=True)}


_AMOUNT = re.compile(r"(?P<whole>\d+(?:\.\d+)?)(?:/(?P<parts>\d+))?(?![\d./-]|\s+\d)\s*(?=\D)")


def _measures(frames: Frames) -> dict[str, list[HouseholdMeasure]]:
    texts = dict(zip(frames[MEASURES]["measure"], frames[MEASURES]["text"], strict=True))
    found: dict[str, list[HouseholdMeasure]] = {}
    rows: Any = frames[CONVERSIONS].itertuples(index=False)
    for row in rows:
        if row.measure in texts and row.factor > 0:
            here = found.setdefault(row.food, [])
            amount, text = _amount(texts[row.measure])
            here.append(HouseholdMeasure(amount, text, round(100 * row.factor, 6), len(here) + 1))
    return found


def _amount(text: str) -> tuple[float, str]:
    """The leading amount of a measure and its words: "125ml chopped" is 125 of "ml chopped", "1/2 bird" half a bird."""
    match = _AMOUNT.match(text)
    if match is None or not float(match["whole"]) or match["parts"] == "0":
        return 1.0, text
    return float(match["whole"]) / float(match["parts"] or 1), text[match.end():]
