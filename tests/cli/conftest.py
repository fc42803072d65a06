"""The command, run in this process over food data that is loaded once, and as a process of its own."""

from __future__ import annotations

import io
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from service import cli
from service.commands import stores
from service.core.errors import NotFoundError
from service.settings import DATABASE_NAME, Settings
from service.store import schema
from service.store.engine import database_file, writing
from service.store.url import sqlite_url
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


@pytest.fixture(scope="session")
def kitchen_settings(sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """Settings of a copy of the store that the commands of these tests write to."""
    copy = tmp_path_factory.mktemp("kitchen") / DATABASE_NAME
    shutil.copy(str(database_file(sr28_store.database_url)), copy)
    return replace(sr28_store, data_dir=copy.parent, database_url=sqlite_url(copy))


@pytest.fixture(scope="session")
def kitchen_catalogue(kitchen_settings: Settings) -> Iterator[Catalogue]:
    catalogue = open_catalogue(kitchen_settings)
    yield catalogue
    catalogue.engine.dispose()


@pytest.fixture
def run_on(monkeypatch: pytest.MonkeyPatch, capfdbinary) -> Callable[[Catalogue], Callable[..., Ran]]:
    """`run_on(catalogue)("resolve", "2 eggs", stdin=b"")` runs the command in this process, on this food data."""

    def on(catalogue: Catalogue) -> Callable[..., Ran]:
        def opened(settings: Settings | None = None) -> Catalogue:
            settings = settings or Settings.from_environment()
            if unknown := set(settings.datasets) - set(catalogue.datasets):
                raise NotFoundError(f"no dataset {unknown.pop()!r}")
            return catalogue

        def run_here(*arguments: str, stdin: bytes = b"") -> Ran:
            monkeypatch.setattr(stores, "open_store", opened)
            monkeypatch.setattr(stores, "open_engine", lambda: catalogue.engine)
            monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), "utf-8"))
            if arguments[:1] in (("backup",), ("restore",)):  # of this store, which nobody else then has open
                url = catalogue.engine.url.render_as_string(hide_password=False)
                monkeypatch.setenv("GRAMWRIGHT_DATABASE_URL", url)
                catalogue.engine.dispose()
            try:
                code = cli.main(arguments)
            except SystemExit as exit:  # argparse
                code = int(exit.code or 0)
            sys.stdout.flush()
            out, err = capfdbinary.readouterr()
            return Ran(code, out.decode(), err.decode())

        return run_here

    return on


@pytest.fixture
def run(run_on, catalogue: Catalogue) -> Callable[..., Ran]:
    """`run("resolve", "2 eggs", stdin=b"")` runs the command on a store that is only read."""
    return run_on(catalogue)


@pytest.fixture
def kitchen_run(run_on, kitchen_catalogue: Catalogue) -> Callable[..., Ran]:
    """The same on a copy of the store with an empty kitchen."""
    with writing(kitchen_catalogue.engine) as connection:
        for model in (schema.KitchenUse, schema.KitchenDocument):
            connection.execute(schema.table(model).delete())
    return run_on(kitchen_catalogue)


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
