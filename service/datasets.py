"""Which datasets the store has, and how a missing one gets into it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from types import MappingProxyType
from typing import TYPE_CHECKING

from sqlalchemy import Engine

from service.core.errors import NotFoundError
from service.settings import Settings
from service.store.engine import SCHEMA_VERSION, database_file, open_engine, reading, stored_version
from service.store.read import releases

if TYPE_CHECKING:
    from importers.release import Progress, ReleaseData


def _read_sr28(progress: Progress) -> ReleaseData:
    from importers import sr28  # brings pandas: only where a store is built

    return sr28.read(sr28.locate(), progress=progress)


EMBEDDED: Mapping[str, Callable[[Progress], ReleaseData]] = MappingProxyType({"sr28": _read_sr28})
"""Datasets whose files come with the installation: they are built on first use."""


def ensure_ready(settings: Settings, *, progress: Progress | None = None) -> Engine:
    """Open the store with every dataset of `settings` in it, building what is missing and can be built.

    Raises StoreError when the store cannot be opened or written, DataError when the installed files are faulty and
    NotFoundError for a dataset that nothing can build. A store that is ready already is only looked at.
    """
    engine = open_engine(settings.database_url)
    try:
        if not _missing(engine, settings):
            return engine
        _build_missing(engine, settings, progress or (lambda done, total, what: None))
    except BaseException:
        engine.dispose()
        raise
    engine.dispose()
    return open_engine(settings.database_url)


def _missing(engine: Engine, settings: Settings) -> tuple[str, ...]:
    """Datasets that the store lacks; all of them where there is no store or one of another schema."""
    path = database_file(settings.database_url)
    return settings.datasets if path is not None and not path.exists() else _lacking(engine, settings.datasets)


def _lacking(engine: Engine, datasets: tuple[str, ...]) -> tuple[str, ...]:
    with reading(engine) as connection:
        current = stored_version(connection) == SCHEMA_VERSION
    stored = {release.dataset for release in releases(engine)} if current else set()
    return tuple(dataset for dataset in datasets if dataset not in stored)


def _build_missing(engine: Engine, settings: Settings, progress: Progress) -> None:
    from service.store.build import build_lock

    with build_lock(settings.database_url, on_wait=lambda: progress(0, 0, "Waiting for another process to build")):
        if _missing(engine, settings):  # still: the other process may have built it
            _build(engine, settings, progress)


def _build(engine: Engine, settings: Settings, progress: Progress) -> None:
    from service.store.build import build_file

    path = database_file(settings.database_url)
    if path is not None and not path.exists():
        build_file(path, lambda new: _fill(new, settings.datasets, progress))
    else:
        _fill(engine, settings.datasets, progress)


def _fill(engine: Engine, datasets: tuple[str, ...], progress: Progress) -> None:
    from service.store.write import migrate, replace_release

    migrate(engine)
    readers = [_reader(dataset) for dataset in _lacking(engine, datasets)]
    for read in readers:
        replace_release(engine, read(progress), progress=progress)


def _reader(dataset: str) -> Callable[[Progress], ReleaseData]:
    if dataset not in EMBEDDED:
        known = ", ".join(EMBEDDED)
        raise NotFoundError(f"no dataset {dataset!r} in the store, and none that can be built (there is: {known})")
    return EMBEDDED[dataset]


@contextmanager
def terminal_progress() -> Iterator[Progress]:
    """A progress callback that draws bars on standard error: count, rate and time left, one bar a kind of work.

    Nothing is drawn, nor imported, before the first call.
    """
    bars: list[tuple[str, object]] = []

    def show(done: int, total: int, what: str) -> None:
        from tqdm import tqdm

        if not bars or bars[-1][0] != what:
            close()
            bars.append((what, tqdm(total=total, desc=what, unit=" ", unit_scale=True, leave=True)))
        bar = bars[-1][1]
        bar.update(done - bar.n)  # type: ignore[attr-defined]

    def close() -> None:
        if bars:
            bars[-1][1].close()  # type: ignore[attr-defined]

    try:
        yield show
    finally:
        close()
