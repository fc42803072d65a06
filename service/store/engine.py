"""Opens the store. Whatever differs between SQL databases, and what their errors mean, is said here only.

The default is one SQLite file in write-ahead-log mode: readers go on while one process writes. PostgreSQL is for
several instances (extra `postgresql`). It too lets one write at a time, so that changes are numbered in the order in
which they are seen.
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

from sqlalchemy import URL, Connection, Engine, Table, create_engine, event, insert, inspect, text
from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlalchemy.pool import ConnectionPoolEntry

from service.core.errors import StoreAwayError, StoreError

SCHEMA_VERSION = "0008"
BUSY_SECONDS = 30.0
# How long a database server may take to answer a new connection, or to acknowledge what was sent.
CONNECT_SECONDS = 3
# Where a connection keeps which file it opened.
_FILE = "gramwright file"
# Numbers of locks that a PostgreSQL server holds for us: who builds or loads, who writes.
_BUILD_LOCK, _WRITE_LOCK = 6772616, 6772617

# What a database server's driver says where the server is not there, stops or starts.
_AWAY = (
    r"connection (?:to server|failed|timeout|timed out|refused|is closed|has been closed|is lost|not open)"
    r"|server closed the connection|terminating connection|starting up|shutting down|in recovery mode"
    r"|not yet accepting connections|consuming input failed|could not (?:send|receive) data"
)
DAMAGED = "is damaged; put back a backup by `gramwright restore FILE`"
_MEANINGS = (
    (r"not a database",
     f"is no SQLite database, or {DAMAGED}, move it away, or name another by GRAMWRIGHT_DATABASE_URL"),
    (r"malformed", f"{DAMAGED}, or move it away and it is built anew"),
    (r"is full|No space left|EFBIG|File too large", "cannot grow: the disk is full; free some space and start again"),
    (r"disk I/O error", "cannot be read or written: the disk reports an error or is full"),
    (r"too many clients|remaining connection slots|QueuePool limit", "has no connection left; try again in a moment"),
    (_AWAY, "does not answer; try again in a moment"),
    (r"locked|busy|could not obtain lock|lock timeout", "is in use by another process; try again in a moment"),
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
        engine = create_engine(_with_driver(make_url(url)), **_arguments(url, path))
    except (ArgumentError, NoSuchModuleError, ImportError) as error:
        raise StoreError(f"GRAMWRIGHT_DATABASE_URL cannot be used: {_first_line(error)}") from error
    if engine.dialect.name == "sqlite":
        _set_up_sqlite(engine, path, building=building)
    return engine


def _with_driver(url: URL) -> URL:
    """The URL with the driver that we have for PostgreSQL, where it names none."""
    return url.set(drivername="postgresql+psycopg") if url.drivername in ("postgresql", "postgres") else url


def _arguments(url: str, path: Path | None) -> dict[str, Any]:
    if path is not None:
        return _sqlite_arguments(path)
    return _postgresql_arguments() if url.startswith("postgres") else {}


def _postgresql_arguments() -> dict[str, Any]:
    """A pool that notices connections that died, and reads that see one state of the store.

    A server that is away is noticed soon, also in the middle of an answer (`tcp_user_timeout`, keep-alive).
    """
    connection = {
        "connect_timeout": CONNECT_SECONDS, "tcp_user_timeout": CONNECT_SECONDS * 1000, "keepalives_idle": 5,
        "keepalives_interval": 2, "keepalives_count": 3, "application_name": "gramwright",
        "options": f"-c lock_timeout={int(BUSY_SECONDS * 1000)} -c synchronous_commit=on",
    }  # fmt: skip
    return {
        "pool_pre_ping": True, "pool_size": 5, "max_overflow": 5, "pool_timeout": CONNECT_SECONDS,
        "isolation_level": "REPEATABLE READ", "connect_args": connection,
    }  # fmt: skip


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


def _set_up_sqlite(engine: Engine, path: Path | None, *, building: bool) -> None:
    """Foreign keys, journal and transactions of each connection: Python's driver must not begin them itself, since
    it leaves DDL outside and cannot begin a write at once."""
    journal = ("journal_mode=OFF", "synchronous=OFF", "foreign_keys=OFF", "locking_mode=EXCLUSIVE")
    usual = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON")
    pragmas = journal if building else usual if path is None or _writable(path) else ("query_only=ON",)

    @event.listens_for(engine, "connect")
    def set_pragmas(connection: sqlite3.Connection, record: ConnectionPoolEntry) -> None:
        connection.isolation_level = None
        for pragma in pragmas:
            connection.execute(f"PRAGMA {pragma}").close()
        record.info[_FILE] = None if path is None else _file_at(path)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """A connection that sees one state of the store; database errors become StoreError."""
    with _errors_of(engine), engine.connect() as connection:
        yield connection


def quick_value(engine: Engine, query: str) -> Any:
    """The one value of a query without parameters, by the driver itself: for what every request asks for."""
    rows = quick_rows(engine, query)
    return rows[0][0] if rows else None


def quick_rows(engine: Engine, query: str) -> tuple[tuple[Any, ...], ...]:
    """The rows of such a query."""
    with _errors_of(engine):
        connection = engine.raw_connection()
        try:
            cursor = connection.cursor()
            cursor.execute(query)
            return tuple(tuple(row) for row in cursor.fetchall())
        finally:
            connection.close()


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """A transaction that is kept whole at the end or not at all, one at a time; database errors become StoreError."""
    on_server = engine.dialect.name == "postgresql"
    # What is read behind the lock must be what the writer before left there.
    options = {"writes": True, **({"isolation_level": "READ COMMITTED"} if on_server else {})}
    with _errors_of(engine), engine.connect() as connection:
        connection.execution_options(**options)
        with connection.begin():
            if on_server:
                connection.execute(text(f"SELECT pg_advisory_xact_lock({_WRITE_LOCK})"))
            _check_in_place(connection)
            yield connection


def _check_in_place(connection: Connection) -> None:
    """StoreError where the file that is written to lost its place: what is saved in it, nobody would find again."""
    opened = connection.info.get(_FILE)
    path = database_file(connection.engine.url.render_as_string(hide_password=False))
    if opened is not None and path is not None and opened != (now := _file_at(path)):
        moved = "is no longer there; put it back" if now is None else "is another file than the one in use; stop"
        raise StoreError(f"The store {path} {moved} and start again", told=f"The store {moved} and start again")


def _file_at(path: Path) -> tuple[int, int] | None:
    """What tells a file from any other that may take its name, None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


