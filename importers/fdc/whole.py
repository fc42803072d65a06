"""Reads a FoodData Central download of which all foods fit into memory: Foundation, SR Legacy, survey foods."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from importers.check import Findings, check_unique
from importers.fdc.components import Components, StandIn, check_nutrients, check_used, choose_components
from importers.fdc.measures import read_measures
from importers.fdc.publication import open_publication, release_date
from importers.fdc.rows import records
from importers.fdc.values import Derivations, ValueRows, check_derivations, pack_values, read_derivations
from importers.release import CodeText, Footnote, Progress, ReleaseData, ReleaseFood, no_progress
from service.core.food import FoodEntry

COMMON_NAMES = ("1000", "1001")  # food_attribute_type.csv: common name, additional description
FACTORS = ("protein", "fat", "carbohydrate", "nitrogen")
REFERENCE_DIGITS = 5  # of a number in Standard Reference; later foods have six and no entry there

Frames = Mapping[str, pd.DataFrame]


@dataclass(frozen=True, slots=True)
class Kind:
    """One of the publisher's kinds of food; `table` lists the foods of the release and what only they have.

    `needed` must be there, of `more` what there is is read; `groups` is the table that explains `group_field`.
    """

    dataset: str
    name: str
    citation: str
    table: str
    groups: str
    group_field: str
    needed: tuple[str, ...] = ("food.csv", "food_nutrient.csv", "food_portion.csv", "nutrient.csv", "measure_unit.csv")
    more: tuple[str, ...] = (
        "food_attribute.csv", "food_component.csv", "food_nutrient_conversion_factor.csv",
        "food_calorie_conversion_factor.csv", "food_protein_conversion_factor.csv", "food_nutrient_derivation.csv",
        "food_nutrient_source.csv",
    )
    energy_basis: str = ""
    fibre_method: str = ""


LICENCE = "CC0 1.0 (public domain)"
FIBRE = (
    "FIBTG: AOAC 991.43 or 985.29, as the download's lab_method.csv names them; values by AOAC 2009.01 and 2011.25 are "
    "a component of their own, FIBTG_2011"
)
ENERGY = (
    "Energy (208) where published; else by Atwater specific factors (958), else by general factors 4, 9 and 4 (957); "
    "a footnote of each food says which stands in"
)


def citation(what: str) -> str:
    """How the publisher wants its data to be cited."""
    return (f"U.S. Department of Agriculture, Agricultural Research Service, Beltsville Human Nutrition Research "
            f"Center. FoodData Central: {what}. Internet: fdc.nal.usda.gov.")


def read_kind(kind: Kind, path: Path, *, supporting: Path | None = None, verify: bool = True,
              progress: Progress | None = None) -> ReleaseData:
    """The release at `path`, a folder or zip; every fault found is raised in one DataError.

    supporting  the supporting-data download, for tables that `path` lacks; by default the newest beside `path`
    verify      compare zips whose SHA-256 is known (checksums.csv) before anything is read
    """
    progress = progress or no_progress
    findings = Findings(kind.name)
    with open_publication(path, supporting, findings, verify=verify) as publication:
        tables = (kind.table, kind.groups, *kind.needed, *kind.more)
        publication.require(kind.table, kind.groups, *kind.needed)
        findings.raise_any()
        total, done, frames = sum(map(publication.size, tables)), 0, {}
        for table in tables:
            progress(done, total, f"Reading {kind.name}")
            frames[table] = publication.read(table)
            done += publication.size(table)
        progress(done, total, f"Reading {kind.name}")
    _check_keys(kind, frames, findings)
    findings.raise_any()
    frames = {table: _of_foods(frame, frames[kind.table]["food"]) for table, frame in frames.items()}
    derivations = read_derivations(frames["food_nutrient_derivation.csv"], frames["food_nutrient_source.csv"], findings)
    values = _check_values(frames, derivations, findings)
    findings.raise_any()
    components = choose_components(frames["nutrient.csv"], set(values["nutrient"].astype(int)))
    data = _release(kind, frames, values, components, derivations)
    return replace(data, release=release_date(path, frames["food.csv"]["published"]))


def _of_foods(frame: pd.DataFrame, foods: pd.Series) -> pd.DataFrame:
    """Only rows of the release's own foods: samples, sources and superseded twins fall away, orphans too."""
    return frame[frame["food"].isin(foods)] if "food" in frame and len(frame) else frame


