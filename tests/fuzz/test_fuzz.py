"""Every target is fuzzed for some seconds, and its seeds and what was found before are looked at without a fuzzer.

GRAMWRIGHT_FUZZ_SECONDS says for how long a target is fuzzed (20).
"""

from __future__ import annotations

import importlib
import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from service.core.errors import DataError
from service.settings import Settings
from tests.fuzz import fuzzing, importers, inputs, lines

TARGETS = {"lines": lines, "importers": importers, "inputs": inputs}
SECONDS = int(os.environ.get("GRAMWRIGHT_FUZZ_SECONDS") or fuzzing.SECONDS)
SEEDS = [(name, path) for name, target in TARGETS.items() for path in fuzzing.seeds_of(target.SEEDS)]


@pytest.fixture(scope="module", autouse=True)
def _store(sr28_store: Settings) -> Iterator[None]:
    """The targets open the store that the settings name: that of this run."""
    patch = pytest.MonkeyPatch()
    patch.setenv("GRAMWRIGHT_DATA_DIR", str(sr28_store.data_dir))
    patch.setenv("GRAMWRIGHT_DATABASE_URL", sr28_store.database_url)
    yield
    patch.undo()


@pytest.mark.parametrize(("name", "seed"), SEEDS, ids=[f"{name}-{path.name}" for name, path in SEEDS])
def test_seeds_obey_the_laws(name: str, seed: Path) -> None:
    TARGETS[name].check(seed.read_bytes())


@pytest.mark.parametrize("name", TARGETS)
def test_fuzzing_finds_nothing(name: str) -> None:
    if not fuzzing.installed():
        pytest.skip("atheris has no wheel here: pip install '.[fuzz]'")
    report = fuzzing.fuzz(name, seconds=SECONDS)
    assert report.runs > SECONDS, report.log[-3000:]
    assert report.branches > 300, "the fuzzer does not see the code's branches"
    assert not report.finds, str(report)


# ---- what was found, each first a failing case ---------------------------------------------------------------------

# Texts whose repetition took time that doubled with each, grew by its square, or ended in a RecursionError.
SLOW = [
    "1 g + 1 oz + ", "1 g and ", "1 stick and ", "rs + 1 stick an", "x 1 stick and ", "1g/1 can/", "plus 1 cup ",
    "1 cup (1 g + 1 oz) ", "skewer clove ", "the ", "leaves of 1 ", "salt; ", "sauce: ", "with a little oil ",
    "weighing 1, ", "from 1 ", ". ", "1 cup white, ",
    "1 g to 2 g ", "1 g and 2 g ", "1½red,", "Hrveshttp:/ an",
]  # fmt: skip


@pytest.mark.parametrize("again", SLOW)
def test_time_grows_by_length(again: str) -> None:
    lines.check_growth(f"2 eggs {again}")
    lines.check_growth(again)


def test_chains_of_amounts_end() -> None:
    """Twenty addends once took longer than anybody waits, and a thousand characters of "1g+" broke the stack."""
    for line in ("1 g + 1 oz + " * 20 + "1 g kelp", "egg " + "1g+" * 330, "1 stick and " * 5000):
        lines.resolver().read(line)
        lines.check(line[:900].encode())


DIGITS = ["9" * 400 + "/1 cup kelp", "1/" + "9" * 400 + " cup kelp", "2 eggs " + "9" * 6000 + "/3", "1/3" * 3000]


@pytest.mark.parametrize("line", DIGITS, ids=lambda line: line[:8])
def test_numbers_of_any_length_are_read(line: str) -> None:
    """A quotient of more digits than a float has, and of more than int() takes, were errors."""
    lines.resolver().read(line)
    lines.check(line[:900].encode())


