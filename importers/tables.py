"""Reads a publisher's text tables by a `columns.csv`, checked both ways.

`columns.csv` has one row a column of the publication: file, position (from 1), column (the publisher's name), type
(`text`, `decimal`, `whole`), required (`yes`/`no`), low, high (inclusive, may be empty), field (the name used here;
empty where the column is not stored and so not read) and meaning. Each line of a file must have exactly the described
columns, and each described column must be there.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from importers.check import Findings
from service.core.errors import TableError

TYPES = ("text", "decimal", "whole")


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a publication writes its tables; `quote` stands around text, "" where text stands bare."""

    separator: str
    quote: str
    encoding: str


@dataclass(frozen=True, slots=True)
class Column:
    """One described column; `field` "" means it is counted but not read."""

    file: str
    position: int
    name: str
    type: str
    required: bool
    low: float
    high: float
    field: str


Columns = Mapping[str, tuple[Column, ...]]


def load_columns(path: Path) -> Columns:
    """Columns of each file in order of position, out of a `columns.csv`; a bad row raises TableError."""
    files: dict[str, list[Column]] = {}
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream)
        for row in reader:
            column = _column(row, path.name, reader.line_num)
            described = files.setdefault(column.file, [])
            if column.position != len(described) + 1:
                raise TableError(f"position {len(described) + 1} is next", file=path.name, line=reader.line_num,
                                 column="position", value=row["position"])
            described.append(column)
    return {file: tuple(columns) for file, columns in files.items()}


def _column(row: dict[str, str], file: str, line: int) -> Column:
    def bad(name: str, message: str) -> TableError:
        return TableError(message, file=file, line=line, column=name, value=str(row.get(name)))

    for name, allowed in (("type", TYPES), ("required", ("yes", "no"))):
        if row.get(name) not in allowed:
            raise bad(name, f"must be one of {', '.join(allowed)}")
    try:
        name = "position"
        position = int(row[name])
        name = "low"
        low = float(row[name] or "-inf")
        name = "high"
        high = float(row[name] or "inf")
    except (KeyError, ValueError):
        raise bad(name, "must be a number") from None
    return Column(row["file"], position, row["column"], row["type"], row["required"] == "yes", low, high, row["field"])


def read_table(data: bytes, columns: tuple[Column, ...], dialect: Dialect, findings: Findings) -> pd.DataFrame:
    """The columns with a `field` of one file: `text` as category of str ("" where empty), numbers as float64 (NaN
    where empty), indexed by line number from 1. Faulty lines and cells are noted in `findings`; faulty lines are
    left out and faulty numbers NaN, so that all other faults are still found.
    """
    lines = _good_lines(data, columns[0].file, len(columns), dialect, findings)
    kept = [column for column in columns if column.field]
    try:
        frame = _parse(lines.data, columns, dialect, numbers=True)
    except ValueError:  # a number between quotes, or a fault: read as text and look at each cell
        frame = _parse(lines.data, columns, dialect, numbers=False)
    frame.index = pd.Index(lines.numbers)
    for column in kept:
        frame[column.field] = _checked(frame[column.field], column, dialect, findings)
    return frame


@dataclass(frozen=True, slots=True)
class _Lines:
    data: bytes
    numbers: range | list[int]


def _good_lines(data: bytes, file: str, fields: int, dialect: Dialect, findings: Findings) -> _Lines:
    """The file's lines, ended by LF alone, without those that have more or fewer fields than described.

    Only LF ends a line: a lone CR inside a text (as published files have) stays part of it.
    """
    data = data.replace(b"\r\n", b"\n")
    separator = dialect.separator.encode()
    lines = data.split(b"\n")
    if lines[-1] == b"":
        lines.pop()
    wrong = [n for n, line in enumerate(lines) if line.count(separator) != fields - 1]
    if not wrong:
        return _Lines(data, range(1, len(lines) + 1))
    for n in wrong:
        text, found = lines[n].decode(dialect.encoding), lines[n].count(separator) + 1
        findings.add(f"{found} fields, {fields} described", file=file, line=n + 1, value=text)
    out = set(wrong)
    good = [n for n in range(len(lines)) if n not in out]
    return _Lines(b"".join(lines[n] + b"\n" for n in good), [n + 1 for n in good])


