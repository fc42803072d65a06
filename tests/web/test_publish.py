"""What leaves the kitchen says the same as the page, and the card is one page of paper."""

from __future__ import annotations

import base64
import csv
import html
import io
import json
import math
import re
import struct
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import httpx
import pytest

from tests.web.conftest import CHOWDER, GAPS, Desk
from tests.web.test_figures import LISTS, figure_of, plain, ticket

# Property of schema.org, tagname, step of the printed number.
LD = (("calories", "ENERC_KCAL", "1"), ("fatContent", "FAT", "0.1"), ("proteinContent", "PROCNT", "0.1"),
      ("carbohydrateContent", "CHOCDF", "0.1"), ("fiberContent", "FIBTG", "0.1"))  # fmt: skip


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


@pytest.mark.parametrize("text", LISTS.values(), ids=LISTS)
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


def strip_row(svg: str, row: str) -> list[str]:
    """The figures of a row of the strip, in the order total carbohydrate, fibre, net carbohydrate, ratio."""
    texts = [re.sub(r"<[^>]+>", "", one) for one in re.findall(r"<text[^>]*>.*?</text>", svg, re.DOTALL)]
    at = texts.index(row)
    return texts[at + 2 : at + 9 : 2]


def rounded(value: float, step: str) -> str:
    """Halves up, as a property of JSON-LD has it."""
    return format((Decimal(str(value)) / Decimal(step)).quantize(Decimal(1), ROUND_HALF_UP) * Decimal(step), "f")


@pytest.mark.parametrize("text", LISTS.values(), ids=LISTS)
def test_csv_json_ld_and_strip_agree_with_the_api(desk: Desk, text: str) -> None:
    desk.weigh(text)
    recipe = save(desk)
    answer = desk.api("GET", f"/recipes/{recipe}/nutrition")
    serving = answer["per_serving"]
    # CSV: every figure of the API, digit by digit of six.
    rows = list(csv.DictReader(io.StringIO(fetched(desk, recipe, "csv"))))
    of_csv = {row["component"]: row for row in rows if row["served"] == "plain" and row["share"] == "serving"}
    for tagname in ("ENERC_KCAL", "FAT", "PROCNT", "CHOCDF", "FIBTG", "net_carbohydrate"):
        found = figure_of(serving, tagname)
        for name in ("value", "low", "high"):
            cell = of_csv[tagname][name]
            assert (cell == "") == (found[name] is None), (tagname, name)
            if cell:
                assert float(cell) == pytest.approx(found[name], rel=2e-4, abs=5e-4), (tagname, name)
    # JSON-LD: a property where the figure is known in full, none otherwise.
    nutrition = json.loads(fetched(desk, recipe, "schema-org"))["nutrition"]
    for name, tagname, step in LD:
        value = figure_of(serving, tagname)["value"]
        assert (name in nutrition) == (value is not None), name
        if value is not None:
            assert float(nutrition[name].split()[0]) == pytest.approx(float(rounded(value, step)), abs=float(step))
    # The strip, and the ticket of the page.
    shown = ticket(desk)
    wanted = [plain(shown[name][0]) for name in ("Total carbohydrate", "Fibre", "Net carbohydrate")]
    figures = strip_row(fetched(desk, recipe, "strip"), "plain")
    assert [plain(one) for one in figures[:3]] == wanted
    assert figures[3].removesuffix(" : 1").replace("no protein or carbohydrate", "none") == shown["Ketogenic ratio"][0]


