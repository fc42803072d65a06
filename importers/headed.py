"""Reads tables that begin with a header line, out of delimited text or a spreadsheet, by a `columns.csv`.

The description is that of `importers.tables`, and is checked both ways: the header must name exactly the described
columns, in their order. Spaces and line breaks inside a header cell count as one space.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import zip_longest
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.archive import Files, open_files
from importers.check import Findings, check_count, check_encoding, check_known, check_unique
from importers.release import Progress
from importers.tables import Column

Row = tuple[int, Sequence[str]]
"""A line's number, counted from 1, and its cells."""

_BLANKS = re.compile(r"\s+")


@dataclass(frozen=True, slots=True)
class TextFormat:
    """How a publication writes its delimited text; `quote` "" where text stands bare."""

    separator: str
    quote: str
    encoding: str
    decimal: str


def text_rows(data: bytes, form: TextFormat, findings: Findings, *, file: str) -> Iterator[Row]:
    """The rows of delimited text; what cannot be decoded or parsed is a fault and ends the rows."""
    text = _decoded(data, form, findings, file=file)
    if text is None:
        return
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=form.separator, quotechar=form.quote or None,
                        quoting=csv.QUOTE_MINIMAL if form.quote else csv.QUOTE_NONE, strict=True)
    line = 1
    try:
        for cells in reader:
            yield line, cells
            line = reader.line_num + 1
    except csv.Error as error:
        findings.add(f"cannot be parsed from here on: {error}", file=file, line=line)


def _decoded(data: bytes, form: TextFormat, findings: Findings, *, file: str) -> str | None:
    """The text, None where it is in another encoding than published."""
    try:
        text = data.decode(form.encoding)
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        findings.add(f"is not in {form.encoding}", file=file, line=line, value=data[error.start:error.start + 8])
        return None
    return text if check_encoding(data, form.encoding, findings, file=file) else None


