"""What is written into the store is read back unchanged, on real data with the published counts and energies."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from hypothesis import HealthCheck, given
from hypothesis import settings as examples
from hypothesis import strategies as st
from sqlalchemy import Engine, text
from sqlmodel import SQLModel

from importers.release import ReleaseData, ReleaseFood, ReleaseValues
from service.core.errors import NotFoundError, StoreError
from service.core.food import Component, FoodDetails, FoodEntry, FoodTable, HouseholdMeasure
from service.datasets import ensure_ready
from service.settings import Settings
from service.store import migrations
from service.store.engine import SCHEMA_VERSION, open_engine, reading
from service.store.read import food_details, load_table, releases
from service.store.table_names import TABLES
from service.store.write import migrate, replace_release

MODELLED = tuple(SQLModel.metadata.tables.values())


def release_of(dataset: str, foods: list[tuple[FoodEntry, list[float | None]]], components: tuple[Component, ...],
               *, release: str = "1") -> ReleaseData:
    """A release of these foods with their amounts in order of `components`, None where unknown."""
    cells = [(i, j, x) for i, (_, row) in enumerate(foods) for j, x in enumerate(row) if x is not None]
    food, component, amount = (np.array(column) for column in zip(*cells, strict=True)) if cells else ([], [], [])
    n = len(cells)
    values = ReleaseValues(
        food=np.array(food, dtype=np.int32), component=np.array(component, dtype=np.int32),
        amount=np.array(amount, dtype=np.float64), samples=np.zeros(n, np.int32), standard_error=np.full(n, np.nan),
        source=np.zeros(n, np.int32), derivation=np.zeros(n, np.int32), source_codes=("1",), derivation_codes=("",))
    return ReleaseData(dataset, dataset.upper(), release, "free", "", components, (),
                       tuple(ReleaseFood(entry) for entry, _ in foods), values)


FAT, WATER, SALT = (Component(tag, tag, tag.lower(), "g", 1) for tag in ("FAT", "WATER", "SALT"))
AMOUNT = st.one_of(st.none(), st.floats(0, 1e5))
WORDS = st.text(st.characters(codec="latin-1", exclude_characters="\0"), max_size=20)
MEASURES = st.lists(st.tuples(st.floats(0.1, 9), WORDS, st.floats(0, 99)), max_size=3).map(
    lambda rows: tuple(HouseholdMeasure(*row, sequence) for sequence, row in enumerate(rows, 1)))
ENTRY = st.builds(FoodEntry, id=st.just(""), description=WORDS, common_name=WORDS, refuse_text=WORDS,
                  refuse_percent=st.floats(0, 100), fat_factor=st.one_of(st.none(), st.floats(0, 9)), measures=MEASURES)
CODES = st.text("0123456789", min_size=1, max_size=5)
FOODS = st.dictionaries(CODES, st.tuples(ENTRY, st.lists(AMOUNT, min_size=2, max_size=2)), max_size=5)


@given(foods=FOODS)
@examples(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40)
def test_any_release_is_read_back_as_it_was_written(empty_store: Engine,
                                                    foods: dict[str, tuple[FoodEntry, list[float | None]]]) -> None:
    rows = [(replace(entry, id=f"x:{code}"), amounts) for code, (entry, amounts) in sorted(foods.items())]
    replace_release(empty_store, release_of("x", rows, (FAT, WATER)))
    table = load_table(empty_store, ("x",))
    assert table.foods == tuple(entry for entry, _ in rows)
    expected = np.array([amounts for _, amounts in rows], dtype=np.float64).reshape(-1, 2)
    assert np.array_equal(table.amounts, expected, equal_nan=True)
    for entry, amounts in rows:
        details = food_details(empty_store, entry.id)
        assert details.food == entry
        assert [value.amount for value in details.values] == [amount for amount in amounts if amount is not None]


def test_several_datasets_make_one_table(empty_store: Engine) -> None:
    replace_release(empty_store, release_of("b", [(FoodEntry("b:2", "kelp"), [1.0, 2.0])], (FAT, WATER)))
    replace_release(empty_store, release_of("a", [(FoodEntry("a:9", "cod"), [3.0, None])], (WATER, SALT)))
    table = load_table(empty_store, ("b", "a"))
    assert [food.id for food in table.foods] == ["a:9", "b:2"]
    assert table.components == (FAT, WATER, SALT)
    nan = np.nan
    assert np.array_equal(table.amounts, [[nan, 3, nan], [1, 2, nan]], equal_nan=True)
    assert [release.dataset for release in table.releases] == ["b", "a"]
    assert [release.dataset for release in releases(empty_store)] == ["a", "b"]


def test_datasets_that_differ_in_a_components_unit_are_not_mixed(empty_store: Engine) -> None:
    replace_release(empty_store, release_of("a", [], (FAT,)))
    replace_release(empty_store, release_of("b", [], (replace(FAT, unit="mg"),)))
    with pytest.raises(StoreError, match="FAT in g and in mg"):
        load_table(empty_store, ("a", "b"))


def test_a_new_release_is_the_active_one_and_the_old_stays(empty_store: Engine) -> None:
    for release, fat in (("1", 1.0), ("2", 2.0)):
        replace_release(empty_store, release_of("a", [(FoodEntry("a:1", "cod"), [fat])], (FAT,), release=release))
    assert [r.release for r in releases(empty_store)] == ["2"]
    assert load_table(empty_store, ("a",)).amounts.tolist() == [[2.0]]
    with reading(empty_store) as connection:
        stored = connection.execute(text("SELECT release, active FROM dataset_release ORDER BY id")).all()
    assert [tuple(row) for row in stored] == [("1", 0), ("2", 1)]


def test_the_same_release_again_leaves_no_rest_of_the_first(invented_store: Engine,
                                                            invented_release: ReleaseData) -> None:
    def counts() -> dict[str, int]:
        with reading(invented_store) as connection:
            return {table.name: connection.execute(text(f"SELECT count(*) FROM {table.name}")).scalar_one()
                    for table in MODELLED if not table.name.startswith(("kitchen_", "api_"))}

    before = counts()
    replace_release(invented_store, invented_release)
    assert counts() == before
    assert all(before.values()), "every table is written"


@pytest.mark.parametrize("what", ["die early", "die late"])
def test_a_failed_replacement_changes_nothing(invented_store: Engine, invented_release: ReleaseData, what: str) -> None:
    def stop(done: int, total: int, _: str) -> None:
        if (done > 0) is (what == "die late"):
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        replace_release(invented_store, replace(invented_release, release="29"), progress=stop)
    assert [r.release for r in releases(invented_store)] == ["28"]
    assert len(load_table(invented_store, ("sr28",)).foods) == 3


@pytest.mark.parametrize("food_id", ["sr28:99999", "moon:90001", "90001", "", "sr28:", ":90001", "sr28:90001:1"])
def test_an_unknown_food_is_told(invented_store: Engine, food_id: str) -> None:
    with pytest.raises(NotFoundError, match="no food entry has the id"):
        food_details(invented_store, food_id)


def test_an_unknown_dataset_is_told(invented_store: Engine) -> None:
    with pytest.raises(NotFoundError, match="no dataset 'moon' in the store; there are: sr28"):
        load_table(invented_store, ("sr28", "moon"))


def test_details_say_where_each_value_comes_from(invented_store: Engine) -> None:
    details = food_details(invented_store, "sr28:90001")
    value = {value.tagname: value for value in details.values}["PROCNT"]
    assert (value.amount, value.samples, value.standard_error) == (18.2, 12, 0.31)
    assert (value.source, value.source_text) == ("1", "Analytical or derived from analytical")
    assert (value.derivation, value.derivation_text) == ("A", "Analytical data")
    assert details.langual == (("A0267", "FISH PRODUCT (INVENTED)"), ("H0123", "SMOKED OVER DRIFTWOOD"))
    assert details.footnotes == ("Made of mackerel, butter and lemon", "Calculated from component 328")


def test_amounts_that_do_not_fit_are_told(invented_store: Engine) -> None:
    with invented_store.begin() as connection:
        connection.execute(text("UPDATE food SET amounts = :one WHERE code = '90002'"), {"one": b"\0"})
    with pytest.raises(StoreError, match="damaged"):
        load_table(invented_store, ("sr28",))


def test_every_table_with_a_model_is_named() -> None:
    """Backups and readiness know tables by their names, without the models."""
    assert set(TABLES) == {table.name for table in MODELLED}


def test_migrations_make_what_the_schema_says(empty_store: Engine) -> None:
    with empty_store.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, SQLModel.metadata) == []
        for table in MODELLED if empty_store.dialect.name == "sqlite" else ():
            migrated = connection.execute(text("SELECT sql FROM sqlite_master WHERE name = :name"),
                                          {"name": table.name}).scalar_one()
            assert ("WITHOUT ROWID" in migrated) is (table.name == "component_value")


def test_the_schema_version_is_the_newest_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(Path(migrations.__file__).parent))
    assert ScriptDirectory.from_config(config).get_current_head() == SCHEMA_VERSION


def test_a_store_in_memory_works(invented_release: ReleaseData) -> None:
    engine = open_engine("sqlite://")
    migrate(engine)
    replace_release(engine, invented_release)
    replace_release(engine, invented_release)
    assert len(load_table(engine, ("sr28",)).foods) == 3
    engine.dispose()


# --- all of SR28 -----------------------------------------------------------------------------------------------------

def test_all_of_sr28_is_there(sr28_store: Settings, sr28_table: FoodTable) -> None:
    """Counts: SR28 documentation, "Relational format files", number of records a file."""
    (release,) = sr28_table.releases
    assert (release.foods, release.components, release.values, release.measures) == (8_789, 150, 679_045, 15_438)
    assert (len(sr28_table.foods), len(sr28_table.components)) == (8_789, 150)
    assert int((~np.isnan(sr28_table.amounts)).sum()) == 679_045
    assert sum(len(food.measures) for food in sr28_table.foods) == 15_438
    assert len({food.group_name for food in sr28_table.foods}) == 25
    assert [food.id for food in sr28_table.foods] == sorted(food.id for food in sr28_table.foods)


def amounts(table: FoodTable, tagname: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return table.amounts[:, [component.tagname for component in table.components].index(tagname)]


def test_unknown_fibre_stays_unknown(sr28_table: FoodTable) -> None:
    """Component 291 has no row in NUT_DATA.txt for 594 foods; 351 of them have over 5 g of carbohydrate."""
    unknown = np.isnan(amounts(sr28_table, "FIBTG"))
    assert unknown.sum() == 594
    assert (amounts(sr28_table, "CHOCDF")[unknown] > 5).sum() == 351


@pytest.mark.parametrize(("number", "tagname", "unit"), [
    ("328", "VITD", "µg"), ("324", "VITD_IU", "IU"), ("573", "573", "mg"), ("291", "FIBTG", "g"),
    ("208", "ENERC_KCAL", "kcal"), ("268", "ENERC_KJ", "kJ")])
def test_components_are_keyed_by_tagname(sr28_table: FoodTable, number: str, tagname: str, unit: str) -> None:
    """NUTR_DEF.txt; 324 and 328 share the tagname VITD there, 573 has none."""
    found = {c.number: (c.tagname, c.unit) for c in sr28_table.components}
    assert found[number] == (tagname, unit)


TEN_FOODS = [
    ("01001", 4.27, 8.79, 3.87, 717), ("01123", 4.36, 9.02, 3.68, 143), ("09037", 3.36, 8.37, 3.60, 160),
    ("11090", 2.44, 8.37, 3.57, 34), ("12061", 3.47, 8.37, 4.07, 579), ("04053", None, 8.84, None, 884),
    ("20081", 4.05, 8.37, 4.12, 364), ("11282", 2.78, 8.37, 3.84, 40), ("05011", 4.27, 9.02, 3.87, 119),
    ("14084", 3.36, 8.37, 3.92, 83)]


@pytest.mark.parametrize(("code", "protein", "fat", "carbohydrate", "energy"), TEN_FOODS)
def test_specific_factors_give_the_published_energy(sr28_table: FoodTable, code: str, protein: float | None,
                                                    fat: float, carbohydrate: float | None, energy: float) -> None:
    """SR28 documentation, "Food energy": Merrill and Watt, USDA Agriculture Handbook 74 (1973), table 13; ethanol
    6.93 kcal/g. A blank factor counts as 0."""
    i = [food.code for food in sr28_table.foods].index(code)
    food = sr28_table.foods[i]
    assert (food.protein_factor, food.fat_factor, food.carbohydrate_factor) == (protein, fat, carbohydrate)
    factors = {"PROCNT": protein or 0, "FAT": fat, "CHOCDF": carbohydrate or 0, "ALC": 6.93}
    computed = sum(factor * np.nan_to_num(amounts(sr28_table, tagname)[i]) for tagname, factor in factors.items())
    assert amounts(sr28_table, "ENERC_KCAL")[i] == energy
    assert computed == pytest.approx(energy, abs=0.5)


def test_energy_differs_where_it_is_known_to(sr28_table: FoodTable) -> None:
    """Of the foods with all three factors 93.7 % agree within 0.51 kcal, 97.0 % within 1, 99.2 % within 3 (computed
    from FOOD_DES.txt and NUT_DATA.txt; ethanol 6.93 kcal/g): a residual is a flag, never a failure to load."""
    rows = [(f.protein_factor, f.fat_factor, f.carbohydrate_factor) for f in sr28_table.foods]
    factors = np.array(rows, dtype=np.float64)
    given = ~np.isnan(factors).any(axis=1)
    macros = np.stack([np.nan_to_num(amounts(sr28_table, tag)) for tag in ("PROCNT", "FAT", "CHOCDF", "ALC")], axis=1)
    computed = (factors * macros[:, :3]).sum(axis=1) + 6.93 * macros[:, 3]
    residual = np.abs(amounts(sr28_table, "ENERC_KCAL") - computed)[given]
    shares = [round(100 * float((residual <= limit).mean()), 1) for limit in (0.51, 1, 3)]
    assert (int(given.sum()), shares) == (4_565, [93.7, 97.0, 99.2])


@pytest.fixture(scope="module")
def butter(sr28_store: Settings) -> FoodDetails:
    engine = ensure_ready(sr28_store)
    details = food_details(engine, "sr28:01001")
    engine.dispose()
    return details


def test_butter_is_as_published(butter: FoodDetails) -> None:
    """First lines of FOOD_DES.txt, WEIGHT.txt and NUT_DATA.txt; texts of SRC_CD.txt and DERIV_CD.txt."""
    assert butter.food.description == "Butter, salted"
    assert butter.food.measures[:3] == (
        HouseholdMeasure(1, 'pat (1" sq, 1/3" high)', 5.0, 1), HouseholdMeasure(1, "tbsp", 14.2, 2),
        HouseholdMeasure(1, "cup", 227, 3))
    protein = {value.tagname: value for value in butter.values}["PROCNT"]
    assert (protein.amount, protein.samples, protein.standard_error, protein.source) == (0.85, 16, 0.074, "1")
    assert protein.source_text == "Analytical or derived from analytical"
    assert len(butter.values) == 115


START = """
import sys, time
from pathlib import Path
from service.settings import Settings
from service.datasets import ensure_ready
from service.store.read import load_table
settings = Settings.from_environment({"GRAMWRIGHT_DATABASE_URL": sys.argv[1]})
table = load_table(ensure_ready(settings), ("sr28",))
print(len(table.foods), *sorted({"pandas", "alembic", "sqlmodel", "tqdm", "filelock"} & set(sys.modules)))
"""


def test_a_later_start_loads_only_what_it_needs(sr28_store: Settings) -> None:
    """Libraries that only building needs take a second to import; a start has 1.5 s in all."""
    started = subprocess.run([sys.executable, "-c", START, sr28_store.database_url], capture_output=True, text=True,
                             check=True, cwd=Path(__file__).parents[2])
    assert started.stdout.split() == ["8789"]
