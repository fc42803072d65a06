"""Backs a store up while it is used, and puts a backup in its place. Neither is ever seen half done.

A backup of an SQLite store is an SQLite file, one of a PostgreSQL store an archive of `pg_dump`. Each is read again and
checked before it takes its name, and before it takes the store's place.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import text
from sqlalchemy.engine import make_url

from service.core.errors import InputError, StoreError
from service.store.engine import (
    DAMAGED,
    SCHEMA_VERSION,
    database_file,
    open_engine,
    reading,
    store_errors,
    stored_version,
    writing,
)
from service.store.table_names import TABLES

_TABLES = (*TABLES, "alembic_version")


def back_up(url: str, target: Path, *, overwrite: bool = False) -> None:
    """Write a backup of the store to `target`; InputError where a file stands there, StoreError where it cannot be.

    A folder or a device is never replaced, and of a link what it names.
    """
    if target.is_symlink():
        target = Path(os.path.realpath(target))
    if target.exists() and not target.is_file():
        what = "a folder: name the file in it that the backup is to be" if target.is_dir() else "no file to be replaced"
        raise InputError(f"{target} is {what}")
    if target.exists() and not overwrite:
        raise InputError(f"{target} is there already; --overwrite puts the backup in its place")
    path = database_file(url)
    if path is None:
        with _new_file(target) as new:
            _dump(url, new)
        return
    if not path.exists():
        raise StoreError(f"The store {path} is not there yet: there is nothing to back up")
    if (target.exists() and target.samefile(path)) or os.path.realpath(target) in _files_of(path):
        raise InputError(f"{target} is the store itself, or one of the files that it needs")
    with _new_file(target) as new:
        with store_errors(url), closing(_opened(path, "ro")) as store, closing(sqlite3.connect(new)) as copy:
            store.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE").close()
        if fault := _fault(new):
            raise StoreError(f"The store {path} {DAMAGED} ({fault}); nothing was backed up")


def restore(url: str, source: Path) -> Path | None:
    """Put a backup in the store's place; where the store as it was is kept, None where there was none.

    InputError where `source` is no whole backup, StoreError where a server uses the store or it cannot be written.
    """
    if not source.is_file():
        raise InputError(f"there is no file {source}")
    path = database_file(url)
    return _restore_server(url, source) if path is None else _restore_file(url, path, source)


@contextmanager
def _new_file(target: Path) -> Iterator[Path]:
    """A file beside `target` that takes its name when it is whole and on the disk, and goes on any failure."""
    new = target.with_name(f"{target.name}.part-{os.getpid()}")
    try:
        new.unlink(missing_ok=True)
        new.touch()  # or a folder that is not there would be told as a fault of the store
    except OSError as error:
        raise InputError(f"cannot write {target}: {error.strerror}") from error
    try:
        with store_errors(f"sqlite:///{target}"):
            yield new
            _settle(new, target)
    finally:
        for file in (new, new.with_name(f"{new.name}-journal")):
            file.unlink(missing_ok=True)


def _files_of(path: Path) -> set[str]:
    """A store's file and those beside it: with a backup in the place of one of them the store is damaged."""
    return {f"{os.path.realpath(path)}{ending}" for ending in ("", "-wal", "-shm", "-journal", ".lock")}


def _settle(new: Path, target: Path) -> None:
    with new.open("rb+") as stream:
        os.fsync(stream.fileno())
    os.replace(new, target)
    if os.name == "posix":
        folder = os.open(target.parent, os.O_RDONLY)
        os.fsync(folder)
        os.close(folder)


def _stamped(path: Path) -> Path:
    return path.with_name(f"{path.name}.before-{datetime.now(UTC):%Y%m%dT%H%M%S%f}")


# ---- SQLite ----------------------------------------------------------------------------------------------------


def _opened(path: Path, mode: str) -> sqlite3.Connection:
    return sqlite3.connect(f"{path.absolute().as_uri()}?mode={mode}", uri=True, timeout=5)


def _fault(path: Path) -> str:
    """What is damaged in an SQLite file, "" where nothing is."""
    try:
        with closing(_opened(path, "ro")) as file:
            if not file.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchall():
                return "it is empty"
            faults = [row[0] for row in file.execute("PRAGMA integrity_check(3)")]
            loose = file.execute("PRAGMA foreign_key_check").fetchall()
    except sqlite3.Error as error:
        return str(error)
    return "; ".join(faults) if faults != ["ok"] else "rows refer to rows that are not there" if loose else ""


def _check_file(path: Path, named: Path) -> None:
    """InputError, which names it so, where an SQLite file is damaged, is no store, or is one of a newer version."""
    try:
        with closing(_opened(path, "ro")) as file:
            [[version]] = file.execute("SELECT version_num FROM alembic_version").fetchall()
    except (sqlite3.Error, ValueError) as error:
        raise InputError(f"{named} is no backup of a store: {error}") from error
    if fault := _fault(path):
        raise InputError(f"{named} is damaged: {fault}")
    if version > SCHEMA_VERSION:
        raise InputError(f"{named} has schema {version}, newer than {SCHEMA_VERSION}: update Gramwright")


