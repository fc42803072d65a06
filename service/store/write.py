"""Writes releases into the store, each all of it or nothing, and says which one of a dataset answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import repeat
from typing import Any

import numpy as np
from sqlalchemy import Connection, Engine, delete, exists, func, insert, literal, select, update
from sqlmodel import SQLModel

from importers.release import QUALIFIERS, Progress, ReleaseData, ReleaseFood, ReleaseValues, no_progress
from service.core.comparison import is_older, label_of, told_apart
from service.core.errors import InputError, NotFoundError, StoreError
from service.store import migrations, schema
from service.store.changes import answer_from
from service.store.content import content_digest
from service.store.engine import SCHEMA_VERSION, bulk_insert, reading, stored_version, writing

CHUNK = 40_000
# Releases of a dataset that stay in the store.
KEPT_RELEASES = 3
Row = tuple[Any, ...]
_RELEASES = schema.table(schema.DatasetRelease)
_ACTIVATIONS = schema.table(schema.ReleaseActivation)


def migrate(engine: Engine) -> None:
    """Bring the store to the schema of this version of Gramwright; StoreError if it was made by a newer one."""
    with writing(engine) as connection:
        version = stored_version(connection)
        if version > SCHEMA_VERSION:
            raise StoreError(f"The store has schema {version}, newer than {SCHEMA_VERSION}: update Gramwright")
        if version < SCHEMA_VERSION:
            migrations.upgrade(connection)


@dataclass(frozen=True, slots=True)
class Added:
    """What came of adding a release.

    id      of the release that holds the content, `release` its name
    new     False where it was in the store already: then nothing was added
    beside  the name of a release of the same label with other content, "" where there is none
    """

    id: int
    release: str
    new: bool
    beside: str = ""


def replace_release(engine: Engine, data: ReleaseData, *, progress: Progress | None = None) -> None:
    """Store `data` as the active release of its dataset, as `add_release` does."""
    add_release(engine, [data], active=True, progress=progress)


def add_release(
    engine: Engine, parts: Iterable[ReleaseData], *, active: bool = False, progress: Progress | None = None
) -> Added:
    """Store a release that comes in one or more parts.

    Each part has the same components, groups and texts, and foods of its own. Nobody sees the release before it is
    whole, and other writers wait for one part at most. Stored releases stay as they are: where one of the same label
    holds the same, nothing is added, and where it holds something else, the new one's name tells them apart. On any
    failure the store shows what it did before (StoreError); what a process that died left behind goes with the next
    release.
    """
    release_id, counts = None, np.zeros(3, int)
    progress = progress or no_progress
    try:
        for data in parts:
            with writing(engine) as connection:
                release_id = release_id or _begin(connection, data)
                _write_foods(connection, release_id, data, progress)
            counts += (len(data.foods), len(data.values), data.measures)
        if release_id is None:
            raise StoreError("A release without a part cannot be stored")
        with reading(engine) as connection:
            place = _place(connection, release_id, progress)
        with writing(engine) as connection:
            return _finish(connection, release_id, place, counts.tolist(), active=active)
    except BaseException:
        _drop(engine, release_id)
        raise


def _begin(connection: Connection, data: ReleaseData) -> int:
    """The id of a new release that nobody sees yet; what earlier ones left behind unfinished is deleted."""
    connection.execute(delete(_RELEASES).where(_RELEASES.c.loaded == "", _RELEASES.c.dataset == data.dataset))
    release_id = _next(connection, schema.DatasetRelease)
    _insert(connection, schema.DatasetRelease, [_release_row(release_id, data)])
    _write_texts(connection, release_id, data)
    return release_id


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a release belongs: the one that holds the same (`twin`), or the name that it gets."""

    dataset: str
    name: str
    twin: Any = None
    beside: str = ""


