"""Loads the tables of cooking into the values of service/core/cooking.py; README.md explains their columns."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import cast, get_args

from service.core.cooking import RETAINED, CookingTables, CookingYield, FoodKind, Losses, Retention, Treatment
from service.core.text import fold, singular
from service.tables.rows import TableRow, read_rows

_WORD = re.compile(r"[a-z]+")
# The USDA tables give shares up to 100; INFOODS allows a measured share a little above.
MOST_KEPT = 1.05


def load_cooking_tables(folder: Path = Path(__file__).parent) -> CookingTables:
    """The tables of cooking; raises TableError for the first bad row."""
    kinds = list(_kinds(folder))
    names = frozenset(kind.name for kind in kinds)
    retention = list(_retention(folder, names))
    yields = list(_yields(folder, names))
    treatments, spellings = _treatments(folder, retention, yields)
    return CookingTables(treatments, spellings, kinds, retention, yields)


def _treatments(
    folder: Path, retention: list[Retention], yields: list[CookingYield]
) -> tuple[list[Treatment], dict[str, str]]:
    """Treatments, and their other spellings; every method they name must be in its table."""
    columns = ("treatment", "also", "retention", "yields", "alcohol", "losses", "source")
    kept = frozenset(one.method for one in retention if one.kind != "alcohol")
    alcohol = frozenset(one.method for one in retention if one.kind == "alcohol")
    cooked = frozenset(one.method for one in yields)
    found: list[Treatment] = []
    spellings: dict[str, str] = {}
    for row in read_rows(folder / "treatments.csv", columns, key=("treatment",)):
        losses = cast(Losses, row.one_of("losses", get_args(Losses)))
        methods = _methods(row, "retention", kept), _methods(row, "yields", cooked), _methods(row, "alcohol", alcohol)
        name = row.required("treatment")
        found.append(Treatment(name, methods[0], methods[1], "".join(methods[2][:1]), losses, row.required("source")))
        for spelling in (other for other in row.alternatives("also") if other):
            if spelling in spellings:
                raise row.fault("also", f"{spelling!r} is another name of {spellings[spelling]!r}")
            spellings[spelling] = name
        if doubled := spellings.keys() & {one.name for one in found}:
            raise row.fault("also", f"{min(doubled)!r} is a treatment and another name of one")
    return found, spellings


def _methods(row: TableRow, column: str, known: frozenset[str]) -> tuple[str, ...]:
    methods = tuple(method for method in row.alternatives(column) if method)
    for method in methods:
        if method not in known:
            raise row.fault(column, f"{method!r} is no method of its table")
    return methods


def _kinds(folder: Path) -> Iterator[FoodKind]:
    columns = ("kind", "group", "food", "without", "fat_from", "fat_below", "source")
    for row in read_rows(folder / "cooking_kinds.csv", columns, key=("kind", "group", "food", "fat_from", "fat_below")):
        row.required("source")
        group = tuple(one for one in row.alternatives("group") if one)
        limits = [row.number(column) if row.text(column) else None for column in ("fat_from", "fat_below")]
        for words in _foods(row):
            yield FoodKind(row.required("kind"), group, words, _any_word(row), limits[0], limits[1])


def _retention(folder: Path, kinds: frozenset[str]) -> Iterator[Retention]:
    columns = ("code", "kind", "method", *RETAINED, "source")
    seen: set[tuple[str, str]] = set()
    for row in read_rows(folder / "retention.csv", columns, key=("code", "kind", "method")):
        shares = {name: _share(row, name) for name in RETAINED if row.text(name)}
        for kind in row.alternatives("kind"):
            if kind not in kinds and kind != "alcohol":
                raise row.fault("kind", "is no kind of cooking_kinds.csv")
            for method in row.alternatives("method"):
                if (kind, method) in seen:
                    raise row.fault("method", f"{kind}, {method} has a row already")
                seen.add((kind, method))
                yield Retention(kind, method, row.required("code"), shares, row.required("source"))


def _share(row: TableRow, column: str) -> float:
    share = row.number(column)
    if share > MOST_KEPT:
        raise row.fault(column, f"is above {MOST_KEPT:g}")
    return share


def _yields(folder: Path, kinds: frozenset[str]) -> Iterator[CookingYield]:
    fat = ("fat_change", "fat_low", "fat_high")
    columns = ("kind", "food", "without", "method", "factor", "low", "high", *fat, "raw_fat", "source")
    for row in read_rows(folder / "cooking_yields.csv", columns, key=("kind", "food", "without", "method")):
        raw_fat = row.number("raw_fat") if row.text("raw_fat") else None
        change, least, most = (_signed(row, column) for column in fat)
        if not least <= change <= most:
            raise row.fault("fat_change", "is not between fat_low and fat_high")
        if least < 0 and (raw_fat is None or change < -raw_fat):
            raise row.fault("raw_fat", "is needed for a loss of fat, and no less than it")
        for kind in row.alternatives("kind"):
            if kind not in kinds:
                raise row.fault("kind", "is no kind of cooking_kinds.csv")
            for words in _foods(row):
                yield CookingYield(
                    kind, words, _any_word(row), row.required("method"), *row.bounded("factor"), change, least, most,
                    raw_fat, row.required("source"),
                )  # fmt: skip


def _signed(row: TableRow, column: str) -> float:
    try:
        value = float(row.required(column))
    except ValueError:
        raise row.fault(column, "is no number") from None
    if not -100 <= value <= 100:
        raise row.fault(column, "is no change of 100 g")
    return value


def _foods(row: TableRow) -> Iterator[frozenset[str]]:
    """The alternatives of the column "food", each the words that must all be there."""
    for alternative in row.alternatives("food"):
        yield frozenset(singular(word) for word in _WORD.findall(fold(alternative)))


def _any_word(row: TableRow) -> frozenset[str]:
    return frozenset(singular(fold(word)) for word in row.alternatives("without") if word)
