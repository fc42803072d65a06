"""One FoodData Central download: its tables, and those that only the supporting-data download holds."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path

import pandas as pd

from importers.archive import Files, open_files
from importers.check import Findings, check_count, check_file
from importers.fdc.rows import described, empty_rows, read_blocks, read_rows

SUPPORTING = "FoodData_Central_Supporting_Data_csv_*.zip"
SHARED = frozenset({
    "nutrient.csv", "measure_unit.csv", "food_category.csv", "wweia_food_category.csv",
    "food_nutrient_derivation.csv", "food_nutrient_source.csv",
})  # tables that the supporting-data download holds too
COUNTS = "all_downloaded_table_record_counts.csv"
_DATE = re.compile(r"\d{4}-\d{2}(?:-\d{2})?")


class Publication:
    """Tables by file name; faults go to `findings`."""

    def __init__(self, files: Files, supporting: Files | None, findings: Findings) -> None:
        self.findings = findings
        self._columns = described()
        self._places: dict[str, Files] = {}
        for place in filter(None, (supporting, files)):
            self._places |= {name: place for name in place.sizes() if place is files or name in SHARED}
        self._counts = _counts(files)
        self._files = files

    def has(self, table: str) -> bool:
        """Whether the table is in the download or, if shared, in the supporting data."""
        return table in self._places

    def size(self, table: str) -> int:
        """Bytes of the table, 0 if there is none."""
        return self._places[table].sizes()[table] if self.has(table) else 0

    def require(self, *tables: str) -> None:
        """Every table is there; those that are not are faults."""
        for table in tables:
            if not self.has(table):
                also = f" and no {SUPPORTING} beside it" if table in SHARED else ""
                self.findings.add(f"is missing in {self._files.name}{also}", file=table)

    def read(self, table: str) -> pd.DataFrame:
        """The stored columns of a table, indexed by line; of one that is not there, without rows."""
        if not self.has(table):
            return empty_rows(self._columns[table])
        with self._places[table].open(table) as stream:
            frame = read_rows(stream, self._columns[table], self.findings)
        self._count(table, len(frame))
        return frame

    def blocks(self, table: str) -> Iterator[pd.DataFrame]:
        """The same in parts, of one block of the file each."""
        found = 0
        with self._places[table].open(table) as stream:
            for frame in read_blocks(stream, self._columns[table], self.findings):
                found += len(frame)
                yield frame
        self._count(table, found)

    def _count(self, table: str, found: int) -> None:
        """The download's own count of records, where it has one, is met."""
        stated = self._counts.get(table.removesuffix(".csv"))
        if stated is not None and self._places[table] is self._files and self.findings.clean(table):
            check_count(self.findings, found, stated, file=table)


def _counts(files: Files) -> Mapping[str, int]:
    if COUNTS not in files.sizes():
        return {}
    with files.open(COUNTS) as stream:
        rows = list(csv.reader(stream.read().decode("utf-8-sig", errors="replace").splitlines()))
    return {row[0]: int(row[1]) for row in rows[1:] if len(row) == 2 and row[1].isdecimal()}


@contextmanager
def open_publication(path: Path, supporting: Path | None, findings: Findings, *,
                     verify: bool) -> Iterator[Publication]:
    """The download at `path`, a folder or a zip, with the supporting data: `supporting`, or the newest that lies
    beside `path`. `verify` compares zips that checksums.csv knows with it, before anything is read.
    """
    beside = max(path.parent.glob(SUPPORTING), default=None)
    supporting = supporting or beside
    if verify:
        _verify([path, *([supporting] if supporting else [])], findings)
    with ExitStack() as stack:
        files = stack.enter_context(open_files(path, findings))
        shared = stack.enter_context(open_files(supporting, findings)) if supporting else None
        yield Publication(files, shared, findings)


def _verify(paths: list[Path], findings: Findings) -> None:
    with Path(__file__).with_name("checksums.csv").open(encoding="utf-8", newline="") as stream:
        published = {row["file"]: row for row in csv.DictReader(stream)}
    for path in paths:
        if path.is_file() and path.name in published:
            row = published[path.name]
            check_file(findings, path, sha256=row["sha256"], size=int(row["bytes"]))
    findings.raise_any()


def release_date(path: Path, published: pd.Series) -> str:
    """The release as its date: the one in the download's name, else the latest date of its foods.

    YYYY-MM-DD or, as SR Legacy is named, YYYY-MM.
    """
    named = _DATE.search(path.name)
    if named:
        return named.group()
    dates = pd.to_datetime(published[published != ""].drop_duplicates(), format="mixed", errors="coerce")
    return "" if dates.isna().all() else str(dates.max().date())
