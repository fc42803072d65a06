"""The page of a running server in a real browser.

Without Playwright for Python or an installed Chromium or Chrome these tests are skipped with the reason, unless
GRAMWRIGHT_NEEDS_BROWSER is set, as it is in CI. No browser is downloaded.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.settings import Settings
from service.store.engine import database_file
from service.store.url import sqlite_url

ROOT = Path(__file__).parents[2]
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome")

CHOWDER = """Smoked fish chowder plate
Serves 4

Chowder:
40 g butter
1 leek, sliced
2 celery stalks, chopped
500 g smoked haddock, skinned
200 ml double cream

+ Toppings:
60 g walnuts, toasted
4 tbsp soured cream
"""
# No table has the powder, lamb's lettuce has no fibre value in SR28, the last line is two foods.
GAPS = f"""{CHOWDER}
Harbour salad:
100 g lamb's lettuce
2 tbsp barnacle powder
a dash of cream or milk
salt and pepper
Serve while it is hot.
"""

# Counts in `underway` what the page has asked for, read or put off for less than a second, and not yet done.
COUNT = """(() => {
  if ('underway' in window) return;
  window.underway = 0;
  const begin = () => {
    let left = 1;
    window.underway += 1;
    return () => { window.underway -= left; left = 0; };
  };
  const counted = (place, name) => {
    const act = place[name];
    place[name] = function (...all) {
      const end = begin(), made = act.apply(this, all);
      made.then(end, end);
      return made;
    };
  };
  counted(window, 'fetch');
  for (const name of ['blob', 'json', 'text']) counted(Response.prototype, name);
  const ends = new Map(), { setTimeout, clearTimeout, requestIdleCallback } = window;
  const done = id => { ends.get(id)?.(); ends.delete(id); };
  window.setTimeout = (act, ms = 0, ...all) => {
    const id = setTimeout(() => { try { act(...all); } finally { done(id); } }, ms);
    if (ms < 1000) ends.set(id, begin());
    return id;
  };
  window.clearTimeout = id => { done(id); clearTimeout(id); };
  window.requestIdleCallback = (act, options) => {
    const end = begin();
    return requestIdleCallback(left => { try { act(left); } finally { end(); } }, options);
  };
})()"""
# Two pictures later, whatever follows from what is done already is begun.
DRAWN = "new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"


def lacking(reason: str) -> None:
    """Skip, or fail where the browser's tests must run."""
    if os.environ.get("GRAMWRIGHT_NEEDS_BROWSER"):
        pytest.fail(f"GRAMWRIGHT_NEEDS_BROWSER is set, but {reason}")
    pytest.skip(reason)


@pytest.fixture(scope="package")
def browser() -> Iterator[Any]:
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        lacking("Playwright for Python is not installed")
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        lacking(f"none of {', '.join(BROWSERS)} is installed")
    with sync_playwright() as playwright:
        arguments = ["--no-sandbox", "--disable-background-networking"]
        opened = playwright.chromium.launch(executable_path=found, args=arguments)
        yield opened
        opened.close()


@contextmanager
def served(store: Path, folder: Path, *options: str, started: list[Any] | None = None, **more: str) -> Iterator[str]:
    """The address of a server over its own copy of a store; `more` are settings, `started` gets the process."""
    copy = folder / "page.sqlite3"
    if not copy.exists():
        shutil.copy(str(store), copy)
    environment = {**os.environ, "GRAMWRIGHT_DATABASE_URL": sqlite_url(copy), "PYTHONPATH": str(ROOT), **more}
    command = [sys.executable, "-m", "service", "serve", *(options or ("--port", "0"))]
    with subprocess.Popen(command, env=environment, stderr=subprocess.PIPE, text=True) as process:
        if started is not None:
            started.append(process)
        assert process.stderr
        said = process.stderr.readline()
        found = re.search(r"http://127\.0\.0\.1:\d+", said)
        assert found, said
        httpx.get(f"{found.group()}/readyz", timeout=60)
        yield found.group()
        process.send_signal(signal.SIGTERM)
        process.wait(20)