def _place(connection: Connection, release_id: int, progress: Progress) -> _Place:
    query = select(_RELEASES.c.dataset, _RELEASES.c.release).where(_RELEASES.c.id == release_id)
    dataset, label = connection.execute(query).one()
    same = [row for row in _stored(connection, dataset) if label_of(row.release) == label]
    if not same:
        return _Place(dataset, label)
    progress(0, 0, "Comparing with the release of this name")
    digest = content_digest(connection, release_id)
    for row in same:
        if content_digest(connection, row.id) == digest:
            return _Place(dataset, row.release, twin=row)
    beside = next((row for row in same if row.active), same[-1])
    return _Place(dataset, told_apart(label, digest), beside=beside.release)


def _finish(connection: Connection, release_id: int, place: _Place, counts: list[int], *, active: bool) -> Added:
    """Show the release, or drop it where the store has it already."""
    if place.twin is not None:
        connection.execute(delete(_RELEASES).where(_RELEASES.c.id == release_id))  # what belongs to it goes by its keys
        if active and not place.twin.active:
            _activate(connection, place.dataset, place.twin.id, place.name)
        return Added(place.twin.id, place.name, new=False)
    foods, values, measures = counts
    loaded = datetime.now(UTC).isoformat(timespec="seconds")
    connection.execute(
        update(_RELEASES).where(_RELEASES.c.id == release_id).values(
            release=place.name, loaded=loaded, foods=foods, component_values=values, measures=measures,
        )
    )  # fmt: skip
    if active:
        _activate(connection, place.dataset, release_id, place.name)
    return Added(release_id, place.name, new=True, beside=place.beside)


def _drop(engine: Engine, release_id: int | None) -> None:
    """Take an unfinished release away; where that fails too, the next one does it."""
    if release_id is not None:
        with suppress(StoreError), writing(engine) as connection:
            connection.execute(delete(_RELEASES).where(_RELEASES.c.id == release_id, _RELEASES.c.loaded == ""))


# ---- which release answers -------------------------------------------------------------------------------------


def activate(engine: Engine, dataset: str, release: str | None = None) -> str:
    """Make a stored release the one that answers, by default the one loaded last; its name.

    NotFoundError if there is none, InputError where the one loaded last is older than the one that answers: that may
    be meant, but is not done unsaid.
    """
    with writing(engine) as connection:
        stored = _stored(connection, dataset)
        found = [row for row in stored if release in (None, row.release)]
        if not stored:
            raise _no_dataset(connection, dataset)
        if not found:
            known = ", ".join(row.release for row in stored)
            raise NotFoundError(f"no release {release!r} of {dataset} in the store; there are: {known}")
        now = next((row.release for row in stored if row.active), None)
        if release is None and now is not None and is_older(found[-1].release, now):
            raise InputError(
                f"{found[-1].release}, the release of {dataset} loaded last, is older than {now}, which answers; name "
                "it to answer from it"
            )
        if not found[-1].active:
            _activate(connection, dataset, found[-1].id, str(found[-1].release))
        return str(found[-1].release)


def _no_dataset(connection: Connection, dataset: str) -> NotFoundError:
    known = connection.execute(select(_RELEASES.c.dataset).distinct().order_by(_RELEASES.c.dataset)).scalars()
    return NotFoundError(f"no dataset {dataset!r} in the store; there are: {', '.join(known) or 'none'}")


def roll_back(engine: Engine, dataset: str) -> str:
    """Go back to the release that was active before the present one; its name. NotFoundError where there is none.

    However often each was active: what is gone back from is forgotten, what was before it is not.
    """
    with writing(engine) as connection:
        stored = _stored(connection, dataset)
        now = next((row for row in stored if row.active), None)
        if not stored:
            raise _no_dataset(connection, dataset)
        if now is None:
            raise NotFoundError(f"no release of {dataset} is active")
        numbers = _activations(connection, [row.id for row in stored])
        before = max((number for number, release in numbers.items() if release != now.id), default=0)
        if not before:
            raise NotFoundError(f"no other release of {dataset} in the store was active before {now.release}")
        _forget(connection, now.id, after=before)
        last = next(row for row in stored if row.id == numbers[before])
        connection.execute(update(_RELEASES).where(_RELEASES.c.id == last.id).values(active=True))
        answer_from(connection, dataset, str(last.release))
        return str(last.release)


