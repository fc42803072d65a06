"""Foods: search, one food with its composition, and the kitchen's own foods; cooking treatments."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response

from service.api import documents
from service.api.exchange import (
    catalogue_of,
    created,
    page_links,
    ready_for,
    request_name,
    revision_answer,
    revision_seen,
    shelf_of,
    tagged_answer,
)
from service.api.food_answers import (
    food_answer,
    found_foods,
    named_datasets,
    own_number,
    saved_own_food,
    treatments_payload,
)
from service.api.kitchen_bodies import read_own_food
from service.api.payloads import release_name
from service.api.recipe_payloads import listed_payload

router = APIRouter(tags=["foods"])

MOST_FOUND = 1000
MOST_LISTED = 100_000
_DATASETS = "Datasets to look in, separated by commas, the preferred one first; by default those in use."
OwnId = Annotated[str, Path(description="Such as `own:3`.")]


@router.get("/foods", **documents.FOOD_SEARCH)
async def search_foods(
    request: Request,
    search: Annotated[str, Query(min_length=1, max_length=1000, description="Words of the food, in any order.")],
    limit: Annotated[int, Query(ge=1, le=100, description="Entries on a page.")] = 20,
    offset: Annotated[int, Query(ge=0, le=MOST_FOUND, description="Entries to skip.")] = 0,
    datasets: Annotated[str | None, Query(min_length=1, max_length=1000, description=_DATASETS)] = None,
) -> Response:
    """Foods for search words: own foods, saved recipes, then the likeliest entries. Link names the pages around."""
    chosen = named_datasets(datasets)
    await ready_for(request, chosen)
    resolver = catalogue_of(request).resolver(chosen)
    found = found_foods(request, resolver, search, limit=offset + limit + 1)
    more = len(found) > offset + limit and offset + limit <= MOST_FOUND
    links = page_links(request, offset=offset, limit=limit, more=more, search=search, datasets=datasets)
    releases = [release_name(release) for release in resolver.table.releases]
    payload = {"search": search, "foods": found[offset : offset + limit], "releases": releases}
    return tagged_answer(request, payload, links=links, private=True)


@router.post("/foods", status_code=201, **documents.OWN_FOOD_NEW)
async def save_own_food(request: Request) -> Response:
    """Save an own food from its label; what on it does not add up is in `findings`."""
    saved = shelf_of(request).save_own(await read_own_food(request), request=request_name(request))
    return created(request, saved_own_food(request, saved), saved.document)


@router.get("/own-foods", **documents.OWN_FOODS)
async def list_own_foods(
    request: Request,
    search: Annotated[str, Query(max_length=300, description="Words of the name.")] = "",
    limit: Annotated[int, Query(ge=1, le=100)] = 20,
    offset: Annotated[int, Query(ge=0, le=MOST_LISTED)] = 0,
) -> Response:
    """The kitchen's own foods by name; the Link header names the pages before and after."""
    found = shelf_of(request).listing("own", search=search, limit=limit + 1, offset=offset)
    links = page_links(request, offset=offset, limit=limit, more=len(found) > limit, search=search)
    listed = [listed_payload("own", one) for one in found[:limit]]
    return tagged_answer(request, {"own_foods": listed}, links=links, private=True)


@router.get("/foods/{id}", **documents.FOOD)
async def read_food(request: Request, id: str) -> Response:
    """One food, an own food or a saved recipe: composition per 100 g with the origin of each value, measures."""
    return food_answer(request, id)


@router.put("/foods/{id}", **documents.OWN_FOOD_CHANGE)
async def change_own_food(request: Request, id: OwnId) -> Response:
    """Save a new revision of an own food; the recipes that come to other figures are listed with both."""
    number = own_number(request, id)
    expected = revision_seen(request, "own", number)
    form = await read_own_food(request)
    saved = shelf_of(request).save_own(form, number=number, expected=expected)
    return revision_answer(request, saved_own_food(request, saved), saved.document)


@router.delete("/foods/{id}", status_code=204, **documents.OWN_FOOD_DELETE)
async def delete_own_food(request: Request, id: OwnId) -> Response:
    """Delete an own food that no recipe uses."""
    number = own_number(request, id)
    shelf_of(request).delete("own", number, expected=revision_seen(request, "own", number))
    return Response(status_code=204)


@router.get("/treatments", **documents.TREATMENTS)
async def list_treatments(request: Request) -> Response:
    """The cooking treatments that a line of a recipe may name, with what each does."""
    return tagged_answer(request, treatments_payload(shelf_of(request).cooking))
