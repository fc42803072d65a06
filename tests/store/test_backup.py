"""Backups while the store is used, and the way back: checked, never half done, the store as it was kept."""

from __future__ import annotations

import os
import sqlite3
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path
from threading import Event

import pytest
from sqlalchemy import Engine, inspect, text

from importers.release import ReleaseData
from service.core.errors import InputError, StoreError
from service.datasets import ensure_ready
from service.settings import Settings
from service.store import backup, kitchen
from service.store.backup import back_up, restore
from service.store.engine import database_file, open_engine
from service.store.read import load_table
from service.store.table_names import TABLES
from service.store.write import migrate, replace_release

HERE = "lunch room"


@pytest.fixture
def store(empty_store: Engine, invented_release: ReleaseData) -> str:
    """The URL of a store with the invented foods and one plate, on each kind of database; nobody uses it."""
    replace_release(empty_store, invented_release)
    save(empty_store, "Plate 1")
    empty_store.dispose()
    return empty_store.url.render_as_string(hide_password=False)


def save(engine: Engine, title: str) -> None:
    kitchen.save(engine, HERE, "recipe", title=title, body="{}", uses=["sr28:90001"])


def titles(url: str) -> list[str]:
    engine = open_engine(url)
    found = [one.title for one in kitchen.all_of(engine, HERE, "recipe")]
    assert len(load_table(engine, ("sr28",)).foods) == 3
    engine.dispose()
    return found


def add(url: str, title: str) -> None:
    engine = open_engine(url)
    save(engine, title)
    engine.dispose()


def test_a_backup_brings_back_what_was_there(store: str, tmp_path: Path) -> None:
    back_up(store, tmp_path / "copy")
    add(store, "Plate 2")
    kept = restore(store, tmp_path / "copy")
    assert titles(store) == ["Plate 1"]
    assert kept is not None
    restore(store, kept)
    assert titles(store) == ["Plate 1", "Plate 2"]


def test_a_backup_is_whole_while_others_save(store: str, tmp_path: Path) -> None:
    ended = Event()

    def write() -> int:
        engine, done = open_engine(store), 0
        while not ended.is_set():
            save(engine, f"Plate {done + 2}")
            done += 1
        engine.dispose()
        return done

    with ThreadPoolExecutor(1) as pool:
        writing = pool.submit(write)
        try:
            for turn in range(3):
                back_up(store, tmp_path / f"copy {turn}")
        finally:
            ended.set()
        written = writing.result()
    assert written
    assert len(titles(store)) == written + 1
    for turn in range(3):
        restore(store, tmp_path / f"copy {turn}")
        found = titles(store)
        assert found == [f"Plate {number}" for number in range(1, len(found) + 1)]


def test_a_store_in_use_is_not_replaced(store: str, tmp_path: Path) -> None:
    back_up(store, tmp_path / "copy")
    user = open_engine(store)
    save(user, "Plate 2")  # its connection stays open
    with pytest.raises(StoreError, match="is in use: stop the servers"):
        restore(store, tmp_path / "copy")
    user.dispose()
    assert titles(store) == ["Plate 1", "Plate 2"]


def test_what_is_there_is_overwritten_only_where_told(store: str, tmp_path: Path) -> None:
    (tmp_path / "copy").write_text("something else")
    with pytest.raises(InputError, match="is there already"):
        back_up(store, tmp_path / "copy")
    assert (tmp_path / "copy").read_text() == "something else"
    back_up(store, tmp_path / "copy", overwrite=True)
    restore(store, tmp_path / "copy")


@pytest.mark.parametrize("overwrite", [False, True])
def test_what_is_no_file_is_never_replaced(store: str, tmp_path: Path, overwrite: bool) -> None:
    with pytest.raises(InputError, match="is a folder: name the file in it that the backup is to be"):
        back_up(store, tmp_path, overwrite=overwrite)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(InputError, match="is no file to be replaced"):
        back_up(store, tmp_path / "pipe", overwrite=overwrite)
    assert (tmp_path / "pipe").is_fifo()
    assert not list(tmp_path.parent.glob(f"{tmp_path.name}.part-*"))


