"""Opens the store. Whatever differs between SQL databases, and what their errors mean, is said here only.

The default is one SQLite file in write-ahead-log mode: readers go on while one process writes. Any other SQLAlchemy
URL works if its driver is installed.
"""

from __future__ import annotations

import os
import re
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from sqlalchemy import Connection, Engine, Table, create_engine, event, insert, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from service.core.errors import StoreError

SCHEMA_VERSION = "0003"
BUSY_SECONDS = 30.0

_MEANINGS = (
    (r"not a database", "is no SQLite database; move it away, or name another by GRAMWRIGHT_DATABASE_URL"),
    (r"malformed", "is damaged; put back a copy of it, or move it away and it is built anew"),
    (r"is full|No space left|EFBIG|File too large", "cannot grow: the disk is full; free some space and start again"),
    (r"disk I/O error", "cannot be read or written: the disk reports an error or is full"),
    (r"locked|busy|could not obtain lock", "is in use by another process; try again in a moment"),
    (r"readonly|read-only|Permission denied|unable to open|Not a directory|Is a directory|File exists",
     "cannot be opened or written; check that its folder exists and may be written"),
)


def open_engine(url: str, *, building: bool = False) -> Engine:
    """An engine for the database URL; nothing is opened before its first use.

    `building` is for a new SQLite file that nobody else sees yet and that is thrown away if anything fails: it is
    written without journal and without waiting for the disk.
    """
    try:
        path = database_file(url)
        engine = create_engine(make_url(url), **(_sqlite_arguments(path) if path else {}))
    except (ArgumentError, NoSuchModuleError, ImportError) as error:
        raise StoreError(f"GRAMWRIGHT_DATABASE_URL cannot be used: {_first_line(error)}") from error
    if engine.dialect.name == "sqlite":
        _set_up_sqlite(engine, building=building, writable=path is None or _writable(path))
    return engine


def database_file(url: str) -> Path | None:
    """The file of an SQLite URL; None for other databases and for SQLite in memory."""
    try:
        parsed = make_url(url)
    except ArgumentError as error:
        raise StoreError(f"GRAMWRIGHT_DATABASE_URL cannot be used: {_first_line(error)}") from error
    is_file = parsed.get_backend_name() == "sqlite" and parsed.database not in (None, "", ":memory:")
    return Path(str(parsed.database)) if is_file else None


def _writable(path: Path) -> bool:
    """False for a file on a read-only disk or in a folder that may not be written (SQLite needs both)."""
    return not path.exists() or (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK))


def _sqlite_arguments(path: Path) -> dict[str, Any]:
    if _writable(path):
        return {"connect_args": {"timeout": BUSY_SECONDS}}
    # Write-ahead-log files beside the database cannot be made there; nobody can be writing it, so it is immutable.
    uri = f"file:{quote(str(path.absolute()))}?immutable=1"
    return {"creator": lambda: sqlite3.connect(uri, uri=True, timeout=BUSY_SECONDS, check_same_thread=False)}


def _set_up_sqlite(engine: Engine, *, building: bool, writable: bool) -> None:
    """Foreign keys, journal and transactions of each connection: Python's driver must not begin them itself, since
    it leaves DDL outside and cannot begin a write at once."""
    journal = ("journal_mode=OFF", "synchronous=OFF", "foreign_keys=OFF", "locking_mode=EXCLUSIVE")
    usual = ("journal_mode=WAL", "synchronous=NORMAL", "foreign_keys=ON")
    pragmas = journal if building else usual if writable else ("query_only=ON",)

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: sqlite3.Connection, _record: object) -> None:
        connection.isolation_level = None
        for pragma in pragmas:
            connection.execute(f"PRAGMA {pragma}").close()

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection that sees one state of the store; database errors become StoreError."""
    with store_errors(engine.url.render_as_string(hide_password=False)), engine.connect() as connection:
        yield connection


def quick_value(engine: Engine, query: str) -> Any:
    """The one value of a query without parameters, by the driver itself: for what every request asks for."""
    rows = quick_rows(engine, query)
    return rows[0][0] if rows else None


def quick_rows(engine: Engine, query: str) -> tuple[tuple[Any, ...], ...]:
    """The rows of such a query."""
    with store_errors(engine.url.render_as_string(hide_password=False)):
        connection = engine.raw_connection()
        try:
            cursor = connection.cursor()
            cursor.execute(query)
            return tuple(tuple(row) for row in cursor.fetchall())
        finally:
            connection.close()


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that is kept whole at the end or not at all; database errors become StoreError."""
    url = engine.url.render_as_string(hide_password=False)
    with store_errors(url), engine.connect() as connection:
        connection.execution_options(writes=True)
        with connection.begin():
            yield connection


@contextmanager
def store_errors(url: str) -> Iterator[None]:
    """Say in one sentence what an error of the database or the disk means."""
    try:
        yield
    except (DBAPIError, sqlite3.Error, OSError) as error:
        original = error.orig if isinstance(error, DBAPIError) else error
        raise StoreError(f"{_where(url)} {_meaning(str(original))}") from error


def _where(url: str) -> str:
    path = database_file(url)
    return f"The store {path}" if path else f"The store {make_url(url).render_as_string(hide_password=True)}"


def _meaning(message: str) -> str:
    for pattern, meaning in _MEANINGS:
        if re.search(pattern, message, re.IGNORECASE):
            return f"{meaning} ({_first_line(message)})"
    return f"cannot be used: {_first_line(message)}"


def _first_line(error: object) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0]


@contextmanager
def server_lock(engine: Engine) -> Iterator[None]:
    """Let one process at a time in, where a database server (PostgreSQL) can see to it; it ends with its process."""
    if engine.dialect.name != "postgresql":
        yield
        return
    with reading(engine) as connection:
        connection.execute(text("SELECT pg_advisory_xact_lock(6772616)"))
        yield


def stored_version(connection: Connection) -> str:
    """The schema version that the store was last migrated to, "" for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    return str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or "")


def bulk_insert(connection: Connection, table: Table, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
    """Insert many rows (values in order of `columns`) by the driver's executemany: quick on every driver."""
    if not rows:
        return
    compiled = insert(table).compile(dialect=connection.dialect, column_keys=list(columns))
    if compiled.positional:
        place = [list(columns).index(name) for name in compiled.positiontup or ()]
        same = place == list(range(len(columns)))
        many: Any = rows if same else [tuple(row[i] for i in place) for row in rows]
    else:
        many = [dict(zip(columns, row, strict=True)) for row in rows]
    connection.exec_driver_sql(str(compiled), list(many))


def finish_file(engine: Engine) -> None:
    """Leave a newly built SQLite file in write-ahead-log mode, so that no later start has to switch it."""
    with engine.connect() as connection:
        connection.connection.driver_connection.execute("PRAGMA journal_mode=WAL").close()  # type: ignore[union-attr]
    engine.dispose()
