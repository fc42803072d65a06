"""Builds a store that is not there yet: nobody ever sees a half-built one, and only one process builds at a time."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout
from sqlalchemy import Engine

from service.core.errors import StoreError
from service.store.engine import database_file, finish_file, open_engine, server_lock, store_errors
from service.store.url import sqlite_url

WAIT_SECONDS = 600.0


@contextmanager
def build_lock(url: str, *, on_wait: Callable[[], None], wait_seconds: float = WAIT_SECONDS) -> Iterator[None]:
    """Hold the right to build the store; `on_wait` is called if another process holds it. It ends with its process."""
    path = database_file(url)
    if path is None:
        engine = open_engine(url)
        try:
            with server_lock(engine):
                yield
        finally:
            engine.dispose()
        return
    with store_errors(url):
        path.parent.mkdir(parents=True, exist_ok=True)
        lock = _acquired(path, on_wait, wait_seconds)
    try:
        yield
    finally:
        lock.release()


def _acquired(path: Path, on_wait: Callable[[], None], wait_seconds: float) -> FileLock:
    lock = FileLock(path.with_name(f"{path.name}.lock"))
    try:
        lock.acquire(timeout=0)
    except Timeout:
        on_wait()
        try:
            lock.acquire(timeout=wait_seconds, poll_interval=0.1)
        except Timeout:
            message = f"The store {path} is still being built by another process after {wait_seconds:.0f} s"
            raise StoreError(message) from None
    return lock


def build_file(path: Path, fill: Callable[[Engine], None]) -> None:
    """Make the SQLite file `path` by `fill`, in a file beside it that takes its place when it is whole.

    The caller holds the build lock, so that files of that kind found here are left by builds that died.
    """
    with store_errors(sqlite_url(path)):
        _remove_builds(path)
        building = path.with_name(f"{path.name}.build-{os.getpid()}")
        engine = open_engine(sqlite_url(building), building=True)
        try:
            with _said_of(path):
                fill(engine)
            finish_file(engine)
            _settle(building, path)
        finally:
            engine.dispose()
            _remove_builds(path)


@contextmanager
def _said_of(path: Path) -> Iterator[None]:
    """A failure is told of the store itself, not of the file it is built in."""
    try:
        yield
    except StoreError as error:
        raise StoreError(str(error).replace(f"{path.name}.build-{os.getpid()}", path.name)) from error


def _remove_builds(path: Path) -> None:
    for file in path.parent.iterdir():
        if file.name.startswith(f"{path.name}.build-"):
            file.unlink(missing_ok=True)


def _settle(building: Path, path: Path) -> None:
    """Put the whole file on the disk, then in its place."""
    with building.open("rb+") as stream:
        os.fsync(stream.fileno())
    os.replace(building, path)
