"""`gramwright bulk`: content and order as `resolve` gives them, bad records in their place, files refused."""

from __future__ import annotations

import csv
import errno
import io
import json
import os
from pathlib import Path

import pyarrow
import pyarrow.parquet
import pytest

from service.bulk import parts, records
from service.bulk.outputs import COLUMNS
from service.commands import bulk, bulk_work
from service.core.errors import GramwrightError
from service.kitchens.forms import RecipeForm
from service.kitchens.shelf import Shelf
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import migrate, replace_release, roll_back
from service.wiring import Catalogue
from tests.bulk.conftest import write_lines
from tests.harbour import HARBOUR, changed, harbour

LINES = [
    "half a small avocado", "2 large eggs", "1 tbsp mayo", "To serve:", "", "200 g smoked haddock",
    "salt and pepper", "1 cup unobtainium flakes", "½ cup crème fraîche", "=1+1 egg", "3 \u2028 eggs",
]  # fmt: skip
PLATE = {
    "title": "Smoked fish plate", "servings": 2,
    "sections": [{"lines": [{"text": "150 g smoked haddock"}, {"text": "1 tbsp mayonnaise"}]}],
}  # fmt: skip
SCHEMA_ORG = {"@type": "Recipe", "name": "Eggs", "recipeYield": "2", "recipeIngredient": ["4 large eggs"]}


@pytest.fixture
def small_chunks(monkeypatch):
    monkeypatch.setattr(records, "CHUNK_RECORDS", 4)


def outcomes(path: Path) -> list[str]:
    return [json.loads(line).get("outcome", "recipe") for line in path.read_bytes().splitlines()]


@pytest.mark.usefixtures("small_chunks")
@pytest.mark.parametrize("more", [(), ("--components", "CHOCDF,FIBTG"), ("--components", "all"), ("--kitchen",)])
def test_output_is_that_of_resolve(run, expected, tmp_path, more):
    code, said = run(write_lines(tmp_path / "in.jsonl", LINES * 3), tmp_path / "out.jsonl", *more)
    assert code == 0, said
    assert (tmp_path / "out.jsonl").read_bytes() == expected(LINES * 3, *more)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["in.jsonl", "out.jsonl"]


def test_a_mark_of_byte_order_is_no_part_of_the_first_record(run, expected, tmp_path):
    source = write_lines(tmp_path / "in.jsonl", LINES)
    source.write_bytes(b"\xef\xbb\xbf" + source.read_bytes())
    assert run(source, tmp_path / "out.jsonl")[0] == 0
    assert (tmp_path / "out.jsonl").read_bytes() == expected(LINES)


@pytest.mark.usefixtures("small_chunks")
def test_report(run, tmp_path):
    source = write_lines(tmp_path / "in.jsonl", ["2 large eggs", "To serve:"] * 5)
    code, said = run(source, tmp_path / "out.jsonl", "--json")
    report = json.loads(said)
    assert code == 0
    assert report.pop("seconds") > 0
    assert report.pop("records_per_second") > 0
    counts = {"resolved": 5, "check": 0, "no_match": 0, "not_food": 5, "recipe": 0, "error": 0}
    assert report == {"out": str(tmp_path / "out.jsonl"), "records": 10, "outcomes": counts, "kept": 0}
    code, said = run(source, tmp_path / "out.jsonl", "--overwrite")
    assert "out.jsonl: 10 records (5 resolved, 5 not_food); " in said


def test_components_that_are_none_are_refused(run, tmp_path):
    code, said = run(write_lines(tmp_path / "in.jsonl", LINES), tmp_path / "out.jsonl", "--components", "CHOCOLATE")
    assert (code, "CHOCOLATE" in said) == (2, True)


# ---- recipes ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("recipe", [PLATE, SCHEMA_ORG], ids=["ours", "schema.org"])
def test_a_recipe_is_answered_as_by_recipe_nutrition(run, start, tmp_path, recipe):
    (tmp_path / "recipe.json").write_text(json.dumps(recipe))
    (tmp_path / "in.jsonl").write_text(f'{json.dumps(recipe)}\n{{"line": "2 large eggs"}}\n')
    code, said = run(tmp_path / "in.jsonl", tmp_path / "out.jsonl")
    assert code == 0, said
    alone, said = start("recipe", "nutrition", "recipe.json", "--json").communicate(timeout=300)
    first, second = (json.loads(line) for line in (tmp_path / "out.jsonl").read_bytes().splitlines())
    assert first == json.loads(alone), said
    assert second["outcome"] == "resolved"


