"""Puts the pieces together: settings, store, hand-kept tables and the resolver over them."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING

from service.core.analyse import Resolver
from service.core.errors import NotFoundError
from service.core.food import FoodDetails, FoodTable, Release
from service.datasets import ensure_ready
from service.settings import Settings
from service.store.read import food_details, load_table, releases
from service.tables import load_tables
from service.tables.vocabulary import check_targets

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from importers.release import Progress

# The dataset whose entries the names of service/tables stand for.
EMBEDDED = "sr28"
# A resolver holds a table in memory; so many choices of datasets are kept, the oldest goes first.
KEPT_RESOLVERS = 3


@contextmanager
def _uncollected() -> Iterator[None]:
    """No collection of garbage while much is built that stays; what was built is not looked at again after."""
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        gc.enable()


class Catalogue:
    """The food data in use: what the store holds, and a resolver for each choice of datasets."""

    def __init__(self, engine: Engine, datasets: Sequence[str]) -> None:
        self._engine, self.datasets = engine, tuple(datasets)
        self._resolvers: dict[tuple[str, ...], Resolver] = {}
        with _uncollected():
            self._tables = load_tables()
            self.resolver()

    def resolver(self, datasets: Sequence[str] | None = None) -> Resolver:
        """The resolver over these datasets, the preferred one first; by default those of the settings.

        A dataset that is not in the store raises NotFoundError.
        """
        chosen = tuple(dict.fromkeys(datasets)) if datasets else self.datasets
        if chosen not in self._resolvers:
            self._check(chosen)
            resolver = Resolver(self._load(chosen), self._tables)
            if EMBEDDED in chosen:
                check_targets(self._tables.names, resolver.index.places)
            if len(self._resolvers) >= KEPT_RESOLVERS:
                del self._resolvers[next(kept for kept in self._resolvers if kept != self.datasets)]
            self._resolvers[chosen] = resolver
        return self._resolvers[chosen]

    def _load(self, datasets: Sequence[str]) -> FoodTable:
        return load_table(self._engine, datasets)

    def _check(self, datasets: Sequence[str]) -> None:
        stored = [release.dataset for release in self.releases()]
        for place, dataset in enumerate(datasets):
            if dataset not in stored:
                known = ", ".join(stored)
                raise NotFoundError(f"no dataset {dataset!r}; there is: {known}", pointer=f"/datasets/{place}")

    def details(self, food_id: str) -> FoodDetails:
        """One food with the origin of its values; NotFoundError for an unknown id."""
        return food_details(self._engine, food_id)

    def releases(self) -> tuple[Release, ...]:
        """The releases in the store; StoreError where it cannot be read."""
        return releases(self._engine)


def open_catalogue(settings: Settings, *, progress: Progress | None = None) -> Catalogue:
    """The catalogue of these settings; the store is built on first use, and `progress` told how far it is."""
    engine = ensure_ready(settings, progress=progress)
    with _lasting_objects():
        return Catalogue(engine, settings.datasets)


@contextmanager
def _lasting_objects() -> Iterator[None]:
    """Make many objects that stay: the garbage collector need not look at them, now (a third of the time) or later."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
        gc.freeze()
    finally:
        if was_on:
            gc.enable()
