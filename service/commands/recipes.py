"""gramwright recipe save, list, show, delete, revisions: recipes as they are kept."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

import orjson

from service.commands import stores
from service.commands.changes import print_changed
from service.commands.inputs import pointed, write_text
from service.commands.kitchen_documents import (
    check_replaced,
    delete_document,
    print_saved,
)
from service.commands.recipe_inputs import read_recipe_file
from service.commands.tables_of_text import plain, print_out, short
from service.core.eaten import said_eaten
from service.core.recipe import Recipe, RecipeLine, Section
from service.kitchens.book import Worked
from service.kitchens.forms import RecipeForm, read_form
from service.publish.wording import count_text, grams_text


def save_recipe(asked: argparse.Namespace) -> None:
    """gramwright recipe save"""
    check_replaced(asked)
    shelf = stores.open_shelf()
    with pointed(asked.file):
        form, notes = read_recipe_file(asked.file, shelf)
        saved = shelf.save_recipe(form, number=asked.id, expected=asked.revision)
    print_saved(saved.document)
    print_out(*(f"Note: {plain(note)}" for note in notes))
    if saved.worked is not None:
        print_out(*_doubts(saved.worked))
    print_changed(saved.changed)


def _doubts(worked: Worked) -> Iterator[str]:
    for number, line in enumerate(worked.lines, 1):
        if line.outcome in ("check", "no_match"):
            reasons = [
                *line.reasons,
                *(why for part in line.parts if part.outcome != "resolved" for why in part.reasons),
            ]
            yield f"Look at line {number}, {line.outcome}: {short(line.line)} ({short('; '.join(reasons))})"


def show_recipe(asked: argparse.Namespace) -> None:
    """gramwright recipe show"""
    document = stores.open_shelf().document("recipe", asked.id, revision=asked.revision)
    form = read_form(RecipeForm, document.body)
    if asked.json:
        write_text(orjson.dumps(form.dumped(), option=orjson.OPT_INDENT_2).decode() + "\n")
        return
    deleted = ", deleted" if document.deleted else ""
    print_out(f"{document.food_id}, revision {document.revision}, saved {document.saved}{deleted}")
    print_out(*_shown(form.value()))


def _shown(recipe: Recipe) -> Iterator[str]:
    yield short(recipe.title)
    yield f"Serves {count_text(recipe.servings)}{_made(recipe)}"
    for section in recipe.sections:
        yield from _section(section)
    for variant in recipe.variants:
        said = [*(f"with {name}" for name in variant.with_), *(f"without {name}" for name in variant.without)]
        said += [f"{swap.by.text} for {swap.line}" for swap in variant.swaps]
        said += [f"serves {count_text(variant.servings)}"] if variant.servings else []
        yield f"Variant {short(variant.name)}: {plain('; '.join(said))}"


def _made(recipe: Recipe) -> str:
    made = recipe.yields
    said = [f"makes {count_text(made.pieces)} {made.piece_name or 'pieces'}"] if made.pieces else []
    said += [f"{grams_text(made.cooked_grams)} cooked"] if made.cooked_grams else []
    said += [f"yield factor {made.factor:g}"] if made.factor else []
    return plain("".join(f", {one}" for one in said))


def _section(section: Section) -> Iterator[str]:
    if section.name or section.optional:
        yield f"\n{short(section.name)}{' (optional)' if section.optional else ''}:"
    for line in section.lines:
        yield f"  {short(line.text)}{_marks(line)}"


def _marks(line: RecipeLine) -> str:
    """What stands beside the text of a line, in brackets."""
    said = ["left out"] if line.left_out else []
    said += ["optional"] if line.optional else []
    said += [line.treatment] if line.treatment else []
    said_share = said_eaten(line.text)
    by_words = said_share is not None and said_share.share is not None  # where a mark is missing they would be read
    said += [f"{100 * line.share_eaten:.8g}% eaten"] if line.share_eaten != 1 or by_words else []
    said += [grams_text(line.grams)] if line.grams is not None else []
    said += [line.food] if line.food else []
    return f"  [{plain('; '.join(said))}]" if said else ""


def delete_recipe(asked: argparse.Namespace) -> None:
    """gramwright recipe delete"""
    delete_document("recipe", asked.id)
