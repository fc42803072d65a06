"""Recipes as they are given to a command: a saved one by its id, or a file in any of the forms that are read."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from service.commands.inputs import pointed, read_text
from service.core.bare_line import Heads
from service.core.errors import InputError
from service.core.recipe_text import ReadRecipe, is_linked, read_recipe, read_schema_org
from service.kitchens.book import Book, Worked
from service.kitchens.forms import RecipeForm, check_form, json_value
from service.kitchens.shelf import Shelf
from service.publish.publication import served_as

_ID = re.compile(r"(?:recipe:)?([1-9]\d{0,8})", re.ASCII)


@dataclass(frozen=True, slots=True, eq=False)
class Asked:
    """A recipe worked out; `variant` is the way to serve it that is asked for, "" for plain beside all others.

    id, revision, saved  "", None and "" where it is not saved
    notes                what was assumed while it was read
    """

    book: Book
    worked: Worked
    variant: str = ""
    id: str = ""
    revision: int | None = None
    saved: str = ""
    notes: tuple[str, ...] = ()

    @property
    def served(self) -> Worked:
        """The recipe with the one way to serve it that is asked for; NotFoundError names those there are."""
        return (
            replace(self.worked, base=served_as(self.worked, self.variant), variants=())
            if self.variant
            else self.worked
        )


def read_recipe_file(name: str, shelf: Shelf) -> tuple[RecipeForm, tuple[str, ...]]:
    """The recipe in a file and what was assumed while it was read: JSON, a schema.org Recipe, else plain text."""
    text = read_text(name)
    if not text.strip():
        raise InputError("there is no recipe in the input")
    heads, is_treatment = shelf.book().heads, shelf.cooking.knows
    if text.lstrip()[0] not in "{[":
        return _form(read_recipe(text, heads=heads, is_treatment=is_treatment))
    return recipe_form(json_value(text), heads=heads, is_treatment=is_treatment)


def recipe_form(
    value: object, *, heads: Callable[[str], Heads] = lambda _: "",
    is_treatment: Callable[[str], bool] = lambda _: False,
) -> tuple[RecipeForm, tuple[str, ...]]:  # fmt: skip
    """The recipe that a JSON value is, ours or a schema.org Recipe, and what was assumed while it was read."""
    if isinstance(value, dict) and not is_linked(value):
        return check_form(RecipeForm, value), ()
    return _form(read_schema_org(value, heads=heads, is_treatment=is_treatment))


def _form(read: ReadRecipe) -> tuple[RecipeForm, tuple[str, ...]]:
    return RecipeForm.of(read.recipe), read.notes


def work_asked(shelf: Shelf, name: str, variant: str = "") -> Asked:
    """The recipe of an id, or that of a file, which is not saved."""
    found = _ID.fullmatch(name)
    if found is not None:
        return work_saved(shelf, int(found[1]), variant)
    book = shelf.book()
    with pointed(name):
        form, notes = read_recipe_file(name, shelf)
        worked = book.work(form.value())
    return Asked(book, worked, variant, notes=notes)


def work_saved(shelf: Shelf, number: int, variant: str = "") -> Asked:
    """A saved recipe worked out."""
    book, document = shelf.book(), shelf.document("recipe", number)
    worked = book.work_saved(document.food_id)
    return Asked(book, worked, variant, document.food_id, document.revision, document.saved)