# How a label rounds, by tagname: amounts up to a bound are in steps; what is below the first step is 0 or "less than".
# 21 CFR 101.9(c)(1) to (9), vitamin D, calcium, iron and potassium by (c)(8)(iv).
_FATS, _GRAMS = ((5, 0.5), (math.inf, 1)), ((math.inf, 1),)
US_STEPS = {
    "ENERC_KCAL": ((50, 5), (math.inf, 10)), "FAT": _FATS, "FASAT": _FATS, "FATRN": _FATS, "CHOLE": ((math.inf, 5),),
    "NA": ((140, 5), (math.inf, 10)), "CHOCDF": _GRAMS, "FIBTG": _GRAMS, "SUGAR": _GRAMS, "SUGAD": _GRAMS,
    "PROCNT": _GRAMS, "VITD": ((math.inf, 0.1),), "CA": ((math.inf, 10),), "FE": ((math.inf, 0.1),),
    "K": ((math.inf, 10),),
}  # fmt: skip
# Guidance document on tolerances to Regulation (EU) 1169/2011 (2012), table 4; salt is sodium x 2.5 (Annex I).
_EU_GRAMS = ((0.5, 0.5), (10, 0.1), (math.inf, 1))
EU_STEPS = {
    "energy in kJ": ((math.inf, 1),), "energy in kcal": ((math.inf, 1),), "fat": _EU_GRAMS,
    "saturates": ((10, 0.1), (math.inf, 1)), "carbohydrate": _EU_GRAMS,
    "sugars": _EU_GRAMS, "polyols": _EU_GRAMS, "fibre": _EU_GRAMS, "protein": _EU_GRAMS,
    "salt": ((0.0125, 0.0125), (1, 0.01), (math.inf, 0.1)),
}  # fmt: skip


def is_rounded(text: str, found: Any, steps: tuple[tuple[float, float], ...], *, off: float = 0) -> bool:
    """Whether a label's text is this figure of the API, rounded; `off` is what else it may be off by."""
    number = re.search(r"[\d.]+", text)
    if found["value"] is None and re.match("at least|not known", text):
        least = found["low"]
        step = next(step for bound, step in steps if least < bound)
        if number is None:
            return text == "not known" and least < 2 * step + off
        return -off <= least - float(number.group()) < step + off
    if found["value"] is None:  # both of its bounds are printed alike
        bounds = (found["low"], found["high"])
        return None not in bounds and all(is_rounded(text, {"value": one}, steps, off=off) for one in bounds)
    value = found["value"]
    step = next(step for bound, step in steps if value < bound)
    if number is None:
        return False
    if re.match("less than|<", text):
        return value < float(number.group()) + off
    return abs(float(number.group()) - value) <= (step if number.group() == "0" else step / 2) * 1.0001 + off


def eu_figures(share: Any) -> dict[str, Any]:
    """The figures of a European declaration from those of the API: carbohydrate without fibre, salt of sodium."""
    of = share["components"]

    def worked(*terms: tuple[float, str]) -> dict[str, float | None]:
        known = all(of[tagname]["value"] is not None for _, tagname in terms)
        middle, least = (sum(factor * of[tagname][end] for factor, tagname in terms) for end in ("known", "low"))
        return {"value": middle if known else None, "known": max(0.0, middle), "low": max(0.0, least)}

    return {
        "fat": of["FAT"], "saturates": of["FASAT"], "sugars": of["SUGAR"], "polyols": of["POLYL"], "fibre": of["FIBTG"],
        "salt": worked((0.0025, "NA")), "carbohydrate": worked((1, "CHOCDF"), (-1, "FIBTG")), "protein": of["PROCNT"],
        # Annex XIV: fat 37 and 9, carbohydrate and protein 17 and 4, fibre 8 and 2.
        "energy in kJ": worked((37, "FAT"), (17, "PROCNT"), (17, "CHOCDF"), (-9, "FIBTG")),
        "energy in kcal": worked((9, "FAT"), (4, "PROCNT"), (4, "CHOCDF"), (-2, "FIBTG")),
    }  # fmt: skip


def figures_of_label(svg: str, rows: list[list[str]]) -> list[list[str]]:
    """What stands behind the name of each row in a label's picture, in the order of the rows."""
    texts = [html.unescape(re.sub(r"<[^>]+>", "", one)) for one in re.findall(r"<text[^>]*>.*?</text>", svg, re.DOTALL)]
    plain_texts = [text.casefold().removeprefix("of which ") for text in texts]
    found, at = [], 0
    for name, *cells in rows:
        at = plain_texts.index(name.casefold(), at)
        found.append(texts[at + 1 : at + 1 + len([cell for cell in cells if cell])])
    return found


