"""Bad files of every publisher, loaded by the command: one report with the place, and the store as it was.

Each publisher's faults are edits of invented files that load: what is told begins with file, line and column as far as
the fault has them. Nothing of a faulty load is seen: the active release answers, and no row of any table is there more.
"""

from __future__ import annotations

import io
import sqlite3
import zipfile
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import openpyxl
import pytest
from sqlalchemy import Engine, event, text

from importers import archive, workbook
from importers.afcd.files import PROXIMATES, VOLUME, WEIGHT
from service import datasets
from service.core.food import Release
from service.settings import DATABASE_NAME
from service.store.engine import open_engine, reading
from service.store.read import load_table, releases, state, stored_releases
from service.store.table_names import TABLES
from service.store.url import sqlite_url
from service.store.write import activate, migrate, replace_release
from tests.harbour import HARBOUR, harbour
from tests.importers import test_afcd, test_ciqual, test_cnf, test_fineli
from tests.importers.workbooks import xls

FIXTURES = Path(__file__).parents[1] / "importers" / "fixtures"
Files = dict[str, bytes]
Edit = Callable[[Files], Files]


def folder(path: Path) -> Files:
    return {file.name: file.read_bytes() for file in sorted(path.iterdir())}


def texts(files: Mapping[str, str], encoding: str) -> Files:
    return {name: content.replace("\n", "\r\n").encode(encoding) for name, content in files.items()}


def swap(file: str, old: str, new: str, encoding: str = "latin-1") -> Edit:
    """`old`, which stands once in a file, is `new`."""

    def edit(files: Files) -> Files:
        assert files[file].count(old.encode(encoding)) == 1, f"{old!r} must stand once in {file}"
        return {**files, file: files[file].replace(old.encode(encoding), new.encode(encoding))}

    return edit


def without(file: str) -> Edit:
    return lambda files: {name: data for name, data in files.items() if name != file}


def emptied(file: str, header: bool = True) -> Edit:
    return lambda files: {**files, file: files[file].split(b"\n")[0] + b"\n" if header else b""}


def recoded(file: str, old: str = "latin-1", new: str = "utf-16") -> Edit:
    return lambda files: {**files, file: files[file].decode(old).encode(new)}


def sheets(change: test_afcd.Change) -> Edit:
    """The invented Australian workbook with its sheets changed."""

    def edit(_: Files) -> Files:
        data = io.BytesIO()
        test_afcd.workbook(data, change)
        return {"table.xlsx": data.getvalue()}

    return edit


def other_sheet(_: Files) -> Files:
    data = io.BytesIO()
    openpyxl.Workbook().save(data)
    return {"table.xlsx": data.getvalue()}


def rows(line: int, column: str, cell: str) -> Edit:
    """The invented French sheet with one cell changed."""

    def edit(_: Files) -> Files:
        changed = [list(one) for one in test_ciqual.ROWS]
        changed[line - 1][test_ciqual.HEADER.index(column)] = cell
        return {"table.xls": xls("compo", changed)}

    return edit


@dataclass(frozen=True)
class Publication:
    """Invented files of a dataset that load, and faults: what is wrong -> the edit and what is told of it."""

    files: Callable[[], Files]
    faults: Mapping[str, tuple[Edit, str]]
    name: str = "download"


def _fdc(shape: str, **faults: tuple[Edit, str]) -> Publication:
    """Faults that every download of FoodData Central may have, and those of one shape."""
    told = {
        "a renamed column": (
            swap("food_nutrient.csv", '"amount"', '"amounts"'),
            "food_nutrient.csv:1:amount: column is missing",
        ),
        "a missing file": (without("food.csv"), "food.csv: is missing in "),
        "an empty table": (emptied("food_nutrient.csv"), "food_nutrient.csv: has no records"),
        "another encoding": (recoded("food.csv", "utf-8"), "food.csv:1: is not UTF-8"),
        **{key.replace("_", " "): fault for key, fault in faults.items()},
    }
    return Publication(lambda: folder(FIXTURES / "fdc" / shape), told, shape)


