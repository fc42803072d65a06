"""Loads the tables of weighing into frozen values of core; README.md explains their columns."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import cast, get_args

from service.core.edible_portion import EdibleTables, KindRow, KindTable
from service.core.measure import CUTS, SIZES, Measure, MeasureForm, MeasureKind, Measures
from service.core.text import fold, singular
from service.core.weighed_line import Heap, WeightTables
from service.tables.rows import TableRow, read_rows

_WORD = re.compile(r"[a-z]+")
_KIND = ("food", "without", "low", "high", "source")


def load_measures(folder: Path) -> Measures:
    """The measures of measures.csv."""
    columns = ("form", "measure", "kind", "unit", "unit_value", "low", "high", "system", "source")
    rows = read_rows(folder / "measures.csv", columns, key=("form", "system"))
    return Measures([_measure(row) for row in rows])


def _measure(row: TableRow) -> MeasureForm:
    kind = cast(MeasureKind, row.one_of("kind", get_args(MeasureKind)))
    weighable = kind in ("mass", "volume", "vague")
    unit = row.one_of("unit", ("g", "ml") if weighable else ("",))
    value, low, high = row.bounded("unit_value") if weighable else (0.0, 0.0, 0.0)
    system = row.one_of("system", ("", "us", "uk", "au", "metric"))
    measure = Measure(row.required("measure"), kind, unit, value, low, high, system, row.required("source"))
    return MeasureForm(row.required("form"), measure)


def load_weight_tables(folder: Path) -> WeightTables:
    """All tables of weighing; raises TableError for the first bad row."""
    measures = load_measures(folder)
    edible = EdibleTables(
        _kinds(folder, "refuse.csv", "share", said=True), _kinds(folder, "trimming.csv", "share", said=True)
    )
    return WeightTables(
        measures=measures,
        edible=edible,
        densities=load_densities(folder, "densities.csv"),
        pieces=_pieces(folder, measures),
        packages=_packages(folder, measures),
        vague=_kinds(folder, "vague_amounts.csv", "grams", measured=measures, said=True),
        drained=_kinds(folder, "drained_shares.csv", "share", use="ounces"),
        yields=_kinds(folder, "yields.csv", "grams", taken=True),
        fluid=_fluid(folder),
        heaps=_heaps(folder),
        systems=_systems(folder, measures),
        uncounted=_uncounted(folder),
        same_pieces=_same_pieces(folder, measures),
    )


def load_kinds(folder: Path, name: str, value: str) -> KindTable:
    """A table with a figure for each kind of food and no further columns."""
    return _kinds(folder, name, value)


def load_densities(folder: Path, name: str) -> KindTable:
    """Grams per millilitre of kinds of food."""
    return _kinds(folder, name, "density", use="kind", cut=True)


def _kinds(
    folder: Path,
    name: str,
    value: str,
    *,
    said: bool = False,
    cut: bool = False,
    use: str = "",
    taken: bool = False,
    measured: Measures | None = None,
) -> KindTable:
    """A table with a figure for each kind of food; the flags say which further columns it has."""
    said_columns = ("said",) if said or cut else ()
    measure_columns = ("taken",) if taken else ("measure",) if measured else ()
    columns = (*((use,) if use else ()), *measure_columns, *said_columns, value, *_KIND)
    rows = read_rows(folder / name, columns, key=(*measure_columns, *said_columns, "food", "without"))
    found: list[KindRow] = []
    for row in rows:
        if value == "share" and row.bounded(value)[2] > 1:
            raise row.fault("high", "is no share of 1")
        words = _said(row, cut=cut) if said_columns else frozenset()
        for measure in _measures_of(row, measured) if measure_columns else ("",):
            found += _kind_rows(row, measure, value, said=words, use=row.text(use) if use else "")
    return KindTable(found)


def _measures_of(row: TableRow, measures: Measures | None, *, count: bool = False) -> tuple[str, ...]:
    """The alternatives of the column "measure", each known; an empty one counts pieces. Without `measures`: "taken"."""
    if measures is None:
        return row.alternatives("taken")
    for measure in row.alternatives("measure"):
        if measures.get(measure) is None and not (count and not measure):
            raise row.fault("measure", "is no measure of measures.csv")
    return row.alternatives("measure")


def _kind_rows(
    row: TableRow, measure: str, value: str, *, said: frozenset[str] = frozenset(), use: str = "", unit: str = "g"
) -> Iterator[KindRow]:
    """One row of core for each alternative of the column "food"."""
    figure, low, high = row.bounded(value)
    size = row.one_of("size", ("", *SIZES)) if "size" in row.columns else ""
    source, without = row.required("source"), _any_word(row, "without")
    for food in _foods(row):
        yield KindRow(measure, food, figure, low, high, source, without, said, size, unit, use)


def _foods(row: TableRow) -> Iterator[frozenset[str]]:
    """The alternatives of the column "food", each the set of words that must all be there."""
    for alternative in row.alternatives("food"):
        yield frozenset(singular(word) for word in _WORD.findall(fold(alternative)))


def _any_word(row: TableRow, column: str) -> frozenset[str]:
    return frozenset(singular(fold(word)) for word in row.alternatives(column) if word)


def _said(row: TableRow, *, cut: bool) -> frozenset[str]:
    """Words of which one must be said; of densities, their cut or state."""
    words = frozenset(fold(word) for word in row.alternatives("said") if word)
    return frozenset(CUTS.get(word, word) for word in words) if cut else words


def _pieces(folder: Path, measures: Measures) -> KindTable:
    """The weights of pieces; their measure is "<use>:<measure>"."""
    columns = ("measure", "size", "use", "said", "grams", *_KIND)
    rows = read_rows(folder / "piece_weights.csv", columns, key=("measure", "food", "without", "size", "use", "said"))
    found: list[KindRow] = []
    for row in rows:
        use = row.one_of("use", ("", "first", "bounds", "usual"))
        for measure in _measures_of(row, measures, count=True):
            found += _kind_rows(row, f"{use}:{measure}", "grams", said=_said(row, cut=False))
    return KindTable(found)


def _uncounted(folder: Path) -> frozenset[str]:
    """Heads of foods that nobody counts by the piece."""
    heads = set()
    for row in read_rows(folder / "uncounted_heads.csv", ("head", "source"), key=("head",)):
        row.required("source")
        heads.add(row.required("head"))
    return frozenset(heads)


def _same_pieces(folder: Path, measures: Measures) -> dict[str, tuple[str, ...]]:
    """Other names of the same piece, likeliest first, by measure."""
    found: dict[str, tuple[str, ...]] = {}
    for row in read_rows(folder / "same_pieces.csv", ("measure", "same", "source"), key=("measure",)):
        row.required("source")
        row.required("same")
        for measure in _measures_of(row, measures):
            if measure in found:
                raise row.fault("measure", "is doubled")
            found[measure] = row.alternatives("same")
    return found


def _packages(folder: Path, measures: Measures) -> KindTable:
    columns = ("measure", "size", "contents", "unit", *_KIND)
    rows = read_rows(folder / "packages.csv", columns, key=("measure", "food", "without", "size"))
    found: list[KindRow] = []
    for row in rows:
        for measure in _measures_of(row, measures):
            found += _kind_rows(row, measure, "contents", unit=row.one_of("unit", ("g", "ml")))
    return KindTable(found)


def _fluid(folder: Path) -> KindTable:
    """Foods whose ounces are fluid ounces."""
    rows = read_rows(folder / "fluid_ounces.csv", ("said", "food", "without", "source"), key=("said", "food"))
    found = [(food, row) for row in rows for food in _foods(row)]
    return KindTable(
        KindRow("", food, 1.0, 1.0, 1.0, row.required("source"), _any_word(row, "without"), _said(row, cut=False))
        for food, row in found
    )


def _systems(folder: Path, measures: Measures) -> KindTable:
    """Words that choose the system of a measure."""
    rows = read_rows(folder / "systems.csv", ("measure", "food", "system", "source"), key=("measure", "food"))
    found: list[KindRow] = []
    for row in rows:
        system = row.one_of("system", ("us", "uk", "au", "metric"))
        for measure in _measures_of(row, measures):
            found += [KindRow(measure, food, 1.0, 1.0, 1.0, row.required("source"), use=system) for food in _foods(row)]
    return KindTable(found)


def _heaps(folder: Path) -> dict[tuple[str, str], Heap]:
    columns = ("heap", "amount", "factor", "low", "high", "source")
    rows = read_rows(folder / "heaps.csv", columns, key=("heap", "amount"))
    kinds = ("pinch", "spoon", "cup", "other")
    return {(row.required("heap"), row.one_of("amount", kinds)): Heap(*row.bounded("factor")) for row in rows}
