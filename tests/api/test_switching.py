"""`gramwright serve` as a process while another process activates a release: seen soon, and no request fails."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from service.api import app
from service.settings import DATABASE_NAME
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, replace_release, roll_back
from tests.harbour import HARBOUR, changed, harbour

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
            assert time.monotonic() - switched < 2
            assert said[1] != fat, "never one release's name with the other's figures"
        assert said == (release, fat)
    engine.dispose()


def answer(server: str) -> tuple[str, float]:
    got = httpx.get(f"{server}/v1/foods/harbour:1", timeout=10)
    assert got.status_code == 200, got.text
    food = got.json()
    return food["releases"][0]["release"], food["components"]["FAT"]["value"]