@contextmanager
def store_errors(url: str) -> Iterator[None]:
    """Say in one sentence what an error of the database or the disk means."""
    try:
        yield
    except (DBAPIError, PoolTimeout, sqlite3.Error, OSError) as error:
        original = error.orig if isinstance(error, DBAPIError) else error
        raise _store_error(url, str(original)) from error


def _store_error(url: str, message: str) -> StoreError:
    meaning, said = _meaning(message), _first_line(message)
    if meaning is None:
        return StoreError(f"{_where(url)} cannot be used: {said}")
    kind = StoreAwayError if "does not answer" in meaning and database_file(url) is None else StoreError
    return kind(f"{_where(url)} {meaning} ({said})", told=f"The store {meaning}")


@contextmanager
def _errors_of(engine: Engine) -> Iterator[None]:
    """The same for an engine, whose driver's own errors count too."""
    url, driver = engine.url.render_as_string(hide_password=False), engine.dialect.dbapi
    with store_errors(url):
        try:
            yield
        except getattr(driver, "Error", sqlite3.Error) as error:
            raise _store_error(url, str(error)) from error


def _where(url: str) -> str:
    path = database_file(url)
    return f"The store {path}" if path else f"The store {make_url(url).render_as_string(hide_password=True)}"


def _meaning(message: str) -> str | None:
    return next((meaning for pattern, meaning in _MEANINGS if re.search(pattern, message, re.IGNORECASE)), None)


def _first_line(error: object) -> str:
    return (str(error).strip() or type(error).__name__).splitlines()[0]


@contextmanager
def server_lock(engine: Engine) -> Iterator[None]:
    """Let one process at a time in, where a database server (PostgreSQL) can see to it; it ends with its process."""
    if engine.dialect.name != "postgresql":
        yield
        return
    with reading(engine) as connection:
        connection.execute(text("SET LOCAL lock_timeout = 0"))  # a build takes as long as it takes
        connection.execute(text(f"SELECT pg_advisory_xact_lock({_BUILD_LOCK})"))
        yield


def check_not_emptied(engine: Engine) -> None:
    """StoreError where the file of a store is there but nothing in it: what it held is lost, which nobody may miss.

    SQLite takes such a file for a new database; a build never leaves one. It is looked at before it is opened, which
    would write to it.
    """
    path = database_file(engine.url.render_as_string(hide_password=False))
    if path is None or not path.exists():
        return
    if path.stat().st_size:
        with reading(engine) as connection:
            if inspect(connection).get_table_names():
                return
    way = "put back a backup by `gramwright restore FILE`, or move it away and it is built anew"
    raise StoreError(f"The store {path} is empty, whatever it held; {way}", told="The store is empty")


def stored_version(connection: Connection) -> str:
    """The schema version that the store was last migrated to, "" for an empty database."""
    if not inspect(connection).has_table("alembic_version"):
        return ""
    return str(connection.execute(text("SELECT version_num FROM alembic_version")).scalar() or "")


def bulk_insert(connection: Connection, table: Table, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
    """Insert many rows (values in order of `columns`) by the quickest way of the driver: COPY, or executemany."""
    if not rows:
        return
    if connection.dialect.name == "postgresql":
        return _copy(connection, table, columns, rows)
    compiled = insert(table).compile(dialect=connection.dialect, column_keys=list(columns))
    if compiled.positional:
        place = [list(columns).index(name) for name in compiled.positiontup or ()]
        same = place == list(range(len(columns)))
        many: Any = rows if same else [tuple(row[i] for i in place) for row in rows]
    else:
        many = [dict(zip(columns, row, strict=True)) for row in rows]
    connection.exec_driver_sql(str(compiled), list(many))


def _copy(connection: Connection, table: Table, columns: Sequence[str], rows: Sequence[tuple[Any, ...]]) -> None:
    driver: Any = connection.connection.driver_connection
    into = f"COPY {table.name} ({', '.join(columns)}) FROM STDIN"
    with _errors_of(connection.engine), driver.cursor() as cursor, cursor.copy(into) as copy:
        for row in rows:
            copy.write_row(row)


def finish_file(engine: Engine) -> None:
    """Leave a newly built SQLite file in write-ahead-log mode, so that no later start has to switch it."""
    with engine.connect() as connection:
        connection.connection.driver_connection.execute("PRAGMA journal_mode=WAL").close()  # type: ignore[union-attr]
    engine.dispose()
