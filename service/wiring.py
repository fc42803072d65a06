"""Puts the pieces together: settings, store, hand-kept tables and the resolver over them."""

from __future__ import annotations

import gc
import logging
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from threading import Event, Lock, Thread
from typing import TYPE_CHECKING

from service.core.analyse import Resolver, Tables, vocabulary_of
from service.core.borrowing import with_borrowed
from service.core.errors import GramwrightError, NotFoundError
from service.core.food import Component, ComponentValue, FoodDetails, FoodEntry, FoodTable, Release, as_gtin
from service.core.nutrients import POLYOLS, plain_amounts
from service.core.polyols import polyols_in_all, with_polyols, with_polyols_in_all
from service.core.total_carbohydrate import TOTAL, total_carbohydrate, with_total, with_totals
from service.core.twins import is_false_link
from service.core.vocabulary import Name, Vocabulary
from service.datasets import ensure_ready
from service.settings import Settings
from service.store.read import (
    ActiveReleases,
    Kept,
    check_readable,
    described,
    food_details,
    foods_of_gtin,
    load_table,
    releases,
    state,
    stored_releases,
)
from service.tables import load_tables
from service.tables.pantry import PANTRY, load_pantry, with_pantry
from service.tables.vocabulary import check_targets

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from importers.release import Progress

# The dataset whose entries the names of service/tables stand for.
EMBEDDED = "sr28"
# How often running workers look whether another release was activated.
FOLLOWING_SECONDS = 0.2
# After how long they try again what they could not read.
AGAIN_SECONDS = 5.0
LOG = logging.getLogger("gramwright")
# A resolver holds a table in memory; so many choices of datasets are kept, the oldest goes first.
KEPT_RESOLVERS = 3
# Likewise of past releases, so that who compares two of them waits once for each.
KEPT_PAST = 2


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


@contextmanager
def looking(look: Callable[[], None], *, seconds: float, name: str) -> Iterator[None]:
    """Have a thread of this name look every so often what others changed in the store."""
    ended = Event()

    def follow() -> None:
        while not ended.wait(seconds):
            look()

    thread = Thread(target=follow, name=name, daemon=True)
    thread.start()
    try:
        yield
    finally:
        ended.set()
        thread.join()


@dataclass(frozen=True, slots=True, eq=False)
class _Answering:
    """The releases that answer, and the resolvers over them by their datasets: seen and replaced as one."""

    state: ActiveReleases
    resolvers: dict[tuple[str, ...], Resolver]