def test_a_backup_of_an_older_version_is_put_in_a_newer_store(store: str, tmp_path: Path) -> None:
    """A table that came later refers to one that the backup has; the store is brought up to date when it is opened."""
    back_up_as_of_0007(store, tmp_path / "copy")
    restore(store, tmp_path / "copy")
    engine = open_engine(store)
    migrate(engine)
    engine.dispose()
    assert titles(store) == ["Plate 1"]


def back_up_as_of_0007(url: str, target: Path) -> None:
    """A backup of before a table came that the store has by now, with one plate more."""
    engine = open_engine(url)
    with engine.begin() as connection:
        connection.execute(text("DROP TABLE release_activation"))
        connection.execute(text("DROP TABLE answering_release"))
        connection.execute(text("UPDATE alembic_version SET version_num = '0007'"))
    back_up(url, target)
    migrate(engine)
    engine.dispose()
    add(url, "Plate 2")


def is_whole(url: str) -> bool:
    """Whether the store has every table of its version."""
    engine = open_engine(url)
    there = set(inspect(engine).get_table_names())
    engine.dispose()
    return there >= set(TABLES)


@pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)
@pytest.mark.parametrize("after", ["_make_way", "_put_in"])
def test_a_restore_that_is_interrupted_leaves_the_store_as_it_was(
    store: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: str
) -> None:
    back_up_as_of_0007(store, tmp_path / "copy")
    interrupt(monkeypatch, after, times=1)
    with pytest.raises(KeyboardInterrupt):
        restore(store, tmp_path / "copy")
    assert titles(store) == ["Plate 1", "Plate 2"]
    assert is_whole(store)


