"""Saving, revisions, conflicts, silence of the service: nothing typed is lost, nothing is sent twice."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.settings import Settings
from service.store.engine import database_file
from tests.web.conftest import CHOWDER, Desk, served
from tests.web.test_figures import ticket

SILENT = ("Failed to load resource", "net::ERR")
LOADED = "performance.getEntriesByType('resource').map(one => one.name).filter(one => one.includes('/page/'))"
# The page's worker has all that the page has loaded.
ALL_KEPT = f"Promise.all(['/', ...{LOADED}].map(one => caches.match(one))).then(all => all.every(Boolean))"
NOTHING_WAITS = "Object.keys(localStorage).every(key => !key.startsWith('gramwright.outbox'))"


def save(desk: Desk) -> str:
    """Save the recipe at hand; its id."""
    desk.page.click("#save")
    desk.until("/^recipe:(?!.*changed since)/.test(document.querySelector('#standing').textContent)")
    desk.settle()
    return str(desk.page.inner_text("#standing")).partition(",")[0]


def try_now(desk: Desk) -> None:
    """Press the button, unless the page has tried by itself in the moment before."""
    buttons = "[...document.querySelectorAll('#notice button')]"
    desk.page.evaluate(f"{buttons}.find(one => one.textContent === 'Try now')?.click()")


def serve_to(desk: Desk, servings: int) -> None:
    desk.page.fill("#serves", str(servings))
    desk.page.keyboard.press("Tab")


def test_save_reload_change_and_save_again(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    recipe = save(desk)
    assert desk.api("GET", f"/recipes/{recipe}")["revision"] == 1
    assert desk.page.is_disabled("#save")
    serve_to(desk, 2)
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    desk.page.reload()
    desk.weighed()
    assert desk.page.input_value("#serves") == "2"
    save(desk)
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 2')")
    found = desk.api("GET", f"/recipes/{recipe}")
    assert (found["revision"], found["servings"]) == (2, 2)


def test_open_rename_copy_delete_and_back(desk: Desk) -> None:
    desk.weigh(CHOWDER.replace("Smoked fish", "Herring"))
    save(desk)
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Copy Herring chowder plate").click()
    copied = desk.page.locator(".cards > li", has_text="Herring chowder plate (copy)")
    copied.wait_for()
    copied.get_by_role("button", name="Rename").click()
    copied.get_by_label("New name").fill("Sprat chowder plate")
    copied.get_by_role("button", name="Rename it").click()
    sprat = desk.page.locator(".cards > li", has_text="Sprat chowder plate")
    sprat.wait_for()
    sprat.get_by_role("button", name="Revisions").click()
    sprat.locator(".revisions > li").nth(1).wait_for()
    assert sprat.locator(".revisions > li").count() == 2
    assert "changed: title" in sprat.inner_text()
    sprat.get_by_role("button", name="Delete").click()
    desk.page.get_by_role("button", name="Take it back").click()
    sprat.wait_for()
    sprat.get_by_role("link").click()
    desk.text_of("#recipe-name", "Sprat chowder plate")
    desk.weighed()
    assert desk.page.locator(".row").count() == 7


def test_changed_elsewhere_overwrites_nothing(desk: Desk) -> None:
    desk.expected = ("412",)
    desk.weigh(CHOWDER)
    recipe = save(desk)
    theirs = desk.api("GET", f"/recipes/{recipe}")
    body = {name: value for name, value in theirs.items() if name not in ("id", "revision", "saved")}
    body["sections"][0]["lines"].append({"text": "1 tbsp capers"})
    desk.api("PUT", f"/recipes/{recipe}", json=body, headers={"If-Match": '"1"'})
    serve_to(desk, 8)
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    desk.page.click("#save")
    notice = desk.page.locator("#notice")
    desk.until("document.querySelector('#notice').textContent.includes('Changed elsewhere')")
    assert "1 tbsp capers" in notice.inner_text()
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 4
    notice.get_by_role("button", name="Save mine as another recipe").click()
    desk.until(f"!document.querySelector('#standing').textContent.startsWith('{recipe},')")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 4


def changed_elsewhere(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    recipe = save(desk)
    body = {
        name: value for name, value in desk.api("GET", f"/recipes/{recipe}").items() if name in ("title", "sections")
    }
    desk.api("PUT", f"/recipes/{recipe}", json=body, headers={"If-Match": '"1"'})
    serve_to(desk, 8)
    desk.text_of("#standing", "changed since")


def test_what_is_changed_after_a_conflict_is_in_what_is_saved(desk: Desk) -> None:
    desk.expected = ("412",)
    changed_elsewhere(desk)
    desk.page.click("#save")
    desk.text_of("#notice", "Changed elsewhere")
    serve_to(desk, 9)
    desk.text_of("#said", "Serves 9")
    desk.page.get_by_role("button", name="Save mine as another recipe").click()
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 1')")
    mine = desk.api("GET", f"/recipes/{desk.page.inner_text('#standing').partition(',')[0]}")
    assert (mine["servings"], desk.page.input_value("#serves")) == (9, "9")


def test_a_conflict_is_said_though_theirs_cannot_be_read(desk: Desk) -> None:
    desk.expected = ("412", *SILENT)
    changed_elsewhere(desk)
    away = lambda route: route.abort() if route.request.method == "GET" else route.fallback()  # noqa: E731
    desk.page.route("**/v1/recipes/recipe:*", away)
    desk.page.click("#save")
    desk.text_of("#notice", "Theirs cannot be shown")
    desk.page.unroute("**/v1/recipes/recipe:*")
    desk.page.get_by_role("button", name="Try again").click()
    desk.text_of("#notice", "Save mine over it")


def test_a_recipe_at_hand_that_is_deleted_is_a_draft(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    save(desk)
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Delete Smoked fish chowder plate").click()
    desk.text_of("#notice", "It is still at hand, not saved.")
    desk.open("#/")
    desk.text_of("#standing", "Not saved yet")
    desk.page.click("#new")
    desk.text_of("#notice", "stands under Recipes")


def test_a_line_of_a_saved_recipe_and_a_recipe_from_a_section(desk: Desk) -> None:
    desk.weigh("Plate\nServes 2\n\nHake dip:\n100 g cream cheese\n50 g smoked haddock\n\nRest:\n100 g cucumber\n")
    desk.page.get_by_role("button", name="Change section Hake dip").click()
    desk.page.get_by_role("button", name="Make a recipe of it").click()
    desk.until("document.querySelector('#notice').textContent.includes('recipe of its own')")
    desk.weighed()
    row = desk.page.locator(".row", has_text="Hake dip")
    assert row.locator(".row__grams b").inner_text() == "150"
    assert [one["title"] for one in desk.api("GET", "/recipes?search=Hake")["recipes"]] == ["Hake dip"]


def test_a_recipe_made_of_a_section_is_as_sure_as_its_lines_were(desk: Desk) -> None:
    """The line stands for the whole of it: a share is exact, so many grams of a dish of about as many are not."""
    desk.weigh("Plate\nServes 2\n\nHake dip:\n2 leeks\n1 onion\n100 g cream cheese\n\nRest:\n100 g cucumber\n")
    before, grams = desk.page.inner_text("#ticket tbody"), desk.page.inner_text(".part__grams")
    recipe_of_section(desk, "Hake dip")
    assert desk.page.inner_text("#ticket tbody") == before
    assert desk.page.inner_text(".part__grams") == grams


@pytest.mark.parametrize("top", ["", "+ "], ids=["plain", "topping"])
def test_what_is_optional_in_a_section_stays_beside_the_recipe_made_of_it(desk: Desk, top: str) -> None:
    desk.weigh(f"Plate\nServes 2\n\n{top}Hake dip:\n100 g cream cheese\n1 egg (optional)\n\nRest:\n100 g cucumber\n")
    before = ticket(desk)
    recipe_of_section(desk, "Hake dip", lines=3)
    assert ticket(desk) == before
    assert "stays beside it: 1 egg (optional)" in desk.page.inner_text("#notice")
    made = desk.api("GET", "/recipes?search=Hake")["recipes"][0]["id"]
    kept = desk.api("GET", f"/recipes/{made}")["sections"][0]["lines"]
    assert [line["text"] for line in kept] == ["100 g cream cheese", "1 egg (optional)"]


def test_no_recipe_is_made_of_a_section_that_is_optional_line_by_line(desk: Desk) -> None:
    desk.weigh("Plate\n\nHake dip:\n1 egg (optional)\n\nRest:\n100 g cucumber\n")
    desk.page.get_by_role("button", name="Change section Hake dip").click()
    desk.page.get_by_role("button", name="Make a recipe of it").click()
    desk.text_of("#notice", "No recipe was made of it")
    assert desk.page.locator(".row").count() == 2
    assert desk.api("GET", "/recipes?search=Hake")["recipes"] == []


def test_a_way_that_names_a_line_of_a_section_is_kept_when_a_recipe_is_made_of_it(desk: Desk) -> None:
    desk.weigh("Plate\nServes 2\n\nHake dip:\n100 g cream cheese\n50 g smoked haddock\n\nRest:\n100 g cucumber\n")
    desk.page.click("#way-add")
    desk.page.fill("#way-name", "mild")
    desk.page.get_by_label("50 g smoked haddock").uncheck()
    desk.page.get_by_role("button", name="Add it").click()
    desk.text_of("#ways-table", "mild")
    desk.settle()
    recipe_of_section(desk, "Hake dip")
    desk.text_of("#notice", "“mild” is kept, but says nothing of “50 g smoked haddock” any more")
    assert "mild" in desk.page.inner_text("#ways-table")


def recipe_of_section(desk: Desk, name: str, lines: int = 2) -> None:
    desk.page.get_by_role("button", name=f"Change section {name}").click()
    desk.page.get_by_role("button", name="Make a recipe of it").click()
    desk.text_of("#notice", "recipe of its own")
    desk.weighed()
    assert desk.page.locator(".row").count() == lines


@pytest.mark.parametrize("name", ["Mash", "Mash 2", "Two mashes", "The rest of the mash"])
def test_a_recipe_made_of_a_section_comes_to_the_same(desk: Desk, name: str) -> None:
    """Whatever its name reads like, and weighed as it is cooked."""
    desk.weigh(f"Plate\nServes 2\n\n{name}:\n500 g potatoes\n20 g butter\n\nRest:\n100 g cucumber\n")
    bench = desk.bench("potatoes")
    bench.get_by_label("Cooked").select_option(index=2)
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken")
    before = ticket(desk)
    recipe_of_section(desk, name)
    assert ticket(desk) == before


def test_the_weights_on_the_board_add_up_with_a_saved_recipe(desk: Desk) -> None:
    """A line of it weighs as it is served, whatever went in; heads and foot are sums of what the lines show."""
    desk.api("POST", "/recipes", json={"title": "Hawser soup", "yield": {"factor": 0.8}, "sections": [
        {"lines": [{"text": "500 g potatoes"}, {"text": "200 g butter"}]}]})  # fmt: skip
    desk.weigh("Plate\n\nSoup:\n300 g hawser soup\n100 g butter, 50% eaten\n\n+ Top:\n80 g hawser soup\n200 g butter\n")
    board = {way: grams_on_the_board(desk, way) for way in ("plain", "with everything")}
    assert board == {
        "plain": ([300, 100, 80, 200], [400, 280], 400),
        "with everything": ([300, 100, 80, 200], [400, 280], 680),
    }


def grams_on_the_board(desk: Desk, way: str) -> tuple[list[int], list[int], int]:
    """What lines, heads of sections and the foot weigh."""
    desk.page.check(f"input[name=way][value='{way}']", force=True)
    lines, heads, foot = (
        [int(text) for text in desk.page.locator(place).all_inner_texts()]
        for place in (".row__grams > b", ".part__grams > span:first-child", "#ledger-foot .foot__grams b")
    )
    return lines, heads, foot[0]


def test_offline_edit_reload_come_back_sent_once(desk: Desk) -> None:
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    recipe = save(desk)
    desk.page.evaluate("navigator.serviceWorker.ready.then(() => fetch('/'))")
    desk.page.reload()
    desk.weighed()
    desk.until(ALL_KEPT)
    puts: list[str] = []  # that reached the service
    desk.page.on("requestfinished", lambda request: puts.append(request.url) if request.method == "PUT" else None)
    desk.page.context.set_offline(True)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("300")
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#notice').textContent.includes('No answer')")
    assert desk.line("leek").locator(".word").inner_text() == "by hand, not yet sent"
    desk.page.click("#save")
    desk.until("document.querySelector('#said').textContent.startsWith('Kept here')")
    desk.page.reload()
    desk.page.wait_for_selector(".row")
    assert desk.line("leek").locator(".word").inner_text() == "by hand, not yet sent"
    desk.text_of("#ticket", "not since")
    desk.page.context.set_offline(False)
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 2')")
    desk.page.wait_for_timeout(500)
    desk.page.reload()
    desk.weighed()
    assert len(puts) == 1
    assert desk.page.inner_text("#standing").endswith("revision 2")
    lines = desk.api("GET", f"/recipes/{recipe}")["sections"][0]["lines"]
    assert [line["grams"] for line in lines] == [None, 300, None, None, None]


def test_a_recipe_that_waits_is_not_the_next_one(desk: Desk) -> None:
    """What was saved offline and put away stays a recipe of its own when another is saved after it."""
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    desk.page.context.set_offline(True)
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    desk.page.click("#new")
    desk.page.context.set_offline(False)
    desk.until(NOTHING_WAITS)
    desk.until("JSON.parse(localStorage.getItem('gramwright.aside')).length === 0")  # what is saved is not "not saved"
    desk.weigh("Walnut plate\n\n20 g walnuts")
    save(desk)
    kept = [f"{one['title']}, {one['revision']}" for one in desk.api("GET", "/recipes")["recipes"]]
    assert sorted(kept) == ["Smoked fish chowder plate, 1", "Walnut plate, 1"]


def test_two_tabs_keep_what_waits_apart(desk: Desk) -> None:
    desk.expected = SILENT
    other = Desk(desk.page.context.new_page(), desk.place)
    for tab, text in ((desk, CHOWDER), (other, "Walnut plate\n\n20 g walnuts")):
        tab.open()
        tab.weigh(text)
    desk.page.context.set_offline(True)
    for tab in (desk, other):
        tab.page.click("#save")
        tab.text_of("#said", "Kept here")
    desk.page.context.set_offline(False)
    desk.until(NOTHING_WAITS)
    desk.page.wait_for_timeout(500)
    kept = [f"{one['title']}, {one['revision']}" for one in desk.api("GET", "/recipes")["recipes"]]
    assert sorted(kept) == ["Smoked fish chowder plate, 1", "Walnut plate, 1"]


def test_the_page_opens_without_a_connection_after_one_visit(desk: Desk) -> None:
    """What was loaded before the worker was in charge is kept as well, and comes from the browser's own cache."""
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    recipe = save(desk)
    desk.until("!!navigator.serviceWorker.controller")
    desk.until(ALL_KEPT)
    assert any("/js/main.js" in name for name in desk.page.evaluate(LOADED))
    worker = desk.page.context.service_workers[0]
    travelled = "performance.getEntries().filter(one => one.transferSize > 0 && one.name.includes('/page/'))"
    names = [name for one in (desk.page, worker) for name in one.evaluate(f"{travelled}.map(one => one.name)")]
    assert len(names) == len(set(names))
    desk.page.context.set_offline(True)
    desk.page.reload()
    desk.text_of("#standing", f"{recipe}, revision 1")
    desk.text_of("#notice", "No answer")
    assert desk.page.locator(".row").count() == 7
    desk.page.context.set_offline(False)
    desk.weighed()


