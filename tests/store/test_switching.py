"""A catalogue that is in use notices an activation: old answers until the new ones are whole, never a mixture."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.api.payloads import encode, line_payload
from service.core.errors import InputError, NotFoundError, StoreError
from service.core.food import FoodEntry
from service.settings import DATABASE_NAME, Settings
from service.store import read
from service.store.engine import database_file
from service.store.url import sqlite_url
from service.store.write import activate, add_release, replace_release, roll_back
from service.wiring import Catalogue, open_catalogue, state
from tests.harbour import FOODS, HARBOUR, changed, harbour
from tests.processes import within

BOTH = (HARBOUR, "pantry")
WITHOUT_BUTTER = {code: food for code, food in FOODS.items() if code != "3"}


@pytest.fixture
def catalogue(empty_store: Engine) -> Iterator[Catalogue]:
    replace_release(empty_store, harbour())
    add_release(empty_store, [harbour("2026", {**WITHOUT_BUTTER, **{"1": changed("1", FAT=9)["1"]}})])
    return Catalogue(empty_store, BOTH)


def fat(catalogue: Catalogue, datasets: tuple[str, ...] | None = None) -> float:
    table = catalogue.resolver(datasets).table
    return float(table.amounts[0, [one.tagname for one in table.components].index("FAT")])


def test_an_activation_is_taken_up_by_every_resolver(catalogue: Catalogue) -> None:
    assert [fat(catalogue), fat(catalogue, (HARBOUR,))] == [0.6, 0.6]
    assert not catalogue.refresh()
    activate(catalogue.engine, HARBOUR)
    assert [fat(catalogue), fat(catalogue, (HARBOUR,))] == [0.6, 0.6]
    assert catalogue.refresh()
    assert [fat(catalogue), fat(catalogue, (HARBOUR,))] == [9, 9]
    roll_back(catalogue.engine, HARBOUR)
    assert catalogue.refresh()
    assert fat(catalogue) == 0.6


def test_details_are_of_the_release_that_answers(catalogue: Catalogue) -> None:
    activate(catalogue.engine, HARBOUR)
    assert catalogue.details("harbour:3").food.description == "Butter, salted"
    before = catalogue.resolver().table
    catalogue.refresh()
    with pytest.raises(NotFoundError):
        catalogue.details("harbour:3")
    assert catalogue.details("harbour:3", table=before).food.description == "Butter, salted"


def test_a_candidate_is_looked_at_without_a_switch(catalogue: Catalogue) -> None:
    table = catalogue.candidate(HARBOUR, "2026").table
    assert next(one.release for one in table.releases) == "2026"
    assert fat(catalogue) == 0.6
    with pytest.raises(NotFoundError, match="1999"):
        catalogue.candidate(HARBOUR, "1999")


def test_a_running_worker_notices_within_two_seconds(catalogue: Catalogue) -> None:
    with catalogue.following():
        activate(catalogue.engine, HARBOUR)
        assert seen_soon(catalogue, 9)


def seen_soon(catalogue: Catalogue, amount: float, *, seconds: float = 2) -> bool:
    """Whether the fat of kelp comes to be this."""
    return within(seconds, lambda: fat(catalogue) == amount)


def broken(*_: object, **__: object) -> None:
    raise StoreError("is damaged")


def test_what_cannot_be_read_leaves_the_old_answers(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    activate(catalogue.engine, HARBOUR)
    monkeypatch.setattr("service.wiring.load_table", broken)
    with pytest.raises(StoreError):
        catalogue.refresh()
    assert fat(catalogue) == 0.6


def test_what_could_not_be_read_is_tried_again(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    """As when the database goes away between the look at the releases and the reading of their foods."""
    activate(catalogue.engine, HARBOUR)
    with monkeypatch.context() as patch:
        patch.setattr("service.wiring.load_table", broken)
        with pytest.raises(StoreError):
            catalogue.refresh()
    assert catalogue.refresh()
    assert fat(catalogue) == 9


def test_who_follows_goes_on_after_a_defect(catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch) -> None:
    tried: list[int] = []

    def defect(*_: object, **__: object) -> None:
        tried.append(1)
        raise ValueError("a food that nobody thought of")

    monkeypatch.setattr("service.wiring.load_table", defect)
    looked: list[int] = []
    monkeypatch.setattr("service.wiring.state", lambda engine: looked.append(1) or state(engine))
    monkeypatch.setattr("service.wiring.AGAIN_SECONDS", 60.0)
    with catalogue.following(seconds=0.02):
        activate(catalogue.engine, HARBOUR)
        assert within(30, lambda: tried)
        looks = len(looked)
        assert within(30, lambda: len(looked) > looks + 9)
        assert tried == [1], "the same releases are not tried again at once"
        monkeypatch.undo()
        catalogue._again = 0.0
        assert seen_soon(catalogue, 9, seconds=30)


def test_a_resolver_of_datasets_that_did_not_change_stays(catalogue: Catalogue) -> None:
    alone, both = catalogue.resolver(("pantry",)), catalogue.resolver()
    activate(catalogue.engine, HARBOUR)
    assert catalogue.refresh()
    assert catalogue.resolver(("pantry",)) is alone
    assert catalogue.resolver() is not both


def test_a_switch_reads_the_foods_of_no_other_dataset(catalogue: Catalogue) -> None:
    """A worker does that beside requests: with six tables in use it took longer than the two seconds of a switch."""
    replace_release(catalogue.engine, harbour(foods={"5": ("Samphire", {"FAT": 1})}, dataset="pier"))
    several = Catalogue(catalogue.engine, (HARBOUR, "pier"))
    before = entries(several)
    activate(catalogue.engine, HARBOUR)
    assert several.refresh()
    after = entries(several)
    assert after["pier:5"] is before["pier:5"]
    assert after["harbour:1"] is not before["harbour:1"]
    assert "harbour:3" not in after
    assert fat(several) == 9
    roll_back(catalogue.engine, HARBOUR)
    assert several.refresh()
    assert (entries(several), fat(several)) == (before, 0.6)


def entries(catalogue: Catalogue) -> dict[str, FoodEntry]:
    return {food.id: food for food in catalogue.resolver().table.foods}


def test_a_choice_that_can_be_read_no_more_holds_up_no_other(
    catalogue: Catalogue, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As where a request named packaged foods, of which a release of millions is activated then."""
    small = Catalogue(catalogue.engine, ("pantry",))
    small.resolver((HARBOUR,))
    small.resolver(("pantry", HARBOUR))
    activate(catalogue.engine, HARBOUR)
    monkeypatch.setattr(read, "MOST_FOODS", 1)
    assert small.refresh()
    assert not small.refresh()
    assert [one.dataset for one in small.resolver().table.releases] == ["pantry"]
    with pytest.raises(InputError, match="more than the 1 that are held in memory"):
        small.resolver((HARBOUR,))


LINES = ("2 tbsp butter", "150 g smoked cod", "kelp", "1 cup rolled oats", "100 g erythritol")


def test_other_datasets_in_the_store_change_no_byte(sr28_store: Settings, tmp_path: Path) -> None:
    shutil.copy(str(database_file(sr28_store.database_url)), tmp_path / DATABASE_NAME)
    settings = replace(sr28_store, data_dir=tmp_path, database_url=sqlite_url(tmp_path / DATABASE_NAME))
    catalogue = open_catalogue(settings)
    before = [answer(catalogue, line) for line in LINES]
    replace_release(catalogue.engine, harbour())
    assert [answer(open_catalogue(settings), line) for line in LINES] == before
    beside = open_catalogue(replace(settings, datasets=("sr28", HARBOUR)))
    assert {one.dataset for one in beside.resolver().table.releases} == {"sr28", HARBOUR}


def answer(catalogue: Catalogue, line: str) -> bytes:
    return encode(line_payload(catalogue.resolver().resolve(line, components=("all",))))
