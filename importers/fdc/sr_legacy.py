"""USDA FoodData Central, SR Legacy: the last release of Standard Reference, of April 2018, in the newer form."""

from __future__ import annotations

from pathlib import Path

from importers.fdc.whole import ENERGY, LICENCE, Kind, citation, read_kind
from importers.release import Progress, ReleaseData

DATASET = "fdc-sr-legacy"
NAME = "USDA FoodData Central, SR Legacy"
CITATION = citation("SR Legacy")
KIND = Kind(
    dataset=DATASET, name=NAME, citation=CITATION, table="sr_legacy_food.csv", groups="food_category.csv",
    group_field="group", energy_basis=ENERGY,
    fibre_method="Total dietary fibre (291); the download does not state the method")

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "read"]


def read(path: Path, *, supporting: Path | None = None, verify: bool = True,
         progress: Progress | None = None) -> ReleaseData:
    """The release at `path`, a folder or zip, named by its date; parameters and faults as `whole.read_kind`."""
    return read_kind(KIND, path, supporting=supporting, verify=verify, progress=progress)
