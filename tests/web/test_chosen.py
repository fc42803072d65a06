"""What was chosen for a line by hand, and what was typed, outlives other words; what cannot stay is said."""

from __future__ import annotations

from typing import Any

import pytest

from tests.web.conftest import CHOWDER, Desk
from tests.web.test_kitchen import save, serve_to, try_now
from tests.web.test_serving import CREAM, LEAN, opened, typed, ways_of

LESS = "150 ml double cream"
# What is chosen for the cream: another entry, 190 g, half of it eaten, left out, boiled.
CHOSEN = {
    "food": "sr28:01049", "grams": 190.0, "share_eaten": 0.5, "treatment": None, "optional": True, "left_out": False,
}  # fmt: skip
PLAIN = {"food": None, "grams": None, "share_eaten": 1.0, "treatment": None, "optional": False, "left_out": False}


def opened_with(desk: Desk, text: str, **chosen: Any) -> None:
    """A saved recipe on the page, with what was chosen for its cream."""
    form = desk.preview(text)["ledger"]["recipe"]
    for section in form["sections"]:
        for line in section["lines"]:
            line.update(chosen if line["text"] == CREAM else {})
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.locator(".row").first.wait_for()
    desk.weighed()


def kept(desk: Desk) -> dict[str, Any]:
    """The lines of the page's recipe by their words, once it is saved."""
    if desk.page.is_enabled("#save"):
        save(desk)
    form = desk.api("GET", f"/recipes/{desk.page.inner_text('#standing').partition(',')[0]}")
    return {line.pop("text"): line for section in form["sections"] for line in section["lines"]}


def taken_back(desk: Desk) -> None:
    desk.page.locator("#notice").get_by_role("button", name="Take it back").click()
    desk.text_of("#said", "Taken back")
    desk.weighed()


WORDED = {
    "another amount": (LESS, {"grams"}, "its amount is another now"),
    "a note": (f"{CREAM}, cold", set(), ""),
    "the order of its words": ("double cream, 200 ml", set(), ""),
    "another food": ("200 ml single cream", {"food", "grams", "share_eaten"}, "it names another food now"),
    "all its words": ("250 g skyr", {"food", "grams", "share_eaten"}, "it names another food now"),
}


@pytest.mark.parametrize(("new", "gone", "why"), WORDED.values(), ids=WORDED)
def test_what_was_chosen_stays_on_a_line_that_is_typed_anew_where_it_can(
    desk: Desk, new: str, gone: set[str], why: str
) -> None:
    opened_with(desk, CHOWDER, **CHOSEN)
    notice = typed(desk, CREAM, new)
    assert f"“{new}” keeps what was chosen for “{CREAM}”" in notice
    assert (f"“{CREAM}” is dropped from “{new}”, as {why}" in notice) == bool(gone)
    assert ("190 g" in notice.partition("dropped")[2]) == ("grams" in gone)
    assert kept(desk)[new] == {**CHOSEN, **{key: PLAIN[key] for key in gone}}
    taken_back(desk)
    assert kept(desk)[CREAM] == CHOSEN


# Pair a list with itself under other amounts: milliseconds, and whether each line found its own.
PAIR = """async ([length, food]) => {
  const { paired } = await import('/page/js/follow.js');
  const letters = n => n ? letters(Math.floor(n / 26)) + 'abcdefghijklmnopqrstuvwxyz'[n % 26] : 'kind';
  const line = (n, more) => ({ text: `${n + more} g ${food} ${food ? '' : letters(n)}` });
  const form = more => ({ sections: [{ name: '', lines: Array.from({ length }, (_, n) => line(n, more)) }] });
  const [was, now] = [form(1), form(10_001)], start = performance.now(), pairs = paired(was, now);
  return [performance.now() - start, pairs.every(({ now: [found] }, n) => found === now.sections[0].lines[n])];
}"""


