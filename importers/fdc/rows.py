"""Reads FoodData Central's tables: CSV by RFC 4180, UTF-8, a header line, quoted fields that may hold line breaks.

A table is read in blocks of whole records, so that one of any length takes the memory of one block. Columns are
found by their names in the header and checked against columns.csv both ways: rows with the same field are names that
releases give one column, of which one must be there unless `may_lack` says that older releases are without.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import IO, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings
from importers.tables import Column, check_numbers, check_required, load_columns

BLOCK = 8 * 2**20  # bytes read at a time
LONGEST = 2**20  # bytes of one record; more means that a quote is not closed
ENOUGH = 1000  # faults after which a table is not read further
QUOTE, COMMA, LF = b'",\n'


def described() -> dict[str, tuple[Column, ...]]:
    """Columns of each table out of columns.csv."""
    return dict(load_columns(Path(__file__).with_name("columns.csv")))


def _may_lack() -> set[tuple[str, str]]:
    with Path(__file__).with_name("columns.csv").open(encoding="utf-8", newline="") as stream:
        return {(row["file"], row["field"]) for row in csv.DictReader(stream) if row["may_lack"]}


def read_blocks(stream: IO[bytes], columns: tuple[Column, ...], findings: Findings, *,
                block: int = BLOCK) -> Iterator[pd.DataFrame]:
    """Frames of the stored columns of one table, indexed by line number: text as str ("" where empty), numbers as
    float64 (NaN where empty; int64 where they must be whole and there), a column that may lack and does as "" or NaN.

    Faulty records are noted in `findings` and left out; after ENOUGH faults the rest of the table is not read. A
    table without records is a fault.
    """
    header: tuple[Column, ...] | None = None
    records = 0
    for part in _parts(stream, columns[0].file, findings, block):
        if header is None:
            part, names = _header(part)
            header = _matched(names, columns, findings)
        if len(part.ends) and header:
            frame = _frame(_good(part, header, findings), header, columns, findings)
            records += len(frame)
            yield frame
        if len(findings.faults) > ENOUGH:
            return
    if not records and findings.clean(columns[0].file):
        findings.add("has no records", file=columns[0].file)


def read_rows(stream: IO[bytes], columns: tuple[Column, ...], findings: Findings) -> pd.DataFrame:
    """The whole of one table; as `read_blocks`."""
    frames = list(read_blocks(stream, columns, findings))
    return pd.concat(frames) if frames else empty_rows(columns)


def records(frame: pd.DataFrame) -> list[Any]:
    """Rows as named tuples; typed loosely, since their fields are known only at run time."""
    return list(frame.itertuples(index=False))


def empty_rows(columns: tuple[Column, ...]) -> pd.DataFrame:
    return pd.DataFrame({column.field: pd.Series(dtype=_dtype(column)) for column in columns if column.field})


def _dtype(column: Column) -> str:
    return "str" if column.type == "text" else "float64"


@dataclass(frozen=True, slots=True)
class _Part:
    """Whole records: `ends[k]` is where record k ends in `data`, `lines[k]` its first line, `fields[k]` how many."""

    data: bytes
    ends: NDArray[np.int64]
    lines: NDArray[np.int64]
    fields: NDArray[np.int64]


def _parts(stream: IO[bytes], file: str, findings: Findings, block: int) -> Iterator[_Part]:
    data, line = b"", 1
    while more := stream.read(block):
        data += more
        part = _cut(data, line)
        end = int(part.ends[-1]) if len(part.ends) else 0
        if len(data) - end > LONGEST + block:
            break
        if end:
            line += data.count(b"\n", 0, end)
            yield replace(part, data=data[:end])
            data = data[end:]
    if data:
        last = _cut(data + b"\n", line)
        end = int(last.ends[-1]) if len(last.ends) else 0
        if end:
            yield replace(last, data=last.data[:end])
        if end < len(last.data):
            findings.add("a quote is not closed", file=file, line=line + data.count(b"\n", 0, end))


def _cut(data: bytes, line: int) -> _Part:
    """Where records end: at line feeds outside quotes. A doubled quote opens and closes, so it needs no care."""
    octets = np.frombuffer(data, np.uint8)
    outside = (np.cumsum(octets == QUOTE, dtype=np.uint8) & 1) == 0
    breaks = np.flatnonzero(octets == LF)
    ends = breaks[outside[breaks]] + 1
    commas = np.flatnonzero((octets == COMMA) & outside)
    fields = np.diff(np.searchsorted(commas, ends), prepend=0) + 1
    starts = np.concatenate(([0], ends[:-1])) if len(ends) else ends
    return _Part(data, ends, np.searchsorted(breaks, starts) + line, fields)


def _header(part: _Part) -> tuple[_Part, list[str]]:
    first = part.data[:int(part.ends[0])].decode("utf-8-sig", errors="replace")
    end = part.ends[0]
    rest = _Part(part.data[int(end):], part.ends[1:] - end, part.lines[1:], part.fields[1:])
    return rest, next(csv.reader(io.StringIO(first.rstrip("\r\n"), newline="")), [])


def _matched(names: list[str], columns: tuple[Column, ...], findings: Findings) -> tuple[Column, ...]:
    """The described columns in the order of the header; empty if the two do not agree."""
    file, known = columns[0].file, {column.name: column for column in columns}
    if any("\0" in name or "\ufffd" in name for name in names):  # as in UTF-16: no name of a column can be read
        findings.add("is not UTF-8", file=file, line=1)
        return ()
    before = len(findings.faults)
    for name in names:
        if name not in known:
            findings.add("column is not described in columns.csv", file=file, line=1, column=name)
    fields = [known[name].field for name in names if name in known and known[name].field]
    for field in dict.fromkeys(fields):
        if fields.count(field) > 1:
            findings.add("column stands twice", file=file, line=1, column=field)
    lacking = {column.field for column in columns if column.field} - set(fields)
    for field in sorted(lacking - {field for table, field in _may_lack() if table == file}):
        possible = " or ".join(column.name for column in columns if column.field == field)
        findings.add("column is missing", file=file, line=1, column=possible)
    return tuple(known[name] for name in names) if len(findings.faults) == before else ()


def _good(part: _Part, header: tuple[Column, ...], findings: Findings) -> _Part:
    """The part without records that have more or fewer fields than the header, and in UTF-8."""
    wrong = part.fields != len(header)
    starts = np.concatenate(([0], part.ends[:-1]))
    for k in np.flatnonzero(wrong)[:ENOUGH]:
        text = part.data[starts[k]:part.ends[k]].decode("utf-8", errors="replace").rstrip("\r\n")
        findings.add(f"{part.fields[k]} fields, the header has {len(header)}", file=header[0].file,
                     line=int(part.lines[k]), value=text)
    if wrong.any():
        kept = np.flatnonzero(~wrong)
        data = b"".join(part.data[starts[k]:part.ends[k]] for k in kept)
        ends = np.cumsum(part.ends[kept] - starts[kept])
        part = _Part(data, ends, part.lines[kept], part.fields[kept])
    return replace(part, data=_utf8(part, header[0].file, findings))


def _utf8(part: _Part, file: str, findings: Findings) -> bytes:
    """The part's bytes; faulty ones with a mark in their place: without one, quotes would stand elsewhere."""
    whole = part.data
    if (nul := whole.find(b"\0")) >= 0:  # as in UTF-16, and no database but SQLite keeps it
        record = int(np.searchsorted(part.ends, nul, side="right"))
        findings.add("holds a null character", file=file, line=int(part.lines[record]))
        whole = whole.replace(b"\0", b"?")
    try:
        whole.decode("utf-8")
    except UnicodeDecodeError as error:
        record = int(np.searchsorted(part.ends, error.start, side="right"))
        findings.add("is not UTF-8", file=file, line=int(part.lines[record]), value=error.object[error.start:error.end])
        return whole.decode("utf-8", errors="replace").encode()
    return whole