def test_a_workbook_torn_anywhere_is_told() -> None:
    """Data that cannot be unpacked was an error of zlib, a member packed in an unknown way one of zipfile."""
    whole = importers.workbook_file()["table.xlsx"]
    for place in range(0, len(whole), len(whole) // 60):
        importers.check_workbook(whole[:place] + b"xxxxxxxx" + whole[place + 8 :])
        importers.check_workbook(whole[:place])


def test_a_zip_of_a_version_to_come_is_told(tmp_path: Path) -> None:
    packed = importers.Edited({"FOOD NAME.csv": b"kelp"}, b",", [(0, b"PK")])
    path = importers.written(packed, tmp_path / "cnf")
    data = bytearray(path.read_bytes())
    data[data.index(b"PK\x01\x02") + 6] = 0xFF
    path.write_bytes(data)
    with pytest.raises(DataError, match="damaged"):
        importers.PUBLICATIONS["cnf"].read(path)
    importers.check_workbook(bytes(data))


def test_a_part_without_a_name_still_says_what_it_is_of() -> None:
    assert [part.text for part in lines.resolver().read("juice with t he drained 60 ml lime").parts] != ["juice", ""]


# Numbers by str.isdigit() that int() does not take, or no database.
NO_NUMBERS = ("own:²".encode(), "recipe:²".encode(), b"own:" + b"9" * 30)

# Inputs that came out as another error than the project's own: target -> input
LAWLESS = [
    ("inputs", b'choices\n":["12","m00}]}'),
    ("importers", b"branded\nc 0 1 8 0.0000001\nc 0 2 0 x"), ("importers", b"branded\nc 3 1 0 x"),
    ("importers", b"foundation\nc 11 5 10 2024-13-45\nc 7 1 10 "), ("importers", b"branded\nc 8 2 2 2024-13-45"),
    ("importers", b"branded\nc 7 4 10 inf\nc 2 2 9 99999"), ("importers", b"branded\ne 2 1686"),
    ("importers", b"foundation of 2019\nb 0 64 \xf6"),
    ("importers", b"r28\nc :3 2 2c :3 2 2 \x00\nc  3 \xff4  \x00\nc  3 \xff4 3-3"),  # a missing key, twice
    *(("inputs", b'choice\n{"phrase":"mayo","food":"%s"}' % food) for food in NO_NUMBERS),
    *(("inputs", b'recipe\n{"title":"Plate","sections":[{"lines":[{"text":"1 egg","food":"%s"}]}]}' % food)
      for food in NO_NUMBERS),
    ("inputs", b"content length\n\xb2"), ("inputs", b"content length\n" + b"9" * 1400),
]  # fmt: skip


@pytest.mark.parametrize(("name", "data"), LAWLESS, ids=range(len(LAWLESS)))
def test_inputs_that_broke_a_law(name: str, data: bytes) -> None:
    TARGETS[name].check(data)


# ---- the fuzzer's own doings ---------------------------------------------------------------------------------------


def test_each_different_failure_is_kept_once(tmp_path: Path) -> None:
    def check(data: bytes) -> None:
        if data == b"a":
            raise ValueError("no")
        if data == b"b":
            raise KeyError("b")

    gather = fuzzing.Gatherer(check, tmp_path)
    for data in (b"a", b"a", b"b", b"c"):
        gather(data)
    assert [path.read_bytes() for path in sorted(tmp_path.glob("*.input"))] == [b"a", b"b"]
    assert "ValueError: no" in (tmp_path / "01.txt").read_text("utf-8")


def test_a_growth_that_is_no_longer_by_length_is_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lines, "seconds", lambda line: (len(line) / 600) ** 2 * 0.01)
    with pytest.raises(AssertionError, match="times the time"):
        lines.check_growth("1 egg ")


@pytest.mark.parametrize("name", TARGETS)
def test_targets_are_whole(name: str) -> None:
    module = importlib.import_module(f"tests.fuzz.{name}")
    assert module.LONGEST
    assert Path(fuzzing.__file__).with_name(f"{name}.dict").exists()
    assert fuzzing.PACKAGES[name]