@pytest.mark.parametrize("database_kind", ["postgresql"], indirect=True)
def test_a_restore_that_is_interrupted_twice_names_the_way_back(
    store: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    back_up_as_of_0007(store, tmp_path / "copy")
    with monkeypatch.context() as patched:
        interrupt(patched, "_make_way", times=1)
        interrupt(patched, "_put_in", times=1, instead=True)
        with pytest.raises(StoreError, match="is neither as it was nor as the backup: put it back by") as error:
            restore(store, tmp_path / "copy")
    assert not is_whole(store)
    [kept] = tmp_path.glob("copy.before-*")
    assert f"`gramwright restore {kept}`" in str(error.value)
    restore(store, kept)
    assert titles(store) == ["Plate 1", "Plate 2"]
    assert is_whole(store)


def interrupt(patch: pytest.MonkeyPatch, step: str, *, times: int, instead: bool = False) -> None:
    """Somebody stops the command behind a step of it, or instead of it."""
    real, left = getattr(backup, step), list(range(times))

    def stopped(*asked: object) -> None:
        if not (instead and left):
            real(*asked)
        if left:
            left.pop()
            raise KeyboardInterrupt

    patch.setattr(backup, step, stopped)


def test_a_folder_that_is_not_there_is_no_fault_of_the_store(store: str, tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"cannot write .*nowhere.copy: No such file or directory"):
        back_up(store, tmp_path / "nowhere" / "copy")


@pytest.mark.parametrize("content", [b"", b"no backup", b"SQLite format 3\0 and no more", b"PGDMP and no more"])
def test_what_is_no_backup_is_refused(store: str, tmp_path: Path, content: bytes) -> None:
    (tmp_path / "other").write_bytes(content)
    with pytest.raises(InputError, match="is no backup of a store"):
        restore(store, tmp_path / "other")
    assert titles(store) == ["Plate 1"]
    assert not list(tmp_path.glob("*.part-*"))


def test_a_missing_program_is_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(backup.shutil, "which", lambda program: None)
    with pytest.raises(StoreError, match="pg_dump is not at hand: install the client programs of PostgreSQL"):
        back_up("postgresql://nobody@127.0.0.1:1/none", tmp_path / "copy")
    assert not list(tmp_path.iterdir())


# ---- SQLite files ----------------------------------------------------------------------------------------------


@pytest.fixture
def file(empty_file: Engine, invented_release: ReleaseData) -> Path:
    replace_release(empty_file, invented_release)
    save(empty_file, "Plate 1")
    empty_file.dispose()
    found = database_file(empty_file.url.render_as_string())
    assert found
    return found


def settings_of(file: Path) -> Settings:
    asked = {"GRAMWRIGHT_DATABASE_URL": f"sqlite:///{file}", "GRAMWRIGHT_DATA_DIR": str(file.parent)}
    return Settings.from_environment(asked)


DAMAGE = {"its head": (0, 64), "its middle": (4096, 40_000), "all of it": (0, 10**9)}


@pytest.mark.parametrize("place", DAMAGE)
def test_a_damaged_store_is_told_and_a_backup_brings_it_back(file: Path, tmp_path: Path, place: str) -> None:
    url = f"sqlite:///{file}"
    back_up(url, tmp_path / "copy")
    start, length = DAMAGE[place]
    content = bytearray(file.read_bytes())
    content[start : start + length] = b"\xa5" * len(content[start : start + length])
    file.write_bytes(content)
    told = r"is damaged; put back a backup by `gramwright restore FILE`"
    with pytest.raises(StoreError, match=told):
        titles_or_error(file)
    with pytest.raises(StoreError, match=told) as caught:
        back_up(url, tmp_path / "of the damaged")
    assert str(caught.value).startswith(f"The store {file} is ")
    assert "of the damaged" not in str(caught.value)
    assert not (tmp_path / "of the damaged").exists()
    kept = restore(url, tmp_path / "copy")
    assert kept is not None
    assert kept.read_bytes()[100:] == bytes(content[100:])  # the head says how it was last opened
    assert titles(url) == ["Plate 1"]


def test_an_emptied_store_is_told_and_a_backup_brings_it_back(file: Path, tmp_path: Path) -> None:
    """SQLite takes a file of no bytes for a new database: it is neither built anew nor backed up as a whole one."""
    url = f"sqlite:///{file}"
    back_up(url, tmp_path / "copy")
    file.write_bytes(b"")
    with pytest.raises(StoreError, match="is empty, whatever it held; put back a backup"):
        ensure_ready(settings_of(file))
    with pytest.raises(StoreError, match=r"it is empty.*nothing was backed up"):
        back_up(url, tmp_path / "of the emptied")
    assert not (tmp_path / "of the emptied").exists()
    assert restore(url, tmp_path / "copy") is not None
    assert titles(url) == ["Plate 1"]


def titles_or_error(file: Path) -> None:
    engine = ensure_ready(settings_of(file))
    try:
        load_table(engine, ("sr28",))
        kitchen.all_of(engine, HERE, "recipe")
    finally:
        engine.dispose()


def test_a_backup_of_a_newer_version_is_refused(file: Path, tmp_path: Path) -> None:
    back_up(f"sqlite:///{file}", tmp_path / "copy")
    with closing(sqlite3.connect(tmp_path / "copy")) as copy, copy:
        copy.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(InputError, match="newer than"):
        restore(f"sqlite:///{file}", tmp_path / "copy")


@pytest.mark.parametrize("ending", ["", "-wal", "-shm", "-journal", ".lock"])
def test_a_backup_takes_the_place_of_no_file_of_the_store(file: Path, ending: str) -> None:
    user = open_engine(f"sqlite:///{file}")
    save(user, "Plate 2")  # its connection stays open, and what it saved in the log
    with pytest.raises(InputError, match="is the store itself, or one of the files that it needs"):
        back_up(f"sqlite:///{file}", file.with_name(f"{file.name}{ending}"), overwrite=True)
    user.dispose()
    assert titles(f"sqlite:///{file}") == ["Plate 1", "Plate 2"]


@pytest.mark.parametrize("there", [False, True])
def test_a_backup_is_where_a_link_points_to(file: Path, tmp_path: Path, there: bool) -> None:
    far, link = tmp_path / "far", tmp_path / "link"
    far.mkdir()
    link.symlink_to(far / "copy")
    if there:
        (far / "copy").write_text("something else")
        with pytest.raises(InputError, match="is there already"):
            back_up(f"sqlite:///{file}", link)
    back_up(f"sqlite:///{file}", link, overwrite=there)
    assert (link.is_symlink(), (far / "copy").stat().st_size > 1000) == (True, True)


@pytest.mark.parametrize(("other", "words"), [(False, "is no longer there"), (True, "is another file")])
def test_nothing_is_saved_in_a_file_that_lost_its_place(file: Path, tmp_path: Path, other: bool, words: str) -> None:
    """It would be acknowledged and gone with the process."""
    back_up(f"sqlite:///{file}", tmp_path / "copy")
    user = open_engine(f"sqlite:///{file}")
    save(user, "Plate 2")
    file.rename(file.with_suffix(".moved"))
    if other:
        (tmp_path / "copy").rename(file)
    with pytest.raises(StoreError, match=words) as caught:
        save(user, "Plate 3")
    assert str(file) not in caught.value.told
    if not other:
        file.with_suffix(".moved").rename(file)
        save(user, "Plate 3")
    user.dispose()


def test_a_backup_needs_a_store(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="nothing to back up"):
        back_up(f"sqlite:///{tmp_path / 'none.sqlite3'}", tmp_path / "copy")


def test_a_backup_restores_where_there_is_no_store(file: Path, tmp_path: Path) -> None:
    back_up(f"sqlite:///{file}", tmp_path / "copy")
    assert restore(f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}", tmp_path / "copy") is None
    assert titles(f"sqlite:///{tmp_path / 'elsewhere.sqlite3'}") == ["Plate 1"]


def test_a_full_disk_leaves_no_half_of_a_backup(file: Path, small_disk) -> None:
    folder = small_disk("size=64k")
    with pytest.raises(StoreError, match="the disk is full"):
        back_up(f"sqlite:///{file}", folder / "copy")
    assert not list(folder.iterdir())


# ---- migrations, clocks ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("version", ["0001", "0002", "0003", "0004", "0005", "0006", "0007", "0008"])
def test_a_migration_that_is_interrupted_is_repeated(
    database_kind: str, tmp_path: Path, version: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from alembic.migration import MigrationContext

    from tests import databases

    class Killed(BaseException):
        pass

    real = MigrationContext._in_connection_transaction, MigrationContext.run_migrations

    def run(self: MigrationContext, **more: object) -> None:
        steps = self._migrations_fn

        def until_then(heads: object, context: object) -> object:
            for step in steps(heads, context):  # type: ignore[misc]
                if step.revision.revision == version:
                    raise Killed
                yield step

        self._migrations_fn = until_then  # type: ignore[assignment]
        real[1](self, **more)

    with databases.empty_database(database_kind, tmp_path) as url:
        engine = open_engine(url)
        with monkeypatch.context() as patched:
            patched.setattr(MigrationContext, "run_migrations", run)
            with pytest.raises(Killed):
                migrate(engine)
        migrate(engine)
        migrate(engine)
        save(engine, "Plate")
        engine.dispose()


def test_several_processes_migrate_once(database_kind: str, tmp_path: Path) -> None:
    from tests import databases

    with databases.empty_database(database_kind, tmp_path) as url:
        engines = [open_engine(url) for _ in range(4)]
        with ThreadPoolExecutor(4) as pool:
            list(pool.map(migrate, engines))
        save(engines[0], "Plate")
        for engine in engines:
            engine.dispose()


def test_a_clock_that_jumps_back_changes_no_order(empty_store: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    from datetime import UTC, datetime

    class Clock(datetime):
        years = iter((2030, 1999, 2026, 1980))

        @classmethod
        def now(cls, tz: object = None) -> datetime:
            return datetime(next(cls.years), 1, 1, tzinfo=UTC)

    monkeypatch.setattr(kitchen, "datetime", Clock)
    for turn in range(4):
        kitchen.save(empty_store, HERE, "recipe", title=f"Plate {turn}", body="{}", number=1 if turn else None)
    found = kitchen.revisions(empty_store, HERE, "recipe", 1)
    assert [one.title for one in found] == ["Plate 0", "Plate 1", "Plate 2", "Plate 3"]
    assert kitchen.get(empty_store, HERE, "recipe", 1).title == "Plate 3"
    assert [kitchen.get(empty_store, HERE, "recipe", 1, at=one.change) for one in found] == found