def _check_keys(kind: Kind, frames: Frames, findings: Findings) -> None:
    own, foods, groups = frames[kind.table], frames["food.csv"], frames[kind.groups]
    check_unique(findings, own, ["food"], file=kind.table)
    check_unique(findings, foods, ["food"], file="food.csv")
    check_unique(findings, groups, ["group"], file=kind.groups)
    check_unique(findings, frames["measure_unit.csv"], ["unit"], file="measure_unit.csv")
    check_nutrients(frames["nutrient.csv"], findings)
    if findings.clean("food.csv", kind.table):
        strange = own["food"][~own["food"].isin(foods["food"])]
        findings.add_cells("no such food", strange.astype(int).items(), file=kind.table, column="fdc_id")
    file, column = ("food.csv", "food_category_id") if kind.group_field == "group" else (kind.table, "category")
    frame = _of_foods(frames[file], own["food"])
    given = frame[kind.group_field]
    strange = given[~given.isin({"", *groups["group"]})]
    findings.add_cells("no such category", strange.items(), file=file, column=column)
    portions = _of_foods(frames["food_portion.csv"], own["food"])
    strange = portions["unit"][~portions["unit"].isin(frames["measure_unit.csv"]["unit"])]
    findings.add_cells("no such measure unit", strange.items(), file="food_portion.csv", column="measure_unit_id")


def _check_values(frames: Frames, derivations: Derivations, findings: Findings) -> pd.DataFrame:
    """The rows that have an amount; an empty amount says nothing, whatever its component."""
    values = frames["food_nutrient.csv"]
    values = values[values["amount"].notna()]
    values = values.assign(nutrient=_by_number(values["nutrient"], frames["nutrient.csv"]))
    check_used(values["nutrient"], set(frames["nutrient.csv"]["nutrient"]), findings)
    check_unique(findings, values, ["food", "nutrient"], file="food_nutrient.csv")
    check_derivations(values["derivation"], derivations, findings)
    if not len(values):
        findings.add("has no values of the release's foods", file="food_nutrient.csv")
    return values


def _by_number(nutrient: pd.Series, nutrients: pd.DataFrame) -> pd.Series:
    """Ids of nutrients; a survey release may write their three-digit numbers instead, which no id looks like."""
    numbers = nutrients[nutrients["number"].str.fullmatch(r"\d{3}")]
    ids = dict(zip(numbers["number"].astype(float), numbers["nutrient"], strict=True))
    short = nutrient < 1000
    return nutrient.where(~short, nutrient.map(ids).fillna(nutrient)) if short.any() else nutrient


def _release(kind: Kind, frames: Frames, rows: pd.DataFrame, components: Components,
             derivations: Derivations) -> ReleaseData:
    numbers = sorted(frames[kind.table]["food"].astype(int).tolist(), key=str)
    place = {number: k for k, number in enumerate(numbers)}
    values, stated = pack_values(value_rows(rows, rows["food"].map(place)), len(numbers), components, derivations)
    groups = _groups(frames[kind.groups])
    foods = _foods(kind, frames, numbers, groups)
    notes = _footnotes(frames, kind, components)
    return ReleaseData(
        dataset=kind.dataset, name=kind.name, release="", licence=LICENCE, citation=kind.citation,
        components=components.listed, groups=tuple(sorted({groups[key] for key in groups}, key=lambda g: g.code)),
        foods=tuple(
            replace(food, footnotes=(*notes.get(number, ()), *map(stand_in_note, stated.get(k, ()))))
            for k, (number, food) in enumerate(zip(numbers, foods, strict=True))),
        values=values, sources=derivations.sources, derivations=derivations.codes, carbohydrate_basis="total",
        energy_basis=kind.energy_basis, fibre_method=kind.fibre_method)


def value_rows(rows: pd.DataFrame, food: pd.Series) -> ValueRows:
    """Rows of food_nutrient.csv as arrays; `food` their foods' indices."""
    return ValueRows(
        food=food.to_numpy(np.int32), nutrient=rows["nutrient"].to_numpy(np.int32),
        amount=rows["amount"].to_numpy(np.float64), samples=rows["samples"].fillna(0).to_numpy(np.int32),
        derivation=rows["derivation"].fillna(0).to_numpy(np.int32))


