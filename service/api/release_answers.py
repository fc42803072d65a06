"""What the routes of releases answer: the releases of a dataset, and what differs between two of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fastapi import Request, Response

from service.api.exchange import JSON, accepted, catalogue_of, shelf_of, tagged_answer, typed_answer
from service.api.payloads import Payload, component_payload, release_payload, shown
from service.api.publishing import CSV, HTML
from service.api.recipe_payloads import changed_payload
from service.core.comparison import Amount, Comparison, FoodPair, MeasureChange, ValueChange
from service.core.errors import NotFoundError
from service.core.food import FoodEntry, HouseholdMeasure
from service.kitchens.impact import Impact, compared, impact
from service.kitchens.shelf import Shelf
from service.publish.comparison import comparison_csv, comparison_html, comparison_rows, counts, successors
from service.publish.markup import POLICY
from service.wiring import Catalogue


def releases_payload(catalogue: Catalogue, dataset: str) -> Payload:
    """Every release of a dataset in the store, in the order they were loaded; NotFoundError where there is none."""
    found = [one for one in catalogue.stored_releases() if one.dataset == dataset]
    if not found:
        raise NotFoundError(f"no release of {dataset!r} is in the store")
    return {"releases": [{**release_payload(one), "active": one.active} for one in found]}


def comparison_answer(request: Request, dataset: str, old: str | None, new: str | None, *, limit: int) -> Response:
    """What differs between two releases and what the newer one would change in the caller's kitchen.

    As data, with lists of `limit` at most, or whole as a page or CSV.
    """
    form, kitchen = accepted(request, JSON, HTML, CSV), shelf_of(request).kitchen
    # A shelf of its own: this may take seconds, and the app's is for one thread at a time.
    shelf = Shelf(catalogue_of(request), kitchen)
    found = compared(shelf, dataset, old, new)
    changes = impact(shelf, dataset, found.new.release, kitchens=[kitchen])
    if form == HTML:
        page = comparison_html(found, changes).encode()
        return typed_answer(request, page, HTML, {"Content-Security-Policy": POLICY})
    if form == CSV:
        return typed_answer(request, comparison_csv(comparison_rows(found, changes)).encode(), CSV, {})
    return tagged_answer(request, comparison_payload(found, changes, limit=limit), private=True)


def comparison_payload(found: Comparison, changes: Impact, *, limit: int) -> Payload:
    """A comparison and its impact as data."""
    return {
        "old": release_payload(found.old),
        "new": release_payload(found.new),
        "counts": {name.replace(" ", "_"): count for name, count in counts(found, changes).items()},
        **_foods(found, limit),
        "components_added": [component_payload(one) for one in found.components_added],
        "components_dropped": [component_payload(one) for one in found.components_dropped],
        "values_changed": [_value(one) for one in found.values[:limit]],
        "measures_changed": [_measure(one) for one in found.measures[:limit]],
        "impact": _impact(changes, successors(found), limit),
    }


def _foods(found: Comparison, limit: int) -> Payload:
    return {
        "added": _named(found.added[:limit]),
        "dropped": _named(found.dropped[:limit]),
        "renamed": [_pair(pair) for pair in found.renamed[:limit]],
        "recoded": [_pair(pair) for pair in found.recoded[:limit]],
    }


def _named(foods: Iterable[FoodEntry]) -> list[Payload]:
    return [{"id": food.id, "description": food.description} for food in foods]


def _pair(pair: FoodPair) -> Payload:
    old, new = _named((pair.old, pair.new))
    return {"old": old, "new": new}


def _value(change: ValueChange) -> Payload:
    named = {"tagname": change.component.tagname, "unit": change.component.unit}
    return {"food": _named([change.food])[0], **named, "old": _amount(change.old), "new": _amount(change.new)}


def _amount(amount: Amount) -> Payload:
    return {"value": amount.known, "limit": amount.limit}


def _measure(change: MeasureChange) -> Payload:
    return {"food": _named([change.food])[0], "old": _grams(change.old), "new": _grams(change.new)}


def _grams(measure: HouseholdMeasure | None) -> Payload | None:
    if measure is None:
        return None
    return {"amount": shown(measure.amount), "measure": measure.text, "grams": shown(measure.grams)}


def _impact(found: Impact, moved: Mapping[str, str], limit: int) -> Payload:
    return {
        "active": found.active,
        "recipes": [
            {**changed_payload(one), "lost": [
                {"line": line, "food": food, "successor": moved.get(food)} for line, food in one.lost
            ]}
            for _, one in found.recipes[:limit]
        ],
        "choices": [
            {"phrase": one.phrase, "food": one.food_id, "old": one.before, "new": one.after,
             "successor": moved.get(one.food_id) if one.after is None else None}
            for one in found.choices[:limit]
        ],
    }  # fmt: skip