def silence(desk: Desk) -> None:
    """Cut one tab off from the service; the others are answered."""
    desk.page.route("**/v1/**", lambda route: route.abort("connectionreset"))


def beside(desk: Desk, route: str) -> Desk:
    """Another tab of the same browser."""
    other = Desk(desk.page.context.new_page(), desk.place)
    other.page.set_default_timeout(60_000)
    other.open(route)
    return other


def change_servings(desk: Desk, servings: int) -> None:
    serve_to(desk, servings)
    desk.text_of("#standing", "changed since")


def waiting_tab(desk: Desk) -> tuple[str, Desk]:
    """A saved recipe that is changed in one tab and waits there to be sent; the same recipe in another tab."""
    desk.expected = (*SILENT, "412")
    desk.weigh(CHOWDER)
    recipe = save(desk)
    other = beside(desk, f"#/recipe/{recipe.partition(':')[2]}")
    other.weighed()
    silence(desk)
    change_servings(desk, 5)
    desk.text_of("#notice", "No answer")
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    return recipe, other


def sends(desk: Desk) -> list[str]:
    made: list[str] = []
    methods = ("PUT", "POST")
    desk.page.on("request", lambda one: made.append(one.method) if one.method in methods and is_save(one.url) else None)
    return made


def is_save(url: str) -> bool:
    return re.search(r"/v1/recipes(/recipe:\d+)?$", url) is not None


