"""What kitchens keep: revisions, numbers, two writers, past states, and a process that is killed while it saves."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from threading import Barrier

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, func, select

from service.core.errors import ConflictError, InputError, InUseError, NotFoundError
from service.store import kitchen, schema
from service.store.engine import open_engine, reading
from service.store.kitchen import Document
from service.store.url import sqlite_url

ROOT = Path(__file__).parents[2]
HERE = "lunch room"


def save(engine: Engine, title: str, **more) -> Document:
    return kitchen.save(engine, HERE, "recipe", title=title, body=json.dumps({"title": title}), **more)


# ---- revisions and numbers -------------------------------------------------------------------------------------


def test_every_save_keeps_the_earlier_revision(empty_store):
    save(empty_store, "Crackers")
    save(empty_store, "Seed crackers", number=1, expected=1)
    save(empty_store, "Thin seed crackers", number=1)
    found = kitchen.revisions(empty_store, HERE, "recipe", 1)
    assert [(one.revision, one.title) for one in found] == [
        (1, "Crackers"), (2, "Seed crackers"), (3, "Thin seed crackers")
    ]  # fmt: skip
    assert [one.change for one in found] == sorted({one.change for one in found})
    assert kitchen.get(empty_store, HERE, "recipe", 1) == found[-1]
    for one in found:
        assert kitchen.get(empty_store, HERE, "recipe", 1, revision=one.revision) == one
        assert kitchen.get(empty_store, HERE, "recipe", 1, at=one.change) == one


def test_a_number_is_never_given_twice(empty_store):
    numbers = []
    for turn in range(6):
        numbers.append(save(empty_store, f"Plate {turn}").number)
        if turn % 2:
            kitchen.delete(empty_store, HERE, "recipe", numbers[-1])
    assert numbers == [1, 2, 3, 4, 5, 6]
    assert [one.number for one in kitchen.listing(empty_store, HERE, "recipe")] == [1, 3, 5]


def test_kinds_and_kitchens_number_apart(empty_store):
    for where in ("lunch room", "next door"):
        for kind in ("recipe", "own", "choice"):
            assert kitchen.save(empty_store, where, kind, title="Mayo", body="{}").number == 1


def test_what_is_deleted_can_be_read_by_its_revision_only(empty_store):
    saved = save(empty_store, "Plate", uses=["sr28:01123"])
    kitchen.delete(empty_store, HERE, "recipe", 1, expected=1)
    with pytest.raises(NotFoundError):
        kitchen.get(empty_store, HERE, "recipe", 1)
    for change in (
        lambda: save(empty_store, "Plate", number=1),
        lambda: kitchen.delete(empty_store, HERE, "recipe", 1),
    ):
        with pytest.raises(NotFoundError):
            change()
    assert kitchen.listing(empty_store, HERE, "recipe") == []
    assert kitchen.listing(empty_store, HERE, "recipe", using="sr28:01123") == []
    assert kitchen.get(empty_store, HERE, "recipe", 1, revision=1) == saved
    assert kitchen.get(empty_store, HERE, "recipe", 1, at=saved.change) == saved


MISSES = [
    lambda engine: kitchen.get(engine, HERE, "recipe", 9),
    lambda engine: kitchen.get(engine, HERE, "recipe", 1, revision=9),
    lambda engine: kitchen.get(engine, HERE, "own", 1),
    lambda engine: kitchen.get(engine, "next door", "recipe", 1),
    lambda engine: save(engine, "Plate", number=9),
    lambda engine: kitchen.delete(engine, HERE, "recipe", 9),
]


@pytest.mark.parametrize("miss", MISSES, ids=range(len(MISSES)))
def test_what_is_not_there_is_not_found(empty_store, miss):
    save(empty_store, "Plate")
    with pytest.raises(NotFoundError) as error:
        miss(empty_store)
    assert error.value.pointer == "/id"


# ---- lists -----------------------------------------------------------------------------------------------------

# (words, titles that have them all)
SEARCHES = [
    ("", ["Crème of leek", "Leek plate", "Plate of 50% cream", "Plate_of leek"]),
    ("leek", ["Crème of leek", "Leek plate", "Plate_of leek"]),
    ("LEEK Plate", ["Leek plate", "Plate_of leek"]),
    ("creme", ["Crème of leek"]),
    ("50%", ["Plate of 50% cream"]),
    ("e_o", ["Plate_of leek"]),
    ("'; drop table kitchen_document; --", []),
]


@pytest.mark.parametrize(("words", "titles"), SEARCHES, ids=[repr(words) for words, _ in SEARCHES])
def test_search_finds_titles_with_every_word(empty_store, words, titles):
    for title in ("Leek plate", "Crème of leek", "Plate_of leek", "Plate of 50% cream"):
        save(empty_store, title)
    assert [one.title for one in kitchen.listing(empty_store, HERE, "recipe", search=words)] == titles


def test_using_asks_the_latest_revision(empty_store):
    save(empty_store, "Dressing")
    save(empty_store, "Plate", uses=["sr28:01123", "recipe:1", "sr28:01123"])
    assert [one.number for one in kitchen.listing(empty_store, HERE, "recipe", using="recipe:1")] == [2]
    save(empty_store, "Plate", number=2, uses=["sr28:01123"])
    assert kitchen.listing(empty_store, HERE, "recipe", using="recipe:1") == []
    assert [one.revision for one in kitchen.listing(empty_store, HERE, "recipe", using="sr28:01123")] == [2]


def test_pages_follow_each_other(empty_store):
    for turn in range(7):
        save(empty_store, f"Plate {turn}")
    pages = [kitchen.listing(empty_store, HERE, "recipe", limit=3, offset=start) for start in (0, 3, 6)]
    assert [one.title for page in pages for one in page] == [f"Plate {turn}" for turn in range(7)]


# ---- several writers -------------------------------------------------------------------------------------------


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=st.lists(st.tuples(st.sampled_from("snd"), st.integers(1, 4), st.integers(1, 4)), max_size=25))
def test_a_save_is_taken_only_on_the_revision_that_was_seen(tmp_path_factory, steps):
    """Against a plain model: number -> (revision, deleted)."""
    engine = open_engine(sqlite_url(tmp_path_factory.mktemp("model") / "gramwright.sqlite3"))
    with engine.begin() as connection:
        schema.SQLModel.metadata.create_all(connection)
    model: dict[int, tuple[int, bool]] = {}
    for place, (what, number, expected) in enumerate(steps):
        title = f"Plate {place}"
        if what == "n":
            saved = save(engine, title)
            assert saved.number == max(model, default=0) + 1
            model[saved.number] = (1, False)
            continue
        revision, gone = model.get(number, (0, True))
        change = partial(save, engine, title) if what == "s" else partial(kitchen.delete, engine, HERE, "recipe")
        change = partial(change, number=number, expected=expected)
        if gone or revision != expected:
            with pytest.raises(NotFoundError if gone else ConflictError) as error:
                change()
            assert getattr(error.value, "current", revision) == revision
        else:
            change()
            model[number] = (revision + 1, what == "d")
    standing = [(one.number, one.revision) for one in kitchen.listing(engine, HERE, "recipe")]
    assert sorted(standing) == [(number, revision) for number, (revision, gone) in sorted(model.items()) if not gone]
    engine.dispose()


# ---- what is used -----------------------------------------------------------------------------------------------


def test_what_came_into_use_is_not_deleted_however_the_two_fall(empty_store):
    """A recipe and the deletion of what it uses, at once: whichever comes second is told."""
    url = empty_store.url.render_as_string(hide_password=False)
    barrier = Barrier(2)

    def use(number: int) -> str:
        barrier.wait()
        save(engine, "Plate", uses=[f"recipe:{number}"])
        return "used"

    def drop(number: int) -> str:
        barrier.wait()
        kitchen.delete(other, HERE, "recipe", number)
        return "gone"

    engine, other = open_engine(url), open_engine(url)
    with ThreadPoolExecutor(2) as pool:
        for _ in range(8):
            number = save(empty_store, "Dressing").number
            attempts = [pool.submit(use, number), pool.submit(drop, number)]
            errors = [one.exception() for one in attempts]
            assert sum(error is None for error in errors) == 1
            assert all(isinstance(error, InUseError | NotFoundError | None) for error in errors)
    engine.dispose()
    other.dispose()


def test_what_is_used_is_not_deleted(empty_store):
    used, user = save(empty_store, "Dressing"), save(empty_store, "Plate", uses=["recipe:1", "sr28:01001"])
    with pytest.raises(InUseError, match="'Plate'") as error:
        kitchen.delete(empty_store, HERE, "recipe", used.number)
    assert error.value.users == ((user.food_id, "Plate"),)
    assert kitchen.get(empty_store, HERE, "recipe", used.number).revision == 1
    kitchen.delete(empty_store, HERE, "recipe", user.number)
    assert kitchen.delete(empty_store, HERE, "recipe", used.number).deleted


@pytest.mark.parametrize("food_id", ["recipe:1", "recipe:9", "own:1"])
def test_what_is_gone_is_not_used(empty_store, food_id):
    kitchen.delete(empty_store, HERE, "recipe", save(empty_store, "Dressing").number)
    with pytest.raises(NotFoundError) as error:
        save(empty_store, "Plate", uses=[food_id])
    assert error.value.pointer == "/sections"
    assert kitchen.listing(empty_store, HERE, "recipe") == []


def test_a_circle_that_two_writers_close_together_is_refused(empty_store):
    save(empty_store, "Dressing")
    save(empty_store, "Plate", uses=["recipe:1"])
    save(empty_store, "Board", uses=["recipe:2"])
    with pytest.raises(InputError, match="circle"):
        save(empty_store, "Dressing", number=1, uses=["recipe:3"])
    assert kitchen.get(empty_store, HERE, "recipe", 1).revision == 1


def test_of_two_writers_of_one_revision_one_is_told(empty_store):
    url = empty_store.url.render_as_string(hide_password=False)
    save(empty_store, "Plate")
    writers, turns = 4, 5
    barrier = Barrier(writers)

    def write(writer: int) -> list[str]:
        engine, told = open_engine(url), []
        for revision in range(1, turns + 1):
            barrier.wait()
            try:
                told.append(f"saved {save(engine, f'Plate {writer}', number=1, expected=revision).revision}")
            except ConflictError as error:
                told.append(f"told of {error.current}")
            barrier.wait()
        engine.dispose()
        return told

    with ThreadPoolExecutor(writers) as pool:
        told = list(pool.map(write, range(writers)))
    for revision, of_turn in enumerate(zip(*told, strict=True), 2):
        assert sorted(of_turn) == [f"saved {revision}", *[f"told of {revision}"] * (writers - 1)]
    assert len(kitchen.revisions(empty_store, HERE, "recipe", 1)) == turns + 1


def test_new_documents_of_several_writers_have_numbers_of_their_own(empty_store):
    url = empty_store.url.render_as_string(hide_password=False)

    def write(writer: int) -> list[int]:
        engine = open_engine(url)
        numbers = [save(engine, f"Plate {writer}").number for _ in range(10)]
        engine.dispose()
        return numbers

    with ThreadPoolExecutor(3) as pool:
        numbers = [number for found in pool.map(write, range(3)) for number in found]
    assert sorted(numbers) == list(range(1, 31))


# ---- sent twice ------------------------------------------------------------------------------------------------


def test_what_is_saved_twice_by_a_request_of_one_name_is_saved_once(empty_store):
    saved = save(empty_store, "Plate", request="a")
    assert save(empty_store, "Plate", request="a") == saved
    assert save(empty_store, "Plate", request="b").number == 2
    assert save(empty_store, "Plate").number == 3
    with pytest.raises(InputError, match="recipe:1"):
        save(empty_store, "Bowl", request="a")
    elsewhere = kitchen.save(empty_store, "other room", "recipe", title="Plate", body=saved.body, request="a")
    of_another_kind = kitchen.save(empty_store, HERE, "own", title="Plate", body=saved.body, request="a")
    assert (elsewhere.number, of_another_kind.number) == (1, 1)
    assert elsewhere.change != of_another_kind.change != saved.change
    assert len(kitchen.all_of(empty_store, HERE, "recipe")) == 3


def test_a_request_of_one_name_sent_by_several_at_once_is_done_once(empty_store):
    url = empty_store.url.render_as_string(hide_password=False)
    writers = 4
    barrier = Barrier(writers)

    def write(_: int) -> list[Document]:
        engine, saved = open_engine(url), []
        for turn in range(5):
            barrier.wait()
            saved.append(save(engine, "Plate", request=f"turn {turn}"))
        engine.dispose()
        return saved

    with ThreadPoolExecutor(writers) as pool:
        told = list(pool.map(write, range(writers)))
    assert all(found == told[0] for found in told)
    assert [one.number for one in kitchen.all_of(empty_store, HERE, "recipe")] == [1, 2, 3, 4, 5]


def test_a_revision_that_stands_already_is_not_saved_again(empty_store):
    """RFC 9110, 13.1.1: a change that appears to have been made already succeeds, whatever If-Match says."""
    save(empty_store, "Plate")
    second = save(empty_store, "Bowl", number=1, expected=1)
    assert save(empty_store, "Bowl", number=1, expected=1) == second
    with pytest.raises(ConflictError):
        save(empty_store, "Dish", number=1, expected=1)
    assert save(empty_store, "Bowl", number=1, expected=2).revision == 3
    with pytest.raises(ConflictError):
        save(empty_store, "Bowl", number=1, expected=1)


# ---- killed in the middle --------------------------------------------------------------------------------------


def killed_while_saving(engine: Engine, seconds: float = 60, statement: int = 0) -> list[list]:
    """What a process said it had saved before it was killed, so long after its first save or by itself."""
    command = [sys.executable, str(Path(__file__).parent / "save_process.py"), str(engine.url), str(statement)]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=environment, text=True) as process:
        assert process.stdout
        said = process.stdout.readline()
        with suppress(subprocess.TimeoutExpired):
            process.wait(seconds)
        process.kill()
        said += process.stdout.read()
    assert process.returncode == -signal.SIGKILL
    return [json.loads(line) for line in said.split("\n")[:-1]]  # the last one has no end: it was not said in full


@pytest.mark.parametrize("seconds", [0.011, 0.103, 0.257, 0.409])
def test_a_process_killed_while_it_saves_loses_nothing(empty_store, seconds):
    assert_whole(empty_store, killed_while_saving(empty_store, seconds))


# Each statement of a save of a new document, and of a revision: the number, what it supersedes, the change, the
# document, its uses.
@pytest.mark.parametrize("statement", range(6, 16))
def test_a_process_that_dies_within_a_save_leaves_no_half(empty_store, statement):
    said = killed_while_saving(empty_store, statement=statement)
    assert_whole(empty_store, said)
    assert len(said) < 6


def assert_whole(store: Engine, said: list[list]) -> None:
    """All that was said to be saved is there as it was said, every save is there whole, and saving goes on."""
    assert said
    engine = open_engine(str(store.url))  # as the next process finds it
    documents, uses = schema.table(schema.KitchenDocument), schema.table(schema.KitchenUse)
    with reading(engine) as connection:
        rows = connection.execute(select(documents).order_by(documents.c.change)).all()
        counted = select(uses.c.change, func.count()).group_by(uses.c.change)
        used = dict(connection.execute(counted).all())
        if engine.dialect.name == "sqlite":
            assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            assert connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    kept = [[row.number, row.revision, row.body] for row in rows]
    assert kept[: len(said)] == said
    assert len(kept) <= len(said) + 1  # one may be kept that the process could not say any more
    assert used == {row.change: json.loads(row.body)["uses"] for row in rows}
    numbers = {row.number for row in rows}
    for number in numbers:
        of_it = [row for row in rows if row.number == number]
        assert [row.revision for row in of_it] == list(range(1, len(of_it) + 1))
        assert [row.latest for row in of_it] == [False] * (len(of_it) - 1) + [True]
    assert save(engine, "The next plate").number == max(numbers) + 1
    engine.dispose()
