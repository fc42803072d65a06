"""Publications with faults put in: invented files of every importer, edited; `python -m tests.fuzz.importers`.

An input is text: the importer's name, then an edit a line. Files and rows count from 0 and start over past the last.

    c FILE ROW CELL TEXT    the cell says this text       d FILE ROW    the row is gone
    t FILE ROW              the row stands twice          x FILE        the file is missing
    b FILE PLACE TEXT       bytes of the file are these   e FILE PLACE  the file ends there
    z PLACE TEXT            packed in a zip, in which bytes are these
    w TEXT                  what follows is the whole workbook
"""

from __future__ import annotations

import io
import sys
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import numpy as np

from importers import afcd, ciqual, cnf, fineli, sr28
from importers.check import Findings
from importers.fdc import branded, foundation, sr_legacy, survey
from importers.release import ReleaseData
from importers.workbook import xls_rows, xlsx_rows
from service.core.errors import GramwrightError
from tests.fuzz import fuzzing
from tests.importers import test_afcd, test_cnf, test_fineli

SEEDS = Path(__file__).parent / "seeds" / "importers"
FIXTURES = Path(__file__).parents[1] / "importers" / "fixtures"
LONGEST = 400
MOST_EDITS = 12
Files = dict[str, bytes]


def folder_files(folder: Path) -> Files:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def text_files(texts: dict[str, str], encoding: str) -> Files:
    return {name: text.replace("\n", "\r\n").encode(encoding) for name, text in texts.items()}


@cache
def workbook_file() -> Files:
    with tempfile.TemporaryDirectory() as folder:
        return {"table.xlsx": test_afcd.workbook(Path(folder) / "table.xlsx").read_bytes()}


@dataclass(frozen=True, slots=True)
class Publication:
    """An importer with its invented files; `separator` stands between the cells of a row."""

    files: Callable[[], Files]
    read: Callable[[Path], ReleaseData]
    separator: bytes = b","
    dated: str = "download"


def _fdc(module: object, name: str) -> Publication:
    folder = FIXTURES / "fdc"
    return Publication(
        lambda: folder_files(folder / name),
        lambda path: module.read(path, supporting=folder / "supporting", verify=False),  # type: ignore[attr-defined]
        dated=name,
    )


PUBLICATIONS = {
    "sr28": Publication(lambda: folder_files(FIXTURES / "sr28"), lambda path: sr28.read(path, verify=False), b"^"),
    "cnf": Publication(lambda: text_files(test_cnf.TEXTS, "cp1252"), lambda path: cnf.read(path, verify=False)),
    "fineli": Publication(
        lambda: text_files(test_fineli.TEXTS, "latin-1"), lambda path: fineli.read(path, verify=False), b";"
    ),
    "afcd": Publication(workbook_file, lambda path: afcd.read(path, verify=False)),
    "foundation": _fdc(foundation, "foundation_2024-10-31"),
    "foundation of 2019": _fdc(foundation, "foundation_2019-10-11"),
    "sr legacy": _fdc(sr_legacy, "sr_legacy_2018-04-01"),
    "survey": _fdc(survey, "survey_2022-10-28"),
    "branded": _fdc(branded, "branded_2024-10-31"),
}


@dataclass(slots=True)
class Edited:
    """The files of a publication as an input makes them."""

    files: Files
    separator: bytes
    packed: list[tuple[int, bytes]] = field(default_factory=list)

    def edit(self, line: bytes) -> None:
        kind, *said = line.split(b" ", 4 if line[:1] == b"c" else 3)
        names = sorted(self.files)
        if kind == b"z":
            self.packed.append((_number(said, 0), b" ".join(said[1:])))
        elif names:
            name = names[_number(said, 0) % len(names)]
            self._edit(kind, name, said)

    def _edit(self, kind: bytes, name: str, said: list[bytes]) -> None:
        data = self.files[name]
        if kind == b"x":
            del self.files[name]
        elif kind == b"e":
            self.files[name] = data[: _number(said, 1) % (len(data) + 1)]
        elif kind == b"b":
            place = _number(said, 1) % (len(data) + 1)
            text = b" ".join(said[2:])
            self.files[name] = data[:place] + text + data[place + len(text) :]
        elif kind in (b"c", b"d", b"t"):
            rows = data.split(b"\n")
            row = _number(said, 1) % len(rows)
            rows[row : row + 1] = self._row(kind, rows[row], said)
            self.files[name] = b"\n".join(rows)

    def _row(self, kind: bytes, row: bytes, said: list[bytes]) -> list[bytes]:
        if kind != b"c":
            return [row, row] if kind == b"t" else []
        cells = row.split(self.separator)
        cells[_number(said, 2) % len(cells)] = b" ".join(said[3:])
        return [self.separator.join(cells)]


