"""USDA FoodData Central, branded foods: packaged products by their labels, millions of them, read in bounded memory.

The tables need not stand in one order, so their rows are dealt out into scratch files by food, some ten thousand foods
a file; each then becomes one part of the release. Not imported are

* superseded twins: of products with the same GTIN only the one published last stays, as the publisher advises;
* products whose label counts by the millilitre or does not say by what: their values are per 100 ml, or may be, and
  no density is published.
"""

from __future__ import annotations

import pickle
import tempfile
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from importers.check import Findings
from importers.fdc.components import NUTRIENTS, StandIn, check_nutrients, check_used, choose_components, load_units
from importers.fdc.measures import read_leading_amount
from importers.fdc.publication import Publication, open_publication, release_date
from importers.fdc.rows import BLOCK, ENOUGH, records
from importers.fdc.values import Derivations, ValueRows, check_derivations, pack_values, read_derivations
from importers.fdc.whole import LICENCE, citation, stand_in_note
from importers.release import (
    CodeText,
    Progress,
    ReleaseData,
    ReleaseFood,
    ReleaseValues,
    no_progress,
)
from service.core.errors import StoreError
from service.core.food import FoodEntry, HouseholdMeasure

DATASET = "fdc-branded"
NAME = "USDA FoodData Central, Branded Foods"
CITATION = citation("Branded Foods")
ENERGY = "Energy as each label states it, rounded by the rules of the label"
FIBRE = "Fibre as each label states it; the method is not published"
PART = 10_000  # foods in one part

NEEDED = ("food.csv", "branded_food.csv", "food_nutrient.csv", "nutrient.csv")
OPTIONAL = ("food_nutrient_derivation.csv", "food_nutrient_source.csv")
KIND = "branded_food"  # food.csv also holds other kinds in the full download
DEALT = {
    "food": ("description",),
    "branded_food": ("manufacturer", "brand", "short_description", "household", "group", "serving", "gtin"),
}
RECORD = np.dtype([("rank", "<i4"), ("nutrient", "<i2"), ("derivation", "<i2"), ("samples", "<i4"), ("line", "<i4"),
                   ("amount", "<f8")])

__all__ = ["CITATION", "DATASET", "LICENCE", "NAME", "read", "read_chunks"]


def read(path: Path, *, supporting: Path | None = None, verify: bool = True,
         progress: Progress | None = None) -> ReleaseData:
    """The whole release at once, for downloads that fit into memory; as `read_chunks`."""
    return join_parts(list(read_chunks(path, supporting=supporting, verify=verify, progress=progress)))


def read_chunks(path: Path, *, supporting: Path | None = None, part: int = PART, scratch: Path | None = None,
                verify: bool = True, progress: Progress | None = None) -> Generator[ReleaseData, None, None]:
    """The release at `path`, a folder or zip, in parts of at most `part` foods.

    All parts have the same components, groups, codes and names; their foods follow each other in order of id and no
    food is in two parts; a part's values refer to its own foods, from 0. Every fault found is raised in one DataError
    before the first part. Scratch files in `scratch` (by default the system's place for such; half the size of the
    tables) go when the iterator ends or is closed.
    """
    findings = Findings(NAME)
    with (open_publication(path, supporting, findings, verify=verify) as publication,
          _scratch(scratch) as folder):
        publication.require(*NEEDED)
        findings.raise_any()
        deal = _Deal(publication, findings, folder, part, progress or no_progress)
        deal.run()
        shared = replace(deal.frame(), release=release_date(path, deal.dates))
        for bucket in range(deal.buckets):
            data = _part(shared, deal, bucket)
            if data.foods:
                yield data


@contextmanager
def _scratch(place: Path | None) -> Iterator[Path]:
    """A folder for scratch files; what cannot be kept there, as on a full disk, is told of it."""
    with tempfile.TemporaryDirectory(dir=place, prefix="branded-") as folder:
        try:
            yield Path(folder)
        except OSError as error:
            message = f"{NAME} needs room for scratch files, half of what its tables take, in {Path(folder).parent}"
            raise StoreError(f"{message}: {error.strerror or error} (TMPDIR names another place)") from error


