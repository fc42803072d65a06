"""Reads the store in plain SQL that every database understands; light to import, since every start needs it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from operator import itemgetter
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection, Engine, text

from service.core.errors import InputError, NotFoundError, StoreError
from service.core.food import (
    Component,
    ComponentValue,
    FoodDetails,
    FoodEntry,
    FoodTable,
    HouseholdMeasure,
    Release,
)
from service.store.engine import database_file, quick_rows, reading
from service.store.table_names import TABLES

Row = Sequence[Any]


@dataclass(frozen=True, slots=True)
class ActiveReleases:
    """What the answers of the store follow from: equal while the same releases are active.

    rows   one a release, the last cells are its dataset and its name
    since  the change by which the last one came to answer; another one where a release was left and taken again
    """

    rows: tuple[tuple[Any, ...], ...] = ()
    since: int = field(default=0, compare=False)

    @property
    def releases(self) -> dict[str, str]:
        """The active release of each dataset."""
        return {row[-2]: row[-1] for row in self.rows}



# Foods that are held in memory at once, to match lines or to compare releases: 45 times SR28, for which resolving is
# measured. Of a longer table foods are found by id and by bar code.
MOST_FOODS = 400_000

_ALL_RELEASES = """SELECT dataset, name, release, licence, citation, foods, components, component_values, measures,
    loaded, carbohydrate_basis, energy_basis, fibre_method, active, id FROM dataset_release WHERE loaded <> ''"""
_RELEASES = f"{_ALL_RELEASES} AND active ORDER BY dataset"
_STATE = """SELECT (SELECT max(change) FROM answering_release), id, activated, loaded, dataset, release
    FROM dataset_release WHERE active ORDER BY id"""
_COMPONENTS = """SELECT tagname, number, name, unit, decimals FROM component
    WHERE release_id = :release ORDER BY position"""
_FOODS = """SELECT id, code, description, group_code, common_name, scientific_name, refuse_percent, refuse_text,
    protein_factor, fat_factor, carbohydrate_factor, nitrogen_factor, gtin, original_name, linked,
    amounts FROM food WHERE release_id = :release"""
_MEASURES = """SELECT m.food_id, m.amount, m.text, m.grams, m.sequence FROM household_measure m
    JOIN food f ON f.id = m.food_id WHERE f.release_id = :release ORDER BY m.food_id, m.sequence"""
_VALUES = """SELECT c.tagname, v.amount, v.samples, v.standard_error, v.source, s.text, v.derivation, d.text,
    v.qualifier FROM component_value v JOIN component c ON c.release_id = :release AND c.position = v.component
    LEFT JOIN source_text s ON s.release_id = :release AND s.code = v.source
    LEFT JOIN derivation_text d ON d.release_id = :release AND d.code = v.derivation
    WHERE v.food_id = :food ORDER BY v.component"""
# Ids of a release's foods follow each other, so that this reads its values in one go: quicker than any index is kept.
_LIMITS = """SELECT food_id, component, amount, qualifier FROM component_value
    WHERE food_id BETWEEN :first AND :last AND qualifier <> ''"""
_LANGUAL = """SELECT l.code, t.text FROM food_langual l JOIN langual_term t ON t.release_id = :release
    AND t.code = l.code WHERE l.food_id = :food ORDER BY l.code"""
_OF_GTIN = """SELECT r.dataset, f.code FROM food f JOIN dataset_release r ON r.id = f.release_id
    WHERE f.gtin = :gtin AND f.gtin <> '' AND r.active AND r.loaded <> '' ORDER BY r.dataset, f.code"""
_HOLDING = """SELECT r.release FROM food f JOIN dataset_release r ON r.id = f.release_id
    WHERE r.dataset = :dataset AND f.code = :code AND r.loaded <> '' ORDER BY r.id"""
_FOOTNOTES = "SELECT text FROM footnote WHERE food_id = :food ORDER BY position"


def releases(engine: Engine) -> tuple[Release, ...]:
    """The active release of each dataset in the store, in order of dataset."""
    with reading(engine) as connection:
        return tuple(_release(row) for row in _query(connection, _RELEASES))


def stored_releases(engine: Engine, dataset: str | None = None) -> tuple[Release, ...]:
    """Every release in the store, active or not, or of one dataset; by dataset, in the order they were loaded."""
    with reading(engine) as connection:
        found = (_release(row) for row in _query(connection, f"{_ALL_RELEASES} ORDER BY dataset, id"))
        return tuple(release for release in found if dataset in (None, release.dataset))


def _release(row: Row) -> Release:
    fields = (*row[:-2], bool(row[-2]))
    return Release(*fields)


def state(engine: Engine) -> ActiveReleases:
    """Which releases answer, quickly."""
    rows = quick_rows(engine, _STATE)
    return ActiveReleases(tuple(row[1:] for row in rows), int(rows[0][0] or 0) if rows else 0)


def check_readable(engine: Engine) -> None:
    """Read from every table, and see that the file is still there; StoreError where that cannot be."""
    path = database_file(engine.url.render_as_string(hide_password=False))
    if path is not None and not path.exists():
        gone = "is no longer there; put it back and start again"
        raise StoreError(f"The store {path} {gone}", told=f"The store {gone}")
    for name in TABLES:
        quick_rows(engine, f"SELECT * FROM {name} LIMIT 1")


Kept = dict[tuple[Any, ...], FoodTable]
"""Tables of releases that answer, by all that the store says of the release: for who reads them repeatedly.

