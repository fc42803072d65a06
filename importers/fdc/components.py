"""Which component a nutrient number of FoodData Central is: components.csv and units.csv.

A nutrient whose number has a tagname in SR28, or one by INFOODS, bears it; any other bears its number. Some stand in
for another where that is absent (`choice` 2 and on): energy by general factors for energy, for instance. They keep
their own value beside it.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings, check_unique
from importers.fdc.rows import records
from service.core.food import Component

NUTRIENTS = 30_001  # columns.csv allows numbers below
DECIMALS = 3  # of a component that components.csv does not name


@dataclass(frozen=True, slots=True)
class StandIn:
    """The value of nutrient `nutrient` is also that of component `target`, by the publisher `number`, where no better
    choice has one; `text` says so.
    """

    nutrient: int
    target: int
    number: str
    text: str


@dataclass(frozen=True, slots=True, eq=False)
class Components:
    """The components of one release; `place[nutrient]` is the index in `listed`, -1 for a nutrient not in use."""

    listed: tuple[Component, ...]
    place: NDArray[np.int32]
    stand_ins: tuple[StandIn, ...]


def load_units(kind: str) -> dict[str, str]:
    """Published unit -> unit used here, of components or servings."""
    with Path(__file__).with_name("units.csv").open(encoding="utf-8", newline="") as stream:
        return {row["published"]: row["unit"] for row in csv.DictReader(stream) if row["kind"] == kind}


def _mapping() -> list[dict[str, str]]:
    with Path(__file__).with_name("components.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def check_nutrients(nutrients: pd.DataFrame, findings: Findings) -> None:
    """Numbers stand once, units are known, and those of components.csv have the unit that it says."""
    check_unique(findings, nutrients, ["nutrient"], file="nutrient.csv")
    units, rows = load_units("component"), {int(row["nutrient"]): row for row in _mapping()}
    for line, number, unit in zip(nutrients.index, nutrients["nutrient"], nutrients["unit"], strict=True):
        row = rows.get(number)
        if unit not in units:
            findings.add("no such unit", file="nutrient.csv", line=line, column="unit_name", value=unit)
        elif row and units[unit] != row["unit"]:
            findings.add(f"{row['tagname']} must be in {row['unit']}", file="nutrient.csv", line=line,
                         column="unit_name", value=unit)


def check_used(nutrient: pd.Series, known: Collection[int], findings: Findings) -> None:
    """Each nutrient of a value, indexed by line, is in nutrient.csv."""
    strange = nutrient[~nutrient.isin(known)]
    findings.add_cells("no such component", strange.astype(int).items(), file="food_nutrient.csv",
                       column="nutrient_id")


def choose_components(nutrients: pd.DataFrame, used: Collection[int]) -> Components:
    """The components of the nutrients `used`, with those for which some of them stand in, in the publisher's order."""
    named = {int(row.nutrient): row for row in records(nutrients.sort_values("rank"))}
    first = {int(row["nutrient"]): row for row in _mapping() if row["choice"] == "1"}
    instead = _instead(set(used) & set(named), set(named))
    wanted = set(used) | {target for _, target in instead}
    order = [number for number in named if number in wanted]
    place = np.full(NUTRIENTS, -1, np.int32)
    place[order] = np.arange(len(order))
    listed = tuple(_component(named[number], first.get(number)) for number in order)
    stand_ins = tuple(
        _stand_in(number, int(place[target]), listed[place[target]], listed[place[number]])
        for number, target in instead)
    return Components(listed, place, stand_ins)


def _instead(used: set[int], named: set[int]) -> list[tuple[int, int]]:
    """(nutrient, nutrient it stands in for), better choices first."""
    rows = sorted(_mapping(), key=lambda row: (row["tagname"], int(row["choice"])))
    targets = {row["tagname"]: int(row["nutrient"]) for row in rows if row["choice"] == "1"}
    pairs = [(int(row["nutrient"]), targets[row["tagname"]]) for row in rows if row["choice"] != "1"]
    return [(number, target) for number, target in pairs if number in used and target in named]


def _component(published: Any, row: Mapping[str, str] | None) -> Component:
    number = published.number or str(int(published.nutrient))
    if row is None:
        return Component(number, number, published.name, load_units("component")[published.unit], DECIMALS)
    return Component(row["tagname"], number, published.name, row["unit"], int(row["decimals"]))


def _stand_in(nutrient: int, place: int, target: Component, used: Component) -> StandIn:
    text = f"{target.name} ({target.number}) is not published: {used.name} ({used.number}) stands in"
    return StandIn(nutrient, place, target.number, text)