def test_what_waits_in_an_open_tab_is_left_to_it(desk: Desk) -> None:
    """Another tab on the same recipe neither sends it nor believes that it has seen what came of it."""
    recipe, other = waiting_tab(desk)
    desk.page.reload()
    desk.text_of("#notice", "No answer")
    made = sends(other)
    change_servings(other, 8)
    other.weighed()
    assert made == []
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 4
    desk.page.unroute("**/v1/**")
    try_now(desk)
    desk.text_of("#standing", "revision 2")
    assert other.page.inner_text("#standing") == f"{recipe}, revision 1, changed since"
    other.page.click("#save")
    other.text_of("#notice", "Changed elsewhere")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 5
    change_servings(desk, 6)
    save(desk)
    desk.text_of("#standing", "revision 3")
    assert desk.page.is_hidden("#notice")


def test_what_waits_in_a_closed_tab_is_sent_by_another_once(desk: Desk) -> None:
    recipe, other = waiting_tab(desk)
    made = sends(other)
    desk.page.close()
    desk.page = other.page
    desk.alone()
    change_servings(other, 8)
    other.until(NOTHING_WAITS)
    found = desk.api("GET", f"/recipes/{recipe}")
    assert (found["revision"], found["servings"], made) == (2, 5, ["PUT"])
    other.weighed()
    assert other.page.inner_text("#standing") == f"{recipe}, revision 1, changed since"
    other.page.click("#save")
    other.text_of("#notice", "Changed elsewhere")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 5


