"""Databases that tests run on: SQLite files, and databases of their own on a PostgreSQL server where one is at hand.

GRAMWRIGHT_TEST_DATABASE_URL is the URL of a server on which databases may be made, such as
postgresql://postgres@127.0.0.1:5432/postgres. Without it what needs PostgreSQL is skipped, unless
GRAMWRIGHT_NEEDS_POSTGRESQL says that it must run.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import NoReturn

import pytest
from sqlalchemy import Engine, create_engine, text
from sqlalchemy.engine import make_url

from service.settings import DATABASE_NAME
from service.store.url import sqlite_url

ENGINES = ("sqlite", "postgresql")
_NUMBERS = count(1)


def server() -> str:
    """The URL of the server; skips or fails where there is none."""
    url = os.environ.get("GRAMWRIGHT_TEST_DATABASE_URL", "")
    if not url:
        missing("GRAMWRIGHT_TEST_DATABASE_URL names no PostgreSQL server")
    return url


def missing(what: str) -> NoReturn:
    """Skip for want of PostgreSQL, or fail where it must be there."""
    (pytest.fail if os.environ.get("GRAMWRIGHT_NEEDS_POSTGRESQL") else pytest.skip)(what)


def _administration(url: str) -> Engine:
    return create_engine(make_url(url).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT")


@contextmanager
def postgresql_database(template: str = "template0", *, on: str = "") -> Iterator[str]:
    """The URL of a new database, a copy of another one of the server (by default the one at hand); it goes at the end.

    The server may have died in between.
    """
    on = on or server()
    name = f"gramwright_test_{os.getpid()}_{next(_NUMBERS)}"
    source = make_url(template).database if "://" in template else template
    administration = _administration(on)
    with administration.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {source}"))
    try:
        administration.dispose()
        yield make_url(on).set(database=name).render_as_string(hide_password=False)
    finally:
        with administration.connect() as connection:
            connection.execute(text(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)"))
        administration.dispose()


@contextmanager
def empty_database(kind: str, folder: Path) -> Iterator[str]:
    """The URL of a store with nothing in it."""
    if kind == "sqlite":
        yield sqlite_url(folder / DATABASE_NAME)
    else:
        with postgresql_database() as url:
            yield url
