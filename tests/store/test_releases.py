"""Several releases side by side: loading shows nothing early, activation and roll-back are one step, old ones go."""

from __future__ import annotations

import multiprocessing
import os
import random
import re
import signal
import subprocess
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from multiprocessing.process import BaseProcess
from pathlib import Path

import numpy as np
import pytest
from sqlalchemy import Engine, text

from importers.release import ReleaseData
from service.core.comparison import is_older
from service.core.errors import InputError, NotFoundError, StoreError
from service.core.food import FoodEntry, HouseholdMeasure
from service.settings import DATABASE_NAME
from service.store import kitchen
from service.store.changes import latest_change, releases_at
from service.store.engine import open_engine, reading
from service.store.read import food_details, load_table, releases, state, stored_releases
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, prune, replace_release, roll_back
from tests.harbour import FOODS, HARBOUR, changed, harbour, in_parts
from tests.store import switch_process


def names(engine: Engine) -> list[str]:
    return [one.release for one in stored_releases(engine, HARBOUR)]


def active(engine: Engine) -> list[str]:
    return [one.release for one in releases(engine)]


@pytest.fixture
def loaded(empty_store: Engine) -> Engine:
    """A store with release 2025 in use."""
    replace_release(empty_store, harbour())
    return empty_store


def test_a_release_is_read_back_with_its_bases(loaded: Engine) -> None:
    [release] = releases(loaded)
    assert (release.carbohydrate_basis, release.energy_basis, release.fibre_method) == ("total", "4, 9, 4", "by guess")
    assert (release.foods, release.values, release.active) == (3, 24, True)


def test_what_is_no_plain_figure_is_unknown_with_a_bound(loaded: Engine) -> None:
    table = load_table(loaded, (HARBOUR,))
    columns = {component.tagname: place for place, component in enumerate(table.components)}
    assert np.isnan(table.amounts[1, [columns["CHOCDF"], columns["NA"]]]).all()
    assert table.limits == {"harbour:2": {"CHOCDF": 0.5, "NA": 0.1}}
    values = {value.tagname: value for value in food_details(loaded, "harbour:2").values}
    assert (values["CHOCDF"].known, values["CHOCDF"].amount, values["CHOCDF"].qualifier) == (None, 0.5, "below")
    assert (values["NA"].known, values["NA"].qualifier) == (None, "trace")
    assert values["FAT"].known == 0.7


def test_links_and_original_names_are_kept(empty_store: Engine) -> None:
    replace_release(empty_store, harbour(linked={"3": ("sr28:01001", "pier:7")}))
    details = food_details(empty_store, "harbour:3")
    assert (details.original_name, details.linked) == ("o 3", ("sr28:01001", "pier:7"))
    assert load_table(empty_store, (HARBOUR,)).links == {"harbour:3": ("sr28:01001", "pier:7")}


def test_parts_make_the_same_release(empty_store: Engine) -> None:
    add_release(empty_store, in_parts(harbour()), active=True)
    parts = load_table(empty_store, (HARBOUR,))
    details = [food_details(empty_store, food.id) for food in parts.foods]
    replace_release(empty_store, harbour())
    whole = load_table(empty_store, (HARBOUR,))
    assert (parts.foods, parts.limits) == (whole.foods, whole.limits)
    assert replace(parts.releases[0], loaded="") == replace(whole.releases[0], loaded="")
    np.testing.assert_array_equal(parts.amounts, whole.amounts)
    assert details == [food_details(empty_store, food.id) for food in whole.foods]


def test_loading_changes_no_answer(loaded: Engine) -> None:
    before = state(loaded)
    add_release(loaded, [harbour("2026", changed("1", FAT=9))])
    assert (active(loaded), names(loaded), state(loaded)) == (["2025"], ["2025", "2026"], before)
    assert food_details(loaded, "harbour:1") == food_details(loaded, "harbour:1", chosen={HARBOUR: "2025"})
    other = load_table(loaded, (HARBOUR,), chosen={HARBOUR: "2026"})
    assert (other.amounts[0, 2], other.releases[0].active) == (9, False)


