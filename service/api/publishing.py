"""What the outputs of a recipe answer: labels as data, HTML or SVG, card, strip, JSON-LD, CSV, a text.

Each names what it was worked out from; the Link header leads to the same figures as the kitchen stood then.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from fastapi import Request, Response

from service.api.exchange import JSON, accepted, book_of, shelf_of, typed_answer
from service.api.payloads import Payload, encode
from service.api.recipe_answers import origin
from service.api.recipe_payloads import caution_payload
from service.core.panel import EuDeclaration, EuRow, PanelRow, UsPanel
from service.publish import (
    Origin,
    Paper,
    Publication,
    Units,
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
from service.publish.markup import POLICY
from service.publish.wording import counted_texts, notes_of

HTML, SVG, TEXT, CSV, JSON_LD = "text/html", "image/svg+xml", "text/plain", "text/csv", "application/ld+json"
Rules = Literal["us", "eu"]
_PAPERS: dict[str, Paper] = {"a5": "a5", "half-letter": "half letter"}
_MARKUP: dict[tuple[Rules, str], Callable[[Publication], str]] = {
    ("us", HTML): us_panel_html, ("us", SVG): us_panel_svg, ("eu", HTML): eu_html, ("eu", SVG): eu_svg,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Asked:
    """Which way to serve which recipe, as the kitchen stood at which change, and in whose name."""

    number: int
    variant: str = ""
    at: int | None = None
    units: Units = field(default_factory=Units)
    house: str = ""

    @property
    def recipe(self) -> str:
        return f"recipe:{self.number}"


def panel_answer(request: Request, asked: Asked, rules: Rules) -> Response:
    """A label of one serving, as data, HTML or SVG."""
    form = accepted(request, JSON, HTML, SVG)
    found, made = _published(request, asked)
    if form != JSON:
        return _answer(request, _MARKUP[rules, form](found).encode(), form, made)
    return _answer(request, encode(_panel(found, rules, asked.variant, made)), JSON, made)


def card_answer(request: Request, asked: Asked, paper: str) -> Response:
    """The print card as a page."""
    accepted(request, HTML)
    found, made = _published(request, asked)
    return _answer(request, card_html(found, paper=_PAPERS[paper]).encode(), HTML, made)


_RENDERED: dict[str, Callable[[Publication], str]] = {
    SVG: strip_svg, JSON_LD: schema_org_json, CSV: csv_text, TEXT: description_text,
}  # fmt: skip


def rendered_answer(request: Request, asked: Asked, media_type: str) -> Response:
    """The strip (SVG), the schema.org Recipe (JSON-LD), the figures (CSV) or the description (text)."""
    accepted(request, *((media_type, JSON) if media_type == JSON_LD else (media_type,)))
    found, made = _published(request, asked)
    return _answer(request, _RENDERED[media_type](found).encode(), media_type, made)


def _published(request: Request, asked: Asked) -> tuple[Publication, Payload]:
    shelf = shelf_of(request)
    book = book_of(request, at=asked.at)
    worked, made = book.work_saved(asked.recipe), origin(book, asked.recipe)
    traced = Origin(asked.recipe, made["revision"], made["change"], made["vocabulary"])
    found = publication(
        worked, book.components, variant=asked.variant, cautions=shelf.cautions(worked),
        releases=book.resolver.table.releases, origin=traced, units=asked.units,
        house=asked.house,
    )  # fmt: skip
    return found, made


def _answer(request: Request, body: bytes, media_type: str, made: Payload) -> Response:
    """An output with a link to its figures; what is markup may run and fetch nothing."""
    headers = {"Link": f'</v1/recipes/{made["recipe"]}/nutrition?at={made["change"]}>; rel="describedby"'}
    if media_type in (HTML, SVG):
        headers["Content-Security-Policy"] = POLICY
    return typed_answer(request, body, media_type, headers)


def _panel(found: Publication, rules: Rules, variant: str, made: Payload) -> Payload:
    plain = found.plain
    label = _us(plain.us) if rules == "us" else _eu(plain.eu, plain.us.servings)
    return {
        "title": found.title,
        "variant": variant or plain.name,
        "rules": rules,
        **label,
        "notes": [*label["notes"], *notes_of(plain), *counted_texts(found, plain)],
        "cautions": [caution_payload(one) for one in found.cautions],
        "origin": made,
    }


def _us(panel: UsPanel) -> Payload:
    notes = [panel.footnote, *panel.notes]
    return {
        "servings": panel.servings, "serving_size": panel.serving_size, "rows": [_us_row(row) for row in panel.rows],
        "notes": notes,
    }  # fmt: skip


def _us_row(row: PanelRow) -> Payload:
    return {
        "tagname": row.tagname, "name": row.name, "amount": row.amount_text, "daily_value": row.daily_value_text,
        "indent": row.indent, "state": row.state,
    }  # fmt: skip


def _eu(declaration: EuDeclaration, servings: str) -> Payload:
    rows = [_eu_row(row) for row in declaration.rows]
    return {"servings": servings, "serving_size": declaration.portion, "rows": rows, "notes": declaration.notes}


def _eu_row(row: EuRow) -> Payload:
    return {
        "name": row.name, "per_100g": None if row.per_100g is None else row.per_100g.text,
        "per_portion": row.per_portion.text, "indent": row.indent, "state": row.per_portion.state,
    }  # fmt: skip