PUBLICATIONS = {
    "sr28": Publication(
        lambda: folder(FIXTURES / "sr28"),
        {
            "a column more": (swap("DATA_SRC.txt", "~2015~^", "~2015~^^"), "DATA_SRC.txt:1: 10 fields, 9 described"),
            "a missing file": (without("WEIGHT.txt"), "WEIGHT.txt: is missing in download"),
            "an empty table": (emptied("NUT_DATA.txt", header=False), "NUT_DATA.txt: has no rows"),
            "another encoding": (recoded("FOOD_DES.txt", new="utf-8"), "FOOD_DES.txt: is not in latin-1, as published"),
            "a broken row": (swap("DATA_SRC.txt", "~2015~^", "~2015~"), "DATA_SRC.txt:1: 8 fields, 9 described"),
            "an id twice": (
                swap("FOOD_DES.txt", "~90002~", "~90001~"),
                "FOOD_DES.txt:2:food: stands twice (value '90001')",
            ),
            "no number": (swap("NUT_DATA.txt", "^18.2^", "^18,2^"), "NUT_DATA.txt:1:Nutr_Val: must be a number"),
            "an unknown unit": (
                swap("NUTR_DEF.txt", "~kcal~", "~stone~"),
                "NUTR_DEF.txt:4:unit: no such unit (value 'stone')",
            ),
        },
    ),
    "fdc-foundation": _fdc(
        "foundation_2024-10-31",
        a_broken_row=(
            swap("food_nutrient.csv", '"9003","800002"', '"9003"'),
            "food_nutrient.csv:4: 10 fields, the header has 11",
        ),
        an_id_twice=(swap("foundation_food.csv", '"900004"', '"1900003"'), "foundation_food.csv:4:food: stands twice"),
        no_number=(
            swap("food_portion.csv", '"2.0","1001"', '"2,0","1001"'),
            "food_portion.csv:2:amount: must be a number",
        ),
        an_unknown_unit=(
            swap("nutrient.csv", '"Beta-glucan","G"', '"Beta-glucan","OZ"'),
            "nutrient.csv:16:unit_name: no such unit",
        ),
    ),
    "fdc-sr-legacy": _fdc(
        "sr_legacy_2018-04-01",
        a_broken_row=(
            swap("food_nutrient.csv", '"9001","167512"', '"9001"'),
            "food_nutrient.csv:2: 10 fields, the header has 11",
        ),
        an_id_twice=(
            swap("sr_legacy_food.csv", '"167512","9003"', '"167512","9003"\n"167512","9004"'),
            "sr_legacy_food.csv:3:food: stands twice",
        ),
        no_number=(
            swap("food_nutrient.csv", '"9.4"', '"nine"'),
            "food_nutrient.csv:2:amount: must be a number (value 'nine')",
        ),
        an_unknown_unit=(
            swap("nutrient.csv", '"Protein","G"', '"Protein","OZ"'),
            "nutrient.csv:6:unit_name: no such unit",
        ),
    ),
    "fdc-survey": _fdc(
        "survey_2022-10-28",
        a_broken_row=(
            swap("food_nutrient.csv", '"9001","2705384"', '"9001"'),
            "food_nutrient.csv:2: 10 fields, the header has 11",
        ),
        an_id_twice=(
            swap(
                "survey_fndds_food.csv",
                '"2020-12-31"',
                '"2020-12-31"\n"2705384","11000000","1002","2019-01-01","2020-12-31"',
            ),
            "survey_fndds_food.csv:3:food: stands twice",
        ),
        no_number=(
            swap("food_portion.csv", '"10205","244"', '"10205","much"'),
            "food_portion.csv:2:gram_weight: must be a number",
        ),
        an_unknown_unit=(
            swap("nutrient.csv", '"Protein","G"', '"Protein","OZ"'),
            "nutrient.csv:6:unit_name: no such unit",
        ),
    ),
    "fdc-branded": _fdc(
        "branded_2024-10-31",
        a_broken_row=(swap("food.csv", '"200003",', ""), "food.csv:4: "),
        an_id_twice=(swap("branded_food.csv", '"200002"', '"1100004"'), "branded_food.csv:3:food: stands twice"),
        no_number=(
            swap("food_nutrient.csv", '"340.0"', '"34O.0"'),
            "food_nutrient.csv:4:amount: must be a number (value '34O.0')",
        ),
        an_unknown_unit=(
            swap("branded_food.csv", '"GRM"', '"STONE"'),
            "branded_food.csv:2:serving_size_unit: no such unit (value 'STONE')",
        ),
    ),
    "cnf": Publication(
        lambda: texts(test_cnf.TEXTS, "cp1252"),
        {
            "a renamed column": (
                swap("NUTRIENT AMOUNT.csv", "NutrientValue", "Value"),
                "NUTRIENT AMOUNT.csv:1:NutrientValue: the column",
            ),
            "a missing file": (without("MEASURE NAME.csv"), "MEASURE NAME.csv: is missing in download"),
            "an empty table": (emptied("NUTRIENT AMOUNT.csv"), "NUTRIENT AMOUNT.csv: has no rows"),
            "another encoding": (
                recoded("FOOD NAME.csv", "cp1252", "utf-8"),
                "FOOD NAME.csv: is not in cp1252, as published",
            ),
            "a broken row": (
                swap("NUTRIENT AMOUNT.csv", "9,409,6.1", '9,409,6.1,"torn\nrow"'),
                "NUTRIENT AMOUNT.csv:6: 8 fields, 7 described",
            ),
            "an id twice": (swap("FOOD NAME.csv", "77,77", "9,9"), "FOOD NAME.csv:4:food: stands twice (value '9')"),
            "no number": (
                swap("NUTRIENT AMOUNT.csv", "18.5", "many"),
                "NUTRIENT AMOUNT.csv:2:NutrientValue: must be a number (value 'many')",
            ),
            "an unknown unit": (
                swap("NUTRIENT NAME.csv", "203,203,X,g", "203,203,X,kg"),
                "NUTRIENT NAME.csv:2:NutrientID: 203 is given in a unit",
            ),
        },
    ),
    "fineli": Publication(
        lambda: texts(test_fineli.TEXTS, "latin-1"),
        {
            "a renamed column": (
                swap("component.csv", "COMPUNIT", "UNIT"),
                "component.csv:1:COMPUNIT: the column 'COMPUNIT' is due here",
            ),
            "a missing file": (without("component.csv"), "component.csv: is missing in download"),
            "an empty table": (emptied("component_value.csv"), "component_value.csv: has no rows"),
            "another encoding": (recoded("food.csv"), "food.csv: is not in latin-1, as published"),
            "a broken row": (
                swap("component_value.csv", "418,4", "418,4;"),
                "component_value.csv:2: 7 fields, 6 described",
            ),
            "an id twice": (swap("food.csv", "8;LAITURI", "7;LAITURI"), "food.csv:3:food: stands twice"),
            "no number": (
                swap("component_value.csv", "1,25", "1.25"),
                "component_value.csv:3:BESTLOC: must be a number (value '1.25')",
            ),
            "an unknown unit": (
                swap("component.csv", "ENERC;KJ", "ENERC;STONE"),
                "component.csv:2:EUFDNAME: ENERC is given in a unit",
            ),
        },
    ),
    "ciqual": Publication(
        lambda: {"table.xls": xls("compo", test_ciqual.ROWS)},
        {
            "a renamed column": (
                rows(1, "alim_nom_eng", "alim_nom_fr"),
                "table.xls:1:alim_nom_eng: the column 'alim_nom_eng' is due",
            ),
            "a missing file": (without("table.xls"), "download: holds 0 files *.xls, one is due"),
            "a missing sheet": (
                lambda files: {"table.xls": xls("other", test_ciqual.ROWS)},
                "table.xls:compo: cannot be read",
            ),
            "an empty table": (
                lambda files: {"table.xls": xls("compo", test_ciqual.ROWS[:1])},
                "table.xls: has no rows",
            ),
            "another encoding": (
                lambda files: {"table.xls": "alim_code;alim_nom".encode("utf-16")},
                "table.xls:compo: cannot be read",
            ),
            "a broken row": (rows(3, "alim_code", ""), "table.xls:3:alim_code: must not be empty"),
            "an id twice": (
                rows(3, "alim_code", "9621"),
                "table.xls:3:alim_code: stands twice with other values (value '9621')",
            ),
            "no number": (rows(2, "Fat (g/100g)", "much"), "table.xls:2:Fat (g/100g): must be a number"),
            "an unknown unit": (
                rows(1, "Fat (g/100g)", "Fat (st/100g)"),
                "table.xls:1:Fat (g/100g): the column 'Fat (g/100g)' is due",
            ),
            "a file cut short": (lambda files: {"table.xls": files["table.xls"][:3000]}, "table.xls"),
        },
    ),
    "afcd": Publication(
        lambda: sheets(lambda weight, volume: None)({}),
        {
            "a renamed column": (
                sheets(test_afcd.put(1, 1, 3, "Water (g)")),
                f"{VOLUME}:1:{PROXIMATES[0]}: this column is missing",
            ),
            "a missing file": (without("table.xlsx"), "download: holds 0 files *.xlsx, one is due"),
            "a missing sheet": (other_sheet, "table.xlsx: cannot be read"),
            "an empty table": (
                sheets(lambda weight, volume: weight.__delitem__(slice(1, 3))),
                f"{WEIGHT}: has no rows",
            ),
            "another encoding": (
                lambda files: {"table.xlsx": "Public Food Key".encode("utf-16")},
                "table.xlsx: cannot be read",
            ),
            "a broken row": (sheets(lambda weight, volume: weight[1].append("more")), f"{WEIGHT}:2: "),
            "an id twice": (
                sheets(test_afcd.put(0, 3, 0, "F000900")),
                f"{WEIGHT}:3:code: stands twice (value 'F000900')",
            ),
            "no number": (
                sheets(test_afcd.put(0, 2, test_afcd.FAT, "much")),
                f"{WEIGHT}:2:Fat, total (g): must be a number (value 'much')",
            ),
            "an unknown unit": (
                sheets(test_afcd.put(0, 1, test_afcd.FAT, "Fat, total \n(st)")),
                f"{WEIGHT}:1:Fat, total (g): the column",
            ),
            "a file cut short": (
                lambda files: {"table.xlsx": files["table.xlsx"][:3000]},
                "table.xlsx: cannot be read",
            ),
        },
    ),
}