def _restore_file(url: str, path: Path, source: Path) -> Path | None:
    from service.store.build import build_lock

    if path.exists() and source.samefile(path):
        raise InputError(f"{source} is the store itself")
    with build_lock(url, on_wait=lambda: None, wait_seconds=5), _new_file(path) as new:
        shutil.copyfile(source, new)
        _check_file(new, source)
        return _set_aside(path) if path.exists() else None


def _set_aside(path: Path) -> Path:
    """Give the store a second name, under which it stays; StoreError where another process has it open."""
    with suppress(sqlite3.DatabaseError), closing(_opened(path, "rw")) as store:
        try:  # possible only for who is alone
            store.execute("PRAGMA journal_mode=DELETE").close()
        except sqlite3.OperationalError as error:
            if "locked" in str(error):
                message = f"The store {path} is in use: stop the servers and commands that use it, then restore"
                raise StoreError(message) from error
    kept = _stamped(path)
    try:
        os.link(path, kept)
    except OSError:  # a file system without second names
        shutil.copyfile(path, kept)
    for ending in ("-wal", "-shm"):  # of a damaged store: what it wrote last must not be read into another
        with suppress(FileNotFoundError):
            os.replace(f"{path}{ending}", f"{kept}{ending}")
    return kept


# ---- PostgreSQL ------------------------------------------------------------------------------------------------


def _dump(url: str, target: Path) -> None:
    tables = [f"--table={name}" for name in _TABLES]
    _run(url, "pg_dump", "--format=custom", "--no-owner", "--no-privileges", *tables, f"--file={target}")
    _contents(url, target)


def _contents(url: str, archive: Path) -> str:
    """What is in an archive; InputError where it is none of ours."""
    try:
        listed = _run(url, "pg_restore", "--list", str(archive), connects=False)
    except StoreError as error:
        raise InputError(f"{archive} is no backup of a store: {error}") from error
    if _data_of("alembic_version") not in listed:
        raise InputError(f"{archive} is no backup of a store: it lacks the table alembic_version")
    return listed


def _restore_server(url: str, source: Path) -> Path | None:
    contents = _contents(url, source)
    newer = [name for name in _TABLES if _data_of(name) not in contents]
    engine = open_engine(url)
    try:
        with reading(engine) as connection:
            others = connection.execute(text(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND pid <> pg_backend_pid() "
                "AND application_name = 'gramwright'")).scalar_one()  # fmt: skip
            is_there = bool(stored_version(connection))
    finally:
        engine.dispose()
    if others:
        raise StoreError("The store is in use: stop the servers and commands that use it, then restore")
    kept = _stamped(source) if is_there else None
    if kept is not None:
        with _new_file(kept) as new:
            _dump(url, new)
    try:
        _make_way(url, newer)
        _put_in(url, source)
    except BaseException:  # Ctrl-C too: the tables that made way are gone before the backup is in their place
        if newer and kept is not None:
            _put_back(url, kept)
        raise
    return kept


def _put_back(url: str, kept: Path) -> None:
    """Put the store in its place again; StoreError, which names the way back, where that is interrupted too."""
    try:
        _put_in(url, kept)
    except BaseException as error:
        way = f"`gramwright restore {kept}`"
        raise StoreError(f"The store is neither as it was nor as the backup: put it back by {way}") from error


def _data_of(table: str) -> str:
    """How the contents of an archive name the rows of a table."""
    return f" TABLE DATA public {table} "


def _make_way(url: str, tables: Sequence[str]) -> None:
    """Drop tables that came after a backup: they refer to others, which could not be replaced else."""
    engine = open_engine(url)
    try:
        with writing(engine) as connection:
            for table in tables:
                connection.execute(text(f'DROP TABLE IF EXISTS "{table}"'))
    finally:
        engine.dispose()


def _put_in(url: str, archive: Path) -> None:
    _run(url, "pg_restore", "--clean", "--if-exists", "--no-owner", "--no-privileges", "--single-transaction",
         "--dbname=", str(archive))  # fmt: skip


def _run(url: str, program: str, *arguments: str, connects: bool = True) -> str:
    """What a program of PostgreSQL prints; it is told of the database by its environment, where nobody reads it."""
    if shutil.which(program) is None:
        raise StoreError(f"{program} is not at hand: install the client programs of PostgreSQL, then try again")
    parsed = make_url(url)
    named = {"PGHOST": parsed.host, "PGPORT": parsed.port, "PGUSER": parsed.username, "PGPASSWORD": parsed.password,
             "PGDATABASE": parsed.database}  # fmt: skip
    environment = {**os.environ, **({name: str(value) for name, value in named.items() if value} if connects else {})}
    arguments = tuple(f"--dbname={parsed.database}" if one == "--dbname=" else one for one in arguments)
    ran = subprocess.run([program, *arguments], env=environment, capture_output=True, text=True, check=False)
    if ran.returncode:
        said = ran.stderr.strip().splitlines() or ["it failed"]
        raise StoreError(f"{program}: {said[0].removeprefix(f'{program}: ')}")
    return ran.stdout
