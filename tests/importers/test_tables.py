"""Reading a publisher's tables by columns.csv: every fault is told with file, line, column and value."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from importers.check import Findings
from importers.tables import Column, Dialect, load_columns, read_table
from service.core.errors import TableError

CARETS = Dialect(separator="^", quote="~", encoding="latin-1")
BARE = Dialect(separator=";", quote="", encoding="utf-8")
HEAD = "file,position,column,type,required,low,high,field,meaning\n"
INF = float("inf")
COLUMNS = (
    Column("a.txt", 1, "Code", "text", True, -INF, INF, "code"),
    Column("a.txt", 2, "Grams", "decimal", True, 0, 100, "grams"),
    Column("a.txt", 3, "Skipped", "text", False, -INF, INF, ""),
    Column("a.txt", 4, "Count", "whole", False, 1, 9, "count"),
)


@pytest.mark.parametrize(("row", "place"), [
    ("a.txt,2,A,text,yes,,,a,", "columns.csv:2:position"),
    ("a.txt,first,A,text,yes,,,a,", "columns.csv:2:position"),
    ("a.txt,1,A,string,yes,,,a,", "columns.csv:2:type"),
    ("a.txt,1,A,text,maybe,,,a,", "columns.csv:2:required"),
    ("a.txt,1,A,decimal,yes,none,,a,", "columns.csv:2:low"),
    ("a.txt,1,A,decimal,yes,0,much,a,", "columns.csv:2:high"),
    ("a.txt,1", "columns.csv:2:type"),
])
def test_a_bad_description_is_told_with_its_place(tmp_path: Path, row: str, place: str) -> None:
    path = tmp_path / "columns.csv"
    path.write_text(f"{HEAD}{row}\n")
    with pytest.raises(TableError, match=f"^{place}: "):
        load_columns(path)


def told(content: str, dialect: Dialect = CARETS) -> list[str]:
    findings = Findings("a")
    read_table(content.encode(dialect.encoding), COLUMNS, dialect, findings)
    return [str(fault) for fault in findings.faults]


@pytest.mark.parametrize(("content", "faults"), [
    ("~x~^1.5^^2\r\n~y~^0^~z~^\n", []),
    ("~x~^~1.5~^^~2~\n", []),  # numbers between quotes are numbers
    ("~x~^1^^2", []),  # the last line may lack its end
    ("", []),
    ("~x~^1^^\n~y~^1^\n", ["a.txt:2: 3 fields, 4 described (value '~y~^1^')"]),
    ("~x~^1^^\n\n", ["a.txt:2: 1 fields, 4 described"]),
    ("~x~^1^^^\n", ["a.txt:1: 5 fields, 4 described (value '~x~^1^^^')"]),
    ("~~^1^^\n", ["a.txt:1:Code: must not be empty"]),
    ("^1^^\n", ["a.txt:1:Code: must not be empty"]),
    ("x^1^^\n", ["a.txt:1:Code: text must stand between ~ and ~ (value 'x')"]),
    ("~x^1^^\n", ["a.txt:1:Code: text must stand between ~ and ~ (value '~x')"]),
    ("~x~^^^\n", ["a.txt:1:Grams: must not be empty"]),
    ("~x~^100.5^^\n", ["a.txt:1:Grams: must be from 0 to 100 (value '100.5')"]),
    ("~x~^-1^^\n", ["a.txt:1:Grams: must be from 0 to 100 (value '-1.0')"]),
    ("~x~^inf^^\n", ["a.txt:1:Grams: must be from 0 to 100 (value 'inf')"]),
    ("~x~^nan^^\n", ["a.txt:1:Grams: must be a number (value 'nan')"]),
    ("~x~^1,5^^\n", ["a.txt:1:Grams: must be a number (value '1,5')"]),
    ("~x~^1^^2.5\n", ["a.txt:1:Count: must be a whole number (value '2.5')"]),
    ("~x~^abc^^0\n~^2^^\n~y~^300^^\n", [
        "a.txt:2:Code: text must stand between ~ and ~ (value '~')",
        "a.txt:1:Grams: must be a number (value 'abc')", "a.txt:3:Grams: must be from 0 to 100 (value '300.0')",
        "a.txt:1:Count: must be from 1 to 9 (value '0.0')"]),
])
def test_every_fault_is_told_with_its_place(content: str, faults: list[str]) -> None:
    assert told(content) == faults


def test_lines_after_a_short_one_keep_their_numbers() -> None:
    assert told("short\n~x~^999^^\n")[1].startswith("a.txt:2:Grams")


@pytest.mark.parametrize("code", ["x", "01", "1.50", "nan", "NULL", "~x~", "é"])
def test_text_may_stand_bare_and_is_never_taken_for_a_number(code: str) -> None:
    frame = read_table(f"{code};1;;2\n".encode(), COLUMNS, BARE, Findings("a"))
    assert frame["code"].tolist() == [code]


TEXT = st.text(st.characters(codec="latin-1", exclude_characters="^~\n\r\0"), min_size=1)
ROWS = st.lists(st.tuples(TEXT, st.floats(0, 100), st.one_of(st.none(), st.integers(1, 9))), max_size=8)


@given(rows=ROWS)
def test_what_was_written_is_read_back_exactly(rows: list[tuple[str, float, int | None]]) -> None:
    lines = (f"~{text}~^{grams!r}^^{'' if count is None else count}\r\n" for text, grams, count in rows)
    findings = Findings("a")
    frame = read_table("".join(lines).encode("latin-1"), COLUMNS, CARETS, findings)
    counts = [None if count != count else count for count in frame["count"].tolist()]
    assert list(zip(frame["code"], frame["grams"], counts, strict=True)) == rows
    assert findings.faults == ()
