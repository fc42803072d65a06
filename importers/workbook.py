"""Rows of spreadsheets (.xls, .xlsx) as text, each with its row number from 1.

A number's cell comes as the shortest text that gives the number back ("0.5", "31302"); an empty cell as "".
"""

from __future__ import annotations

import io
import struct
import zipfile
from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from xml.etree.ElementTree import ParseError

import numpy as np
import openpyxl  # type: ignore[import-untyped]
import xlrd  # type: ignore[import-untyped]
from openpyxl.utils.exceptions import InvalidFileException  # type: ignore[import-untyped]

from importers.archive import DAMAGED, open_files
from importers.check import Findings
from importers.headed import Row

LARGEST = 2**29  # unpacked bytes of an .xlsx, itself a zip; the largest in use has 16 million
# What their readers raise at bytes that are no workbook, found by fuzzing: a torn one fails anywhere in them.
DAMAGED_XLS = (
    *DAMAGED, xlrd.XLRDError, xlrd.compdoc.CompDocError, struct.error, LookupError, ValueError, TypeError,
    ArithmeticError, AttributeError, AssertionError,
)
DAMAGED_XLSX = (*DAMAGED, InvalidFileException, ParseError, LookupError, ValueError, TypeError, RuntimeError, OSError)


def read_workbook(path: Path, suffix: str, findings: Findings) -> tuple[str, bytes]:
    """Name and bytes of the one workbook: `path` itself, or the one in that folder or zip; DataError if there is not
    exactly one.
    """
    if path.suffix == suffix and path.is_file():
        return path.name, path.read_bytes()
    with open_files(path, findings) as files:
        found = [name for name in files.sizes() if name.endswith(suffix)]
        if len(found) != 1:
            findings.add(f"holds {len(found)} files *{suffix}, one is due", file=path.name)
            findings.raise_any()
        with files.open(found[0]) as stream:
            return found[0], stream.read()


def xls_rows(data: bytes, sheet: str, findings: Findings, *, file: str) -> Iterator[Row]:
    """Rows of one sheet of an .xls; a damaged file or a missing sheet is a fault and gives no rows."""
    try:
        with xlrd.open_workbook(file_contents=data, logfile=io.StringIO(), on_demand=True) as book:
            found = book.sheet_by_name(sheet)
            rows = [(n + 1, _texts(found.row_values(n))) for n in range(found.nrows)]
    except DAMAGED_XLS as error:
        why = str(error) if isinstance(error, xlrd.XLRDError) else f"it is damaged or cut short ({error})"
        findings.add(f"cannot be read: {why}", file=file, column=sheet)
        return iter(())
    return iter(rows)


def xlsx_rows(data: bytes, sheets: Sequence[str], findings: Findings, *, file: str) -> list[Iterator[Row]]:
    """Rows of the named sheets of an .xlsx; a damaged file or a missing sheet is a fault and gives no rows."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as parts:
            size = sum(part.file_size for part in parts.infolist())
        if size > LARGEST:
            findings.add(f"expands to {size:,} bytes, more than {LARGEST:,}", file=file)
            return [iter(()) for _ in sheets]
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        return [_sheet(book, sheet) for sheet in sheets]
    except DAMAGED as error:
        findings.add(f"cannot be read: it is damaged or cut short ({error})", file=file)
        return [iter(()) for _ in sheets]
    except DAMAGED_XLSX as error:
        findings.add(f"cannot be read: {error}", file=file)
        return [iter(()) for _ in sheets]


def _sheet(book: openpyxl.Workbook, sheet: str) -> Iterator[Row]:
    return iter([(n, _texts(row)) for n, row in enumerate(book[sheet].iter_rows(values_only=True), start=1)])


def _texts(cells: Iterable[object]) -> list[str]:
    return [_text(cell) for cell in cells]


@lru_cache(maxsize=100_000)
def _text(cell: object) -> str:
    if cell is None:
        return ""
    return str(np.format_float_positional(cell, trim="-")) if isinstance(cell, float) else str(cell)
