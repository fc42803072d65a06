"""Stores of the invented foods, and processes of their own that build them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine

from importers.release import ReleaseData
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import migrate, replace_release
from tests import databases

ROOT = Path(__file__).parents[2]
Run = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture
def empty_store(database_kind: str, tmp_path: Path) -> Iterator[Engine]:
    """A store without a dataset, on each kind of database."""
    with databases.empty_database(database_kind, tmp_path) as url:
        engine = open_engine(url)
        migrate(engine)
        yield engine
        engine.dispose()


@pytest.fixture
def empty_file(tmp_path: Path) -> Iterator[Engine]:
    """A store without a dataset in an SQLite file, for what is about files."""
    engine = open_engine(sqlite_url(tmp_path / "gramwright.sqlite3"))
    migrate(engine)
    yield engine
    engine.dispose()


@pytest.fixture
def invented_store(empty_store: Engine, invented_release: ReleaseData) -> Engine:
    """A store with the invented foods."""
    replace_release(empty_store, invented_release)
    return empty_store


@pytest.fixture
def build_process(invented_files: Path) -> Run:
    """`build_process(data_dir, *options, source=...)` starts build_process.py."""

    def start(data_dir: Path, *options: str, source: str = str(invented_files)) -> subprocess.Popen[str]:
        command = [sys.executable, str(Path(__file__).parent / "build_process.py"), str(data_dir), source, *options]
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment)

    return start


@pytest.fixture
def outcome() -> Callable[[subprocess.Popen[str]], dict[str, Any]]:
    """What a build process printed, with its exit code as `exit`."""

    def ended(process: subprocess.Popen[str]) -> dict[str, Any]:
        out, err = process.communicate(timeout=120)
        assert "Traceback" not in err, err
        return {"exit": process.returncode, **(json.loads(out) if out else {})}

    return ended


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Callable[[str], Path]]:
    """`small_disk(options)` mounts a memory disk with these mount options; skips where that is not permitted."""
    mounted: list[Path] = []

    def mount(options: str) -> Path:
        folder = tmp_path / f"disk{len(mounted)}"
        folder.mkdir()
        command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(folder)]
        try:
            subprocess.run(command, check=True, capture_output=True)
        except (OSError, subprocess.CalledProcessError):
            pytest.skip("mounting a disk is not permitted here")
        mounted.append(folder)
        return folder

    yield mount
    for folder in mounted:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)
