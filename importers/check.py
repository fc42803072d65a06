"""Gathers every fault of a publication's files and raises them once, as one DataError."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import IO

import pandas as pd

from service.core.errors import DataError, Fault

# Texts as Python holds them, whatever else is installed: where pandas finds pyarrow it would take a fifth more memory.
pd.options.mode.string_storage = "python"


class Findings:
    """The faults found so far in one publication; an importer makes one and raises at the end."""

    def __init__(self, publication: str) -> None:
        self.publication = publication
        self._faults: list[Fault] = []

    @property
    def faults(self) -> tuple[Fault, ...]:
        return tuple(self._faults)

    def add(self, message: str, *, file: str, line: int = 0, column: str = "", value: object = "") -> None:
        """Note one fault; `line` counts from 1, 0 means the file as a whole."""
        self._faults.append(Fault(file, line, column, str(value), message))

    def add_cells(self, message: str, cells: Iterable[tuple[object, object]], *, file: str, column: str) -> None:
        """Note the same fault for several (line, value) cells of one column."""
        for line, value in cells:
            self.add(message, file=file, line=int(str(line)), column=column, value=value)

    def clean(self, *files: str) -> bool:
        """True while nothing is wrong with these files, so that checks between them say something new."""
        return not any(fault.file in files for fault in self._faults)

    def raise_any(self) -> None:
        """Raise one DataError with every fault, in order of file and line, if there is any."""
        if self._faults:
            raise DataError(self.publication, tuple(sorted(self._faults, key=lambda f: (f.file, f.line, f.column))))


def check_unique(findings: Findings, frame: pd.DataFrame, keys: list[str], *, file: str) -> None:
    """Each row's `keys` stand once; `frame` is indexed by line number."""
    again = frame.loc[frame.duplicated(keys), keys]
    cells = zip(again.index, again.map(str).agg(" ".join, axis=1), strict=True) if len(again) else ()
    findings.add_cells("stands twice", cells, file=file, column="+".join(keys))


def check_known(findings: Findings, column: pd.Series, known: Collection[str], *, file: str, what: str) -> None:
    """Each value of a category column, indexed by line number, is "" or one of `known`."""
    strange = set(column.cat.categories) - set(known) - {""}
    if strange:
        cells = column[column.isin(strange)]
        findings.add_cells(f"no such {what}", cells.items(), file=file, column=str(column.name))


def check_count(findings: Findings, found: int, expected: int, *, file: str) -> None:
    """The file gave as many rows as its release is known to have."""
    if found != expected:
        findings.add(f"{found:,} rows read, {expected:,} expected", file=file)


def check_encoding(data: bytes, encoding: str, findings: Findings, *, file: str) -> bool:
    """Text in an encoding of one byte a letter is no text in UTF-8 or UTF-16, which would be read as other letters."""
    if b"\0" not in data and (data.isascii() or not _is_utf8(data)):
        return True
    findings.add(f"is not in {encoding}, as published, but in another encoding", file=file)
    return False


def _is_utf8(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def check_file(findings: Findings, path: Path, *, sha256: str, size: int) -> None:
    """The file is there, is as long as published and has the published SHA-256."""
    try:
        with path.open("rb") as stream:
            check_content(findings, stream, path.stat().st_size, file=path.name, sha256=sha256, size=size)
    except OSError as error:
        findings.add(f"cannot be read: {error.strerror or error}", file=path.name)


def check_content(findings: Findings, stream: IO[bytes], found: int, *, file: str, sha256: str, size: int) -> None:
    """A file's stream of `found` bytes is as long as published and has the published SHA-256."""
    digest = hashlib.file_digest(stream, "sha256").hexdigest()  # type: ignore[arg-type]
    if found < size:
        findings.add(f"is truncated: {found:,} bytes, {size:,} expected", file=file)
    elif digest != sha256:
        findings.add(f"wrong checksum: SHA-256 {sha256} expected", file=file, value=digest)
