"""What a slow service answers late is done to the recipe, the line and the room that it was asked for, or to none."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.web.conftest import CHOWDER, Desk, empty_kitchen
from tests.web.test_kitchen import save, serve_to
from tests.web.test_typed import answered, asked, draft, late, room, taken

PREVIEW = "FIBTG"  # how the address of a preview ends


def two_saved(desk: Desk) -> tuple[str, str]:
    """A saved chowder and a saved plate of eggs, which is at hand."""
    late(desk, "")
    desk.weigh(CHOWDER)
    chowder = save(desk)
    desk.page.click("#new")
    desk.weigh("Eggs plate\n\n40 g butter\n2 eggs\n50 g leek\n")
    return chowder, save(desk)


def lead(desk: Desk, recipe: str) -> None:
    desk.page.evaluate(f"location.hash = '#/recipe/{recipe.removeprefix('recipe:')}'")


def texts(form: Any) -> list[str]:
    return [line["text"] for section in form["sections"] for line in section["lines"]]


def open_chowder(desk: Desk, chowder: str) -> str:
    lead(desk, chowder)
    desk.text_of("#recipe-name", "Smoked")
    return "Smoked fish chowder plate"


def begin_another(desk: Desk, _chowder: str) -> str:
    desk.page.click("#new")
    desk.weigh("Toast\n\n1 slice bread")
    return "Toast"


@pytest.mark.parametrize("meanwhile", [open_chowder, begin_another])
def test_a_save_that_is_answered_late_is_of_its_recipe(desk: Desk, meanwhile: Callable[[Desk, str], str]) -> None:
    chowder, eggs = two_saved(desk)
    serve_to(desk, 3)
    desk.text_of("#said", "Serves 3")
    late(desk, eggs)
    desk.page.click("#save")
    asked(desk)
    name = meanwhile(desk, chowder)
    answered(desk)
    desk.text_of("#said", "Eggs plate is saved as revision 2")
    assert desk.page.inner_text("#recipe-name") == name
    serve_to(desk, 7)
    desk.text_of("#said", "Serves 7")
    desk.page.click("#save")
    desk.text_of("#said", "Saved as revision")
    assert desk.api("GET", f"/recipes/{eggs}")["title"] == "Eggs plate"
    titles = [one["title"] for one in desk.api("GET", "/recipes")["recipes"]]
    assert sorted(titles) == sorted({"Eggs plate", "Smoked fish chowder plate", name})


def test_a_save_that_is_refused_late_is_put_aside(desk: Desk) -> None:
    desk.expected = ("412",)
    chowder, eggs = two_saved(desk)
    other = {"title": "Theirs", "sections": [{"lines": [{"text": "2 eggs"}]}]}
    desk.api("PUT", f"/recipes/{eggs}", json=other, headers={"If-Match": '"1"'})
    serve_to(desk, 3)
    desk.text_of("#said", "Serves 3")
    late(desk, eggs)
    desk.page.click("#save")
    asked(desk)
    open_chowder(desk, chowder)
    answered(desk)
    desk.text_of("#notice", "Eggs plate was changed elsewhere")
    assert desk.page.inner_text("#recipe-name") == "Smoked fish chowder plate"
    room(desk, "Recipes")
    assert desk.page.locator("#room h3").all_inner_texts() == ["Eggs plate"]


def as_served(desk: Desk) -> None:
    serve_to(desk, 9)


def as_text(desk: Desk) -> None:
    desk.page.click("#as-text")
    desk.page.fill("#list-text", "5 eggs\n")
    desk.page.click("#weigh")


@pytest.mark.parametrize("act", [as_served, as_text])
def test_what_is_weighed_late_does_not_come_into_a_new_recipe(desk: Desk, act: Callable[[Desk], None]) -> None:
    late(desk, "")
    desk.weigh(CHOWDER)
    late(desk, PREVIEW)
    act(desk)
    asked(desk)
    desk.page.click("#new")
    desk.page.fill("#list-text", "2 leeks")
    answered(desk)
    desk.settle()
    assert desk.page.inner_text("#recipe-name") == "New recipe"
    assert (desk.page.locator(".row").count(), desk.page.input_value("#list-text")) == (0, "2 leeks")
    room(desk, "Recipes")
    desk.text_of("#room", "Smoked fish chowder plate")


def other_words(desk: Desk) -> str:
    desk.bench("eggs").get_by_label("As written").fill("3 leeks")
    return PREVIEW


def always(desk: Desk) -> str:
    bench = desk.bench("eggs")
    bench.get_by_label("Own weight").fill("77")
    bench.get_by_label("Always take").check()
    return "/choices"


@pytest.mark.parametrize("put_in", [other_words, always])
def test_what_is_taken_late_is_not_put_in_another_recipe(desk: Desk, put_in: Callable[[Desk], str]) -> None:
    chowder, _ = two_saved(desk)
    desk.settle()
    address = put_in(desk)
    desk.settle()
    late(desk, address)
    taken(desk)
    asked(desk)
    open_chowder(desk, chowder)
    answered(desk)
    desk.text_of("#notice", "What you put in for “2 eggs” was not taken.")
    assert texts(draft(desk)) == texts(desk.api("GET", f"/recipes/{chowder}"))


def test_what_is_taken_late_is_not_put_on_another_line(desk: Desk) -> None:
    late(desk, "")
    desk.weigh(CHOWDER)
    bench = desk.bench("celery")
    bench.get_by_label("Always take").check()
    bench.get_by_label("Own weight").fill("77")
    late(desk, "/choices")
    taken(desk)
    asked(desk)
    desk.page.click("#as-text")
    desk.page.fill("#list-text", desk.page.input_value("#list-text").replace("40 g butter\n", ""))
    desk.page.click("#weigh")
    desk.text_of("#said", "Weighed 6 lines")
    answered(desk)
    desk.text_of("#notice", "What you put in for “2 celery stalks, chopped” was not taken.")
    found = [line for section in draft(desk)["sections"] for line in section["lines"]]
    assert [line["text"] for line in found][:4] == [
        "1 leek, sliced", "2 celery stalks, chopped", "500 g smoked haddock, skinned", "200 ml double cream",
    ]  # fmt: skip
    assert {line["grams"] for line in found} == {None}


def test_a_section_that_becomes_a_recipe_late_is_replaced_in_its_own_list_alone(desk: Desk) -> None:
    chowder, eggs = two_saved(desk)
    open_chowder(desk, chowder)
    desk.weighed()
    desk.page.get_by_role("button", name="Change section Chowder").click()
    late(desk, "/recipes")
    desk.page.get_by_role("button", name="Make a recipe of it").click()
    asked(desk)
    lead(desk, eggs)
    desk.text_of("#recipe-name", "Eggs plate")
    answered(desk)
    desk.text_of("#notice", "Chowder is a recipe of its own.")
    assert texts(draft(desk)) == ["40 g butter", "2 eggs", "50 g leek"]


def keep_a_choice(desk: Desk) -> None:
    late(desk, "")
    room(desk, "Standing choices")
    desk.page.fill("#choice-phrase", "egg")
    desk.page.select_option("#choice-size", "large")
    late(desk, "/choices")
    desk.page.get_by_role("button", name="Keep it").click()


def look_for_recipes(desk: Desk) -> None:
    late(desk, "search=")
    desk.page.evaluate("location.hash = '#/recipes'")


@pytest.mark.parametrize("act", [keep_a_choice, look_for_recipes])
def test_a_room_that_comes_late_is_not_drawn_over_another(desk: Desk, act: Callable[[Desk], None]) -> None:
    act(desk)
    asked(desk)
    room(desk, "Own foods")
    answered(desk)
    desk.settle()
    assert desk.page.inner_text("#room h1") == "Own foods"


def test_of_two_recipes_that_are_opened_the_later_one_stands(desk: Desk) -> None:
    chowder, eggs = two_saved(desk)
    desk.page.click("#new")
    late(desk, chowder)
    lead(desk, chowder)
    asked(desk)
    lead(desk, eggs)
    desk.text_of("#recipe-name", "Eggs plate")
    answered(desk)
    desk.settle()
    assert desk.page.inner_text("#recipe-name") == "Eggs plate"


def test_who_types_while_treatments_arrive_goes_on_typing(desk: Desk) -> None:
    late(desk, "treatments")
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    asked(desk)
    bench.get_by_label("Eaten, %").fill("4")
    answered(desk)
    desk.until("document.querySelectorAll('.cooked option').length > 1")
    desk.page.keyboard.insert_text("5")
    assert bench.get_by_label("Eaten, %").input_value() == "45"


@pytest.mark.parametrize("number", ["70", "12e"])
def test_why_nothing_is_taken_stands_though_the_consequence_comes_after_it(desk: Desk, number: str) -> None:
    late(desk, "")
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_role("button", name="Enter an own food").click()
    bench.get_by_label("Fat").fill("3")
    late(desk, PREVIEW)
    bench.get_by_label("Own weight").fill(number)
    if number == "70":
        asked(desk)
    taken(desk)
    late(desk, "")
    answered(desk)
    desk.settle()
    assert "Nothing taken: " in bench.locator(".bench__result").inner_text()
    serve_to(desk, 9)
    desk.weighed()
    assert "Nothing taken: " in bench.locator(".bench__result").inner_text()
    bench.get_by_label("Own weight").fill("80")
    desk.text_of(".bench__result", "a serving")


def test_what_is_done_before_the_rest_of_the_page_is_here_is_done(browser: Any, place: str) -> None:
    """A line opened, other servings and a save while the scripts that do it are on their way."""
    context = browser.new_context(service_workers="block")
    desk, held = Desk(context.new_page(), place), list[Any]()
    desk.watch()
    desk.open()
    desk.weigh(CHOWDER)
    desk.page.route("**/js/desk.js", lambda route: held.append(route))
    desk.page.reload()
    desk.page.click("#line-2")
    desk.page.click("#save")
    serve_to(desk, 3)
    for route in held:
        route.continue_()
    desk.until("document.querySelector('#standing').textContent.startsWith('recipe:')")
    desk.weighed()
    assert (desk.page.input_value("#serves"), draft(desk)["servings"]) == ("3", 3)
    assert desk.page.locator(".bench").get_by_label("Own weight").is_visible()
    context.close()
    empty_kitchen(place)
    assert [text for text in desk.spoken if text.startswith("error")] == []
