"""What the commands for recipes, own foods and choices have in common."""

from __future__ import annotations

import argparse
from collections.abc import Sequence

from service.commands import stores
from service.commands.tables_of_text import print_out, short
from service.core.errors import InputError, InUseError
from service.kitchens.choice_table import MOST_CHOICES
from service.store.kitchen import CALLED, Document, Kind


def check_replaced(asked: argparse.Namespace) -> None:
    """A revision is one of a document that is named; InputError where none is."""
    if asked.revision is not None and asked.id is None:
        raise InputError("--revision needs --id: whose revision is it?")


def print_saved(document: Document, more: str = "") -> None:
    """Say what was saved."""
    print_out(f"Saved {document.food_id}, revision {document.revision}: {short(document.title)}{more}")


def more_than(found: Sequence[object], limit: int) -> list[str]:
    """The sentence that there is more than is shown, where there is."""
    return [f"There are more than {limit}: --limit shows more."] if len(found) > limit else []


def delete_document(kind: Kind, number: int) -> None:
    """Delete it and say so, with what is lost by it; InputError names the recipes that use it: nothing is deleted."""
    shelf = stores.open_shelf()
    try:
        document = shelf.delete(kind, number)
    except InUseError as error:
        raise InputError(f"{CALLED[kind]} {number} was not deleted: {error}") from error
    print_deleted(document)
    if lost := [short(one.title) for one in shelf.listing("choice", using=document.food_id, limit=MOST_CHOICES)]:
        print_out(f"Standing choices that meant it are lost: {', '.join(lost)}.")


def print_deleted(document: Document) -> None:
    """Say what was deleted."""
    print_out(f"Deleted {document.food_id}, {short(document.title)}; its revisions are kept.")