class Catalogue:
    """The food data in use: what the store holds, and a resolver for each choice of datasets."""

    def __init__(self, engine: Engine, datasets: Sequence[str]) -> None:
        self.engine, self.datasets = engine, tuple(datasets)
        self._answering = _Answering(state(engine), {})
        self._building, self._taking_up = Lock(), Lock()
        self._past: dict[tuple[tuple[str, str], ...], Resolver] = {}  # by the releases that they are over
        self._foods: Kept = {}  # of the releases that answer: a switch of one leaves the others as they are
        self._refused = ActiveReleases()  # what could not be taken up, and when that is tried again
        self._again = 0.0
        self._kept_vocabulary: tuple[tuple[Name, ...], Vocabulary | None] = ((), None)
        with _lasting_objects():
            self._tables, self._pantry = load_tables(), load_pantry()
            self.resolver()

    def resolver(self, datasets: Sequence[str] | None = None) -> Resolver:
        """The resolver over these datasets, the preferred one first; by default those of the settings.

        A dataset that is neither in the store nor the pantry raises NotFoundError.
        """
        return self.answering(datasets)[0]

    def answering(self, datasets: Sequence[str] | None = None) -> tuple[Resolver, int]:
        """The resolver, and the change since which the releases answer that it is over."""
        chosen = self._chosen(datasets)
        now = self._answering  # `refresh` may put others in its place meanwhile
        kept, since = now.resolvers, now.state.since
        if (found := kept.get(chosen)) is not None:
            return found, since
        with self._building:  # several threads may want one
            if (found := kept.get(chosen)) is not None:
                return found, since
            self._check(chosen)
            resolver = self._resolver_over(chosen, chosen=now.state.releases)
            if len(kept) >= KEPT_RESOLVERS:
                del kept[next(one for one in kept if one != self.datasets)]
            kept[chosen] = resolver
            return resolver, since

    def is_ready(self, datasets: Sequence[str] | None = None) -> bool:
        """Whether `resolver` has the one for these at hand; to make one takes as long as a start."""
        return self._chosen(datasets) in self._answering.resolvers

    def _chosen(self, datasets: Sequence[str] | None) -> tuple[str, ...]:
        return tuple(dict.fromkeys(datasets)) if datasets else self.datasets

    def past_resolver(self, datasets: Sequence[str] | None, releases: Mapping[str, str]) -> Resolver:
        """The resolver over these datasets with the releases by which something was worked out before.

        Datasets that are not named are as they are now. NotFoundError where the store no longer holds one of them: by
        others something else would come out. It is that of now where nothing differs; else a few are kept.
        """
        now = self.resolver(datasets)
        answering = {one.dataset: one.release for one in now.table.releases}
        other = {
            dataset: release
            for dataset, release in sorted(releases.items())
            if answering.get(dataset, release) != release
        }
        if not other:
            return now
        key, kept = tuple((answering | other).items()), self._past  # `refresh` may put another in its place meanwhile
        if (found := kept.get(key)) is not None:
            return found
        with self._building:  # several threads may want one
            if (found := kept.get(key)) is None:
                self._check_stored(other)
                found = self._resolver_over(tuple(answering), chosen=answering | other, before=now)
                if len(kept) >= KEPT_PAST:
                    del kept[next(iter(kept))]
                kept[key] = found
        return found

    def _check_stored(self, releases: Mapping[str, str]) -> None:
        stored = {(one.dataset, one.release) for one in stored_releases(self.engine)}
        for dataset, release in releases.items():
            if (dataset, release) not in stored:
                message = f"release {release} of {dataset}, which answered then, is no longer in the store"
                raise NotFoundError(message, pointer="/at")

    def candidate(self, dataset: str, release: str) -> Resolver:
        """The resolver that would answer if this release of a dataset were the active one."""
        chosen = self._answering.state.releases | {dataset: release}
        return self._resolver_over(self.datasets, chosen=chosen, before=self.resolver())

    def _resolver_over(
        self, datasets: Sequence[str], *, chosen: Mapping[str, str], before: Resolver | None = None
    ) -> Resolver:
        pantry = {PANTRY: self._pantry.table}
        table = load_table(self.engine, datasets, beside=pantry, chosen=chosen, kept=self._foods)
        table = with_totals(with_borrowed(with_polyols(table)))
        tables = self._tables
        if PANTRY in datasets:
            tables = with_pantry(tables, self._pantry, {food.id for food in table.foods})
        resolver = Resolver(table, tables, self._vocabulary_of(tables), before)
        if EMBEDDED in datasets:
            check_targets(self._tables.names, resolver.index.places)
        return resolver

    def _vocabulary_of(self, tables: Tables) -> Vocabulary:
        """That of the tables, which is half of the work of a resolver: kept while the names are the same."""
        names, vocabulary = self._kept_vocabulary
        if vocabulary is None or names != tables.names:
            vocabulary = vocabulary_of(tables)
            self._kept_vocabulary = tables.names, vocabulary
        return vocabulary

    def refresh(self) -> bool:
        """Answer from the releases that are active now; whether there are others than before.

        Until the new resolvers are whole the old ones answer, and they do so still if this raises; the next call tries
        again.
        """
        with self._taking_up:
            now = state(self.engine)
            other = now != self._answering.state
            self._take_up(now)
            return other

    def _take_up(self, now: ActiveReleases) -> None:
        before = self._answering
        if now == before.state:  # perhaps left and taken again meanwhile
            self._answering = replace(before, state=now)
            return
        with _lasting_objects():
            self._answering = _Answering(now, self._renewed(before, now))
        self._past = {}
        answering = {*now.releases.items()}
        self._foods = {key: foods for key, foods in tuple(self._foods.items()) if (key[0], key[2]) in answering}

    def _renewed(self, before: _Answering, now: ActiveReleases) -> dict[tuple[str, ...], Resolver]:
        """A resolver for each choice of datasets, the one there is where none of their releases changed.

        A choice of some request that can be read no more goes; who asks for it again is told why.
        """
        changed = {row[-2] for row in set(before.state.rows) ^ set(now.rows)}
        renewed: dict[tuple[str, ...], Resolver] = {}
        for chosen, resolver in tuple(before.resolvers.items()):
            try:
                again = changed.intersection(chosen)
                renewed[chosen] = (
                    self._resolver_over(chosen, chosen=now.releases, before=resolver) if again else resolver
                )
            except GramwrightError as error:
                if chosen == self.datasets:
                    raise
                LOG.error("%s answer no more: %s", ", ".join(chosen), error)
        return renewed

    @contextmanager
    def following(self, *, seconds: float = FOLLOWING_SECONDS) -> Iterator[None]:
        """Look every so often whether another release was activated, off the path of requests."""
        with looking(self.catch_up, seconds=seconds, name="releases"):
            yield

    def catch_up(self) -> None:
        """Take up other releases; those that cannot be read are tried again after a while, any others at once."""
        with self._taking_up:
            try:
                now, clock = state(self.engine), time.monotonic()
                other = now != self._answering.state
                if other and now == self._refused and clock < self._again:
                    return
                if other:
                    self._refused, self._again = now, clock + AGAIN_SECONDS
                self._take_up(now)
                if other:
                    LOG.info("another release answers now")
            except Exception as error:  # whatever it is, the thread goes on looking
                told = not isinstance(error, GramwrightError)
                LOG.error("the releases before go on answering: %s", error, exc_info=told)

    def _check(self, datasets: Sequence[str]) -> None:
        stored = [release.dataset for release in self.releases()]
        for place, dataset in enumerate(datasets):
            if dataset not in stored:
                known = ", ".join(stored)
                raise NotFoundError(f"no dataset {dataset!r}; there is: {known}", pointer=f"/datasets/{place}")

    def details(self, food_id: str, *, table: FoodTable | None = None) -> FoodDetails:
        """One food with the origin of its values, from the releases that answer; NotFoundError for an unknown id.

        `table` is that of another resolver that the answer is to agree with. Values that the table borrows or that are
        worked out come last.
        """
        if food_id.startswith(f"{PANTRY}:"):
            return self._pantry.details(food_id)
        table = self.resolver().table if table is None else table
        chosen = {one.dataset: one.release for one in table.releases}
        found = _with_polyols(food_details(self.engine, food_id, chosen=chosen))
        lent = tuple(self._lent(tagname, lender, chosen) for tagname, lender in table.borrowed.get(food_id, {}).items())
        linked = tuple(one for one in found.linked if self._may_be_linked(found, one, chosen))
        found = replace(found, values=(*found.values, *lent), linked=linked)
        return _with_total(found, self._release_of(food_id, table))

    def _may_be_linked(self, found: FoodDetails, food_id: str, chosen: Mapping[str, str]) -> bool:
        """Whether an entry that the publisher calls the same food may be so; of one that is not in the store it may."""
        try:
            return not is_false_link(found, food_details(self.engine, food_id, chosen=chosen))
        except NotFoundError:
            return True

    def around(self, food_id: str, *, table: FoodTable | None = None) -> tuple[Sequence[Component], Sequence[Release]]:
        """The components and releases by which a food is shown: those in use, else those of the food's own dataset.

        `table` is that of `details`: another release may be activated between the two.
        """
        table, dataset = self.resolver().table if table is None else table, food_id.partition(":")[0]
        if any(one.dataset == dataset for one in table.releases):
            return table.components, table.releases
        if dataset == PANTRY:
            return table.components, (self._pantry.release,)
        components, release = described(self.engine, dataset)
        return with_total(with_polyols_in_all(components)), (release,)

    def _release_of(self, food_id: str, table: FoodTable) -> Release:
        """The release that a food is shown from."""
        dataset = food_id.partition(":")[0]
        used = next((one for one in table.releases if one.dataset == dataset), None)
        return described(self.engine, dataset)[1] if used is None else used

    def with_gtin(self, text: str) -> tuple[FoodEntry, ...]:
        """The foods with the number of a bar code, of every dataset in the store; none where the text is no number."""
        gtin = as_gtin(text)
        return tuple(self.details(food_id).food for food_id in foods_of_gtin(self.engine, gtin)) if gtin else ()

    def _lent(self, tagname: str, lender: str, chosen: Mapping[str, str]) -> ComponentValue:
        """A value as another entry gives it, marked as borrowed from there."""
        values = food_details(self.engine, lender, chosen=chosen).values
        value = next(value for value in values if value.tagname == tagname)
        origin = f"borrowed from {lender}" + (f": {value.source_text}" if value.source_text else "")
        return replace(value, source="borrowed", source_text=origin)

    def releases(self) -> tuple[Release, ...]:
        """The releases in the store, then the pantry's; StoreError where the store cannot be read."""
        return (*releases(self.engine), self._pantry.release)

    def check_readable(self) -> None:
        """StoreError where the store cannot be read."""
        check_readable(self.engine)

    def stored_releases(self) -> tuple[Release, ...]:
        """Every release in the store, those too that do not answer, then the pantry's."""
        return (*stored_releases(self.engine), self._pantry.release)


