"""A small .xls of text cells, which no library in use writes: BIFF8 records of [MS-XLS] without a container."""

from __future__ import annotations

import struct
from collections.abc import Sequence

_BOF, _EOF, _SHEET, _LABEL = 0x0809, 0x000A, 0x0085, 0x0204
_GLOBALS, _WORKSHEET = 0x0005, 0x0010


def xls(sheet: str, rows: Sequence[Sequence[str]]) -> bytes:
    """A workbook with one sheet of these rows."""
    end, start = _record(_EOF, b""), len(_begin(_GLOBALS)) + len(_named(sheet, 0)) + len(_record(_EOF, b""))
    cells = (
        _record(_LABEL, struct.pack("<HHHHB", line, column, 0, len(text), 1) + text.encode("utf-16-le"))
        for line, row in enumerate(rows) for column, text in enumerate(row) if text
    )  # fmt: skip
    return b"".join((_begin(_GLOBALS), _named(sheet, start), end, _begin(_WORKSHEET), *cells, end))


def _record(kind: int, data: bytes) -> bytes:
    return struct.pack("<HH", kind, len(data)) + data


def _begin(what: int) -> bytes:
    return _record(_BOF, struct.pack("<HHHHII", 0x0600, what, 0x0DBB, 0x07CC, 0, 6))


def _named(sheet: str, start: int) -> bytes:
    return _record(_SHEET, struct.pack("<IHBB", start, 0, len(sheet), 0) + sheet.encode("latin-1"))
