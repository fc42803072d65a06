"""Packaged foods by the million: found by id and by bar code beside a small table, never held in memory."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from importers.fdc import branded
from service.core.errors import InputError
from service.core.food import as_gtin
from service.store import read
from service.store.read import load_table
from service.store.write import add_release, replace_release
from service.wiring import Catalogue
from tests.benchmarks.branded import main, write_download
from tests.harbour import HARBOUR, harbour

FOODS = 40


@pytest.fixture
def catalogue(empty_store: Engine, tmp_path: Path) -> Iterator[Catalogue]:
    """The harbour's table in use, and beside it packaged foods that are in the store only."""
    replace_release(empty_store, harbour())
    write_download(tmp_path / "branded", FOODS)
    add_release(empty_store, branded.read_chunks(tmp_path / "branded", part=7), active=True)
    return Catalogue(empty_store, (HARBOUR,))


@pytest.mark.parametrize("digits", ["9000000000003", "09000000000003", " 9000000000003 "])
def test_a_bar_code_finds_its_food_whatever_zeros_lead_it(catalogue: Catalogue, digits: str) -> None:
    [food] = catalogue.with_gtin(digits)
    assert (food.id, food.description) == ("fdc-branded:300004", "HARBOUR STORES, SEA LETTUCE CRISPS, NO. 3")
    assert catalogue.details(food.id).gtin == "09000000000003"


@pytest.mark.parametrize("text", ["9100000000003", "kelp", "1234567", "", "900000000000\u0663"])
def test_what_is_no_known_bar_code_finds_nothing(catalogue: Catalogue, text: str) -> None:
    assert catalogue.with_gtin(text) == ()


def test_a_bar_code_of_a_release_that_does_not_answer_finds_nothing(empty_store: Engine, tmp_path: Path) -> None:
    replace_release(empty_store, harbour())
    write_download(tmp_path / "branded", FOODS)
    add_release(empty_store, branded.read_chunks(tmp_path / "branded"))
    assert Catalogue(empty_store, (HARBOUR,)).with_gtin("9000000000003") == ()


@pytest.mark.parametrize(("text", "gtin"), [
    ("96385074", "00000096385074"), ("036000291452", "00036000291452"), ("4006381333931", "04006381333931"),
    ("14006381333938", "14006381333938"), ("1234567", ""), ("123456789012345", ""), ("12 345 678", ""),
    ("cod 1234567", ""),
])  # fmt: skip
def test_shorter_numbers_are_filled_up_to_14_digits(text: str, gtin: str) -> None:
    """GS1 General Specifications, 2.1: GTIN-8, -12 and -13 in a 14-digit field are preceded by zeros; from memory."""
    assert as_gtin(text) == gtin


def test_a_food_of_a_table_that_is_not_in_use_is_shown_by_its_own_release(catalogue: Catalogue) -> None:
    components, [release] = catalogue.around("fdc-branded:300004")
    assert (release.dataset, release.foods, len(components)) == ("fdc-branded", FOODS, 13)
    components, releases = catalogue.around("harbour:1")
    assert [one.dataset for one in releases] == [HARBOUR]


def test_a_table_too_long_for_memory_is_refused_by_name(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(read, "MOST_FOODS", FOODS - 1)
    with pytest.raises(InputError, match="fdc-branded has 40 foods, more than the 39 that are held in memory: they"):
        catalogue.resolver((HARBOUR, "fdc-branded"))
    assert len(load_table(catalogue.engine, (HARBOUR,)).foods) == 3
    assert catalogue.with_gtin("9000000000003")


def test_the_benchmark_loads_and_looks_up(capsys: pytest.CaptureFixture[str]) -> None:
    main(["--foods", "30", "--json"])
    assert '"foods": 30' in capsys.readouterr().out