A thread that reads rows beside one that answers requests may wait its turn at every row.
"""

_NOTHING: Mapping[str, FoodTable] = MappingProxyType({})
_ACTIVE: Mapping[str, str] = MappingProxyType({})


def load_table(
    engine: Engine,
    datasets: Sequence[str],
    *,
    beside: Mapping[str, FoodTable] = _NOTHING,
    chosen: Mapping[str, str] = _ACTIVE,
    kept: Kept | None = None,
) -> FoodTable:
    """All foods of the datasets' active releases in order of id, with amounts (foods, components) per 100 g.

    `beside` are datasets that no store holds, in order of id; `chosen` are releases by dataset to take in place of the
    active ones.
    Releases in `kept` are not read; others that answer are put there.
    Components come in the order of the first dataset, then those that only later ones have. A dataset or release
    that is in neither raises NotFoundError, and one of more than MOST_FOODS InputError.
    """
    with reading(engine) as connection:
        stored = [dataset for dataset in datasets if dataset not in beside]
        rows = _rows_of(connection, stored, chosen)
        for row in rows:
            _check_length(_release(row))
        kept = {} if kept is None else kept
        found = dict(zip(stored, (_part(connection, row, kept) for row in rows), strict=True))
    return _one_table([beside[dataset] if dataset in beside else found[dataset] for dataset in datasets])


def _check_length(release: Release) -> None:
    if release.foods > MOST_FOODS:
        raise InputError(
            f"{release.dataset} has {release.foods:,} foods, more than the {MOST_FOODS:,} that are held in memory: "
            "they are found by id and by bar code, but lines are not matched with them, nor are they compared or "
            "checked",
            pointer="/datasets",
        )


def _one_table(parts: Sequence[FoodTable]) -> FoodTable:
    if len(parts) == 1:
        return parts[0]
    components = _merged([part.components for part in parts])
    # Ids begin with the dataset, so that each part in order of id is one run of the whole.
    runs = sorted(parts, key=lambda part: f"{part.releases[0].dataset}:")
    amounts = np.full((sum(len(part.foods) for part in runs), len(components)), np.nan)
    end = 0
    for part in runs:
        start, end = end, end + len(part.foods)
        _spread(part, components, amounts[start:end])
    limits = {food_id: limits for part in parts for food_id, limits in part.limits.items()}
    links = {food_id: linked for part in parts for food_id, linked in part.links.items()}
    foods, releases = tuple([food for part in runs for food in part.foods]), tuple(part.releases[0] for part in parts)
    return FoodTable(foods, components, amounts, releases, limits, links)


def food_details(engine: Engine, food_id: str, *, chosen: Mapping[str, str] = _ACTIVE) -> FoodDetails:
    """One food with where each value comes from, of the active release of its dataset or the one that is `chosen`.

    An unknown id raises NotFoundError.
    """
    dataset, _, code = food_id.partition(":")
    with reading(engine) as connection:
        found = [row for row in _query(connection, _ALL_RELEASES) if row[0] == dataset and _is_meant(row, chosen)]
        rows = _query(connection, f"{_FOODS} AND code = :code", release=found[0][-1], code=code) if found else []
        if not rows:
            raise NotFoundError(f"no food entry has the id {food_id!r}")
        keys = {"release": found[0][-1], "food": rows[0][0]}
        return FoodDetails(
            food=_foods(connection, dataset, keys["release"], rows)[0],
            values=tuple(_value(row) for row in _query(connection, _VALUES, **keys)),
            langual=tuple((row[0], row[1]) for row in _query(connection, _LANGUAL, **keys)),
            footnotes=tuple(row[0] for row in _query(connection, _FOOTNOTES, food=keys["food"])),
            original_name=rows[0][-3], linked=tuple(rows[0][-2].split()), gtin=rows[0][-4])


def foods_of_gtin(engine: Engine, gtin: str) -> tuple[str, ...]:
    """Ids of the foods with this GTIN of 14 digits in active releases, in order of dataset and code."""
    with reading(engine) as connection:
        return tuple(f"{dataset}:{code}" for dataset, code in _query(connection, _OF_GTIN, gtin=gtin))


def holding(engine: Engine, food_id: str) -> tuple[str, ...]:
    """The stored releases of a food entry's dataset that have it, active or not, in the order they were loaded."""
    dataset, _, code = food_id.partition(":")
    with reading(engine) as connection:
        return tuple(row[0] for row in _query(connection, _HOLDING, dataset=dataset, code=code))


