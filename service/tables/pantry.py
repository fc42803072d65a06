"""Loads the pantry substances: foods whose composition follows from chemistry or law and that national tables lack.

They make a dataset that stands in no store. README.md explains the columns of pantry*.csv.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import numpy as np

from service.core.analyse import Tables
from service.core.edible_portion import KindTable
from service.core.errors import NotFoundError
from service.core.food import Component, ComponentValue, FoodDetails, FoodEntry, FoodTable, Release
from service.core.vocabulary import Name
from service.tables.label_components import load_label_components
from service.tables.rows import TableRow, read_rows
from service.tables.vocabulary import KINDS
from service.tables.weights import load_densities

PANTRY = "pantry"
GROUP = "Pantry substances"
FOLDER = Path(__file__).parent
ORIGINS = {
    "chemistry": "Follows from what the pure substance is",
    "law": "Set by law",
    "publication": "Carried from a publication",
    "derived": "Derived from the other figures",
    "label": "As usually labelled; no published source",
    "assumed": "Assumed from what the food is",
}
# A name of the pantry yields to a national entry's that is as sure or surer; "absent" yields to every other.
_SURENESS = {"name": 3, "regional": 3, "trade": 3, "near": 2, "default": 2, "absent": 1}


@dataclass(frozen=True, slots=True, eq=False)
class Pantry:
    """The pantry substances as a dataset.

    table      amounts per 100 g;  foods: by id, with the origin of each value
    national   id of a substance -> id of the national entry that is the same; where that is in use, it answers
    """

    table: FoodTable
    foods: Mapping[str, FoodDetails]
    names: tuple[Name, ...]
    densities: KindTable
    national: Mapping[str, str]

    @property
    def release(self) -> Release:
        return self.table.releases[0]

    def details(self, food_id: str) -> FoodDetails:
        """One substance by its id; NotFoundError for an unknown one."""
        if food_id not in self.foods:
            raise NotFoundError(f"no food entry has the id {food_id!r}", pointer="/id")
        return self.foods[food_id]


@lru_cache(maxsize=1)
def load_pantry() -> Pantry:
    """The pantry substances; raises TableError for the first bad row."""
    return read_pantry(FOLDER)


def read_pantry(folder: Path) -> Pantry:
    """The pantry substances of a folder with pantry*.csv files."""
    columns = ("code", "description", "carbohydrate_basis", "national", "note", "source")
    rows = {row.required("code"): row for row in read_rows(folder / "pantry.csv", columns, key=("code",))}
    values = _values(folder, rows)
    foods = {f"{PANTRY}:{code}": _details(rows[code], values[code]) for code in sorted(rows)}
    national = {f"{PANTRY}:{code}": row.text("national") for code, row in rows.items() if row.text("national")}
    names = _names(folder, rows)
    return Pantry(_table(folder, foods), foods, names, load_densities(folder, "pantry_densities.csv"), national)


def _details(row: TableRow, values: list[ComponentValue]) -> FoodDetails:
    row.one_of("carbohydrate_basis", ("total",))  # as the national tables in use; a mixed table has no one formula
    food = FoodEntry(f"{PANTRY}:{row.text('code')}", row.required("description"), PANTRY, GROUP)
    return FoodDetails(food, tuple(values), footnotes=(f"{row.required('note')} Source: {row.required('source')}.",))


def _values(folder: Path, codes: Iterable[str]) -> dict[str, list[ComponentValue]]:
    """The values of each substance, in order of the label components."""
    order = {component.tagname: place for place, component in enumerate(load_label_components())}
    found: dict[str, list[ComponentValue]] = {code: [] for code in codes}
    columns = ("code", "tagname", "amount", "origin", "source")
    for row in read_rows(folder / "pantry_values.csv", columns, key=("code", "tagname")):
        origin = row.one_of("origin", tuple(ORIGINS))
        tagname = row.one_of("tagname", tuple(order))
        code = row.one_of("code", tuple(found))
        amount, source = row.number("amount"), row.required("source")
        found[code].append(ComponentValue(tagname, amount, 0, None, origin, ORIGINS[origin], "", source))
    for values in found.values():
        values.sort(key=lambda value: order[value.tagname])
    return found


def _names(folder: Path, codes: Container[str]) -> tuple[Name, ...]:
    rows = read_rows(folder / "pantry_names.csv", ("form", "kind", "code", "source"), key=("form",))
    return tuple(_name(row, codes) for row in rows)


def _name(row: TableRow, codes: Container[str]) -> Name:
    kind, code = row.one_of("kind", KINDS), row.text("code")
    if (kind == "absent") != (not code) or (code and code not in codes):
        raise row.fault("code", "is no code of pantry.csv; only 'absent' has none")
    food_id = f"{PANTRY}:{code}" if code else None
    source, place = row.required("source"), f"{row.file}:{row.line}"
    return Name(row.required("form"), kind, frozenset(), food_id, source, place=place)


def _table(folder: Path, foods: Mapping[str, FoodDetails]) -> FoodTable:
    used = {value.tagname for details in foods.values() for value in details.values}
    components = tuple(component for component in load_label_components() if component.tagname in used)
    amounts = np.full((len(foods), len(components)), np.nan)
    columns = {component.tagname: place for place, component in enumerate(components)}
    for place, details in enumerate(foods.values()):
        for value in details.values:
            amounts[place, columns[value.tagname]] = value.amount
    entries = tuple(details.food for details in foods.values())
    count = int(np.count_nonzero(~np.isnan(amounts)))
    return FoodTable(entries, components, amounts, (_release(folder, entries, components, count),))


def _release(folder: Path, foods: tuple[FoodEntry, ...], components: tuple[Component, ...], values: int) -> Release:
    columns = ("dataset", "name", "release", "licence", "citation", "source")
    [row] = read_rows(folder / "pantry_release.csv", columns, key=("dataset",))
    row.one_of("dataset", (PANTRY,))
    name, release, licence, citation = (row.required(column) for column in columns[1:5])
    return Release(PANTRY, name, release, licence, citation, len(foods), len(components), values, measures=0)


# ---- beside the national tables --------------------------------------------------------------------------------


def with_pantry(tables: Tables, pantry: Pantry, national: Container[str]) -> Tables:
    """The tables with the pantry's names and densities; a name answers only where no national entry fits as well.

    `national` are the ids of the entries in use: a name of the tables without an entry there counts as absent.
    """
    held: dict[str, int] = {}
    answering = [name for name in pantry.names if pantry.national.get(name.food_id or "") not in national]
    forms = {name.form for name in answering}
    for name in tables.names:
        if name.form in forms:
            sure = _SURENESS[name.kind] if name.food_id is None or name.food_id in national else 0
            held[name.form] = max(held.get(name.form, 0), sure)
    taken = [name for name in answering if _SURENESS[name.kind] > held.get(name.form, 0)]
    replaced = {name.form for name in taken}
    kept = [name for name in tables.names if name.form not in replaced]
    densities = KindTable((*pantry.densities.rows, *tables.weights.densities.rows))  # of equal rows the first wins
    return replace(tables, names=(*kept, *taken), weights=replace(tables.weights, densities=densities))