# ---- releases --------------------------------------------------------------------------------------------------


@pytest.fixture
def releases(run, tmp_path, monkeypatch):
    """A store with a recipe that was saved with the release before the one that answers."""
    monkeypatch.setenv("GRAMWRIGHT_DATABASE_URL", url := sqlite_url(tmp_path / "gramwright.sqlite3"))
    monkeypatch.setenv("GRAMWRIGHT_DATASETS", HARBOUR)
    engine = open_engine(url)
    migrate(engine)
    replace_release(engine, harbour())
    Shelf(Catalogue(engine, (HARBOUR,))).save_recipe(RecipeForm.model_validate(KELP))
    replace_release(engine, harbour("2026", changed("1", FAT=9)))
    yield engine
    engine.dispose()


KELP = {"title": "Broth", "servings": 1, "sections": [{"lines": [{"text": "100 g kelp"}]}]}
RECORDS = (KELP, {"line": "100 g kelp"}, {"line": "1 serving of the broth"})


def fats(path: Path) -> list[float]:
    """The fat of KELP, of its line, and of the saved recipe."""
    recipe, *lines = (json.loads(line) for line in path.read_bytes().splitlines())
    found = [line["parts"][0]["components"]["FAT"] for line in lines]
    return [recipe["per_serving"]["components"]["FAT"]["value"], *found]


def test_recipes_and_lines_are_answered_from_the_releases_that_are_active(run, tmp_path, releases):
    source = tmp_path / "in.jsonl"
    source.write_text("".join(f"{json.dumps(one)}\n" for one in RECORDS))
    asked = (source, tmp_path / "out.jsonl", "--components", "FAT", "--kitchen", "--overwrite")
    code, said = run(*asked)
    assert (code, fats(tmp_path / "out.jsonl")) == (0, [9, 9, 9]), said
    roll_back(releases, HARBOUR)
    assert (run(*asked)[0], fats(tmp_path / "out.jsonl")) == (0, [0.6, 0.6, 0.6])


def test_a_run_that_is_taken_up_again_goes_on_with_the_releases_it_began_with(run, tmp_path, releases, monkeypatch):
    monkeypatch.setattr(records, "CHUNK_RECORDS", 1)
    source, out, whole = tmp_path / "in.jsonl", tmp_path / "out.jsonl", parts.Parts.add
    source.write_text("".join(f"{json.dumps(one)}\n" for one in RECORDS))

    def add(self: parts.Parts, number: int, done: parts.Done) -> None:
        if self.finished:
            raise GramwrightError("the power went")
        whole(self, number, done)

    asked = (source, out, "--components", "FAT", "--kitchen")
    with monkeypatch.context() as patched:
        patched.setattr(parts.Parts, "add", add)
        assert run(*asked)[0] == 1
    roll_back(releases, HARBOUR)
    code, said = run(*asked)
    assert (code, fats(out)) == (0, [9, 9, 9]), said


@pytest.mark.usefixtures("releases")
def test_the_kitchen_is_opened_once_a_run(run, tmp_path, monkeypatch):
    opened, real = [], Shelf.book
    monkeypatch.setattr(Shelf, "book", lambda *of, **more: opened.append(1) or real(*of, **more))
    code, said = run(write_lines(tmp_path / "in.jsonl", ["100 g kelp"] * 30), tmp_path / "out.jsonl", "--kitchen")
    assert (code, len(opened)) == (0, 2), said


# ---- bad records -----------------------------------------------------------------------------------------------

BAD = {
    "no JSON": (b'{"line": ', "is no JSON"),
    "a name twice": (b'{"line": "1 leek", "line": "2 leeks"}', "'line' stands twice in one object"),
    "both": (b'{"line": "1 leek", "sections": []}', "both a `line` and a recipe"),
    "empty": (b"", "is no JSON"),
    "no UTF-8": (b'{"line": "\xff"}', "is no JSON"),
    "no object": (b"[1]", "neither"),
    "no line": (b'{"text": "2 eggs"}', "neither"),
    "line is no text": (b'{"line": 2}', "`line` is no text"),
    "line is null": (b'{"line": null}', "`line` is no text"),
    "recipe without a title": (b'{"sections": []}', "/title"),
    "recipe with a bad line": (b'{"title": "a", "sections": [{"lines": [{"text": 1}]}]}', "/sections/0/lines/0/text"),
    "no recipe": (b'{"@type": "Person"}', "no schema.org Recipe"),
}


