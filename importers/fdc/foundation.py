"""USDA FoodData Central, Foundation Foods: foods whose values are mostly analysed, in few but deep entries."""

from __future__ import annotations

from pathlib import Path

from importers.fdc.whole import ENERGY, FIBRE, LICENCE, Kind, citation, read_kind
from importers.release import Progress, ReleaseData

DATASET = "fdc-foundation"
NAME = "USDA FoodData Central, Foundation Foods"
CITATION = citation("Foundation Foods")
KIND = Kind(
    dataset=DATASET, name=NAME, citation=CITATION, table="foundation_food.csv", groups="food_category.csv",
    group_field="group", energy_basis=ENERGY, fibre_method=FIBRE)

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "read"]


def read(path: Path, *, supporting: Path | None = None, verify: bool = True,
         progress: Progress | None = None) -> ReleaseData:
    """The release at `path`, a folder or zip, named by its date; parameters and faults as `whole.read_kind`."""
    return read_kind(KIND, path, supporting=supporting, verify=verify, progress=progress)
