"""Releases of an invented dataset: what a harbour-side lunch room cooks with, in a table of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

import numpy as np

from importers.release import QUALIFIERS, CodeText, ReleaseData, ReleaseFood, ReleaseValues
from service.core.food import Component, FoodEntry, HouseholdMeasure

HARBOUR = "harbour"
COMPONENTS = tuple(
    Component(tagname, tagname, name, unit, 1)
    for tagname, name, unit in (
        ("ENERC_KCAL", "Energy", "kcal"), ("PROCNT", "Protein", "g"), ("FAT", "Fat", "g"), ("WATER", "Water", "g"),
        ("ASH", "Ash", "g"), ("CHOCDF", "Carbohydrate", "g"), ("CHOAVLDF", "Carbohydrate, available", "g"),
        ("FIBTG", "Fibre", "g"), ("NA", "Sodium", "mg"),
    )
)  # fmt: skip
PLACES = {component.tagname: place for place, component in enumerate(COMPONENTS)}
Amount = float | str
Foods = Mapping[str, tuple[str, Mapping[str, Amount]]]
# code -> description, amounts; "<0.5" is below a limit, "trace" a trace
FOODS: Foods = {
    "1": ("Kelp, raw", {"ENERC_KCAL": 43, "PROCNT": 1.7, "FAT": 0.6, "WATER": 81.6, "ASH": 6.5, "CHOCDF": 9.6,
                        "FIBTG": 1.3, "NA": 233}),
    "2": ("Cod, raw", {"ENERC_KCAL": 82, "PROCNT": 17.8, "FAT": 0.7, "WATER": 81.2, "ASH": 1.2, "CHOCDF": "<0.5",
                       "FIBTG": 0, "NA": "trace"}),
    "3": ("Butter, salted", {"ENERC_KCAL": 717, "PROCNT": 0.9, "FAT": 81.1, "WATER": 15.9, "ASH": 2.1, "CHOCDF": 0.1,
                             "FIBTG": 0, "NA": 643}),
}  # fmt: skip


def harbour(
    release: str = "2025",
    foods: Foods = FOODS,
    *,
    dataset: str = HARBOUR,
    measures: Mapping[str, tuple[HouseholdMeasure, ...]] | None = None,
    linked: Mapping[str, tuple[str, ...]] | None = None,
    basis: Literal["total", "available"] = "total",
) -> ReleaseData:
    """A release with these foods, in order of code; `measures` and `linked` by code."""
    listed = tuple(
        ReleaseFood(
            FoodEntry(f"{dataset}:{code}", description, "F", "Harbour foods", measures=(measures or {}).get(code, ())),
            linked=(linked or {}).get(code, ()), original_name=f"o {code}",
        )
        for code, (description, _) in sorted(foods.items())
    )  # fmt: skip
    amounts = [row for _, (_, row) in sorted(foods.items())]
    return ReleaseData(
        dataset, f"{dataset.title()} table", release, "free", "Invented", COMPONENTS, (CodeText("F", "Harbour foods"),),
        listed, values_of(amounts), carbohydrate_basis=basis, energy_basis="4, 9, 4", fibre_method="by guess",
    )  # fmt: skip


def values_of(rows: list[Mapping[str, Amount]]) -> ReleaseValues:
    """The values of foods, in order of component."""
    cells = [(food, PLACES[tagname], *_cell(amount)) for food, row in enumerate(rows)
             for tagname, amount in sorted(row.items(), key=lambda item: PLACES[item[0]])]  # fmt: skip
    food, component, amount, qualifier = zip(*cells, strict=True) if cells else ((), (), (), ())
    n = len(cells)
    return ReleaseValues(
        food=np.array(food, np.int32), component=np.array(component, np.int32), amount=np.array(amount, np.float64),
        samples=np.zeros(n, np.int32), standard_error=np.full(n, np.nan), source=np.zeros(n, np.int32),
        derivation=np.zeros(n, np.int32), source_codes=("",), derivation_codes=("",),
        qualifier=np.array(qualifier, np.int8),
    )  # fmt: skip


def _cell(amount: Amount) -> tuple[float, int]:
    if isinstance(amount, str):
        below = amount.startswith("<")
        return (float(amount[1:]) if below else 0.0), QUALIFIERS.index("below" if below else "trace")
    return float(amount), 0


def changed(code: str, **amounts: Amount) -> Foods:
    """The foods with other amounts of one."""
    description, before = FOODS[code]
    return {**FOODS, code: (description, {**before, **amounts})}


def in_parts(data: ReleaseData) -> list[ReleaseData]:
    """The same release with one food in each part."""
    values, parts = data.values, []
    for place, food in enumerate(data.foods):
        mine = values.food == place
        columns = ("component", "amount", "samples", "standard_error", "source", "derivation")
        some = {name: getattr(values, name)[mine] for name in columns}
        qualifier = None if values.qualifier is None else values.qualifier[mine]
        part = replace(values, food=np.zeros(mine.sum(), np.int32), qualifier=qualifier, **some)
        parts.append(replace(data, foods=(food,), values=part))
    return parts
