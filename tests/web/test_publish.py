"""What leaves the kitchen says the same as the page, and the card is one page of paper."""

from __future__ import annotations

import csv
import io
import re

import httpx
import pytest

from tests.web.conftest import CHOWDER, GAPS, Desk
from tests.web.test_figures import LISTS, plain, ticket, total

SERVED = {name: text for name, text in LISTS.items() if name not in ("nothing known", "toppings only")}


def save(desk: Desk) -> str:
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.startsWith('recipe:')")
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    desk.settle()
    return str(desk.page.inner_text("#standing")).partition(",")[0]


def fetched(desk: Desk, recipe: str, what: str) -> str:
    return httpx.get(f"{desk.place}/v1/recipes/{recipe}/{what}", timeout=60).text


def card_rows(desk: Desk) -> dict[str, list[str]]:
    """The rows of the card's table, without asterisks."""
    rows = desk.page.evaluate(
        """() => [...document.querySelector('#card').shadowRoot.querySelectorAll('tbody tr')].map(row =>
             [...row.children].map(cell => cell.textContent))"""
    )
    return {name: [plain(cell.removesuffix(" *")) for cell in cells] for name, *cells in rows}


@pytest.mark.parametrize("text", SERVED.values(), ids=SERVED)
def test_page_card_and_texts_agree(desk: Desk, text: str) -> None:
    desk.weigh(text)
    recipe = save(desk)
    shown, printed = ticket(desk), card_rows(desk)
    described = fetched(desk, recipe, "description")
    for name in ("Energy", "Fat", "Protein", "Total carbohydrate", "Fibre", "Net carbohydrate"):
        assert plain(shown[name][0]) == printed[name][0]
        if len(shown[name]) > 1:
            assert plain(shown[name][2]) == printed[name][1]
    assert printed["Net carbohydrate"][0].replace("at least ", "") in described.replace(",", "")


def test_csv_and_json_ld_agree_with_the_api(desk: Desk) -> None:
    desk.weigh(GAPS)
    recipe = save(desk)
    serving = desk.api("GET", f"/recipes/{recipe}/nutrition")["per_serving"]
    rows = list(csv.reader(io.StringIO(fetched(desk, recipe, "csv"))))
    text = "\n".join(",".join(row) for row in rows)
    fat = total(serving["components"]["FAT"])
    assert fat.value is None
    assert not any(row[0] == "FAT" and "0" in row[1:3] for row in rows)
    assert "FAT" in text
    assert '"Recipe"' in fetched(desk, recipe, "schema-org")


@pytest.mark.parametrize(("paper", "size"), [("a5", (419.5, 595.3)), ("half-letter", (396, 612))])
def test_the_card_is_one_page(desk: Desk, paper: str, size: tuple[float, float]) -> None:
    """A5 is 148 x 210 mm (ISO 216), half letter 5.5 x 8.5 in; sizes in points."""
    desk.weigh(GAPS)
    save(desk)
    desk.page.select_option("#hand-paper", paper)
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    document = desk.page.pdf(prefer_css_page_size=True)
    boxes = [tuple(map(float, found.split())) for found in re.findall(rb"/MediaBox ?\[([^\]]+)\]", document)]
    assert len(re.findall(rb"/Type ?/Page\b", document)) == 1
    assert boxes[0][2:] == pytest.approx(size, abs=1)


def test_pictures_and_copies(desk: Desk) -> None:
    desk.page.context.grant_permissions(["clipboard-read", "clipboard-write"])
    desk.weigh(CHOWDER)
    recipe = save(desk)
    desk.until("[...document.querySelectorAll('.labels img')].every(one => one.complete)")
    pictures = desk.page.eval_on_selector_all(".labels img", "all => all.map(one => one.naturalWidth)")
    assert len(pictures) == 3
    assert min(pictures) > 100
    desk.page.get_by_role("button", name="Copy JSON-LD").click()
    desk.text_of("#said", "JSON-LD copied")
    assert desk.page.evaluate("navigator.clipboard.readText()") == fetched(desk, recipe, "schema-org")
    with desk.page.expect_download() as download:
        desk.page.get_by_role("button", name="Strip as PNG").click()
    assert download.value.path().read_bytes().startswith(b"\x89PNG")


def test_a_changed_recipe_says_that_its_card_is_older(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    save(desk)
    desk.page.fill("#serves", "8")
    desk.page.keyboard.press("Tab")
    desk.text_of("#hand-out-body", "save first")
