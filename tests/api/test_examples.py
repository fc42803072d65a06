"""Every exchange of openapi_examples is replayed, and every example of the OpenAPI document found in one of them.

    GRAMWRIGHT_REWRITE_EXAMPLES=1 pytest tests/api/test_examples.py

writes the answers of both anew instead; look at what it changed before keeping it.
"""

from __future__ import annotations

import json
import os
import pprint
from pathlib import Path
from typing import Any

import pytest

from service.api import examples

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "openapi_examples").glob("*.json"))
REWRITE = bool(os.environ.get("GRAMWRIGHT_REWRITE_EXAMPLES"))
KEPT_HEADERS = ("content-type", "allow", "link", "retry-after")
LOADED = "2026-01-01T00:00:00+00:00"  # stands for the time of loading, which differs from store to store


def read(name: str) -> dict[str, Any]:
    return json.loads((ROOT / "openapi_examples" / f"{name}.json").read_text(encoding="utf-8"))


def replay(client, request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request, in the form that the files hold."""
    body = request.get("body")
    content = body if isinstance(body, str) or body is None else json.dumps(body)
    answer = client.request(request["method"], request["path"], headers=request.get("headers"), content=content)
    headers = {name: answer.headers[name] for name in KEPT_HEADERS if name in answer.headers}
    is_json = headers.get("content-type", "").endswith("json")
    body = settled(answer.json()) if is_json else answer.text
    return {"status": answer.status_code, "headers": headers, "body": body}


def settled(body: Any) -> Any:
    for dataset in body.get("datasets", ()):
        if isinstance(dataset, dict):
            dataset["loaded"] = LOADED
    return body


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_exchange(client, path):
    exchange = json.loads(path.read_text(encoding="utf-8"))
    live = replay(client, exchange["request"])
    if REWRITE:
        text = json.dumps({"request": exchange["request"], "response": live}, indent=2, ensure_ascii=False)
        path.write_text(f"{text}\n", encoding="utf-8")
    else:
        assert live == exchange["response"]


def shortened(name: str, *keys: tuple[str, int | tuple[str, ...]]) -> Any:
    """The answer of a file, with only so many items, or only these keys, of some of its parts."""
    body = read(name)["response"]["body"]
    for key, kept in keys:
        part = body[key]
        body[key] = part[:kept] if isinstance(kept, int) else {name: part[name] for name in kept}
    return body


def operation_examples() -> dict[str, Any]:
    return {
        "REQUEST": read("resolve_one_line")["request"]["body"],
        "RESOLUTION": shortened("resolve_one_line"),
        "FOOD_SEARCH": shortened("search_foods", ("foods", 2)),
        "FOOD": shortened("read_food", ("components", ("PROCNT", "CHOCDF", "FIBTG")), ("langual", 2)),
        "COMPONENTS": shortened("list_components", ("components", 3)),
        "DATASETS": shortened("list_datasets"),
    }


def test_examples_of_the_document():
    if REWRITE:
        path = Path(examples.__file__)
        head = path.read_text(encoding="utf-8").partition("\n\n")[0]
        now = operation_examples()
        values = {name: pprint.pformat(value, width=100, sort_dicts=False) for name, value in now.items()}
        body = "\n".join(f"{name}: object = {value}" for name, value in values.items())
        path.write_text(f"{head}\n\nfrom __future__ import annotations\n\n{body}\n", encoding="utf-8")
    else:
        assert {name: getattr(examples, name) for name in operation_examples()} == operation_examples()


def test_every_operation_has_an_exchange(client):
    document = client.get("/openapi.json").json()
    asked = {(read(path.stem)["request"]["method"], read(path.stem)["request"]["path"]) for path in FILES}
    for path, methods in document["paths"].items():
        for method in methods:
            start = path.partition("{")[0]
            assert any(m == method.upper() and p.startswith(start) for m, p in asked), (method, path)