class _Deal:
    """Reads every table (food.csv twice, first for its ids) and deals its rows out to scratch files, three a part."""

    def __init__(self, publication: Publication, findings: Findings, folder: Path, part: int,
                 progress: Progress) -> None:
        self._publication, self._findings, self._folder, self._size = publication, findings, folder, part
        self._progress, self._done = progress, 0
        self._total = sum(map(publication.size, (*NEEDED, "food.csv")))
        self._units = load_units("serving")
        self._used = np.zeros(NUTRIENTS, bool)
        self._groups: set[str] = set()

    def run(self) -> None:
        """Deal everything out; every fault found is raised in one DataError."""
        nutrients = self._publication.read("nutrient.csv")
        check_nutrients(nutrients, self._findings)
        self.derivations = self._read_derivations()
        self._ranks = self._read_ranks()
        self._findings.raise_any()
        self._each("food.csv", self._deal_foods)
        self._each("branded_food.csv", self._deal_products)
        self._check_listed()
        self._findings.raise_any()
        self.kept = self._latest() & self._by_weight
        known = np.zeros(NUTRIENTS, bool)
        known[nutrients["nutrient"].to_numpy(np.int64)] = True
        self._each("food_nutrient.csv", lambda rows: self._deal_values(rows, known))
        self._check_twice()
        if self._findings.clean("food_nutrient.csv") and not self._used.any():
            self._findings.add("has no values of the release's foods", file="food_nutrient.csv")
        self._findings.raise_any()
        self.components = choose_components(nutrients, set(np.flatnonzero(self._used).tolist()))
        self._progress(self._total, self._total, f"Reading {NAME}")

    def _read_derivations(self) -> Derivations:
        derivations, sources = map(self._publication.read, OPTIONAL)
        return read_derivations(derivations, sources, self._findings)

    @property
    def buckets(self) -> int:
        """Number of scratch files of each sort."""
        return -(-len(self._ranks.ids) // self._size)

    def frame(self) -> ReleaseData:
        """What all parts have in common."""
        return ReleaseData(
            dataset=DATASET, name=NAME, release="", licence=LICENCE, citation=CITATION,
            components=self.components.listed, groups=tuple(CodeText(name, name) for name in sorted(self._groups)),
            foods=(), values=empty_values(), sources=self.derivations.sources, derivations=self.derivations.codes,
            carbohydrate_basis="total", energy_basis=ENERGY, fibre_method=FIBRE)

    def foods(self, bucket: int) -> pd.DataFrame:
        """The kept foods of one bucket by rank, with the number of each."""
        frames = {sort: self._load(sort, bucket) for sort in ("food", "branded_food")}
        foods = frames["food"].join(frames["branded_food"], how="inner").sort_index()
        foods = foods[self.kept[foods.index.to_numpy()]]
        return pd.DataFrame(foods.assign(number=self._ranks.ids[foods.index]))

    def values(self, bucket: int) -> NDArray[Any]:
        """The values of one bucket as RECORDs."""
        path = self._path("value", bucket)
        return np.fromfile(path, RECORD) if path.exists() else np.empty(0, RECORD)

    def _each(self, table: str, deal: Callable[[pd.DataFrame], None]) -> None:
        size, done = self._publication.size(table), 0
        for rows in self._publication.blocks(table):
            self._progress(self._done + min(done, size), self._total, f"Reading {NAME}")
            deal(rows)
            done += BLOCK
            if len(self._findings.faults) > ENOUGH:
                break
        self._done += size

    def _read_ranks(self) -> _Ranks:
        """The ids of all branded foods, in order of id as text."""
        ids: list[NDArray[np.int32]] = []
        dates: list[pd.Series] = []

        def note(rows: pd.DataFrame) -> None:
            mine = rows[rows["kind"] == KIND]
            ids.append(mine["food"].dropna().to_numpy(np.int32))
            dates.append(mine["published"].drop_duplicates())

        self._each("food.csv", note)
        self.dates = pd.concat(dates).drop_duplicates() if dates else pd.Series(dtype="str")
        ranks = _Ranks(np.concatenate(ids) if ids else np.empty(0, np.int32))
        self._published = np.zeros(len(ranks.ids), np.int32)
        self._gtin = np.full(len(ranks.ids), -1, np.int64)
        self._by_weight, self._listed, self._told = (np.zeros(len(ranks.ids), bool) for _ in range(3))
        if not len(ranks.ids) and self._findings.clean("food.csv"):
            self._findings.add(f"has no food of type {KIND}", file="food.csv")
        return ranks

    def _deal_foods(self, rows: pd.DataFrame) -> None:
        mine = rows[rows["kind"] == KIND]
        rank = self._ranks.of(mine["food"])
        self._once(mine["food"], rank, self._told, "food.csv")
        self._published[rank] = _days(mine["published"])
        self._store("food", rank, mine)

    def _deal_products(self, rows: pd.DataFrame) -> None:
        rank = self._ranks.of(rows["food"])
        strange = rows["food"][rank < 0].dropna()  # what is no number has been told
        if self._findings.clean("food.csv"):
            self._findings.add_cells("no such food", strange.astype(int).items(), file="branded_food.csv",
                                     column="fdc_id")
        rows, rank = rows[rank >= 0], rank[rank >= 0]
        self._once(rows["food"], rank, self._listed, "branded_food.csv")
        unknown = rows["serving_unit"][~rows["serving_unit"].isin({"", *self._units})]
        self._findings.add_cells("no such unit", unknown.items(), file="branded_food.csv", column="serving_size_unit")
        self._by_weight[rank] = rows["serving_unit"].map(self._units).to_numpy() == "g"
        self._gtin[rank] = _gtins(rows["gtin"])
        self._groups.update(rows["group"].unique())
        self._store("branded_food", rank, rows)

    def _once(self, foods: pd.Series, rank: NDArray[np.int64], seen: NDArray[np.bool_], file: str) -> None:
        """Each food stands once in its table."""
        again = foods[seen[rank] | foods.duplicated()]
        self._findings.add_cells("stands twice", again.astype(int).items(), file=file, column="food")
        seen[rank] = True

    def _check_listed(self) -> None:
        if self._findings.clean("branded_food.csv") and not self._by_weight.any():
            self._findings.add("has no food whose values are per 100 g", file="branded_food.csv")

    def _latest(self) -> NDArray[np.bool_]:
        """Which listed foods are the last published of their GTIN, of one day the one with the highest id."""
        order = np.lexsort((self._ranks.ids, self._published, self._gtin))
        gtin = self._gtin[order]
        last = np.ones(len(order), bool)
        last[:-1] = (gtin[:-1] != gtin[1:]) | (gtin[:-1] < 0)
        kept = np.zeros(len(order), bool)
        kept[order] = last
        return kept & self._listed

    def _deal_values(self, rows: pd.DataFrame, known: NDArray[np.bool_]) -> None:
        rank = self._ranks.of(rows["food"])
        wanted = (rank >= 0) & self.kept[rank] & rows["amount"].notna().to_numpy()
        for numbers in (rows["nutrient"], rows["derivation"].fillna(0)):  # what may not be has been told
            wanted &= numbers.between(0, NUTRIENTS - 1).to_numpy()
        rows, rank = rows[wanted], rank[wanted]
        nutrient = rows["nutrient"].to_numpy(np.int64)
        if not known[nutrient].all():
            check_used(rows["nutrient"], set(np.flatnonzero(known)), self._findings)
            return
        check_derivations(rows["derivation"], self.derivations, self._findings)
        self._used[nutrient] = True
        records = np.empty(len(rows), RECORD)
        records["rank"], records["nutrient"], records["line"] = rank, nutrient, rows.index
        records["amount"] = rows["amount"]
        records["derivation"], records["samples"] = rows["derivation"].fillna(0), rows["samples"].fillna(0)
        for bucket, place in self._split(rank):
            with self._path("value", bucket).open("ab") as stream:
                stream.write(records[place].tobytes())

    def _check_twice(self) -> None:
        for bucket in range(self.buckets):
            records = self.values(bucket)
            key = records["rank"].astype(np.int64) * NUTRIENTS + records["nutrient"]
            if len(np.unique(key)) < len(key):
                again = pd.Series(key, index=records["line"]).sort_index()
                again = again[again.duplicated()]
                cells = [(line, f"{self._ranks.ids[k // NUTRIENTS]} {k % NUTRIENTS}") for line, k in again.items()]
                self._findings.add_cells("stands twice", cells, file="food_nutrient.csv", column="food+nutrient")

    def _split(self, rank: NDArray[np.int64]) -> Iterator[tuple[int, NDArray[np.int64]]]:
        """(bucket, places of its rows) for the buckets that these ranks fall into."""
        bucket = rank // self._size
        order = np.argsort(bucket, kind="stable")
        found, starts = np.unique(bucket[order], return_index=True)
        if not len(found):  # splitting nothing gives one piece
            return
        yield from zip(found.tolist(), np.split(order, starts[1:]), strict=True)

    def _store(self, sort: str, rank: NDArray[np.int64], rows: pd.DataFrame) -> None:
        columns = [rank, *(rows[name].to_numpy(object) for name in DEALT[sort])]
        for bucket, place in self._split(rank):
            with self._path(sort, bucket).open("ab") as stream:
                pickle.dump([column[place] for column in columns], stream)

    def _load(self, sort: str, bucket: int) -> pd.DataFrame:
        pieces: list[list[NDArray[Any]]] = []
        path = self._path(sort, bucket)
        if path.exists():
            with path.open("rb") as stream:
                while stream.peek(1):
                    pieces.append(pickle.load(stream))
        columns = [np.concatenate(column) for column in zip(*pieces, strict=True)] or [np.empty(0, np.int64)]
        return pd.DataFrame(dict(zip(DEALT[sort], columns[1:], strict=False)), index=columns[0], dtype=object)

    def _path(self, sort: str, bucket: int) -> Path:
        return self._folder / f"{sort}-{bucket:05}"


class _Ranks:
    """The place of each food in order of its id as text: 12 before 120 before 13."""

    def __init__(self, ids: NDArray[np.int32]) -> None:
        ids = np.unique(ids)
        length = np.searchsorted(10 ** np.arange(11), ids, side="right")  # in digits
        by_text = np.lexsort((length, ids.astype(np.int64) * 10 ** (10 - length)))
        self.ids = ids[by_text]
        self._numeric = ids
        self._rank = np.empty(len(ids), np.int32)
        self._rank[by_text] = np.arange(len(ids))

    def of(self, foods: pd.Series) -> NDArray[np.int64]:
        """Rank of each food, -1 for one that is not branded."""
        number = foods.fillna(0).to_numpy(np.int64)
        place = np.minimum(np.searchsorted(self._numeric, number), len(self._numeric) - 1)
        return np.where(self._numeric[place] == number, self._rank[place], -1).astype(np.int64)


def _gtins(texts: pd.Series) -> NDArray[np.int64]:
    """Each GTIN as a number, whatever zeros lead it; -1 where there is none, as a row of zeros."""
    numbers = pd.to_numeric(texts.where(texts.str.fullmatch(r"\d{1,14}"), ""), errors="coerce").fillna(0)
    return np.where(numbers > 0, numbers, -1).astype(np.int64)


def _gtin(text: str) -> str:
    """The publisher's number without its zeros filled up to 14 digits; "" where there is none."""
    number = text.lstrip("0")
    return number.zfill(14) if text.isascii() and text.isdigit() and 0 < len(number) <= 14 else ""


def _days(published: pd.Series) -> NDArray[np.int32]:
    """Days since 1970 of each date, 0 where it is none."""
    unique = published.drop_duplicates()
    days = (pd.to_datetime(unique, format="mixed", errors="coerce") - pd.Timestamp(0)).dt.days
    return published.map(dict(zip(unique, days, strict=True))).fillna(0).to_numpy(np.int32)


def _part(shared: ReleaseData, deal: _Deal, bucket: int) -> ReleaseData:
    rows, packed = deal.foods(bucket), deal.values(bucket)
    place = np.searchsorted(rows.index.to_numpy(), packed["rank"])
    values, stated = pack_values(
        ValueRows(place.astype(np.int32), packed["nutrient"].astype(np.int32), packed["amount"], packed["samples"],
                  packed["derivation"].astype(np.int32)), len(rows), deal.components, deal.derivations)
    foods = tuple(_food(row, stated.get(k, [])) for k, row in enumerate(records(rows)))
    return replace(shared, foods=foods, values=values)


def _food(row: Any, stated: list[StandIn]) -> ReleaseFood:
    entry = FoodEntry(
        id=f"{DATASET}:{row.number}", description=row.description, group=row.group, group_name=row.group,
        common_name=row.brand, measures=_measures(row.serving, row.household))
    return ReleaseFood(entry, short_description=row.short_description, manufacturer=row.manufacturer,
                       refuse_stated=False, footnotes=tuple(map(stand_in_note, stated)), gtin=_gtin(row.gtin))


def _measures(grams: float, household: str) -> tuple[HouseholdMeasure, ...]:
    """The serving of the label, by its household measure where it has one."""
    if not grams > 0:
        return ()
    amount, text = read_leading_amount(household) if household else (1.0, "serving")
    return (HouseholdMeasure(amount, text, float(grams), 1),)


def join_parts(parts: list[ReleaseData]) -> ReleaseData:
    """One release of parts that follow each other."""
    starts = np.cumsum([0, *(len(part.foods) for part in parts)])
    values = [part.values for part in parts]
    food = np.concatenate([v.food + start for v, start in zip(values, starts[:-1], strict=True)]).astype(np.int32)
    columns: dict[str, Any] = {name: np.concatenate([getattr(v, name) for v in values])
               for name in ("component", "amount", "samples", "standard_error", "source", "derivation", "qualifier")}
    return replace(parts[0], foods=tuple(food for part in parts for food in part.foods),
                   values=replace(values[0], food=food, **columns))


def empty_values() -> ReleaseValues:
    """No values."""
    whole, real = np.empty(0, np.int32), np.empty(0)
    return ReleaseValues(whole, whole, real, whole, real, whole, whole, (), ())
