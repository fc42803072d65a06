"""How a figure came about: food, grams, table value and its origin for every ingredient, and how sure the sum is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from service.core.composition import NOTHING, Dish, Ingredient
from service.core.food import ComponentValue
from service.core.nutrients import (
    AVAILABLE_SUM,
    POLYOLS,
    NetConvention,
    carbohydrate_of,
    net_of_food,
    net_terms,
    polyols_left,
)
from service.core.uncertainty import LABELLED, NET, UNSTATED, Term, Uncertainty, is_assumed, propagate
from service.kitchens.book import Book

# Figures that get a range, beside net carbohydrate.
RANGED = ("ENERC_KCAL", "ENERC_KJ", "PROCNT", "FAT", "CHOCDF", "FIBTG")


@dataclass(frozen=True, slots=True)
class Evidence:
    """One ingredient's part in a figure.

    per_100g   in the table's unit, after cooking where the line is treated, None where unknown
    amount     in the whole dish, None where the value or the weight is unknown
    value      the published value with its origin, None for net carbohydrate, own foods and pantry substances
    """

    ingredient: Ingredient
    per_100g: float | None
    amount: float | None
    value: ComponentValue | None


def evidence(book: Book, dish: Dish, tagname: str, convention: NetConvention) -> tuple[Evidence, ...]:
    """How the figure of one component, or of net carbohydrate, came about."""
    found = []
    for one in dish.ingredients:
        per_100g = _per_100g(book, one, tagname, convention)
        grams = None if one.grams is None else one.grams.value
        amount = 0.0 if one.grams == NOTHING else None if per_100g is None or grams is None else per_100g * grams / 100
        values = book.values(one.food.id) if one.food is not None else {}
        found.append(Evidence(one, per_100g, amount, values.get(tagname)))
    return tuple(found)


def _per_100g(book: Book, one: Ingredient, tagname: str, convention: NetConvention) -> float | None:
    if one.row is None:
        return None
    if tagname == NET:
        net = net_of_food(net_terms(one.row[None, :], book.columns)[0], one.basis, convention).value
        return None if net is None else float(net)
    value = float(one.row[book.columns[tagname]]) + (one.water * 100 if tagname == "WATER" else 0.0)
    return None if math.isnan(value) else value


def uncertainties(book: Book, dish: Dish, convention: NetConvention) -> Mapping[str, Uncertainty]:
    """Standard uncertainty and 95 % range of what is known of the main figures of a dish."""
    return {tagname: propagate(_terms(book, dish, tagname, convention)) for tagname in (*RANGED, NET)}


def _terms(book: Book, dish: Dish, tagname: str, convention: NetConvention) -> list[Term]:
    terms = []
    for one in dish.ingredients:
        amount = _per_100g(book, one, tagname, convention)
        if amount is None or one.grams is None or one.food is None:
            continue
        unstated = LABELLED if one.food.dataset == "own" else UNSTATED
        error = book.errors(one.food.id).get(tagname, abs(amount) * unstated)
        if tagname == NET:
            error = math.hypot(error, _polyols_error(book, one, convention, unstated))
        grams, assumed = one.grams, is_assumed(book.values(one.food.id), tagname, one.basis)
        terms.append(
            Term(
                one.line, one.text, one.food.id, amount, error, grams.value, grams.low, grams.high,
                _cooking(book, one, tagname), assumed,
            )
        )  # fmt: skip
    return terms


def _polyols_error(book: Book, one: Ingredient, convention: NetConvention, unstated: float) -> float:
    """The error of the polyols that net carbohydrate has beside a sum of sugars and starch, by the convention."""
    known = {} if one.row is None else net_terms(one.row[None, :], book.columns)[0]
    if not known.get(POLYOLS) or carbohydrate_of(one.basis, known) != AVAILABLE_SUM or one.food is None:
        return 0.0
    share = polyols_left(known, convention)[0] / known[POLYOLS]
    return share * book.errors(one.food.id).get(POLYOLS, known[POLYOLS] * unstated)


def _cooking(book: Book, one: Ingredient, tagname: str) -> float:
    """Half the width per 100 g between the bounds of what the tables of cooking say is left."""
    if one.least is None or one.fullest is None or tagname not in book.columns:
        return 0.0
    place = book.columns[tagname]
    width = float(one.fullest[place] - one.least[place]) / 2
    return 0.0 if math.isnan(width) else width
