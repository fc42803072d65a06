"""Bodies of what kitchens keep: recipes as JSON, plain text or a schema.org Recipe, own foods as JSON."""

from __future__ import annotations

from fastapi import Request

from service.api.exchange import JSON, content_type, parse_json, read_body, shelf_of, text_of
from service.core.errors import InputError
from service.core.recipe_text import ReadRecipe, is_linked, read_recipe, read_schema_org
from service.kitchens.forms import OwnFoodForm, RecipeForm

TEXT, JSON_LD = "text/plain", "application/ld+json"


async def read_recipe_body(request: Request) -> tuple[RecipeForm, tuple[str, ...]]:
    """The recipe in the body, and what was assumed while it was read."""
    return recipe_of(request, *await recipe_body(request))


async def recipe_body(request: Request) -> tuple[str, bytes]:
    """The media type of a recipe and its body, not read yet."""
    sent = content_type(request, JSON, TEXT, JSON_LD)
    return sent, await read_body(request)


def recipe_of(request: Request, sent: str, body: bytes) -> tuple[RecipeForm, tuple[str, ...]]:
    """The recipe in a body of this media type, and what was assumed while it was read."""
    if sent == JSON:
        value = parse_json(body)
        if is_linked(value):
            raise InputError(f"this is JSON-LD: send it with the header Content-Type: {JSON_LD}", pointer="")
        return RecipeForm.model_validate(value), ()
    shelf = shelf_of(request)
    heads, is_treatment = shelf.book().heads, shelf.cooking.knows
    if sent == JSON_LD:
        return _form(read_schema_org(parse_json(body), heads=heads, is_treatment=is_treatment))
    return _form(read_recipe(text_of(body), heads=heads, is_treatment=is_treatment))


async def read_own_food(request: Request) -> OwnFoodForm:
    """The own food in the body."""
    content_type(request, JSON)
    return OwnFoodForm.model_validate(parse_json(await read_body(request)))


def _form(read: ReadRecipe) -> tuple[RecipeForm, tuple[str, ...]]:
    return RecipeForm.of(read.recipe), read.notes
