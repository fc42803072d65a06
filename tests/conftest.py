"""Fixtures that tests of several folders share."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import settings

from importers import sr28
from importers.release import ReleaseData
from service.core.food import FoodTable
from service.datasets import ensure_ready
from service.settings import DATABASE_NAME, Settings
from service.store.engine import database_file
from service.store.read import load_table
from service.store.url import sqlite_url
from tests import databases

# How long one example takes depends on what else the machine does; times are promised by the benchmarks.
settings.register_profile("laws", deadline=None)
settings.load_profile("laws")


@pytest.fixture(scope="session")
def sr28_store(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """Settings of a store with all of SR28: that of GRAMWRIGHT_DATA_DIR if set, else one built for this run."""
    folder = os.environ.get("GRAMWRIGHT_DATA_DIR") or str(tmp_path_factory.mktemp("sr28_store"))
    settings = Settings.from_environment({"GRAMWRIGHT_DATA_DIR": folder}, cwd=Path.cwd())
    ensure_ready(settings).dispose()
    return settings


@pytest.fixture(scope="session")
def sr28_table(sr28_store: Settings) -> FoodTable:
    """All foods of SR28 with their amounts per 100 g."""
    engine = ensure_ready(sr28_store)
    table = load_table(engine, ("sr28",))
    engine.dispose()
    return table


@pytest.fixture(scope="session", params=databases.ENGINES)
def database_kind(request: pytest.FixtureRequest) -> str:
    """The database that tests run on, one after the other."""
    if request.param == "postgresql":
        databases.server()
    return str(request.param)


@pytest.fixture(scope="session")
def sr28_on_postgresql(sr28_store: Settings) -> Iterator[str]:
    """The URL of a PostgreSQL database with all of SR28, to be copied: nobody is connected to it."""
    with databases.postgresql_database() as url:
        ensure_ready(replace(sr28_store, database_url=url)).dispose()
        yield url


@pytest.fixture(scope="session")
def kitchen_store(
    database_kind: str, sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory, request: pytest.FixtureRequest
) -> Iterator[Settings]:
    """Settings of a copy of that store, into which tests may save recipes; on each kind of database."""
    folder = tmp_path_factory.mktemp("kitchen_store")
    if database_kind == "sqlite":
        shutil.copy(str(database_file(sr28_store.database_url)), folder / DATABASE_NAME)
        yield replace(sr28_store, data_dir=folder, database_url=sqlite_url(folder / DATABASE_NAME))
    else:
        with databases.postgresql_database(request.getfixturevalue("sr28_on_postgresql")) as url:
            yield replace(sr28_store, data_dir=folder, database_url=url)


@pytest.fixture(scope="session")
def invented_files() -> Path:
    """A folder of files in SR28's format with three invented foods of a harbour-side lunch room."""
    return Path(__file__).parent / "importers" / "fixtures" / "sr28"


@pytest.fixture(scope="session")
def invented_release(invented_files: Path) -> ReleaseData:
    """The release value of the invented files."""
    return sr28.read(invented_files, verify=False)