@pytest.mark.parametrize("text", LISTS.values(), ids=LISTS)
def test_every_row_of_both_labels_is_the_apis_figure(desk: Desk, text: str) -> None:
    desk.weigh(text)
    recipe = save(desk)
    answer = desk.api("GET", f"/recipes/{recipe}/nutrition")
    labels = {rules: desk.api("GET", f"/recipes/{recipe}/panel?rules={rules}")["rows"] for rules in ("us", "eu")}
    assert [row["tagname"] for row in labels["us"]] == list(US_STEPS)
    for row in labels["us"]:
        found = answer["per_serving"]["components"][row["tagname"]]
        assert is_rounded(row["amount"], found, US_STEPS[row["tagname"]]), (row, found)
        assert row["state"] == next((one for one in ("at least", "not known") if one in row["amount"]), "known")
    for share, column in (("per_serving", "per_portion"), ("per_100g", "per_100g")):
        if answer[share] is None:
            assert {row[column] for row in labels["eu"]} == {None}
            continue
        wanted = eu_figures(answer[share])
        # Protein of a label is nitrogen x 6.25; the factors of foods are 5.18 to 6.38 (FAO, 1973), fibre may be none
        # where it is not known.
        protein = answer[share]["components"]["PROCNT"]["known"] * 0.21
        for row in labels["eu"]:
            off = {"protein": 1, "energy in kJ": 17, "energy in kcal": 4}.get(row["name"], 0) * protein
            unsure = answer[share]["components"]["FIBTG"]["value"] is None
            if unsure and row["name"] in ("carbohydrate", "energy in kJ", "energy in kcal"):
                assert row["state"] != "known" or wanted[row["name"]]["known"] == 0, row
                continue
            assert is_rounded(row[column], wanted[row["name"]], EU_STEPS[row["name"]], off=off), (
                row,
                wanted[row["name"]],
            )
    # The pictures of the page are those labels, row by row.
    for rules, columns in (("us", ("amount", "daily_value")), ("eu", ("per_100g", "per_portion"))):
        source = desk.page.get_attribute(f".labels img[src*='rules={rules}']", "src")
        svg = httpx.get(f"{desk.place}{source}", headers={"Accept": "image/svg+xml"}, timeout=60).text
        rows = [
            [row["name"], *(row[column] or ("" if rules == "us" else "not known") for column in columns)]
            for row in labels[rules]
        ]
        assert figures_of_label(svg, rows) == [[cell for cell in cells if cell] for _, *cells in rows]


def test_what_is_not_known_is_empty_in_csv_and_left_out_of_json_ld(desk: Desk) -> None:
    desk.weigh(GAPS)
    recipe = save(desk)
    rows = list(csv.DictReader(io.StringIO(fetched(desk, recipe, "csv"))))
    fat = next(row for row in rows if row["component"] == "FAT" and row["share"] == "serving")
    assert (fat["value"], fat["high"]) == ("", "")
    assert float(fat["known"]) > 0
    assert "fatContent" not in json.loads(fetched(desk, recipe, "schema-org"))["nutrition"]


@pytest.mark.parametrize("example", [True, False], ids=["the example", "gaps"])
@pytest.mark.parametrize(("paper", "size"), [("a5", (419.5, 595.3)), ("half-letter", (396, 612))])
def test_the_card_is_one_page(desk: Desk, paper: str, size: tuple[float, float], example: bool) -> None:
    """A5 is 148 x 210 mm (ISO 216), half letter 5.5 x 8.5 in; sizes in points."""
    if example:
        desk.page.click("#example")
        desk.until("document.activeElement.id === 'weigh'")
    desk.weigh(desk.page.input_value("#list-text") or GAPS)
    save(desk)
    desk.page.select_option("#hand-paper", paper)
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    document = desk.page.pdf(prefer_css_page_size=True)
    boxes = [tuple(map(float, found.split())) for found in re.findall(rb"/MediaBox ?\[([^\]]+)\]", document)]
    assert len(re.findall(rb"/Type ?/Page\b", document)) == 1
    assert boxes[0][2:] == pytest.approx(size, abs=1)


