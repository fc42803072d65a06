"""Food entries as a publisher wrote them: frozen values without behaviour.

Units: component amounts are per 100 g of edible portion, in the component's own unit; a household measure's
`grams` is the edible gram weight of `amount` times the measure; refuse is percent of the as-purchased weight.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Component:
    """One component (nutrient); `tagname` is its INFOODS tagname, or the publisher's number where none exists."""

    tagname: str
    number: str
    name: str
    unit: str
    decimals: int


@dataclass(frozen=True, slots=True)
class ComponentValue:
    """One published value per 100 g, with what the publisher says of its origin.

    `samples` 0 means calculated or imputed; `standard_error` is of the mean, None where not published.
    """

    tagname: str
    amount: float
    samples: int
    standard_error: float | None
    source: str
    source_text: str
    derivation: str
    derivation_text: str


@dataclass(frozen=True, slots=True)
class HouseholdMeasure:
    """`amount` x `text` weighs `grams` of edible portion ("0.25" x "cup leaves, whole" = 6 g)."""

    amount: float
    text: str
    grams: float
    sequence: int = 0


@dataclass(frozen=True, slots=True)
class FoodEntry:
    """One food entry; `id` is `<dataset>:<publisher's code>`."""

    id: str
    description: str
    group: str = ""
    group_name: str = ""
    common_name: str = ""
    scientific_name: str = ""
    refuse_percent: float = 0.0
    refuse_text: str = ""
    protein_factor: float | None = None
    fat_factor: float | None = None
    carbohydrate_factor: float | None = None
    nitrogen_factor: float | None = None
    measures: tuple[HouseholdMeasure, ...] = ()

    @property
    def dataset(self) -> str:
        return self.id.split(":", 1)[0]

    @property
    def code(self) -> str:
        return self.id.split(":", 1)[-1]


@dataclass(frozen=True, slots=True)
class FoodDetails:
    """What is shown of one food but not needed to resolve lines."""

    food: FoodEntry
    values: tuple[ComponentValue, ...]
    langual: tuple[tuple[str, str], ...] = ()
    footnotes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Release:
    """One loaded release of a dataset, as every answer names it."""

    dataset: str
    name: str
    release: str
    licence: str
    citation: str
    foods: int
    components: int
    values: int
    measures: int
    loaded: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class FoodTable:
    """All food entries of the datasets in use, in order of id, with their amounts.

    `amounts[i, j]` is the amount of `components[j]` in 100 g of `foods[i]`; NaN where the publisher gives none.
    """

    foods: tuple[FoodEntry, ...]
    components: tuple[Component, ...]
    amounts: NDArray[np.float64]
    releases: tuple[Release, ...] = ()
