"""Files of many records, read as a stream of chunks: JSON Lines, CSV and Parquet with a column `line`."""

from __future__ import annotations

import csv
import os
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from pathlib import Path
from typing import IO, Any, Literal

from service.core.errors import GramwrightError, InputError

Format = Literal["jsonl", "csv", "parquet"]
COLUMN = "line"
_ENDINGS: dict[str, Format] = {
    ".jsonl": "jsonl", ".ndjson": "jsonl", ".csv": "csv", ".parquet": "parquet", ".pq": "parquet"
}  # fmt: skip
# A chunk ends where it has so many records or so many bytes, so that a chunk of recipes is no longer work than one of
# lines.
CHUNK_RECORDS = 1000
CHUNK_BYTES = 100_000
# A longer record is refused unread; the longest recipe that may be saved is shorter.
MOST_BYTES = 5 * 1024 * 1024
_PIECE = 1 << 20
# What the reader of CSV says where neither a comma nor the end of the line follows a closing quotation mark.
_BEHIND_A_MARK = "expected after"


@dataclass(frozen=True, slots=True)
class Fault:
    """A record that cannot be read, and why."""

    message: str


Record = bytes | str | Fault
"""A record: JSON as it was sent, the text of a line, or why there is neither."""


@dataclass(frozen=True, slots=True)
class Chunk:
    """Neighbouring records; `first` is the number of the first one, counted from 1."""

    number: int
    first: int
    records: tuple[Record, ...]


@dataclass(frozen=True, slots=True)
class Source:
    """An input as it was before the work: bytes, time of the last change, digest of the content, number of records."""

    path: Path
    format: Format
    size: int
    changed: int
    digest: str
    records: int


def format_of(path: Path, said: Format | None) -> Format:
    """The format that is said, else that of the file's ending; InputError where neither tells."""
    found = said or _ENDINGS.get(path.suffix.lower())
    if found is None:
        raise InputError(f"{path} must end in {', '.join(_ENDINGS)}, or --format must say what it is")
    return found


def look_at(path: Path, format: Format) -> Source:
    """What an input is; InputError where it cannot be read or has no column `line`."""
    with _reading(path):
        found, digest = path.stat(), _digest(path)
        records = sum(len(chunk.records) for chunk in _chunks(path, format)) if format != "parquet" else _rows(path)
        return Source(path, format, found.st_size, found.st_mtime_ns, digest, records)


def chunks(source: Source) -> Iterator[Chunk]:
    """The records of an input in chunks, the same ones each time; InputError where it is no longer as it was."""
    with _reading(source.path):
        yield from _chunks(source.path, source.format)
        now = source.path.stat()
        if (now.st_size, now.st_mtime_ns) != (source.size, source.changed):
            raise InputError(f"{source.path} was changed while it was read")


