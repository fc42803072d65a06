"""Every figure of the page is the API's, rounded as the card rounds it; what is not known is never 0."""

from __future__ import annotations

import math
import re
from typing import Any

import pytest

from service.core.figures import Ratio
from service.core.nutrients import Total
from service.publish.wording import amount_text, ratio_text
from tests.web.conftest import CHOWDER, GAPS, Desk

ROWS = {
    "Energy": "ENERC_KCAL", "Fat": "FAT", "Protein": "PROCNT", "Total carbohydrate": "CHOCDF", "Fibre": "FIBTG",
    "Net carbohydrate": "net_carbohydrate",
}  # fmt: skip
LISTS = {
    "chowder": CHOWDER,
    "gaps": GAPS,
    "one line": "250 g chicken thighs, skinless",
    "no amounts": "Quay tea\n\nServes 2\n\ntea\nlemon slices",
    "all fat": "3 tbsp olive oil\n100 g butter",
    "only salt": "1 tsp salt",
    "toppings only": "+ Toppings:\n20 g walnuts",
    "two of a kind": "10 g butter\n10 g butter\n\n+ More:\n10 g butter",
    "own measures": "Serves 3\n2 large eggs\n1 cup whole milk\n1 oz cheddar",
    "nothing known": "3 g barnacle powder\na knob of harbour mud",
}


def total(payload: Any) -> Total:
    return Total(
        "", payload["unit"], payload["value"], payload["known"], payload["low"], payload["high"],
        tuple(payload["unknown_in"]),
    )  # fmt: skip


def ratio(payload: Any) -> str:
    return ratio_text(Ratio(payload["value"], payload["low"], payload["high"], payload["remark"] or ""))


def figure_of(figures: Any, tagname: str) -> Any:
    return figures["net_carbohydrate"] if tagname == "net_carbohydrate" else figures["components"][tagname]


def plain(text: str) -> str:
    """A figure without thousands' commas, unit and the short form of "at least"."""
    text = text.replace("≥\xa0", "at least ").replace(",", "").replace("\xa0", " ")
    return re.sub(r"\s*(?:g|kcal)?\s*$", "", text).strip()


def ticket(desk: Desk) -> dict[str, list[str]]:
    """The rows of the ticket: the first line of each cell by the row's name."""
    script = """rows => rows.filter(row => row.querySelector('th[scope=row]')).map(row =>
        [row.querySelector('th').childNodes[0].textContent.trim(),
         ...[...row.querySelectorAll('td')].map(cell => cell.childNodes[0]?.textContent ?? '')])"""
    found: dict[str, list[str]] = {}
    for name, *cells in desk.page.eval_on_selector_all("#ticket tbody tr", script):
        found.setdefault(name, cells)
    return found


@pytest.mark.parametrize("text", LISTS.values(), ids=LISTS)
def test_the_ticket_says_what_the_api_says(desk: Desk, text: str) -> None:
    desk.weigh(text)
    answer, shown = desk.preview(text), ticket(desk)
    topped = next((one for one in answer["variants"] if one["name"] == "with everything"), None)
    for name, tagname in ROWS.items():
        cells = [plain(cell) for cell in shown[name]]
        assert cells[0] == plain(amount_text(total(figure_of(answer["per_serving"], tagname))))
        if topped is not None:
            assert cells[2] == plain(amount_text(total(figure_of(topped["per_serving"], tagname))))
    net = answer["per_serving"]["ketogenic_ratio"]["on_net"]
    said = {"none": "no protein or carbohydrate"}
    assert said.get(shown["Ketogenic ratio"][0], shown["Ketogenic ratio"][0]) == ratio(net).removesuffix(" : 1")


def test_toppings_never_seem_to_take_something_off(desk: Desk) -> None:
    """Walnuts: 13.71 g of carbohydrate in 100 g, 5.48 in 40 g; almonds: 6.47 g in 30 g (SR28 12155, 12061)."""
    desk.weigh("Serves 1\n40-160 g walnuts\n\n+ Top:\n30 g almonds\n1 tsp zorblax")
    assert [plain(cell) for cell in ticket(desk)["Total carbohydrate"]] == ["13.7", "at least 6.4", "more"]


def test_lower_bounds_add_up(desk: Desk) -> None:
    """5.48 g in 40 g of walnuts at least, 2.15 g in 10 to 30 g of almonds."""
    desk.weigh("Serves 1\n40-160 g walnuts\n1 tsp zorblax\n\n+ Top:\n10-30 g almonds")
    plain_one, added, whole = (plain(cell) for cell in ticket(desk)["Total carbohydrate"])
    assert (plain_one, added, whole) == ("at least 5.4", "+2.1–6.5", "at least 7.6")


@pytest.mark.parametrize("text", [CHOWDER, GAPS], ids=["known", "gaps"])
def test_the_stub_of_a_phone_says_what_the_api_says(desk: Desk, text: str) -> None:
    desk.page.set_viewport_size({"width": 390, "height": 844})
    desk.weigh(text)
    serving = desk.preview(text)["per_serving"]
    shown_net, shown_ratio = desk.page.locator("#stub b").all_inner_texts()
    assert plain(shown_net) == plain(amount_text(total(serving["net_carbohydrate"])))
    assert shown_ratio == ratio(serving["ketogenic_ratio"]["on_net"])


