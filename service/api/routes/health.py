"""Is the server there, can it answer, and what did it do."""

from __future__ import annotations

import asyncio
from http import HTTPStatus

from fastapi import APIRouter, Request, Response

from service.api import documents
from service.api.exchange import catalogue_of, json_answer, metrics_of
from service.api.problems import problem, said_to_clients, status_of
from service.core.errors import StoreAwayError, StoreError
from service.wiring import Catalogue

router = APIRouter(tags=["health"])

# A store that is slower than this is as good as away for who asks whether to send requests here.
READY_SECONDS = 5.0
_AGAIN = {"Retry-After": "5"}
_GOES_ON = "; meanwhile lines and recipes are answered from memory where a worker met them since the last save"
_ONLY_TABLES = '; meanwhile lines are answered from memory where they are sent with "kitchen": false'


@router.get("/healthz", **documents.HEALTH)
async def health(request: Request) -> Response:
    """The process lives; it says nothing else."""
    return json_answer({"status": "ok"})


@router.get("/readyz", **documents.READY)
async def ready(request: Request) -> Response:
    """The food data is loaded and every table of the store can be read; 503 where not, and while the server stops."""
    if request.app.state.stopping:
        return problem(request, HTTPStatus.SERVICE_UNAVAILABLE, "the server is stopping", headers=_AGAIN)
    try:
        async with asyncio.timeout(READY_SECONDS):
            datasets = await asyncio.to_thread(_datasets, catalogue_of(request))
    except StoreError as error:
        goes_on = _GOES_ON if isinstance(error, StoreAwayError) else _ONLY_TABLES
        return problem(request, status_of(error), f"{said_to_clients(error)}{goes_on}", headers=_AGAIN)
    except TimeoutError:
        detail = f"the store did not answer within {READY_SECONDS:g} s{_GOES_ON}"
        return problem(request, HTTPStatus.SERVICE_UNAVAILABLE, detail, headers=_AGAIN)
    return json_answer({"status": "ready", "datasets": datasets})


def _datasets(catalogue: Catalogue) -> list[str]:
    releases = catalogue.releases()
    catalogue.check_readable()
    return [release.dataset for release in releases]


@router.get("/metrics", **documents.METRICS)
def metrics(request: Request) -> Response:
    """Figures of all workers for Prometheus: requests, lines, caches, the releases that answer."""
    text, media_type = metrics_of(request).text(request.headers.get("accept", ""))
    return Response(text, headers={"Content-Type": media_type, "Cache-Control": "no-store"})
