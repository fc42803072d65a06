"""Releases of a dataset and what differs between two of them, over HTTP."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.api.app import create_app
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import add_release, migrate, replace_release
from service.wiring import Catalogue
from tests.api.conftest import KitchenClient
from tests.harbour import FOODS, HARBOUR, changed, harbour


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_engine(sqlite_url(tmp_path / "gramwright.sqlite3"))
    migrate(engine)
    replace_release(engine, harbour())
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    yield engine
    engine.dispose()


@pytest.fixture
def client(engine: Engine) -> KitchenClient:
    return KitchenClient(create_app(Catalogue(engine, (HARBOUR,))))


def test_every_release_is_listed(client: KitchenClient) -> None:
    listed = client.get(f"/v1/datasets/{HARBOUR}/releases").json()["releases"]
    assert [(one["release"], one["active"], one["carbohydrate_basis"]) for one in listed] == [
        ("2025", True, "total"), ("2026", False, "total")
    ]  # fmt: skip
    assert [one["release"] for one in client.get("/v1/datasets/pantry/releases").json()["releases"]] == ["1"]


@pytest.mark.parametrize("path", ["/v1/datasets/moon/releases", "/v1/datasets/moon/comparisons"])
def test_an_unknown_dataset_is_not_found(client: KitchenClient, path: str) -> None:
    answer = client.get(path)
    assert (answer.status_code, answer.headers["content-type"]) == (404, "application/problem+json")


def test_a_comparison_says_what_would_change(client: KitchenClient) -> None:
    line = {"text": "100 g kelp", "food": "harbour:1"}
    client.save("/v1/recipes", {"title": "Broth", "sections": [{"lines": [line]}]})
    answer = client.get(f"/v1/datasets/{HARBOUR}/comparisons")
    assert answer.status_code == 200, answer.text
    found = answer.json()
    assert (found["old"]["release"], found["new"]["release"], found["counts"]["values_changed"]) == ("2025", "2026", 1)
    [change] = found["values_changed"]
    assert (change["tagname"], change["old"]["value"], change["new"]["value"]) == ("FAT", 0.6, 9)
    [recipe] = found["impact"]["recipes"]
    assert (recipe["title"], recipe["before"]["FAT"], recipe["after"]["FAT"]) == ("Broth", 0.6, 9)
    assert (found["impact"]["active"], recipe["lost"]) == ("2025", [])
    shorter = client.get(f"/v1/datasets/{HARBOUR}/comparisons?limit=0").json()
    assert (shorter["values_changed"], shorter["counts"]) == ([], found["counts"])


def test_the_impact_names_the_lines_that_lose_their_entry(engine: Engine, client: KitchenClient) -> None:
    add_release(engine, [harbour("2027", {code: FOODS[code] for code in ("1", "2")})])
    lines = [{"text": "100 g kelp", "food": "harbour:1"}, {"text": "20 g butter", "food": "harbour:3"}]
    client.save("/v1/recipes", {"title": "Kelp in butter", "sections": [{"lines": lines}]})
    client.save("/v1/choices", {"phrase": "spread", "food": "harbour:3"})
    found = client.get(f"/v1/datasets/{HARBOUR}/comparisons?new=2027").json()["impact"]
    assert [recipe["lost"] for recipe in found["recipes"]] == [
        [{"line": "20 g butter", "food": "harbour:3", "successor": None}]
    ]
    assert found["choices"] == [
        {"phrase": "spread", "food": "harbour:3", "old": "Butter, salted", "new": None, "successor": None}
    ]


@pytest.mark.parametrize(("form", "begins"), [
    ("text/html", "<!doctype html>"), ("text/csv", "change,id,name,what,old,new\r\n"),
])  # fmt: skip
def test_a_comparison_is_a_page_or_a_table_too(client: KitchenClient, form: str, begins: str) -> None:
    answer = client.get(f"/v1/datasets/{HARBOUR}/comparisons?limit=0", headers={"Accept": form})
    assert (answer.status_code, answer.headers["content-type"]) == (200, f"{form}; charset=utf-8")
    assert answer.text.startswith(begins)
    assert "value changed" in answer.text, "it is whole, whatever the limit of lists"
    headers = {"Accept": form, "If-None-Match": answer.headers["etag"]}
    again = client.get(f"/v1/datasets/{HARBOUR}/comparisons", headers=headers)
    assert again.status_code == 304