def _activations(connection: Connection, releases: Sequence[int]) -> dict[int, int]:
    """The releases of a dataset by the number of each activation."""
    query = select(_ACTIVATIONS.c.number, _ACTIVATIONS.c.release_id).where(_ACTIVATIONS.c.release_id.in_(releases))
    return {int(number): int(release_id) for number, release_id in connection.execute(query)}


def _forget(connection: Connection, release_id: int, *, after: int) -> None:
    """Take back the activations of a release after that of a number."""
    mine = _ACTIVATIONS.c.release_id == release_id
    connection.execute(delete(_ACTIVATIONS).where(mine, _ACTIVATIONS.c.number > after))
    left = int(connection.execute(select(func.max(_ACTIVATIONS.c.number)).where(mine)).scalar() or 0)
    connection.execute(update(_RELEASES).where(_RELEASES.c.id == release_id).values(active=False, activated=left))


def prune(engine: Engine, dataset: str, *, keep: int = KEPT_RELEASES) -> tuple[str, ...]:
    """Delete all but `keep` releases of a dataset; the names of those deleted.

    The active one stays, the one to go back to, then those loaded last; and any by which a revision of a recipe was
    worked out, or with a food that a revision uses and that no release that stays has.
    """
    pruned = []
    with writing(engine) as connection:
        stored = _stored(connection, dataset)
        back = sorted((row.activated for row in stored if row.activated and not row.active), reverse=True)[:1]
        stored = sorted(stored, key=lambda row: (row.active, row.activated in back, row.id))
        kept = [row.id for row in stored[-keep:]]
        for row in reversed(stored[:-keep]):
            if _worked_out_by(connection, dataset, row.release) or _needed(connection, dataset, row.id, kept):
                kept.append(row.id)
            else:
                connection.execute(delete(_RELEASES).where(_RELEASES.c.id == row.id))
                pruned.append(str(row.release))
    return tuple(pruned)


def _worked_out_by(connection: Connection, dataset: str, release: str) -> bool:
    """Whether some revision was worked out by this release: that it lacked a food decided the figures too."""
    by = schema.table(schema.KitchenRelease)
    query = select(by.c.change).where(by.c.dataset == dataset, by.c.release == release).limit(1)
    return connection.execute(query).first() is not None


def _needed(connection: Connection, dataset: str, release_id: int, kept: list[int]) -> bool:
    """Whether some revision of a recipe uses a food of the release that none of `kept` has."""
    foods, uses = schema.table(schema.Food), schema.table(schema.KitchenUse)
    elsewhere = foods.alias()
    used = exists().where(uses.c.food_id == literal(f"{dataset}:") + foods.c.code)
    also = exists().where(elsewhere.c.code == foods.c.code, elsewhere.c.release_id.in_(kept))
    query = select(foods.c.id).where(foods.c.release_id == release_id, used, ~also).limit(1)
    return connection.execute(query).first() is not None


def _stored(connection: Connection, dataset: str) -> Sequence[Any]:
    """Whole releases of a dataset in the order in which they were loaded."""
    columns = (_RELEASES.c[name] for name in ("id", "release", "active", "activated"))
    whole = (_RELEASES.c.dataset == dataset) & (_RELEASES.c.loaded != "")
    return connection.execute(select(*columns).where(whole).order_by(_RELEASES.c.id)).all()


def _activate(connection: Connection, dataset: str, release_id: int, release: str) -> None:
    mine = _RELEASES.c.dataset == dataset
    last = int(connection.execute(select(func.max(_RELEASES.c.activated)).where(mine)).scalar() or 0)
    connection.execute(update(_RELEASES).where(mine).values(active=False))
    this = update(_RELEASES).where(_RELEASES.c.id == release_id)
    connection.execute(this.values(active=True, activated=last + 1))
    connection.execute(insert(_ACTIVATIONS).values(release_id=release_id, number=last + 1))
    answer_from(connection, dataset, release)


