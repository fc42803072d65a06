"""kill -9 of server, worker and database under write load: what was acknowledged is there, and no half of a recipe.

So many points as GRAMWRIGHT_FAULT_POINTS says, 20 by default; the moments are drawn from the seed printed on failure.
"""

from __future__ import annotations

import os
import random
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from threading import Event, Thread

import httpx
import pytest
from sqlalchemy import func, select

from service.store import schema
from service.store.engine import open_engine, reading

POINTS = int(os.environ.get("GRAMWRIGHT_FAULT_POINTS", "20"))
SEED = int(os.environ.get("GRAMWRIGHT_FAULT_SEED", "1848"))
# The store, what is killed, and what share of the points that takes: a server needs seconds to start again.
KILLS = (
    ("sqlite", "server", 0.1), ("sqlite", "worker", 0.3), ("postgresql", "server", 0.1), ("postgresql", "worker", 0.25),
    ("postgresql", "database", 0.25),
)  # fmt: skip
WRITERS = 3


@dataclass
class Load:
    """Writers that save recipes without end, and what was acknowledged: (number, revision) -> title."""

    port: int
    acknowledged: dict[tuple[int, int], str] = field(default_factory=dict)
    statuses: set[int] = field(default_factory=set)
    ended: Event = field(default_factory=Event)

    def write(self, writer: int) -> None:
        base, number = f"http://127.0.0.1:{self.port}/v1/recipes", 0
        for turn in count(1):
            if self.ended.is_set():
                return
            title = f"{writer}{turn:06}{self.port}".translate(_LETTERS).title()  # names no other: no other changes
            text = f"{title}\n\nServes 2\n150 g kelp\n{turn} g cod\n10 g butter\n"
            try:
                if number and turn % 2:
                    answer = httpx.put(f"{base}/recipe:{number}", content=text, headers={**TEXT, "If-Match": "*"})
                else:
                    answer = httpx.post(base, content=text, headers=TEXT)
            except httpx.HTTPError:  # killed meanwhile: nothing was acknowledged
                time.sleep(0.02)
                continue
            self.statuses.add(answer.status_code)
            if answer.status_code in (200, 201):
                saved = answer.json()
                number = int(saved["id"].partition(":")[2])
                self.acknowledged[number, saved["revision"]] = title


TEXT = {"Content-Type": "text/plain"}
_LETTERS = str.maketrans("0123456789", "bcdfghjklm")


@contextmanager
def under_load(port: int) -> Iterator[Load]:
    load = Load(port)
    threads = [Thread(target=load.write, args=(writer,)) for writer in range(WRITERS)]
    for thread in threads:
        thread.start()
    try:
        yield load
    finally:
        load.ended.set()
        for thread in threads:
            thread.join()


@pytest.mark.parametrize(
    ("store_url", "what", "share"), KILLS, indirect=["store_url"], ids=["-".join(one[:2]) for one in KILLS]
)
def test_nothing_acknowledged_is_lost(server, store_url, what, share, request):
    moments = random.Random(f"{SEED} {what}")
    with under_load(server.port) as load:
        for _ in range(max(1, round(POINTS * share))):
            before = len(load.acknowledged)
            while len(load.acknowledged) < before + 3:  # it works again
                time.sleep(0.01)
                assert load.statuses <= {200, 201, 503}, f"seed {SEED}"
            time.sleep(moments.uniform(0, 0.4))
            kill(server, what, moments, request)
            server.wait()
    assert load.statuses <= {200, 201, 503}, f"seed {SEED}"
    assert_whole(store_url, load.acknowledged)


def kill(server, what, moments, request) -> None:
    if what == "server":
        server.kill()
        server.start()
    elif what == "worker":
        os.kill(moments.choice(server.workers_now()), signal.SIGKILL)
    else:
        request.getfixturevalue("cluster").kill()


def assert_whole(url: str, acknowledged: dict[tuple[int, int], str]) -> None:
    """All that was acknowledged is there, each revision whole, each recipe with all its revisions and one latest."""
    documents, uses = schema.table(schema.KitchenDocument), schema.table(schema.KitchenUse)
    engine = open_engine(url)
    with reading(engine) as connection:
        rows = connection.execute(select(documents).order_by(documents.c.change)).all()
        used = dict(connection.execute(select(uses.c.change, func.count()).group_by(uses.c.change)).all())
        if engine.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
    engine.dispose()
    kept = {(row.number, row.revision): row.title for row in rows}
    assert len(kept) == len(rows)
    assert acknowledged.items() <= kept.items(), f"seed {SEED}"
    assert acknowledged
    assert used == {row.change: 3 for row in rows}
    latest: dict[int, list[bool]] = {}
    for row in rows:
        latest.setdefault(row.number, []).append(row.latest)
        assert row.revision == len(latest[row.number])
    assert all(flags == [False] * (len(flags) - 1) + [True] for flags in latest.values())
    assert sorted(latest) == list(range(1, len(latest) + 1))
