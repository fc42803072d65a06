"""The same food in two tables: the preferred one answers, names the other, and is weighed by either's measures."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.core.analyse import PartResult
from service.core.food import HouseholdMeasure
from service.core.twins import twins
from service.settings import DATABASE_NAME, Settings
from service.store.engine import database_file, open_engine
from service.store.url import sqlite_url
from service.store.write import replace_release
from service.wiring import Catalogue
from tests.harbour import HARBOUR, harbour

PIER = "pier"
FOODS = {
    "1": ("Dulse, salted", {"PROCNT": 6, "FAT": 1}), "2": ("Limpet", {"PROCNT": 2}), "3": ("Sea beet", {"PROCNT": 3}),
}  # fmt: skip
# Linked to the harbour's 1, word for word as its 2, and a food of its own.
PIER_FOODS = {
    "7": ("Dulse flakes of the pier", {"PROCNT": 7, "FAT": 1}), "8": ("Limpet", {"PROCNT": 8}),
    "9": ("Samphire", {"PROCNT": 9}),
}  # fmt: skip
CUP = HouseholdMeasure(1, "cup", 16, 1)


@pytest.fixture
def catalogue(empty_store: Engine) -> Catalogue:
    replace_release(empty_store, harbour(foods=FOODS, measures={"1": (CUP,)}))
    replace_release(empty_store, harbour("7", PIER_FOODS, dataset=PIER, linked={"7": ("harbour:1",)}))
    return Catalogue(empty_store, (HARBOUR, PIER))


def part(catalogue: Catalogue, line: str, *datasets: str) -> PartResult:
    [found] = catalogue.resolver(datasets).resolve(line, components=("PROCNT",)).parts
    return found


LINES = [
    # (line, datasets, food, a reason)
    ("100 g salted dulse", (HARBOUR,), "harbour:1", ""),
    ("100 g salted dulse", (HARBOUR, PIER), "harbour:1",
     "preferred to pier:7 'Dulse flakes of the pier', the same food by its publisher"),
    ("100 g salted dulse", (PIER, HARBOUR), "pier:7",
     "preferred to harbour:1 'Dulse, salted', the same food by its publisher"),
    ("100 g limpet", (HARBOUR, PIER), "harbour:2", ""),
    ("100 g limpet", (PIER, HARBOUR), "pier:8", ""),
    ("100 g sea beet", (PIER, HARBOUR), "harbour:3", ""),
]  # fmt: skip


@pytest.mark.parametrize(("line", "datasets", "food", "reason"), LINES, ids=[f"{x[0]} {'+'.join(x[1])}" for x in LINES])
def test_the_preferred_table_answers(
    catalogue: Catalogue, line: str, datasets: tuple[str, ...], food: str, reason: str
) -> None:
    found = part(catalogue, line, *datasets)
    assert found.food is not None
    assert found.food.id == food
    assert found.candidates[0].food.id == food
    assert [one for one in found.reasons if one.startswith("preferred")] == ([reason] if reason else [])


def test_a_twin_of_other_figures_is_looked_at(empty_store: Engine) -> None:
    """A publisher may call a syrup the same food as one with a quarter of its sugar: that is nobody's to pass over."""
    replace_release(empty_store, harbour(foods={**FOODS, "1": ("Dulse, salted", {"PROCNT": 4, "FAT": 1, "WATER": 60})}))
    pier = {**PIER_FOODS, "7": ("Dulse flakes of the pier", {"PROCNT": 16, "FAT": 1, "WATER": 60})}
    replace_release(empty_store, harbour("7", pier, dataset=PIER, linked={"7": ("harbour:1",)}))
    found = part(Catalogue(empty_store, (HARBOUR, PIER)), "100 g salted dulse", PIER, HARBOUR)
    assert found.food is not None
    assert (found.food.id, found.outcome) == ("pier:7", "check")
    assert any("far apart: PROCNT 16 against 4 per 100 g" in reason for reason in found.reasons)
    found = part(Catalogue(empty_store, (HARBOUR, PIER)), "100 g salted dulse", HARBOUR, PIER)
    assert found.food is not None
    assert (found.food.id, found.outcome) == ("harbour:1", "resolved"), "it is the entry that the line names"
    assert any("far apart: PROCNT 4 against 16 per 100 g" in reason for reason in found.reasons)


