"""Two instances over one store: what one saves the other sees whole, in order, and in one state."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Engine

from service.core.errors import StoreError
from service.store import kitchen
from service.store.changes import latest_change
from service.store.engine import open_engine, quick_value, reading, writing
from service.store.write import replace_release
from service.wiring import Catalogue
from tests.harbour import HARBOUR, harbour

HERE = "lunch room"


@pytest.fixture
def two(empty_store: Engine) -> Iterator[tuple[Catalogue, Catalogue]]:
    """Two catalogues with connections of their own, as two instances have them."""
    replace_release(empty_store, harbour())
    url = empty_store.url.render_as_string(hide_password=False)
    found = tuple(Catalogue(open_engine(url), (HARBOUR, "pantry")) for _ in range(2))
    yield found[0], found[1]
    for catalogue in found:
        catalogue.engine.dispose()


def test_two_servers_save_into_one_store_without_gaps(two: tuple[Catalogue, Catalogue]) -> None:
    def write(catalogue: Catalogue) -> list[int]:
        return [kitchen.save(catalogue.engine, HERE, "recipe", title="Plate", body="{}").number for _ in range(20)]

    with ThreadPoolExecutor(2) as pool:
        numbers = [number for found in pool.map(write, two) for number in found]
    assert sorted(numbers) == list(range(1, 41))
    documents = kitchen.all_of(two[0].engine, HERE, "recipe")
    assert [one.change for one in documents] == list(range(1, 41)), "numbered in the order they are seen"
    assert documents == kitchen.all_of(two[1].engine, HERE, "recipe")


def test_a_change_is_never_seen_before_an_earlier_one(two: tuple[Catalogue, Catalogue]) -> None:
    """Else a book that was read at the later one would lack the earlier one for good."""
    begun, may_end = threading.Event(), threading.Event()
    table = kitchen._DOCUMENTS

    def slow() -> None:
        with writing(two[0].engine) as connection:
            values = {"kitchen": HERE, "kind": "recipe", "number": 1, "revision": 1, "saved": "", "latest": True,
                      "deleted": False, "title": "Slow", "folded": "slow", "body": "{}"}  # fmt: skip
            connection.execute(table.insert().values(**values))
            begun.set()
            may_end.wait(60)

    with ThreadPoolExecutor(2) as pool:
        first = pool.submit(slow)
        assert begun.wait(60)
        second = pool.submit(kitchen.save, two[1].engine, HERE, "recipe", title="Quick", body="{}")
        time.sleep(0.3)
        assert not second.done()
        assert latest_change(two[1].engine) == 0
        may_end.set()
        first.result()
        assert second.result().number == 2


def test_a_read_sees_one_state(two: tuple[Catalogue, Catalogue]) -> None:
    kitchen.save(two[0].engine, HERE, "recipe", title="Plate", body="{}")
    with reading(two[0].engine) as connection:

        def count() -> int:
            return int(connection.exec_driver_sql("SELECT count(*) FROM kitchen_document").scalar_one())

        assert count() == 1
        kitchen.save(two[1].engine, HERE, "recipe", title="Another", body="{}")
        assert count() == 1


def test_text_is_in_the_same_order_on_every_database(empty_store: Engine) -> None:
    for title in ("zander", "Äpfel", "apple", "_plate", "crème", "creme brulee", "Zucchini", "a b", "ab"):
        kitchen.save(empty_store, HERE, "recipe", title=title, body="{}")
    found = [one.title for one in kitchen.listing(empty_store, HERE, "recipe")]
    with reading(empty_store) as connection:
        folded = connection.exec_driver_sql("SELECT folded FROM kitchen_document ORDER BY folded").scalars().all()
    assert folded == sorted(folded)
    assert len(found) == 9
    searched = kitchen.listing(empty_store, HERE, "recipe", search="CREME")
    assert sorted(one.title for one in searched) == ["creme brulee", "crème"]


def test_a_bad_query_is_told_as_a_store_error(empty_store: Engine) -> None:
    with pytest.raises(StoreError, match="cannot be used"):
        quick_value(empty_store, "SELECT nothing FROM nowhere")
