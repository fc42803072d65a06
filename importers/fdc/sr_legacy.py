"""USDA FoodData Central, SR Legacy: the last release of Standard Reference, of April 2018, in the newer form."""

from __future__ import annotations

from functools import partial

from importers.fdc.whole import ENERGY, LICENCE, Kind, citation, read_kind

DATASET = "fdc-sr-legacy"
NAME = "USDA FoodData Central, SR Legacy"
CITATION = citation("SR Legacy")
KIND = Kind(
    dataset=DATASET, name=NAME, citation=CITATION, table="sr_legacy_food.csv", groups="food_category.csv",
    group_field="group", energy_basis=ENERGY,
    fibre_method="Total dietary fibre (291); the download does not state the method")

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "read"]

read = partial(read_kind, KIND)
"""`read(path)`: the release at a folder or zip, named by its date; parameters and faults as `whole.read_kind`."""