CASES = [(name, fault) for name, one in PUBLICATIONS.items() for fault in one.faults]


@dataclass
class Opened:
    """As much of the food data in use as loading needs."""

    engine: Engine
    datasets: tuple[str, ...] = (HARBOUR,)

    def releases(self) -> tuple[Release, ...]:
        return releases(self.engine)


@pytest.fixture(scope="module")
def stores(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[[str], Engine]]:
    """The store in which the whole files of a dataset answer; no test may change it."""
    made: dict[str, Engine] = {}

    def store(name: str) -> Engine:
        if name not in made:
            made[name] = store_of(name, tmp_path_factory.mktemp(name))
        return made[name]

    yield store
    for engine in made.values():
        engine.dispose()


def store_of(name: str, folder: Path) -> Engine:
    """A store of pages so small that no row fits into what is left of them."""
    with sqlite3.connect(folder / DATABASE_NAME) as connection:
        connection.execute("PRAGMA page_size = 512")
        connection.execute("VACUUM")
    engine = open_engine(sqlite_url(folder / DATABASE_NAME))
    migrate(engine)
    replace_release(engine, harbour())
    datasets.load(engine, name, written(name, PUBLICATIONS[name].files(), folder), verify=False)
    activate(engine, name)
    return engine


@pytest.fixture
def fetch(run_on, monkeypatch: pytest.MonkeyPatch):
    """`fetch(store, name, path)`: load files at hand, whatever number of rows their publisher's have."""
    monkeypatch.setenv("GRAMWRIGHT_DATASETS", HARBOUR)
    monkeypatch.setattr(datasets, "load", partial(datasets.load, verify=False))
    return lambda store, name, path: run_on(Opened(store))("dataset", "fetch", name, "--file", str(path))


