"""Every exchange of openapi_examples is replayed, and every example of the OpenAPI document found in one of them.

    GRAMWRIGHT_REWRITE_EXAMPLES=1 pytest tests/api/test_examples.py

writes the answers of both anew instead; look at what it changed before keeping it.
"""

from __future__ import annotations

import json
import os
import pprint
import re
from pathlib import Path
from typing import Any

import pytest

from service.api import examples
from service.tables.version import vocabulary_version
from tests.api.conftest import empty_kitchens

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "openapi_examples"
# Exchanges of a kitchen follow each other in one kitchen, which is empty before the first; the rest need none.
SCENARIO = sorted(FOLDER.glob("kitchen_*.json"))
FILES = sorted({*FOLDER.glob("*.json")} - {*SCENARIO})
REWRITE = bool(os.environ.get("GRAMWRIGHT_REWRITE_EXAMPLES"))
KEPT_HEADERS = ("content-type", "allow", "link", "retry-after", "location")
# What differs from store to store, or with every word that a table gains.
SETTLED = {
    "loaded": "2026-01-01T00:00:00+00:00", "saved": "2026-01-01T00:00:00.000+00:00", "vocabulary": "0123456789abcdef"
}  # fmt: skip


def read(name: str) -> dict[str, Any]:
    return json.loads(place_of(name).read_text(encoding="utf-8"))


def place_of(name: str) -> Path:
    return next(path for path in (*FILES, *SCENARIO) if re.sub(r"^kitchen_\d+_", "", path.stem) == name)


def replay(client, request: dict[str, Any]) -> dict[str, Any]:
    """The answer to a request, in the form that the files hold."""
    body = request.get("body")
    content = body if isinstance(body, str) or body is None else json.dumps(body)
    answer = client.request(request["method"], request["path"], headers=request.get("headers"), content=content)
    headers = {name: answer.headers[name] for name in KEPT_HEADERS if name in answer.headers}
    if re.fullmatch(r'"\d+"', answer.headers.get("etag", "")):  # a revision, not a digest
        headers["etag"] = answer.headers["etag"]
    if request["path"] == "/metrics":  # which figures there are: they themselves are never the same
        found = [line for line in answer.text.splitlines(keepends=True) if line.startswith("# TYPE gramwright")]
        return {"status": answer.status_code, "headers": headers, "body": "".join(found)}
    is_json = headers.get("content-type", "").endswith("json")
    said = answer.text.replace(vocabulary_version(), SETTLED["vocabulary"])
    return {"status": answer.status_code, "headers": headers, "body": settled(json.loads(said)) if is_json else said}


def settled(value: Any) -> Any:
    if isinstance(value, list):
        return [settled(one) for one in value]
    if isinstance(value, dict):
        return {key: settled(one) if one is None or key not in SETTLED else SETTLED[key] for key, one in value.items()}
    return value


def hold(path: Path, request: dict[str, Any], live: dict[str, Any]) -> None:
    """Write the answer, or hold it against the one that is written."""
    if REWRITE:
        text = json.dumps({"request": request, "response": live}, indent=2, ensure_ascii=False)
        path.write_text(f"{text}\n", encoding="utf-8")
    else:
        assert live == json.loads(path.read_text(encoding="utf-8"))["response"]


def request_of(path: Path) -> dict[str, Any]:
    return json.loads(path.read_text(encoding="utf-8"))["request"]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_exchange(client, path):
    hold(path, request_of(path), replay(client, request_of(path)))


@pytest.fixture(scope="module")
def scenario(catalogue, client_of):
    """Every exchange of the kitchen with its answer, played from the first to the last."""
    empty_kitchens(catalogue)
    client = client_of(catalogue)
    yield {path: replay(client, request_of(path)) for path in SCENARIO}
    empty_kitchens(catalogue)


@pytest.mark.parametrize("path", SCENARIO, ids=lambda path: path.stem)
def test_exchange_of_a_kitchen(scenario, path):
    hold(path, request_of(path), scenario[path])


def shortened(name: str, *keys: tuple[str, int | tuple[str, ...]]) -> Any:
    """The answer of a file, with only so many items, or only these keys, of some of its parts (a.b: of a's b)."""
    body = read(name)["response"]["body"]
    for key, kept in keys:
        *outer, last = key.split(".")
        holder = body
        for one in outer:
            holder = holder[one]
        part = holder[last]
        holder[last] = part[:kept] if isinstance(kept, int) else {name: part[name] for name in kept}
    return body


def asked(name: str) -> Any:
    return read(name)["request"]["body"]


def operation_examples() -> dict[str, Any]:
    shares = ("whole", "per_serving", "per_100g")
    energy = [(f"{share}.components", ("CHOCDF",)) for share in shares]
    nutrition = [*energy, ("uncertainty", ("CHOCDF",)), ("lines", 1), ("variants", 0), ("cautions", 1)]
    return {
        "REQUEST": asked("resolve_one_line"),
        "RESOLUTION": shortened("resolve_one_line"),
        "FOOD_SEARCH": shortened("search_foods", ("foods", 2)),
        "FOOD": shortened("read_food", ("components", ("PROCNT", "CHOCDF", "FIBTG")), ("langual", 2)),
        "COMPONENTS": shortened("list_components", ("components", 3)),
        "DATASETS": shortened("list_datasets"),
        "RELEASE_LIST": shortened("list_releases"),
        "COMPARISON": shortened("compare_releases"),
        "OWN_FOOD": asked("save_own_food"),
        "SAVED_OWN_FOOD": shortened("save_own_food", ("components", ("PROCNT", "CHOCDF", "NA", "CA"))),
        "OWN_FOODS": shortened("list_own_foods"),
        "TREATMENTS": shortened("list_treatments", ("treatments", 2)),
        "RECIPE": asked("save_recipe"),
        "RECIPE_TEXT": asked("preview_recipe"),
        "RECIPE_LD": asked("preview_linked_data"),
        "SAVED_RECIPE": shortened("save_recipe"),
        "READ_RECIPE": shortened("read_recipe"),
        "CHANGED_RECIPE": shortened("change_recipe"),
        "RECIPES": shortened("list_recipes"),
        "REVISIONS": shortened("list_revisions"),
        "USERS": shortened("list_users"),
        "PREVIEW": shortened("preview_recipe", *nutrition),
        "NUTRITION": shortened("read_nutrition", *nutrition, ("trace.CHOCDF", 1)),
        "PANEL": shortened("read_panel", ("rows", 4), ("cautions", 1)),
        "CHOICE": asked("save_choice"),
        "CHOICES_CSV": asked("import_choices"),
        "SAVED_CHOICE": shortened("save_choice"),
        "READ_CHOICE": shortened("read_choice"),
        "CHOICES": shortened("list_choices"),
        "DELETED_CHOICE": shortened("delete_choice"),
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
    asked = {(request["method"], request["path"].partition("?")[0]) for request in map(request_of, (*FILES, *SCENARIO))}
    for path, methods in document["paths"].items():
        form = re.compile(re.sub(r"\\\{\w+\\\}", "[^/]+", re.escape(path)))
        for method in methods:
            assert any(one == method.upper() and form.fullmatch(place) for one, place in asked), (method, path)