def _groups(table: pd.DataFrame) -> dict[str, CodeText]:
    codes = table["code"] if "code" in table else table["group"]
    return {key: CodeText(code, text) for key, code, text in zip(table["group"], codes, table["text"], strict=True)}


def stand_in_note(stand_in: StandIn) -> Footnote:
    """The footnote that says which value stands in, at the component that it stands in for."""
    return Footnote("", "N", stand_in.number, stand_in.text)


def _foods(kind: Kind, frames: Frames, numbers: list[int], groups: Mapping[str, CodeText]) -> list[ReleaseFood]:
    table = frames["food.csv"].merge(frames[kind.table], on="food", how="inner")
    rows = {int(row.food): row for row in records(table)}
    units = dict(zip(frames["measure_unit.csv"]["unit"], frames["measure_unit.csv"]["text"], strict=True))
    measures = read_measures(frames["food_portion.csv"], units)
    names, refuse = _names(frames["food_attribute.csv"]), _refuse(frames["food_component.csv"])
    factors, foods = _factors(frames), []
    for number in numbers:
        row, stated = rows[number], refuse.get(number)
        group = groups.get(getattr(row, kind.group_field), CodeText("", ""))
        percent, text = stated or (0.0, "")
        entry = FoodEntry(
            id=f"{kind.dataset}:{number}", description=row.description, group=group.code, group_name=group.text,
            common_name=", ".join(names.get(number, ())), refuse_percent=percent, refuse_text=text,
            measures=tuple(measures.get(number, ())))
        entry = replace(entry, **factors.get(number, {}))
        foods.append(ReleaseFood(entry, refuse_stated=stated is not None, linked=_linked(getattr(row, "linked", ""))))
    return foods


def _linked(number: str) -> tuple[str, ...]:
    """The same food in SR28, by its number there, which the publisher writes without leading zeros."""
    return (f"sr28:{number.zfill(REFERENCE_DIGITS)}",) if number and len(number) <= REFERENCE_DIGITS else ()


def _names(attributes: pd.DataFrame) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for row in records(attributes[attributes["kind"].isin(COMMON_NAMES)]):
        found.setdefault(int(row.food), []).append(row.text)
    return found


WHOLES = ("Total gram weight", "Edible portion")
ADDS_UP = 2.0  # percent that the parts of a food may be off 100


def _refuse(parts: pd.DataFrame) -> dict[int, tuple[float, str]]:
    """(refuse in percent, what it is) of foods whose published parts make up the whole.

    Some lists of parts name one part twice, by two kinds of dissection; what of them is refuse cannot be told.
    """
    found = {}
    parts = parts[~parts["text"].isin(WHOLES)]
    for food in parts["food"].unique():
        rows = parts[parts["food"] == food]
        refuse = rows[rows["refuse"] == "Y"]
        if abs(rows["percent"].sum() - 100) <= ADDS_UP and rows["percent"].between(0, 100).all() and len(refuse):
            found[int(food)] = (round(float(refuse["percent"].sum()), 4), ", ".join(refuse["text"]))
    return found


def _factors(frames: Frames) -> dict[int, dict[str, Any]]:
    """{field of FoodEntry: factor} of each food."""
    links = frames["food_nutrient_conversion_factor.csv"]
    food_of = dict(zip(links["factor"], links["food"], strict=True))
    found: dict[int, dict[str, Any]] = {}
    for table in ("food_calorie_conversion_factor.csv", "food_protein_conversion_factor.csv"):
        for row in records(frames[table][frames[table]["factor"].isin(food_of)]):
            given = {f"{name}_factor": getattr(row, name, np.nan) for name in FACTORS}
            known = {name: float(value) for name, value in given.items() if not np.isnan(value)}
            found.setdefault(int(food_of[row.factor]), {}).update(known)
    return found


def _footnotes(frames: Frames, kind: Kind, components: Components) -> dict[int, list[Footnote]]:
    """The publisher's comments on foods and on values."""
    found: dict[int, list[Footnote]] = {}
    own = frames[kind.table]
    for row in records(own[own["footnote"] != ""] if "footnote" in own else own[:0]):
        found.setdefault(int(row.food), []).append(Footnote("", "D", "", row.footnote))
    values = frames["food_nutrient.csv"]
    for row in records(values[values["footnote"] != ""]):
        place = components.place[int(row.nutrient)]
        number = components.listed[place].number if place >= 0 else ""
        found.setdefault(int(row.food), []).append(Footnote("", "N", number, row.footnote))
    return found
