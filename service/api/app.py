"""The REST API as an ASGI app."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from fastapi import FastAPI, Response
from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from service.api import documents, problems
from service.api.payloads import encode
from service.api.routes import choices, foods, health, outputs, recipes, resolutions, tables
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


def create_app(catalogue: Catalogue) -> FastAPI:
    """The API over this food data."""
    app = FastAPI(
        title="Gramwright",
        version=_version(),
        description=documents.DESCRIPTION,
        license_info={"name": "MIT", "identifier": "MIT"},
        openapi_url=None, docs_url=None, redoc_url=None, redirect_slashes=False, lifespan=_running,
    )  # fmt: skip
    app.state.catalogue, app.state.shelf = catalogue, Shelf(catalogue)
    for routes in (resolutions, foods, recipes, outputs, choices, tables):
        app.include_router(routes.router, prefix="/v1")
    app.include_router(health.router)
    _add_documentation(app)
    problems.install(app)
    app.add_middleware(Frame)
    return app


@asynccontextmanager
async def _running(app: FastAPI) -> AsyncIterator[None]:
    """While the server runs, it notices which releases are active."""
    with app.state.catalogue.following():
        yield


def _version() -> str:
    try:
        return version("gramwright")
    except PackageNotFoundError:  # a checkout that is not installed
        return "0"


def _add_documentation(app: FastAPI) -> None:
    """The OpenAPI document, and a page of our own that shows it without any other host."""
    app.openapi = lambda: documents.openapi(app)  # type: ignore[method-assign]

    async def document() -> Response:
        return Response(encode(app.openapi()), media_type="application/json")

    app.add_api_route("/openapi.json", document, include_in_schema=False)
    for path, (name, media_type) in _DOCS.items():
        app.add_api_route(path, _page((_FOLDER / name).read_bytes(), media_type), include_in_schema=False)


def _page(body: bytes, media_type: str):  # type: ignore[no-untyped-def]  # FastAPI reads the annotations of the inner one
    async def page() -> Response:
        return Response(body, media_type=media_type, headers={"Content-Security-Policy": _POLICY})

    return page


class Frame:
    """What holds for every answer: HEAD is GET without a body, and browsers are not to guess media types."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            return await self.app(scope, receive, send)
        head = scope["method"] == "HEAD"

        async def framed(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message)["X-Content-Type-Options"] = "nosniff"
            elif head and message["type"] == "http.response.body":
                message = {**message, "body": b""}
            await send(message)

        await self.app({**scope, "method": "GET"} if head else scope, receive, framed)
