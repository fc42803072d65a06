"""The OpenAPI document is the one that was last looked at: a change, above all a breaking one, is made on purpose.

    GRAMWRIGHT_REWRITE_CONTRACT=1 pytest tests/contract/test_snapshot.py

keeps the document of now in openapi.json; with `breaking` in place of 1, also where it breaks somebody's client.
"""

from __future__ import annotations

import copy
import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.api import documents
from service.api.app import create_app
from tests.contract.changes import breaking

SNAPSHOT = Path(__file__).parent / "openapi.json"
REWRITE = os.environ.get("GRAMWRIGHT_REWRITE_CONTRACT", "")
HOW = "if that is meant: GRAMWRIGHT_REWRITE_CONTRACT=%s pytest tests/contract/test_snapshot.py, and read the diff"


class NoData:
    """The document follows from the code alone."""

    engine = None


def document_now() -> Any:
    """The document, without its version."""
    document = json.loads(json.dumps(documents.openapi(create_app(NoData()))))  # type: ignore[arg-type]
    document["info"]["version"] = "any"
    return document


def _plain(value: Any) -> Any:
    """Without examples, which tests/api/test_examples.py keeps."""
    if isinstance(value, list):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return {key: _plain(one) for key, one in value.items() if not (key == "example" and "schema" in value)}
    return value


def test_the_document_is_the_one_that_was_kept() -> None:
    now = _plain(document_now())
    kept = json.loads(SNAPSHOT.read_text(encoding="utf-8")) if SNAPSHOT.exists() else now
    broken = breaking(kept, now)
    if REWRITE and (REWRITE == "breaking" or not broken):
        SNAPSHOT.write_text(json.dumps(now, indent=1, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8")
        return
    assert not broken, "\n".join(("these changes break clients:", *broken, HOW % "breaking"))
    changed = [name for name in _parts(now) | _parts(kept) if _parts(now).get(name) != _parts(kept).get(name)]
    assert not changed, f"the OpenAPI document changed in {', '.join(sorted(changed))}; {HOW % 1}"


def _parts(document: Any) -> dict[str, Any]:
    operations = {f"{method.upper()} {path}": one for path, methods in document["paths"].items()
                  for method, one in methods.items()}  # fmt: skip
    return {**operations, **document["components"]["schemas"], "info": document["info"]}


def removed(*place: str) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        for key in place[:-1]:
            document = document[key]
        del document[place[-1]]

    return change


def put(value: object, *place: str) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        for key in place[:-1]:
            document = document[key]
        document[place[-1]] = value

    return change


def also(value: object, *place: str) -> Callable[[Any], None]:
    def change(document: Any) -> None:
        for key in place:
            document = document[key]
        document.append(value)

    return change


SCHEMAS = ("components", "schemas")
GOOD = ("paths", "/v1/components", "get", "responses", "200")
WANTED = {"name": "kitchen", "in": "query", "required": True, "schema": {"type": "string"}}
# What is changed, and what is said of it.
BREAKING = [
    (removed("paths", "/v1/choices/{id}"), "GET /v1/choices/{id}: removed"),
    (removed("paths", "/v1/choices", "post"), "POST /v1/choices: removed"),
    (removed(*GOOD), "GET /v1/components: status 200 is gone"),
    (removed(*GOOD, "content", "application/json"), "GET /v1/components 200: application/json is gone"),
    (removed(*GOOD, "headers", "ETag"), "GET /v1/components 200: the header ETag is gone"),
    (removed(*SCHEMAS, "ComponentsAnswer", "properties", "releases"), "the field releases is gone"),
    (put("integer", *SCHEMAS, "HealthAnswer", "properties", "status", "type"), "integer was never answered before"),
    (put([], *SCHEMAS, "ReadyAnswer", "required"), "the field datasets may now be missing"),
    (put("integer", *SCHEMAS, "ChoiceForm", "properties", "phrase", "type"), "string is no longer taken"),
    (put(3, *SCHEMAS, "ChoiceForm", "properties", "phrase", "maxLength"), "maxLength is now 3"),
    (put(["phrase", "note"], *SCHEMAS, "ChoiceForm", "required"), "the field note must now be sent"),
    (also(WANTED, "paths", "/v1/recipes", "get", "parameters"), "the query parameter kitchen must now be sent"),
    (put([], "paths", "/v1/recipes", "get", "parameters"), "the query parameter search is gone"),
]  # fmt: skip
HARMLESS = [
    put({"get": {"responses": {}}}, "paths", "/v1/menus"),
    put({"type": "string"}, *SCHEMAS, "ComponentsAnswer", "properties", "note"),
    put({"type": "string"}, *SCHEMAS, "ChoiceForm", "properties", "menu"),
    put([], *SCHEMAS, "ChoiceForm", "required"),
    put(100_000, *SCHEMAS, "ChoiceForm", "properties", "phrase", "maxLength"),
    also({**WANTED, "required": False}, "paths", "/v1/recipes", "get", "parameters"),
    put("Another word.", *GOOD, "description"),
]


@pytest.mark.parametrize(("change", "words"), BREAKING, ids=[words for _, words in BREAKING])
def test_a_breaking_change_is_named(change: Callable[[Any], None], words: str) -> None:
    old = document_now()
    new = copy.deepcopy(old)
    change(new)
    assert any(words in said for said in breaking(old, new)), breaking(old, new)


@pytest.mark.parametrize("change", HARMLESS, ids=range(len(HARMLESS)))
def test_what_breaks_nobody_is_not_named(change: Callable[[Any], None]) -> None:
    old = document_now()
    new = copy.deepcopy(old)
    change(new)
    assert (old != new, breaking(old, new)) == (True, [])