# ---- rows ------------------------------------------------------------------------------------------------------


def _next(connection: Connection, model: type[SQLModel]) -> int:
    return int(connection.execute(select(func.max(schema.table(model).c.id))).scalar() or 0) + 1


def _insert(connection: Connection, model: type[SQLModel], rows: list[Row]) -> None:
    """Insert rows whose values are in order of the table's columns."""
    table = schema.table(model)
    bulk_insert(connection, table, [column.name for column in table.columns], rows)


def _release_row(release_id: int, data: ReleaseData) -> Row:
    """The row of a release that is not whole yet."""
    counts = (0, len(data.components), 0, 0)
    bases = (data.carbohydrate_basis, data.energy_basis, data.fibre_method)
    return (release_id, data.dataset, data.name, data.release, data.licence, data.citation, *counts, "", False, *bases,
            0)


def _write_texts(connection: Connection, release_id: int, data: ReleaseData) -> None:
    _insert(connection, schema.ComponentRow, [
        (release_id, position, c.tagname, c.number, c.name, c.unit, c.decimals)
        for position, c in enumerate(data.components)])
    for model, texts in (
        (schema.FoodGroup, data.groups), (schema.SourceText, data.sources),
        (schema.DerivationText, data.derivations), (schema.LangualTerm, data.langual_terms),
    ):
        _insert(connection, model, [(release_id, text.code, text.text) for text in texts])


def _write_foods(connection: Connection, release_id: int, data: ReleaseData, progress: Progress) -> None:
    first = _next(connection, schema.Food)
    foods = list(enumerate(data.foods, first))
    packed = data.matrix().astype("<f8")
    total = len(data.values)
    progress(0, total, "Writing the store")
    _insert(connection, schema.Food, [
        _food_row(food_id, release_id, food, packed[food_id - first].tobytes()) for food_id, food in foods])
    _insert(connection, schema.HouseholdMeasureRow, [
        (food_id, m.sequence, m.amount, m.text, m.grams) for food_id, food in foods for m in food.entry.measures])
    _insert(connection, schema.FoodLangual, [(food_id, code) for food_id, food in foods for code in food.langual])
    _insert(connection, schema.FootnoteRow, [
        (food_id, position, note.number, note.kind, note.component, note.text)
        for food_id, food in foods for position, note in enumerate(food.footnotes)])
    for start in range(0, total, CHUNK):
        _insert(connection, schema.ComponentValueRow, list(_value_rows(data, first, start)))
        progress(min(start + CHUNK, total), total, "Writing the store")


def _food_row(food_id: int, release_id: int, food: ReleaseFood, packed: bytes) -> Row:
    e = food.entry
    refuse = e.refuse_percent if food.refuse_stated else None
    return (food_id, release_id, e.code, e.description, food.short_description, e.group, e.common_name,
            e.scientific_name, food.manufacturer, refuse, e.refuse_text, e.protein_factor, e.fat_factor,
            e.carbohydrate_factor, e.nitrogen_factor, packed, food.original_name, " ".join(food.linked), food.gtin)


def _value_rows(data: ReleaseData, first: int, start: int) -> Iterator[Row]:
    """Rows of component_value for one chunk; columns are turned into Python values at once, which is quick."""
    values, part = data.values, slice(start, start + CHUNK)
    errors: Iterable[float | None] = (None if e != e else e for e in values.standard_error[part].tolist())  # NaN
    sources = map(values.source_codes.__getitem__, values.source[part].tolist())
    derivations = map(values.derivation_codes.__getitem__, values.derivation[part].tolist())
    numbers = (values.food[part] + first, values.component[part], values.amount[part], values.samples[part])
    texts = (sources, derivations, _qualifiers(values, part))
    return zip(*(column.tolist() for column in numbers), errors, *texts, strict=True)


def _qualifiers(values: ReleaseValues, part: slice) -> Iterable[str]:
    if values.qualifier is None:
        return repeat("", len(values.amount[part]))
    return map(QUALIFIERS.__getitem__, values.qualifier[part].tolist())
