"""gramwright recipe list, own list and recipe revisions: asked of the store alone, without the tables of foods."""

from __future__ import annotations

import argparse

from service.commands import stores
from service.commands.kitchen_documents import more_than
from service.commands.tables_of_text import add_row, print_out, short, text_table
from service.store import kitchen as store


def list_recipes(asked: argparse.Namespace) -> None:
    """gramwright recipe list"""
    found = _listed("recipe", search=asked.search, using=asked.using, limit=asked.limit + 1)
    table = text_table("id", "title", "revision", "saved", right=(2,), wide=(1,))
    for one in found[: asked.limit]:
        add_row(table, f"recipe:{one.number}", short(one.title), str(one.revision), one.saved)
    nothing = "No recipe is saved that has these words or uses this food." if asked.search or asked.using else (
        "No recipe is saved.")  # fmt: skip
    print_out(table if found else nothing, *more_than(found, asked.limit))


def list_own(asked: argparse.Namespace) -> None:
    """gramwright own list"""
    found = _listed("own", search=asked.search, limit=asked.limit + 1)
    table = text_table("id", "description", "revision", "saved", right=(2,), wide=(1,))
    for one in found[: asked.limit]:
        add_row(table, f"own:{one.number}", short(one.title), str(one.revision), one.saved)
    nothing = "No own food has these words." if asked.search else "No own food is saved."
    print_out(table if found else nothing, *more_than(found, asked.limit))


def list_revisions(asked: argparse.Namespace) -> None:
    """gramwright recipe revisions"""
    table = text_table("revision", "saved", "change", "title", "", right=(0, 2), wide=(3,))
    for one in store.revisions(stores.open_engine(), store.DEFAULT_KITCHEN, "recipe", asked.id):
        add_row(
            table, str(one.revision), one.saved, str(one.change), short(one.title), "deleted" if one.deleted else ""
        )
    print_out(table)


def _listed(kind: store.Kind, *, search: str, limit: int, using: str = "") -> list[store.Listed]:
    engine = stores.open_engine()
    return store.listing(engine, store.DEFAULT_KITCHEN, kind, search=search, using=using, limit=limit)