@pytest.mark.parametrize(("bad", "why"), BAD.values(), ids=BAD)
def test_a_bad_record_is_an_error_in_its_place(run, tmp_path, bad, why):
    (tmp_path / "in.jsonl").write_bytes(b'{"line": "2 large eggs"}\n' + bad + b'\n{"line": "1 tbsp mayo", "id": 7}')
    code, said = run(tmp_path / "in.jsonl", tmp_path / "out.jsonl")
    assert code == 0, said
    assert outcomes(tmp_path / "out.jsonl") == ["resolved", "error", "resolved"]
    error = json.loads((tmp_path / "out.jsonl").read_bytes().splitlines()[1])
    assert (error["line"], error["number"], error["parts"]) == (None, 2, [])
    assert error["reasons"][0].startswith("record 2: ")
    assert why in error["reasons"][0]


def test_a_record_without_end_is_not_kept_in_memory(run, tmp_path, monkeypatch):
    monkeypatch.setattr(records, "MOST_BYTES", 100)
    monkeypatch.setattr(records, "_PIECE", 10)
    source = write_lines(tmp_path / "in.jsonl", ["2 eggs", "e" * 1000, "2 eggs", "e" * 1000])
    assert run(source, tmp_path / "out.jsonl")[0] == 0
    assert outcomes(tmp_path / "out.jsonl") == ["resolved", "error"] * 2


def test_a_defect_stops_no_other_record(run, tmp_path, monkeypatch):
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(bulk_work.Desk, "_recipe", broken)
    (tmp_path / "in.jsonl").write_text(f'{json.dumps(PLATE)}\n{{"line": "2 large eggs"}}\n')
    assert run(tmp_path / "in.jsonl", tmp_path / "out.jsonl")[0] == 0
    assert outcomes(tmp_path / "out.jsonl") == ["error", "resolved"]


def test_nothing_but_bad_records_is_refused(run, tmp_path):
    (tmp_path / "in.jsonl").write_text("2 eggs\n1 tbsp mayo\n")
    code, said = run(tmp_path / "in.jsonl", tmp_path / "out.jsonl")
    assert (code, "each of the 2 records" in said) == (2, True)
    assert [path.name for path in tmp_path.iterdir()] == ["in.jsonl"]


# ---- CSV and Parquet -------------------------------------------------------------------------------------------


def write_table(path: Path, cells: list[str | None], column: str = "line") -> Path:
    if path.suffix == ".parquet":
        pyarrow.parquet.write_table(pyarrow.table({"id": range(len(cells)), column: cells}), path)
    else:
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([("id", column), *enumerate(cells)])
    return path


def read_table(path: Path) -> list[dict[str, object]]:
    if path.suffix == ".parquet":
        return pyarrow.parquet.read_table(path).to_pylist()
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8"), newline="")))


@pytest.mark.usefixtures("small_chunks")
@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_tables_hold_what_resolve_answers(run, expected, tmp_path, ending):
    lines = [*LINES, 'a "quoted", egg']
    code, said = run(write_table(tmp_path / f"in.{ending}", lines), tmp_path / f"out.{ending}")
    assert code == 0, said
    rows, answers = read_table(tmp_path / f"out.{ending}"), expected(lines).decode().split("\n")[:-1]
    assert tuple(rows[0]) == COLUMNS
    assert [row["answer"] for row in rows] == answers
    assert [row["outcome"] for row in rows] == [json.loads(answer)["outcome"] for answer in answers]
    first = rows[0]
    assert (str(first["number"]), first["kind"], first["line"]) == ("1", "line", "half a small avocado")
    assert (first["food_id"], str(first["foods"]), float(first["grams"])) == ("sr28:09038", "1", 68.0)
    several = rows[LINES.index("salt and pepper")]
    assert (str(several["foods"]), several["food_id"] or None, several["grams"] or None) == ("2", None, None)