@pytest.mark.parametrize("saved", [True, False], ids=["a saved recipe", "a new one"])
def test_a_tab_that_comes_back_knows_what_another_sent_for_it(desk: Desk, saved: bool) -> None:
    """Its draft is told; what it saves next is a change of that, not a conflict and not a recipe more."""
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    if saved:
        save(desk)
    other = beside(desk, "")
    silence(desk)
    serve_to(desk, 5)
    desk.text_of("#notice", "No answer")
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    desk.page.goto("about:blank")
    other.alone()
    other.weigh("Walnut plate\n\n20 g walnuts")
    other.until(NOTHING_WAITS)
    assert other.page.inner_text("#standing").startswith("Not saved yet")
    desk.page.unroute("**/v1/**")
    desk.open()
    revision = 2 if saved else 1
    desk.until(f"document.querySelector('#standing').textContent.endsWith('revision {revision}')")
    desk.weighed()
    change_servings(desk, 6)
    desk.weighed()
    save(desk)
    desk.text_of("#standing", f"revision {revision + 1}")
    found = desk.api("GET", "/recipes")["recipes"]
    assert [one["revision"] for one in found] == [revision + 1]


def test_what_is_refused_of_a_tab_that_is_gone_is_put_aside(desk: Desk) -> None:
    recipe, other = waiting_tab(desk)
    desk.page.close()
    desk.page = other.page
    desk.alone()
    theirs = desk.api("GET", f"/recipes/{recipe}")
    body = {name: value for name, value in theirs.items() if name not in ("id", "revision", "saved")}
    desk.api("PUT", f"/recipes/{recipe}", json={**body, "servings": 6}, headers={"If-Match": '"1"'})
    change_servings(other, 8)
    other.text_of("#notice", "changed elsewhere")
    assert other.page.inner_text("#standing") == f"{recipe}, revision 1, changed since"
    assert other.page.input_value("#serves") == "8"
    [aside] = other.page.evaluate("JSON.parse(localStorage.getItem('gramwright.aside'))")
    assert (aside["form"]["servings"], aside["saved"]["id"]) == (5, recipe)


def test_two_tabs_that_wait_on_one_recipe_lose_nothing(desk: Desk) -> None:
    """What one was asked to save does not take the place of what the other was."""
    recipe, other = waiting_tab(desk)
    silence(other)
    change_servings(other, 8)
    other.text_of("#notice", "No answer")
    other.page.click("#save")
    other.text_of("#said", "Kept here")
    for tab in (desk, other):
        tab.page.unroute("**/v1/**")
        try_now(tab)
        tab.text_of("#standing" if tab is desk else "#notice", "revision 2" if tab is desk else "Changed elsewhere")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 5


def test_a_recipe_that_is_opened_anew_does_not_pass_for_what_waits(desk: Desk) -> None:
    """The form at hand has nothing of what was changed: it is no next revision of it."""
    recipe, other = waiting_tab(desk)
    other.page.close()
    desk.page.unroute("**/v1/**")
    desk.page.route(
        lambda url: is_save(url), lambda one: one.abort() if one.request.method == "PUT" else one.continue_()
    )
    desk.page.click("#new")
    desk.open(f"#/recipe/{recipe.partition(':')[2]}")
    desk.until("document.querySelector('#serves').value === '4'")
    desk.text_of("#notice", "No answer")
    desk.page.unroute_all()
    try_now(desk)
    desk.until(NOTHING_WAITS)
    change_servings(desk, 8)
    desk.weighed()
    desk.page.click("#save")
    desk.text_of("#notice", "Changed elsewhere")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 5