@pytest.mark.parametrize("component", ROWS.values(), ids=ROWS)
def test_lines_and_foot_say_what_the_api_says(desk: Desk, component: str) -> None:
    key = {"net_carbohydrate": "net", "ENERC_KCAL": "ENERC"}.get(component, component)
    desk.weigh(GAPS)
    desk.page.check(f"input[name=component][value={key}]", force=True)
    answer = desk.preview(GAPS)
    values = desk.page.eval_on_selector_all(
        ".row", "rows => rows.map(row => row.querySelector('.bar__value')?.lastChild.textContent ?? '')"
    )
    for line, brought, value in zip(answer["lines"], answer["ledger"]["lines"], values, strict=True):
        found = figure_of(brought, component)
        if line["outcome"] == "not_food":
            assert value == ""
        elif found["value"] is None:
            assert value == "not known" or " to " in value
            assert not re.match(r"0(?:\.0)? ", value) or " to " in value
        else:
            assert plain(value) == plain(amount_text(total(found)))
    foot = desk.page.inner_text("#ledger-foot .foot__sum b")
    assert plain(foot) == plain(amount_text(total(figure_of(answer["per_serving"], component))))
    covered = answer["coverage"]["lines"]
    assert desk.page.inner_text(".foot__words").startswith(f"{covered['counted']} of {covered['food']} lines")


def test_what_is_not_known_is_never_nought(desk: Desk) -> None:
    text = LISTS["nothing known"]
    assert {line["outcome"] for line in desk.preview(text)["lines"]} == {"no_match"}
    desk.weigh(text)
    for selector in (
        ".row__bar",
        ".row__grams",
        ".part__head",
        "#ledger-foot .foot__sum b",
        "#ledger-foot .foot__grams",
        "#ticket tbody",
    ):
        text = desk.page.inner_text(selector)
        assert not re.search(r"(?<![\d.])0(?:\.0)?(?![\d.])", text), (selector, text)
    assert "not known" in desk.page.inner_text("#ticket tbody")
    assert "At least" in desk.page.inner_text(".ticket__bound")


def tilt(value: float) -> float:
    """The rule: 12 degrees a doubling, stops at +27 and -14.85."""
    return max(-14.85, min(27.0, 12 * math.log2(value)))


@pytest.mark.parametrize(
    ("text", "drawn"),
    [(CHOWDER, True), (f"{CHOWDER}\nSalad:\n100 g lamb's lettuce", True), ("10 g butter\n1 leek", False)],
    ids=["ratios known", "ratios as spans", "one way to serve it"],
)
def test_the_other_way_to_serve_it_is_a_dotted_line_on_the_beam(desk: Desk, text: str, drawn: bool) -> None:
    """At its ratio, or half way between its bounds."""
    desk.weigh(text)
    ghost = desk.page.locator(".beam__ghost")
    assert ghost.count() == drawn
    if drawn:
        found = variant(desk.preview(text), "with everything")["per_serving"]["ketogenic_ratio"]["on_net"]
        (x0, y0), (x1, y1) = ghost.evaluate(
            """line => { const d = line.getAttribute('d').match(/-?[\\d.]+/g).map(Number);
                         return [[d[0], d[1]], [d[2], d[3]]]; }"""
        )
        bounds = (found["low"], found["high"]) if found["value"] is None else (found["value"],) * 2
        expected = (tilt(bounds[0]) + tilt(bounds[1])) / 2
        assert math.degrees(math.atan2(y1 - y0, x0 - x1)) == pytest.approx(expected, abs=0.05)


def variant(answer: Any, name: str) -> Any:
    return next(one for one in answer["variants"] if one["name"] == name)


@pytest.mark.parametrize("basis", ["net", "total"])
def test_the_beam_tilts_by_the_rule(desk: Desk, basis: str) -> None:
    desk.weigh(CHOWDER)
    desk.page.check(f"input[name=basis][value={basis}]", force=True)
    expected = desk.preview(CHOWDER)["per_serving"]["ketogenic_ratio"][f"on_{basis}"]["value"]
    shown = float(desk.page.get_attribute("#beam-drawing svg", "data-tilt"))
    assert shown == pytest.approx(tilt(expected), abs=0.01)
    (x0, y0), (x1, y1) = desk.page.evaluate(
        """() => { const d = document.querySelector('.beam__spar').getAttribute('d').match(/-?[\\d.]+/g).map(Number);
                   return [[d[0], d[1]], [d[2], d[3]]]; }"""
    )
    assert math.degrees(math.atan2(y0 - y1, x1 - x0)) == pytest.approx(tilt(expected), abs=0.05)