def header(cells: Sequence[str]) -> list[str]:
    """Header cells with line breaks and runs of blanks as one space, without empty cells at the end."""
    names = [_BLANKS.sub(" ", cell).strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    return names


def read_described(files: Files, columns: tuple[Column, ...], form: TextFormat, findings: Findings) -> pd.DataFrame:
    """The columns with a `field` of one file of the publication; of a file without any, only the header is looked at.

    `text` comes as category of str, numbers as float64 (NaN where empty), indexed by line number.
    """
    file = columns[0].file
    with files.open(file) as stream:
        stored = any(column.field for column in columns)
        data = stream.read() if stored else stream.readline()
    rows = text_rows(data, form, findings, file=file)
    return frame_of(rows, columns, findings, decimal=form.decimal, empty="has no rows" if stored else "")


def read_tables(path: Path, described: Mapping[str, tuple[Column, ...]], form: TextFormat, findings: Findings, *,
                progress: Progress) -> dict[str, pd.DataFrame]:
    """Every described table of a folder or zip by file name; DataError at once where one is missing."""
    frames: dict[str, pd.DataFrame] = {}
    with open_files(path, findings) as files:
        check_there(files, described, findings)
        findings.raise_any()
        sizes, done = files.sizes(), 0
        total = sum(sizes[file] for file in described)
        for file, columns in described.items():
            progress(done, total, f"Reading {findings.publication}")
            frames[file] = read_described(files, columns, form, findings)
            done += sizes[file]
        progress(total, total, f"Reading {findings.publication}")
    return frames


def check_there(files: Files, described: Iterable[str], findings: Findings) -> None:
    """Every described file is there."""
    for file in sorted(set(described) - set(files.sizes())):
        findings.add(f"is missing in {files.name}", file=file)


def frame_of(rows: Iterator[Row], columns: tuple[Column, ...], findings: Findings, *, decimal: str,
             empty: str = "has no rows") -> pd.DataFrame:
    """A frame of the stored columns; a header that is not as described, faulty rows and faulty cells are noted.

    Blank rows are passed over, as are empty cells past the described columns. `empty` is what to say of a table
    without rows, "" for nothing.
    """
    file = columns[0].file
    numbers: list[int] = []
    kept = [column for column in columns if column.field]
    cells: dict[str, list[str]] = {column.field: [] for column in kept}
    first = next(rows, None)
    if first is not None and _check_header(first[1], columns, findings):
        _gather(rows, columns, cells, numbers, findings)
    if not numbers and empty and findings.clean(file):
        findings.add(empty, file=file)
    index = pd.Index(numbers, dtype="int64")
    return pd.DataFrame({c.field: _typed(cells[c.field], index, c, findings, decimal) for c in kept}, index=index)


def _check_header(cells: Sequence[str], columns: tuple[Column, ...], findings: Findings) -> bool:
    found, described = header(cells), header([column.name for column in columns])
    wrong = [(name, cell) for name, cell in zip_longest(described, found, fillvalue="") if name != cell]
    for name, cell in wrong:
        message = f"the column {name!r} is due here" if name else "is a column that nobody described"
        findings.add(message, file=columns[0].file, line=1, column=name or cell, value=cell)
    return not wrong


def _gather(rows: Iterator[Row], columns: tuple[Column, ...], cells: dict[str, list[str]], numbers: list[int],
            findings: Findings) -> None:
    width = len(columns)
    places = [(column.position - 1, cells[column.field]) for column in columns if column.field]
    known: dict[str, str] = {}  # one object for each distinct text keeps a long table small
    for line, row in rows:
        if len(row) != width:
            if not any(row):
                continue
            if len(row) < width or any(row[width:]):
                findings.add(f"{len(row)} fields, {width} described", file=columns[0].file, line=line,
                             value=" | ".join(row))
                continue
        elif not any(row):
            continue
        numbers.append(line)
        for place, column in places:
            cell = row[place]
            column.append(known.setdefault(cell, cell))


def _typed(cells: list[str], index: pd.Index, column: Column, findings: Findings, decimal: str) -> pd.Series:
    codes, texts = pd.factorize(np.array(cells, dtype=object))
    if column.required:
        empty = [code for code, text in enumerate(texts) if not text.strip()]
        _note(findings, "must not be empty", np.isin(codes, empty), cells, index, column)
    if column.type != "text":
        figures = np.array([_number(text, column, decimal)[0] for text in texts], dtype="float64")
        for code, text in enumerate(texts):
            if message := _number(text, column, decimal)[1]:
                _note(findings, message, codes == code, cells, index, column)
        return pd.Series(figures[codes] if len(cells) else figures, index=index, name=column.field)
    plain = list(dict.fromkeys(text.strip() for text in texts))
    place = {text: k for k, text in enumerate(plain)}
    folded = np.array([place[text.strip()] for text in texts], dtype=np.int32)
    categories = pd.Index(plain, dtype=object)
    values = pd.Categorical.from_codes(folded[codes] if len(cells) else folded, categories=categories)
    return pd.Series(values, index=index, name=column.field)


def _note(findings: Findings, message: str, where: NDArray[np.bool_], cells: list[str], index: pd.Index,
          column: Column) -> None:
    places = ((index[int(k)], cells[k]) for k in np.flatnonzero(where))
    findings.add_cells(message, places, file=column.file, column=column.name)


@cache
def _plain_number(decimal: str) -> re.Pattern[str]:
    return re.compile(rf"-?\d+(?:{re.escape(decimal)}\d+)?")


def number(text: str, decimal: str) -> float | None:
    """The figure that a cell states with that decimal mark; None if it states none."""
    return float(text.replace(decimal, ".")) if _plain_number(decimal).fullmatch(text) else None


def _number(text: str, column: Column, decimal: str) -> tuple[float, str]:
    """The figure of a cell, NaN where empty, and what is wrong with it."""
    text = text.strip()
    if not text:
        return np.nan, ""
    figure = number(text, decimal)
    if figure is None:
        return np.nan, "must be a number"
    if not column.low <= figure <= column.high:
        return figure, f"must be from {column.low:g} to {column.high:g}"
    return figure, "must be a whole number" if column.type == "whole" and figure % 1 else ""


def check_keys(findings: Findings, frames: Mapping[str, pd.DataFrame], unique: Iterable[tuple[str, list[str]]],
               known: Iterable[tuple[str, str, str, str, str]]) -> None:
    """Keys stand once and point to something; a file that has faults already is not asked what it knows.

    unique  file and the columns of its key
    known   file, column, the file and column that the column points to, and what it points to
    """
    for file, keys in unique:
        check_unique(findings, frames[file], keys, file=file)
    faulty = {file for file in frames if not findings.clean(file)}
    for file, field, other, other_field, what in known:
        if other not in faulty:
            check_known(findings, frames[file][field], set(frames[other][other_field]), file=file, what=what)


def check_rows(findings: Findings, found: dict[str, int], path: Path) -> None:
    """Tables that have no fault have as many rows as published, by a CSV of file, rows and source."""
    with path.open(encoding="utf-8", newline="") as stream:
        for row in (one for one in csv.DictReader(stream) if findings.clean(one["file"])):
            check_count(findings, found[row["file"]], int(row["rows"]), file=row["file"])
