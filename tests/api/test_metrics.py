"""What operators ask a server: figures, readiness; entity tags of every read, and compression."""

from __future__ import annotations

import gzip
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx
import pytest
from prometheus_client.parser import text_string_to_metric_families

from service.api.access import scope_needed
from service.api.app import create_app
from service.api.compression import SHORTEST, accepts_gzip, packed
from service.settings import DATABASE_NAME, Settings
from service.store.engine import database_file
from service.store.schema import SQLModel
from service.store.table_names import TABLES
from service.store.url import sqlite_url
from service.wiring import Catalogue, open_catalogue
from tests.api.conftest import AppClient, KitchenClient
from tests.api.lunchroom import MAYO, PLATE
from tests.api.test_server import ROOT

Sample = tuple[str, tuple[tuple[str, str], ...]]
LINES = {"lines": ["1 oz almonds", "a knob of harbour mud", "To serve:"]}
RESOLVE = ("POST", "/v1/resolutions", "200")


def samples(text: str) -> dict[Sample, float]:
    """Every figure of a scrape by its name and labels."""
    return {
        (sample.name, tuple(sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def asked(found: dict[Sample, float]) -> dict[tuple[str, str, str], int]:
    """How many requests there were, by method, route and status."""
    return {
        (labels["method"], labels["route"], labels["status"]): int(value)
        for (name, pairs), value in found.items()
        if name == "gramwright_request_seconds_count" and (labels := dict(pairs))
    }


def figure(found: dict[Sample, float], name: str, **labels: str) -> float:
    return found[f"gramwright_{name}", tuple(sorted(labels.items()))]


@pytest.fixture
def fresh(catalogue: Catalogue) -> AppClient:
    """A client of an app that nobody asked yet."""
    return AppClient(create_app(catalogue))


# ---- figures ---------------------------------------------------------------------------------------------------


def test_requests_are_counted_by_method_route_and_status(fresh: AppClient) -> None:
    fresh.post("/v1/resolutions", json=LINES)
    for food in ("sr28:09038", "sr28:12061", "sr28:00000"):
        fresh.get(f"/v1/foods/{food}")
    fresh.request("HEAD", "/healthz")
    fresh.request("BREW", "/v1/components")
    fresh.get("/v1/menus/haddock")
    found = samples(fresh.get("/metrics").text)
    assert asked(found) == {
        RESOLVE: 1, ("GET", "/v1/foods/{id}", "200"): 2, ("GET", "/v1/foods/{id}", "404"): 1,
        ("HEAD", "/healthz", "200"): 1, ("other", "/v1/components", "405"): 1, ("GET", "none", "404"): 1,
    }  # fmt: skip
    within = [value for (name, labels), value in found.items()
              if name.endswith("seconds_bucket") and dict(labels)["route"] == "/v1/resolutions"]  # fmt: skip
    assert within == sorted(within)
    assert (within[-1], figure(found, "requests_under_way")) == (1, 1)  # the scrape itself


def test_nothing_of_what_was_sent_is_in_a_scrape(fresh: AppClient) -> None:
    fresh.post("/v1/resolutions?components=haddock", json={"lines": ["2 kg secret haddock"]})
    fresh.get("/v1/recipes/haddock")
    fresh.request("HADDOCK", "/haddock")
    assert "haddock" not in fresh.get("/metrics").text.lower()


@pytest.mark.parametrize("sent", ["list", "stream", "recipe"])
def test_lines_are_counted_by_outcome(fresh: AppClient, sent: str) -> None:
    if sent == "recipe":
        fresh.post(
            "/v1/recipes/preview",
            json={"title": "Mud", "sections": [{"lines": [{"text": one} for one in LINES["lines"]]}]},
        )
    else:
        accept = {"Accept": "application/jsonl"} if sent == "stream" else {}
        fresh.post("/v1/resolutions", json=LINES, headers=accept)
    found = samples(fresh.get("/metrics").text)
    counted = {name: figure(found, "lines_total", outcome=name) for name in ("resolved", "no_match", "not_food")}
    assert counted == {"resolved": 1, "no_match": 1, "not_food": 1}


def test_a_scrape_names_the_build_the_releases_and_the_caches(fresh: AppClient) -> None:
    text = fresh.get("/metrics").text
    found = samples(text)
    assert figure(found, "release_info", dataset="sr28", release="28") == 1
    assert re.search(r'^gramwright_build_info\{.*vocabulary="[0-9a-f]{16}"', text, re.M)
    assert figure(found, "cache_hits_total", cache="singulars") > 0
    assert figure(found, "workers") == 1


def test_apps_of_one_process_count_for_themselves(fresh: AppClient, catalogue: Catalogue) -> None:
    fresh.get("/healthz")
    assert asked(samples(AppClient(create_app(catalogue)).get("/metrics").text)) == {}


def test_the_newer_format_is_sent_where_it_is_asked_for(fresh: AppClient) -> None:
    answer = fresh.get("/metrics", headers={"Accept": "application/openmetrics-text; version=1.0.0"})
    assert answer.headers["content-type"].startswith("application/openmetrics-text")
    assert answer.text.endswith("# EOF\n")


def test_a_key_must_have_the_scope_to_maintain() -> None:
    assert scope_needed("GET", "/metrics") == "maintain"


# ---- readiness -------------------------------------------------------------------------------------------------


@pytest.fixture
def own_store(sr28_store: Settings, tmp_path: Path) -> Settings:
    """A copy of the store that may be broken."""
    shutil.copy(str(database_file(sr28_store.database_url)), tmp_path / DATABASE_NAME)
    return replace(sr28_store, data_dir=tmp_path, database_url=sqlite_url(tmp_path / DATABASE_NAME))


def test_every_table_is_looked_at() -> None:
    assert set(TABLES) == set(SQLModel.metadata.tables)


@pytest.mark.parametrize(("fault", "words"), [("gone", "no longer there"), ("damaged", "damaged|no SQLite database")])
def test_not_ready_when_the_store_is(own_store: Settings, fault: str, words: str) -> None:
    catalogue = open_catalogue(own_store)
    client = AppClient(create_app(catalogue))
    assert client.get("/readyz").json() == {"status": "ready", "datasets": ["sr28", "pantry"]}
    path = own_store.data_dir / DATABASE_NAME
    if fault == "gone":
        path.rename(path.with_suffix(".moved"))
    else:
        catalogue.engine.dispose()
        path.write_bytes(b"low tide " * (path.stat().st_size // 9))
    answer = client.get("/readyz")
    assert (answer.status_code, answer.headers["retry-after"]) == (503, "5")
    assert re.search(words, answer.json()["detail"])
    assert "answered from memory" in answer.json()["detail"]
    assert client.get("/healthz").json() == {"status": "ok"}
    assert client.post("/v1/resolutions", json={**LINES, "kitchen": False}).status_code == 200
    catalogue.engine.dispose()


def test_not_ready_when_the_store_is_slow(fresh: AppClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("service.api.routes.health.READY_SECONDS", 0.05)
    monkeypatch.setattr("service.api.routes.health._datasets", lambda _: time.sleep(0.3))
    answer = fresh.get("/readyz")
    assert (answer.status_code, "did not answer" in answer.text) == (503, True)


def test_not_ready_while_it_stops(catalogue: Catalogue) -> None:
    app = create_app(catalogue)
    app.state.stopping = True
    client = AppClient(app)
    assert client.get("/readyz").json()["detail"] == "the server is stopping"
    assert (client.get("/healthz").status_code, client.get("/v1/components").status_code) == (200, 200)


# ---- several workers -------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def two_workers(sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[int, str, Path]]:
    """The first process of a server with two workers, its address, and where its temporary folders are."""
    folder = tmp_path_factory.mktemp("workers")
    environment = {
        **os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": str(ROOT), "TMPDIR": str(folder),
        "GRAMWRIGHT_LOG": "errors",
    }  # fmt: skip
    command = [sys.executable, "-m", "service", "serve", "--port", "0", "--workers", "2"]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr
        place = re.search(r"http://127\.0\.0\.1:\d+", process.stderr.readline())
        assert place
        yield process.pid, place.group(), folder
        process.send_signal(signal.SIGTERM)
        process.wait(40)
    assert [*folder.iterdir()] == []


def test_a_scrape_tells_of_all_workers_also_of_those_that_died(two_workers: tuple[int, str, Path]) -> None:
    first, address, _ = two_workers
    workers = Path(f"/proc/{first}/task/{first}/children")
    if not workers.exists():
        pytest.skip("this system does not tell the children of a process")
    close = {"Connection": "close"}  # so that each request may come to the other worker
    until(lambda: len(workers.read_text().split()) == 2 and scraped(address, "workers") == 2)
    for _ in range(40):
        assert httpx.post(f"{address}/v1/resolutions", json=LINES, headers=close, timeout=20).status_code == 200
    for _ in range(5):
        found = samples(httpx.get(f"{address}/metrics", headers=close).text)
        assert (asked(found)[RESOLVE], figure(found, "lines_total", outcome="resolved")) == (40, 40)
    os.kill(int(workers.read_text().split()[0]), signal.SIGKILL)
    until(lambda: scraped(address, "workers") == 2)
    found = samples(httpx.get(f"{address}/metrics", headers=close).text)
    assert (asked(found)[RESOLVE], figure(found, "requests_under_way")) == (40, 1)


def scraped(address: str, name: str) -> float:
    try:
        return figure(samples(httpx.get(f"{address}/metrics", headers={"Connection": "close"}).text), name)
    except (httpx.HTTPError, KeyError):
        return -1


def until(happened: Any, seconds: float = 30) -> None:
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end, "it does not happen"
        time.sleep(0.1)


# ---- entity tags and compression -------------------------------------------------------------------------------

# What says how things are at this moment, and is asked for because of that.
OF_THE_MOMENT = {"/healthz", "/readyz", "/metrics"}
BESIDE = ["/openapi.json", "/docs", "/docs.js", "/docs.css"]


def test_every_read_has_an_entity_tag(kitchen: KitchenClient) -> None:
    kitchen.save("/v1/recipes", PLATE)
    kitchen.save("/v1/choices", MAYO)
    paths = kitchen.get("/openapi.json").json()["paths"]
    reads = [path for path, methods in paths.items() if "get" in methods and path not in OF_THE_MOMENT]
    assert len(reads) >= 18
    for path in [*(filled(path) for path in reads), *BESIDE]:
        answer = kitchen.get(path)
        assert answer.status_code == 200, (path, answer.text)
        again = kitchen.get(path, headers={"If-None-Match": answer.headers["etag"]})
        assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", answer.headers["etag"]), path
        for name in ("cache-control", "vary", "link"):
            assert again.headers.get(name) == answer.headers.get(name), (path, name)
        assert re.fullmatch("(public|private), no-cache", answer.headers["cache-control"]), path
        assert "Accept-Encoding" in answer.headers["vary"], path


def filled(path: str) -> str:
    """A path that names something that there is."""
    if path.startswith("/v1/datasets/"):
        path = path.replace("comparisons", "comparisons?old=28&new=28")
        return path.replace("{dataset}", "sr28")
    named = {"/v1/foods/{id}": "/v1/foods/sr28:09038", "/v1/foods": "/v1/foods?search=egg",
             "/v1/choices/{id}": "/v1/choices/1"}  # fmt: skip
    return named.get(path, path.replace("{id}", "1"))


# RFC 9110, 12.5.3, and the worked examples there.
ENCODINGS = [
    ("", False), ("gzip", True), ("compress, gzip", True), ("*", True), ("gzip;q=0", False), ("gzip; q=0.5", True),
    ("compress;q=0.5, gzip;q=1.0", True), ("identity", False), ("*;q=0", False), ("gzip;q=0, *", False), ("br", False),
    ("GZIP", True), ("gzip;q=0.000", False), ("x-gzip", True),
]  # fmt: skip


@pytest.mark.parametrize(("header", "allowed"), ENCODINGS)
def test_who_can_read_gzip(header: str, allowed: bool) -> None:
    assert accepts_gzip(header) == allowed


def test_packed_is_gzip() -> None:
    assert gzip.decompress(packed(b"low tide" * 1000)) == b"low tide" * 1000


GZIP = {"Accept-Encoding": "gzip"}


@pytest.mark.parametrize("path", ["/v1/foods/sr28:09038", "/v1/components", "/openapi.json", "/docs.js"])
def test_long_answers_are_compressed_under_a_tag_of_their_own(client: AppClient, path: str) -> None:
    plain, small = client.get(path), client.get(path, headers=GZIP)
    assert (plain.headers.get("content-encoding"), small.headers["content-encoding"]) == (None, "gzip")
    assert int(small.headers["content-length"]) < len(plain.content) / 2
    assert small.content == plain.content
    tag, other = plain.headers["etag"], small.headers["etag"]
    assert other == tag.removesuffix('"') + '-gzip"'
    for known, encoding in ((tag, {}), (other, GZIP), (f"W/{other}", GZIP), (f'"x", {other}', GZIP)):
        again = client.get(path, headers={"If-None-Match": known, **encoding})
        assert (again.status_code, again.headers["etag"]) == (304, other if encoding else tag)


def test_short_answers_go_as_they_are(client: AppClient) -> None:
    answer = client.get("/v1/foods/sr28:99999", headers=GZIP)
    assert ("content-encoding" in answer.headers, len(answer.content) < SHORTEST) == (False, True)


def test_streams_go_as_they_come(client: AppClient) -> None:
    lines = {"lines": ["1 oz almonds"] * 200}
    answer = client.post("/v1/resolutions", json=lines, headers={**GZIP, "Accept": "application/jsonl"})
    assert ("content-encoding" in answer.headers, answer.text.count("\n")) == (False, 200)


def test_a_change_may_name_the_tag_of_the_compressed_answer(kitchen: KitchenClient) -> None:
    long = {**PLATE, "sections": [{"lines": [{"text": f"{number} g smoked haddock"} for number in range(1, 99)]}]}
    kitchen.save("/v1/recipes", long)
    seen = kitchen.get("/v1/recipes/1", headers=GZIP).headers["etag"]
    assert seen == '"1-gzip"'
    assert kitchen.put("/v1/recipes/1", long, seen=seen).status_code == 200
    assert kitchen.put("/v1/recipes/1", PLATE, seen=seen).status_code == 412
