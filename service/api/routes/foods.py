"""Food entries: search, and one entry with its composition."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request, Response

from service.api import documents
from service.api.exchange import catalogue_of, page_links, tagged_answer
from service.api.payloads import food_payload, found_food, release_name

router = APIRouter(tags=["foods"])

MOST_FOUND = 1000


@router.get("/foods", **documents.FOOD_SEARCH)
async def search_foods(
    request: Request,
    search: Annotated[str, Query(min_length=1, max_length=1000, description="Words of the food, in any order.")],
    limit: Annotated[int, Query(ge=1, le=100, description="Entries on a page.")] = 20,
    offset: Annotated[int, Query(ge=0, le=MOST_FOUND, description="Entries to skip.")] = 0,
) -> Response:
    """Food entries for search words, the likeliest first. The Link header names the pages before and after."""
    resolver = catalogue_of(request).resolver()
    found = resolver.search(search, limit=offset + limit + 1)
    foods = [found_food(candidate.food) for candidate in found[offset : offset + limit]]
    more = len(found) > offset + limit and offset + limit <= MOST_FOUND
    links = page_links(request, offset=offset, limit=limit, more=more, search=search)
    releases = [release_name(release) for release in resolver.table.releases]
    return tagged_answer(request, {"search": search, "foods": foods, "releases": releases}, links=links)


@router.get("/foods/{id}", **documents.FOOD)
def read_food(request: Request, id: str) -> Response:
    """One food entry: composition per 100 g of edible portion with the origin of each value, measures, refuse."""
    catalogue = catalogue_of(request)
    table = catalogue.resolver().table
    return tagged_answer(request, food_payload(catalogue.details(id), table.components, table.releases))
