"""What the food routes answer: entries of the tables, own foods with what does not add up, saved recipes as foods."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fastapi import Request, Response

from service.api.exchange import (
    JSON,
    accepted,
    catalogue_of,
    number_of,
    shelf_of,
    shown_answer,
    tagged_answer,
    unseen,
)
from service.api.payloads import Payload, described_food, food_payload, found_food, shown
from service.api.problems import refusal
from service.api.recipe_answers import origin
from service.api.recipe_payloads import changed_payload
from service.api.schemas import MOST_DATASETS
from service.core.analyse import Resolver
from service.core.cooking import CookingTables, Treatment
from service.core.food import Component, FoodEntry, as_gtin
from service.core.label import completed, findings
from service.core.nutrients import CONVENTION, NetConvention, Total, net_formula, net_of_food, net_terms
from service.kitchens.book import Book
from service.kitchens.forms import OwnFoodForm, read_form
from service.kitchens.shelf import Saved
from service.store.kitchen import Document, Kind

LEAVES = {
    "drained": "Juices and fat leave the food.",
    "fried": "Juices and fat leave the food, frying fat comes in.",
    "fat eaten": "Water leaves the food, its fat is eaten.",
    "eaten": "Nothing leaves the food or what it was cooked in.",
}
# In the order in which a search lists them, with their food group.
_KITCHEN_GROUPS: Mapping[Kind, str] = {"own": "Own foods", "recipe": "Recipes"}


def food_answer(request: Request, id: str) -> Response:
    """A food by its id, of whichever kind: an entry of the tables, an own food, a saved recipe."""
    accepted(request, JSON)
    kind = id.partition(":")[0]
    if kind == "own":
        document = shelf_of(request).document("own", number_of(id))
        return shown_answer(request, own_food(shelf_of(request).book(), document), document)
    if kind == "recipe":
        return tagged_answer(request, recipe_food(shelf_of(request).book(), f"recipe:{number_of(id)}"), private=True)
    catalogue = catalogue_of(request)
    table = catalogue.resolver().table
    return tagged_answer(request, food_payload(catalogue.details(id, table=table), *catalogue.around(id, table=table)))


def own_number(request: Request, id: str) -> int:
    """The number of an own food that is to be changed; 405 for any other food, 428 where If-Match is missing."""
    if not id.startswith("own:"):
        if "if-match" not in request.headers:
            raise unseen()
        raise refusal(405, f"{id} is no own food, so it is not changed here", headers={"Allow": "GET, HEAD"})
    return number_of(id)


def named_datasets(text: str | None) -> list[str] | None:
    """Datasets that a query string names, separated by commas; 422 where it names more than a list of them may."""
    names = None if text is None else [name.strip() for name in text.split(",")]
    if names and len(names) > MOST_DATASETS:
        raise refusal(422, f"at most {MOST_DATASETS} datasets are named", pointer="/datasets")
    return names


def found_foods(request: Request, resolver: Resolver, search: str, *, limit: int) -> list[Payload]:
    """Own foods and saved recipes whose name has every word, then entries of the tables, the likeliest first.

    The number of a bar code finds the packaged foods that bear it, of every dataset in the store, and no other entry.
    """
    if packaged := catalogue_of(request).with_gtin(search):
        return [found_food(one) for one in packaged][:limit]
    shelf = shelf_of(request)
    listed = [
        found_food(FoodEntry(f"{kind}:{one.number}", one.title, group_name=group))
        for kind, group in _KITCHEN_GROUPS.items()
        for one in shelf.listing(kind, search=search, limit=limit)
    ]
    entries = () if as_gtin(search) else resolver.search(search, limit=limit)
    return [*listed, *(found_food(one.food) for one in entries)][:limit]


# ---- own foods -------------------------------------------------------------------------------------------------


def saved_own_food(request: Request, saved: Saved) -> Payload:
    """An own food as it was saved, and the recipes whose figures it changed."""
    changed = [changed_payload(one) for one in saved.changed]
    return {**own_food(shelf_of(request).book(), saved.document), "changed": changed}


def own_food(book: Book, document: Document) -> Payload:
    """An own food: composition per 100 g, the label as it was sent, what on it does not add up.

    All of it by this revision: another may have been saved meanwhile, and the book may read that one.
    """
    form = read_form(OwnFoodForm, document.body)
    own = form.value()
    found = book.composition_of(document.food_id, own)
    stated, known = own.components.keys(), completed(own).keys()
    amounts = dict(zip(book.columns, found.row.tolist(), strict=True))
    net = net_of_food(net_terms(found.row[None, :], book.columns)[0], found.basis).value
    return {
        **described_food(found.food),
        "components": {
            one.tagname: _label_value(one, amounts[one.tagname], _from_label(one.tagname in stated))
            if one.tagname in known
            else _unknown(one, "the label does not state it")
            for one in book.components
        },
        "net_carbohydrate": _net(None if net is None else float(net), "the label does not state enough for it"),
        "releases": [],
        "revision": document.revision,
        "saved": document.saved,
        "form": form.dumped(),
        "findings": [{"pointer": one.pointer, "text": one.text} for one in findings(own)],
    }


def _from_label(stated: bool) -> str:
    return "stated on the label" if stated else "follows from what the label states"


def _label_value(component: Component, amount: float, origin_text: str) -> Payload:
    value = {"value": shown(amount), "name": component.name, "unit": component.unit}
    return {**value, "source": {"code": "", "text": origin_text}}


def _unknown(component: Component, reason: str) -> Payload:
    return {"value": None, "name": component.name, "unit": component.unit, "reason": reason}


def _net(value: float | None, reason: str, convention: NetConvention = CONVENTION) -> Payload:
    formula = net_formula(convention)
    return {"value": shown(value), "unit": "g", "formula": formula, "reason": reason if value is None else None}


# ---- recipes as foods ------------------------------------------------------------------------------------------


def recipe_food(book: Book, food_id: str) -> Payload:
    """A saved recipe as a food: what 100 g of it hold as made; what is not known in full is null with a reason."""
    worked, document = book.work_saved(food_id), book.document("recipe", food_id)
    found = worked.base.portions.per_100g
    totals = {} if found is None else {total.tagname: total for total in found.components}
    net = None if found is None else found.net_carbohydrate
    return {
        **described_food(book.fetch(food_id).entry),
        "basis": "100 g as made",
        "components": {one.tagname: _recipe_value(one, totals.get(one.tagname)) for one in book.components},
        "net_carbohydrate": _net(None if net is None else net.value, _why(net), worked.recipe.net),
        "releases": [],
        "revision": document.revision,
        "saved": document.saved,
        "origin": origin(book, food_id),
    }


def _recipe_value(component: Component, total: Total | None) -> Payload:
    if total is None or total.value is None:
        return _unknown(component, _why(total))
    return _label_value(component, total.value, "worked out from the recipe")


def _why(total: Total | None) -> str:
    if total is None:
        return "the weight of the dish is not known"
    lines = ", ".join(str(number) for number in total.unknown_in)
    return f"not known in full: lines {lines} of the recipe"


# ---- treatments ------------------------------------------------------------------------------------------------


def treatments_payload(tables: CookingTables) -> Payload:
    """Every cooking treatment that a line may name, with what it does and its source."""
    spellings = tables.spellings.items()
    listed = [
        _treatment(one, [spelling for spelling, name in spellings if name == one.name])
        for one in tables.treatments.values()
    ]
    return {"treatments": listed}


def _treatment(one: Treatment, also: Iterable[str]) -> Payload:
    return {
        "name": one.name, "also": list(also), "leaves": LEAVES[one.losses], "retention": one.retention,
        "yields": one.yields, "alcohol": one.alcohol or None, "source": one.source,
    }  # fmt: skip