def test_no_cell_of_csv_is_a_formula(run, tmp_path):
    assert run(write_lines(tmp_path / "in.jsonl", ["=1+1 egg"]), tmp_path / "out.csv")[0] == 0
    assert read_table(tmp_path / "out.csv")[0]["line"] == "'=1+1 egg"


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_recipes_and_errors_have_rows(run, tmp_path, ending):
    (tmp_path / "in.jsonl").write_text(f'{json.dumps(PLATE)}\nno\n')
    assert run(tmp_path / "in.jsonl", tmp_path / f"out.{ending}")[0] == 0
    rows = read_table(tmp_path / f"out.{ending}")
    assert [(row["kind"], row["line"] or None) for row in rows] == [("recipe", PLATE["title"]), ("error", None)]


def test_a_null_is_an_error_in_its_place(run, tmp_path):
    source = write_table(tmp_path / "in.parquet", ["2 large eggs", None])
    assert run(source, tmp_path / "out.jsonl")[0] == 0
    assert outcomes(tmp_path / "out.jsonl") == ["resolved", "error"]


def test_rows_of_csv_that_have_no_line_are_errors(run, tmp_path):
    (tmp_path / "in.csv").write_bytes(b"\xef\xbb\xbfid,line\r\n1,2 large eggs\r\n2\r\n3,2 \xff eggs\r\n")
    assert run(tmp_path / "in.csv", tmp_path / "out.jsonl")[0] == 0
    assert outcomes(tmp_path / "out.jsonl") == ["resolved", "error", "error"]


