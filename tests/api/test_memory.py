"""Answers that are kept: the same bytes for the same request, and never those of another state of anything."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from sqlalchemy import text

from service.api import keys
from service.api.access import AccessRules
from service.api.app import create_app
from service.api.keys import KeyRing, NewKey
from service.api.memory import Answer, Answers, Asked
from service.core.errors import StoreAwayError
from service.store import changes
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, replace_release, roll_back
from service.wiring import Catalogue
from tests.api.conftest import AppClient, KitchenClient
from tests.api.lunchroom import BREAD, CRACKERS, MAYO, RICHER_CRACKERS, recipe
from tests.api.test_metrics import figure, samples
from tests.harbour import HARBOUR, changed, harbour

WORDS = ("2 tbsp mayo", "2 slices quayside bread", "6 seed crackers")
LINES, DISH = {"lines": [*WORDS]}, recipe("Lunch", *WORDS, servings=2)
RESOLUTIONS, PREVIEW = "/v1/resolutions", "/v1/recipes/preview"
BOTH = [(RESOLUTIONS, LINES), (PREVIEW, DISH)]


def figures(client: AppClient) -> tuple[float, float]:
    """Hits and misses as a scrape shows them."""
    found = samples(client.get("/metrics").text)
    hits, misses = (figure(found, f"cache_{name}_total", cache="answers") for name in ("hits", "misses"))
    return hits, misses


def good(answer: httpx.Response) -> bytes:
    assert answer.status_code == 200, answer.text
    return answer.content


# ---- what is kept ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("path", "body"), BOTH)
def test_the_same_request_has_the_same_answer_from_memory(kitchen: KitchenClient, path: str, body: Any) -> None:
    first = kitchen.post(path, json=body)
    assert figures(kitchen) == (0, 1)
    again = kitchen.post(path, json=body)
    assert (good(first), figures(kitchen)) == (good(again), (1, 1))
    told = ("content-type", "cache-control", "content-length")
    assert [first.headers[name] for name in told] == [again.headers[name] for name in told]


@pytest.mark.parametrize(("path", "body"), BOTH)
def test_a_kitchen_in_memory_says_where_it_stands_while_the_database_is_away(
    kitchen: KitchenClient, monkeypatch: pytest.MonkeyPatch, path: str, body: Any
) -> None:
    """Another worker may have saved right before: what it acknowledged is not in it."""
    kitchen.save("/v1/choices", MAYO)
    assert "kitchen-change" not in kitchen.post(path, json=body).headers

    def away(_engine: object) -> int:
        raise StoreAwayError("the store does not answer")

    with monkeypatch.context() as patch:
        patch.setattr(changes, "latest_change", away)
        answer = kitchen.post(path, json=body)
        assert (answer.status_code, answer.headers["kitchen-change"]) == (200, "1")
    assert "kitchen-change" not in kitchen.post(path, json=body).headers


@pytest.mark.parametrize(("path", "body"), BOTH)
def test_lines_count_each_time(kitchen: KitchenClient, path: str, body: Any) -> None:
    counts = []
    for _ in range(2):
        kitchen.post(path, json=body)
        found = samples(kitchen.get("/metrics").text)
        counts.append({name: value for name, value in found.items() if name[0] == "gramwright_lines_total" and value})
    assert sum(counts[0].values()) == 3
    assert counts[1] == {name: 2 * value for name, value in counts[0].items()}


def test_a_refusal_is_not_kept(kitchen: KitchenClient) -> None:
    for _ in range(2):
        assert kitchen.post(f"{PREVIEW}?components=HADDOCK", json=DISH).status_code == 422
    assert figures(kitchen) == (0, 2)


# ---- what is never stale ---------------------------------------------------------------------------------------

CHANGES: dict[str, list[Callable[[KitchenClient], object]]] = {
    "a choice": [
        lambda client: client.save("/v1/choices", MAYO),
        lambda client: client.put("/v1/choices/1", {**MAYO, "food": "sr28:01001"}),
        lambda client: client.delete("/v1/choices/1"),
    ],
    "an own food": [
        lambda client: client.save("/v1/foods", BREAD),
        lambda client: client.put("/v1/foods/own:1", {**BREAD, "components": {**BREAD["components"], "FAT": 20}}),
        lambda client: client.delete("/v1/foods/own:1"),
    ],
    "a recipe": [
        lambda client: client.save("/v1/recipes", CRACKERS),
        lambda client: client.put("/v1/recipes/1", RICHER_CRACKERS),
        lambda client: client.delete("/v1/recipes/1"),
    ],
}


@pytest.mark.parametrize(("path", "body"), BOTH)
@pytest.mark.parametrize("changes", CHANGES.values(), ids=CHANGES)
def test_what_a_kitchen_changes_is_answered_at_once(
    kitchen: KitchenClient, catalogue: Catalogue, changes: list[Callable[[KitchenClient], object]], path: str, body: Any
) -> None:
    before = good(kitchen.post(path, json=body))
    for change in changes:
        change(kitchen)
        now, again = (good(kitchen.post(path, json=body)) for _ in range(2))
        assert now != before
        assert now == again == good(AppClient(create_app(catalogue)).post(path, json=body))
        before = now
    assert figures(kitchen)[1] == 1 + len(changes)


def test_without_the_kitchen_its_changes_do_not_matter(kitchen: KitchenClient) -> None:
    body = {**LINES, "kitchen": False}
    before = good(kitchen.post(RESOLUTIONS, json=body))
    kitchen.save("/v1/choices", MAYO)
    assert good(kitchen.post(RESOLUTIONS, json=body)) == before
    assert figures(kitchen) == (1, 1)


@pytest.fixture
def switched(tmp_path: Path) -> Iterator[Catalogue]:
    """Food data with two releases, of which the older one answers."""
    engine = open_engine(sqlite_url(tmp_path / "gramwright.sqlite3"))
    migrate(engine)
    replace_release(engine, harbour())
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    yield Catalogue(engine, (HARBOUR, "pantry"))
    engine.dispose()


KELP = [
    (RESOLUTIONS, {"lines": ["100 g kelp"]}), (RESOLUTIONS, {"lines": ["100 g kelp"], "kitchen": False}),
    (RESOLUTIONS, {"lines": ["100 g kelp"], "datasets": [HARBOUR]}), (PREVIEW, recipe("Broth", "100 g kelp")),
]  # fmt: skip


@pytest.mark.parametrize(("path", "body"), KELP)
def test_another_release_is_answered_from_at_once(switched: Catalogue, path: str, body: Any) -> None:
    client = AppClient(create_app(switched))
    before = good(client.post(path, json=body))
    activate(switched.engine, HARBOUR, "2026")
    assert switched.refresh()
    now = good(client.post(path, json=body))
    assert (b'"release":"2025"' in before, b'"release":"2026"' in now) == (True, True)
    assert now == good(client.post(path, json=body)) == good(AppClient(create_app(switched)).post(path, json=body))
    assert figures(client) == (1, 2)


def test_an_own_food_is_read_anew_where_other_tables_show_it(switched: Catalogue) -> None:
    """Its components come as in the tables in use; its tag still names the revision that a change was made from."""
    client = KitchenClient(create_app(switched))
    client.save("/v1/foods", BREAD)
    before = client.get("/v1/foods/own:1")
    seen = before.headers["etag"]
    client = KitchenClient(create_app(Catalogue(switched.engine, ("pantry",))))
    now = client.get("/v1/foods/own:1", headers={"If-None-Match": seen})
    assert now.status_code == 200
    assert [*now.json()["components"]] != [*before.json()["components"]]
    richer = {**BREAD, "description": "Quayside rye"}
    assert client.put("/v1/foods/own:1", richer, seen=f'"2{seen[2:]}').status_code == 412
    assert client.put("/v1/foods/own:1", richer, seen=seen).json()["revision"] == 2


@pytest.mark.parametrize("what", ["nutrition", "csv", "card", "schema-org"])
def test_what_names_a_change_is_answered_again_by_it(switched: Catalogue, what: str) -> None:
    """A change stands for the releases too, whichever answers now."""
    client = KitchenClient(create_app(switched))
    client.save("/v1/recipes", recipe("Broth", "100 g kelp"))
    path, told = f"/v1/recipes/1/{what}", {}
    for switch in (None, activate, roll_back):
        if switch is not None:
            switch(switched.engine, HARBOUR)
            assert switched.refresh()
        change = client.get("/v1/recipes/1/nutrition").json()["origin"]["change"]
        told[change] = client.get(path)
    assert list(told) == [1, 2, 3]
    assert len({answer.headers["etag"] for answer in told.values()}) == 3
    for change, answer in told.items():
        assert good(client.get(f"{path}?at={change}")) == good(answer)
    with switched.engine.begin() as connection:
        connection.execute(text("DELETE FROM dataset_release WHERE release = '2026'"))
    refused = AppClient(create_app(Catalogue(switched.engine, (HARBOUR, "pantry")))).get(f"{path}?at=2")
    assert (refused.status_code, refused.json()["errors"][0]["pointer"]) == (422, "/at")


VARIED = [
    (RESOLUTIONS, {"json": LINES}, {"json": {**LINES, "servings": 3}}),
    (RESOLUTIONS, {"json": LINES}, {"json": {**LINES, "components": ["FAT"]}}),
    (RESOLUTIONS, {"json": LINES}, {"json": {**LINES, "datasets": ["sr28"]}}),
    (RESOLUTIONS, {"json": LINES}, {"json": {**LINES, "datasets": ["pantry", "sr28"]}}),
    (RESOLUTIONS, {"json": LINES}, {"json": LINES, "headers": {"Accept": "application/jsonl"}}),
    (PREVIEW, {"json": DISH}, {"json": {**DISH, "servings": 3}}),
    (PREVIEW, {"json": DISH}, {"json": DISH, "params": {"components": "FAT"}}),
    (PREVIEW, {"json": DISH}, {"json": DISH, "params": {"ledger": "true"}}),
]


@pytest.mark.parametrize(("path", "one", "other"), VARIED)
def test_whatever_is_asked_otherwise_is_answered_otherwise(
    kitchen: KitchenClient, path: str, one: Any, other: Any
) -> None:
    answers = [good(kitchen.post(path, **asked)) for asked in (one, other, one, other)]
    assert answers[:2] == answers[2:]
    assert answers[0] != answers[1]


def test_a_body_means_what_its_media_type_says(kitchen: KitchenClient) -> None:
    body = '{"@type": "Recipe", "name": "Broth", "recipeIngredient": ["100 g leeks"]}'
    answers = [
        kitchen.post(PREVIEW, content=body, headers={"Content-Type": kind})
        for kind in ("application/ld+json", "text/plain", "application/ld+json", "text/plain", "application/json")
    ]
    assert [answer.status_code for answer in answers] == [200, 200, 200, 200, 422]
    assert answers[0].content == answers[2].content != answers[1].content == answers[3].content


@pytest.mark.parametrize(("path", "body"), BOTH)
def test_each_kitchen_has_its_own_answers(catalogue: Catalogue, kitchen: KitchenClient, path: str, body: Any) -> None:
    kitchen.save("/v1/choices", MAYO)
    ring = KeyRing(catalogue.engine)
    app = create_app(catalogue, AccessRules(ring))
    found = []
    for name in ("default", "pier", "default"):
        key, _ = keys.create(catalogue.engine, NewKey("desk", name))
        ring.refresh()
        found.append(good(AppClient(app).post(path, json=body, headers={"Authorization": f"Bearer {key}"})))
    assert found[0] == found[2] != found[1]


# ---- the memory itself -----------------------------------------------------------------------------------------


class Owner:
    """What answers."""


def asked(name: str) -> Asked:
    return Asked(RESOLUTIONS, "application/json", b"", name.encode())


def test_the_least_lately_asked_go_first() -> None:
    memory, owner, answer = Answers(most_bytes=3 * 1600), Owner(), Answer(b"x" * 1000, ())
    for name in ("a", "b", "c"):
        memory.keep(owner, asked(name), answer)
    assert memory.find(owner, asked("a")) is answer
    memory.keep(owner, asked("d"), answer)
    assert [memory.find(owner, asked(name)) for name in "abcd"] == [answer, None, answer, answer]
    assert memory.size <= 3 * 1600
    assert memory.cache_info() == (4, 1)


def test_a_long_answer_is_not_kept_and_one_kept_twice_counts_once() -> None:
    memory, owner = Answers(most_bytes=10_000, longest=2000), Owner()
    memory.keep(owner, asked("a"), Answer(b"x" * 2000, ()))
    assert (memory.find(owner, asked("a")), memory.size) == (None, 0)
    for _ in range(2):
        memory.keep(owner, asked("b"), Answer(b"x" * 1000, ()))
    assert 1000 < memory.size < 2000


def test_an_owner_is_not_held_and_none_takes_its_place() -> None:
    memory = Answers()
    for _ in range(100):  # each may stand where the one before stood
        owner = Owner()
        assert memory.find(owner, asked("a")) is None
        memory.keep(owner, asked("a"), Answer(b"x", ()))
        del owner
    assert memory.cache_info().hits == 0
