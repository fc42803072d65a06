"""gramwright resolve: table, JSON Lines and CSV over all of SR28."""

from __future__ import annotations

import csv
import io
import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.commands.inputs import read_lines
from service.commands.resolve import safe_cell
from service.commands.tables_of_text import figure, plain

THREE = ("half a small avocado", "1 tsp mayonnaise", "2 large eggs")


def results(out: str) -> list[dict]:
    return [json.loads(line) for line in out.split("\n")[:-1]]


# ---- table -----------------------------------------------------------------------------------------------------


def test_table_shows_lines_foods_weights_figures_and_totals(run):
    ran = run("resolve", *THREE)
    assert (ran.code, ran.err) == (0, "")
    for words in ("food entry", "grams", "kcal", "carbohydrate", "fibre", "net", "confidence", "outcome"):
        assert words in ran.out
    for words in ("1 tsp mayonnaise", "Salad dressing,", "[sr28:04025]", "4.6", "resolved", "total"):
        assert words in ran.out
    assert "count 3 of 3 lines" in ran.out
    assert "release 28" in ran.out


def test_table_says_what_is_not_known(run):
    ran = run("resolve", "200 g cod", "1 cup glimmerstones", "salt to taste", "", "--servings", "2")
    assert ran.code == 0
    assert "no fair entry" in ran.out
    assert "unknown" in ran.out
    assert " + ?" in ran.out
    assert "per serving, of 2" in ran.out
    assert "count 1 of 3 lines that name food (33%), 200 g of a weight that is not known in full" in ran.out
    assert "No fair entry for line 2: every total is a lower bound." in ran.out
    assert "No weight for line 3" in ran.out


def test_components_asked_for_have_a_table_of_totals(run):
    assert "\n NA " in run("resolve", "2 large eggs", "--components", "NA").out
    assert run("resolve", "2 large eggs", "--components", "all").out.count("\n") > 150


def test_hostile_text_cannot_act_on_the_terminal(run):
    ran = run("resolve", "2 eggs \x1b[2J\x07 \u202eabc [bold]x[/bold]")
    assert ran.code == 0
    assert "\x1b" not in ran.out
    assert "\u202e" not in ran.out
    assert "\\x1b[2J\\x07" in ran.out.replace("\n", "")
    assert "[bold]" in ran.out


FIGURES = [
    (None, 1, "unknown"), (0.0, 1, "0.0"), (0.026, 1, "<0.1"), (0.06, 1, "0.1"), (31.28, 0, "31"), (0.3, 0, "<1")
]  # fmt: skip


@pytest.mark.parametrize(("amount", "decimals", "shown"), FIGURES)
def test_figures(amount, decimals, shown):
    assert figure(amount, decimals) == shown


# ---- JSON Lines ------------------------------------------------------------------------------------------------


def test_jsonl_from_standard_input_file_and_arguments(run, tmp_path):
    text = "\n".join(THREE) + "\n"
    path = tmp_path / "lunch.txt"
    path.write_text(text, encoding="utf-8")
    ways = [
        run("resolve", "--jsonl", stdin=text.encode()),
        run("resolve", "--jsonl", "-", stdin=text.encode()),
        run("resolve", "-", "--jsonl", stdin=text.encode()),
        run("resolve", "--jsonl", str(path)),
        run("resolve", "--file", str(path), "--jsonl"),
        run("resolve", *THREE, "--jsonl"),
    ]
    assert {ran.code for ran in ways} == {0}
    assert len({ran.out for ran in ways}) == 1
    assert [result["line"] for result in results(ways[0].out)] == list(THREE)


@pytest.mark.parametrize("form", ["--jsonl", "--csv"])
def test_lines_are_one_list(run, form):
    ran = run("resolve", "Rice", "2 cups basmati rice", "1 tsp salt", form)
    assert ran.out.count("taken for a heading") == 1


def test_jsonl_has_the_agreed_form(run):
    # SR28 04025: 1 tbsp of mayonnaise weighs 13.8 g, a third of it is 1 tsp; 680 kcal and 0.57 g in 100 g.
    ran = run("resolve", "--jsonl", "-", "--components", "ENERC_KCAL,CHOCDF", stdin=b"1 tsp mayonnaise")
    [result] = results(ran.out)
    [part] = result["parts"]
    assert result["outcome"] == part["outcome"] == "resolved"
    assert part["food"]["id"] == "sr28:04025"
    assert set(part["amount"]) == {"low", "high", "measure", "size"}
    assert set(part["grams"]) == {"value", "low", "high", "rule", "basis"}
    assert part["grams"]["value"] == pytest.approx(4.6, rel=0.01)
    assert part["components"] == pytest.approx({"ENERC_KCAL": 31.28, "CHOCDF": 0.026}, rel=0.01)
    assert {"confidence", "candidates", "reasons", "text"} <= set(part)