@pytest.mark.parametrize(("count", "least"), [(5, 0.7), (20, 0.8), (42, 0.8)])
@pytest.mark.parametrize(("paper", "wide", "high"), [("a5", 128, 190), ("half-letter", 119.7, 195.9)])
def test_the_card_fills_its_page(desk: Desk, paper: str, wide: float, high: float, count: int, least: float) -> None:
    """Print as large as it fits: mm inside margins of 10 mm."""
    foods = ("butter", "leek, sliced", "double cream")
    lines = "\n".join(f"{10 + place} g {foods[place % 3]}" for place in range(count))
    desk.weigh(f"Quay chowder\n\nServes 4\n\n{lines}")
    card = fetched(desk, save(desk), f"card?paper={paper}")
    sheet = desk.page.context.new_page()  # not under the policy of the page
    sheet.emulate_media(media="print")
    sheet.set_viewport_size({"width": round(wide / 25.4 * 96), "height": 100})
    sheet.set_content(card)
    filled = sheet.evaluate("document.body.getBoundingClientRect().height") * 25.4 / 96 / high
    assert least < filled <= 1


def test_paper_says_what_is_missing_where_there_is_no_card(desk: Desk) -> None:
    """Whoever prints a recipe that is not saved gets no empty sheet."""
    desk.weigh(CHOWDER)
    desk.page.emulate_media(media="print")
    assert desk.page.inner_text("body").strip().startswith("Save the recipe")
    assert len(re.findall(rb"/Type ?/Page\b", desk.page.pdf(prefer_css_page_size=True))) == 1


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


@pytest.mark.parametrize("wide", [1280, 1920, 3840])
def test_the_strip_as_png_is_the_picture_of_the_svg(desk: Desk, wide: int) -> None:
    """The size stands in the IHDR chunk (PNG specification, 11.2.1); its ground is the strip's, not empty."""
    desk.weigh(CHOWDER)
    recipe = save(desk)
    svg = fetched(desk, recipe, "strip")
    width, height = (float(re.search(rf'<svg[^>]* {name}="([\d.]+)', svg).group(1)) for name in ("width", "height"))  # type: ignore[union-attr]
    desk.page.select_option("#png-wide", str(wide))
    with desk.page.expect_download() as download:
        desk.page.get_by_role("button", name="Strip as PNG").click()
    taken = download.value.path().read_bytes()
    assert taken.startswith(b"\x89PNG")
    assert struct.unpack(">II", taken[16:24]) == (wide, round(wide * height / width))
    pixels = desk.page.evaluate(
        """async data => { const image = new Image();
             image.src = `data:image/png;base64,${data}`;
             await image.decode();
             const canvas = document.createElement('canvas');
             const pen = canvas.getContext('2d', { willReadFrequently: true });
             [canvas.width, canvas.height] = [image.width, image.height];
             pen.drawImage(image, 0, 0);
             const all = new Uint32Array(pen.getImageData(0, 0, image.width, image.height).data.buffer);
             return [[...pen.getImageData(2, 2, 1, 1).data], new Set(all).size]; }""",
        base64.b64encode(taken).decode(),
    )
    assert pixels[0] == [0x12, 0x3C, 0x47, 255]
    assert pixels[1] > 50  # letters with their soft edges


