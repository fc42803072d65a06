"""A writer's way from a pasted list to the printed card, timed and filmed as pictures.

    GRAMWRIGHT_WALK_PICTURES=some/folder pytest tests/web/test_walk.py

leaves the pictures and the seconds of each step there to be looked at.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from tests.web.conftest import GAPS, Desk

# Seconds that the machine may take for all steps together, with pictures; nobody types or thinks.
MOST_SECONDS = 60


class Film:
    """One picture a step, and how long the step took."""

    def __init__(self, desk: Desk, folder: Path) -> None:
        self.desk, self.folder, self.seconds = desk, folder, dict[str, float]()
        folder.mkdir(parents=True, exist_ok=True)

    @contextmanager
    def step(self, name: str) -> Iterator[Any]:
        start = time.monotonic()
        yield self.desk.page
        self.seconds[name] = round(time.monotonic() - start, 3)
        path = self.folder / f"{len(self.seconds):02}-{name}.png"
        self.desk.page.screenshot(path=path)
        assert path.stat().st_size > 5_000


@pytest.mark.parametrize("width", [1280, 390])
def test_from_paste_to_the_printed_card(desk: Desk, width: int, tmp_path: Path) -> None:
    desk.page.set_viewport_size({"width": width, "height": 900})
    film = Film(desk, Path(os.environ.get("GRAMWRIGHT_WALK_PICTURES", tmp_path)) / str(width))
    with film.step("empty"):
        pass
    with film.step("pasted") as page:
        page.focus("#list-text")
        page.keyboard.insert_text(GAPS)
    with film.step("weighed") as page:
        page.click("#weigh")
        desk.weighed()
    with film.step("line-to-look-at"):
        bench = desk.bench("barnacle powder")
        bench.scroll_into_view_if_needed()
    with film.step("entry-found") as page:
        bench.get_by_label("Search the tables").fill("flaxseed")
        page.locator(".offers .offer input").first.wait_for()
        bench.locator(".offer input").first.check()
        bench.get_by_label("Own weight").fill("14")
        desk.until("document.querySelector('.bench__result').textContent.includes('→')")
    with film.step("taken"):
        bench.get_by_role("button", name="Take it").click()
        desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    with film.step("left-out") as page:
        desk.bench("lamb's lettuce").get_by_role("button", name="Leave it out").click()
        desk.weighed()
        page.locator("del").first.scroll_into_view_if_needed()
    with film.step("topped") as page:
        page.check("input[name=way][value='with everything']", force=True)
        page.evaluate("scrollTo(0, 0)")
    with film.step("swap") as page:
        page.click("#way-add")
        page.fill("#way-name", "with yogurt")
        page.get_by_role("button", name="Swap a line for another").click()
        page.locator(".swap select").first.select_option("200 ml double cream")
        page.locator(".swap input[id$=-by]").fill("200 ml plain yogurt")
    with film.step("ways") as page:
        page.get_by_role("button", name="Add it").click()
        desk.weighed()
        page.evaluate("document.querySelector('#ways-room').scrollIntoView()")
    with film.step("saved") as page:
        page.click("#save")
        desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
        desk.settle()
        desk.until("[...document.querySelectorAll('.labels img')].every(one => one.complete)")
        page.evaluate("document.querySelector('#hand-out').scrollIntoView()")
    with film.step("labels") as page:
        page.evaluate("document.querySelector('.labels').scrollIntoView()")
    with film.step("printed") as page:
        page.emulate_media(media="print")
        (film.folder / "card.pdf").write_bytes(page.pdf(prefer_css_page_size=True))
    (film.folder / "seconds.json").write_text(json.dumps(film.seconds, indent=1))
    assert sum(film.seconds.values()) < MOST_SECONDS
    assert "barnacle" in desk.page.evaluate("document.querySelector('#card').shadowRoot.textContent")
    assert "lettuce" not in desk.page.evaluate(
        "document.querySelector('#card').shadowRoot.querySelector('.list').textContent"
    )
