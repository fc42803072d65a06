"""`gramwright serve` as a process with keys: start, slow and silent connections, overload, stop, log."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.api import keys
from service.api.keys import NewKey
from service.settings import Settings
from service.store.engine import database_file, open_engine
from service.store.url import sqlite_url
from tests.api.test_server import ROOT
from tests.processes import one_by_one, slowdown, within, workers_of

CLIENT_SECONDS = 2
LINES = [f"{number} g smoked haddock" for number in range(1, 13)]


@dataclass
class Server:
    """A running server, with a key for it."""

    process: subprocess.Popen[str]
    port: int
    key: str
    log: Path

    def client(self, **more: Any) -> httpx.Client:
        headers = {"Authorization": f"Bearer {self.key}"}
        return httpx.Client(base_url=f"http://127.0.0.1:{self.port}", headers=headers, timeout=30, **more)

    def connection(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), timeout=20)

    def lines(self) -> list[dict[str, Any]]:
        """What it logged."""
        return [json.loads(line) for line in self.log.read_text().splitlines() if line.startswith("{")]

    def stop(self) -> None:
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(40)


@pytest.fixture(scope="module")
def store_url(sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A copy of the store, without keys."""
    copy = tmp_path_factory.mktemp("guarded") / "guarded.sqlite3"
    shutil.copy(str(database_file(sr28_store.database_url)), copy)
    return sqlite_url(copy)


def command(url: str, *arguments: str, **more: str) -> dict[str, Any]:
    environment = {**os.environ, "GRAMWRIGHT_DATABASE_URL": url, "PYTHONPATH": str(ROOT), **more}
    return {"args": [sys.executable, "-m", "service", *arguments], "env": environment}


def start(url: str, log: Path, *arguments: str, **more: str) -> Server:
    engine = open_engine(url)
    key, _ = keys.create(engine, NewKey("front desk", scopes=frozenset({"read", "write"}), quota=10**6, burst=10**6))
    engine.dispose()
    with log.open("w") as stream:
        asked = command(url, "serve", "--host", "0.0.0.0", "--port", "0", *arguments, **more)
        process = subprocess.Popen(**asked, stderr=stream, text=True)
    end = time.monotonic() + 60
    while not (place := re.search(r"http://0\.0\.0\.0:(\d+)", log.read_text())):
        assert process.poll() is None, log.read_text()
        assert time.monotonic() < end
        time.sleep(0.05)
    server = Server(process, int(place[1]), key, log)
    with server.client(transport=httpx.HTTPTransport(retries=5)) as client:
        assert client.get("/readyz").status_code == 200
    return server


