"""`gramwright serve` as a process while another process activates a release: seen soon, and no request fails."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import pytest

from service.api import app, readying
from service.settings import DATABASE_NAME
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, replace_release, roll_back
from service.wiring import Catalogue
from tests.harbour import HARBOUR, changed, harbour
from tests.processes import slowdown

ROOT = Path(app.__file__).parents[2]


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    engine = open_engine(sqlite_url(tmp_path / DATABASE_NAME))
    migrate(engine)
    replace_release(engine, harbour())
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    engine.dispose()
    environment = {
        **os.environ, "GRAMWRIGHT_DATA_DIR": str(tmp_path), "PYTHONPATH": str(ROOT), "GRAMWRIGHT_DATASETS": HARBOUR
    }  # fmt: skip
    command = [sys.executable, "-m", "service", "serve", "--port", "0"]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr
        place = re.search(r"http://127\.0\.0\.1:\d+", process.stderr.readline())
        assert place
        yield place.group()
        process.send_signal(signal.SIGTERM)
        process.wait(20)


def test_a_switch_is_seen_within_two_seconds_and_no_request_fails(server: str, tmp_path: Path) -> None:
    engine = open_engine(sqlite_url(tmp_path / DATABASE_NAME))
    for switch, release, fat in (
        (lambda: activate(engine, HARBOUR, "2026"), "2026", 9), (lambda: roll_back(engine, HARBOUR), "2025", 0.6)
    ):  # fmt: skip
        switch()
        switched = time.monotonic()
        while (said := answer(server))[0] != release:
            took = time.monotonic() - switched
            assert took < 2 or took < 2 * slowdown()
            assert said[1] != fat, "never one release's name with the other's figures"
        assert said == (release, fat)
    engine.dispose()


def answer(server: str) -> tuple[str, float]:
    got = httpx.get(f"{server}/v1/foods/harbour:1", timeout=10)
    assert got.status_code == 200, got.text
    food = got.json()
    return food["releases"][0]["release"], food["components"]["FAT"]["value"]


# ---- datasets in another order than usual ----------------------------------------------------------------------

ORDERS = [[HARBOUR], ["pantry"], ["pantry", HARBOUR]]


Slowly = tuple[Catalogue, list[int], Event]


@pytest.fixture
def slowly(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Slowly]:
    """Food data whose tables are read when that may end, and how many were being read at once each time."""
    engine = open_engine(sqlite_url(tmp_path / DATABASE_NAME))
    migrate(engine)
    replace_release(engine, harbour())
    catalogue = Catalogue(engine, (HARBOUR, "pantry"))
    at_once, seen, made, may_end = [0], list[int](), catalogue.resolver(), Event()

    def slow(*_: Any, **__: Any) -> Any:
        at_once[0] += 1
        seen.append(at_once[0])
        assert may_end.wait(60)
        at_once[0] -= 1
        return made  # whichever it is

    monkeypatch.setattr(catalogue, "_resolver_over", slow)
    yield catalogue, seen, may_end
    engine.dispose()


async def asked(client: httpx.AsyncClient, datasets: list[str] | None, *, search: bool = False) -> int:
    if search:
        got = await client.get("/v1/foods", params={"search": "kelp", "datasets": ",".join(datasets or [HARBOUR])})
    else:
        got = await client.post("/v1/resolutions", json={"lines": ["100 g kelp"], "datasets": datasets})
    if got.status_code == 503:
        assert got.headers["retry-after"] == "1"
    return got.status_code


async def until(happened: Callable[[], object]) -> None:
    while not happened():
        await asyncio.sleep(0.01)


@pytest.mark.parametrize("search", [False, True], ids=["lines", "search"])
def test_tables_are_read_beside_the_work_of_others(slowly: Slowly, search: bool) -> None:
    """Others are answered while tables are being read."""
    catalogue, at_once, may_end = slowly

    async def talk() -> None:
        transport = httpx.ASGITransport(app.create_app(catalogue))
        async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
            await asked(client, None)
            orders = [asyncio.create_task(asked(client, order, search=search)) for order in ORDERS]
            await until(lambda: at_once)
            assert [await asked(client, None) for _ in range(5)] == [200] * 5
            assert not any(order.done() for order in orders)
            may_end.set()
            assert await asyncio.gather(*orders) == [200] * len(orders)

    asyncio.run(asyncio.wait_for(talk(), 60))
    assert (max(at_once), len(at_once)) == (1, 3)


def test_few_wait_for_tables(slowly: Slowly, monkeypatch: pytest.MonkeyPatch) -> None:
    """The others are refused at once."""
    catalogue, at_once, may_end = slowly
    monkeypatch.setattr(readying, "MOST_WAITING", 1)

    async def talk() -> None:
        transport = httpx.ASGITransport(app.create_app(catalogue))
        async with httpx.AsyncClient(transport=transport, base_url="http://localhost") as client:
            orders = [asyncio.create_task(asked(client, order)) for order in ORDERS]
            await until(lambda: sum(order.done() for order in orders) == 2)
            may_end.set()
            assert sorted(await asyncio.gather(*orders)) == [200, 503, 503]

    asyncio.run(asyncio.wait_for(talk(), 60))
    assert at_once == [1]