@pytest.fixture(scope="package")
def place(sr28_store: Settings, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a server over its own copy of the store."""
    with served(Path(str(database_file(sr28_store.database_url))), tmp_path_factory.mktemp("page_store")) as found:
        yield found


@dataclass(slots=True)
class Desk:
    """A page with short forms for what a writer does, and what the browser had to say about it."""

    page: Any
    place: str
    spoken: list[str] = field(default_factory=list)
    foreign: list[str] = field(default_factory=list)
    # Parts of console messages that a test brings about on purpose.
    expected: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        self.page.add_init_script(COUNT)

    def watch(self) -> None:
        self.page.set_default_timeout(60_000)
        self.page.on("console", lambda message: self.spoken.append(f"{message.type}: {message.text}"))
        self.page.on("pageerror", lambda error: self.spoken.append(f"error: {error}"))
        self.page.on("request", lambda request: self._follow(request.url))

    def _follow(self, url: str) -> None:
        if not url.startswith((self.place, "data:", "blob:")):
            self.foreign.append(url)

    def open(self, route: str = "") -> None:
        self.page.goto(f"{self.place}/{route}")
        self.page.wait_for_selector("#beam-drawing svg", state="attached")

    def weigh(self, text: str) -> None:
        """Type a list into an empty page and weigh it."""
        self.page.fill("#list-text", text)
        self.page.click("#weigh")
        self.weighed()

    def weighed(self) -> None:
        """Wait until the last answer is drawn; what a page shows before its first one is from memory."""
        self.settle()
        self.until("document.querySelector('#ticket table') && !document.querySelector('.bar--waiting')")
        self.until("document.querySelector('#ledger').getAttribute('aria-busy') === 'false'")
        self.settle()

    def settle(self) -> None:
        """Wait until nothing is asked for any more; the browser's own word for that is of the loading alone."""
        self.page.wait_for_load_state("networkidle")
        self.until(f"{DRAWN}.then(() => !window.underway)")

    def until(self, condition: str, seconds: float = 60) -> None:
        """Wait for an expression to hold; the page's content policy lets nothing be evaluated inside it."""
        end = time.monotonic() + seconds
        while not self.page.evaluate(condition):
            assert time.monotonic() < end, condition
            self.page.wait_for_timeout(20)

    def alone(self, own: int = 1) -> None:
        """Wait until no other tab holds anything: the browser lets go of it a moment after one is closed."""
        self.until(f"navigator.locks.query().then(({{ held, pending }}) => held.length + pending.length === {own})")

    def text_of(self, selector: str, part: str) -> None:
        """Wait until an element's text has a part."""
        self.until(f"(document.querySelector({json.dumps(selector)})?.textContent ?? '').includes({json.dumps(part)})")

    def line(self, text: str) -> Any:
        """The button of a line by its words."""
        return self.page.locator(".row__words", has_text=text)

    def bench(self, text: str) -> Any:
        self.line(text).focus()
        self.page.keyboard.press("Enter")
        bench = self.page.locator(".bench")
        bench.wait_for()
        self.settle()
        return bench

    def said(self) -> str:
        """What was announced last."""
        self.until("document.querySelector('#said').textContent !== ''")
        return str(self.page.inner_text("#said"))

    def focused(self) -> str:
        return str(self.page.evaluate("document.activeElement.id"))

    def api(self, method: str, path: str, **more: Any) -> Any:
        answer = httpx.request(method, f"{self.place}/v1{path}", timeout=60, **more)
        assert answer.status_code < 300, answer.text
        return answer.json() if answer.content else None

    def preview(self, text: str) -> Any:
        """What the API makes of the same text."""
        query = {"ledger": "true"}
        headers = {"Content-Type": "text/plain"}
        return self.api("POST", "/recipes/preview", params=query, headers=headers, content=text.encode())


def empty_kitchen(place: str) -> None:
    """Delete what a test saved; recipes go before what they use, the users of others first."""
    with httpx.Client(base_url=f"{place}/v1", timeout=60, headers={"If-Match": "*"}) as client:
        for path, name in (("recipes", "recipes"), ("choices", "choices"), ("own-foods", "own_foods")):
            found = sorted(client.get(f"/{path}?limit=100").json()[name], key=lambda one: -int(one["id"].split(":")[1]))
            for one in found + found:
                client.delete(f"/{path.removeprefix('own-')}/{one['id']}")


@pytest.fixture
def desk(browser: Any, place: str) -> Iterator[Desk]:
    """The page in a browser of its own; whatever the browser complained about fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 1000}, color_scheme="light")
    made = Desk(context.new_page(), place)
    made.watch()
    made.open()
    yield made
    for page in context.pages:
        # What a test leaves under way would come into the kitchen of the next one.
        with suppress(Exception):  # a page that is held up or about to go has nothing that comes
            Desk(page, place).until("!window.underway", seconds=5)
    context.close()
    empty_kitchen(place)
    assert not made.foreign
    assert [text for text in made.spoken if not any(part in text for part in made.expected)] == []