@pytest.mark.parametrize("food", ["", "butter"], ids=["lines of their own words", "lines of the same words"])
def test_a_list_of_thousands_typed_anew_is_paired_at_once(desk: Desk, food: str) -> None:
    took, own = desk.page.evaluate(PAIR, [2_000, food])
    assert own
    assert took < 2_000


def test_what_was_chosen_for_a_line_that_is_gone_is_named(desk: Desk) -> None:
    opened_with(desk, CHOWDER, **CHOSEN)
    notice = typed(desk, f"{CREAM}\n", "")
    assert f"one from the list, with what was chosen there: “{CREAM}” (sr28:01049" in notice
    assert "190 g; 50 % eaten" in notice
    taken_back(desk)
    assert kept(desk)[CREAM] == CHOSEN


def test_what_was_typed_outlives_a_step_back(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    typed(desk, CREAM, LESS)
    desk.page.focus("#line-1")
    desk.page.keyboard.press("u")
    desk.text_of("#said", "Taken back")
    desk.page.locator("#notice").get_by_role("button", name="Do it again").click()
    desk.weighed()
    assert desk.line(LESS).count() == 1


@pytest.mark.parametrize(
    ("new", "gone"), [(LESS, {"grams"}), (f"{CREAM}, cold", set()), ("250 g skyr", {"food", "grams", "share_eaten"})]
)
def test_the_bench_says_what_does_not_stay_before_and_after_it_is_taken(desk: Desk, new: str, gone: set[str]) -> None:
    opened_with(desk, CHOWDER, **CHOSEN)
    bench = desk.bench("double cream")
    bench.get_by_label("As written").fill(new)
    desk.until("document.querySelector('.bench__result b')")
    assert ("is dropped from" in bench.locator(".bench__result").inner_text()) == bool(gone)
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    notice = desk.page.locator("#notice")
    assert notice.is_visible() == bool(gone)
    assert not gone or f"chosen for “{CREAM}” is dropped from “{new}”" in notice.inner_text()
    assert kept(desk)[new] == {**CHOSEN, **{key: PLAIN[key] for key in gone}}


def test_what_is_chosen_on_the_bench_with_the_new_words_is_taken(desk: Desk) -> None:
    opened_with(desk, CHOWDER, grams=190.0)
    bench = desk.bench("double cream")
    bench.get_by_label("As written").fill(LESS)
    bench.get_by_label("Own weight").fill("140")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert desk.page.locator("#notice").is_hidden()
    assert kept(desk)[LESS]["grams"] == 140


def test_a_mark_that_is_typed_is_not_overruled(desk: Desk) -> None:
    opened_with(desk, CHOWDER, share_eaten=0.5)
    notice = typed(desk, CREAM, f"{CREAM} [left out; 20% eaten]")
    assert f"chosen for “{CREAM}” is dropped from it, as its words say otherwise now: 50 % eaten" in notice
    assert kept(desk)[CREAM] == {**PLAIN, "left_out": True, "share_eaten": 0.2}


def test_lines_of_the_same_words_keep_their_own_choices(desk: Desk) -> None:
    """The one in the first section goes: what was chosen for the other one stays that one's."""
    form = desk.preview("Soup:\n1 tbsp oil\n1 leek\n\nSalad:\n1 tbsp oil\n")["ledger"]["recipe"]
    for section, food in zip(form["sections"], ("sr28:04053", "sr28:04582"), strict=True):
        section["lines"][0]["food"] = food
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.locator(".row").first.wait_for()
    desk.weighed()
    notice = typed(desk, "Soup:\n1 tbsp oil\n", "Soup:\n")
    assert "one from the list, with what was chosen there: “1 tbsp oil” (sr28:04053" in notice
    assert kept(desk)["1 tbsp oil"]["food"] == "sr28:04582"


# ---- a line that comes to read as another one -----------------------------------------------------------------------

TWO = CHOWDER.replace("4 tbsp soured cream", f"4 tbsp soured cream\n{LESS}")


@pytest.mark.parametrize("by", ["list", "bench", "bench of the other"])
def test_a_way_never_names_a_line_that_it_did_not_mean(desk: Desk, by: str) -> None:
    opened(desk, TWO, LEAN)
    old, new = (LESS, CREAM) if by == "bench of the other" else (CREAM, LESS)
    if by == "list":
        notice = typed(desk, old, new)
    else:
        bench = desk.bench(old)
        bench.get_by_label("As written").fill(new)
        bench.get_by_role("button", name="Take it").click()
        desk.text_of("#notice", "lean")
        notice = desk.page.inner_text("#notice")
    assert f"he way “lean” is kept, but says nothing of “{CREAM}” any more" in notice
    assert f"other lines read “{new}” too, so word them apart" in notice
    desk.weighed()
    assert ways_of(desk) == {"lean": []}


def test_a_way_that_means_both_lines_names_both(desk: Desk) -> None:
    opened(desk, TWO, {"name": "lean", "without": [CREAM, LESS]})
    notice = typed(desk, CREAM, LESS)
    assert f"he way “lean” follows: “{LESS}” in place of “{CREAM}”" in notice
    assert ways_of(desk) == {"lean": [LESS]}


# ---- what the text says, and what was typed beside it ---------------------------------------------------------------


def test_notes_of_reading_are_shown_when_a_list_is_typed_anew(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    notice = typed(desk, "1 leek, sliced", "1 leek, sliced [as thin as paper]\n\nMethod:\nCut the leek.")
    assert "is no mark that is known" in notice
    assert "for how many" not in notice


def test_a_title_that_the_list_brings_is_said(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    assert "It is called “Quay soup” now" in typed(desk, "Chowder:", "Quay soup\n\nChowder:")
    taken_back(desk)
    assert desk.page.inner_text("#recipe-name") == "Smoked fish chowder plate"


def test_the_first_line_of_a_list_is_not_taken_for_a_title_when_it_is_typed_anew(desk: Desk) -> None:
    form = desk.preview(CHOWDER)["ledger"]["recipe"]
    form["sections"].insert(0, {"name": "", "optional": False, "lines": [{"text": "salt"}]})
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.locator(".row").first.wait_for()
    desk.weighed()
    typed(desk, "1 leek", "2 leeks")
    assert "salt" in kept(desk)
    assert desk.page.inner_text("#recipe-name") == "Smoked fish chowder plate"


def test_sections_stay_apart_when_a_list_is_typed_anew(desk: Desk) -> None:
    form = desk.preview(CHOWDER)["ledger"]["recipe"]
    form["sections"].append({"name": "", "optional": False, "lines": [{"text": "5 g salt"}]})
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.locator(".row").first.wait_for()
    desk.weighed()
    typed(desk, "1 leek", "2 leeks")
    save(desk)
    found = desk.api("GET", f"/recipes/{made['id']}")
    assert [section["name"] for section in found["sections"]] == ["Chowder", "Toppings", ""]


def test_what_it_makes_outlives_a_list_that_says_less(desk: Desk) -> None:
    form = desk.preview(CHOWDER)["ledger"]["recipe"] | {"yield": {"cooked_grams": 800}}
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.locator(".row").first.wait_for()
    desk.weighed()
    typed(desk, "Chowder:", "Makes 12 cups\n\nChowder:")
    save(desk)
    made = desk.api("GET", f"/recipes/{made['id']}")["yield"]
    assert (made["pieces"], made["cooked_grams"]) == (12, 800)


def test_servings_that_were_typed_first_are_kept(desk: Desk) -> None:
    serve_to(desk, 6)
    desk.weigh("40 g butter\n500 g smoked haddock")
    assert desk.page.input_value("#serves") == "6"
    assert "for how many" not in desk.page.inner_text("#notice")


@pytest.mark.parametrize("times", [1, 2])
def test_what_was_chosen_outlives_a_weighing_that_failed(desk: Desk, times: int) -> None:
    """The service fails in the middle, or the list is weighed twice at once."""
    desk.expected = ("503",)
    opened_with(desk, CHOWDER, **CHOSEN)
    page = desk.page
    page.click("#as-text")
    page.fill("#list-text", page.input_value("#list-text").replace("1 leek", "2 leeks"))
    if times == 1:
        busy = {"status": 503, "headers": {"Retry-After": "30"}, "content_type": "application/json", "body": "{}"}
        page.route("**/v1/recipes/preview*", lambda route: route.fulfill(**busy))
    page.evaluate(f"for (let i = 0; i < {times}; i += 1) document.getElementById('weigh').click()")
    if times == 1:
        desk.text_of("#notice", "503")
        assert page.is_visible("#list")
        page.unroute("**/v1/recipes/preview*")
        try_now(desk)
    desk.until("document.querySelector('#list').hidden")
    desk.weighed()
    assert kept(desk)[CREAM] == CHOSEN
    assert page.inner_text("#recipe-name") == "Smoked fish chowder plate"


def test_an_open_list_follows_the_bench(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#as-text")
    bench = desk.bench("double cream")
    bench.get_by_label("As written").fill(LESS)
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert LESS in desk.page.input_value("#list-text")


# ---- what is typed on the bench -------------------------------------------------------------------------------------


def test_what_is_typed_on_the_bench_outlives_a_weighing(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("123")
    serve_to(desk, 6)
    desk.text_of("#said", "Serves 6")
    assert bench.get_by_label("Own weight").input_value() == "123"
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert kept(desk)["1 leek, sliced"]["grams"] == 123


@pytest.mark.parametrize("act", ["move", "leave out"])
def test_what_is_typed_on_the_bench_goes_with_a_line(desk: Desk, act: str) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("123")
    if act == "move":
        bench.get_by_label("Belongs to").select_option("1")
        desk.text_of("#said", "moved")
    else:
        bench.get_by_role("button", name="Leave it out").click()
        desk.text_of("#said", "Left out")
    desk.weighed()
    assert kept(desk)["1 leek, sliced"]["grams"] == 123


@pytest.mark.parametrize("by", ["Close", "another line"])
def test_a_bench_that_is_closed_leaves_a_way_back_to_what_was_typed(desk: Desk, by: str) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_role("button", name="Close").click()
    assert desk.page.locator("#notice").is_hidden()
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("123")
    if by == "Close":
        bench.get_by_role("button", name="Close").click()
    else:
        desk.line("butter").click()
    desk.text_of("#notice", "What you put in for “1 leek, sliced” was not taken.")
    desk.page.locator("#notice").get_by_role("button", name="Take it back").click()
    assert bench.get_by_label("Own weight").input_value() == "123"
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert kept(desk)["1 leek, sliced"]["grams"] == 123


# ---- what is typed elsewhere while something is weighed -------------------------------------------------------------


def test_what_is_typed_of_what_it_makes_outlives_an_answer(desk: Desk) -> None:
    """The answer to the first field comes while the second is typed."""
    desk.weigh(CHOWDER)
    page = desk.page
    page.locator("#makes > summary").click()
    held: list[Any] = []
    page.route("**/v1/recipes/preview*", lambda route: route.continue_() if held else held.append(route))
    page.fill("#makes-pieces", "12")
    page.focus("#makes-name")
    desk.page.keyboard.type("cu")
    while not held:
        page.wait_for_timeout(20)
    held[0].continue_()
    desk.text_of("#said", "Weighed again")
    page.keyboard.type("ps")
    assert (desk.focused(), page.input_value("#makes-name")) == ("makes-name", "cups")
    page.keyboard.press("Tab")
    desk.weighed()
    save(desk)
    found = desk.api("GET", f"/recipes/{page.inner_text('#standing').partition(',')[0]}")["yield"]
    assert (found["pieces"], found["piece_name"]) == (12, "cups")


def test_a_way_that_is_being_typed_outlives_a_weighing(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    page = desk.page
    page.click("#way-add")
    page.fill("#way-name", "for two")
    page.fill("#way-servings", "2")
    serve_to(desk, 6)
    desk.text_of("#said", "Serves 6")
    assert page.input_value("#way-name") == "for two"
    page.get_by_role("button", name="Add it").click()
    desk.text_of("#said", "for two is a way")
    assert page.locator("#way-edit > *").count() == 0
    assert page.get_by_role("button", name="Change for two").count() == 1


def test_the_name_of_a_section_that_is_being_typed_outlives_a_weighing(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    page = desk.page
    page.get_by_role("button", name="Change section").first.click()
    page.get_by_label("Name of the section").fill("Quay base")
    serve_to(desk, 6)
    desk.text_of("#said", "Serves 6")
    assert page.get_by_label("Name of the section").input_value() == "Quay base"
    page.get_by_role("button", name="Make a recipe of it").click()
    desk.text_of("#notice", "Quay base is a recipe of its own")
    desk.weighed()
    assert page.locator(".part__acts").count() == 0


SWAPPED = {"food": "sr28:01049", "grams": 180.0}
FITTED = {
    "another amount": ("220 ml plain yogurt", {"food": "sr28:01049"}, "its amount is another now"),
    "a note": ("200 ml plain yogurt, cold", SWAPPED, ""),
    "another food": ("200 ml skyr", {}, "it names another food now"),
}


@pytest.mark.parametrize(("new", "left", "why"), FITTED.values(), ids=FITTED)
def test_what_was_chosen_for_a_line_that_comes_in_stays_where_it_can(
    desk: Desk, new: str, left: dict[str, Any], why: str
) -> None:
    opened(
        desk, CHOWDER, {"name": "sour", "swaps": [{"line": CREAM, "by": {"text": "200 ml plain yogurt", **SWAPPED}}]}
    )
    page = desk.page
    page.get_by_role("button", name="Change sour").click()
    page.get_by_label("for", exact=True).fill(new)
    page.get_by_label("Name", exact=True).focus()
    desk.text_of(".swap [role=status]", why)
    page.get_by_role("button", name="Keep it").click()
    desk.text_of("#said", "sour is a way")
    save(desk)
    form = desk.api("GET", f"/recipes/{page.inner_text('#standing').partition(',')[0]}")
    by = form["variants"][0]["swaps"][0]["by"]
    assert (by["text"], by["food"], by["grams"]) == (new, left.get("food"), left.get("grams"))


def test_changes_that_waited_and_are_refused_are_put_aside(desk: Desk) -> None:
    """While nobody answered two things were changed; the second cannot be, the first is not lost with it."""
    desk.expected = ("Failed to load resource",)
    desk.weigh(CHOWDER)
    page = desk.page
    page.route("**/v1/recipes/preview*", lambda route: route.abort())
    serve_to(desk, 6)
    desk.text_of("#notice", "tried again")
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("5000000")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "not yet sent")
    page.unroute("**/v1/recipes/preview*")
    try_now(desk)
    desk.text_of("#notice", "is put aside, and stands under Recipes")
    assert page.input_value("#serves") == "4"
    desk.open("#/recipes")
    page.get_by_role("button", name="Go on with").click()
    desk.text_of("#notice", "cannot be weighed")
    assert page.input_value("#serves") == "6"


def test_an_empty_share_is_no_share_of_nothing(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    share = bench.get_by_label("Eaten, %")
    share.fill("")
    share.press("Tab")
    assert share.input_value() == "100"
    share.fill("150")
    share.press("Tab")
    assert share.input_value() == "100"
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert kept(desk)["1 leek, sliced"]["share_eaten"] == 1
