"""The release value: what every importer returns and what the store writes.

Units are those of `service.core.food`: amounts per 100 g of edible portion in the component's own unit,
household measures in grams of edible portion, refuse in percent of the as-purchased weight.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from service.core.food import Component, FoodEntry

Progress = Callable[[int, int, str], None]
"""`progress(done, total, what)`: `done` of `total` steps of the work named `what` are done."""


def no_progress(done: int, total: int, what: str) -> None:
    """The progress of a caller who wants none."""


@dataclass(frozen=True, slots=True)
class CodeText:
    """A publisher's code and the text that explains it."""

    code: str
    text: str


@dataclass(frozen=True, slots=True)
class Footnote:
    """One footnote of a food; `component` is the publisher's component number, "" for the food as a whole."""

    number: str
    kind: str
    component: str
    text: str


@dataclass(frozen=True, slots=True)
class ReleaseFood:
    """One food entry with the publisher's further texts; `langual` holds codes out of the release's terms.

    original_name  the publisher's name in its own language, where the entry's description is a translation
    linked         ids of the same food in other datasets, by the publisher's own statement ("sr28:09038")
    gtin           the number in the bar code of a packaged product, filled up to 14 digits by zeros as GS1 does
    """

    entry: FoodEntry
    short_description: str = ""
    manufacturer: str = ""
    refuse_stated: bool = True
    langual: tuple[str, ...] = ()
    footnotes: tuple[Footnote, ...] = ()
    original_name: str = ""
    linked: tuple[str, ...] = ()
    gtin: str = ""


QUALIFIERS = ("", "below", "trace")
"""What a value is when it is no plain figure: below the limit that `amount` gives, or a trace (amount 0)."""


@dataclass(frozen=True, slots=True, eq=False)
class ReleaseValues:
    """All published values as columns of equal length n; row k is one value of one food.

    `food[k]` and `component[k]` are indices into the release's foods and components, no pair twice; `amount` is
    per 100 g; `standard_error` is NaN where not published; `source[k]` and `derivation[k]` are indices into
    `source_codes` and `derivation_codes`, which hold the publisher's codes ("" where it gives none); `qualifier[k]`
    is an index into QUALIFIERS. A value that is not plain counts as unknown, with an upper bound.
    """

    food: NDArray[np.int32]
    component: NDArray[np.int32]
    amount: NDArray[np.float64]
    samples: NDArray[np.int32]
    standard_error: NDArray[np.float64]
    source: NDArray[np.int32]
    derivation: NDArray[np.int32]
    source_codes: tuple[str, ...]
    derivation_codes: tuple[str, ...]
    qualifier: NDArray[np.int8] | None = None

    @property
    def plain(self) -> NDArray[np.bool_]:
        """Which values are plain figures."""
        return np.ones(len(self), bool) if self.qualifier is None else self.qualifier == 0

    def __len__(self) -> int:
        return len(self.amount)


@dataclass(frozen=True, slots=True, eq=False)
class ReleaseData:
    """One checked release of a dataset, ready to be stored.

    `dataset` is the short key that prefixes food ids ("sr28"); `foods` is in order of id, `components` in the
    publisher's order of presentation; tagnames are unique within a release.

    carbohydrate_basis  "total" (by difference, fibre inside) or "available" (fibre outside); never mixed
    energy_basis        the factors that the publisher's energy rests on, in words
    fibre_method        the method of FIBTG, in words
    """

    dataset: str
    name: str
    release: str
    licence: str
    citation: str
    components: tuple[Component, ...]
    groups: tuple[CodeText, ...]
    foods: tuple[ReleaseFood, ...]
    values: ReleaseValues
    sources: tuple[CodeText, ...] = ()
    derivations: tuple[CodeText, ...] = ()
    langual_terms: tuple[CodeText, ...] = ()
    carbohydrate_basis: Literal["total", "available"] = "total"
    energy_basis: str = ""
    fibre_method: str = ""

    @property
    def measures(self) -> int:
        """Number of household measures of all foods."""
        return sum(len(food.entry.measures) for food in self.foods)

    def matrix(self) -> NDArray[np.float64]:
        """Amounts as (foods, components), NaN where the publisher gives no plain figure."""
        amounts = np.full((len(self.foods), len(self.components)), np.nan)
        plain = self.values.plain
        amounts[self.values.food[plain], self.values.component[plain]] = self.values.amount[plain]
        return amounts
