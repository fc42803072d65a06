"""Standing choices of the kitchen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from fastapi import APIRouter, Path, Request, Response

from service.api import documents
from service.api.exchange import (
    JSON,
    accepted,
    content_type,
    created,
    json_answer,
    number_of,
    parse_json,
    read_body,
    revision_answer,
    revision_seen,
    shelf_of,
    text_of,
    typed_answer,
)
from service.api.payloads import encode
from service.api.recipe_payloads import changed_payload, document_payload
from service.kitchens.choice_table import CSV, choices_csv, read_choices_csv
from service.kitchens.forms import ChoiceForm, read_form
from service.kitchens.shelf import Changed, Saved, Shelf
from service.store.kitchen import Document

router = APIRouter(tags=["choices"])

ChoiceId = Annotated[str, Path(pattern=r"^(?:choice:)?[1-9]\d{0,8}$", description="Such as `choice:2`, or `2`.")]


def _payload(document: Document) -> dict[str, object]:
    return document_payload(document, read_form(ChoiceForm, document.body).dumped())


def _saved(saved: Saved) -> dict[str, object]:
    return {**_payload(saved.document), "changed": [changed_payload(one) for one in saved.changed]}


def _imported(shelf: Shelf, several: Sequence[Document], changed: Sequence[Changed]) -> dict[str, object]:
    gone = {one.number for one in shelf.lost_choices()}
    lost = [one.food_id for one in several if one.number in gone]
    return {"choices": [_payload(one) for one in several], "lost": lost,
            "changed": [changed_payload(one) for one in changed]}  # fmt: skip


@router.get("/choices", **documents.CHOICES)
async def list_choices(request: Request) -> Response:
    """Every standing choice; those whose food is in no table in use are named in `lost`. CSV where asked for."""
    shelf = shelf_of(request)
    documents_found = shelf.documents("choice")
    if accepted(request, JSON, CSV) == CSV:
        forms = [read_form(ChoiceForm, one.body) for one in documents_found]
        return typed_answer(request, choices_csv(forms).encode(), CSV, {})
    lost = [one.food_id for one in shelf.lost_choices()]
    listed = {"choices": [_payload(one) for one in documents_found], "lost": lost}
    return typed_answer(request, encode(listed), JSON, {})


@router.post("/choices", status_code=201, **documents.CHOICE_NEW)
async def save_choice(request: Request) -> Response:
    """Save a standing choice, one of the same phrase is replaced; or many as CSV."""
    shelf = shelf_of(request)
    if content_type(request, JSON, CSV) == JSON:
        form = ChoiceForm.model_validate(parse_json(await read_body(request)))
        saved = shelf.save_choice(form)
        return created(request, _saved(saved), saved.document)
    several, changed = shelf.save_choices(read_choices_csv(text_of(await read_body(request))))
    return json_answer(_imported(shelf, several, changed), status=201)


@router.get("/choices/{id}", **documents.CHOICE)
async def read_choice(request: Request, id: ChoiceId) -> Response:
    """One standing choice."""
    document = shelf_of(request).document("choice", number_of(id))
    return revision_answer(request, _payload(document), document)


@router.put("/choices/{id}", **documents.CHOICE_CHANGE)
async def change_choice(request: Request, id: ChoiceId) -> Response:
    """Save a new revision of a standing choice."""
    expected = revision_seen(request, "choice", number_of(id))
    content_type(request, JSON)
    form = ChoiceForm.model_validate(parse_json(await read_body(request)))
    saved = shelf_of(request).save_choice(form, number=number_of(id), expected=expected)
    return revision_answer(request, _saved(saved), saved.document)


@router.delete("/choices/{id}", **documents.CHOICE_DELETE)
async def delete_choice(request: Request, id: ChoiceId) -> Response:
    """Delete a standing choice; the recipes that come to other figures without it are listed with both."""
    expected = revision_seen(request, "choice", number_of(id))
    saved = shelf_of(request).delete_choice(number_of(id), expected=expected)
    return json_answer({"id": saved.document.food_id, "changed": [changed_payload(one) for one in saved.changed]})