def written(name: str, files: Files, tmp_path: Path) -> Path:
    """A folder of these files; beside it the tables that downloads of FoodData Central share."""
    place = tmp_path / "at hand" / PUBLICATIONS[name].name
    place.mkdir(parents=True, exist_ok=True)
    for old in place.iterdir():
        old.unlink()
    for file, data in files.items():
        (place / file).write_bytes(data)
    if name.startswith("fdc-"):
        zipped(
            place.parent / "FoodData_Central_Supporting_Data_csv_2022-10-28.zip",
            folder(FIXTURES / "fdc" / "supporting"),
        )
    return place


def zipped(path: Path, files: Files) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            made.writestr(name, data)
    return path


def seen(engine: Engine, name: str) -> object:
    """All that anybody can see of a store, and how many rows its tables have, seen or not."""
    table = load_table(engine, (name,))
    with reading(engine) as connection:
        counts = [connection.execute(text(f"SELECT count(*) FROM {one}")).scalar() for one in TABLES]
    return state(engine), stored_releases(engine), counts, table.foods, table.amounts.tobytes()


def refused(ran, told: str) -> None:
    assert (ran.code, ran.out) == (1, "")
    progress, begins, said = ran.err.partition("gramwright: ")
    assert begins
    assert progress[-1:] in ("", "\n"), "the report begins a line"
    report = [line.strip() for line in said.splitlines()]
    assert "unexpected" not in report[0]
    assert any(line.startswith(told) for line in report), ran.err
    assert len(report) <= 4, ran.err


