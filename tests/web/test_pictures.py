"""The pictures of README.md, taken of the running page.

    GRAMWRIGHT_REWRITE_PICTURES=1 pytest tests/web/test_pictures.py

takes them anew; look at them before keeping them.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.web.conftest import GAPS, Desk

FOLDER = Path(__file__).parent / "pictures"
README = Path(__file__).parents[2] / "README.md"


def page(desk: Desk) -> None:
    desk.page.click("#example")
    desk.until("document.activeElement.id === 'weigh'")
    desk.page.keyboard.press("Enter")
    desk.weighed()
    desk.page.evaluate("document.activeElement.blur()")


def bench(desk: Desk) -> None:
    desk.weigh(GAPS)
    desk.bench("barnacle powder").get_by_label("Search the tables").fill("seeds flaxseed")
    desk.page.locator(".offer").first.wait_for()
    desk.until("[...document.querySelectorAll('.offer__value')].every(one => one.textContent !== '…')")


def phone(desk: Desk) -> None:
    desk.page.set_viewport_size({"width": 390, "height": 844})
    desk.weigh(GAPS)
    desk.page.evaluate("document.querySelector('.axis').scrollIntoView()")


PICTURES = {"page": page, "bench": bench, "phone": phone}


@pytest.mark.parametrize(("name", "prepare"), PICTURES.items(), ids=PICTURES)
def test_the_readme_shows_the_page(desk: Desk, name: str, prepare: Callable[[Desk], None]) -> None:
    prepare(desk)
    taken = desk.page.screenshot()
    if os.environ.get("GRAMWRIGHT_REWRITE_PICTURES"):
        FOLDER.mkdir(exist_ok=True)
        (FOLDER / f"{name}.png").write_bytes(taken)
    assert f"tests/web/pictures/{name}.png" in README.read_text(encoding="utf-8")
    assert (FOLDER / f"{name}.png").stat().st_size > 10_000
