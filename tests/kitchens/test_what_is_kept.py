"""What a worker keeps in memory of its kitchens has bounds, and what is asked for again is still there."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.core.analyse import Resolver
from service.core.errors import StoreError
from service.core.recipe import Recipe, RecipeLine, Section
from service.kitchens import book as book_module
from service.kitchens import shelf as shelf_module
from service.kitchens.forms import RecipeForm
from service.kitchens.shelf import Shelf
from service.store import kitchen as store
from service.store.engine import open_engine
from service.store.url import sqlite_url
from service.store.write import activate, add_release, migrate, replace_release
from service.wiring import Catalogue
from tests.harbour import FOODS, HARBOUR, changed, harbour


@pytest.fixture
def engine(tmp_path: Path) -> Iterator[Engine]:
    engine = open_engine(sqlite_url(tmp_path / "gramwright.sqlite3"))
    migrate(engine)
    replace_release(engine, harbour())
    yield engine
    engine.dispose()


@pytest.fixture
def shelf(engine: Engine) -> Shelf:
    return Shelf(Catalogue(engine, (HARBOUR,)))


def form(title: str, *lines: tuple[str, str]) -> RecipeForm:
    made = [{"text": text, "food": food} for text, food in lines]
    return RecipeForm.model_validate({"title": title, "sections": [{"lines": made}]})


def plate(*lines: RecipeLine) -> Recipe:
    return Recipe("Plate", (Section(lines),))


# ---- one book ------------------------------------------------------------------------------------------------------


def test_notes_on_what_is_eaten_have_a_bound(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    """One line whose share differs with each request."""
    monkeypatch.setattr(book_module, "MOST_LINES_KEPT", 20)
    book = shelf.book()
    for share in range(100):
        book.work(plate(RecipeLine("100 g kelp", food="harbour:1", share_eaten=share / 100)))
    assert len(book._noted) <= 20


def test_only_lines_of_saved_recipes_are_remembered_as_lost(shelf: Shelf, engine: Engine) -> None:
    """Who works out what is never saved leaves nothing behind."""
    saved = shelf.save_recipe(form("Toast", ("20 g butter", "harbour:3"))).document.food_id
    replace_release(engine, harbour("2026", {code: FOODS[code] for code in ("1", "2")}))
    shelf.catalogue.refresh()
    book = shelf.book()
    for grams in range(50):
        worked = book.work(plate(RecipeLine(f"{grams + 1} g butter", food="harbour:3")))
        assert worked.lines[0].outcome == "no_match"
    assert not book.lost
    book.work_saved(saved)
    assert list(book.lost) == [(saved, "20 g butter", "harbour:3")]


# ---- the books of a shelf ------------------------------------------------------------------------------------------


def test_the_book_not_asked_for_longest_goes_first(shelf: Shelf, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(shelf_module, "KEPT_BOOKS", 3)
    first = {kitchen: shelf.book(kitchen) for kitchen in ("quay", "pier", "buoy")}
    assert shelf.book("quay") is first["quay"]
    shelf.book("lighthouse")
    assert shelf.book("quay") is first["quay"], "it was asked for lately"
    assert shelf.book("pier") is not first["pier"]


def test_a_book_that_takes_the_place_of_its_own_throws_out_no_other(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shelf_module, "KEPT_BOOKS", 2)
    kept, old = shelf.book("quay"), shelf.book("pier")
    shelf.save_recipe(form("Broth", ("100 g kelp", "harbour:1")), "pier")
    assert shelf.book("pier") is not old
    assert shelf.book("quay") is kept


def past_changes(shelf: Shelf, engine: Engine, count: int) -> list[int]:
    """Changes as of each of which other releases answered, none of which answers now."""
    found = []
    for release in range(2026, 2026 + count):
        found.append(shelf.book().change)
        add_release(engine, [harbour(str(release), changed("1", FAT=release - 2020))])
        activate(engine, HARBOUR, str(release))
        shelf.catalogue.refresh()
    return found


def test_a_past_book_whose_tables_are_read_anew_throws_out_no_other(shelf: Shelf, engine: Engine) -> None:
    changes = past_changes(shelf, engine, 3)
    others = {kitchen: shelf.book(kitchen) for kitchen in ("quay", "pier")}
    for at in (*changes, *changes):
        shelf.book(at=at)
    assert all(shelf.book(kitchen) is book for kitchen, book in others.items())


def test_an_activation_lets_every_book_go(shelf: Shelf, engine: Engine) -> None:
    past_changes(shelf, engine, 1)
    shelf.book("quay"), shelf.book("pier")
    add_release(engine, [harbour("2029", changed("1", FAT=9))])
    activate(engine, HARBOUR, "2029")
    shelf.catalogue.refresh()
    shelf.book("quay")
    assert [kitchen for kitchen, _, _ in shelf._books] == ["quay"]


def test_who_compares_two_past_changes_has_tables_read_once_each(
    shelf: Shelf, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    changes, read = past_changes(shelf, engine, 3), list[object]()
    made: Callable[..., Resolver] = shelf.catalogue._resolver_over

    def counted(*given: object, **more: object) -> Resolver:
        read.append(given)
        return made(*given, **more)

    monkeypatch.setattr(shelf.catalogue, "_resolver_over", counted)
    for at in changes[:2] * 3:
        shelf.book(at=at)
    assert len(read) == 2
    shelf.book(at=changes[2]), shelf.book(at=changes[1])
    assert len(read) == 3, "the first one went"


def test_a_kitchen_that_others_never_leave_alone_is_not_read_for_ever(
    shelf: Shelf, monkeypatch: pytest.MonkeyPatch
) -> None:
    changes = iter(range(1, 1000))
    monkeypatch.setattr(shelf, "_stands", lambda *_: next(changes))
    with pytest.raises(StoreError, match="others kept saving"):
        shelf.book("quay")


# ---- who uses what -------------------------------------------------------------------------------------------------


def test_users_come_in_order_of_distance_each_once(
    shelf: Shelf, engine: Engine, monkeypatch: pytest.MonkeyPatch
) -> None:
    """recipe 1 is in 2 and 3, both of which are in 4, that too in 5, which has 1 as well."""
    monkeypatch.setattr(store, "MOST_ASKED", 1)
    for title, uses in (
        ("Broth", ["harbour:1"]), ("Soup", ["recipe:1"]), ("Bisque", ["recipe:1"]), ("Table", ["recipe:2", "recipe:3"]),
        ("Feast", ["recipe:4", "recipe:1"]),
    ):  # fmt: skip
        shelf.save_recipe(form(title, *(("100 g", food) for food in uses)))
    asked = list[object]()
    ask = store.users
    monkeypatch.setattr(store, "users", lambda *given: asked.append(given) or ask(*given))
    assert shelf.users("recipe:1") == ("recipe:3", "recipe:5", "recipe:2", "recipe:4")
    assert len(asked) == 3, "once for each distance, and once where nobody is left"
    assert shelf.users("harbour:1")[0] == "recipe:1"
    assert shelf.users("recipe:5") == ()
