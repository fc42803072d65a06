"""Laws of what is published: it parses, nothing breaks out of it, figures are the input's, unknown is said."""

from __future__ import annotations

import csv
import io
import json
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.core.errors import NotFoundError
from service.core.figures import Ratio
from service.core.nutrients import Total
from service.publish import (
    PAPERS,
    Publication,
    card_html,
    csv_text,
    description_text,
    eu_html,
    eu_svg,
    lines_csv_text,
    schema_org,
    schema_org_json,
    strip_svg,
    us_panel_html,
    us_panel_svg,
)
from service.publish.beam import tilt
from service.publish.card import SIZES, table_rows, type_size
from service.publish.strip import strip_texts
from service.publish.wording import amount_text, grams_text, ratio_text, whole_percents

Render = Callable[[Publication], str]
Publish = Callable[..., Publication]
PAGES: list[Render] = [us_panel_html, eu_html, card_html]
PICTURES: list[Render] = [us_panel_svg, eu_svg, strip_svg]
TEXTS: list[Render] = [description_text, csv_text, lines_csv_text, schema_org_json]
SVG = "{http://www.w3.org/2000/svg}"
# Elements without an end tag (HTML Living Standard, void elements).
VOID = {"meta", "br", "link", "img"}
SEPARATE = {"td", "th", "li", "p", "h1", "h2", "caption", "title", "span"}


def name_of(render: Render) -> str:
    return render.__name__


