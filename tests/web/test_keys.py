"""A kitchen that wants a key: the page asks once, keeps it until the tab is closed, and goes on."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from service.settings import Settings
from service.store.engine import database_file
from service.store.url import sqlite_url
from tests.web.conftest import CHOWDER, ROOT, Desk, served


@pytest.fixture(scope="module")
def kept(sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, str]]:
    """The address of a server that wants a key, and a key of a kitchen of its own."""
    folder = tmp_path_factory.mktemp("keyed")
    store = shutil.copy(str(database_file(sr28_store.database_url)), folder / "page.sqlite3")
    environment = {**os.environ, "GRAMWRIGHT_DATABASE_URL": sqlite_url(Path(store)), "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-m", "service", "key", "create", "quay", "--kitchen", "quay", "--scopes", "read,write"]
    made = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    key = next(word for word in made.stdout.split() if word.startswith("gramwright_"))
    with served(Path(store), folder, GRAMWRIGHT_ACCESS="keys") as place:
        yield place, key


@pytest.fixture
def desk(browser: Any, kept: tuple[str, str]) -> Iterator[Desk]:
    context = browser.new_context(viewport={"width": 1280, "height": 1000})
    made = Desk(context.new_page(), kept[0], expected=("401",))
    made.watch()
    made.open()
    yield made
    context.close()
    assert [text for text in made.spoken if "401" not in text] == []


def give(desk: Desk, key: str) -> None:
    desk.page.get_by_label("Access key").fill(key)
    desk.page.get_by_role("button", name="Use it").click()


def test_the_key_is_asked_for_once_and_everything_goes_on(desk: Desk, kept: tuple[str, str]) -> None:
    page = desk.page
    page.fill("#list-text", CHOWDER)
    page.click("#weigh")
    page.get_by_role("heading", name="This kitchen wants a key").wait_for()
    give(desk, "gramwright_aaaaaaaa_" + "a" * 32)
    desk.text_of(".access", "was not taken")
    give(desk, kept[1])
    desk.weighed()
    page.click("#save")
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    desk.until("[...document.querySelectorAll('.labels img')].every(one => one.naturalWidth > 100)")
    with page.expect_download() as download:
        page.get_by_role("link", name="Figures as CSV").click()
    assert b"CHOCDF" in download.value.path().read_bytes()
    page.reload()
    desk.weighed()
    assert page.locator(".access").count() == 0
    assert page.evaluate("Object.values(localStorage).every(text => !text.includes('gramwright_'))")
    assert kept[1] not in page.url
    page.click("#forget-key")
    page.fill("#serves", "2")
    page.keyboard.press("Tab")
    page.get_by_role("heading", name="This kitchen wants a key").wait_for()


def test_without_a_key_nothing_typed_is_lost(desk: Desk) -> None:
    desk.page.fill("#list-text", CHOWDER)
    desk.page.click("#weigh")
    desk.page.get_by_role("button", name="Not now").click()
    desk.until("!document.querySelector('#notice').hidden")
    assert desk.page.input_value("#list-text") == CHOWDER
