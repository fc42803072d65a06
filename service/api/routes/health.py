"""Is the server there, and can it answer."""

from __future__ import annotations

from fastapi import APIRouter, Request, Response

from service.api import documents
from service.api.exchange import catalogue_of, json_answer

router = APIRouter(tags=["health"])


@router.get("/healthz", **documents.HEALTH)
async def health(request: Request) -> Response:
    """The server runs."""
    return json_answer({"status": "ok"})


@router.get("/readyz", **documents.READY)
def ready(request: Request) -> Response:
    """The food data is loaded and the store can be read; 503 where it cannot."""
    datasets = [release.dataset for release in catalogue_of(request).releases()]
    return json_answer({"status": "ready", "datasets": datasets})
