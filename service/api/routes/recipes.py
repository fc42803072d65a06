"""Saved recipes: keeping them, and what they come to."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response

from service.api import documents
from service.api.exchange import (
    asked_of,
    book_of,
    counted_answer,
    created,
    kept_answer,
    number_of,
    page_links,
    request_name,
    revision_answer,
    revision_seen,
    shelf_of,
    tagged_answer,
)
from service.api.kitchen_bodies import read_recipe_body, recipe_body, recipe_of
from service.api.payloads import encode
from service.api.recipe_answers import named, nutrition_answer, preview_answer, saved_recipe
from service.api.recipe_payloads import document_payload, listed_payload
from service.kitchens.forms import RecipeForm, read_form

router = APIRouter(tags=["recipes"])

MOST_LISTED = 100_000
RecipeId = Annotated[str, Path(pattern=r"^(?:recipe:)?[1-9]\d{0,8}$", description="Such as `recipe:7`, or `7`.")]
# The largest whole number of a column.
_MOST = 2**31 - 1
Revision = Annotated[int | None, Query(ge=1, le=_MOST, description="A revision other than the latest.")]
At = Annotated[int | None, Query(ge=0, le=_MOST, description="As the kitchen stood at this change, of an `origin`.")]
Components = Annotated[str, Query(max_length=3000, description="Tagnames separated by commas; all by default.")]


_USING = (
    "A food id that a line of the recipe named when it was last saved, or when a save of something that it uses last "
    "reached it. To activate another release of a table does not look again."
)


@router.get("/recipes", **documents.RECIPES)
async def list_recipes(
    request: Request,
    search: Annotated[str, Query(max_length=300, description="Words of the title.")] = "",
    using: Annotated[str, Query(max_length=60, description=_USING)] = "",
    limit: Annotated[int, Query(ge=1, le=100)] = 20,
    offset: Annotated[int, Query(ge=0, le=MOST_LISTED)] = 0,
) -> Response:
    """Saved recipes by title; the Link header names the pages before and after."""
    found = shelf_of(request).listing("recipe", search=search, using=using, limit=limit + 1, offset=offset)
    links = page_links(request, offset=offset, limit=limit, more=len(found) > limit, search=search, using=using)
    listed = [listed_payload("recipe", one) for one in found[:limit]]
    return tagged_answer(request, {"recipes": listed}, links=links, private=True)


@router.post("/recipes", status_code=201, **documents.RECIPE_NEW)
async def save_recipe(request: Request) -> Response:
    """Save a new recipe: JSON, plain text, or a schema.org Recipe as JSON-LD."""
    form, notes = await read_recipe_body(request)
    saved = shelf_of(request).save_recipe(form, request=request_name(request))
    return created(request, saved_recipe(saved, notes), saved.document)


@router.post("/recipes/preview", **documents.RECIPE_PREVIEW)
async def preview_recipe(
    request: Request,
    components: Components = "",
    ledger: Annotated[bool, Query(description="Also the recipe as it was read, and what each line brings.")] = False,
) -> Response:
    """What a recipe comes to, without saving it."""
    sent, body = await recipe_body(request)
    shelf, asked = shelf_of(request), asked_of(request, sent, body)
    book = book_of(request)
    if (kept := kept_answer(request, book, asked)) is not None:
        return kept
    form, notes = recipe_of(request, sent, body)
    chosen = named(components)
    answer, outcomes = preview_answer(shelf, book, form, components=chosen, notes=notes, with_ledger=ledger)
    return counted_answer(request, book, asked, encode(answer), outcomes)


@router.get("/recipes/{id}", **documents.RECIPE)
async def read_recipe(request: Request, id: RecipeId, revision: Revision = None) -> Response:
    """A recipe as it was saved."""
    document = shelf_of(request).document("recipe", number_of(id), revision=revision)
    return revision_answer(request, document_payload(document, read_form(RecipeForm, document.body).dumped()), document)


@router.put("/recipes/{id}", **documents.RECIPE_CHANGE)
async def change_recipe(request: Request, id: RecipeId) -> Response:
    """Save a new revision; the recipes that use it and come to other figures are listed with both."""
    expected = revision_seen(request, "recipe", number_of(id))
    form, notes = await read_recipe_body(request)
    saved = shelf_of(request).save_recipe(form, number=number_of(id), expected=expected)
    return revision_answer(request, saved_recipe(saved, notes), saved.document)


@router.delete("/recipes/{id}", status_code=204, **documents.RECIPE_DELETE)
async def delete_recipe(request: Request, id: RecipeId) -> Response:
    """Delete a recipe that no other recipe uses; its revisions can still be read."""
    shelf_of(request).delete("recipe", number_of(id), expected=revision_seen(request, "recipe", number_of(id)))
    return Response(status_code=204)


@router.get("/recipes/{id}/revisions", **documents.RECIPE_REVISIONS)
async def list_revisions(request: Request, id: RecipeId) -> Response:
    """Every revision of a recipe with the time it was saved."""
    found = shelf_of(request).revisions("recipe", number_of(id))
    listed = [
        {"revision": one.revision, "saved": one.saved, "title": one.title, "deleted": one.deleted, "change": one.change}
        for one in found
    ]
    return tagged_answer(request, {"id": f"recipe:{number_of(id)}", "revisions": listed}, private=True)


@router.get("/recipes/{id}/users", **documents.RECIPE_USERS)
async def list_users(request: Request, id: RecipeId) -> Response:
    """The recipes that use this one, directly or through others."""
    shelf, food_id = shelf_of(request), f"recipe:{number_of(id)}"
    shelf.document("recipe", number_of(id))
    users = [{"id": user, "title": shelf.book().recipe(user).title} for user in shelf.users(food_id)]
    return tagged_answer(request, {"id": food_id, "users": users}, private=True)


@router.get("/recipes/{id}/nutrition", **documents.RECIPE_NUTRITION)
async def read_nutrition(
    request: Request,
    id: RecipeId,
    at: At = None,
    components: Components = "",
    trace: Annotated[str, Query(max_length=300, description="Figures to explain: tagnames or net_carbohydrate.")] = "",
) -> Response:
    """What a recipe comes to: whole, per serving, piece and 100 g, variants, coverage, cautions."""
    chosen, traced = named(components), named(trace)
    answer = nutrition_answer(request, number_of(id), at=at, components=chosen, trace=traced)
    return tagged_answer(request, answer, private=True)
