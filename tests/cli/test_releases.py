"""`gramwright dataset`: load a file at hand, compare, activate, go back, check; every step says what it did."""

from __future__ import annotations

import csv
import io
import re
import shutil
from pathlib import Path

import pytest

from service.core.errors import FetchError
from service.settings import DATABASE_NAME
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import add_release, migrate, replace_release
from service.wiring import Catalogue
from tests.harbour import HARBOUR, changed, harbour

FOUNDATION = Path(__file__).parents[1] / "importers" / "fixtures" / "fdc" / "foundation_2024-10-31"
PROTEIN = 4  # its line in food_nutrient.csv


@pytest.fixture
def run(run_on, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The command over a store of its own with two releases of an invented dataset."""
    engine = open_engine(sqlite_url(tmp_path / DATABASE_NAME))
    migrate(engine)
    replace_release(engine, harbour())
    add_release(engine, [harbour("2026", changed("1", FAT=9))])
    monkeypatch.setenv("GRAMWRIGHT_DATASETS", HARBOUR)
    monkeypatch.setenv("GRAMWRIGHT_DATA_DIR", str(tmp_path))
    yield run_on(Catalogue(engine, (HARBOUR,)))
    engine.dispose()


def said(run, *arguments: str) -> str:
    ran = run("dataset", *arguments)
    assert ran.code == 0, ran.err
    return " ".join(ran.out.split())


def test_a_file_is_loaded_activated_and_rolled_back(run) -> None:
    out = said(run, "fetch", "fdc-foundation", "--file", str(FOUNDATION))
    assert "Loaded fdc-foundation 2024-10-31: " in out
    assert "gramwright dataset activate fdc-foundation 2024-10-31" in out
    told = said(run, "activate", "fdc-foundation")
    assert "answers from release 2024-10-31 where it is asked for; it is not among the datasets in use" in told
    again = said(run, "fetch", "fdc-foundation", "--file", str(FOUNDATION))
    assert again == "fdc-foundation 2024-10-31 is already loaded, with the same content. It is the active release."
    assert "fdc-foundation" in said(run, "list")


def test_a_file_with_other_content_of_the_same_release_changes_no_answer(run, tmp_path: Path) -> None:
    said(run, "fetch", "fdc-foundation", "--file", str(FOUNDATION))
    said(run, "activate", "fdc-foundation")
    other = shutil.copytree(FOUNDATION, tmp_path / FOUNDATION.name)
    amounts = other / "food_nutrient.csv"
    lines = amounts.read_text(encoding="utf-8").splitlines(keepends=True)
    cells = lines[PROTEIN].split(",")
    lines[PROTEIN] = ",".join([*cells[:3], '"7.5"', *cells[4:]])
    amounts.write_text("".join(lines), encoding="utf-8")
    out = said(run, "fetch", "fdc-foundation", "--file", str(other))
    found = re.search(r"Loaded fdc-foundation (2024-10-31~[0-9a-f]{8}): ", out)
    assert found, out
    assert "A release 2024-10-31 with other content is in the store" in out
    assert f"gramwright dataset compare fdc-foundation:2024-10-31 {found[1]}" in out
    assert f"gramwright dataset activate fdc-foundation {found[1]}" in out
    assert "values changed 1" in said(run, "compare", "fdc-foundation:2024-10-31", found[1])
    assert found[1] in said(run, "activate", "fdc-foundation")
    assert "answers from release 2024-10-31 again" in said(run, "roll-back", "fdc-foundation")


def test_the_way_there_and_back(run) -> None:
    assert "harbour answers from release 2026;" in said(run, "activate", HARBOUR, "2026")
    assert "harbour answers from release 2025 again;" in said(run, "roll-back", HARBOUR)
    ran = run("dataset", "roll-back", HARBOUR)
    assert (ran.code, ran.err) == (2, "gramwright: no other release of harbour in the store was active before 2025\n")


def test_every_release_is_listed_with_its_use(run) -> None:
    out = said(run, "list")
    assert "2025 active" in out
    assert "2026" in out
    assert "2026 active" not in out


def test_a_comparison_is_printed_and_written(run, tmp_path: Path) -> None:
    out = said(run, "compare", "harbour:2025", "2026")
    assert "values changed 1" in out
    assert "value changed harbour:1 Kelp, raw FAT (g) 0.6 9" in out
    rows = list(csv.reader(io.StringIO(run("dataset", "compare", "harbour:2025", "harbour:2026", "--csv", "-").out)))
    assert rows[1] == ["value changed", "harbour:1", "Kelp, raw", "FAT (g)", "0.6", "9"]
    page = tmp_path / "page.html"
    assert run("dataset", "compare", "harbour:2025", "2026", "--html", str(page)).code == 0
    assert "<title>Harbour table: release 2025 and release 2026</title>" in page.read_text(encoding="utf-8")


@pytest.mark.parametrize(("arguments", "message"), [
    (("compare", "harbour", "2026"), "releases are named as in cnf:2015, not harbour"),
    (("compare", "harbour:2025", "pier:2026"), "releases of one dataset are compared"),
    (("compare", "harbour:1999", "2026"), "no release '1999' of harbour is in the store; there are: 2025, 2026"),
    (("activate", "harbour", "1999"), "no release '1999' of harbour in the store; there are: 2025, 2026"),
    (("fetch", "moon", "--file", "."), "no dataset 'moon' can be read; there is: sr28, fdc-foundation"),
    (("fetch", "cnf", "--file", "nowhere.zip"), "there is no file or folder nowhere.zip"),
    (("fetch", "sr28"), "sr28 comes with the installation"),
    (("fetch", "moon"), "no source of 'moon' is known"),
    (("check", "moon"), "no dataset 'moon'"),
])  # fmt: skip
def test_what_is_wrong_is_said_in_one_sentence(run, arguments: tuple[str, ...], message: str) -> None:
    ran = run("dataset", *arguments)
    assert ran.code == 2
    assert message in ran.err
    assert ran.err.count("\n") == 1


def test_faulty_files_leave_the_store_as_it_was(run, tmp_path: Path) -> None:
    (tmp_path / "cut.zip").write_bytes(b"PK\x03\x04 cut short")
    before = said(run, "list")
    ran = run("dataset", "fetch", "fdc-foundation", "--file", str(tmp_path / "cut.zip"))
    assert (ran.code, "cut.zip" in ran.err) == (1, True)
    assert said(run, "list") == before


def test_an_older_release_is_told(run, tmp_path: Path) -> None:
    said(run, "fetch", "fdc-foundation", "--file", str(FOUNDATION))
    said(run, "activate", "fdc-foundation")
    older = shutil.copytree(FOUNDATION, tmp_path / "foundation_2020-01-02")
    out = said(run, "fetch", "fdc-foundation", "--file", str(older))
    assert "It is older than 2024-10-31, the active release." in out


def test_a_fetch_that_fails_is_told(run, monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: object, **__: object) -> None:
        raise FetchError("cnf cannot be fetched")

    monkeypatch.setattr("importers.fetch.fetch", fails)
    ran = run("dataset", "fetch", "cnf")
    assert (ran.code, ran.err) == (1, "gramwright: cnf cannot be fetched\n")


def test_a_check_names_what_does_not_add_up(run) -> None:
    assert "0 findings in harbour" in said(run, "check", HARBOUR)
    assert "findings in harbour, pantry." in said(run, "check")


def test_a_release_is_checked_before_it_answers(run) -> None:
    assert "0 findings in harbour." in said(run, "check", HARBOUR)
    out = said(run, "check", HARBOUR, "2026")
    assert "harbour:1 Kelp, raw" in out
    assert "findings in harbour 2026." in out
    ran = run("dataset", "check", HARBOUR, "1999")
    assert (ran.code, "no release '1999' of harbour" in ran.err) == (2, True)