TOO_MANY = "cells, the header {}: a cell with commas in it needs quotation marks"
ROWS = {
    "a comma without marks": (
        "line\n1 cup chickpeas, dried\n1 leek\n", [f"record 1: it has 2 {TOO_MANY.format(1)}", "1 leek"],
    ),
    "a comma in a wider table": (
        "id,line\n1,1 leek\n2,1 leek, sliced\n", ["1 leek", f"record 2: it has 3 {TOO_MANY.format(2)}"],
    ),
    "an empty cell too many": ("id,line\n1,1 leek,\n2,1 leek\n", ["1 leek", "1 leek"]),
    "empty lines of one column": ("line\n1 leek\n\n\n2 eggs\n\n", ["1 leek", "", "", "2 eggs"]),
    "an empty line of a wider table": (
        "id,line\r\n\r\n1,1 leek\r\n", ["record 1: it has no column `line`", "1 leek"],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("table", "wanted"), ROWS.values(), ids=ROWS)
def test_a_row_of_csv_is_a_record_and_loses_no_cell(run, tmp_path, table, wanted):
    (tmp_path / "in.csv").write_text(table, newline="")
    assert run(tmp_path / "in.csv", tmp_path / "out.jsonl")[0] == 0
    answers = [json.loads(line) for line in (tmp_path / "out.jsonl").read_bytes().splitlines()]
    assert [answer["reasons"][0] if answer["outcome"] == "error" else answer["line"] for answer in answers] == wanted


NOTHING_ENDS = "a quotation mark opens a cell that nothing ends"
BEHIND = "text stands behind the closing quotation mark"
OPEN = f"{BEHIND} of a cell that is open since line"
BROKEN_CELLS = {
    "of a row": ('id,line\n1,2 eggs\n2,"1/2 apple"\n3,"1 leek\n4,2 eggs\n', f"line 4: {NOTHING_ENDS}"),
    "of the header": ('id,"line\n1,2 eggs\n', f"line 1: {NOTHING_ENDS}"),
    "of the last row": ('line\n2 eggs\n"1 leek', f"line 3: {NOTHING_ENDS}"),
    "before a quoted row": (
        'id,line\n1,2 eggs\n2,"1 cup broccoli\n3,100 g butter\n4,"1 oz almonds"\n5,200 g haddock\n',
        f"line 5: {OPEN} 3",
    ),
    "before a quoted id": ('id,line\n"1","1 leek\n"2","2 eggs"\n', f"line 3: {OPEN} 2"),
    "of the header, before a quoted row": ('"line\n2 eggs\n"1 leek"', f"line 3: {OPEN} 1"),
    "before a mark of inches": ('line\n"1 leek\n1 6" tortilla\n', f"line 3: {OPEN} 2"),
    "text behind it": ('id,line\n1,"1/2" apple\n2,2 eggs\n', f"line 2: {BEHIND}; a mark within"),
    "a blank behind it": ('id,line\r\n1,"1 leek" \r\n', f"line 2: {BEHIND};"),
}


@pytest.mark.parametrize(("table", "words"), BROKEN_CELLS.values(), ids=BROKEN_CELLS)
def test_a_quoted_cell_that_is_none_swallows_no_rows(run, tmp_path, table, words):
    (tmp_path / "in.csv").write_text(table, newline="")
    code, said = run(tmp_path / "in.csv", tmp_path / "out.jsonl")
    assert (code, words in said) == (2, True), said
    assert [path.name for path in tmp_path.iterdir()] == ["in.csv"]


def test_marks_that_begin_no_cell_are_letters(run, tmp_path):
    table = 'id,line,more\n1,1 6" tortilla,"2 "", 3"\n2,"1 6"" tortilla",""\n3,tortilla 6","a\n,b"\n'
    (tmp_path / "in.csv").write_text(table)
    assert run(tmp_path / "in.csv", tmp_path / "out.jsonl")[0] == 0
    answers = (tmp_path / "out.jsonl").read_bytes().splitlines()
    assert [json.loads(one)["line"] for one in answers] == ['1 6" tortilla', '1 6" tortilla', 'tortilla 6"']


@pytest.mark.parametrize("end", ["", "\n", "\r\n\n"])
def test_cells_of_several_lines_are_read_as_they_are(run, tmp_path, end):
    (tmp_path / "in.csv").write_bytes(f'line\n"2 ""large""\neggs"\n"1 leek"{end}'.encode())
    assert run(tmp_path / "in.csv", tmp_path / "out.jsonl")[0] == 0
    answers = (tmp_path / "out.jsonl").read_bytes().splitlines()
    assert [json.loads(one)["line"] for one in answers] == ['2 "large"\neggs', "1 leek"]


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_a_table_without_the_column_is_refused(run, tmp_path, ending):
    source = write_table(tmp_path / f"in.{ending}", ["2 eggs"], "text")
    code, said = run(source, tmp_path / "out.jsonl")
    assert code == 2
    assert "must have one column `line`; it has: id, text" in said


def test_a_column_of_numbers_is_refused(run, tmp_path):
    pyarrow.parquet.write_table(pyarrow.table({"line": [1, 2]}), tmp_path / "in.parquet")
    code, said = run(tmp_path / "in.parquet", tmp_path / "out.jsonl")
    assert (code, "must be text, not int64" in said) == (2, True)


# ---- files -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("source", "out"), [("jsonl", "jsonl"), ("csv", "csv"), ("parquet", "parquet")])
def test_of_no_records_there_are_no_answers(run, tmp_path, source, out):
    path = tmp_path / f"in.{source}"
    if source == "parquet":
        pyarrow.parquet.write_table(pyarrow.table({"line": pyarrow.array([], pyarrow.string())}), path)
    else:
        path.write_text("")
    code, said = run(path, tmp_path / f"out.{out}")
    assert (code, "0 records" in said) == (0, True)
    if out == "jsonl":
        assert (tmp_path / "out.jsonl").read_bytes() == b""
    else:
        assert read_table(tmp_path / f"out.{out}") == []


def test_what_is_there_is_not_overwritten_unasked(run, tmp_path):
    source, out = write_lines(tmp_path / "in.jsonl", LINES), tmp_path / "out.jsonl"
    out.write_text("mine")
    code, said = run(source, out)
    assert (code, "--overwrite" in said, out.read_text()) == (2, True, "mine")
    assert run(source, out, "--overwrite")[0] == 0
    assert len(out.read_bytes().splitlines()) == len(LINES)


WRONG = {
    "no input": (("none.jsonl", "out.jsonl"), "cannot read"),
    "unknown ending": (("in.txt", "out.jsonl"), "--format"),
    "unknown ending of the output": (("in.jsonl", "out"), "--format"),
    "the input itself": (("in.jsonl", "in.jsonl"), "the input itself"),
    "no folder": (("in.jsonl", "no/out.jsonl"), "cannot write"),
    "a folder": (("in.jsonl", "."), "--format"),
    "no Parquet": (("in.jsonl", "out.jsonl", "--format", "parquet"), "no Parquet file"),
    "no processes": (("in.jsonl", "out.jsonl", "--processes", "0"), "from 1 to 256"),
}


@pytest.mark.parametrize(("arguments", "why"), WRONG.values(), ids=WRONG)
def test_wrong_use_is_said(run, tmp_path, monkeypatch, arguments, why):
    monkeypatch.chdir(tmp_path)
    write_lines(tmp_path / "in.jsonl", LINES)
    write_lines(tmp_path / "in.txt", LINES)
    code, said = run(*arguments)
    assert (code, why in said) == (2, True), said


def test_format_says_what_an_ending_does_not(run, tmp_path):
    source = write_lines(tmp_path / "in.txt", LINES)
    assert run(source, tmp_path / "out.txt", "--format", "jsonl")[0] == 0


# ---- taken up again --------------------------------------------------------------------------------------------


@pytest.fixture
def broken_off(run, tmp_path, monkeypatch):
    """A run that ended after three chunks; its input and output."""
    monkeypatch.setattr(records, "CHUNK_RECORDS", 4)
    source, out, whole = write_lines(tmp_path / "in.jsonl", LINES * 4), tmp_path / "out.jsonl", parts.Parts.add

    def add(self: parts.Parts, number: int, done: parts.Done) -> None:
        if len(self.finished) == 3:
            raise GramwrightError("the power went")
        whole(self, number, done)

    with monkeypatch.context() as patched:
        patched.setattr(parts.Parts, "add", add)
        assert run(source, out)[0] == 1
    assert not out.exists()
    assert len(list(tmp_path.glob("out.jsonl.parts/*.part"))) == 3
    return source, out


def test_what_was_finished_is_not_repeated(run, expected, broken_off):
    source, out = broken_off
    code, said = run(source, out, "--json")
    assert (code, json.loads(said)["kept"]) == (0, 12)
    assert out.read_bytes() == expected(LINES * 4)


def test_other_input_is_refused(run, broken_off):
    source, out = broken_off
    write_lines(source, LINES * 5)
    code, said = run(source, out)
    assert (code, "holds a run with other input; go on with the same" in said) == (2, True)


@pytest.mark.parametrize(
    ("more", "what"), [(("--components", "FAT"), "components"), (("--datasets", "sr28"), "releases")]
)
def test_other_questions_are_refused(run, broken_off, more, what):
    code, said = run(*broken_off, *more)
    assert (code, what in said) == (2, True), said


def test_another_release_is_refused(run, broken_off, monkeypatch):
    monkeypatch.setattr(bulk, "origin_of", lambda _: ("tables of another day", "sr28 29"))
    code, said = run(*broken_off)
    assert (code, "other hand-kept tables and releases" in said) == (2, True)


def test_a_worker_with_another_release_is_refused(run, tmp_path, monkeypatch):
    monkeypatch.setattr(bulk, "origin_of", lambda _: ("tables of another day", "sr28 29"))
    code, said = run(write_lines(tmp_path / "in.jsonl", LINES), tmp_path / "out.jsonl")
    assert (code, "a worker has tables" in said) == (1, True)


def test_two_runs_do_not_write_one_output(run, tmp_path):
    with parts.parts_of(tmp_path / "out.jsonl"):
        code, said = run(write_lines(tmp_path / "in.jsonl", LINES), tmp_path / "out.jsonl")
    assert (code, "another run is writing" in said) == (2, True)


def test_an_input_that_changes_meanwhile_is_noticed(run, tmp_path, monkeypatch):
    source, looked = write_lines(tmp_path / "in.jsonl", LINES), bulk.look_at

    def look_at(*arguments):
        found = looked(*arguments)
        write_lines(source, [*LINES, "one more egg"])
        return found

    monkeypatch.setattr(bulk, "look_at", look_at)
    code, said = run(source, tmp_path / "out.jsonl")
    assert (code, "was changed while it was read" in said) == (2, True)


def test_a_full_disk_is_said_and_what_is_finished_is_kept(run, expected, tmp_path, monkeypatch):
    monkeypatch.setattr(records, "CHUNK_RECORDS", 4)
    source, out, real, calls = write_lines(tmp_path / "in.jsonl", LINES * 4), tmp_path / "out.jsonl", os.fsync, []

    def fsync(file: int) -> None:
        calls.append(file)
        if len(calls) == 4:
            raise OSError(errno.ENOSPC, "No space left on device")
        real(file)

    with monkeypatch.context() as patched:
        patched.setattr(parts.os, "fsync", fsync)
        code, said = run(source, out)
    assert (code, "No space left on device; what is finished is kept" in said) == (1, True)
    assert not list(tmp_path.glob("**/*.new"))
    code, said = run(source, out, "--json")
    assert (code, json.loads(said)["kept"]) == (0, 8)
    assert out.read_bytes() == expected(LINES * 4)
