"""What the tables hold: components, and datasets with their releases."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from service.api import documents
from service.api.exchange import catalogue_of, tagged_answer
from service.api.payloads import component_payload, release_name, release_payload

router = APIRouter(tags=["tables"])


@router.get("/components", **documents.COMPONENTS)
async def list_components(request: Request) -> Response:
    """Every component that the tables in use have values for, by INFOODS tagname or the publisher's number."""
    table = catalogue_of(request).resolver().table
    components = [component_payload(component) for component in table.components]
    releases = [release_name(release) for release in table.releases]
    return tagged_answer(request, {"components": components, "releases": releases})


@router.get("/datasets", **documents.DATASETS)
def list_datasets(request: Request) -> Response:
    """Every dataset in the store with the release in use, its licence and its counts."""
    return tagged_answer(request, {"datasets": [release_payload(found) for found in catalogue_of(request).releases()]})
