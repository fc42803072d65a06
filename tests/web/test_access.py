"""The page for everybody: WCAG 2.2 AA by axe-core, narrow screens, forced colours, still pictures."""

from __future__ import annotations

import re
import shutil
import subprocess
import tarfile
from collections.abc import Callable

import pytest

from tests.web.conftest import GAPS, Desk, lacking

AXE = "axe-core@4.10.3"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
WIDTHS = (1280, 820, 390, 320)


@pytest.fixture(scope="package")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The rules as a script, from npm."""
    if shutil.which("npm") is None:
        lacking("npm is not installed, so axe-core cannot be fetched")
    folder = tmp_path_factory.mktemp("axe")
    packed = subprocess.run(["npm", "pack", AXE], cwd=folder, capture_output=True, text=True, timeout=120, check=False)
    if packed.returncode:
        lacking(f"npm could not fetch {AXE}")
    with tarfile.open(folder / packed.stdout.strip().splitlines()[-1]) as archive:
        archive.extractall(folder, filter="data")
    return (folder / "package" / "axe.min.js").read_text(encoding="utf-8")


def empty(desk: Desk) -> None:
    desk.open()


def ready(desk: Desk) -> None:
    desk.weigh(GAPS)


def bench(desk: Desk) -> None:
    ready(desk)
    opened = desk.bench("barnacle powder")
    opened.get_by_label("Search the tables").fill("cream")
    opened.locator(".offer").first.wait_for()
    opened.get_by_role("button", name="Enter an own food").click()
    desk.settle()


def topped(desk: Desk) -> None:
    ready(desk)
    desk.page.check("input[name=way][value='with everything']", force=True)


def saved(desk: Desk) -> None:
    ready(desk)
    desk.page.click("#save")
    desk.until("document.querySelector('#card')?.shadowRoot?.querySelector('table')")
    desk.page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    desk.settle()


def loading(desk: Desk) -> None:
    desk.page.route("**/v1/recipes/preview*", lambda route: None)
    desk.page.fill("#list-text", GAPS)
    desk.page.click("#weigh")
    desk.page.wait_for_selector("progress")


def refused(desk: Desk) -> None:
    desk.page.fill("#list-text", f"{GAPS}\n{'x' * 1500}")
    desk.page.click("#weigh")
    desk.page.wait_for_selector("#notice[role=alert]")


def offline(desk: Desk) -> None:
    desk.expected = ("net::ERR", "Failed to load resource")
    ready(desk)
    desk.page.context.set_offline(True)
    desk.page.fill("#serves", "3")
    desk.page.keyboard.press("Tab")
    desk.text_of("#notice", "No answer")


def left_out(desk: Desk) -> None:
    ready(desk)
    desk.bench("walnuts").get_by_role("button", name="Leave it out").click()
    desk.until("document.querySelector('del')")
    desk.settle()


def serving(desk: Desk) -> None:
    ready(desk)
    for name in ("with yogurt", "another"):
        desk.page.click("#way-add")
        desk.page.fill("#way-name", name)
        desk.page.get_by_role("button", name="Swap a line for another").click()
        desk.page.locator(".swap input[id$=-by]").fill("200 ml plain yogurt")
        if name != "another":
            desk.page.get_by_role("button", name="Add it").click()
            desk.text_of("#ways-table", name)
            desk.settle()


def keyed(desk: Desk) -> None:
    desk.expected = ("401",)
    refused = {"status": 401, "body": "{}", "content_type": "application/problem+json"}
    desk.page.route("**/v1/**", lambda route: route.fulfill(**refused))
    desk.page.fill("#list-text", GAPS)
    desk.page.click("#weigh")
    desk.page.get_by_label("Access key").wait_for()


def long(desk: Desk) -> None:
    desk.weigh(long_list(60))


def parts(desk: Desk) -> None:
    """The bench of a line of several foods, beside a section under change and the list as text."""
    ready(desk)
    desk.bench("salt and pepper")
    desk.page.get_by_role("button", name="Change section Chowder").click()
    desk.page.click("#as-text")


def ounces(desk: Desk) -> None:
    desk.page.select_option("#units", "oz kJ")
    ready(desk)
    opened = desk.bench("leek")
    opened.get_by_label("Own weight").fill("2")
    desk.until("document.querySelector('.bench__result b')")


def busy(desk: Desk) -> None:
    desk.expected = ("Failed to load resource",)
    ready(desk)
    refusal = {"status": 429, "body": "{}", "headers": {"Retry-After": "99"}}
    desk.page.route("**/v1/recipes/preview*", lambda route: route.fulfill(**refusal))
    desk.page.fill("#serves", "3")
    desk.page.keyboard.press("Tab")
    desk.text_of("#notice", "Too many requests")


def elsewhere(desk: Desk) -> None:
    desk.expected = ("412",)
    ready(desk)
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.startsWith('recipe:')")
    recipe = desk.page.inner_text("#standing").partition(",")[0]
    body = desk.api("GET", f"/recipes/{recipe}")
    kept = {name: value for name, value in body.items() if name not in ("id", "revision", "saved")}
    desk.api("PUT", f"/recipes/{recipe}", json={**kept, "servings": 9}, headers={"If-Match": '"1"'})
    desk.page.fill("#serves", "3")
    desk.page.keyboard.press("Tab")
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    desk.page.click("#save")
    desk.text_of("#notice", "Changed elsewhere")


def revised(desk: Desk) -> None:
    """Saved recipes with their revisions, and one that was put aside."""
    ready(desk)
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.startsWith('recipe:')")
    desk.page.fill("#serves", "3")
    desk.page.keyboard.press("Tab")
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    desk.page.click("#new")
    room("recipes")(desk)
    desk.page.get_by_role("button", name="Revisions").click()
    desk.page.locator(".revisions > li").first.wait_for()


def labelled(desk: Desk) -> None:
    """An own food under change."""
    desk.api("POST", "/foods", json={"description": "Quay rusk", "components": {"ENERC_KCAL": 400}})
    room("foods")(desk)
    desk.page.get_by_role("button", name="Change Quay rusk").click()


def ruled(desk: Desk) -> None:
    """A standing choice, and another being made."""
    desk.api("POST", "/choices", json={"phrase": "quay spread", "food": "sr28:01001"})
    room("choices")(desk)
    desk.page.get_by_label("take this food").fill("butter")
    desk.page.locator(".offers label").first.wait_for()


def missing(desk: Desk) -> None:
    """A room that the service cannot fill."""
    desk.expected = ("Failed to load resource",)
    desk.page.route("**/v1/datasets*", lambda route: route.fulfill(status=500, body="{}"))
    desk.open("#/releases")
    desk.page.locator("#room [role=alert]").wait_for()


def room(name: str) -> Callable[[Desk], None]:
    def opened(desk: Desk) -> None:
        desk.open(f"#/{name}")
        desk.page.locator("#room h1").wait_for()
        desk.settle()

    return opened


STATES = {
    "empty": empty, "ready": ready, "bench": bench, "topped": topped, "saved": saved, "loading": loading,
    "left out": left_out, "serving": serving, "keyed": keyed, "refused": refused, "offline": offline, "long": long,
    "parts": parts, "ounces": ounces, "busy": busy, "elsewhere": elsewhere, "revised": revised, "labelled": labelled,
    "ruled": ruled, "missing": missing, "recipes": room("recipes"), "choices": room("choices"), "foods": room("foods"),
    "releases": room("releases"),
}  # fmt: skip


def long_list(lines: int) -> str:
    """A list of so many lines in sections of ten."""
    kinds = ["100 g butter", "1 leek, sliced", "2 celery stalks", "200 ml double cream", "3 tbsp olive oil"]
    kinds += ["60 g walnuts", "2 large eggs", "500 g haddock", "half a cucumber", "1 tsp salt"]
    parts = [f"Pot {at // 10 + 1}:\n" + "\n".join(kinds) for at in range(0, lines, 10)]
    return "A long list\nServes 40\n\n" + "\n\n".join(parts)


def violations(desk: Desk, scrolled: int) -> set[tuple[str, str]]:
    """Rules that are broken, each with an element at fault."""
    desk.page.evaluate("top => scrollTo(0, top)", scrolled)
    desk.page.wait_for_timeout(60)
    found = desk.page.evaluate(
        """rules => axe.run(document, { runOnly: rules }).then(result => result.violations.flatMap(one =>
             one.nodes.map(node => [one.id, node.html.slice(0, 200)])))""",
        RULES,
    )
    return {(rule, element) for rule, element in found}


@pytest.mark.parametrize("state", STATES.values(), ids=STATES)
def test_no_rule_of_wcag_is_broken(desk: Desk, axe: str, state: Callable[[Desk], None]) -> None:
    state(desk)
    assert not re.search(r"\b(?:null|undefined|NaN|Invalid Date)\b|\[object", desk.page.inner_text("body"))
    desk.page.evaluate(axe)
    broken = []
    for light in ("light", "dark"):
        desk.page.emulate_media(color_scheme=light)
        for width in WIDTHS:
            desk.page.set_viewport_size({"width": width, "height": 1000})
            # What the sticky foot of a phone half covers is small at one place of the scroll only.
            found = violations(desk, 0)
            broken += [(light, width, *one) for one in (found and found & violations(desk, 97))]
            assert desk.page.evaluate("document.documentElement.scrollWidth <= innerWidth"), width
    assert broken == []


@pytest.mark.parametrize("width", [1280, 390])
def test_parts_of_a_line_stay_beside_the_board(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 1000})
    desk.weigh("1/2 lemon, juice and zest of it, and some more words\nsalt and pepper")
    boxes = """row => [...row.querySelectorAll('.row__parts li *')].map(one => one.getBoundingClientRect().right)
                 .concat(row.querySelector('.row__grams').getBoundingClientRect().left)"""
    for row in desk.page.locator(".row:has(.row__parts)").all():
        *rights, board = row.evaluate(boxes)
        assert max(rights) <= board
        parts, grams = (row.locator(one).bounding_box() for one in (".row__parts", ".row__grams"))
        assert grams["y"] + grams["height"] >= parts["y"] + parts["height"] - 1


@pytest.mark.parametrize("width", [1280, 390, 320])
def test_a_heavy_list_keeps_its_weight_on_the_board(desk: Desk, width: int) -> None:
    """With its margin to the right, in any face."""
    desk.page.set_viewport_size({"width": width, "height": 1000})
    desk.weigh("12345 g butter")
    right = "one => one.getBoundingClientRect().right"
    board = desk.page.locator("#ledger-foot .foot__grams")
    assert board.evaluate(right) - board.locator("b").evaluate(right) >= 12
    assert desk.page.evaluate("document.documentElement.scrollWidth <= innerWidth")


def test_marks_bars_and_gaps_differ_in_forced_colours(desk: Desk) -> None:
    desk.weigh(GAPS)
    desk.page.emulate_media(forced_colors="active")
    bar, void = desk.page.evaluate(
        """() => ['.bar__sure', '.bar__void'].map(name => { const style = getComputedStyle(
             [...document.querySelectorAll(name)].find(one => one.getBoundingClientRect().width > 3));
           return [style.backgroundColor, style.borderLeftStyle, style.borderTopStyle]; })"""
    )
    assert bar[0] not in ("rgb(255, 255, 255)", "rgba(0, 0, 0, 0)")
    assert void[2] == "dashed"
    desk.page.check("input[name=way][value='with everything']", force=True)
    plain, topping = desk.page.evaluate(
        """() => ['.bar:not(.bar--topping) > .bar__track > .bar__sure', '.bar--topping .bar__sure'].map(name =>
             getComputedStyle(document.querySelector(name)).backgroundImage)"""
    )
    assert plain == "none"
    assert "repeating-linear-gradient" in topping
    marks = desk.page.eval_on_selector_all(
        ".row .mark path:first-child", "all => all.map(one => one.getAttribute('d'))"
    )
    assert len(set(marks)) >= 4


def test_nothing_moves_for_those_who_ask_for_that(desk: Desk) -> None:
    desk.page.emulate_media(reduced_motion="reduce")
    loading(desk)
    assert desk.page.evaluate("document.getAnimations().length") == 0


def test_right_to_left_lines_stay_whole(desk: Desk) -> None:
    desk.weigh("100 g butter\n100 גרם חמאה\n50 g حليب")
    assert desk.page.locator(".row__said[dir=auto]").count() == 3
    assert desk.page.locator(".row").nth(1).locator(".row__said").inner_text() == "100 גרם חמאה"


def test_day_and_night_by_choice(desk: Desk) -> None:
    desk.page.select_option("#light", "dark")
    dark = desk.page.evaluate("getComputedStyle(document.body).backgroundColor")
    desk.page.select_option("#light", "light")
    assert dark != desk.page.evaluate("getComputedStyle(document.body).backgroundColor")
