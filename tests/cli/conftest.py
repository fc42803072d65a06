"""The command, run in this process over food data that is loaded once, and as a process of its own."""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from service import cli
from service.core.errors import NotFoundError
from service.settings import Settings
from service.wiring import Catalogue, open_catalogue

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Ran:
    """What a run of the command gave."""

    code: int
    out: str
    err: str


@pytest.fixture(scope="session")
def catalogue(sr28_store: Settings) -> Catalogue:
    return open_catalogue(sr28_store)


@pytest.fixture
def run(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch, capfdbinary) -> Callable[..., Ran]:
    """`run("resolve", "2 eggs", stdin=b"")` runs the command in this process."""

    def opened(settings: Settings) -> Catalogue:
        if settings.datasets != ("sr28",):
            raise NotFoundError(f"no dataset {settings.datasets[0]!r}")
        return catalogue

    def run_here(*arguments: str, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(cli, "_open", opened)
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), "utf-8"))
        try:
            code = cli.main(arguments)
        except SystemExit as exit:  # argparse
            code = int(exit.code or 0)
        sys.stdout.flush()
        out, err = capfdbinary.readouterr()
        return Ran(code, out.decode(), err.decode())

    return run_here


@pytest.fixture
def run_process(sr28_store: Settings) -> Callable[..., subprocess.CompletedProcess[bytes]]:
    """`run_process("resolve", "2 eggs")` runs the command as a user does."""
    environment = {
        **os.environ, "GRAMWRIGHT_DATA_DIR": str(sr28_store.data_dir), "PYTHONPATH": str(ROOT), "PYTHONUTF8": "1"
    }  # fmt: skip

    def run_it(*arguments: str, stdin: bytes = b"", **more: str) -> subprocess.CompletedProcess[bytes]:
        command = [sys.executable, "-m", "service", *arguments]
        return subprocess.run(command, input=stdin, capture_output=True, env={**environment, **more}, timeout=120)

    return run_it
