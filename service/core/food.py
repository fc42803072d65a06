"""Food entries as a publisher wrote them: frozen values without behaviour.

Units: component amounts are per 100 g of edible portion, in the component's own unit; a household measure's
`grams` is the edible gram weight of `amount` times the measure; refuse is percent of the as-purchased weight.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

CarbohydrateBasis = Literal["total", "available"]
"""Carbohydrate "total" (by difference, fibre inside) or "available" (fibre outside); never mixed."""


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

    `samples` 0 means calculated or imputed; `standard_error` is of the mean, None where not published. `qualifier` is
    "" for a plain figure; "below" (the limit that `amount` gives) and "trace" are unknown values with a bound.
    """

    tagname: str
    amount: float
    samples: int
    standard_error: float | None
    source: str
    source_text: str
    derivation: str
    derivation_text: str
    qualifier: str = ""

    @property
    def known(self) -> float | None:
        """The amount, None where it is a limit or a trace."""
        return None if self.qualifier else self.amount


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
        return self.id.partition(":")[0]

    @property
    def code(self) -> str:
        return self.id.split(":", 1)[-1]


def as_gtin(text: str) -> str:
    """A number of 8 to 14 digits as a GTIN of 14, as GS1 writes shorter ones into one field; "" for any other text.

    >>> as_gtin("4006381333931")
    '04006381333931'
    """
    digits = text.strip()
    return digits.zfill(14) if digits.isascii() and digits.isdigit() and 8 <= len(digits) <= 14 else ""


@dataclass(frozen=True, slots=True)
class FoodDetails:
    """What is shown of one food but not needed to resolve lines.

    original_name  the publisher's name in its own language, "" where the description is that name
    linked         ids of the same food in other datasets, by the publisher's own statement
    gtin           the number in the bar code of a packaged product, of 14 digits
    reasons        why components that might have been worked out are unknown, by tagname
    """

    food: FoodEntry
    values: tuple[ComponentValue, ...]
    langual: tuple[tuple[str, str], ...] = ()
    footnotes: tuple[str, ...] = ()
    original_name: str = ""
    linked: tuple[str, ...] = ()
    gtin: str = ""
    reasons: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Release:
    """One loaded release of a dataset, as every answer names it.

    energy_basis  the factors that the publisher's energy rests on;  fibre_method  the method of FIBTG; in words
    active        whether it is the one of its dataset that answers
    """

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
    carbohydrate_basis: CarbohydrateBasis = "total"
    energy_basis: str = ""
    fibre_method: str = ""
    active: bool = True


@dataclass(frozen=True, slots=True, eq=False)
class FoodTable:
    """All food entries of the datasets in use, in order of id, with their amounts.

    `amounts[i, j]` is the amount of `components[j]` in 100 g of `foods[i]`; NaN where the publisher gives no plain
    figure. `limits` are upper bounds of values that are below a limit or a trace: food id -> tagname -> amount;
    `links` are ids of the same food in other datasets, by the publisher's statement: food id -> ids; `borrowed` are
    amounts that come along such a link: food id -> tagname -> the id of the food it comes from; `derived` are amounts
    that no publisher gives, worked out from those that it gives: food id -> tagname -> the formula with its figures.
    """

    foods: tuple[FoodEntry, ...]
    components: tuple[Component, ...]
    amounts: NDArray[np.float64]
    releases: tuple[Release, ...] = ()
    limits: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    links: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    borrowed: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    derived: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    @property
    def bases(self) -> Mapping[str, CarbohydrateBasis]:
        """The carbohydrate basis of each dataset; of one that is not named here it is "total"."""
        return {release.dataset: release.carbohydrate_basis for release in self.releases}


def in_columns(amounts: NDArray[np.float64], columns: int) -> NDArray[np.float64]:
    """A copy of the amounts with so many columns, those that are added unknown (NaN)."""
    added = np.full((len(amounts), columns - amounts.shape[1]), np.nan)
    return np.concatenate([amounts, added], axis=1)
