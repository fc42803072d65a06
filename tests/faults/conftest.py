"""Servers of the harbour's table on each kind of database, to be killed, and a database server of their own."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import httpx
import pytest

from service.store.engine import open_engine
from service.store.write import migrate, replace_release
from tests import databases
from tests.harbour import HARBOUR, harbour
from tests.processes import workers_of

ROOT = Path(__file__).parents[2]


@dataclass
class Server:
    """`gramwright serve` over a store; `start` again after it was killed."""

    url: str
    folder: Path
    workers: int = 2
    port: int = 0
    process: subprocess.Popen[str] | None = None

    def start(self) -> None:
        environment = {
            **os.environ, "GRAMWRIGHT_DATABASE_URL": self.url, "GRAMWRIGHT_DATA_DIR": str(self.folder),
            "GRAMWRIGHT_DATASETS": HARBOUR, "PYTHONPATH": str(ROOT), "GRAMWRIGHT_LOG": "errors",
        }  # fmt: skip
        command = [sys.executable, "-m", "service", "serve", "--workers", str(self.workers), "--port", str(self.port)]
        log = self.folder / "server.log"
        with log.open("w") as stream:
            self.process = subprocess.Popen(command, env=environment, stderr=stream, text=True)
        until(lambda: re.search(r"http://127\.0\.0\.1:(\d+)", log.read_text()) or self._died(log))
        self.port = int(re.search(r"http://127\.0\.0\.1:(\d+)", log.read_text())[1])  # type: ignore[index]
        self.wait()

    def _died(self, log: Path) -> bool:
        assert self.process
        assert self.process.poll() is None, log.read_text()
        return False

    def wait(self, seconds: float = 60) -> None:
        """Until it answers."""
        statuses: list[int] = []

        def ready() -> bool:
            statuses.append(self.get("/readyz"))
            return statuses[-1] == 200

        until(ready, seconds, lambda: f"{statuses}: {(self.folder / 'server.log').read_text()}")

    def get(self, path: str) -> int:
        """The status of an answer, 0 where there is none."""
        with suppress(httpx.HTTPError):
            return httpx.get(f"http://127.0.0.1:{self.port}{path}", timeout=10).status_code
        return 0

    def workers_now(self) -> list[int]:
        """The processes that answer."""
        assert self.process
        return workers_of(self.process.pid)

    def kill(self) -> None:
        """kill -9 of the first process; its workers end by themselves, at once for what this test is about."""
        assert self.process
        workers = self.workers_now() if self.workers > 1 else []
        self.process.kill()
        for worker in workers:
            with suppress(ProcessLookupError):
                os.kill(worker, signal.SIGKILL)
        self.process.wait(20)

    def stop(self) -> None:
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
            self.process.wait(40)


def until(happened: Callable[[], object], seconds: float = 60, said: Callable[[], str] = str) -> None:
    """Wait until it has happened; `said` is told where it does not."""
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end, f"it does not happen {said()}"
        time.sleep(0.05)


class Cluster:
    """A PostgreSQL server in a folder of its own, which may be stopped and killed."""

    def __init__(self, folder: Path, programs: Path) -> None:
        self._programs, self._data, self._log = programs, folder / "data", folder / "log"
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self._run("initdb", "-D", str(self._data), "-A", "trust", "-U", "postgres", "-E", "UTF8", "--locale=C.UTF-8")
        self.start()

    @property
    def url(self) -> str:
        return f"postgresql://postgres@127.0.0.1:{self.port}/postgres"

    def _run(self, program: str, *arguments: str) -> None:
        # A server does not run as root: then as the user that its package makes.
        user = {"user": "postgres", "group": "postgres", "extra_groups": []} if os.geteuid() == 0 else {}
        with self._log.with_suffix(".out").open("a") as out:
            subprocess.run(
                [self._programs / program, *arguments],
                check=True,
                stdout=out,
                stderr=out,
                cwd=self._data.parent,
                **user,
            )  # type: ignore[call-overload]

    def start(self) -> None:
        options = f"-p {self.port} -k {self._data} -c listen_addresses=127.0.0.1 -c max_connections=60"
        self._run("pg_ctl", "-D", str(self._data), "-l", str(self._log), "-o", options, "-w", "-t", "60", "start")

    def stop(self, how: str = "fast") -> None:
        self._run("pg_ctl", "-D", str(self._data), "-m", how, "-w", "-t", "60", "stop")

    def pid(self) -> int:
        return int((self._data / "postmaster.pid").read_text().split()[0])

    def kill(self) -> None:
        """kill -9 of the server and of every process of it, then start it again."""
        first = self.pid()
        children = Path(f"/proc/{first}/task/{first}/children").read_text().split()
        for number in (first, *map(int, children)):
            with suppress(ProcessLookupError):
                os.kill(number, signal.SIGKILL)
        until(lambda: not Path(f"/proc/{first}").exists())
        self.start()


def programs() -> Path | None:
    """The folder of PostgreSQL's own programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    which = shutil.which("initdb")
    return found[-1].parent if found else Path(which).resolve().parent if which else None


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """A database server of this run's own; skips or fails where PostgreSQL is not installed."""
    found = programs()
    if found is None or not Path("/proc/self/task").exists():
        databases.missing("PostgreSQL's programs are not installed")
    with tempfile.TemporaryDirectory(prefix="gramwright-cluster-") as name:  # pytest's own folders are closed to others
        if os.geteuid() == 0:
            shutil.chown(name, "postgres", "postgres")
        started = Cluster(Path(name), found)
        yield started
        started.stop("immediate")


@pytest.fixture
def store_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A store with the harbour's table on the kind of database that the test's parameter names."""
    if request.param == "sqlite":
        with databases.empty_database("sqlite", tmp_path) as url:
            fill(url)
            yield url
    else:
        with databases.postgresql_database(on=request.getfixturevalue("cluster").url) as url:
            fill(url)
            yield url


def fill(url: str) -> None:
    engine = open_engine(url)
    migrate(engine)
    replace_release(engine, harbour())
    engine.dispose()


@pytest.fixture
def server(store_url: str, tmp_path: Path) -> Iterator[Server]:
    """A running server of two workers."""
    found = Server(store_url, tmp_path)
    found.start()
    yield found
    found.stop()