def test_card_and_description_are_in_the_readers_units(desk: Desk) -> None:
    """100 g is 3.5 oz (1 oz = 28.349523125 g, NIST Handbook 44, appendix C); labels keep their own units."""
    desk.weigh("Plate\n\n100 g butter")
    recipe = save(desk)
    found = desk.api("GET", f"/recipes/{recipe}/nutrition")["per_serving"]["components"]["ENERC_KJ"]["value"]
    desk.page.select_option("#units", "oz kJ")
    desk.until("document.querySelector('#card')?.shadowRoot?.textContent.includes(' oz')")
    card = desk.page.evaluate("document.querySelector('#card').shadowRoot.querySelector('.list').textContent")
    assert card.strip().endswith("3.5 oz")
    assert card_rows(desk)["Energy"] == [f"{found:.0f} kJ"]
    desk.text_of("#description", f"energy {found:.0f} kJ")
    assert "kJ" not in fetched(desk, recipe, "description")


def test_a_changed_recipe_says_that_its_card_is_older(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    save(desk)
    desk.page.fill("#serves", "8")
    desk.page.keyboard.press("Tab")
    desk.text_of("#hand-out-body", "save first")


def test_what_is_not_known_in_full_says_so_wherever_it_is_published(desk: Desk) -> None:
    """A line without an entry, one without a weight and one without a value of fibre, in every output."""
    desk.weigh(GAPS)
    recipe = save(desk)
    card = desk.page.evaluate("document.querySelector('#card').shadowRoot.textContent")
    labels = [
        httpx.get(f"{desk.place}/v1/recipes/{recipe}/panel?rules={rules}", headers={"Accept": "image/svg+xml"}).text
        for rules in ("us", "eu")
    ]
    linked = json.loads(fetched(desk, recipe, "schema-org"))["nutrition"]["description"]
    described, strip = fetched(desk, recipe, "description"), fetched(desk, recipe, "strip")
    for text in (card, *labels, described, strip):
        assert "at least" in text
    for text in (card, *labels, described, linked):
        said = re.sub(r"</text>\s*<text[^>]*>", " ", html.unescape(text))
        assert "barnacle powder" in said
        assert "salt and pepper" in said
    rows = list(csv.DictReader(io.StringIO(fetched(desk, recipe, "csv"))))
    assert all(row["unknown_in"] for row in rows if row["share"] == "serving" and row["unit"] and not row["value"])


def test_the_card_and_json_ld_name_the_house_that_publishes(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    recipe = save(desk)
    house = "desk & harbour"
    desk.page.fill("#hand-house", house)
    desk.page.press("#hand-house", "Tab")
    desk.until(f"document.querySelector('#card').shadowRoot?.querySelector('.house')?.textContent === '{house}'")
    links = desk.page.eval_on_selector_all("#hand-out-body a", "all => all.map(one => one.href)")
    named = [link for link in links if "house=" in link]
    assert {link.split("?")[0].rsplit("/", 1)[1] for link in named} == {"card", "schema-org"}
    found = httpx.get(next(link for link in named if "schema-org" in link), timeout=60).json()
    assert found["author"] == {"@type": "Organization", "name": house}
    assert recipe in found["identifier"]
    desk.page.reload()
    desk.until(f"document.querySelector('#hand-house')?.value === '{house}'")


def test_a_way_of_another_recipe_is_not_asked_for(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    plain_one = save(desk)
    desk.page.click("#new")
    desk.weigh("Eggs plate\nServes 2\n\n2 eggs\n")
    desk.page.click("#way-add")
    desk.page.fill("#way-name", "light")
    desk.page.get_by_role("button", name="Add it").click()
    desk.text_of("#said", "light is a way to serve it")
    save(desk)
    desk.page.select_option("#hand-way", "light")
    desk.settle()
    desk.page.evaluate(f"location.hash = '#/recipe/{plain_one.removeprefix('recipe:')}'")
    desk.text_of("#recipe-name", "Smoked")
    desk.settle()
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    assert desk.page.input_value("#hand-way") == ""
    assert "Smoked fish chowder plate" in desk.page.inner_text("#description")