@pytest.fixture(scope="module")
def server(store_url: str, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server on every address of this machine, impatient, with few places."""
    log = tmp_path_factory.mktemp("guarded_log") / "log"
    more = {"GRAMWRIGHT_CLIENT_SECONDS": str(CLIENT_SECONDS), "GRAMWRIGHT_WAITING": "4", "GRAMWRIGHT_WORKING": "1"}
    found = start(store_url, log, **more)
    yield found
    found.stop()


def test_beyond_loopback_it_does_not_start_without_a_key(sr28_store: Settings, tmp_path: Path) -> None:
    copy = tmp_path / "none.sqlite3"
    shutil.copy(str(database_file(sr28_store.database_url)), copy)
    asked = command(sqlite_url(copy), "serve", "--host", "0.0.0.0", "--port", "0")
    ran = subprocess.run(**asked, capture_output=True, text=True, timeout=60)
    assert ran.returncode == 2
    assert "there is no key yet: make one by `gramwright key create NAME`" in ran.stderr
    assert "GRAMWRIGHT_ACCESS=open" in ran.stderr


def test_it_lets_in_by_key_only(server: Server) -> None:
    with server.client() as client:
        answer = client.post("/v1/resolutions", json={"lines": LINES})
        assert answer.status_code == 200
        assert "server" not in answer.headers
        del client.headers["Authorization"]
        assert client.post("/v1/resolutions", json={"lines": LINES}).status_code == 401
        assert client.get("/").status_code == 200


# What a connection sends at first, and then a byte now and then.
SILENT = {
    "nothing": b"", "half a request line": b"GET /heal", "half a header": b"GET /healthz HTTP/1.1\r\nHost: x\r\nX-A: ",
}  # fmt: skip


@pytest.mark.parametrize("kind", SILENT)
@pytest.mark.parametrize("drips", [False, True], ids=["silent", "dripping"])
def test_a_connection_that_does_not_say_what_it_wants_is_ended(server: Server, kind: str, drips: bool) -> None:
    started = time.monotonic()
    with server.connection() as connection:
        connection.sendall(SILENT[kind])
        connection.settimeout(0.3 if drips else 20)
        while ended_in(started) < 4 * CLIENT_SECONDS + 5:
            try:
                if connection.recv(1000) == b"":
                    break
            except TimeoutError:
                connection.sendall(b"a")
            except ConnectionError:
                break
    assert CLIENT_SECONDS * 0.8 < ended_in(started) < 4 * CLIENT_SECONDS


def ended_in(started: float) -> float:
    return time.monotonic() - started


def post(length: int, key: str) -> bytes:
    lines = ("POST /v1/resolutions HTTP/1.1", "Host: x", f"Authorization: Bearer {key}",
             "Content-Type: application/json", f"Content-Length: {length}", "", "")  # fmt: skip
    return "\r\n".join(lines).encode()


def test_a_slow_body_is_ended_and_keeps_nobody_waiting(server: Server) -> None:
    slow = [server.connection() for _ in range(12)]
    for connection in slow:
        connection.sendall(post(1000, server.key) + b'{"lines": ["')
        time.sleep(0.05)  # not more at once than may wait
    with server.client() as client:
        started = time.monotonic()
        assert client.post("/v1/resolutions", json={"lines": LINES}).status_code == 200
        took = ended_in(started)
    assert took < 1.5 or took < 1.5 * slowdown()
    for connection in slow:
        assert connection.recv(4096).startswith(b"HTTP/1.1 408 ")
        connection.close()


def test_a_reader_that_does_not_read_is_ended_and_keeps_nobody_waiting(server: Server) -> None:
    body = json.dumps({"lines": [f"{number} g smoked haddock" for number in range(6000)]}).encode()
    head = post(len(body), server.key).replace(b"\r\n\r\n", b"\r\nAccept: application/jsonl\r\n\r\n")
    connection = socket.socket()
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    with connection:
        connection.connect(("127.0.0.1", server.port))
        connection.sendall(head + body)
        time.sleep(CLIENT_SECONDS + 4)
        with server.client() as client:
            started = time.monotonic()
            assert client.post("/v1/resolutions", json={"lines": LINES}).status_code == 200
            took = ended_in(started)
        assert took < 2 or took < 2 * slowdown()


def test_a_thousand_idle_connections_do_not_slow_down_others(server: Server) -> None:
    def median() -> float:
        with server.client() as client:
            times = []
            for _ in range(21):
                started = time.monotonic()
                assert client.get("/v1/treatments").status_code == 200
                times.append(ended_in(started))
        return sorted(times)[10]

    before = median()
    idle = [server.connection() for _ in range(900)]
    beside = median()
    assert beside < 4 * before + 0.05 * slowdown()
    for connection in idle:
        connection.close()


def test_overload_is_answered_at_once_and_by_few_statuses(server: Server) -> None:
    statuses: list[int] = []
    waits: list[float] = []
    body = {"lines": [f"{number} g smoked haddock and chives" for number in range(300)]}

    def ask() -> None:
        with server.client() as client:
            for _ in range(3):
                started = time.monotonic()
                answer = client.post("/v1/resolutions", json=body)
                statuses.append(answer.status_code)
                if answer.status_code == 503:
                    assert answer.headers["retry-after"] == "1"
                    waits.append(ended_in(started))

    threads = [threading.Thread(target=ask) for _ in range(40)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert set(statuses) == {200, 503}
    assert len(statuses) == 120
    with server.client() as client:
        assert client.get("/healthz").status_code == 200


def test_large_headers_are_refused(server: Server) -> None:
    with server.connection() as connection:
        connection.sendall(b"GET /healthz HTTP/1.1\r\nHost: x\r\n" + b"X-A: " + b"a" * 40_000 + b"\r\n\r\n")
        assert connection.recv(1000).startswith((b"HTTP/1.1 431", b"HTTP/1.1 400"))


SMUGGLED = [
    b"GET /healthz HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
    b"GET /healthz HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\nContent-Length: 6\r\n\r\nabcde",
    b"GET /healthz HTTP/1.1\r\nHost: x\r\nX-A: a\x00b\r\n\r\n", b"GET /heal\x00thz HTTP/1.1\r\nHost: x\r\n\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", b"GET  /healthz HTTP/1.1\r\n\r\n", b"\r\n\r\n\r\nX\r\n\r\n",
]  # fmt: skip


@pytest.mark.parametrize("sent", SMUGGLED, ids=range(len(SMUGGLED)))
def test_no_request_is_hidden_in_another(server: Server, sent: bytes) -> None:
    with server.connection() as connection:
        connection.sendall(sent + b"GET /v1/recipes HTTP/1.1\r\nHost: x\r\n\r\n")
        answer = connection.recv(4096)
    assert not answer or answer.startswith((b"HTTP/1.1 400", b"HTTP/1.1 200"))
    assert answer.count(b"HTTP/1.1") <= 1 or b"401" in answer


def test_the_log_is_json_without_words_and_keys(server: Server) -> None:
    with server.client() as client:
        client.post("/v1/resolutions", json={"lines": ["7 oz confidential haddock"]}, headers={"X-Request-Id": "seven"})
        client.get("/v1/foods", params={"search": "confidential haddock"})
    end = time.monotonic() + 60
    while not (found := [line for line in server.lines() if line.get("request") == "seven"]):
        assert time.monotonic() < end
        time.sleep(0.05)
    assert found[0]["route"] == "/v1/resolutions"
    assert found[0]["key"] == server.key.split("_")[1]
    text = server.log.read_text()
    assert "confidential" not in text
    assert server.key.split("_")[2] not in text
    assert "Traceback" not in text


def test_keys_are_noticed_by_a_running_server(server: Server, store_url: str) -> None:
    def made(*arguments: str) -> str:
        ran = subprocess.run(**command(store_url, "key", *arguments), capture_output=True, text=True, timeout=60)
        assert ran.returncode == 0, ran.stderr
        return ran.stdout.strip()

    key = made("create", "late")
    late = Server(server.process, server.port, key, server.log)
    with late.client() as client:
        assert within(2, lambda: client.get("/v1/treatments").status_code == 200)
        made("revoke", key.split("_")[1])
        assert within(2, lambda: client.get("/v1/treatments").status_code == 401)


def test_workers_count_a_key_together(store_url: str, tmp_path: Path) -> None:
    server = start(store_url, tmp_path / "log", "--workers", "3")
    try:
        engine = open_engine(store_url)
        key, _ = keys.create(engine, NewKey("side door", quota=1, burst=9))
        later, _ = keys.create(engine, NewKey("back door", quota=10**6, burst=10**6))
        engine.dispose()
        address = f"http://127.0.0.1:{server.port}/v1/components"
        asked = {"url": address, "headers": {"Authorization": f"Bearer {later}"}}
        for _ in one_by_one(workers_of(server.process.pid)):
            assert within(2, lambda: httpx.get(**asked, timeout=30).status_code == 200)
        asked["headers"] = {"Authorization": f"Bearer {key}"}
        statuses = [httpx.get(**asked, timeout=30).status_code for _ in range(30)]  # each on a connection of its own
    finally:
        server.stop()
    assert (statuses.count(200), statuses.count(429)) == (9, 21)


def test_it_finishes_what_it_began_when_told_to_stop(store_url: str, tmp_path: Path) -> None:
    server = start(store_url, tmp_path / "log")
    with server.client() as client:
        body = {"lines": [f"{number} g smoked haddock" for number in range(5000)]}
        with client.stream("POST", "/v1/resolutions", json=body, headers={"Accept": "application/jsonl"}) as answer:
            parts = answer.iter_lines()
            next(parts)
            server.process.send_signal(signal.SIGTERM)
            assert 1 + sum(1 for _ in parts) == 5000
    server.process.wait(40)
    with pytest.raises(httpx.ConnectError):
        httpx.get(f"http://127.0.0.1:{server.port}/healthz")