def test_nobody_sees_a_release_that_is_being_loaded(loaded: Engine) -> None:
    def parts() -> Iterator[ReleaseData]:
        for part in in_parts(harbour("2026")):
            assert names(loaded) == ["2025"]
            yield part
            with pytest.raises(NotFoundError, match="2026"):
                load_table(loaded, (HARBOUR,), chosen={HARBOUR: "2026"})

    add_release(loaded, parts())
    assert names(loaded) == ["2025", "2026"]


def test_a_load_that_fails_leaves_nothing(loaded: Engine) -> None:
    def parts() -> Iterator[ReleaseData]:
        yield in_parts(harbour("2026"))[0]
        raise StoreError("the disk is full")

    with pytest.raises(StoreError, match="full"):
        add_release(loaded, parts())
    with reading(loaded) as connection:
        assert connection.execute(text("SELECT count(*) FROM dataset_release")).scalar() == 1
        assert connection.execute(text("SELECT count(*) FROM food")).scalar() == 3


def test_a_release_without_a_part_is_refused(loaded: Engine) -> None:
    with pytest.raises(StoreError, match="without a part"):
        add_release(loaded, [])


def test_the_same_content_again_is_not_loaded_again(loaded: Engine) -> None:
    before = state(loaded)
    again = add_release(loaded, in_parts(harbour()))
    assert (again.new, again.beside, names(loaded), state(loaded)) == (False, "", ["2025"], before)
    with reading(loaded) as connection:
        assert connection.execute(text("SELECT count(*) FROM dataset_release")).scalar() == 1
        assert connection.execute(text("SELECT count(*) FROM food")).scalar() == 3


def test_the_same_content_again_is_activated_where_that_is_asked_for(loaded: Engine) -> None:
    replace_release(loaded, harbour("2026"))
    replace_release(loaded, harbour())
    assert (active(loaded), names(loaded)) == (["2025"], ["2025", "2026"])
    assert roll_back(loaded, HARBOUR) == "2026"


@pytest.mark.parametrize("other", [
    harbour("2025", changed("1", FAT=9)), harbour("2025", measures={"1": (HouseholdMeasure(1, "cup", 80),)}),
    harbour("2025", changed("2", FAT="<0.7")), harbour("2025", basis="available"),
    harbour("2025", linked={"3": ("pier:7",)}), harbour("2025", {**FOODS, "4": ("Salt", {"NA": 38000})}),
], ids=["value", "measure", "qualifier", "basis", "link", "food"])  # fmt: skip
def test_other_content_under_a_known_name_is_a_release_of_its_own(loaded: Engine, other: ReleaseData) -> None:
    kitchen.save(loaded, "lunch room", "recipe", title="Broth", body="{}", uses=["harbour:1"])
    before = state(loaded)
    added = add_release(loaded, in_parts(other))
    assert (added.new, added.beside) == (True, "2025")
    [_, name] = names(loaded)
    assert re.fullmatch(r"2025~[0-9a-f]{8}", name)
    assert (active(loaded), state(loaded)) == (["2025"], before)
    assert load_table(loaded, (HARBOUR,)).amounts[0, 2] == 0.6
    again = add_release(loaded, [other])
    assert (again.id, again.new, len(names(loaded))) == (added.id, False, 2)
    assert activate(loaded, HARBOUR) == name
    assert roll_back(loaded, HARBOUR) == "2025"


def test_a_name_is_told_apart_alike_in_every_store(loaded: Engine) -> None:
    add_release(loaded, [harbour("2025", changed("1", FAT=9))])
    assert names(loaded) == ["2025", "2025~bc95f57a"]


def test_releases_of_one_name_are_pruned_like_any_other(loaded: Engine) -> None:
    for fat in (1, 2, 3):
        add_release(loaded, [harbour("2025", changed("1", FAT=fat))])
    first, second, third, fourth = names(loaded)
    assert (prune(loaded, HARBOUR), names(loaded)) == ((second,), [first, third, fourth])


def test_activation_and_the_way_back(loaded: Engine) -> None:
    for release in ("2026", "2027"):
        add_release(loaded, [harbour(release)])
        assert activate(loaded, HARBOUR) == release
    assert activate(loaded, HARBOUR, "2027") == "2027"
    assert [roll_back(loaded, HARBOUR), *active(loaded)] == ["2026", "2026"]
    assert [roll_back(loaded, HARBOUR), *active(loaded)] == ["2025", "2025"]
    with pytest.raises(NotFoundError, match="no other release of harbour in the store was active before 2025"):
        roll_back(loaded, HARBOUR)
    assert activate(loaded, HARBOUR, "2027") == "2027"
    assert roll_back(loaded, HARBOUR) == "2025"


