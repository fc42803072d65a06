"""Loads the components that labels state, for own foods and pantry substances; README.md explains the columns."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from service.core.food import Component
from service.tables.rows import TableRow, read_rows

PATH = Path(__file__).parent / "label_components.csv"
COLUMNS = ("tagname", "number", "name", "unit", "decimals", "part_of", "standard", "source")


@lru_cache(maxsize=1)
def load_label_components() -> tuple[Component, ...]:
    """The components of labels, in order of the table; TableError for a bad row."""
    return tuple(_component(row) for row in read_rows(PATH, COLUMNS, key=("tagname",)))


def _component(row: TableRow) -> Component:
    row.one_of("standard", ("INFOODS", "own"))
    row.required("source")
    unit = row.one_of("unit", ("g", "mg", "µg", "kcal", "kJ"))
    return Component(row.required("tagname"), row.required("number"), row.required("name"), unit,
                     int(row.number("decimals")))  # fmt: skip
