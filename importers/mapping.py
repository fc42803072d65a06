"""From a publisher's components to those of this project, by a `components.csv`.

One row a component of the publication: number (the publisher's id or name), name, unit (as the publisher writes it),
tagname, stored_unit, factor (stored = published x factor), decimals, source. A row without tagname is known and not
stored. A component may have several rows (energy in kJ is stored in kcal too); several may share a tagname if no food
has both.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings
from importers.release import CodeText, ReleaseValues
from service.core.errors import TableError
from service.core.food import Component


@dataclass(frozen=True, slots=True)
class Mapped:
    """One row of a `components.csv`."""

    number: str
    name: str
    unit: str
    tagname: str
    stored_unit: str
    factor: float
    decimals: int


def load_mapping(path: Path) -> tuple[Mapped, ...]:
    """The rows of a `components.csv`; a bad row raises TableError."""
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream)
        return tuple(_mapped(row, path.name, reader.line_num) for row in reader)


def _mapped(row: dict[str, str], file: str, line: int) -> Mapped:
    column = "factor"
    try:
        factor = float(row["factor"] or 1)
        column = "decimals"
        decimals = int(row["decimals"] or 0)
    except ValueError:
        raise TableError("must be a number", file=file, line=line, column=column, value=row[column]) from None
    if not row["source"]:
        raise TableError("must name a source", file=file, line=line, column="source", value="")
    return Mapped(row["number"], row["name"], row["unit"], row["tagname"], row["stored_unit"], factor, decimals)


def check_mapping(findings: Findings, mapping: Sequence[Mapped], units: Mapping[str, str], *, file: str,
                  lines: Mapping[str, int], column: str) -> None:
    """The publication's components and their units (`units[number]`) are exactly those that the mapping describes."""
    known = {row.number: row.unit for row in mapping}
    for number, unit in units.items():
        if number not in known:
            findings.add("is a component that nobody described", file=file, line=lines[number], column=column,
                         value=number)
        elif unit != known[number]:
            findings.add(f"{number} is given in a unit other than {known[number]!r}", file=file, line=lines[number],
                         column=column, value=unit)
    for number in known.keys() - units.keys():
        findings.add("this component is missing", file=file, column=column, value=number)


def components_of(mapping: Sequence[Mapped]) -> tuple[Component, ...]:
    """The stored components in the mapping's order; the first row of a tagname names it."""
    found: dict[str, Component] = {}
    for row in mapping:
        if row.tagname:
            component = Component(row.tagname, row.number, row.name, row.stored_unit, row.decimals)
            found.setdefault(row.tagname, component)
    return tuple(found.values())


@dataclass(frozen=True, slots=True, eq=False)
class Published:
    """Values as published, as columns of equal length: `food` is an index into the release's foods, `component` one
    into `numbers`; where `samples`, `standard_error` and the others are None, the publisher gives none.
    """

    food: NDArray[np.int32]
    component: NDArray[np.int32]
    numbers: Collection[str]
    amount: NDArray[np.float64]
    samples: NDArray[np.int32] | None = None
    standard_error: NDArray[np.float64] | None = None
    source: pd.Series | None = None
    derivation: pd.Series | None = None
    qualifier: NDArray[np.int8] | None = None


def values_of(published: Published, mapping: Sequence[Mapped]) -> ReleaseValues:
    """The stored values, in order of food and component, in the stored units."""
    rows = [row for row in mapping if row.tagname]
    places = {component.tagname: k for k, component in enumerate(components_of(mapping))}
    numbers = {number: k for k, number in enumerate(published.numbers)}
    picks = [np.flatnonzero(published.component == numbers.get(row.number, -1)) for row in rows]
    lengths = [len(pick) for pick in picks]
    pick = np.concatenate(picks)
    component = np.repeat(np.array([places[row.tagname] for row in rows], np.int32), lengths)
    factor = np.repeat(np.array([row.factor for row in rows]), lengths)
    order = np.lexsort((component, published.food[pick]))
    pick, component, factor = pick[order], component[order], factor[order]
    count = len(pick)
    error = published.standard_error
    source, source_codes = _codes(published.source, pick)
    derivation, derivation_codes = _codes(published.derivation, pick)
    return ReleaseValues(
        food=published.food[pick], component=component, amount=published.amount[pick] * factor,
        samples=np.zeros(count, np.int32) if published.samples is None else published.samples[pick],
        standard_error=np.full(count, np.nan) if error is None else error[pick] * factor,
        source=source, derivation=derivation, source_codes=source_codes, derivation_codes=derivation_codes,
        qualifier=None if published.qualifier is None else published.qualifier[pick])


def _codes(column: pd.Series | None, pick: NDArray[np.intp]) -> tuple[NDArray[np.int32], tuple[str, ...]]:
    if column is None:
        return np.zeros(len(pick), np.int32), ("",)
    return column.cat.codes.to_numpy().astype(np.int32)[pick], tuple(column.cat.categories)


def check_once(findings: Findings, values: ReleaseValues, components: Sequence[Component], foods: Sequence[str], *,
               file: str) -> None:
    """No food has two values of one stored component."""
    pair = values.food.astype(np.int64) * len(components) + values.component
    for k in np.flatnonzero(pair[1:] == pair[:-1]):
        value = f"{foods[values.food[k]]} {components[values.component[k]].tagname}"
        findings.add("a food has two values of this component", file=file, column="food+component", value=value)


def code_texts(frame: pd.DataFrame, key: str) -> tuple[CodeText, ...]:
    """The codes in a table's column `key` with their texts, in order of code."""
    return tuple(CodeText(code, text) for code, text in sorted(zip(frame[key], frame["text"], strict=True)))


def indices(column: pd.Series, codes: Sequence[str]) -> NDArray[np.int32]:
    """Index of each of a category column's codes in `codes`, -1 for one that is not there."""
    index = {code: k for k, code in enumerate(codes)}
    return np.array([index.get(code, -1) for code in column.cat.categories], dtype=np.int32)[column.cat.codes]
