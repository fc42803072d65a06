"""What else comes from outside, through the API without a network; `python -m tests.fuzz.inputs --seconds 600`.

The first line of an input names the door, the rest is what is sent: recipe text, JSON-LD, a recipe, choices as CSV,
an own food, lines, media types, search words.
"""

from __future__ import annotations

import asyncio
import atexit
import json
import os
import shutil
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

from service.api.app import create_app
from service.datasets import ensure_ready
from service.settings import DATABASE_NAME, Settings
from service.store.engine import database_file
from service.store.url import sqlite_url
from service.wiring import Catalogue, open_catalogue
from tests.api.conftest import empty_kitchens
from tests.fuzz import fuzzing

SEEDS = Path(__file__).parent / "seeds" / "inputs"
LONGEST = 1500


@dataclass(frozen=True, slots=True)
class Door:
    """A request whose body, whose query or whose header is the input."""

    method: str
    path: str
    sent: str = ""
    query: str = ""
    header: str = ""


RECIPES, PREVIEW = "/v1/recipes", "/v1/recipes/preview"
DOORS: Mapping[str, Door] = {
    "recipe text": Door("POST", PREVIEW, "text/plain"),
    "linked data": Door("POST", PREVIEW, "application/ld+json"),
    "recipe": Door("POST", PREVIEW, "application/json"),
    "choices": Door("POST", "/v1/choices", "text/csv"),
    "choice": Door("POST", "/v1/choices", "application/json"),
    "own food": Door("POST", "/v1/foods", "application/json"),
    "lines": Door("POST", "/v1/resolutions", "application/json"),
    "json lines": Door("POST", "/v1/resolutions", "application/jsonl"),
    "accept": Door("GET", "/v1/components", header="accept"),
    "content type": Door("POST", "/v1/resolutions", header="content-type"),
    "content length": Door("POST", "/v1/resolutions", header="content-length"),
    "if none match": Door("GET", "/v1/components", header="if-none-match"),
    "accept encoding": Door("GET", "/v1/components", header="accept-encoding"),
    "search": Door("GET", "/v1/foods", query="search"),
    "recipe search": Door("GET", RECIPES, query="search"),
    "food id": Door("GET", "/v1/foods/"),
}


@cache
def catalogue() -> Catalogue:
    """Food data over a copy of the store, in which kitchens are emptied."""
    settings = Settings.from_environment(os.environ, Path.cwd())
    ensure_ready(settings).dispose()
    folder = Path(tempfile.mkdtemp(prefix="fuzz-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    shutil.copy(str(database_file(settings.database_url)), folder / DATABASE_NAME)
    opened = open_catalogue(
        replace(settings, data_dir=folder, database_url=sqlite_url(folder / DATABASE_NAME), log="errors")
    )
    empty_kitchens(opened)
    return opened


@cache
def app() -> Any:
    return create_app(catalogue())


@cache
def loop() -> asyncio.AbstractEventLoop:
    return asyncio.new_event_loop()


def check(data: bytes) -> None:
    named, _, body = data.partition(b"\n")
    door = DOORS.get(named.decode("latin-1")) or list(DOORS.values())[sum(named) % len(DOORS)]
    status, headers, answer = loop().run_until_complete(asked(door, body))
    if status == 201:
        empty_kitchens(catalogue())
    assert status < 500, (status, answer[:300])
    kind = headers.get("content-type", "")
    if status >= 400:
        assert kind == "application/problem+json", kind
        assert json.loads(answer)["status"] == status
    elif "json" in kind and "content-encoding" not in headers:
        for line in answer.split(b"\n") if "jsonl" in kind else [answer]:
            finite(json.loads(line)) if line else None


def finite(value: Any) -> None:
    """No figure of an answer is infinite or no number."""
    if isinstance(value, float):
        assert value - value == 0, value
    elif isinstance(value, (dict, list)):
        for one in value.values() if isinstance(value, dict) else value:
            finite(one)


async def asked(door: Door, text: bytes) -> tuple[int, dict[str, str], bytes]:
    """Status, headers and body of the answer to one request."""
    body, path, query, headers = text, door.path, b"", [(b"host", b"gramwright")]
    if door.sent:
        headers.append((b"content-type", door.sent.encode()))
    elif door.header:  # a server hands on no header with these
        headers.append((door.header.encode(), text.translate(None, b"\r\n\0")))
        body = b'{"lines": ["1 egg"]}' if door.method == "POST" else b""
    elif door.query:
        query, body = f"{door.query}={quote(text)}".encode(), b""
    else:
        path, body = path + text.decode("utf-8", "replace"), b""
    sent: list[dict[str, Any]] = []
    waiting = [{"type": "http.request", "body": body, "more_body": False}]

    async def send(message: dict[str, Any]) -> None:
        sent.append(message)

    async def receive() -> dict[str, Any]:
        return waiting.pop() if waiting else await asyncio.Future()  # the client stays

    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "method": door.method, "scheme": "http",
        "path": path, "raw_path": quote(path).encode(), "query_string": query, "root_path": "", "headers": headers,
        "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 2),
    }  # fmt: skip
    await app()(scope, receive, send)
    answered = {name.decode().lower(): value.decode("latin-1") for name, value in sent[0]["headers"]}
    return sent[0]["status"], answered, b"".join(message.get("body", b"") for message in sent)


def ready() -> None:
    check(b"lines\n" + json.dumps({"lines": ["1 egg"]}).encode())


if __name__ == "__main__":
    fuzzing.main("inputs", sys.argv[1:])