def test_an_entry_of_parts_only_gives_way_to_its_twin(empty_store: Engine) -> None:
    """Foundation Foods has oils of which it analysed the fatty acids only: a line of one is no line without fat."""
    replace_release(empty_store, harbour(foods=FOODS))
    pier = {"7": ("Dulse flakes of the pier", {"PROCNT": 7}), "8": ("Limpet", {"PROCNT": 8, "FAT": 1})}
    replace_release(empty_store, harbour("7", pier, dataset=PIER, linked={"7": ("harbour:1",)}))
    found = part(Catalogue(empty_store, (HARBOUR, PIER)), "100 g salted dulse", PIER, HARBOUR)
    assert found.food is not None
    assert found.food.id == "harbour:1"
    assert any("of which it gives no energy, fat or carbohydrate" in reason for reason in found.reasons)


def test_it_is_weighed_by_the_measures_of_its_twin(catalogue: Catalogue) -> None:
    found = part(catalogue, "2 cups salted dulse", PIER, HARBOUR)
    assert found.food is not None
    assert found.grams is not None
    assert (found.food.id, found.grams.value, found.components["PROCNT"]) == ("pier:7", 32, pytest.approx(2.24))
    assert found.food.measures == (), "the entry itself stays as published"


def test_what_a_name_stands_for_is_weighed_as_itself(sr28_store: Settings, tmp_path: Path) -> None:
    """SR28's entry is of drained solids, and a can of it is weighed so, whatever its twin in a later table says."""
    shutil.copy(str(database_file(sr28_store.database_url)), tmp_path / DATABASE_NAME)
    engine = open_engine(sqlite_url(tmp_path / DATABASE_NAME))
    pier = {"7": ("Tuna of the pier, in brine", {"PROCNT": 7})}
    replace_release(engine, harbour("7", pier, dataset=PIER, linked={"7": ("sr28:15121",)}))
    catalogue = Catalogue(engine, ("sr28", PIER))
    alone, beside = (part(catalogue, "1 tin tuna in water", *names) for names in (("sr28",), ("sr28", PIER)))
    assert alone.food is not None
    assert alone.food == beside.food
    assert alone.grams == beside.grams
    engine.dispose()


def test_twins_are_the_foods_of_other_tables_in_use(catalogue: Catalogue) -> None:
    both = catalogue.resolver((PIER, HARBOUR)).table
    assert twins(both) == {"harbour:1": ("pier:7",), "pier:7": ("harbour:1",)}
    assert twins(catalogue.resolver((PIER,)).table) == {}


@pytest.mark.parametrize(("description", "protein", "linked"), [
    ("Beans, dry", 25, False), ("Beans, dry", 7, True), ("Dulse, in flakes", 25, True),
    ("Dulse, salted, with sweet onions", 25, True), ("Dulse spread with sweet onions", 25, False),
], ids=str)  # fmt: skip
def test_a_number_alone_makes_no_twins(empty_store: Engine, description: str, protein: float, linked: bool) -> None:
    """Not where the figures do not agree, nor half of the words: a publisher ties a plain yogurt to a sweet one."""
    replace_release(empty_store, harbour(foods={**FOODS, "1": ("Dulse, plain, salted", {"PROCNT": 6, "FAT": 1})}))
    pier = {"7": (description, {"PROCNT": protein})}
    replace_release(empty_store, harbour("7", pier, dataset=PIER, linked={"7": ("harbour:1",)}))
    catalogue = Catalogue(empty_store, (HARBOUR, PIER))
    assert bool(twins(catalogue.resolver().table)) is linked
    assert catalogue.details("pier:7").linked == (("harbour:1",) if linked else ())


def test_a_link_to_a_food_that_is_not_in_the_store_is_told(empty_store: Engine) -> None:
    replace_release(empty_store, harbour("7", PIER_FOODS, dataset=PIER, linked={"7": ("harbour:1",)}))
    assert Catalogue(empty_store, (PIER,)).details("pier:7").linked == ("harbour:1",)