def _frame(part: _Part, header: tuple[Column, ...], columns: tuple[Column, ...], findings: Findings) -> pd.DataFrame:
    if not len(part.ends):
        return empty_rows(columns)
    try:
        frame = _parsed(part.data, header, numbers=True)
    except ValueError:  # a cell that is no number: read as text and look at each
        frame = _texts(part.data, header)
    if len(frame) != len(part.ends):
        findings.add("quotes do not stand around whole fields", file=header[0].file, line=int(part.lines[0]))
        return empty_rows(columns)
    frame.index = pd.Index(part.lines)
    for column in header:
        if column.field and column.type == "text":
            check_required(frame[column.field] == "", column, findings)
        elif column.field:
            frame[column.field] = _whole(check_numbers(frame[column.field], column, findings), column)
    for column in columns:
        if column.field and column.field not in frame:
            frame[column.field] = "" if column.type == "text" else np.nan
    return frame


def _whole(numbers: pd.Series, column: Column) -> pd.Series:
    """Numbers that must be there and be whole as integers, unless a fault left one out or one is past all integers."""
    due = column.type == "whole" and column.required
    return numbers.astype("int64") if due and (numbers.abs() < 2**62).all() else numbers


def _texts(data: bytes, header: tuple[Column, ...]) -> pd.DataFrame:
    """All cells as text; nothing where a quote in the middle of a cell is left open to the end."""
    try:
        return _parsed(data, header, numbers=False)
    except pd.errors.ParserError:
        return pd.DataFrame()


def _parsed(data: bytes, header: tuple[Column, ...], *, numbers: bool) -> pd.DataFrame:
    kept = [column for column in header if column.field]
    dtype = {column.field: _dtype(column) if numbers else "str" for column in kept}
    decimal = [field for field, kind in dtype.items() if kind == "float64"]
    frame: pd.DataFrame = pd.read_csv(
        io.BytesIO(data), header=None, encoding="utf-8", usecols=list(dtype), dtype=dtype,
        names=[column.field or f"#{n}" for n, column in enumerate(header)], keep_default_na=False,
        na_values={field: [""] for field in decimal}, skip_blank_lines=False, engine="c", low_memory=False)
    return frame