@contextmanager
def _reading(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        raise InputError(f"cannot read {path}: {error.strerror or error}") from error


def _digest(path: Path) -> str:
    digest = blake2b(digest_size=16)
    with path.open("rb") as file:
        while piece := file.read(_PIECE):
            digest.update(piece)
    return digest.hexdigest()


def _chunks(path: Path, format: Format) -> Iterator[Chunk]:
    read = {"jsonl": _json_lines, "csv": _csv_lines, "parquet": _parquet_lines}[format]
    kept: list[Record] = []
    number, first, size = 0, 1, 0
    for record in read(path):
        kept.append(record)
        size += len(record) if isinstance(record, str | bytes) else 0
        if len(kept) == CHUNK_RECORDS or size >= CHUNK_BYTES:
            yield Chunk(number, first, tuple(kept))
            number, first, size = number + 1, first + len(kept), 0
            kept.clear()
    if kept:
        yield Chunk(number, first, tuple(kept))


# ---- JSON Lines ------------------------------------------------------------------------------------------------


def _json_lines(path: Path) -> Iterator[Record]:
    with path.open("rb") as file:
        if file.read(len(BOM_UTF8)) != BOM_UTF8:  # a mark of byte order is no part of the first record
            file.seek(0)
        while raw := file.readline(MOST_BYTES + 1):
            if len(raw) > MOST_BYTES and not raw.endswith(b"\n"):
                _skip_line(file)
                yield Fault(f"it has more than {MOST_BYTES // 1024**2} MB")
            else:
                yield raw.removesuffix(b"\n")


def _skip_line(file: IO[bytes]) -> None:
    while (piece := file.readline(_PIECE)) and not piece.endswith(b"\n"):
        pass


# ---- CSV -------------------------------------------------------------------------------------------------------


def _csv_lines(path: Path) -> Iterator[Record]:
    with path.open(encoding="utf-8-sig", errors="surrogateescape", newline="") as file:
        rows = _csv_rows(path, file)
        header = next(rows, None)
        if header is None:
            return
        yield from _csv_records(rows, _place(path, header), len(header))


def _csv_records(rows: Iterable[list[str]], place: int, width: int) -> Iterator[Record]:
    """A record a row, so that the numbers of answers are those of rows; empty lines count but for those at the end.

    Of one column, an empty line is an empty cell: that is how spreadsheets write it.
    """
    empty, waiting = [""] if width == 1 else [], 0
    for row in rows:
        if not row:
            waiting += 1
            continue
        yield from (_cell(empty, place, width) for _ in range(waiting))
        waiting = 0
        yield _cell(row, place, width)


def _csv_rows(path: Path, file: Iterable[str]) -> Iterator[list[str]]:
    """The rows of a table; InputError for a quoted cell that RFC 4180 does not know: it would hold rows unseen.

    A quotation mark that begins a cell opens it; the one that closes it stands before a comma or the end of a line. A
    mark inside a cell that none begins (6" tortilla) is a letter like any other.
    """
    csv.field_size_limit(MOST_BYTES)
    at_end = False

    def lines() -> Iterator[str]:
        nonlocal at_end
        yield from file
        at_end = True

    rows, begun = csv.reader(lines(), strict=True), 1
    try:
        for row in rows:
            yield row
            begun = rows.line_num + 1
    except csv.Error as error:
        if at_end:  # it asked for another line though the row had one
            why = f"line {begun}: a quotation mark opens a cell that nothing ends"
        else:
            why = _broken(str(error), begun, rows.line_num)
        raise InputError(f"{path}, {why}", line=begun) from None


def _broken(fault: str, begun: int, line: int) -> str:
    """Where and why a row cannot be read."""
    if _BEHIND_A_MARK not in fault:
        return f"line {line}: {fault}"
    opened = "" if begun == line else f" of a cell that is open since line {begun}"
    return f"line {line}: text stands behind the closing quotation mark{opened}; a mark within a cell is written twice"


def _place(path: Path, columns: list[str]) -> int:
    if columns.count(COLUMN) != 1:
        names = ", ".join(columns)[:200]
        raise InputError(f"{path} must have one column `{COLUMN}`; it has: {names}")
    return columns.index(COLUMN)


def _cell(row: list[str], place: int, width: int) -> Record:
    if any(row[width:]):  # "1 cup chickpeas, dried" without quotation marks would be cooked ones
        return Fault(f"it has {len(row)} cells, the header {width}: a cell with commas in it needs quotation marks")
    if place >= len(row):
        return Fault(f"it has no column `{COLUMN}`")
    try:
        row[place].encode()
    except UnicodeEncodeError:
        return Fault("it is not UTF-8")
    return row[place]


# ---- Parquet ---------------------------------------------------------------------------------------------------


def parquet() -> Any:
    """The library of Parquet files; GramwrightError where it is not installed."""
    try:
        import pyarrow.parquet
    except ImportError:
        raise GramwrightError("Parquet needs pyarrow: pip install 'gramwright[bulk]'") from None
    return pyarrow.parquet


@contextmanager
def _opened(path: Path) -> Iterator[Any]:
    library = parquet()
    with path.open("rb") as stream:
        try:
            file = library.ParquetFile(stream)
        except (ValueError, OSError) as error:
            raise InputError(f"{path} is no Parquet file: {error}") from None
        yield file


def _rows(path: Path) -> int:
    from pyarrow import types

    with _opened(path) as file:
        field = file.schema_arrow.field(_place(path, list(file.schema_arrow.names)))
        kind = field.type.value_type if types.is_dictionary(field.type) else field.type
        if not (types.is_string(kind) or types.is_large_string(kind) or types.is_string_view(kind)):
            raise InputError(f"the column `{COLUMN}` of {path} must be text, not {field.type}")
        return int(file.metadata.num_rows)


def _parquet_lines(path: Path) -> Iterator[Record]:
    with _opened(path) as file:
        for batch in file.iter_batches(batch_size=CHUNK_RECORDS, columns=[COLUMN]):
            yield from _texts(batch.column(0).to_pylist())


def _texts(cells: Iterable[str | None]) -> Iterator[Record]:
    for cell in cells:
        yield Fault(f"its `{COLUMN}` is null") if cell is None else cell


def same_file(one: Path, other: Path) -> bool:
    """Whether two names are one file."""
    try:
        return os.path.samefile(one, other)
    except OSError:
        return False
