"""Which datasets the store has, and how a missing one gets into it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from sqlalchemy import Engine

from service.core.errors import InputError, NotFoundError
from service.settings import Settings
from service.store.engine import (
    SCHEMA_VERSION,
    check_not_emptied,
    database_file,
    open_engine,
    reading,
    stored_version,
)
from service.store.read import releases, stored_releases
from service.tables.pantry import PANTRY

if TYPE_CHECKING:
    from importers.release import Progress, ReleaseData
    from service.core.food import Release


def _read_sr28(progress: Progress) -> ReleaseData:
    from importers import sr28  # brings pandas: only where a store is built

    return sr28.read(sr28.locate(), progress=progress)


IMPORTERS: Mapping[str, str] = MappingProxyType({
    "sr28": "importers.sr28",
    "fdc-foundation": "importers.fdc.foundation",
    "fdc-sr-legacy": "importers.fdc.sr_legacy",
    "fdc-survey": "importers.fdc.survey",
    "fdc-branded": "importers.fdc.branded",
    "cnf": "importers.cnf",
    "fineli": "importers.fineli",
    "ciqual": "importers.ciqual",
    "afcd": "importers.afcd",
})
"""Datasets that can be read, with the module that reads each."""

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


def _missing(engine: Engine, settings: Settings) -> bool:
    """Whether there is no store, or one that lacks a dataset; StoreError for one that was emptied."""
    path = database_file(settings.database_url)
    check_not_emptied(engine)
    return (path is not None and not path.exists()) or bool(_lacking(engine, settings.datasets))


def _lacking(engine: Engine, datasets: tuple[str, ...]) -> tuple[str, ...]:
    """Datasets that the store lacks, all of them where it is of another schema; the pantry is in none."""
    with reading(engine) as connection:
        current = stored_version(connection) == SCHEMA_VERSION
    stored = {release.dataset for release in releases(engine)} if current else set()
    return tuple(dataset for dataset in datasets if dataset not in stored and dataset != PANTRY)


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
    readers = [_reader(engine, dataset) for dataset in _lacking(engine, datasets)]
    for read in readers:
        replace_release(engine, read(progress), progress=progress)


def _reader(engine: Engine, dataset: str) -> Callable[[Progress], ReleaseData]:
    if dataset in EMBEDDED:
        return EMBEDDED[dataset]
    if stored_releases(engine, dataset):
        raise NotFoundError(f"no release of {dataset} answers yet: gramwright dataset activate {dataset}")
    if dataset in IMPORTERS:
        raise NotFoundError(f"no dataset {dataset!r} is in the store: gramwright dataset fetch {dataset}")
    known = ", ".join((*IMPORTERS, PANTRY))
    raise NotFoundError(f"no dataset {dataset!r} is in the store, and none can be read (there is: {known})")


# ---- releases --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Loaded:
    """What loading a publication came to.

    release  the release that holds it, which was in the store already unless it is `new`
    beside   the name of a stored release with the same label and other content, "" where there is none
    pruned   the names of older releases that were deleted
    """

    release: Release
    new: bool
    beside: str
    pruned: tuple[str, ...]


def load(
    engine: Engine, dataset: str, path: Path, *, verify: bool = True, progress: Progress | None = None
) -> Loaded:
    """Read a publication and store it as a release that does not answer yet.

    Every stored release stays as it is: the same content is not stored again, and other content under a label that
    the store knows gets a name of its own. NotFoundError for a dataset that nothing reads, DataError for faulty files,
    StoreError where it cannot be stored.
    """
    from service.store.build import build_lock
    from service.store.write import add_release, prune

    progress = progress or (lambda done, total, what: None)
    parts = _parts(dataset, path, verify=verify, progress=progress)
    url = engine.url.render_as_string(hide_password=False)
    with build_lock(url, on_wait=lambda: progress(0, 0, "Waiting for another process to load")):
        added = add_release(engine, parts, progress=progress)
        pruned = prune(engine, dataset) if added.new else ()
    stored = {release.release: release for release in stored_releases(engine, dataset)}
    return Loaded(stored[added.release], added.new, added.beside, pruned)


def fetch(settings: Settings, dataset: str, *, progress: Progress | None = None) -> Path:
    """The publisher's file of a dataset, fetched into the data folder where it is not there yet.

    Errors are those of importers.fetch.
    """
    from importers.fetch import fetch as fetch_file
    from importers.fetch import sources

    known = sources(settings.sources)
    return fetch_file(dataset, settings.data_dir / "downloads", known=known, progress=progress).path


def _parts(dataset: str, path: Path, *, verify: bool, progress: Progress) -> Iterator[ReleaseData]:
    if dataset not in IMPORTERS:
        raise NotFoundError(f"no dataset {dataset!r} can be read; there is: {', '.join(IMPORTERS)}", pointer="/dataset")
    importer = import_module(IMPORTERS[dataset])
    if not path.exists():
        raise InputError(f"there is no file or folder {path}", pointer="/path")
    if hasattr(importer, "read_chunks"):
        yield from importer.read_chunks(path, verify=verify, progress=progress)
    else:
        yield importer.read(path, verify=verify, progress=progress)


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
