"""USDA FoodData Central, survey foods: the Food and Nutrient Database for Dietary Studies in the newer form."""

from __future__ import annotations

from functools import partial

from importers.fdc.whole import ENERGY, LICENCE, Kind, citation, read_kind

DATASET = "fdc-survey"
NAME = "USDA FoodData Central, Survey Foods (FNDDS)"
CITATION = citation("Food and Nutrient Database for Dietary Studies")
KIND = Kind(
    dataset=DATASET, name=NAME, citation=CITATION, table="survey_fndds_food.csv", groups="wweia_food_category.csv",
    group_field="survey_group", energy_basis=ENERGY,
    fibre_method="Total dietary fibre (291); the download does not state the method")

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "read"]

read = partial(read_kind, KIND)
"""`read(path)`: the release at a folder or zip, named by its date; parameters and faults as `whole.read_kind`."""
