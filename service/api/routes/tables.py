"""What the tables hold: components, and datasets with their releases."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Query, Request, Response

from service.api import documents
from service.api.exchange import catalogue_of, tagged_answer
from service.api.payloads import component_payload, release_name, release_payload
from service.api.release_answers import comparison_answer, releases_payload

router = APIRouter(tags=["tables"])

Dataset = Annotated[str, Path(description="Such as `sr28`.")]
# The character NUL is refused before any route; the document says so where a name is asked for.
_NO_NUL = r"^[^\x00]*$"
ReleaseAsked = Annotated[str | None, Query(max_length=100, pattern=_NO_NUL, description="A release by its name.")]


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


@router.get("/datasets/{dataset}/releases", **documents.RELEASES)
def list_releases(request: Request, dataset: Dataset) -> Response:
    """Every release of a dataset in the store, in the order they were loaded; the active one answers."""
    return tagged_answer(request, releases_payload(catalogue_of(request), dataset))


@router.get("/datasets/{dataset}/comparisons", **documents.COMPARISON)
def compare_releases(
    request: Request, dataset: Dataset, old: ReleaseAsked = None, new: ReleaseAsked = None,
    limit: Annotated[int, Query(ge=0, le=10_000, description="Entries in each list; `counts` are whole.")] = 1000,
) -> Response:  # fmt: skip
    """What differs between two releases (the active one and the one loaded last), and what the new one would change."""
    return comparison_answer(request, dataset, old, new, limit=limit)