@pytest.mark.parametrize(("name", "fault"), CASES, ids=["-".join(case).replace(" ", "_") for case in CASES])
def test_faulty_files_are_told_and_nothing_of_them_is_seen(
    fetch, stores, tmp_path: Path, name: str, fault: str
) -> None:
    store = stores(name)
    before = seen(store, name)
    edit, told = PUBLICATIONS[name].faults[fault]
    refused(fetch(store, name, written(name, edit(PUBLICATIONS[name].files()), tmp_path)), told)
    assert seen(store, name) == before


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])


def garbled(path: Path) -> None:
    data = path.read_bytes()
    middle = max(60, data.index(b"PK\x01\x02") // 2)
    path.write_bytes(data[:middle] + b"\xff" * 30 + data[middle + 30 :])


def escaping(path: Path) -> None:
    with zipfile.ZipFile(path, "a") as made:
        made.writestr("../../escaped.csv", b"out")


def bomb(path: Path) -> None:
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as made:
        made.writestr("bomb.csv", b"0" * 1_000_000)


SPOILS = {
    "a zip cut short": (cut, "download.zip: is damaged or cut short"),
    "a zip garbled within": (garbled, "download.zip: is damaged or cut short"),
    "a zip that leaves its folder": (
        escaping,
        "download.zip: a member's name leaves the archive (value '../../escaped.csv')",
    ),
    "a zip that expands without end": (bomb, "download.zip: a member expands to 1,000,000 bytes, more than 200 times"),
}


@pytest.mark.parametrize("name", PUBLICATIONS)
@pytest.mark.parametrize("spoil", SPOILS)
def test_unsafe_and_damaged_zips_are_told_and_nothing_of_them_is_seen(
    fetch, stores, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, spoil: str
) -> None:
    monkeypatch.setattr(archive, "SMALL", 500_000)
    store = stores(name)
    before = seen(store, name)
    path = zipped(tmp_path / "download.zip", PUBLICATIONS[name].files())
    change, told = SPOILS[spoil]
    change(path)
    refused(fetch(store, name, path), told)
    assert seen(store, name) == before
    assert not list(tmp_path.rglob("escaped.csv"))


def test_a_workbook_that_expands_without_end_is_told(
    fetch, stores, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = stores("afcd")
    monkeypatch.setattr(workbook, "LARGEST", 1000)
    refused(fetch(store, "afcd", written("afcd", PUBLICATIONS["afcd"].files(), tmp_path)), "table.xlsx: expands to ")


@pytest.mark.parametrize("name", PUBLICATIONS)
def test_a_full_disk_is_told_and_nothing_half_loaded_is_seen(fetch, stores, tmp_path: Path, name: str) -> None:
    """The database may not grow by a page, which SQLite tells as it tells a full disk."""
    store = stores(name)
    before = seen(store, name)
    path = written(name, PUBLICATIONS[name].files(), tmp_path)
    path = path.rename(path.with_name("download_2025-12-31"))
    store.dispose()
    event.listen(store, "connect", no_room)
    ran = fetch(store, name, path)
    event.remove(store, "connect", no_room)
    store.dispose()
    assert (ran.code, ran.out) == (1, "")
    assert "the disk is full; free some space" in ran.err
    assert seen(store, name) == before


def no_room(connection: sqlite3.Connection, _: object) -> None:
    connection.execute("PRAGMA max_page_count = 1")  # it is never made less than what is there


@pytest.mark.parametrize("name", [name for name in PUBLICATIONS if name.startswith("fdc-")])
def test_an_older_release_is_told_and_does_not_answer(fetch, tmp_path: Path, name: str) -> None:
    store = store_of(name, tmp_path)
    before = state(store)
    path = written(name, PUBLICATIONS[name].files(), tmp_path)
    ran = fetch(store, name, path.rename(path.with_name("download_2001-02-03")))
    assert "It is older than " in ran.out
    assert f"gramwright dataset activate {name} 2001-02-03" in ran.out
    assert state(store) == before
    store.dispose()