# (the releases that were active one after another, where going back leads)
WAYS_BACK = [
    (("2026", "2025"), ("2026", "2025")),
    (("2026", "2027", "2026"), ("2027", "2026", "2025")),
    (("2026", "2025", "2027", "2025"), ("2027", "2025", "2026", "2025")),
]


@pytest.mark.parametrize(("there", "back"), WAYS_BACK)
def test_the_way_back_is_the_way_there(loaded: Engine, there: tuple[str, ...], back: tuple[str, ...]) -> None:
    """Of releases that were active several times too."""
    for release in ("2026", "2027"):
        add_release(loaded, [harbour(release)])
    for release in there:
        activate(loaded, HARBOUR, release)
    for release in back:
        assert [roll_back(loaded, HARBOUR), *active(loaded)] == [release, release]
    with pytest.raises(NotFoundError, match="was active before 2025"):
        roll_back(loaded, HARBOUR)


def test_the_way_back_passes_over_what_was_pruned(loaded: Engine) -> None:
    for release in ("2026", "2027"):
        add_release(loaded, [harbour(release)])
    for release in ("2026", "2027", "2026"):
        activate(loaded, HARBOUR, release)
    with loaded.begin() as connection:
        connection.execute(text("DELETE FROM dataset_release WHERE release = '2027'"))
    assert roll_back(loaded, HARBOUR) == "2025"


def test_an_older_release_is_activated_by_its_name_only(loaded: Engine) -> None:
    add_release(loaded, [harbour("2019")])
    with pytest.raises(InputError, match="2019, the release of harbour loaded last, is older than 2025, which answers"):
        activate(loaded, HARBOUR)
    assert active(loaded) == ["2025"]
    assert activate(loaded, HARBOUR, "2019") == "2019"
    assert active(loaded) == ["2019"]


def test_each_switch_is_another_state(loaded: Engine) -> None:
    add_release(loaded, [harbour("2026")])
    states = [state(loaded)]
    for switch in (lambda: activate(loaded, HARBOUR), lambda: roll_back(loaded, HARBOUR)):
        switch()
        states.append(state(loaded))
    assert states[0] == states[2] != states[1]


@pytest.mark.parametrize(("dataset", "release", "message"), [
    (HARBOUR, "1999", "no release '1999' of harbour in the store; there are: 2025"),
    ("moon", None, "no dataset 'moon' in the store; there are: harbour"),
])  # fmt: skip
def test_what_is_not_there_is_not_activated(loaded: Engine, dataset: str, release: str | None, message: str) -> None:
    with pytest.raises(NotFoundError, match=message):
        activate(loaded, dataset, release)
    assert active(loaded) == ["2025"]


def test_the_last_three_stay(loaded: Engine) -> None:
    for release in ("2026", "2027", "2028"):
        add_release(loaded, [harbour(release)])
    assert (prune(loaded, HARBOUR), names(loaded)) == (("2026",), ["2025", "2027", "2028"])
    activate(loaded, HARBOUR, "2028")
    add_release(loaded, [harbour("2029")])
    assert (prune(loaded, HARBOUR), names(loaded)) == (("2027",), ["2025", "2028", "2029"])


def test_a_release_that_a_revision_needs_stays(loaded: Engine) -> None:
    kitchen.save(loaded, "lunch room", "recipe", title="Broth", body="{}", uses=["harbour:3"])
    kitchen.save(loaded, "lunch room", "recipe", title="Broth", body="{}", uses=["harbour:1"], number=1)
    without = {code: food for code, food in FOODS.items() if code != "3"}
    for release in ("2026", "2027", "2028", "2029"):
        replace_release(loaded, harbour(release, without))
    assert (prune(loaded, HARBOUR), names(loaded)) == (("2026",), ["2025", "2027", "2028", "2029"])


@pytest.mark.parametrize(("one", "other", "older"), [
    ("2019-10-11", "2024-10-31", True), ("2024-10-31", "2019-10-11", False), ("9", "10", True), ("20", "20", False),
    ("20~12345678", "20", False), ("20", "20~12345678", False), ("19~99999999", "20", True),
])  # fmt: skip
def test_which_release_is_older(one: str, other: str, older: bool) -> None:
    assert is_older(one, other) is older


