"""What leaves the kitchen: labels, the print card, a strip for a video, JSON-LD, CSV, a description."""

from __future__ import annotations

from dataclasses import replace
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Query, Request, Response

from service.api import documents
from service.api.exchange import number_of
from service.api.publishing import (
    CSV,
    JSON_LD,
    SVG,
    TEXT,
    Asked,
    Rules,
    card_answer,
    panel_answer,
    rendered_answer,
)
from service.api.routes.recipes import At, RecipeId
from service.publish import Units

router = APIRouter(prefix="/recipes/{id}", tags=["outputs"])


async def _asked(
    id: RecipeId,
    variant: Annotated[str, Query(max_length=300, description="The way to serve it, by its name.")] = "",
    at: At = None,
) -> Asked:
    return Asked(number_of(id), variant, at)


AskedFor = Annotated[Asked, Depends(_asked)]


async def _in_units(
    asked: AskedFor,
    mass: Annotated[Literal["g", "oz"], Query(description="The unit of the weights of lines.")] = "g",
    energy: Annotated[Literal["kcal", "kJ"], Query(description="The unit of energy.")] = "kcal",
) -> Asked:
    return replace(asked, units=Units(mass, energy))


AskedInUnits = Annotated[Asked, Depends(_in_units)]
HouseAsked = Annotated[str, Query(max_length=100, description="Who publishes it, as a reader is to know them.")]
RulesAsked = Annotated[Rules, Query(description="us: 21 CFR 101.9; eu: Regulation (EU) 1169/2011.")]
PaperAsked = Annotated[Literal["a5", "half-letter"], Query(description="What the card is to be printed on.")]


@router.get("/panel", **documents.PANEL)
async def read_panel(request: Request, asked: AskedFor, rules: RulesAsked = "us") -> Response:
    """The label of a serving by US or EU rules: data, or by the Accept header a page or an SVG image."""
    return panel_answer(request, asked, rules)


@router.get("/card", **documents.CARD)
async def read_card(
    request: Request, asked: AskedInUnits, paper: PaperAsked = "a5", house: HouseAsked = ""
) -> Response:
    """The recipe as a card to print: list with grams, figures of a serving, where they come from."""
    return card_answer(request, replace(asked, house=house), paper)


@router.get("/strip", **documents.STRIP)
async def read_strip(request: Request, asked: AskedFor) -> Response:
    """The main figures of a serving as a narrow SVG image to lay over a video."""
    return rendered_answer(request, asked, SVG)


@router.get("/schema-org", **documents.SCHEMA_ORG)
async def read_schema_org(request: Request, asked: AskedFor, house: HouseAsked = "") -> Response:
    """A schema.org Recipe with NutritionInformation, to paste into a page as JSON-LD."""
    return rendered_answer(request, replace(asked, house=house), JSON_LD)


@router.get("/csv", **documents.CSV_FIGURES)
async def read_csv(request: Request, asked: AskedFor) -> Response:
    """Every figure per serving and per 100 g as CSV (RFC 4180); what is not known is empty."""
    return rendered_answer(request, asked, CSV)


@router.get("/description", **documents.DESCRIPTION_TEXT)
async def read_description(request: Request, asked: AskedInUnits) -> Response:
    """A few lines of plain text for the description box of a video."""
    return rendered_answer(request, asked, TEXT)
