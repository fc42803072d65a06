"""gramwright recipe publish: panels, card, strip, texts and JSON-LD of a saved recipe."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from typing import cast

from service.commands import stores
from service.commands.inputs import write_text
from service.commands.recipe_inputs import Asked, work_saved
from service.kitchens.shelf import Shelf
from service.publish import (
    Origin,
    Paper,
    Publication,
    card_html,
    csv_text,
    description_text,
    eu_html,
    eu_svg,
    publication,
    schema_org_json,
    strip_svg,
    us_panel_html,
    us_panel_svg,
)
from service.tables.version import vocabulary_version

_RENDERERS: Mapping[str, Callable[[Publication], str]] = {
    "us-panel": us_panel_html, "eu-declaration": eu_html, "strip": strip_svg, "json-ld": schema_org_json,
    "csv": csv_text, "text": description_text,
}  # fmt: skip
_DRAWN: Mapping[str, Callable[[Publication], str]] = {"us-panel": us_panel_svg, "eu-declaration": eu_svg}


def publish_recipe(asked: argparse.Namespace) -> None:
    """gramwright recipe publish"""
    shelf = stores.open_shelf()
    found = publication_of(shelf, work_saved(shelf, asked.id, asked.variant), asked.house)
    write_text(_rendered(found, asked), asked.out)


def publication_of(shelf: Shelf, asked: Asked, house: str = "") -> Publication:
    """The publication of a recipe that is worked out, dated as it was saved, in a house's name."""
    book = asked.book
    origin = Origin(
        recipe=asked.id, revision=asked.revision, change=book.change if asked.id else None,
        vocabulary=vocabulary_version(), date=asked.saved[:10],
    )  # fmt: skip
    return publication(
        asked.worked, book.components, variant=asked.variant, cautions=shelf.cautions(asked.worked),
        releases=book.resolver.table.releases, origin=origin, house=house,
    )  # fmt: skip


def _rendered(found: Publication, asked: argparse.Namespace) -> str:
    if asked.form == "card":
        return card_html(found, paper=cast(Paper, asked.paper.replace("-", " ")))
    drawn = (asked.out or "").lower().endswith(".svg")
    text = (_DRAWN.get(asked.form) if drawn else None) or _RENDERERS[asked.form]
    made = text(found)
    return made if made.endswith("\n") else f"{made}\n"
