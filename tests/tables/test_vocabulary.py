"""The tables of words and names: bad rows are refused with their place, targets exist, nothing contradicts itself."""

from __future__ import annotations

import csv
from collections import defaultdict
from dataclasses import fields
from pathlib import Path

import pytest

from service import tables as package
from service.core.analyse import Resolver, Tables, vocabulary_of
from service.core.errors import TableError
from service.core.food import FoodTable
from service.tables import load_tables
from service.tables.vocabulary import check_targets, load_entry_kinds, load_names, load_titles, load_words

TABLES = Path(package.__file__).parent

HEADER = "form,kind,when,sr28,source\n"
BAD_NAMES = [
    ("kipper,name,,15042,common usage\nkipper,regional,,15041,common usage", "form", "doubled"),
    ("kipper,fish,,15042,common usage", "kind", "none of"),
    ("kipper,name,often,15042,common usage", "when", "no kind of amount"),
    ("kipper,name,,,common usage", "sr28", "wanted"),
    ("kipper,absent,,15042,common usage", "sr28", "wanted"),
    ("kipper,name,,15042,", "source", "empty"),
    (",name,,15042,common usage", "form", "empty"),
]


@pytest.mark.parametrize(("rows", "column", "message"), BAD_NAMES)
def test_a_bad_name_is_refused_with_its_place(tmp_path: Path, rows: str, column: str, message: str) -> None:
    (tmp_path / "fish.csv").write_text(HEADER + rows + "\n", encoding="utf-8")
    with pytest.raises(TableError, match=message) as caught:
        load_names(tmp_path)
    assert caught.value.file == "fish.csv"
    assert caught.value.line == rows.count("\n") + 2
    assert caught.value.column == column


def test_a_name_may_stand_once_over_all_files(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(HEADER + "kipper,name,,15042,common usage\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"b\.csv:2:form: is doubled: it stands in a\.csv:2"):
        load_names(tmp_path)


def test_a_name_may_mean_two_foods_by_its_amount(tmp_path: Path) -> None:
    rows = "coriander,name,spoon,02013,common usage\ncoriander,name,piece,11165,common usage\n"
    (tmp_path / "a.csv").write_text(HEADER + rows, encoding="utf-8")
    assert len(load_names(tmp_path)) == 2


def test_a_word_of_an_unknown_class_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "words.csv"
    path.write_text("form,class,value,source\nchopped,cutting,,common usage\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"words\.csv:2:class"):
        load_words(path)


@pytest.mark.parametrize(
    ("rows", "column"),
    [
        ("laksa,soup,common usage", "kind"),
        ("laksa,dish,common usage\nlaksas,head,common usage", "form"),
        ("laksa,dish,", "source"),
    ],
)
def test_a_bad_title_is_refused_with_its_column(tmp_path: Path, rows: str, column: str) -> None:
    path = tmp_path / "titles.csv"
    path.write_text(f"form,kind,source\n{rows}\n", encoding="utf-8")
    with pytest.raises(TableError) as caught:
        load_titles(path)
    assert caught.value.column == column


@pytest.fixture(scope="module")
def tables() -> Tables:
    return load_tables()


@pytest.mark.parametrize(("row", "column"), [
    ("Bread,often,common usage", "kind"), (",only bought,common usage", "description"),
    ("Bread,only bought,", "source"),
])  # fmt: skip
def test_a_bad_kind_of_entry_is_refused_with_its_column(tmp_path: Path, row: str, column: str) -> None:
    path = tmp_path / "entry_kinds.csv"
    path.write_text(f"description,kind,source\n{row}\n", encoding="utf-8")
    with pytest.raises(TableError) as raised:
        load_entry_kinds(path)
    assert raised.value.column == column


def test_every_kind_of_entry_is_of_some(tables: Tables, sr28_table: FoodTable) -> None:
    kinds = tables.entry_kinds
    forms = [form for field in fields(kinds) for form in getattr(kinds, field.name)]
    assert forms
    assert not [form for form in forms if not any(food.description.startswith(form) for food in sr28_table.foods)]


def test_every_target_exists(tables: Tables, sr28_table: FoodTable) -> None:
    check_targets(tables.names, {food.id for food in sr28_table.foods})


def test_an_unknown_target_is_refused_with_its_place(tmp_path: Path, sr28_table: FoodTable) -> None:
    (tmp_path / "fish.csv").write_text(HEADER + "kipper,name,,99999,common usage\n", encoding="utf-8")
    with pytest.raises(TableError, match=r"fish\.csv:2:sr28: no such entry"):
        check_targets(load_names(tmp_path), {food.id for food in sr28_table.foods})


def test_no_word_of_headings_is_a_measure() -> None:
    """A word has one kind: "loaf" as a heading was no measure any more, and a loaf weighed a slice."""
    def forms(name: str, **asked: str) -> set[str]:
        with (TABLES / name).open(encoding="utf-8", newline="") as file:
            return {row["form"] for row in csv.DictReader(file) if asked.items() <= row.items()}

    assert not forms("measures.csv") & forms("words.csv", **{"class": "heading"})


def test_no_two_names_read_alike_mean_two_foods(tables: Tables, sr28_table: FoodTable) -> None:
    """Names that the look-up cannot tell apart must name one entry: "leg of lamb" and "lamb leg"."""
    vocabulary = Resolver(sr28_table, tables).vocabulary
    meant: dict[tuple[object, ...], set[str | None]] = defaultdict(set)
    for name in vocabulary.all_names():
        head = vocabulary.key_words(name.form)[-1]
        for when in name.when or {""}:
            meant[head, name.key, when].add(name.food_id)
    assert {key for key, foods in meant.items() if len(foods) > 1} == set()


def test_a_vocabulary_beside_other_words_is_as_one_made_anew(tables: Tables, sr28_table: FoodTable) -> None:
    """What one of them reads changes no other: names are read in full when their head is first asked for."""
    first = vocabulary_of(tables)
    again, other = first.beside(["zorble"]), first.beside(())
    asked = ("lamb", frozenset({"leg"})), ("pepper", frozenset({"red", "bell"})), ("su su", frozenset())
    for head, words in asked:
        found = again.find(head, words, "weight")
        assert found is not None
        assert found == other.find(head, words, "weight")
    assert again.knows("zorble")
    assert not other.knows("zorble")
    assert set(other.all_names()) == set(vocabulary_of(tables).all_names())
