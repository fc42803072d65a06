"""The tables of weighing: they load, agree with each other, and a bad row is named by its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

import service.tables
from service.core.errors import TableError
from service.tables.rows import read_rows
from service.tables.weights import load_weight_tables

FOLDER = Path(service.tables.__file__).parent


def test_every_row_has_a_source_and_bounds_around_its_value() -> None:
    tables = load_weight_tables(FOLDER)
    kinds = [
        tables.densities,
        tables.pieces,
        tables.packages,
        tables.vague,
        tables.drained,
        tables.yields,
        tables.edible.refuse,
        tables.edible.trimming,
    ]
    rows = [row for table in kinds for row in table.rows]
    assert len(rows) > 1500
    assert [row for row in rows if not row.source or not row.low <= row.value <= row.high] == []


# Densities implied by SR28's cups (g per cup / 236.588): words, what is said, g per ml
DENSITIES = [
    ("water", "", 1.002),
    ("milk whole", "", 1.031),
    ("oil olive", "", 0.913),
    ("butter", "", 0.959),
    ("honey", "", 1.433),
    ("vinegar cider", "", 1.010),
    ("flour wheat", "", 0.528),
    ("salt table", "", 1.234),
    ("cheese cheddar", "", 0.478),
    ("cocoa powder", "", 0.364),
    ("cream sour", "", 0.972),
    ("sugar granulated", "", 0.845),
    ("spinach raw", "", 0.127),
    ("mayonnaise", "", 0.930),
    ("almond butter", "", 1.057),
    ("parmesan cheese", "", 0.423),
    ("almond", "ground", 0.402),
    ("coconut milk", "", 0.955),
    ("sugar powdered", "", 0.507),
]


@pytest.mark.parametrize(("words", "said", "density"), DENSITIES)
def test_densities_agree_with_published_cups(words: str, said: str, density: float) -> None:
    cuts = frozenset({"grind"}) if said else frozenset()
    row = load_weight_tables(FOLDER).densities.find("", frozenset(words.split()), said=cuts)
    assert row is not None
    assert row.low <= density <= row.high
    assert row.value == pytest.approx(density, rel=0.2)


# table, a row appended to it, the column that is blamed
BAD = [
    ("measures.csv", "tsp,tsp,volume,ml,5,,,us,doubled", "form"),
    ("measures.csv", "wineskin,wineskin,leather,ml,5,,,,x", "kind"),
    ("measures.csv", "wineskin,wineskin,volume,ml,many,,,,x", "unit_value"),
    ("measures.csv", "wineskin,wineskin,volume,ml,5,6,,,x", "low"),
    ("measures.csv", "wineskin,wineskin,volume,ml,5,,,,", "source"),
    ("densities.csv", "fog,,0.1,fog,,0.2,0.3,x", "low"),
    ("piece_weights.csv", "furlong,,,,5,eel,,4,6,x", "measure"),
    ("piece_weights.csv", ",gigantic,,,5,eel,,4,6,x", "size"),
    ("packages.csv", "can,,5,acre,eel,,4,6,x", "unit"),
    ("drained_shares.csv", ",0.9,eel,,0.5,1.2,x", "high"),
    ("heaps.csv", "heaped,shovel,1.5,1,2,x", "amount"),
    ("systems.csv", "pint,quayside,nautical,x", "system"),
    ("refuse.csv", "bone,0.2,eel,", "said"),
    ("uncounted_heads.csv", "seaweed,", "source"),
    ("uncounted_heads.csv", "jam,x", "head"),
    ("same_pieces.csv", "furlong,stalk,x", "measure"),
    ("same_pieces.csv", "loaf,,x", "same"),
    ("same_pieces.csv", "loaf|rib,stalk,x", "measure"),
]


@pytest.mark.parametrize(("name", "line", "column"), BAD)
def test_a_bad_row_is_named_by_file_line_and_column(name: str, line: str, column: str, tmp_path: Path) -> None:
    for path in FOLDER.glob("*.csv"):
        shutil.copy(path, tmp_path)
    with (tmp_path / name).open("a", encoding="utf-8") as file:
        file.write(line + "\n")
    with pytest.raises(TableError) as raised:
        load_weight_tables(tmp_path)
    lines = (tmp_path / name).read_text("utf-8").count("\n")
    assert (raised.value.file, raised.value.line, raised.value.column) == (name, lines, column)


HEADERS = [
    ("form,source\n", "value"),
    ("form,value,source,colour\n", "colour"),
    ("form,value,value,source\n", "value"),
    ("", "form"),
]


@pytest.mark.parametrize(("header", "column"), HEADERS)
def test_a_header_is_checked_both_ways(header: str, column: str, tmp_path: Path) -> None:
    path = tmp_path / "words.csv"
    path.write_text(header, "utf-8")
    with pytest.raises(TableError) as raised:
        read_rows(path, ("form", "value", "source"), key=("form",))
    assert (raised.value.line, raised.value.column) == (1, column)


@pytest.mark.parametrize("content", [b"form\n\xff\xfe\n", b'form\n"open\n'])
def test_a_file_that_is_no_table_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "words.csv"
    path.write_bytes(content)
    with pytest.raises(TableError, match="cannot be read"):
        read_rows(path, ("form",), key=("form",))


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="cannot be read"):
        read_rows(tmp_path / "none.csv", ("form",), key=("form",))
