"""The writer's page: static files of this folder, a client of /v1 like any other."""

from __future__ import annotations

import gzip
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path

from fastapi import FastAPI, Request, Response

_FOLDER = Path(__file__).parent
# Nothing comes from another host, nothing is written into the page but by its own modules.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
_TYPES = {".html": "text/html", ".css": "text/css", ".js": "text/javascript"}
# The sheets in the order in which they hold; they travel as one file, which is smaller and one request. Two voices and
# a number: what a person wrote is set in a book face, what the tables say in the system face, weights in a narrow face
# with figures of one width. The dark upright board is the post of the scale.
_SHEETS = ("base", "ledger", "bench", "ticket", "desk", "narrow", "print")


@dataclass(frozen=True, slots=True)
class Asset:
    """A file of the page, as it is and compressed."""

    body: bytes
    packed: bytes
    media_type: str
    tag: str


def read_assets() -> dict[str, Asset]:
    """Every file of the page by the path it is served at."""
    scripts = {
        f"/page/{path.relative_to(_FOLDER).as_posix()}": _asset(path) for path in sorted(_FOLDER.rglob("js/**/*.js"))
    }
    sheet = _asset(*(_FOLDER / "css" / f"{name}.css" for name in _SHEETS))
    # A worker is only in charge of what stands beside or below it.
    return {
        "/": _asset(_FOLDER / "index.html"),
        "/worker.js": _asset(_FOLDER / "worker.js"),
        "/page/page.css": sheet,
        **scripts,
    }


def _asset(*paths: Path) -> Asset:
    body = b"".join(path.read_bytes() for path in paths)
    tag = f'"{blake2b(body, digest_size=12).hexdigest()}"'
    return Asset(body, gzip.compress(body, mtime=0), f"{_TYPES[paths[0].suffix]}; charset=utf-8", tag)


def add_page(app: FastAPI) -> FastAPI:
    """The app with the page at `/`."""
    for path, asset in read_assets().items():
        app.add_api_route(path, _route(asset), include_in_schema=False)
    return app


def _route(asset: Asset) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        headers = {
            "Content-Security-Policy": POLICY, "ETag": asset.tag, "Cache-Control": "no-cache",
            "Vary": "Accept-Encoding", "Referrer-Policy": "no-referrer",
        }  # fmt: skip
        if request.headers.get("if-none-match") == asset.tag:
            return Response(status_code=304, headers=headers)
        if "gzip" not in request.headers.get("accept-encoding", ""):
            return Response(asset.body, media_type=asset.media_type, headers=headers)
        packed = {**headers, "Content-Encoding": "gzip"}
        return Response(asset.packed, media_type=asset.media_type, headers=packed)

    return answer