def _parse(data: bytes, columns: tuple[Column, ...], dialect: Dialect, *, numbers: bool) -> pd.DataFrame:
    kept = [column for column in columns if column.field]
    decimal = [column.field for column in kept if numbers and column.type != "text"]
    dtype = {column.field: "float64" if column.field in decimal else "str" for column in kept}
    if not data:
        return pd.DataFrame({field: [] for field in dtype}).astype(dtype)
    frame: pd.DataFrame = pd.read_csv(
        io.BytesIO(data), sep=dialect.separator, header=None, encoding=dialect.encoding, lineterminator="\n",
        names=[column.field or f"#{column.position}" for column in columns], usecols=list(dtype), dtype=dtype,
        quoting=csv.QUOTE_NONE, keep_default_na=False, na_values={field: [""] for field in decimal},
        skip_blank_lines=False, engine="c", low_memory=False)
    return frame


def _checked(cells: pd.Series, column: Column, dialect: Dialect, findings: Findings) -> pd.Series:
    if cells.dtype != "float64":
        cells = _unquoted(cells, column, dialect, findings)
    if column.type == "text":
        check_required(cells == "", column, findings)
        return cells
    return check_numbers(cells, column, findings)


def _unquoted(cells: pd.Series, column: Column, dialect: Dialect, findings: Findings) -> pd.Series:
    """Category of the texts between the quotes; a text with a quote missing or inside is a fault."""
    quote = dialect.quote
    codes, raws = pd.factorize(cells)
    texts = {raw: _plain(raw, quote) for raw in raws}
    bad = [raw for raw, text in texts.items() if quote and (quote in text or (text and text == raw))]
    if bad and column.type == "text":
        message = f"text must stand between {quote} and {quote}"
        findings.add_cells(message, cells[cells.isin(bad)].items(), file=column.file, column=column.name)
    unique = list(dict.fromkeys(texts.values()))
    place = {text: i for i, text in enumerate(unique)}
    places = np.array([place[text] for text in texts.values()], dtype=np.int32)
    plain = pd.Categorical.from_codes(places[codes], categories=pd.Index(unique, dtype=object))
    return pd.Series(plain, index=cells.index, name=cells.name)


def _plain(raw: str, quote: str) -> str:
    """The text between a pair of quotes; `raw` itself where it has no pair."""
    paired = quote and len(raw) > 1 and raw[0] == quote == raw[-1]
    return raw[1:-1] if paired else raw


def check_numbers(cells: pd.Series, column: Column, findings: Findings) -> pd.Series:
    """The cells (float64, or text with "" where empty), indexed by line, as float64; those that are no number, or not
    one that the column may have, are faults.
    """
    number, empty = cells, cells.isna()
    if cells.dtype != "float64":
        text = cells.astype("str")
        number, empty = pd.to_numeric(text, errors="coerce").astype("float64"), text == ""
        wrong = text[number.isna() & ~empty]
        findings.add_cells("must be a number", wrong.items(), file=column.file, column=column.name)
    check_required(empty, column, findings)
    present = number[~number.isna()]
    outside = present[(present < column.low) | (present > column.high) | np.isinf(present)]
    tell = f"must be from {column.low:g} to {column.high:g}"
    findings.add_cells(tell, outside.items(), file=column.file, column=column.name)
    if column.type == "whole":
        parts = present[np.isfinite(present) & (present % 1 != 0)]
        findings.add_cells("must be a whole number", parts.items(), file=column.file, column=column.name)
    return number.mask(np.isinf(number))  # what is no figure has been told, and is none from here on


def check_required(empty: pd.Series, column: Column, findings: Findings) -> None:
    """Each empty cell, indexed by line, of a column that must not be empty is a fault."""
    if column.required and empty.any():
        cells = ((line, "") for line in empty.index[empty])
        findings.add_cells("must not be empty", cells, file=column.file, column=column.name)