def test_a_click_waits_for_what_is_being_sent(desk: Desk) -> None:
    """A new recipe is on its way as it is changed and saved again: the second save is a change of the first."""
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    silence(desk)
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    held: list[Any] = []
    desk.page.unroute("**/v1/**")
    desk.page.route(lambda url: is_save(url), lambda one: one.continue_() if held else held.append(one))
    try_now(desk)
    desk.until("document.querySelector('#notice').hidden")
    while not held:
        desk.page.wait_for_timeout(20)
    serve_to(desk, 8)
    desk.until("document.querySelector('#ledger').getAttribute('aria-busy') !== 'true'")
    desk.page.click("#save")
    desk.page.wait_for_timeout(300)
    held[0].continue_()
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 2')")
    assert [(one["revision"]) for one in desk.api("GET", "/recipes")["recipes"]] == [2]


def test_what_waits_is_tried_again_whatever_became_of_the_notice(desk: Desk) -> None:
    desk.expected = SILENT
    desk.page.clock.install()
    desk.open()
    desk.weigh(CHOWDER)
    silence(desk)
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    desk.page.click("#new")
    assert "No answer" not in desk.page.inner_text("#notice")
    desk.page.unroute("**/v1/**")
    desk.page.clock.run_for(61_000)
    desk.until(NOTHING_WAITS)
    assert [one["title"] for one in desk.api("GET", "/recipes")["recipes"]] == ["Smoked fish chowder plate"]


def test_an_empty_page_sends_what_a_closed_one_left(desk: Desk) -> None:
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    silence(desk)
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    desk.page.click("#new")
    context = desk.page.context
    desk.page.close()
    desk.page = context.new_page()
    desk.page.goto(f"{desk.place}/readyz")
    desk.alone(own=0)
    desk.open()
    desk.until(NOTHING_WAITS)
    assert [one["revision"] for one in desk.api("GET", "/recipes")["recipes"]] == [1]


def lose_answers(desk: Desk, method: str) -> None:
    """Let the service do what it is asked, and cut the line before the first answer."""
    left = [1]

    def answer(route: Any) -> None:
        if route.request.method != method or left[0] <= 0:
            return route.continue_()
        left[0] -= 1
        route.fetch()
        return route.abort("connectionreset")

    desk.page.route(re.compile(r"/v1/recipes(/recipe:\d+)?$"), answer)


@pytest.mark.parametrize("again", ["by itself", "by a click"])
@pytest.mark.parametrize("method", ["POST", "PUT"])
def test_what_was_saved_without_an_answer_is_not_saved_again(desk: Desk, method: str, again: str) -> None:
    desk.expected = SILENT
    desk.weigh(CHOWDER)
    if method == "PUT":
        save(desk)
        serve_to(desk, 8)
    lose_answers(desk, method)
    desk.page.click("#save")
    desk.until(f"!({NOTHING_WAITS})")
    if again == "by a click":
        desk.page.click("#save")
    else:
        try_now(desk)
    desk.until(NOTHING_WAITS)
    revision = 1 if method == "POST" else 2
    desk.until(f"document.querySelector('#standing').textContent.endsWith('revision {revision}')")
    assert [one["revision"] for one in desk.api("GET", "/recipes")["recipes"]] == [revision]


