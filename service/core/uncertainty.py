"""Standard uncertainty of a sum over ingredients: JCGM 100:2008 (GUM), equation 10, with 95 % ranges (k = 2).

    y = sum of m x / 100
    u(y)^2 = sum over lines of (x / 100)^2 u(m)^2 + (m / 100)^2 u(c)^2  +  sum over foods of (M / 100)^2 u(x)^2

m grams of a line, M grams of a food in all its lines (one table value stands behind them), x amount per 100 g, c what
cooking changes of it. A weight is taken as evenly likely between its bounds: u(m) = half the width / sqrt 3; so is what
cooking changes, between the bounds of its tables. A table value has its published standard error of the mean; without
one, a share of the value by the kind of its source, never zero but for values that are zero by definition. It tells
how well the mean is known, not how one piece differs from another.
"""

from __future__ import annotations

import math
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.food import CarbohydrateBasis, ComponentValue
from service.core.nutrients import carbohydrate_of

# Share of the value where the publisher gives no standard error, by dataset and source code. USDA's codes: 5 and 8 are
# from labels, whose tolerance is 20 % (21 CFR 101.9(g)); 9 from manufacturers, alike; 7 is zero by definition; analysed
# and calculated values by convention. Codes of publishers who do not say how sure they are get the widest share.
UNSTATED, LABELLED = 0.10, 0.20
WIDEST = LABELLED
_USDA = dict.fromkeys(("1", "4", "6", "11", "12", "13"), UNSTATED) | {
    "5": LABELLED, "7": 0.0, "8": LABELLED, "9": LABELLED,
}  # fmt: skip
BY_SOURCE: Mapping[str, Mapping[str, float]] = {
    "sr28": _USDA,
    "fdc-foundation": _USDA,
    "fdc-sr-legacy": _USDA,
    "fdc-survey": _USDA,
    "fdc-branded": _USDA,
}
COVERAGE_FACTOR = 2.0
# Carbohydrate by difference has the errors of what is taken from 100.
BY_DIFFERENCE = ("WATER", "PROCNT", "FAT", "ASH")
NET = "net_carbohydrate"
# The contributors that are named.
MOST_NAMED = 3


Cause = Literal["weight", "cooking", "table value"]


@dataclass(frozen=True, slots=True)
class Term:
    """One line's part in a sum: `amount` per 100 g, `error` its standard uncertainty, grams with their bounds.

    cooking   half the width per 100 g between the bounds of what cooking changes
    assumed   the error is a share of the value, since none is published
    """

    line: int
    text: str
    food_id: str
    amount: float
    error: float
    grams: float
    low: float
    high: float
    cooking: float = 0.0
    assumed: bool = False


@dataclass(frozen=True, slots=True)
class Contributor:
    """What makes a figure uncertain; `share` of 1 of the variance."""

    line: int
    text: str
    cause: Cause
    share: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard uncertainty with the range of about 95 %, and what it comes from, the largest first.

    assumed_in   lines with a table value whose error is a share of it, since none is published
    """

    standard: float
    low: float
    high: float
    contributors: tuple[Contributor, ...] = ()
    assumed_in: tuple[int, ...] = ()


def table_errors(
    values: Iterable[ComponentValue], *, dataset: str, basis: CarbohydrateBasis = "total"
) -> dict[str, float]:
    """Standard uncertainty per 100 g of each component of a food, net carbohydrate too where it can be told."""
    published = {value.tagname: value for value in values if not value.qualifier}
    shares = BY_SOURCE.get(dataset, {})
    errors = {tagname: _error(value, shares) for tagname, value in published.items()}
    carbohydrate = published.get("CHOCDF")
    parts = [published[tagname].standard_error for tagname in BY_DIFFERENCE if tagname in published]
    stated = [error for error in parts if error is not None]
    if carbohydrate is not None and carbohydrate.standard_error is None and len(stated) == len(BY_DIFFERENCE):
        errors["CHOCDF"] = math.hypot(*stated) if carbohydrate.amount else 0.0
    terms = net_rests_on(basis, published)
    if all(tagname in errors for tagname in terms):
        errors[NET] = math.hypot(*(errors[tagname] for tagname in terms))
    return errors


def net_rests_on(basis: CarbohydrateBasis, known: Container[str]) -> tuple[str, ...]:
    """The components whose errors net carbohydrate has."""
    return ("CHOCDF", "FIBTG") if basis == "total" else (carbohydrate_of(basis, known),)


def _error(value: ComponentValue, shares: Mapping[str, float]) -> float:
    if value.standard_error is not None:
        return value.standard_error
    return value.amount * shares.get(value.source, WIDEST)


def is_assumed(values: Mapping[str, ComponentValue], tagname: str, basis: CarbohydrateBasis = "total") -> bool:
    """Whether the error of a component of a food is a share of it; CHOCDF has that of what it is the rest of."""
    if tagname == NET:
        return any(is_assumed(values, one) for one in net_rests_on(basis, values))
    if tagname == "CHOCDF" and all(not is_assumed(values, part) for part in BY_DIFFERENCE):
        return False
    return tagname not in values or values[tagname].standard_error is None


def propagate(terms: Sequence[Term]) -> Uncertainty:
    """The uncertainty of the sum of these terms."""
    variances: list[tuple[int, str, Cause, float]] = []
    for term in terms:
        variances.append((term.line, term.text, "weight", (term.amount / 100 * (term.high - term.low) / 2) ** 2 / 3))
        variances.append((term.line, term.text, "cooking", (term.grams / 100 * term.cooking) ** 2 / 3))
    foods: dict[str, list[Term]] = {}
    for term in terms:
        foods.setdefault(term.food_id, []).append(term)
    for same in foods.values():
        weight = math.fsum(term.grams for term in same)
        largest = max(same, key=lambda term: term.grams)
        variances.append((largest.line, largest.text, "table value", (weight / 100 * largest.error) ** 2))
    total = math.fsum(variance for *_, variance in variances)
    standard = math.sqrt(total)
    value = math.fsum(term.amount * term.grams / 100 for term in terms)
    reach = COVERAGE_FACTOR * standard
    assumed = tuple(sorted({term.line for term in terms if term.assumed and term.error}))
    return Uncertainty(standard, max(0.0, value - reach), value + reach, _largest(variances, total), assumed)


def _largest(variances: Sequence[tuple[int, str, Cause, float]], total: float) -> tuple[Contributor, ...]:
    order = sorted(variances, key=lambda one: (-one[3], one[0], one[2]))
    return tuple(
        Contributor(line, text, cause, variance / total)
        for line, text, cause, variance in order[:MOST_NAMED]
        if variance > 0
    )