def test_bars_are_as_wide_as_their_figures(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bars_are_right(desk, CHOWDER)


def test_another_weighing_moves_the_bars_that_stand_there(desk: Desk) -> None:
    """Drawing them anew would cost most of the time that a change takes on a long list."""
    desk.weigh(CHOWDER)
    desk.page.evaluate("window.bars = [...document.querySelectorAll('.bar')]")
    desk.page.fill("#serves", "9")
    desk.page.keyboard.press("Tab")
    desk.until("document.querySelector('#said').textContent.startsWith('Serves 9')")
    assert desk.page.evaluate("window.bars.every(one => one.isConnected)")
    bars_are_right(desk, CHOWDER.replace("Serves 4", "Serves 9"))


def bars_are_right(desk: Desk, text: str) -> None:
    """Every bar and its words are the API's figure of net carbohydrate."""
    top = float(desk.page.inner_text("#axis-ticks span:last-child"))
    for number, brought in enumerate(desk.preview(text)["ledger"]["lines"], 1):
        found = brought["net_carbohydrate"]
        words = desk.page.locator(f'[data-line="{number}"] .bar__value').inner_text()
        assert plain(words.removeprefix("net carbohydrate").strip()) == plain(amount_text(total(found)))
        track, sure, soft, at = desk.page.evaluate(
            """number => { const row = document.querySelector(`[data-line="${number}"]`), box = one =>
                 row.querySelector(one).getBoundingClientRect(), track = box('.bar__track');
               return [track.width, box('.bar__sure').width, box('.bar__soft').right - track.left,
                       (box('.bar__at').left + box('.bar__at').right) / 2 - track.left]; }""",
            number,
        )
        assert sure == pytest.approx(max(2, track * found["low"] / top), abs=0.5)
        assert at == pytest.approx(track * found["value"] / top, abs=0.5)
        if found["high"] > found["low"]:
            assert soft == pytest.approx(track * found["high"] / top, abs=0.5)


def test_units_are_the_readers_choice(desk: Desk) -> None:
    desk.weigh("100 g butter")
    desk.page.select_option("#units", "oz kJ")
    found = desk.preview("100 g butter")["per_serving"]["components"]["ENERC_KJ"]["value"]
    assert plain(ticket(desk)["Energy"][0]) == f"{found:.0f}"
    assert desk.page.inner_text(".row__grams b") == "3.5"  # 100 g is 3.527 oz (NIST Handbook 44, appendix C)
    desk.page.reload()
    desk.weighed()
    assert desk.page.inner_text(".row__grams b") == "3.5"


def test_ounces_and_kilojoules_hold_on_the_bench_and_beside_it(desk: Desk) -> None:
    """1 oz = 28.349523125 g, so that 2 oz typed are 56.699 g sent."""
    desk.weigh(CHOWDER)
    desk.page.select_option("#units", "oz kJ")
    desk.page.check("input[name=component][value=ENERC]", force=True)
    bench = desk.bench("leek")
    assert all(" oz" in text for text in bench.locator(".measure b").all_inner_texts())
    desk.until("[...document.querySelectorAll('.offer__value')].every(one => one.textContent !== '…')")
    assert all(text.endswith(" kJ") for text in bench.locator(".offer__value").all_inner_texts())
    bench.get_by_label("Own weight").fill("2")
    desk.until("document.querySelector('.bench__result').textContent.includes('kJ')")
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    assert desk.page.locator(".row", has_text="leek").locator(".row__grams b").inner_text() == "2.0"
    assert "kJ" in desk.page.inner_text("#said")
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.startsWith('recipe:')")
    recipe = desk.page.inner_text("#standing").partition(",")[0]
    assert desk.api("GET", f"/recipes/{recipe}")["sections"][0]["lines"][1]["grams"] == 56.699
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "2"
    assert desk.page.locator(".ways td", has_text="kJ").count() == 2
    desk.page.locator("#makes summary").click()
    desk.page.get_by_label("Cooked weight, oz").fill("30")
    desk.page.keyboard.press("Tab")
    desk.until("document.querySelector('#said').textContent.startsWith('Weighed again')")
    desk.page.select_option("#units", "g kJ")
    assert desk.page.get_by_label("Cooked weight, g").input_value() == "850.486"


def test_a_change_of_another_recipe_says_what_is_known_of_it(desk: Desk) -> None:
    desk.settle()
    changed = {
        "title": "Dip plate", "before": {"ENERC_KCAL": None, "net_carbohydrate": 3.2},
        "before_bounds": {"ENERC_KCAL": {"low": 240.2, "high": None}, "net_carbohydrate": {"low": 3, "high": 4}},
        "after": {"ENERC_KCAL": None, "net_carbohydrate": None},
        "after_bounds": {"ENERC_KCAL": {"low": 680.9, "high": None}, "net_carbohydrate": {"low": 0, "high": 4}},
    }  # fmt: skip
    said = desk.page.evaluate("one => import('/page/js/saving.js').then(part => part.impact(one))", changed)
    assert said == "Dip plate (energy at least 240 kcal → at least 680 kcal, net carbohydrate 3.2 g → 0.0–4.0 g)"
    gone = {**changed, "after": None, "after_bounds": None}
    said = desk.page.evaluate("one => import('/page/js/saving.js').then(part => part.impact(one))", gone)
    assert said == "Dip plate (energy at least 240 kcal → not known, net carbohydrate 3.2 g → not known)"
