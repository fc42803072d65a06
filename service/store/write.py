"""Writes a release into the store: all of it or nothing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Engine, delete, func, select, update
from sqlmodel import SQLModel

from importers.release import Progress, ReleaseData, ReleaseFood, no_progress
from service.core.errors import StoreError
from service.store import migrations, schema
from service.store.engine import SCHEMA_VERSION, bulk_insert, stored_version, writing

CHUNK = 40_000
Row = tuple[Any, ...]


def migrate(engine: Engine) -> None:
    """Bring the store to the schema of this version of Gramwright; StoreError if it was made by a newer one."""
    with writing(engine) as connection:
        version = stored_version(connection)
        if version > SCHEMA_VERSION:
            raise StoreError(f"The store has schema {version}, newer than {SCHEMA_VERSION}: update Gramwright")
        if version < SCHEMA_VERSION:
            migrations.upgrade(connection)


def replace_release(engine: Engine, data: ReleaseData, *, progress: Progress | None = None) -> None:
    """Store `data` as the active release of its dataset, in place of a stored one of the same name.

    Other releases of the dataset stay, no longer active. On any failure the store is as it was (StoreError).
    """
    with writing(engine) as connection:
        releases = schema.table(schema.DatasetRelease)
        same = (releases.c.dataset == data.dataset) & (releases.c.release == data.release)
        connection.execute(delete(releases).where(same))  # what belongs to it goes by its foreign keys
        connection.execute(update(releases).where(releases.c.dataset == data.dataset).values(active=False))
        release_id = _next(connection, schema.DatasetRelease)
        _insert(connection, schema.DatasetRelease, [_release_row(release_id, data)])
        _write_texts(connection, release_id, data)
        _write_foods(connection, release_id, data, progress or no_progress)


def _next(connection: Connection, model: type[SQLModel]) -> int:
    return int(connection.execute(select(func.max(schema.table(model).c.id))).scalar() or 0) + 1


def _insert(connection: Connection, model: type[SQLModel], rows: list[Row]) -> None:
    """Insert rows whose values are in order of the table's columns."""
    table = schema.table(model)
    bulk_insert(connection, table, [column.name for column in table.columns], rows)


def _release_row(release_id: int, data: ReleaseData) -> Row:
    loaded = datetime.now(UTC).isoformat(timespec="seconds")
    counts = (len(data.foods), len(data.components), len(data.values), data.measures)
    return (release_id, data.dataset, data.name, data.release, data.licence, data.citation, *counts, loaded, True)


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
            e.carbohydrate_factor, e.nitrogen_factor, packed)


def _value_rows(data: ReleaseData, first: int, start: int) -> Iterator[Row]:
    """Rows of component_value for one chunk; columns are turned into Python values at once, which is quick."""
    values, part = data.values, slice(start, start + CHUNK)
    errors: Iterable[float | None] = (None if e != e else e for e in values.standard_error[part].tolist())  # NaN
    sources = map(values.source_codes.__getitem__, values.source[part].tolist())
    derivations = map(values.derivation_codes.__getitem__, values.derivation[part].tolist())
    numbers = (values.food[part] + first, values.component[part], values.amount[part], values.samples[part])
    return zip(*(column.tolist() for column in numbers), errors, sources, derivations, strict=True)