def test_a_store_of_the_schema_before_is_brought_forward(loaded: Engine) -> None:
    with loaded.begin() as connection:
        for statement in (
            "DROP TABLE api_key", "DROP TABLE kitchen_request", "DROP TABLE kitchen_release",
            "DROP TABLE release_activation", "DROP TABLE answering_release",
            "DROP INDEX foods_by_gtin", "ALTER TABLE food DROP COLUMN gtin",
            "ALTER TABLE component_value DROP COLUMN qualifier", "DROP INDEX one_release",
            "CREATE UNIQUE INDEX one_release ON dataset_release (dataset, release)",
            *(f"ALTER TABLE dataset_release DROP COLUMN {name}"
              for name in ("carbohydrate_basis", "energy_basis", "fibre_method", "activated")),
            "ALTER TABLE food DROP COLUMN original_name", "ALTER TABLE food DROP COLUMN linked",
            "UPDATE alembic_version SET version_num = '0002'",
        ):  # fmt: skip
            connection.execute(text(statement))
    migrate(loaded)
    assert active(loaded) == ["2025"]
    replace_release(loaded, harbour("2026"))
    assert roll_back(loaded, HARBOUR) == "2025"


def old_store(engine: Engine) -> None:
    """Take a store back to the schema before activations were noted."""
    with engine.begin() as connection:
        for statement in (
            "DROP TABLE answering_release", "DROP TABLE release_activation",
            "UPDATE alembic_version SET version_num = '0007'",
        ):  # fmt: skip
            connection.execute(text(statement))


def test_saves_of_an_earlier_schema_tell_which_release_answered(loaded: Engine) -> None:
    """What a revision was worked out by answered at its change; the one that answers now, from the next change on."""
    save = partial(kitchen.save, loaded, "lunch room", "recipe", title="Broth", body="{}")
    save()
    for release in ("2025", "2025", "2026"):
        save(releases={HARBOUR: release})
    kitchen.save(loaded, "lunch room", "own", title="Broth", body="{}")
    for release in ("2026", "2027"):
        replace_release(loaded, harbour(release))
    old_store(loaded)
    migrate(loaded)
    found = [releases_at(loaded, change)[HARBOUR] for change in range(7)]
    assert found == ["2025", "2025", "2025", "2025", "2026", "2026", "2027"]
    assert [kitchen.last_change(loaded, name) for name in ("lunch room", "harbour room")] == [6, 6]
    assert save().change == 7
    assert [roll_back(loaded, HARBOUR) for _ in range(2)] == ["2026", "2025"]


def test_a_store_in_which_nothing_was_saved_begins_with_the_release_that_answers(loaded: Engine) -> None:
    replace_release(loaded, harbour("2026"))
    old_store(loaded)
    migrate(loaded)
    assert (releases_at(loaded, 0), latest_change(loaded)) == ({HARBOUR: "2026"}, 0)


def test_saves_and_switches_are_numbered_in_one_sequence(loaded: Engine) -> None:
    replace_release(loaded, harbour("1", dataset="pier"))
    changes = [latest_change(loaded)]
    for switch in (
        lambda: kitchen.save(loaded, "lunch room", "recipe", title="Broth", body="{}"),
        lambda: replace_release(loaded, harbour("2026")),
        lambda: kitchen.save(loaded, "lunch room", "recipe", title="Stew", body="{}"),
        lambda: roll_back(loaded, HARBOUR),
        lambda: replace_release(loaded, harbour("2", dataset="pier")),
        lambda: kitchen.save(loaded, "harbour room", "recipe", title="Pie", body="{}"),
    ):
        switch()
        changes.append(latest_change(loaded))
    assert changes == list(range(7))
    assert [kitchen.last_change(loaded, name) for name in ("lunch room", "harbour room", "bar")] == [5, 6, 5]
    found = [releases_at(loaded, change) for change in range(7)]
    assert [one[HARBOUR] for one in found] == ["2025", "2025", "2026", "2026", "2025", "2025", "2025"]
    assert [one["pier"] for one in found] == ["1"] * 5 + ["2"] * 2


# ---- killed --------------------------------------------------------------------------------------------------------


KILLS = int(os.environ.get("GRAMWRIGHT_KILLS", "100"))


