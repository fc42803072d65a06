"""What is drawn is as large as its figure: bars and boxes, the axis, pans, arc and band of the beam, strips."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.web.conftest import CHOWDER, GAPS, Desk
from tests.web.test_figures import bars_are_right, figure_of, plain, tilt, variant

# The ratios of this list are known as spans, as the tables have no fibre of one of its foods.
SPANS = f"{CHOWDER}\nSalad:\n100 g lamb's lettuce"
LOADS = ("FAT", "PROCNT", "net_carbohydrate")


@pytest.mark.parametrize("width", [390, 320])
def test_bars_are_as_wide_as_their_figures_on_a_phone(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 844})
    desk.weigh(CHOWDER)
    bars_are_right(desk, CHOWDER)


@pytest.mark.parametrize("width", [1280, 390])
def test_a_box_of_what_is_not_known_is_as_wide_as_its_span(desk: Desk, width: int) -> None:
    """From its low bound to the high one, or 16 px at the axis where there is none; never narrower than that."""
    desk.page.set_viewport_size({"width": width, "height": 1000})
    desk.weigh(GAPS)
    answer, top = desk.preview(GAPS), float(desk.page.inner_text("#axis-ticks span:last-child"))
    spans = 0
    for line, brought in zip(answer["lines"], answer["ledger"]["lines"], strict=True):
        found = brought["net_carbohydrate"]
        if line["outcome"] == "not_food" or found["value"] is not None:
            continue
        low, high = (found["low"], found["high"]) if found["high"] else (0, 0)
        spans += high > 0
        track, left, wide = desk.page.locator(f'[data-line="{line["number"]}"] .bar__track').evaluate(
            """track => { const [all, box] = [track, track.querySelector('.bar__void')].map(one =>
                 one.getBoundingClientRect()); return [all.width, box.left - all.left, box.width]; }"""
        )
        assert left == pytest.approx(track * low / top, abs=0.5)
        assert wide == pytest.approx(max(16, track * (high - low) / top), abs=0.5)
    assert spans


@pytest.mark.parametrize("width", [1280, 390])
def test_the_axis_is_that_of_the_bars(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 1000})
    desk.weigh(CHOWDER)
    middle = """all => all.map(one => [one.textContent, one.getBoundingClientRect()])
      .map(([text, box]) => [text, box.x + box.width / 2])"""
    (nought, _), *ticks = desk.page.eval_on_selector_all("#axis-ticks span", middle)
    track = desk.page.locator(".bar__track").first.bounding_box()
    top = float(ticks[-1][0])
    assert (nought, len(ticks)) == ("0", 2)
    for text, x in ticks:
        assert x == pytest.approx(track["x"] + track["width"] * float(text) / top, abs=0.5)


def blocks(desk: Desk) -> list[float]:
    """Heights of what is solid on both pans: fat, protein, carbohydrate."""
    heights = "all => all.map(one => Number(one.getAttribute('height')))"
    return list(desk.page.eval_on_selector_all("#beam-drawing rect.block", heights))


def test_blocks_on_both_pans_share_one_scale(desk: Desk) -> None:
    """Also with that of the other way to serve it: what is plain stays as high when the toppings come upon it."""
    desk.weigh(CHOWDER)
    answer = desk.preview(CHOWDER)
    alone, topped = answer["per_serving"], variant(answer, "with everything")["per_serving"]
    known = [figure_of(alone, one)["known"] for one in LOADS]
    heights = blocks(desk)
    scale = heights[0] / known[0]
    assert heights == pytest.approx([scale * one for one in known], abs=0.5)
    desk.page.check("input[name=way][value='with everything']", force=True)
    assert blocks(desk) == pytest.approx(heights, abs=0.5)
    hatched = desk.page.eval_on_selector_all(
        "#beam-drawing rect.block--top", "all => all.map(one => Number(one.getAttribute('height')))"
    )
    added = [figure_of(topped, one)["known"] - amount for one, amount in zip(LOADS, known, strict=True)]
    assert hatched == pytest.approx([max(1, scale * one - 0.75) for one in added], abs=0.5)


def angles(desk: Desk, selector: str) -> list[list[float]]:
    """Degrees above the pivot's level of the first and last point of each path, as the pointer would stand there."""
    found = desk.page.eval_on_selector_all(
        f"#beam-drawing {selector}",
        """all => all.map(one => { const d = one.getAttribute('d').match(/-?[\\d.]+(?:e-?\\d+)?/g).map(Number);
             const pivot = document.querySelector('.beam__pivot');
             const [x, y] = ['cx', 'cy'].map(at => pivot.getAttribute(at));
             return [[d[0], d[1]], d.slice(-2)].map(([a, b]) => [x - a, b - y]); })""",
    )
    return [[math.degrees(math.atan2(y, x)) for x, y in points] for points in found]


