"""Standard uncertainty of a sum over ingredients: JCGM 100:2008 (GUM), equation 10, with 95 % ranges (k = 2).

    y = sum of m x / 100
    u(y)^2 = sum over lines of (x / 100)^2 u(m)^2  +  sum over foods of (M / 100)^2 u(x)^2

m grams of a line, M grams of a food in all its lines (one table value stands behind them), x amount per 100 g.
A weight is taken as evenly likely between its bounds: u(m) = half the width / sqrt 3. A table value has its published
standard error of the mean; without one, a share of the value by the kind of its source, never zero but for values
that are zero by definition. It tells how well the mean is known, not how one piece differs from another.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from service.core.food import ComponentValue

# Share of the value where the publisher gives no standard error, by SR28 source code: 5 and 8 are from labels, whose
# tolerance is 20 % (21 CFR 101.9(g)); 9 from manufacturers, alike; 7 is zero by definition; the rest by convention.
UNSTATED, LABELLED = 0.10, 0.20
BY_SOURCE = {"5": LABELLED, "7": 0.0, "8": LABELLED, "9": LABELLED}
COVERAGE_FACTOR = 2.0
# Carbohydrate by difference has the errors of what is taken from 100.
BY_DIFFERENCE = ("WATER", "PROCNT", "FAT", "ASH")
NET = "net_carbohydrate"
# The contributors that are named.
MOST_NAMED = 3


@dataclass(frozen=True, slots=True)
class Term:
    """One line's part in a sum: `amount` per 100 g, `error` its standard uncertainty, grams with their bounds."""

    line: int
    text: str
    food_id: str
    amount: float
    error: float
    grams: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Contributor:
    """What makes a figure uncertain; `share` of 1 of the variance."""

    line: int
    text: str
    cause: Literal["weight", "table value"]
    share: float


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard uncertainty with the range of about 95 %, and what it comes from, the largest first."""

    standard: float
    low: float
    high: float
    contributors: tuple[Contributor, ...] = ()


def table_errors(values: Iterable[ComponentValue]) -> dict[str, float]:
    """Standard uncertainty per 100 g of each component of a food, net carbohydrate too where it can be told."""
    published = {value.tagname: value for value in values if not value.qualifier}
    errors = {tagname: _error(value) for tagname, value in published.items()}
    carbohydrate = published.get("CHOCDF")
    parts = [published[tagname].standard_error for tagname in BY_DIFFERENCE if tagname in published]
    stated = [error for error in parts if error is not None]
    if carbohydrate is not None and carbohydrate.standard_error is None and len(stated) == len(BY_DIFFERENCE):
        errors["CHOCDF"] = math.hypot(*stated) if carbohydrate.amount else 0.0
    if "CHOCDF" in errors and "FIBTG" in errors:
        errors[NET] = math.hypot(errors["CHOCDF"], errors["FIBTG"])
    return errors


def _error(value: ComponentValue) -> float:
    if value.standard_error is not None:
        return value.standard_error
    return value.amount * BY_SOURCE.get(value.source, UNSTATED)


def propagate(terms: Sequence[Term]) -> Uncertainty:
    """The uncertainty of the sum of these terms."""
    variances = [
        (term.line, term.text, "weight", (term.amount / 100 * (term.high - term.low) / 2) ** 2 / 3) for term in terms
    ]
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
    return Uncertainty(standard, max(0.0, value - reach), value + reach, _largest(variances, total))


def _largest(variances: Sequence[tuple[int, str, str, float]], total: float) -> tuple[Contributor, ...]:
    order = sorted(variances, key=lambda one: (-one[3], one[0], one[2]))
    named: Mapping[str, Literal["weight", "table value"]] = {"weight": "weight", "table value": "table value"}
    return tuple(
        Contributor(line, text, named[cause], variance / total)
        for line, text, cause, variance in order[:MOST_NAMED]
        if variance > 0
    )
