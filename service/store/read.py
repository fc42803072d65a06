"""Reads the store in plain SQL that every database understands; light to import, since every start needs it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection, Engine, text

from service.core.errors import NotFoundError, StoreError
from service.core.food import (
    Component,
    ComponentValue,
    FoodDetails,
    FoodEntry,
    FoodTable,
    HouseholdMeasure,
    Release,
)
from service.store.engine import reading

Row = Sequence[Any]

_RELEASES = """SELECT dataset, name, release, licence, citation, foods, components, component_values, measures,
    loaded, id FROM dataset_release WHERE active ORDER BY dataset"""
_COMPONENTS = """SELECT tagname, number, name, unit, decimals FROM component
    WHERE release_id = :release ORDER BY position"""
_FOODS = """SELECT id, code, description, group_code, common_name, scientific_name, refuse_percent, refuse_text,
    protein_factor, fat_factor, carbohydrate_factor, nitrogen_factor, amounts FROM food WHERE release_id = :release"""
_MEASURES = """SELECT m.food_id, m.amount, m.text, m.grams, m.sequence FROM household_measure m
    JOIN food f ON f.id = m.food_id WHERE f.release_id = :release ORDER BY m.food_id, m.sequence"""
_VALUES = """SELECT c.tagname, v.amount, v.samples, v.standard_error, v.source, s.text, v.derivation, d.text
    FROM component_value v JOIN component c ON c.release_id = :release AND c.position = v.component
    LEFT JOIN source_text s ON s.release_id = :release AND s.code = v.source
    LEFT JOIN derivation_text d ON d.release_id = :release AND d.code = v.derivation
    WHERE v.food_id = :food ORDER BY v.component"""
_LANGUAL = """SELECT l.code, t.text FROM food_langual l JOIN langual_term t ON t.release_id = :release
    AND t.code = l.code WHERE l.food_id = :food ORDER BY l.code"""
_FOOTNOTES = "SELECT text FROM footnote WHERE food_id = :food ORDER BY position"


def releases(engine: Engine) -> tuple[Release, ...]:
    """The active release of each dataset in the store, in order of dataset."""
    with reading(engine) as connection:
        return tuple(Release(*row[:-1]) for row in _query(connection, _RELEASES))


def load_table(engine: Engine, datasets: Sequence[str]) -> FoodTable:
    """All foods of the datasets' active releases in order of id, with amounts (foods, components) per 100 g.

    Components come in the order of the first dataset, then those that only later ones have. A dataset that is not
    in the store raises NotFoundError.
    """
    with reading(engine) as connection:
        parts = [_part(connection, row) for row in _active(connection, datasets)]
    components = _merged([part.components for part in parts])
    foods = [food for part in parts for food in part.foods]
    amounts = np.concatenate([_spread(part, components) for part in parts])
    order = sorted(range(len(foods)), key=lambda i: foods[i].id)
    if order != list(range(len(foods))):
        foods, amounts = [foods[i] for i in order], amounts[order]
    return FoodTable(tuple(foods), components, amounts, tuple(part.releases[0] for part in parts))


def food_details(engine: Engine, food_id: str) -> FoodDetails:
    """One food of an active release with where each value comes from; an unknown id raises NotFoundError."""
    dataset, _, code = food_id.partition(":")
    with reading(engine) as connection:
        found = [row for row in _query(connection, _RELEASES) if row[0] == dataset]
        rows = _query(connection, f"{_FOODS} AND code = :code", release=found[0][-1], code=code) if found else []
        if not rows:
            raise NotFoundError(f"no food entry has the id {food_id!r}")
        keys = {"release": found[0][-1], "food": rows[0][0]}
        return FoodDetails(
            food=_foods(connection, dataset, keys["release"], rows)[0],
            values=tuple(_value(row) for row in _query(connection, _VALUES, **keys)),
            langual=tuple((row[0], row[1]) for row in _query(connection, _LANGUAL, **keys)),
            footnotes=tuple(row[0] for row in _query(connection, _FOOTNOTES, food=keys["food"])))


def _query(connection: Connection, sql: str, **values: object) -> Sequence[Row]:
    return connection.execute(text(sql), values).all()


def _active(connection: Connection, datasets: Sequence[str]) -> list[Row]:
    """The release row of each dataset, in the order asked for."""
    stored = {row[0]: row for row in _query(connection, _RELEASES)}
    for dataset in datasets:
        if dataset not in stored:
            raise NotFoundError(f"no dataset {dataset!r} in the store; there are: {', '.join(stored) or 'none'}")
    return [stored[dataset] for dataset in datasets]


def _part(connection: Connection, release: Row) -> FoodTable:
    """One release as a table of its own."""
    rows = _query(connection, _FOODS, release=release[-1])
    components = tuple(Component(*row) for row in _query(connection, _COMPONENTS, release=release[-1]))
    if any(len(row[-1]) != 8 * len(components) for row in rows):
        raise StoreError(f"The store is damaged: amounts of {release[0]} do not fit its components; build it anew")
    foods = _foods(connection, release[0], release[-1], rows)
    packed = np.frombuffer(b"".join(row[-1] for row in rows), dtype="<f8")
    amounts = packed.reshape(len(rows), len(components)).astype(np.float64, copy=False)
    return FoodTable(tuple(foods), components, amounts, (Release(*release[:-1]),))


def _foods(connection: Connection, dataset: str, release: int, rows: Sequence[Row]) -> list[FoodEntry]:
    groups = {row[0]: row[1] for row in _query(
        connection, "SELECT code, name FROM food_group WHERE release_id = :release", release=release)}
    sql, values = (_MEASURES, {}) if len(rows) > 1 else (
        _MEASURES.replace("WHERE", "WHERE f.id = :food AND"), {"food": rows[0][0] if rows else 0})
    measures: dict[int, list[HouseholdMeasure]] = {}
    for food, amount, words, grams, sequence in _query(connection, sql, release=release, **values):
        measures.setdefault(food, []).append(HouseholdMeasure(amount, words, grams, sequence))
    return [
        FoodEntry(f"{dataset}:{code}", description, group, groups.get(group, ""), common, scientific, refuse or 0.0,
                  refuse_text, protein, fat, carbohydrate, nitrogen, tuple(measures.get(food, ())))
        for food, code, description, group, common, scientific, refuse, refuse_text, protein, fat, carbohydrate,
        nitrogen, _ in rows]


def _value(row: Row) -> ComponentValue:
    tagname, amount, samples, error, source, source_text, derivation, derivation_text = row
    return ComponentValue(tagname, amount, samples, error, source, source_text or "", derivation, derivation_text or "")


def _merged(parts: Sequence[tuple[Component, ...]]) -> tuple[Component, ...]:
    merged: dict[str, Component] = {}
    for component in (component for part in parts for component in part):
        first = merged.setdefault(component.tagname, component)
        if first.unit != component.unit:
            raise StoreError(f"Datasets give {component.tagname} in {first.unit} and in {component.unit}")
    return tuple(merged.values())


def _spread(part: FoodTable, components: tuple[Component, ...]) -> NDArray[np.float64]:
    """The part's amounts in columns of `components`, NaN where it has none."""
    if part.components == components:
        return part.amounts
    place = {component.tagname: j for j, component in enumerate(components)}
    amounts = np.full((len(part.foods), len(components)), np.nan)
    amounts[:, [place[component.tagname] for component in part.components]] = part.amounts
    return amounts
