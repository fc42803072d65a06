"""The REST API as an ASGI app."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, nullcontext
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request, Response
from starlette.middleware.cors import CORSMiddleware
from starlette.types import ASGIApp

from service.api import documents, problems
from service.api.access import Access, AccessRules
from service.api.admission import Admission, Limits, Places
from service.api.compression import Compression
from service.api.exchange import JSON, file_answer
from service.api.frame import Frame
from service.api.memory import Answers
from service.api.metrics import Metrics
from service.api.payloads import encode
from service.api.readying import Readying
from service.api.routes import choices, foods, health, outputs, recipes, resolutions, tables
from service.core.errors import GramwrightError
from service.kitchens.shelf import Shelf
from service.wiring import Catalogue

_FOLDER = Path(__file__).parent
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_DOCS = {
    "/docs": ("docs.html", "text/html"),
    "/docs.js": ("docs.js", "text/javascript"),
    "/docs.css": ("docs.css", "text/css"),
}


# What a page of another origin may send and read, where a setting lets it call at all.
_METHODS = ("GET", "HEAD", "POST", "PUT", "DELETE")
_SENT = ("Authorization", "Content-Type", "Idempotency-Key", "If-Match", "If-None-Match", "X-Request-Id")
_READ = (
    "ETag", "Kitchen-Change", "Link", "Location", "Retry-After", "RateLimit", "RateLimit-Policy", "WWW-Authenticate",
    "X-Request-Id",
)  # fmt: skip


class Api(FastAPI):
    """An app whose frame is around everything, the answer to a defect too."""

    def build_middleware_stack(self) -> ASGIApp:
        """The app from the outside in."""
        return Frame(super().build_middleware_stack(), self.state.metrics)


def _remembered(catalogue: Catalogue) -> dict[str, Any]:
    """The memory of lines; none while the store is away, for counting is no reason to fail an answer."""
    try:
        return {"lines": catalogue.resolver().remembered}
    except GramwrightError:
        return {}


def create_app(catalogue: Catalogue, access: AccessRules | None = None, limits: Limits | None = None) -> FastAPI:
    """The API over this food data, by default open and with the limits of the settings' defaults."""
    access, limits = access or AccessRules(), limits or Limits()
    app = Api(
        title="Gramwright",
        version=_version(),
        description=documents.DESCRIPTION,
        license_info={"name": "MIT", "identifier": "MIT"},
        openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False, lifespan=_running,
    )  # fmt: skip
    app.state.catalogue, app.state.shelf, app.state.ring = catalogue, Shelf(catalogue), access.ring
    app.state.readying = Readying(catalogue)
    app.state.stopping, app.state.answers, app.state.places = False, Answers(), Places(limits)
    app.state.metrics = Metrics(
        app.version,
        lambda: catalogue.resolver().table.releases,
        lambda: {"answers": app.state.answers, **_remembered(catalogue)},
    )
    for routes in (resolutions, foods, recipes, outputs, choices, tables):
        app.include_router(routes.router, prefix="/v1")
    app.include_router(health.router)
    _add_documentation(app)
    problems.install(app)
    app.add_middleware(Compression)
    app.add_middleware(Admission, limits=limits, places=app.state.places)
    app.add_middleware(Access, rules=access)
    if access.origins:
        app.add_middleware(
            CORSMiddleware, allow_origins=access.origins, allow_methods=_METHODS, allow_headers=_SENT,
            expose_headers=_READ,
        )  # fmt: skip
    return app


@asynccontextmanager
async def _running(app: FastAPI) -> AsyncIterator[None]:
    """While the server runs, it notices which releases are active and which keys are good."""
    ring = app.state.ring
    with app.state.catalogue.following(), nullcontext() if ring is None else ring.following():
        yield


def _version() -> str:
    try:
        return version("gramwright")
    except PackageNotFoundError:  # a checkout that is not installed
        return "0"


def _add_documentation(app: FastAPI) -> None:
    """The OpenAPI document, and a page of our own that shows it without any other host."""
    app.openapi = lambda: documents.openapi(app)  # type: ignore[method-assign]

    async def document(request: Request) -> Response:
        return file_answer(request, encode(app.openapi()), JSON)

    app.add_api_route("/openapi.json", document, include_in_schema=False)
    for path, (name, media_type) in _DOCS.items():
        app.add_api_route(path, _page((_FOLDER / name).read_bytes(), media_type), include_in_schema=False)


def _page(body: bytes, media_type: str):  # type: ignore[no-untyped-def]  # FastAPI reads the annotations of the inner one
    async def page(request: Request) -> Response:
        return file_answer(request, body, media_type, {"Content-Security-Policy": _POLICY})

    return page
