"""Reading of hand-kept CSV tables; a bad row is named by file, line, column and value."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from service.core.errors import TableError


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row of a table with its place, for errors that point at it."""

    file: str
    line: int
    columns: Mapping[str, int]
    values: Sequence[str]

    def text(self, column: str) -> str:
        """The cell's text without outer spaces."""
        return self.values[self.columns[column]].strip()

    @property
    def cells(self) -> dict[str, str]:
        """All cells by their columns."""
        return {column: self.text(column) for column in self.columns}

    def required(self, column: str) -> str:
        """The cell's text, which may not be empty."""
        text = self.text(column)
        if not text:
            raise self.fault(column, "is empty")
        return text

    def number(self, column: str, default: float | None = None) -> float:
        """The cell as a number of zero or more; an empty cell is `default`, or a fault where there is none."""
        text = self.text(column)
        if not text and default is not None:
            return default
        try:
            value = float(text)
        except ValueError:
            raise self.fault(column, "is no number") from None
        if not 0 <= value < 1e7:
            raise self.fault(column, "is not between 0 and 10,000,000")
        return value

    def one_of(self, column: str, allowed: Sequence[str]) -> str:
        """The cell's text, which must be one of `allowed`."""
        text = self.text(column)
        if text not in allowed:
            raise self.fault(column, "is none of " + ", ".join(repr(one) for one in allowed))
        return text

    def alternatives(self, column: str) -> tuple[str, ...]:
        """The cell's alternatives, parted by "|"; an empty cell is one empty alternative."""
        return tuple(part.strip() for part in self.text(column).split("|"))

    def bounded(self, value: str = "value") -> tuple[float, float, float]:
        """(value, low, high) of the columns `value`, "low" and "high"; low and high must contain the value."""
        middle = self.number(value)
        low, high = self.number("low", middle), self.number("high", middle)
        if low > middle:
            raise self.fault("low", f"is above {value}")
        if high < middle:
            raise self.fault("high", f"is below {value}")
        return middle, low, high

    def fault(self, column: str, message: str) -> TableError:
        """The error for a cell of this row."""
        return TableError(message, file=self.file, line=self.line, column=column, value=self.cells.get(column, ""))


@dataclass(frozen=True, slots=True)
class TableColumns:
    """A table by columns, for one of many thousand rows: what one value must be is asked once a value, not once a row.

    lines  where each row ends in the file
    """

    file: str
    lines: Sequence[int]
    cells: Mapping[str, Sequence[str]]

    def check(self, column: str, good: Callable[[str], object], message: str) -> None:
        """Raise TableError for the first row whose value in a column is not `good`."""
        values = self.cells[column]
        bad = {value for value in set(values) if not good(value)}
        if bad:
            place = next(place for place, value in enumerate(values) if value in bad)
            raise self.fault(place, column, message)

    def fault(self, place: int, column: str, message: str) -> TableError:
        """The error for a cell of the row at a place."""
        return TableError(
            message, file=self.file, line=self.lines[place], column=column, value=self.cells[column][place]
        )


def read_columns(path: Path, columns: Sequence[str]) -> TableColumns:
    """The columns of a UTF-8 CSV file with exactly these, in any order; cells without outer spaces."""
    (_, header), *rows = _iter_cells(path, columns)
    by_place = list(zip(*(values for _, values in rows), strict=True)) or [()] * len(header)
    cells = {column: tuple(map(str.strip, values)) for column, values in zip(header, by_place, strict=True)}
    return TableColumns(path.name, [line for line, _ in rows], cells)


def read_rows(path: Path, columns: Sequence[str], *, key: Sequence[str]) -> list[TableRow]:
    """The rows of a UTF-8 CSV file with exactly these columns, in any order; no two rows agree in all `key` columns.

    Raises TableError for a file that cannot be read, a header that lacks a column or has one too many, a row of
    another length, or a doubled key.
    """
    rows = list(iter_rows(path, columns))
    seen: dict[tuple[str, ...], int] = {}
    for row in rows:
        value = tuple(row.text(column) for column in key)
        if value in seen:
            raise row.fault(key[0], f"is doubled: line {seen[value]} has the same {', '.join(key)}")
        seen[value] = row.line
    return rows


def iter_rows(path: Path, columns: Sequence[str]) -> Iterator[TableRow]:
    """The rows of a table one by one, without the check for doubles."""
    cells = _iter_cells(path, columns)
    _, header = next(cells)
    places = {column: place for place, column in enumerate(header)}
    return (TableRow(path.name, line, places, values) for line, values in cells)


def _iter_cells(path: Path, columns: Sequence[str]) -> Iterator[tuple[int, list[str]]]:
    """The header, then each row, with the line where it ends."""
    name = path.name
    try:
        with path.open(encoding="utf-8", newline="") as file:
            reader = csv.reader(file, strict=True)
            header = next(reader, [])
            _check_header(name, header, columns)
            yield 1, header
            for cells in reader:
                if len(cells) != len(header):
                    message = f"has {len(cells)} cells, not {len(header)}"
                    raise TableError(message, file=name, line=reader.line_num, column=header[0], value=",".join(cells))
                yield reader.line_num, cells
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise TableError(f"cannot be read: {error}", file=name, line=0, column="", value="") from error


def _check_header(name: str, header: Sequence[str], columns: Sequence[str]) -> None:
    for column in columns:
        if column not in header:
            raise TableError("the column is missing", file=name, line=1, column=column, value=",".join(header))
    for column in header:
        if column not in columns or list(header).count(column) > 1:
            message = "the column is unknown or doubled"
            raise TableError(message, file=name, line=1, column=column, value=",".join(header))