class Page(HTMLParser):
    """Elements as they nest; the text of each element that stands for one cell or sentence."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.open: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()
        assert not self.open
        self.texts = [text.strip() for text in self.texts]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in VOID:
            self.open.append(tag)
        if tag in SEPARATE:
            self.texts.append("")

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.texts and "style" not in self.open:
            self.texts[-1] += data


# ---- nothing breaks out ----------------------------------------------------------------------------------------

ALLOWED = {"html", "head", "meta", "title", "style", "body", "p", "h1", "h2", "small", "div", "ul", "li", "span",
           "svg", "path", "rect", "table", "caption", "strong", "thead", "tbody", "tfoot", "tr", "th",
           "td"}  # fmt: skip
SHAPES = {"desc", "svg", "title", "rect", "text"}


@pytest.mark.parametrize("render", PAGES, ids=name_of)
def test_hostile_text_stays_text_in_pages(hostile: Publication, render: Render) -> None:
    page = Page(render(hostile))
    assert set(page.tags) <= ALLOWED
    assert not [name for name, _ in page.attributes if name == "style" or name.startswith("on")]
    assert any("</script><script>alert(1)</script>" in text for text in page.texts)


@pytest.mark.parametrize("render", PAGES, ids=name_of)
def test_pages_load_and_run_nothing(hostile: Publication, render: Render) -> None:
    page = Page(render(hostile))
    assert ("content", "default-src 'none'; style-src 'unsafe-inline'") in page.attributes
    assert not {name for name, _ in page.attributes} & {"src", "href", "action"}
    assert "url(" not in render(hostile)
    assert "@import" not in render(hostile)


@pytest.mark.parametrize("render", PICTURES, ids=name_of)
def test_hostile_text_stays_text_in_pictures(hostile: Publication, render: Render) -> None:
    root = ET.fromstring(render(hostile))
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= SHAPES
    assert "alert(1)" in (root.findtext(f"{SVG}title") or "")


def test_json_ld_cannot_end_its_script(hostile: Publication) -> None:
    text = schema_org_json(hostile)
    assert not set("<>&\u2028\u2029") & set(text)
    assert "</script><script>alert(1)" in json.loads(text)["name"]
    page = Page(f'<html><script type="application/ld+json">{text}</script></html>')
    assert page.tags == ["html", "script"]


@pytest.mark.parametrize("render", [*PAGES, *PICTURES, *TEXTS], ids=name_of)
def test_everything_can_be_sent_as_utf_8(hostile: Publication, render: Render) -> None:
    assert render(hostile).encode()


@pytest.mark.parametrize("gap", [False, True], ids=["whole", "gap"])
@pytest.mark.parametrize("render", PICTURES, ids=name_of)
def test_no_text_of_a_picture_runs_into_another(published: Publish, render: Render, gap: bool) -> None:
    """Taking a character as 0.6 of its size wide, which is on the wide side."""
    root = ET.fromstring(render(published(gap=gap, title="A long title of a harbour-side plate " * 4, servings=2.35)))
    width = float(root.attrib["width"])
    lines: dict[str, list[tuple[float, float]]] = {}
    for element in root.iter(f"{SVG}text"):
        x, wide = float(element.attrib["x"]), len(element.text or "") * float(element.attrib["font-size"]) * 0.6
        start = x - wide if element.attrib["text-anchor"] == "end" else x
        lines.setdefault(element.attrib["y"], []).append((start, start + wide))
        assert start >= 0
        assert start + wide <= width
    for spans in lines.values():
        ordered = sorted(spans)
        assert all(end <= start for (_, end), (start, _) in pairwise(ordered))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=25)
@given(st.text(max_size=80))
def test_any_title_makes_well_formed_documents(published: Publish, title: str) -> None:
    found = published(title=title)
    for picture in PICTURES:
        ET.fromstring(picture(found))
    for page in PAGES:
        assert set(Page(page(found)).tags) <= ALLOWED


# ---- figures are those of the input ----------------------------------------------------------------------------


@pytest.mark.parametrize("everything", [False, True], ids=["plain", "everything"])
def test_the_us_panel_prints_every_row(published: Publish, everything: bool) -> None:
    found = published()
    panel = found.helping(everything=everything).us
    texts = Page(us_panel_html(found, everything=everything)).texts
    svg = [element.text for element in ET.fromstring(us_panel_svg(found, everything=everything)).iter(f"{SVG}text")]
    for row in panel.rows:
        place = texts.index(row.name)
        assert texts[place : place + 3] == [row.name, row.amount_text, row.daily_value_text]
        place = svg.index(row.name)
        assert svg[place + 1] == row.amount_text
    for text in (panel.servings, f"Serving size {panel.serving_size}"):
        assert text in texts
        assert text in svg
    assert any("Calculated from" in text and "not analysed" in text for text in texts)


def test_the_declaration_prints_every_row(published: Publish) -> None:
    found = published()
    texts = Page(eu_html(found)).texts
    svg = [element.text for element in ET.fromstring(eu_svg(found)).iter(f"{SVG}text")]
    for row in found.plain.eu.rows:
        name = f"of which {row.name}" if row.indent else row.name.capitalize().replace("kj", "kJ")
        assert row.per_100g is not None
        wanted = [name, row.per_100g.text, row.per_portion.text]
        for printed in (texts, svg):
            place = printed.index(name)
            assert printed[place : place + 3] == wanted


@pytest.mark.parametrize("render", [us_panel_html, us_panel_svg, eu_html, eu_svg], ids=name_of)
def test_net_carbohydrate_stands_in_no_panel(published: Publish, render: Render) -> None:
    assert "net carb" not in render(published()).lower()


@pytest.mark.parametrize("render", [us_panel_html, us_panel_svg, eu_html, eu_svg])
def test_a_panel_with_everything_needs_something_optional(published: Publish, render: Callable[..., str]) -> None:
    with pytest.raises(NotFoundError) as caught:
        render(published(toppings=False), everything=True)
    assert caught.value.pointer == "/everything"


def test_the_card_prints_lines_grams_and_figures(published: Publish) -> None:
    """Values worked by hand: 200 g of fish and 89 g of leek among four."""
    texts = Page(card_html(published())).texts
    assert texts[texts.index("200 g smoked haddock") + 1] == "200 g"
    assert texts[texts.index("Total carbohydrate") + 1] == "3.1 g"  # 14.15 x 0.89 / 4 = 3.148
    assert texts[texts.index("Net carbohydrate") + 1] == "2.7 g"  # (14.15 - 1.8) x 0.89 / 4 = 2.748
    assert texts.index("Total carbohydrate") < texts.index("Net carbohydrate")
    assert texts[texts.index("Fat") + 1 :][:2] == ["0.5 g", "10.3 g"]  # 0.547, and 65.2 x 0.6 / 4 more
    assert {"The Bollard Room", "Serves 4", "plain", "with everything"} <= set(texts)
    assert any("revision 3" in text and "28 November 2026" in text for text in texts)
    assert any("Invented tables, release 1" in text for text in texts)


def test_the_house_that_publishes_is_named_in_json_ld(published: Publish) -> None:
    """schema.org: a Recipe, as every CreativeWork, may have an author, a Person or an Organization."""
    found = published()
    assert schema_org(found)["author"] == {"@type": "Organization", "name": "The Bollard Room"}
    assert "author" not in schema_org(replace(found, house=" "))
    assert 'class="house"' not in card_html(replace(found, house=" "))


TILTS = {
    "1 : 1": (Ratio(1.0, 1.0, 1.0), 0), "2 : 1": (Ratio(2.0, 1.9, 2.1), 12), "4 : 1": (Ratio(4.0, 4.0, 4.0), 24),
    "1 : 2": (Ratio(0.5, 0.5, 0.5), -12), "at a stop": (Ratio(30.0, 29.0, 31.0), 27),
    "no fat": (Ratio(0.0, 0.0, 0.0), -14.85),
    "bounds alone": (Ratio(None, 1.0, 2.0), 6), "all fat": (Ratio(None, None, None, "no protein or carbohydrate"), 27),
    "not known": (Ratio(None, None, None), None),
}  # fmt: skip


@pytest.mark.parametrize(("ratio", "degrees"), TILTS.values(), ids=TILTS)
def test_a_beam_tilts_by_the_rule_of_the_page(ratio: Ratio, degrees: float | None) -> None:
    """12 degrees a doubling of fat against the rest, stops at +27 and -14.85."""
    assert tilt(ratio) == (degrees if degrees is None else pytest.approx(degrees))


def test_the_card_has_a_beam_for_each_way_to_serve_it(published: Publish) -> None:
    found = published()
    page = card_html(found)
    tilts = [float(angle) for angle in re.findall(r'data-tilt="([^"]+)"', page)]
    assert tilts == [pytest.approx(tilt(one.per_serving.ratio_on_net), abs=0.01) for one in found.helpings]
    for one in found.helpings:
        assert f'aria-label="Beam, {one.name}: {ratio_text(one.per_serving.ratio_on_net)}"' in page
    heights = [float(height) for height in re.findall(r'width="22" height="([^"]+)"', page)]
    fat, protein, *_ = heights
    plain = found.plain.per_serving
    assert protein / fat == pytest.approx(plain.total("PROCNT").known / plain.total("FAT").known, rel=0.01)
    assert 'class="beams"' not in card_html(published(gap=True, text="2 tbsp harbour weed"))


def test_the_strip_says_the_same_as_the_card(published: Publish) -> None:
    found = published()
    shown = [element.text for element in ET.fromstring(strip_svg(found)).iter(f"{SVG}text")]
    rows = dict(table_rows(found.helpings, found.units))
    for place, helping in enumerate(found.helpings):
        for name, text in strip_texts(helping, found.plain):
            assert text in shown
            if name in rows:
                assert rows[name][place] == text


def test_the_description_box_has_few_lines_and_every_figure(published: Publish) -> None:
    found = published()
    text = description_text(found)
    assert len(text.splitlines()) <= 7
    assert "total carbohydrate 3.1 g, fibre 0.4 g, net carbohydrate 2.7 g" in text
    assert "not analysed" in text
    assert text.index("total carbohydrate") < text.index("net carbohydrate")


# ---- unknown is said, never 0 ----------------------------------------------------------------------------------

ZERO = re.compile(r"\b0(?:\.0+)? ?(?:g|mg|kcal|kJ|mcg|%)")


@pytest.mark.parametrize("render", [*PAGES, *PICTURES, description_text], ids=name_of)
def test_a_gap_is_no_zero(published: Publish, render: Render) -> None:
    text = render(published(gap=True, text="2 tbsp harbour weed"))
    assert not ZERO.search(text)
    assert "at least" in text
    assert "not known" in text or render is description_text


@pytest.mark.parametrize("render", [*PAGES, us_panel_svg, description_text], ids=name_of)
def test_what_is_not_counted_is_named(published: Publish, render: Render) -> None:
    text = re.sub(r"</text>\s*<text[^>]*>", " ", render(published(gap=True, text="2 tbsp harbour weed")))
    assert "“2 tbsp harbour weed”" in text


def test_an_asterisk_leads_from_a_lower_bound_to_its_reason(published: Publish) -> None:
    texts = Page(card_html(published(gap=True, text="2 tbsp harbour weed"))).texts
    assert "A serving *" in texts
    assert any(text.startswith("* Not counted") for text in texts)
    assert all(text.endswith(" *") for text in texts if text.startswith("at least"))


def total(value: float | None, low: float = 0, high: float | None = None, known: float = 0, unit: str = "g") -> Total:
    return Total("FAT", unit, value, known, low, high)


AMOUNTS = [
    (total(0), "0 g"), (total(0.04), "under 0.1 g"), (total(0.05), "0.1 g"), (total(44.55), "44.6 g"),
    # The API sends 1008.5.
    (total(652.5, unit="kcal"), "653 kcal"), (total(1008.4998, unit="kcal"), "1009 kcal"),
    (total(0.4, unit="kcal"), "under 1 kcal"), (total(None), "not known"),
    (total(None, low=0.04, known=0.04), "not known"), (total(None, low=11.09, known=11.09), "at least 11.0 g"),
    # 20-60 g of nuts are 20 g at least, and 40 g by the middle.
    (total(None, low=7.24, known=13.76), "at least 7.2 g"),
    (total(None, low=11.04, high=11.86, known=11.1), "11.0–11.9 g"), (total(None, high=0.33), "0.0–0.4 g"),
]  # fmt: skip


@pytest.mark.parametrize(("given_total", "text"), AMOUNTS, ids=[text for _, text in AMOUNTS])
def test_amounts_in_words(given_total: Total, text: str) -> None:
    assert amount_text(given_total) == text


RATIOS = [
    (Ratio(0.745, 0.7, 0.8), "0.75 : 1"), (Ratio(None, None, None, "a component is not known in full"), "not known"),
    (Ratio(None, 0.7449, 0.7451, "x"), "0.74–0.75 : 1"),
    (Ratio(None, None, None, "no protein or carbohydrate"), "no protein or carbohydrate"),
]  # fmt: skip


@pytest.mark.parametrize(("ratio", "text"), RATIOS)
def test_ratios_in_words(ratio: Ratio, text: str) -> None:
    assert ratio_text(ratio) == text


@pytest.mark.parametrize(
    ("grams", "text"),
    [(None, ""), (0.2, "0.2 g"), (9.96, "10 g"), (201.19, "201 g"), (0.01, "under 0.1 g"), (0, "0 g")],
)
def test_grams_of_a_line(grams: float | None, text: str) -> None:
    assert grams_text(grams) == text


@given(st.lists(st.floats(0.01, 1000), min_size=1, max_size=4))
def test_percents_of_energy_add_up_to_100(parts: list[float]) -> None:
    shares = {str(place): part / sum(parts) for place, part in enumerate(parts)}
    percents = whole_percents(shares)
    assert sum(percents.values()) == 100
    assert all(abs(percents[name] - 100 * share) < 1 for name, share in shares.items())


# ---- the card fits its page ------------------------------------------------------------------------------------


@pytest.mark.parametrize("paper", list(PAPERS))
def test_more_to_print_means_smaller_type(published: Publish, paper: str) -> None:
    sizes = [type_size(published(lines=lines), paper) for lines in (2, 20, 40, 60, 90)]  # type: ignore[arg-type]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] == SIZES[0]
    assert sizes[2] >= 6
    marked = published(lines=40)
    first, *rest = marked.sections
    listed = tuple(replace(line, treatment="baked 25 min, not stirred in", eaten=0.9) for line in first.lines)
    marked = replace(marked, sections=(replace(first, lines=listed), *rest))
    assert type_size(marked, paper) < sizes[2]  # type: ignore[arg-type]
    assert f"size: {PAPERS[paper][0]}" in card_html(published(), paper=paper)  # type: ignore[arg-type, index]


# ---- CSV -------------------------------------------------------------------------------------------------------


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_csv_has_the_figures_to_six_digits(published: Publish) -> None:
    found = published()
    rows = {(row["served"], row["share"], row["component"]): row for row in rows_of(csv_text(found))}
    for helping in found.helpings:
        for one in (*helping.per_serving.components, helping.per_serving.net_carbohydrate):
            row = rows[helping.name, "serving", one.tagname]
            assert (float(row["value"]) if row["value"] else None) == pytest.approx(one.value, rel=1e-5)
            assert row["unit"] == one.unit
    assert ("plain", "100 g", "CHOCDF") in rows


def test_csv_leaves_unknown_empty(published: Publish) -> None:
    rows = rows_of(csv_text(published(gap=True)))
    assert all(row["value"] == "" and row["high"] == "" for row in rows)
    assert all(row["unknown_in"].split() == ["3"] for row in rows if row["component"] in ("CHOCDF", "FAT"))
    [line] = [row for row in rows_of(lines_csv_text(published(gap=True))) if row["counted"] == "no"]
    assert line["grams"] == ""


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "\n=cmd"]


@pytest.mark.parametrize("text", FORMULAS)
def test_csv_cells_are_no_formulas(published: Publish, text: str) -> None:
    found = published(title=text, text=text)
    assert rows_of(csv_text(found))[0]["recipe"] == f"'{text}"
    assert rows_of(lines_csv_text(found))[0]["line"] == f"'{text}"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=50)
@given(st.text(max_size=60).filter(lambda text: "\x00" not in text))
def test_csv_round_trip(published: Publish, text: str) -> None:
    """RFC 4180: lines end with CR LF, quotes are doubled; only the mark of what is no formula is added."""
    written = lines_csv_text(published(text=text))
    assert written.count("\r\n") >= 4
    assert rows_of(written)[0]["line"].removeprefix("'") == text.removeprefix("'")


# ---- schema.org ------------------------------------------------------------------------------------------------

# schema.org NutritionInformation: Energy and Mass are text of a number and a unit, with the units of the definitions.
UNIT_OF = {
    "calories": "calories", "carbohydrateContent": "g", "fatContent": "g", "fiberContent": "g", "proteinContent": "g",
    "saturatedFatContent": "g", "sugarContent": "g", "transFatContent": "g", "cholesterolContent": "mg",
    "sodiumContent": "mg",
}  # fmt: skip
# Properties of Recipe, NutritionInformation and Thing that are used, with the types they may have.
RECIPE_KEYS = {"identifier", "@context", "author", "@type", "name", "recipeYield", "recipeIngredient", "nutrition"}


def test_json_ld_has_the_types_of_schema_org(published: Publish) -> None:
    found = schema_org(published())
    assert set(found) == RECIPE_KEYS
    assert (found["@context"], found["@type"]) == ("https://schema.org", "Recipe")
    assert found["recipeIngredient"] == ["200 g smoked haddock", "1 leek", "60 g walnuts (optional)"]
    nutrition = found["nutrition"]
    assert isinstance(nutrition, dict)
    assert nutrition.pop("@type") == "NutritionInformation"
    assert nutrition.pop("servingSize") == "1 serving (72 g)"
    assert "Net carbohydrate 2.7 g" in nutrition.pop("description")
    assert set(nutrition) == set(UNIT_OF)
    for name, text in nutrition.items():
        assert re.fullmatch(rf"\d+(\.\d)? {UNIT_OF[name]}", text), name


def test_json_ld_carbohydrate_is_the_total(published: Publish) -> None:
    nutrition = schema_org(published())["nutrition"]
    assert isinstance(nutrition, dict)
    assert nutrition["carbohydrateContent"] == "3.1 g"


def test_json_ld_states_no_lower_bound_as_an_amount(published: Publish) -> None:
    nutrition = schema_org(published(gap=True))["nutrition"]
    assert isinstance(nutrition, dict)
    assert not set(nutrition) & set(UNIT_OF)
    assert "at least" in nutrition["description"]
    assert nutrition["servingSize"] == "1 serving"


def test_json_ld_is_the_same_as_text(published: Publish) -> None:
    assert json.loads(schema_org_json(published())) == schema_org(published())