def _number(said: list[bytes], place: int) -> int:
    digits = said[place][:9] if place < len(said) else b""
    return int(digits) if digits.isdigit() else 0


def check(data: bytes) -> None:
    name, _, edits = data.partition(b"\n")
    if edits[:2] == b"w ":
        check_workbook(edits[2:])
        return
    publication = PUBLICATIONS.get(name.decode("latin-1"))
    if publication is None:
        publication = list(PUBLICATIONS.values())[sum(name) % len(PUBLICATIONS)]
    edited = Edited(dict(publication.files()), publication.separator)
    for line in edits.split(b"\n")[:MOST_EDITS]:
        edited.edit(line)
    with tempfile.TemporaryDirectory(dir=scratch()) as folder:
        try:
            release = publication.read(written(edited, Path(folder) / publication.dated))
        except GramwrightError:
            return
        check_release(release)


def scratch() -> str | None:
    """A place in memory for the files, where there is one."""
    return "/dev/shm" if Path("/dev/shm").is_dir() else None


def written(edited: Edited, folder: Path) -> Path:
    """The files in a folder, or packed in a zip beside it; a workbook is read as it stands."""
    if list(edited.files) == ["table.xlsx"] and not edited.packed:
        folder = folder.with_name("table.xlsx")
        folder.write_bytes(edited.files["table.xlsx"])
        return folder
    if not edited.packed:
        folder.mkdir()
        for name, data in edited.files.items():
            (folder / name).write_bytes(data)
        return folder
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in edited.files.items():
            archive.writestr(name, data)
    whole = bytearray(packed.getvalue())
    for place, text in edited.packed:
        at = place % len(whole)
        whole[at : at + len(text)] = text
    path = folder.with_name(f"{folder.name}.zip")
    path.write_bytes(whole)
    return path


def check_workbook(data: bytes) -> None:
    """Any bytes as a workbook are rows, or faults that were found."""
    for read in (lambda found: [xls_rows(data, ciqual.files.SHEET, found, file="table.xls")],
                 lambda found: xlsx_rows(data, ("compo", "x"), found, file="table.xlsx")):  # fmt: skip
        findings = Findings("a table")
        rows = [list(one) for one in read(findings)]
        assert findings.faults or all(isinstance(cell, str) for one in rows for _, cells in one for cell in cells)


def check_release(release: ReleaseData) -> None:
    """What is taken as a release can be stored: known places, finite figures, ids that stand once, storable text."""
    values, foods = release.values, release.foods
    ids = [food.entry.id for food in foods]
    assert len(set(ids)) == len(ids)
    assert np.isfinite(values.amount).all()
    assert not np.isinf(values.standard_error).any()
    for column, size in ((values.food, len(foods)), (values.component, len(release.components))):
        assert len(column) == len(values.amount)
        assert ((column >= 0) & (column < size)).all()
    for food in foods:
        entry = food.entry
        assert entry.id.startswith(f"{release.dataset}:")
        assert 0 <= entry.refuse_percent <= 100
        assert all(0 < measure.grams < np.inf and 0 < measure.amount < np.inf for measure in entry.measures)
        texts = (entry.id, entry.description, entry.group_name, entry.scientific_name, food.original_name,
                 food.manufacturer, *(measure.text for measure in entry.measures))  # fmt: skip
        for text in texts:
            assert "\0" not in text, "no database but SQLite keeps it"
            text.encode()
    tagnames = [component.tagname for component in release.components]
    assert len(set(tagnames)) == len(tagnames)


def ready() -> None:
    for publication in PUBLICATIONS.values():
        publication.files()


if __name__ == "__main__":
    fuzzing.main("importers", sys.argv[1:])