def _with_polyols(found: FoodDetails) -> FoodDetails:
    """The food with the polyols in all that its publisher gives in another form."""
    polyols = polyols_in_all(plain_amounts(found.values))
    if polyols is None or any(value.tagname == POLYOLS for value in found.values):
        return found
    derived = ComponentValue(POLYOLS, polyols.amount, 0, None, "derived", polyols.text, "", "")
    return replace(found, values=(*found.values, derived))


def _with_total(found: FoodDetails, release: Release) -> FoodDetails:
    """The food with the total carbohydrate that its publisher leaves out, or the reason why it is not known."""
    values = {value.tagname: value for value in found.values}
    if release.carbohydrate_basis == "total" or TOTAL.tagname in values:
        return found
    limits = {tagname: value.amount for tagname, value in values.items() if value.qualifier}
    total = total_carbohydrate(plain_amounts(found.values), limits)
    if total.amount is None:
        return replace(found, reasons={TOTAL.tagname: f"the publisher gives no value; {total.text}"})
    derived = ComponentValue(TOTAL.tagname, total.amount, 0, None, "derived", total.text, "", "")
    return replace(found, values=(*found.values, derived))


def open_catalogue(settings: Settings, *, progress: Progress | None = None) -> Catalogue:
    """The catalogue of these settings; the store is built on first use, and `progress` told how far it is."""
    engine = ensure_ready(settings, progress=progress)
    return Catalogue(engine, settings.datasets)