def test_components_are_filled_only_when_asked_for(run, catalogue):
    amounts = {
        given: results(run("resolve", "2 large eggs", "--jsonl", *given).out)[0]["parts"][0]["components"]
        for given in ((), ("--components", "FAT"), ("--components", "all"))
    }
    assert [len(found) for found in amounts.values()] == [0, 1, len(catalogue.resolver().table.components)]


# Only LF ends a line; every other mark that some reader takes for an end stays in its line.
LINES = [
    "", "2 eggs\r", "a\u2028b\u2029c", "a\x0bb\x0cc", "a\x1cb\x1dc\x1e", "a\x85b", "\ufeff2 eggs", "\x00", "é 🥑", " x "
]  # fmt: skip


@pytest.mark.parametrize("end", ["", "\n"])
def test_jsonl_repeats_each_line_unchanged(run, end):
    ran = run("resolve", "--jsonl", stdin=("\n".join(LINES) + end).encode())
    assert [result["line"] for result in results(ran.out)] == LINES
    assert results(ran.out)[0]["outcome"] == "not_food"


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\n"), max_size=40), min_size=1))
def test_jsonl_gives_one_object_a_line_whatever_the_lines(run, lines):
    ran = run("resolve", "--jsonl", stdin=("\n".join(lines) + "\n").encode())
    assert ran.code == 0
    assert [result["line"] for result in results(ran.out)] == lines


def test_jsonl_of_nothing_is_nothing(run):
    assert run("resolve", "--jsonl", stdin=b"") == run("resolve", "--jsonl", "-", stdin=b"")
    assert run("resolve", "--jsonl", stdin=b"").out == ""
    assert len(results(run("resolve", "--jsonl", stdin=b"\n").out)) == 1


def test_read_lines_does_not_wait_for_the_end():
    class Endless(io.RawIOBase):
        def readable(self) -> bool:
            return True

        def readinto(self, buffer) -> int:
            buffer[:4] = b"egg\n"
            return 4

    lines = read_lines(io.BufferedReader(Endless()), "a stream")
    assert [next(lines) for _ in range(3)] == ["egg"] * 3


# ---- CSV -------------------------------------------------------------------------------------------------------


def table(out: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(out, newline="")))


def test_csv_has_a_row_a_food_with_unknown_left_empty(run):
    rows = table(run("resolve", "1 oz almonds", "1 cup glimmerstones", "For the sauce", "salt to taste", "--csv").out)
    assert [row["number"] for row in rows] == ["1", "2", "3", "4"]
    # SR28 12061: 28.35 g of almonds have 2.57 g net carbohydrate.
    assert float(rows[0]["net_carbohydrate"]) == pytest.approx(2.57, rel=0.005)
    assert (rows[1]["food_id"], rows[1]["grams"], rows[1]["CHOCDF"]) == ("", "", "")
    assert rows[2]["outcome"] == "not_food"
    assert rows[3]["grams"] == ""


def test_csv_columns_follow_the_components(run):
    [row] = table(run("resolve", "2 large eggs", "--csv", "--components", "NA,CHOLE").out)
    assert [name for name in row if name.isupper()] == ["NA", "CHOLE"]
    assert row["net_carbohydrate"]


CELLS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "\n=cmd"]


@pytest.mark.parametrize("cell", CELLS)
def test_csv_cells_are_no_formulas(run, cell):
    assert safe_cell(cell) == f"'{cell}"
    if "\n" not in cell:
        rows = table(run("resolve", "-", "--csv", stdin=cell.encode()).out)
        assert rows[0]["line"] == f"'{cell}"


@pytest.mark.parametrize("cell", ["", "2 eggs", "1-2 eggs", None, 3, 0.5, -0.5])
def test_csv_cells_that_are_harmless_stay(cell):
    assert safe_cell(cell) == cell


def test_plain_keeps_what_is_harmless():
    assert plain("crème fraîche ½ 🥑 سمك") == "crème fraîche ½ 🥑 سمك"
    assert plain("\x00\x9b\u2066\u200b") == "\\x00\\x9b\\u2066\\u200b"