@pytest.mark.parametrize("width", [1280, 390])
def test_marks_of_the_arc_stand_at_their_ratios_and_its_band_at_the_bounds(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 1000})
    desk.weigh(SPANS)
    marks = [tuple(map(float, text.split(":"))) for text in desk.page.locator(".beam__mark").all_text_contents()]
    assert marks == [(1, 2), (1, 1), (2, 1), (4, 1)]
    for (fat, rest), ends in zip(marks, angles(desk, ".beam__tick"), strict=True):
        assert ends == pytest.approx([tilt(fat / rest)] * 2, abs=0.05)
    ratio = desk.preview(SPANS)["per_serving"]["ketogenic_ratio"]["on_net"]
    assert ratio["low"] < ratio["high"]
    assert angles(desk, ".beam__band") == [pytest.approx([tilt(ratio["low"]), tilt(ratio["high"])], abs=0.05)]


def test_bars_of_the_ticket_are_shares_of_the_topped_total(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    answer = desk.preview(CHOWDER)
    alone, topped = answer["per_serving"], variant(answer, "with everything")["per_serving"]
    rows = ["ENERC_KCAL", "FAT", "PROCNT", "CHOCDF", "FIBTG", "net_carbohydrate"]
    widths = "all => all.map(bar => [bar, bar.firstChild].map(one => one.getBoundingClientRect().width))"
    drawn = desk.page.eval_on_selector_all("#ticket .split", widths)
    for tagname, (whole, solid) in zip(rows, drawn, strict=True):
        share = figure_of(alone, tagname)["known"] / figure_of(topped, tagname)["known"]
        assert solid == pytest.approx(min(whole * share, whole - 2), abs=0.5), tagname


def test_strips_of_energy_are_its_shares(desk: Desk) -> None:
    """In the order fat, protein, carbohydrate, 2 px apart; with numbers from 7 % up."""
    desk.weigh(CHOWDER)
    answer = desk.preview(CHOWDER)
    ways = [answer["per_serving"], variant(answer, "with everything")["per_serving"]]
    pieces = """all => all.map(bar => [bar.getBoundingClientRect().width, [...bar.children].map(one =>
      [one.className, one.getBoundingClientRect().width, one.textContent])])"""
    drawn = desk.page.eval_on_selector_all(".strip__bar", pieces)
    for way, (whole, parts) in zip(ways, drawn, strict=True):
        shares = way["energy_shares"]
        assert [name for name, _, _ in parts] == ["strip__FAT", "strip__PROCNT", "strip__CHOCDF"]
        for name, wide, text in parts:
            share = shares[name.removeprefix("strip__")]
            assert wide == pytest.approx((whole - 4) * share, abs=0.5), name
            assert (text != "") == (share > 0.07)
            assert not text or abs(int(text) - 100 * share) < 1


def test_bars_of_candidates_share_a_scale(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench: Any = desk.bench("leek")
    desk.until("[...document.querySelectorAll('.offer__value')].every(one => one.textContent !== '…')")
    offers = bench.locator(".offer").all()
    found = [desk.api("GET", f"/foods/{one.locator('input').get_attribute('value')}") for one in offers]
    values = [food["net_carbohydrate"]["value"] for food in found]
    assert len(values) > 1
    for offer, value in zip(offers, values, strict=True):
        whole, bar = (offer.locator(one).bounding_box()["width"] for one in (".offer__bar", ".offer__bar i"))
        assert bar == pytest.approx(max(2, whole * value / max(values)), abs=0.5)
        assert float(plain(offer.locator(".offer__value").inner_text())) == pytest.approx(value, abs=0.0501)