def described(engine: Engine, dataset: str) -> tuple[tuple[Component, ...], Release]:
    """The components of a dataset's active release, and that release; NotFoundError where there is none."""
    with reading(engine) as connection:
        [row] = _rows_of(connection, [dataset], _ACTIVE)
        return tuple(Component(*one) for one in _query(connection, _COMPONENTS, release=row[-1])), _release(row)


def _is_meant(release: Row, chosen: Mapping[str, str]) -> bool:
    """Whether a release row is the one that is chosen of its dataset, by default the active one."""
    return bool(release[2] == chosen[release[0]] if release[0] in chosen else release[-2])


def _query(connection: Connection, sql: str, **values: object) -> Sequence[Row]:
    return connection.execute(text(sql), values).all()


def _rows_of(connection: Connection, datasets: Sequence[str], chosen: Mapping[str, str]) -> list[Row]:
    """The release row of each dataset, in the order asked for."""
    stored = _query(connection, f"{_ALL_RELEASES} ORDER BY dataset")
    rows = {row[0]: row for row in stored if _is_meant(row, chosen)}
    for dataset in datasets:
        if dataset not in rows and dataset in chosen:
            known = ", ".join(row[2] for row in stored if row[0] == dataset) or "none"
            raise NotFoundError(f"no release {chosen[dataset]!r} of {dataset} in the store; there are: {known}")
        if dataset not in rows:
            raise NotFoundError(f"no dataset {dataset!r} in the store; there are: {', '.join(rows) or 'none'}")
    return [rows[dataset] for dataset in datasets]


def _part(connection: Connection, release: Row, kept: Kept) -> FoodTable:
    """One release as a table of its own."""
    key = tuple(release)
    if key in kept:
        return kept[key]
    rows = sorted(_query(connection, _FOODS, release=release[-1]), key=itemgetter(1))
    components = tuple(Component(*row) for row in _query(connection, _COMPONENTS, release=release[-1]))
    if any(len(row[-1]) != 8 * len(components) for row in rows):
        raise StoreError(f"The store is damaged: amounts of {release[0]} do not fit its components; build it anew")
    flat = np.frombuffer(b"".join([row[-1] for row in rows]), dtype="<f8").astype(np.float64, copy=False)
    foods = _foods(connection, release[0], release[-1], rows)
    ids = {row[0]: food.id for row, food in zip(rows, foods, strict=True)}
    links = {ids[row[0]]: tuple(row[-2].split()) for row in rows if row[-2]}
    table = FoodTable(
        tuple(foods), components, flat.reshape(len(rows), len(components)), (_release(release),),
        _limits(connection, components, ids), links,
    )  # fmt: skip
    if release[-2]:  # it answers: another one is looked at once
        kept[key] = table
    return table


def _limits(
    connection: Connection, components: Sequence[Component], ids: Mapping[int, str]
) -> dict[str, dict[str, float]]:
    """Upper bounds of values that are no plain figures: a trace is less than one of the last place that is printed."""
    found: dict[str, dict[str, float]] = {}
    span = {"first": min(ids, default=0), "last": max(ids, default=-1)}
    for food, place, amount, qualifier in _query(connection, _LIMITS, **span):
        if food in ids:
            limit = amount if qualifier == "below" else 10.0 ** -components[place].decimals
            found.setdefault(ids[food], {})[components[place].tagname] = limit
    return found


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
        nitrogen, *_ in rows]


def _value(row: Row) -> ComponentValue:
    tagname, amount, samples, error, source, source_text, derivation, derivation_text, qualifier = row
    return ComponentValue(
        tagname, amount, samples, error, source, source_text or "", derivation, derivation_text or "", qualifier)


def _merged(parts: Sequence[tuple[Component, ...]]) -> tuple[Component, ...]:
    merged: dict[str, Component] = {}
    for component in (component for part in parts for component in part):
        first = merged.setdefault(component.tagname, component)
        if first.unit != component.unit:
            raise StoreError(f"Datasets give {component.tagname} in {first.unit} and in {component.unit}")
    return tuple(merged.values())


def _spread(part: FoodTable, components: tuple[Component, ...], amounts: NDArray[np.float64]) -> None:
    """Put the part's amounts into the columns of `components`."""
    place = {component.tagname: j for j, component in enumerate(components)}
    amounts[:, [place[component.tagname] for component in part.components]] = part.amounts