def test_killed_at_any_point_nothing_half_done_is_seen(loaded: Engine) -> None:
    """Loads, activations and roll-backs in another process, killed by kill -9 KILLS times at points drawn by lot.

    By turns it kills itself behind a statement, and is killed from here at a moment that no statement marks; readers
    look while it is at work, and after it died.
    """
    draw = random.Random(5)
    expected = {release: contents(harbour(release, foods(release))) for release in ("2025", "2026")}
    seen = set()
    for turn in range(KILLS):
        with at_work(loaded, draw.randint(1, 60) if turn % 2 else 0) as process:
            until = time.monotonic() + draw.uniform(0, 0.25)
            while process.is_alive() and (turn % 2 or time.monotonic() < until):
                seen.add(whole_release(loaded, expected))
        assert process.exitcode == -signal.SIGKILL
        seen.add(whole_release(loaded, expected))
    assert seen == {"2025", "2026"}


PROCESSES = multiprocessing.get_context("forkserver")
PROCESSES.set_forkserver_preload(["tests.store.switch_process"])


@contextmanager
def at_work(engine: Engine, statement: int) -> Iterator[BaseProcess]:
    """A process that loads and switches releases in a store, killed at the end."""
    began, begins = PROCESSES.Pipe(duplex=False)
    asked = (engine.url.render_as_string(), statement, begins)
    process = PROCESSES.Process(target=switch_process.switch, args=asked, daemon=True)
    process.start()
    try:
        assert began.recv() == "at work"
        yield process
    finally:
        process.kill()
        process.join()


def whole_release(engine: Engine, expected: Mapping[str, tuple[tuple[FoodEntry, ...], bytes]]) -> str:
    """The release that answers, which is all there as every other that is to be seen."""
    table = load_table(engine, (HARBOUR,))
    release = table.releases[0].release
    assert (table.foods, table.amounts.tobytes()) == expected[release]
    stored = stored_releases(engine, HARBOUR)
    assert [(one.foods, one.values) for one in stored] == [(3, 24)] * len(stored)
    for one in stored:
        other = load_table(engine, (HARBOUR,), chosen={HARBOUR: one.release})
        assert (other.foods, other.amounts.tobytes()) == expected[one.release]
    return release


def foods(release: str) -> dict[str, tuple[str, dict[str, float | str]]]:
    return dict(FOODS if release == "2025" else changed("1", FAT=9))  # type: ignore[arg-type]


def contents(data: ReleaseData) -> tuple[tuple[FoodEntry, ...], bytes]:
    return tuple(food.entry for food in data.foods), data.matrix().tobytes()


@pytest.mark.parametrize("size", ["600k", "1m", "2m"])
def test_a_disk_that_fills_up_leaves_the_active_release(small_disk: Callable[[str], Path], size: str) -> None:
    folder = small_disk(f"size={size}")
    engine = open_engine(sqlite_url(folder / DATABASE_NAME))
    migrate(engine)
    replace_release(engine, harbour())
    before = load_table(engine, (HARBOUR,))
    many = harbour("2026", {f"{code:06}": FOODS["1"] for code in range(20_000)})
    with pytest.raises(StoreError, match="cannot grow: the disk is full; free some space"):
        add_release(engine, [harbour("2026", dict(list(FOODS.items())[:1])), many])
    assert (names(engine), active(engine)) == (["2025"], ["2025"])
    after = load_table(engine, (HARBOUR,))
    assert (after.foods, after.amounts.tobytes()) == (before.foods, before.amounts.tobytes())
    subprocess.run(["mount", "-o", "remount,size=60m", str(folder)], check=True)
    add_release(engine, [many], active=True)
    assert (active(engine), len(load_table(engine, (HARBOUR,)).foods)) == (["2026"], 20_000)
    engine.dispose()


def test_readers_go_on_while_a_release_is_loaded(loaded: Engine) -> None:
    waits = []

    def slow() -> Iterator[ReleaseData]:
        for part in in_parts(harbour("2026")):
            began = time.perf_counter()
            kitchen.save(loaded, "lunch room", "recipe", title="Broth", body="{}")
            load_table(loaded, (HARBOUR,))
            waits.append(time.perf_counter() - began)
            yield part

    add_release(loaded, slow())
    assert max(waits) < 5
