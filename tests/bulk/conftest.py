"""Bulk work in this process, with a cluster of threads, and as processes of their own that can be killed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from service import cli
from service.commands import bulk
from service.settings import Settings

distributed = pytest.importorskip("distributed", reason="bulk work needs Dask")
ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def client() -> Iterator[Any]:
    """A Dask cluster in this process."""
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None, protocol="inproc://"
    ) as cluster, distributed.Client(cluster, set_as_default=False) as made:
        yield made


@pytest.fixture
def run(client: Any, sr28_store: Settings, monkeypatch: pytest.MonkeyPatch, capfd) -> Callable[..., tuple[int, str]]:
    """`run("in.jsonl", "out.jsonl", "--json")` gives the exit code and what was said, errors included."""

    @contextmanager
    def workers(**_: object) -> Iterator[Any]:
        yield client

    monkeypatch.setattr(bulk, "workers", workers)
    monkeypatch.setenv("GRAMWRIGHT_DATA_DIR", str(sr28_store.data_dir))
    monkeypatch.setenv("GRAMWRIGHT_DATABASE_URL", sr28_store.database_url)

    def run_here(*arguments: object) -> tuple[int, str]:
        try:
            code = cli.main(["bulk", *map(str, arguments)])
        except SystemExit as ended:  # argparse
            code = int(ended.code or 0)
        said = capfd.readouterr()
        return code, said.out + "".join(line for line in said.err.splitlines(True) if "Resolving:" not in line)

    return run_here


@pytest.fixture
def start(sr28_store: Settings, tmp_path: Path) -> Iterator[Callable[..., subprocess.Popen[bytes]]]:
    """`start("bulk", "in.jsonl", "out.jsonl")` starts the command as a user does; it is ended with the test."""
    environment = {
        **os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1",
        "GRAMWRIGHT_DATABASE_URL": sr28_store.database_url,
    }  # fmt: skip
    started: list[subprocess.Popen[bytes]] = []

    def start_it(*arguments: object, **more: Any) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", "service", *map(str, arguments)]
        process = subprocess.Popen(
            command, cwd=tmp_path, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, **more
        )
        started.append(process)
        return process

    yield start_it
    for process in started:
        process.kill()
        process.communicate()


@pytest.fixture
def expected(start) -> Callable[..., bytes]:
    """What `gramwright resolve --jsonl` gives for lines."""

    def resolved(lines: Iterable[str], *more: str) -> bytes:
        process = start("resolve", "--jsonl", "-", *more, stdin=subprocess.PIPE)
        out, said = process.communicate("".join(f"{line}\n" for line in lines).encode(), timeout=300)
        assert process.returncode == 0, said
        return out

    return resolved


def write_lines(path: Path, lines: Iterable[str]) -> Path:
    """A file of JSON Lines."""
    path.write_text("".join(json.dumps({"line": line}) + "\n" for line in lines), encoding="utf-8")
    return path