def test_a_second_click_saves_nothing_twice(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.dblclick("#save")
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 1')")
    desk.settle()
    assert [one["revision"] for one in desk.api("GET", "/recipes")["recipes"]] == [1]
    assert desk.page.inner_text("#standing").endswith("revision 1")


def test_what_waits_for_another_recipe_is_put_aside_where_it_conflicts(desk: Desk) -> None:
    """The recipe at hand is not touched by it."""
    desk.expected = (*SILENT, "412")
    desk.weigh(CHOWDER)
    recipe = save(desk)
    theirs = desk.api("GET", f"/recipes/{recipe}")
    body = {name: value for name, value in theirs.items() if name not in ("id", "revision", "saved")}
    desk.page.context.set_offline(True)
    serve_to(desk, 8)
    desk.text_of("#notice", "No answer")
    desk.page.click("#save")
    desk.text_of("#said", "Kept here")
    desk.page.click("#new")
    desk.api("PUT", f"/recipes/{recipe}", json={**body, "servings": 6}, headers={"If-Match": '"1"'})
    desk.page.context.set_offline(False)
    desk.text_of("#notice", "changed elsewhere")
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Go on with").first.click()
    desk.until("document.querySelector('#serves').value === '8'")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 6


def refuse(desk: Desk, path: str, status: int, left: list[int], headers: dict[str, str]) -> None:
    """Let the service refuse requests to a path, as many as are left."""

    def answer(route: Any) -> None:
        if left[0] <= 0:
            return route.continue_()
        left[0] -= 1
        body = json.dumps({"status": status, "detail": "refused for the test"})
        return route.fulfill(status=status, body=body, content_type="application/problem+json", headers=headers)

    desk.page.route(f"**/v1{path}*", answer)


@pytest.mark.parametrize("status", [429, 503, 500])
@pytest.mark.parametrize("path", ["/resolutions", "/recipes/preview"])
def test_a_busy_service_is_asked_again_by_itself(desk: Desk, path: str, status: int) -> None:
    desk.expected = ("Failed to load resource",)
    left = [99]
    refuse(desk, path, status, left, {"Retry-After": "1"})
    desk.page.fill("#list-text", CHOWDER)
    desk.page.click("#weigh")
    desk.until("document.querySelector('#notice').textContent.includes('tried again')")
    assert desk.page.input_value("#list-text") == CHOWDER
    left[0] = 0
    desk.weighed()
    assert desk.page.locator(".row").count() == 7


def test_answers_from_memory_are_said_to_be_that(desk: Desk) -> None:
    """While the database is away answers stand at a change of the kitchen that is named in a header."""
    said = "answers from memory, its database is away"

    def earlier(route: Any) -> None:
        answer = route.fetch()
        route.fulfill(response=answer, headers={**answer.headers, "kitchen-change": "3"})

    desk.page.route("**/v1/recipes/preview*", earlier)
    desk.weigh(CHOWDER)
    assert said in desk.page.inner_text("#notice")
    serve_to(desk, 6)
    desk.text_of("#notice", "It is tried again by itself")
    assert said in desk.page.inner_text("#notice")
    desk.page.unroute("**/v1/recipes/preview*")
    try_now(desk)
    desk.until("document.querySelector('#notice').hidden")
    assert desk.page.input_value("#serves") == "6"


@pytest.mark.parametrize("status", [429, 503])
def test_what_is_taken_and_not_yet_sent_is_announced_as_that(desk: Desk, status: int) -> None:
    desk.expected = ("Failed to load resource",)
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("300")
    desk.until("document.querySelector('.bench__result b')")
    refuse(desk, "/recipes/preview", status, [1], {"Retry-After": "99"})
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#notice').textContent.includes('tried again')")
    assert desk.said().startswith("Taken, and not yet sent")
    assert desk.line("leek").locator(".word").inner_text() == "by hand, not yet sent"
    try_now(desk)
    desk.until("document.querySelector('#notice').hidden")
    assert desk.page.locator(".row", has_text="leek").locator(".row__grams b").inner_text() == "300"


@pytest.mark.parametrize(
    "body",
    [lambda whole: whole[:30], lambda whole: whole[: len(whole) // 2],
     lambda whole: whole.replace('{"line":"2 celery', '{"line:"2 celery'), lambda whole: "<html>busy</html>"],
    ids=["at once", "half way", "a line in the middle", "no JSON"],
)  # fmt: skip
def test_a_broken_answer_is_asked_for_again(desk: Desk, body: Callable[[str], str]) -> None:
    whole = httpx.post(f"{desk.place}/v1/resolutions", json={"text": CHOWDER, "components": []},
                       headers={"Accept": "application/jsonl"}).text  # fmt: skip
    broken = {"status": 200, "body": body(whole), "content_type": "application/jsonl"}
    desk.page.route("**/v1/resolutions*", lambda route: route.fulfill(**broken))
    desk.page.fill("#list-text", CHOWDER)
    desk.page.click("#weigh")
    desk.text_of("#notice", "The answer of the service broke off")
    assert desk.page.input_value("#list-text") == CHOWDER
    desk.page.unroute("**/v1/resolutions*")
    try_now(desk)
    desk.weighed()
    assert desk.page.locator(".row").count() == 7


def test_a_recipe_that_cannot_be_leaves_the_last_one(desk: Desk) -> None:
    desk.expected = ("422",)
    desk.weigh(CHOWDER)
    serve_to(desk, 20_000)
    desk.until("document.querySelector('#notice').textContent.includes('at most 10,000')")
    assert desk.page.input_value("#serves") == "4"
    assert desk.page.get_attribute("#notice", "role") == "alert"
    assert "Serves" not in desk.page.inner_text("#said")


def test_a_page_without_storage_says_so(desk: Desk) -> None:
    page = desk.page
    page.add_init_script("Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); };")
    page.evaluate("localStorage.clear()")
    page.reload()
    page.wait_for_selector("#beam-drawing svg")
    desk.weigh(CHOWDER)
    assert "cannot keep" in page.inner_text("#standing")
    page.click("#new")
    assert "put it right. This browser cannot keep" in page.inner_text("#standing")


def test_storage_that_is_forbidden_stops_nothing(desk: Desk) -> None:
    page = desk.page
    forbidden = "{ get() { throw new DOMException('forbidden', 'SecurityError'); } }"
    page.add_init_script(
        f"for (const name of ['localStorage', 'sessionStorage']) Object.defineProperty(window, name, {forbidden});"
    )
    page.reload()
    page.wait_for_selector("#beam-drawing svg")
    desk.weigh(CHOWDER)
    assert "cannot keep" in page.inner_text("#standing")
    save(desk)


# Just under 5 MB, and above it as a browser stores it.
FIVE_MB = ("10 g butter, " * 7 + "\n") * 56_500
PASTE = """text => {
  const place = document.querySelector('#list-text');
  place.value = text;
  place.dispatchEvent(new Event('input', { bubbles: true }));
}"""


def test_a_paste_that_cannot_be_kept_is_announced_until_it_is_gone(desk: Desk) -> None:
    page = desk.page
    page.evaluate(PASTE, FIVE_MB)
    desk.text_of("#notice", "cannot keep")
    assert page.get_attribute("#notice", "role") == "alert"
    page.set_input_files("#list-file", {"name": "a.txt", "mimeType": "text/plain", "buffer": CHOWDER.encode()})
    desk.text_of("#notice", "Another list stands in place")
    assert "cannot keep" not in page.inner_text("#standing")
    page.get_by_role("button", name="Take it back").click()
    assert page.evaluate("document.querySelector('#list-text').value.length") == len(FIVE_MB)
    desk.text_of("#notice", "cannot keep")


def test_a_recipe_that_cannot_be_kept_is_said_with_its_weighing(desk: Desk) -> None:
    full = "() => { Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError'); }; }"
    desk.page.evaluate(full)
    desk.weigh(CHOWDER)
    desk.text_of("#notice", "cannot keep")
    desk.text_of("#said", "cannot keep")


def test_two_tabs_keep_a_draft_each(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    serve_to(desk, 3)
    desk.settle()
    other = Desk(desk.page.context.new_page(), desk.place)
    other.watch()
    other.open()
    assert other.page.locator(".row").count() == 0
    other.weigh("10 g butter\n20 g walnuts")
    other.page.click("#as-text")
    other.page.fill("#list-text", "a thought")
    for tab, rows in ((desk, 7), (other, 2)):
        tab.page.reload()
        tab.weighed()
        assert tab.page.locator(".row").count() == rows
    assert desk.page.input_value("#serves") == "3"
    assert other.page.input_value("#list-text") == "a thought"
    desk.page.close()
    other.alone()
    third = Desk(other.page.context.new_page(), desk.place)
    third.open()
    third.weighed()
    assert third.page.locator(".row").count() == 7


def test_two_tabs_on_one_recipe_overwrite_nothing(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    recipe = save(desk)
    other = Desk(desk.page.context.new_page(), desk.place)
    other.page.goto(f"{desk.place}/#/recipe/{recipe.partition(':')[2]}")
    other.page.wait_for_selector(".row")
    other.weighed()
    serve_to(desk, 2)
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    save(desk)
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 2')")
    serve_to(other, 8)
    other.until("document.querySelector('#standing').textContent.includes('changed since')")
    other.page.click("#save")
    other.text_of("#notice", "Changed elsewhere")
    other.text_of("#notice", "Theirs serves 2, yours 8.")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 2


def test_a_server_that_dies_in_the_middle_is_waited_for(browser: Any, sr28_store: Settings, tmp_path: Path) -> None:
    """Killed between the lines and the totals; another comes up at the same address, and the page goes on by itself."""
    store = Path(str(database_file(sr28_store.database_url)))
    context = browser.new_context()
    with ExitStack() as servers:
        started: list[Any] = []
        address = servers.enter_context(served(store, tmp_path, started=started))
        desk = Desk(context.new_page(), address)
        desk.open()
        desk.page.route("**/v1/recipes/preview*", lambda route: (started[0].kill(), route.continue_()))
        desk.page.fill("#list-text", CHOWDER)
        desk.page.click("#weigh")
        desk.text_of("#notice", "No answer from the service")
        assert desk.page.input_value("#list-text") == CHOWDER
        desk.page.unroute("**/v1/recipes/preview*")
        servers.enter_context(served(store, tmp_path, "--port", address.rpartition(":")[2]))
        desk.weighed()
        assert desk.page.locator(".row").count() == 7
    context.close()


def test_own_foods_are_kept_changed_and_deleted(desk: Desk) -> None:
    desk.open("#/foods")
    desk.page.locator("#own-new-name").wait_for()
    desk.page.fill("#own-new-name", "Mole rusk")
    desk.page.fill("#own-new-FAT", "9")
    desk.page.get_by_role("button", name="Keep it").click()
    card = desk.page.locator(".cards > li", has_text="Mole rusk")
    card.wait_for()
    assert "energy not known" in card.inner_text()
    card.get_by_role("button", name="Change").click()
    card.get_by_label("Fat").fill("11")
    card.get_by_role("button", name="Keep it").click()
    desk.until("document.querySelector('#room').innerText.includes('fat 11 g')")
    card.get_by_role("button", name="Delete").click()
    desk.until("!document.querySelector('#room').innerText.includes('Mole rusk')")


def test_releases_are_listed(desk: Desk) -> None:
    desk.open("#/releases")
    desk.until("document.querySelector('#room').innerText.includes('8,789 foods')")


def test_what_is_not_saved_is_put_aside_when_another_recipe_is_opened(desk: Desk) -> None:
    desk.weigh("Herring plate\n\n100 g herring")
    save(desk)
    desk.page.click("#new")
    desk.weigh(CHOWDER)
    desk.page.click("#as-text")
    desk.page.fill("#list-text", "half a thought")
    desk.open("#/recipes")
    desk.page.get_by_role("link", name="Herring plate").click()
    desk.until("document.querySelectorAll('.row').length === 1")
    desk.text_of("#notice", "put aside, not saved")
    desk.open("#/recipes")
    desk.page.reload()
    desk.page.get_by_role("button", name="Go on with Smoked fish chowder plate").click()
    desk.until("document.querySelectorAll('.row').length === 7")
    assert desk.page.input_value("#list-text") == "half a thought"
    assert desk.page.inner_text("#standing").startswith("Not saved yet")
    desk.open("#/recipes")
    desk.page.locator("#recipe-search").wait_for()
    assert desk.page.get_by_role("button", name="Go on with").count() == 0


def test_a_recipe_at_hand_that_was_deleted_and_taken_back_is_saved_as_that(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    first = save(desk)
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Delete Smoked fish chowder plate").click()
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#notice", "is back, as recipe:")
    assert f"can still be read as those of {first}" in desk.page.inner_text("#notice")
    desk.open("#/")
    serve_to(desk, 6)
    desk.text_of("#said", "Serves 6")
    desk.page.click("#save")
    desk.text_of("#standing", "revision 2")
    assert [one["revision"] for one in desk.api("GET", "/recipes")["recipes"]] == [2]


def test_a_new_recipe_puts_the_one_at_hand_aside(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#new")
    desk.page.get_by_role("button", name="Take it back").click()
    assert desk.page.locator(".row").count() == 7
    desk.page.click("#new")
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Throw away Smoked fish chowder plate").click()
    desk.until("!document.querySelector('#aside-name')")


def test_taking_theirs_keeps_mine_aside(desk: Desk) -> None:
    desk.expected = ("412",)
    desk.weigh(CHOWDER)
    recipe = save(desk)
    theirs = desk.api("GET", f"/recipes/{recipe}")
    body = {name: value for name, value in theirs.items() if name not in ("id", "revision", "saved")}
    desk.api("PUT", f"/recipes/{recipe}", json={**body, "servings": 6}, headers={"If-Match": '"1"'})
    serve_to(desk, 8)
    desk.until("document.querySelector('#standing').textContent.includes('changed since')")
    desk.page.click("#save")
    desk.page.get_by_role("button", name="Open theirs").click()
    desk.until("document.querySelector('#serves').value === '6'")
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Go on with").click()
    desk.until("document.querySelector('#serves').value === '8'")


def test_an_older_revision_is_worked_on_and_saved_as_the_next(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    recipe = save(desk)
    desk.bench("40 g butter").get_by_role("button", name="Leave it out").click()
    desk.weighed()
    serve_to(desk, 8)
    desk.weighed()
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 2')")
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Revisions").click()
    desk.page.locator(".revisions > li").nth(1).wait_for()
    said = desk.page.locator(".revisions > li").first.inner_text()
    assert "40 g butter, left out" in said
    assert "servings 4 → 8" in said
    desk.page.get_by_role("button", name="Work on revision 1").click()
    desk.until("document.querySelector('#serves').value === '4'")
    desk.weighed()
    desk.page.click("#save")
    desk.until("document.querySelector('#standing').textContent.endsWith('revision 3')")
    assert desk.api("GET", f"/recipes/{recipe}")["servings"] == 4


def test_a_standing_choice_is_made_forgotten_and_taken_back(desk: Desk) -> None:
    desk.open("#/choices")
    desk.page.get_by_label("When a line says").fill("quay spread")
    desk.page.get_by_label("take this food").fill("butter salted")
    desk.page.locator(".offers label", has_text="sr28:01001").click()
    desk.page.get_by_role("button", name="Keep it").click()
    desk.text_of("#room table", "quay spread")
    desk.page.get_by_role("button", name="Forget quay spread").click()
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#room table", "Butter, salted")
    assert [one["phrase"] for one in desk.api("GET", "/choices")["choices"]] == ["quay spread"]


def test_an_own_food_that_is_taken_back_is_meant_by_its_choices_again(desk: Desk) -> None:
    made = desk.api("POST", "/foods", json={"description": "Quay crisp", "components": {"FAT": 30}})
    for phrase in ("crispy thing", "quay nibble", "mayo"):
        desk.api("POST", "/choices", json={"phrase": phrase, "food": "sr28:04025" if phrase == "mayo" else made["id"]})
    desk.open("#/foods")
    desk.page.get_by_role("button", name="Delete Quay crisp").click()
    desk.text_of("#notice", "Quay crisp is deleted.")
    assert "“crispy thing”, “quay nibble”." in desk.page.inner_text("#notice")
    assert len(desk.api("GET", "/choices")["lost"]) == 2
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#room .cards", "Quay crisp")
    [again] = desk.api("GET", "/own-foods")["own_foods"]
    kept = desk.api("GET", "/choices")
    assert kept["lost"] == []
    assert [one["food"] for one in kept["choices"]] == [again["id"], again["id"], "sr28:04025"]


def test_a_recipe_that_is_taken_back_is_meant_by_its_choices_again(desk: Desk) -> None:
    sections = [{"lines": [{"text": "40 g butter"}]}]
    made = desk.api("POST", "/recipes", json={"title": "Quay plate", "sections": sections})
    desk.api("POST", "/choices", json={"phrase": "the usual", "food": made["id"]})
    desk.open("#/recipes")
    desk.page.get_by_role("button", name="Delete Quay plate").click()
    desk.text_of("#notice", "Standing choices that meant it have no food now: “the usual”.")
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#notice", "Quay plate is back")
    [again] = desk.api("GET", "/recipes")["recipes"]
    kept = desk.api("GET", "/choices")
    assert (kept["lost"], [one["food"] for one in kept["choices"]]) == ([], [again["id"]])


def test_a_choice_that_was_changed_meanwhile_is_left_when_its_food_comes_back(desk: Desk) -> None:
    desk.expected = ("412",)
    made = desk.api("POST", "/foods", json={"description": "Quay crisp", "components": {"FAT": 30}})
    desk.api("POST", "/choices", json={"phrase": "crispy thing", "food": made["id"]})
    desk.open("#/foods")
    desk.page.get_by_role("button", name="Delete Quay crisp").click()
    desk.text_of("#notice", "Quay crisp is deleted.")
    desk.api("POST", "/choices", json={"phrase": "crispy thing", "food": "sr28:04025"})
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#notice", "could not be given it: “crispy thing”")
    assert [one["food"] for one in desk.api("GET", "/choices")["choices"]] == ["sr28:04025"]
