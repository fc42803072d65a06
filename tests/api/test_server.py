"""`gramwright serve` as a process: start, requests over a real connection, large bodies, stop."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest

from service.api import app

ROOT = Path(app.__file__).parents[2]


@pytest.fixture(scope="module")
def server(sr28_store) -> Iterator[tuple[subprocess.Popen[str], str]]:
    environment = {**os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "service", "serve", "--port", "0"]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        assert process.stderr
        said = process.stderr.readline()
        place = re.search(r"http://127\.0\.0\.1:\d+", said)
        assert place, said
        yield process, place.group()
        process.send_signal(signal.SIGTERM)
        process.wait(20)


def test_answers_over_a_connection(server):
    answer = httpx.post(f"{server[1]}/v1/resolutions", json={"lines": ["1 oz almonds"]}, timeout=20)
    assert answer.json()["lines"][0]["parts"][0]["food"]["id"] == "sr28:12061"
    assert httpx.get(f"{server[1]}/readyz").status_code == 200


def test_resident_memory_stays_below_250_mb(server):
    status = Path(f"/proc/{server[0].pid}/status")
    if not status.exists():
        pytest.skip("this system does not tell the memory of a process")
    httpx.post(f"{server[1]}/v1/resolutions", json={"lines": ["1 oz almonds"] * 2000}, timeout=60)
    resident = re.search(r"VmRSS:\s+(\d+) kB", status.read_text())
    assert resident
    assert int(resident.group(1)) <= 250 * 1024


def large_body() -> Iterator[bytes]:
    for _ in range(600):
        yield b" " * 10_240


@pytest.mark.parametrize("content", [b" " * 6_144_000, large_body], ids=["announced", "in chunks"])
def test_a_large_body_is_refused(server, content):
    content = content if isinstance(content, bytes) else content()
    headers = {"Content-Type": "application/json"}
    answer = httpx.post(f"{server[1]}/v1/resolutions", content=content, headers=headers, timeout=20)
    assert (answer.status_code, answer.headers["content-type"]) == (413, "application/problem+json")


def test_a_large_body_is_refused_before_it_is_sent(server):
    host, _, port = server[1].removeprefix("http://").partition(":")
    lines = (
        "POST /v1/resolutions HTTP/1.1", "Host: localhost", "Content-Type: application/json", "Content-Length: 6000000",
    )  # fmt: skip
    with socket.create_connection((host, int(port)), timeout=20) as connection:
        connection.sendall("\r\n".join((*lines, "", "")).encode())
        assert connection.recv(64).startswith(b"HTTP/1.1 413")


def test_a_long_list_does_not_keep_others_waiting(server):
    with httpx.Client(base_url=server[1], timeout=60) as client:
        lines = [f"{number} g smoked haddock" for number in range(1, 5001)]
        with client.stream(
            "POST", "/v1/resolutions", json={"lines": lines}, headers={"Accept": "application/jsonl"}
        ) as answer:
            parts = answer.iter_lines()
            next(parts)
            assert httpx.get(f"{server[1]}/healthz", timeout=10).status_code == 200
            assert 1 + sum(1 for _ in parts) == 5000


def test_small_answers_are_sent_at_once(server):
    # Waiting for the caller's acknowledgement (Nagle's algorithm) would cost 40 ms an answer.
    with httpx.Client(base_url=server[1], timeout=20) as client:
        client.get("/healthz")
        waits = []
        for _ in range(50):
            started = time.monotonic()
            client.get("/healthz")
            waits.append(time.monotonic() - started)
        # The first ones are acknowledged at once; a machine that is busy with other things holds up some, not all.
        assert sorted(waits[25:])[5] < 0.03
