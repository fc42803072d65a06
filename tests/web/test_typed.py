"""What is half typed outlives another room, an answer and a reload; what is no number is not taken for nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from service.kitchens.choice_table import read_choices_csv
from service.kitchens.forms import ChoiceForm
from tests.web.conftest import CHOWDER, Desk
from tests.web.test_kitchen import save

# Requests whose address ends with `__late` are kept back.
LATE = """window.__late = ''; window.__back = [];
const now = window.fetch;
window.fetch = async (...all) => {
  if (window.__late && String(all[0]).endsWith(window.__late)) await new Promise(done => window.__back.push(done));
  return now(...all);
};"""


def late(desk: Desk, address: str) -> None:
    """Keep requests back that are made from now on to addresses with this end; none where that is empty."""
    if desk.page.evaluate("window.__late") is None:
        desk.page.add_init_script(LATE)
        desk.page.reload()
        desk.settle()
    desk.page.evaluate(f"window.__late = '{address}'")


def asked(desk: Desk) -> None:
    """Wait until something is kept back; what is asked from now on is not."""
    desk.until("window.__back.length > 0")
    late(desk, "")


def answered(desk: Desk) -> None:
    """Let what was kept back through."""
    desk.page.evaluate("window.__back.splice(0).forEach(done => done())")


def room(desk: Desk, name: str) -> None:
    desk.page.get_by_role("navigation").get_by_role("link", name=name).click()
    desk.page.locator("#room h1", has_text=name).wait_for()


# ---- forms of the rooms ---------------------------------------------------------------------------------------------

ROOMS = {
    "an own food": ("Own foods", {"own-new-name": "Harbour bar", "own-new-FAT": "28", "own-new-ENERC": "420"}),
    "a standing choice": ("Standing choices", {"choice-phrase": "mayo", "choice-grams": "14"}),
}


def through_releases(desk: Desk, name: str) -> None:
    room(desk, "Releases")
    room(desk, name)


AWAY: dict[str, Callable[[Desk, str], None]] = {
    "another room": through_releases,
    "a reload": lambda desk, _name: desk.page.reload(),
}


@pytest.mark.parametrize("away", AWAY.values(), ids=AWAY)
@pytest.mark.parametrize(("name", "fields"), ROOMS.values(), ids=ROOMS)
def test_a_form_of_a_room_outlives(
    desk: Desk, name: str, fields: dict[str, str], away: Callable[[Desk, str], None]
) -> None:
    room(desk, name)
    for field, text in fields.items():
        desk.page.fill(f"#{field}", text)
    away(desk, name)
    desk.page.locator(f"#{next(iter(fields))}").wait_for()
    assert {field: desk.page.input_value(f"#{field}") for field in fields} == fields
    desk.page.get_by_role("button", name="Throw away").click()
    away(desk, name)
    desk.page.locator(f"#{next(iter(fields))}").wait_for()
    assert {desk.page.input_value(f"#{field}") for field in fields} == {""}


def test_a_changed_own_food_outlives_another_room(desk: Desk) -> None:
    desk.api("POST", "/foods", json={"description": "Rusk", "components": {"FAT": 3}})
    room(desk, "Own foods")
    desk.page.get_by_role("button", name="Change Rusk").click()
    card = desk.page.locator(".cards > li")
    card.get_by_label("Fat").fill("11")
    room(desk, "Releases")
    room(desk, "Own foods")
    assert card.get_by_label("Fat").input_value() == "11"


def test_an_own_food_keeps_what_no_field_shows(desk: Desk) -> None:
    stated = {"CHOCDF": 30, "CHOAVLDF": 20, "FIBTG": 10, "NA": 160}
    made = desk.api("POST", "/foods", json={"description": "Rusk", "components": stated})
    room(desk, "Own foods")
    desk.page.get_by_role("button", name="Change Rusk").click()
    desk.page.locator(".cards > li").get_by_label("Fat").fill("1")
    desk.page.locator(".cards > li").get_by_role("button", name="Keep it").click()
    desk.text_of("#room", "fat 1 g")
    assert desk.api("GET", f"/foods/{made['id']}")["form"]["components"] == {**stated, "FAT": 1}


def test_a_choice_of_two_things_is_refused(desk: Desk) -> None:
    desk.expected = ("422",)
    room(desk, "Standing choices")
    desk.page.fill("#choice-phrase", "knob")
    desk.page.select_option("#choice-size", "small")
    desk.page.fill("#choice-grams", "10")
    desk.page.get_by_role("button", name="Keep it").click()
    desk.text_of("#notice", "just one of food, size and grams")
    assert desk.api("GET", "/choices")["choices"] == []


def test_a_copy_of_the_choices_can_be_read_again(desk: Desk) -> None:
    kept = ChoiceForm(phrase='knob, of "butter"', grams=10.5)
    desk.api("POST", "/choices", json=kept.dumped())
    room(desk, "Standing choices")
    with desk.page.expect_download() as copied:
        desk.page.get_by_role("button", name="Keep a copy").click()
    assert copied.value.suggested_filename == "choices.csv"
    assert read_choices_csv(copied.value.path().read_bytes().decode()) == [kept]


def test_words_of_a_title_that_are_typed_outlive_an_answer(desk: Desk) -> None:
    late(desk, "search=s")
    room(desk, "Recipes")
    desk.page.click("#recipe-search")
    desk.page.keyboard.type("s")
    asked(desk)
    desk.page.keyboard.type("mo")
    answered(desk)
    desk.page.keyboard.type("ked")
    desk.settle()
    desk.page.keyboard.type(" pl")
    desk.settle()
    assert desk.page.input_value("#recipe-search") == "smoked pl"


# ---- what holds no number -------------------------------------------------------------------------------------------


def own_food(desk: Desk, number: str) -> None:
    room(desk, "Own foods")
    desk.page.fill("#own-new-name", "Rusk")
    desk.page.locator("#own-new-FAT").press_sequentially(number)
    desk.page.get_by_role("button", name="Keep it").click()


def choice(desk: Desk, number: str) -> None:
    room(desk, "Standing choices")
    desk.page.fill("#choice-phrase", "knob")
    desk.page.select_option("#choice-size", "small")
    desk.page.locator("#choice-grams").press_sequentially(number)
    desk.page.get_by_role("button", name="Keep it").click()


def own_weight(desk: Desk, number: str) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    bench.get_by_label("Own weight").press_sequentially(number)
    bench.get_by_role("button", name="Take it").click()


def cooked_weight(desk: Desk, number: str) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#makes summary")
    desk.page.locator("#makes-cooked").press_sequentially(number)
    desk.page.keyboard.press("Tab")


def way(desk: Desk, number: str) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#way-add")
    desk.page.fill("#way-name", "light")
    desk.page.locator("#way-servings").press_sequentially(number)
    desk.page.get_by_role("button", name="Add it").click()


NUMBERS = {
    "own food": (own_food, "#notice"), "standing choice": (choice, "#notice"),
    "own weight": (own_weight, ".bench__result"), "cooked weight": (cooked_weight, "#notice"),
    "servings of a way": (way, "#way-edit [role=alert]"),
}  # fmt: skip


@pytest.mark.parametrize("number", ["12e", "1,5", "1e999"])
@pytest.mark.parametrize(("act", "where"), NUMBERS.values(), ids=NUMBERS)
def test_what_is_no_number_is_not_taken_for_one(
    desk: Desk, act: Callable[[Desk, str], None], where: str, number: str
) -> None:
    """Of 1,5 the browser makes 15, and what no number can hold it sends as nothing."""
    act(desk, number)
    desk.text_of(where, "is no number")
    assert desk.api("GET", "/own-foods")["own_foods"] == desk.api("GET", "/choices")["choices"] == []


@pytest.mark.parametrize(
    ("before", "key", "after"),
    [("", "ArrowUp", "1"), ("2.1", "ArrowUp", "3.1"), ("0.5", "ArrowDown", "0"), ("1,5", "ArrowUp", "1,5")],
)
def test_a_number_goes_up_and_down_by_one(desk: Desk, before: str, key: str, after: str) -> None:
    desk.weigh(CHOWDER)
    field = desk.bench("leek").get_by_label("Own weight")
    field.fill(before)
    field.press(key)
    assert field.input_value() == after
    desk.page.press("#serves", "ArrowUp")
    desk.text_of("#said", "Serves 5")
    assert field.input_value() == after


def swapped(desk: Desk, number: str) -> None:
    desk.weigh(CHOWDER)
    half_a_way(desk)
    desk.page.locator(".swap").get_by_label("Own weight").press_sequentially(number)
    desk.page.get_by_role("button", name="Add it").click()


DRAWN_ANEW = {
    "own food": (own_food, "#own-new-FAT", "Keep it", "#notice"),
    "standing choice": (choice, "#choice-grams", "Keep it", "#notice"),
    "servings of a way": (way, "#way-servings", "Add it", "#way-edit [role=alert]"),
    "a swap": (swapped, ".swap [inputmode]", "Add it", "#way-edit [role=alert]"),
}


@pytest.mark.parametrize("number", ["1,5", "1.500,5", "12e"])
@pytest.mark.parametrize(("act", "field", "button", "where"), DRAWN_ANEW.values(), ids=DRAWN_ANEW)
def test_what_is_no_number_is_none_when_its_form_is_drawn_anew(
    desk: Desk, act: Callable[[Desk, str], None], field: str, button: str, where: str, number: str
) -> None:
    act(desk, number)
    desk.text_of(where, "is no number")
    desk.page.reload()
    desk.page.locator(field).wait_for()
    desk.settle()
    assert desk.page.input_value(field) == number
    desk.page.get_by_role("button", name=button).click()
    desk.text_of(where, "is no number")
    assert desk.api("GET", "/own-foods")["own_foods"] == desk.api("GET", "/choices")["choices"] == []


# ---- units that change meanwhile ------------------------------------------------------------------------------------


def test_a_weight_of_a_choice_keeps_the_unit_it_was_typed_in(desk: Desk) -> None:
    room(desk, "Standing choices")
    desk.page.fill("#choice-phrase", "a blob")
    desk.page.fill("#choice-grams", "14")
    desk.page.select_option("#units", "oz kcal")
    desk.page.get_by_role("button", name="Keep it").click()
    desk.text_of("#room", "0.5 oz a piece")
    assert [one["grams"] for one in desk.api("GET", "/choices")["choices"]] == [14]


def draft(desk: Desk) -> Any:
    kept = "Object.entries(localStorage).find(([key]) => key.startsWith('gramwright.draft'))[1]"
    return json.loads(desk.page.evaluate(kept))["form"]


@pytest.mark.parametrize(("units", "typed", "grams"), [("g kcal", "100", 100), ("oz kcal", "2", 56.699)])
def test_a_weight_of_a_swap_keeps_the_unit_it_was_typed_in(desk: Desk, units: str, typed: str, grams: float) -> None:
    desk.page.select_option("#units", units)
    desk.weigh(CHOWDER)
    half_a_way(desk)
    desk.page.locator(".swap").get_by_label("Own weight").fill(typed)
    desk.page.select_option("#units", "g kcal" if units != "g kcal" else "oz kcal")
    desk.page.get_by_role("button", name="Add it").click()
    desk.text_of("#said", "light is a way to serve it")
    assert draft(desk)["variants"][0]["swaps"][0]["by"]["grams"] == grams


def test_energy_of_an_own_food_keeps_the_unit_it_was_typed_in(desk: Desk) -> None:
    room(desk, "Own foods")
    desk.page.fill("#own-new-name", "Rusk")
    desk.page.fill("#own-new-ENERC", "420")
    desk.page.select_option("#units", "g kJ")
    through_releases(desk, "Own foods")
    assert desk.page.input_value("#own-new-ENERC") == "420"
    desk.page.get_by_role("button", name="Keep it").click()
    desk.text_of("#room", "energy")
    [made] = desk.api("GET", "/own-foods")["own_foods"]
    assert desk.api("GET", f"/foods/{made['id']}")["form"]["components"] == {"ENERC_KCAL": 420}


def test_a_weight_of_the_bench_stays_what_it_is_in_another_unit_and_a_reload(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("100")
    desk.page.select_option("#units", "oz kcal")
    desk.page.reload()
    desk.weighed()
    desk.bench("leek")
    assert bench.get_by_label("Own weight").input_value() == "3.53"
    taken(desk)
    desk.text_of("#said", "Taken.")
    assert draft(desk)["sections"][0]["lines"][1]["grams"] == 100


# ---- the bench ------------------------------------------------------------------------------------------------------


def test_a_measure_that_is_pressed_stands_where_the_bench_is_drawn_anew(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("5")
    bench.get_by_role("button", name="1 leek").click()
    for act in (renamed, reloaded):
        act(desk)
        if not bench.count():
            desk.bench("leek")
        assert bench.get_by_label("Own weight").input_value() == "89"


def test_an_own_food_that_is_half_typed_is_not_lost_with_what_is_taken(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("70")
    bench.get_by_role("button", name="Enter an own food").click()
    bench.get_by_label("Fat").fill("3")
    taken(desk)
    desk.text_of(".bench__result", "Nothing taken: choose the own food that you put in, or close it.")
    bench.get_by_role("button", name="Choose this own food").click()
    desk.text_of(".own-food__told", "is entered and chosen")
    taken(desk)
    desk.text_of("#said", "Taken.")
    assert draft(desk)["sections"][0]["lines"][1]["food"].startswith("own:")


def test_it_is_said_where_a_half_filled_bench_has_no_line_any_more(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.bench("leek").get_by_label("Own weight").fill("55")
    desk.page.click("#as-text")
    desk.page.fill("#list-text", desk.page.input_value("#list-text").replace("1 leek", "2 leeks"))
    desk.page.click("#weigh")
    desk.text_of("#notice", "What you put in for “1 leek, sliced” was not taken: no line reads so any more.")
    desk.page.get_by_role("button", name="Take it back").click()
    desk.text_of("#said", "Taken back")
    desk.weighed()
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "55"


def moved(desk: Desk) -> None:
    desk.page.locator(".bench").get_by_label("Belongs to").select_option("1")


def left_out(desk: Desk) -> None:
    desk.page.locator(".bench").get_by_role("button", name="Leave it out").click()


def taken(desk: Desk) -> None:
    desk.page.locator(".bench").get_by_role("button", name="Take it").click()


@pytest.mark.parametrize("act", [moved, left_out, taken])
@pytest.mark.parametrize(("field", "typed"), [("Own weight", "12e"), ("Own weight", "1,5"), ("Eaten, %", "12,5")])
def test_nothing_becomes_of_a_line_whose_number_is_none(
    desk: Desk, act: Callable[[Desk], None], field: str, typed: str
) -> None:
    desk.weigh(CHOWDER)
    before = draft(desk)
    bench = desk.bench("butter")
    bench.get_by_label(field).fill(typed)
    bench.get_by_label(field).press("Tab")
    desk.text_of(".bench__result", "is no number")
    act(desk)
    desk.text_of(".bench__result", "Nothing")
    desk.settle()
    assert draft(desk) == before
    assert bench.get_by_label(field).input_value() == typed
    assert bench.get_by_label("Belongs to").input_value() == "0"


def test_what_is_no_number_is_none_when_the_bench_is_drawn_anew(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").press_sequentially("2,5")
    renamed(desk)
    assert bench.get_by_label("Own weight").input_value() == "2,5"
    taken(desk)
    desk.text_of(".bench__result", "Nothing taken")


def test_what_is_typed_for_a_line_is_of_no_other_of_the_same_words(desk: Desk) -> None:
    desk.weigh("Stew:\n40 g butter\nsalt\n\nSalad:\n60 g walnuts\nsalt\n")
    for number, typed in ((2, ""), (4, "")):
        desk.page.click(f"#line-{number}")
        assert desk.page.locator(".bench").get_by_label("Own weight").input_value() == typed
        desk.page.locator(".bench").get_by_label("Own weight").fill(str(number))
        desk.page.reload()
        desk.weighed()
    for number in (2, 4):
        desk.page.click(f"#line-{number}")
        assert desk.page.locator(".bench").get_by_label("Own weight").input_value() == str(number)
        taken(desk)
        desk.text_of("#said", "Taken.")
        desk.weighed()
    lines = [line for section in draft(desk)["sections"] for line in section["lines"]]
    assert [line["grams"] for line in lines] == [None, 2, None, 4]


def test_what_is_half_typed_outlives_the_first_save(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.bench("leek").get_by_label("Own weight").fill("88")
    half_a_way(desk)
    save(desk)
    desk.page.fill("#serves", "3")
    desk.page.press("#serves", "Tab")
    desk.text_of("#said", "Serves 3")
    desk.page.fill("#way-servings", "2")
    desk.page.reload()
    desk.weighed()
    assert desk.page.input_value("#way-name") == "light"
    assert desk.page.input_value("#way-servings") == "2"
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "88"
    taken(desk)
    desk.text_of("#said", "Taken.")
    desk.weighed()
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "88"
    fields = "Object.entries(localStorage).find(([key]) => key.startsWith('gramwright.fields'))[1]"
    assert [name for name in json.loads(desk.page.evaluate(fields)) if name.startswith("bench")] == []


def renamed(desk: Desk) -> None:
    desk.page.get_by_role("button", name="Change section Chowder").click()
    desk.page.fill("#section-name-0", "Stew")
    desk.page.locator(".part__acts").get_by_role("button", name="Rename").click()
    desk.text_of("#said", "The section is called Stew")
    desk.weighed()


def reloaded(desk: Desk) -> None:
    desk.page.reload()
    desk.weighed()
    desk.bench("leek")


def anew(desk: Desk) -> None:
    desk.page.click("#new")
    desk.page.locator("#notice").get_by_role("button", name="Take it back").click()
    desk.weighed()
    desk.bench("leek")


@pytest.mark.parametrize("kept", [False, True], ids=["not saved", "saved"])
@pytest.mark.parametrize("act", [renamed, reloaded, anew])
def test_what_is_typed_on_the_bench_outlives(desk: Desk, act: Callable[[Desk], None], kept: bool) -> None:
    desk.weigh(CHOWDER)
    if kept:
        save(desk)
    bench = desk.bench("leek")
    bench.get_by_role("button", name="Enter an own food").click()
    bench.get_by_label("Fat").fill("7")
    bench.get_by_label("Own weight").fill("123")
    act(desk)
    assert bench.get_by_label("Own weight").input_value() == "123"
    assert bench.get_by_label("Fat").input_value() == "7"
    own = bench.get_by_role("button", name="Enter an own food")
    assert own.get_attribute("aria-expanded") == "true"
    own.click()
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    desk.weighed()
    assert desk.page.locator(".row", has_text="leek").locator(".row__grams b").inner_text() == "123"
    assert desk.bench("leek").get_by_label("Fat").input_value() == ""


def test_what_is_typed_on_the_bench_is_of_its_recipe(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.bench("leek").get_by_label("Own weight").fill("123")
    desk.page.click("#new")
    desk.weigh(CHOWDER)
    assert desk.bench("leek").get_by_label("Own weight").input_value() == ""


def test_a_search_that_is_answered_late_does_not_stand_under_other_words(desk: Desk) -> None:
    late(desk, "search=wal")
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    bench.get_by_label("Search the tables").press_sequentially("wal")
    asked(desk)
    bench.get_by_label("Search the tables").press_sequentially("leye")
    desk.text_of(".find ~ .offers", "walleye")
    answered(desk)
    desk.settle()
    assert "walleye" in bench.locator(".offers").nth(1).inner_text()


@pytest.mark.parametrize("act", [lambda _desk: None, lambda desk: desk.page.reload()], ids=["here", "after a reload"])
def test_a_food_of_a_standing_choice_stays_chosen_when_other_words_are_looked_for(
    desk: Desk, act: Callable[[Desk], Any]
) -> None:
    room(desk, "Standing choices")
    desk.page.fill("#choice-phrase", "pike")
    desk.page.fill("#choice-search", "walleye")
    desk.page.locator("[name=choice-food]").first.check()
    chosen = desk.page.locator("[name=choice-food]:checked").input_value()
    desk.page.fill("#choice-search", "leek")
    act(desk)
    desk.text_of(".offers", "Leek")
    assert desk.page.locator("[name=choice-food]:checked").input_value() == chosen
    desk.page.fill("#choice-search", "")
    desk.until("!document.querySelector('[name=choice-food]')")
    desk.page.fill("#choice-search", "walleye")
    desk.text_of(".offers", "walleye")
    assert desk.page.locator("[name=choice-food]:checked").count() == 0


def test_what_was_found_by_a_search_stays_chosen_when_the_bench_is_drawn_anew(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    bench.get_by_label("Search the tables").fill("walleye")
    bench.locator(".offer", has_text="sr28:15064").locator("input").check()
    renamed(desk)
    assert bench.locator("input[type=radio][value='sr28:15064']").last.is_checked()
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert "walleye" in desk.line("butter").inner_text()


def test_what_was_found_by_a_search_stays_chosen_when_it_is_looked_for_again(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    bench.get_by_label("Search the tables").fill("walleye")
    bench.locator(".offer", has_text="sr28:15064").locator("input").check()
    desk.page.reload()
    desk.weighed()
    desk.bench("butter")
    assert bench.locator(".offer input:checked").get_attribute("value") == "sr28:15064"
    taken(desk)
    desk.text_of("#said", "Taken.")
    assert "walleye" in desk.line("butter").inner_text()


@pytest.mark.parametrize("words", ["olive oil", "butter, salted", ""])
def test_what_was_found_by_a_search_stays_chosen_when_other_words_are_looked_for(desk: Desk, words: str) -> None:
    """Among what is found may be what the line is taken as until now."""
    desk.weigh(CHOWDER)
    bench = desk.bench("butter")
    bench.get_by_label("Search the tables").fill("walleye")
    bench.locator(".offer", has_text="sr28:15064").locator("input").check()
    bench.get_by_label("Search the tables").fill(words)
    desk.settle()
    taken(desk)
    desk.text_of("#said", "Taken.")
    assert "walleye" in desk.line("butter").inner_text()


def test_a_name_that_is_half_typed_outlives_a_reload(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    save(desk)
    desk.page.get_by_role("button", name="Change section Chowder").click()
    desk.page.fill("#section-name-0", "Stew")
    room(desk, "Recipes")
    desk.page.get_by_role("button", name="Rename Smoked").click()
    desk.page.get_by_label("New name").fill("Quay stew")
    desk.page.reload()
    desk.page.get_by_label("New name").wait_for()
    assert desk.page.get_by_label("New name").input_value() == "Quay stew"
    desk.page.get_by_role("button", name="Throw away").click()
    desk.open("#/")
    desk.weighed()
    desk.page.get_by_role("button", name="Change section Chowder").click()
    assert desk.page.input_value("#section-name-0") == "Stew"


def test_the_name_of_the_recipe_that_is_half_typed_outlives_a_reload(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#rename")
    desk.page.keyboard.type("Quay st")
    desk.page.reload()
    desk.weighed()
    desk.page.click("#rename")
    assert desk.page.input_value("#recipe-title") == "Quay st"
    desk.page.set_viewport_size({"width": 320, "height": 800})
    assert desk.page.evaluate("document.querySelector('#recipe-title').getBoundingClientRect().right") <= 320
    desk.page.keyboard.press("Escape")
    desk.page.click("#rename")
    assert desk.page.input_value("#recipe-title") == "Smoked fish chowder plate"


def test_what_is_no_number_stands_until_it_is_put_right(desk: Desk) -> None:
    cooked_weight(desk, "1,5")
    desk.text_of("#notice", "is no number")
    desk.page.fill("#serves", "3")
    desk.page.press("#serves", "Tab")
    desk.text_of("#said", "Serves 3")
    assert desk.page.input_value("#makes-cooked") == "1,5"
    desk.page.click("#new")
    desk.weigh("2 eggs")
    assert desk.page.input_value("#makes-cooked") == ""


def test_what_is_half_typed_is_of_the_recipe_that_is_saved_apart(desk: Desk) -> None:
    desk.expected = ("412",)
    desk.weigh(CHOWDER)
    recipe = save(desk)
    desk.bench("leek").get_by_label("Own weight").fill("88")
    half_a_way(desk)
    theirs = {"title": "Theirs", "sections": [{"lines": [{"text": "1 leek, sliced"}]}]}
    desk.api("PUT", f"/recipes/{recipe}", json=theirs, headers={"If-Match": '"1"'})
    desk.page.fill("#serves", "3")
    desk.page.press("#serves", "Tab")
    desk.text_of("#said", "Serves 3")
    desk.page.click("#save")
    desk.page.get_by_role("button", name="Save mine as another recipe").click()
    desk.until(
        f"/^recipe:.*revision 1$/.test($('standing').textContent) && !location.hash.endsWith('{recipe[6:]}')".replace(
            "$('standing')", "document.querySelector('#standing')"
        )
    )
    desk.page.reload()
    desk.weighed()
    assert desk.page.input_value("#way-name") == "light"
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "88"
    desk.open(f"#/recipe/{recipe[7:]}")
    desk.text_of("#recipe-name", "Theirs")
    desk.weighed()
    assert desk.page.locator("#way-name").count() == 0


# ---- a way to serve it ----------------------------------------------------------------------------------------------


def half_a_way(desk: Desk) -> None:
    desk.page.click("#way-add")
    desk.page.fill("#way-name", "light")
    desk.page.get_by_label("40 g butter").uncheck()
    desk.page.get_by_role("button", name="Swap a line for another").click()
    desk.page.locator(".swap").get_by_label("This line").select_option("200 ml double cream")
    desk.page.locator(".swap").get_by_label("for", exact=True).fill("200 ml yogurt")


def worded(desk: Desk) -> None:
    bench = desk.bench("leek")
    bench.get_by_label("As written").fill("2 leeks")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    desk.weighed()


@pytest.mark.parametrize("act", [worded, lambda desk: desk.page.reload()], ids=["a line worded anew", "a reload"])
def test_a_way_that_is_half_typed_outlives(desk: Desk, act: Callable[[Desk], Any]) -> None:
    desk.weigh(CHOWDER)
    half_a_way(desk)
    act(desk)
    desk.page.locator("#way-name").wait_for()
    desk.weighed()
    desk.page.get_by_role("button", name="Add it").click()
    desk.text_of("#said", "light is a way to serve it")
    save(desk)
    [made] = desk.api("GET", f"/recipes/{desk.page.inner_text('#standing').partition(',')[0]}")["variants"]
    assert (made["name"], made["without"], made["swaps"][0]["line"]) == (
        "light",
        ["40 g butter"],
        "200 ml double cream",
    )
    assert made["swaps"][0]["by"]["text"] == "200 ml yogurt"
    assert desk.page.locator("#way-name").count() == 0


def test_a_line_that_is_not_in_a_way_is_not_under_other_words(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    half_a_way(desk)
    desk.page.get_by_label("1 leek, sliced").uncheck()
    desk.page.get_by_label("60 g walnuts").check()
    for line, text in (
        ("leek", "2 leeks, sliced"),
        ("walnuts", "70 g walnuts"),
        ("double cream", "300 ml double cream"),
    ):
        desk.bench(line).get_by_label("As written").fill(text)
        taken(desk)
        desk.text_of("#said", f"Taken. {text}")
        desk.weighed()
    desk.page.get_by_role("button", name="Add it").click()
    desk.text_of("#said", "light is a way to serve it")
    [made] = draft(desk)["variants"]
    assert (made["without"], made["with"]) == (["40 g butter", "2 leeks, sliced"], ["70 g walnuts"])
    assert made["swaps"][0]["line"] == "300 ml double cream"


def test_a_way_that_is_half_typed_is_of_its_recipe(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    half_a_way(desk)
    desk.page.click("#new")
    desk.weigh("100 g butter\n50 g leek")
    assert desk.page.locator("#way-name").count() == 0


def test_the_form_of_a_way_leaves_a_way_back(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    half_a_way(desk)
    desk.page.locator("#way-edit").get_by_role("button", name="Close").click()
    desk.text_of("#notice", "What you put in for “light” was not kept.")
    desk.page.locator("#notice").get_by_role("button", name="Take it back").click()
    assert desk.page.input_value("#way-name") == "light"
    assert not desk.page.get_by_label("40 g butter").is_checked()


# ---- answers that come while something is typed ---------------------------------------------------------------------


def test_an_answer_does_not_take_the_focus_from_what_is_typed(desk: Desk) -> None:
    late(desk, "")
    desk.weigh(CHOWDER)
    late(desk, "FIBTG")
    desk.page.click("#topping-1")
    asked(desk)
    desk.page.click("#serves")
    desk.page.keyboard.press("Control+a")
    desk.page.keyboard.type("12")
    answered(desk)
    desk.text_of("#said", "part of the plain plate")
    assert (desk.focused(), desk.page.input_value("#serves")) == ("serves", "12")
    desk.page.keyboard.press("Tab")
    desk.text_of("#said", "Serves 12")


def test_a_list_that_is_typed_in_while_it_is_weighed_stays_open(desk: Desk) -> None:
    late(desk, "FIBTG")
    desk.page.fill("#list-text", CHOWDER)
    desk.page.click("#weigh")
    asked(desk)
    desk.page.click("#as-text")
    desk.page.keyboard.press("Control+End")
    desk.page.keyboard.type("5 plums, pulped under")
    answered(desk)
    desk.text_of("#said", "Weighed 7 lines")
    desk.page.keyboard.type(" cover")
    assert desk.page.input_value("#list-text").endswith("5 plums, pulped under cover")


def test_what_is_typed_while_the_service_is_away_is_what_is_weighed(desk: Desk) -> None:
    desk.expected = ("503",)
    away = {"status": 503, "json": {"detail": "away"}, "headers": {"Retry-After": "99"}}
    desk.page.route("**/v1/recipes/preview*", lambda route: route.fulfill(**away))
    desk.page.fill("#list-text", CHOWDER)
    desk.page.click("#weigh")
    desk.text_of("#notice", "tried again")
    desk.page.locator("#list-text").fill(f"{CHOWDER}5 plums\n")
    desk.page.unroute("**/v1/recipes/preview*")
    desk.page.get_by_role("button", name="Try now").click()
    desk.weighed()
    assert desk.page.locator(".row").count() == 8


# ---- what is put aside ----------------------------------------------------------------------------------------------


def test_what_closed_tabs_left_stands_under_recipes(desk: Desk) -> None:
    context = desk.page.context
    for number in range(10):
        tab = context.new_page()
        tab.goto(desk.place)
        tab.fill("#list-text", f"Thought {number}")
        # A tab that is closed before it has started keeps nothing.
        desk.until(f"Object.values(localStorage).includes('\"Thought {number}\"')")
    for tab in context.pages[1:]:
        tab.close()
    desk.alone()
    desk.page.reload()
    room(desk, "Recipes")
    desk.until("document.querySelectorAll('#room h3').length >= 10")
    assert sorted(desk.page.locator("#room h3").all_inner_texts()) == [f"Thought {number}" for number in range(10)]


SLOW_LOCKS = """
const request = LockManager.prototype.request, pause = ms => new Promise(done => setTimeout(done, ms));
let asked = 0;
LockManager.prototype.request = async function (name, ...more) {
  if (window.slowStart) await pause(800);
  const act = more.pop(), [options] = more;
  return request.call(this, name, ...more, async lock => {
    if (options?.ifAvailable && !asked++) await pause(1500);
    return act(lock);
  });
};
"""


def test_what_is_gathered_twice_at_a_time_is_all_listed(desk: Desk) -> None:
    desk.page.evaluate(
        "for (let n = 0; n < 12; n++) localStorage[`gramwright.text.left${n}`] = JSON.stringify(`Thought ${n}`)"
    )
    desk.page.add_init_script(SLOW_LOCKS)
    desk.open("#/recipes")
    desk.page.reload()
    desk.until("document.querySelectorAll('#room h3').length === 12")


def test_a_tab_that_is_loaded_anew_in_a_slow_browser_is_no_copy_of_itself(desk: Desk) -> None:
    """What it left would be put aside beside what it has, and what waits there be sent as another tab's."""
    desk.page.fill("#list-text", "5 plums")
    desk.page.add_init_script(f"window.slowStart = true;{SLOW_LOCKS}")
    desk.page.reload()
    desk.until("document.querySelector('#list-text').value === '5 plums'")
    assert desk.page.evaluate("Object.keys(localStorage).filter(key => key.startsWith('gramwright.text')).length") == 1


def test_what_is_typed_before_the_page_has_started_stays(desk: Desk) -> None:
    tab = desk.page.context.new_page()
    other = Desk(tab, desk.place)
    tab.add_init_script(f"window.slowStart = true;{SLOW_LOCKS}")
    tab.goto(desk.place)
    tab.fill("#list-text", "5 plums")
    other.until("localStorage.length")
    tab.reload()
    other.until("document.querySelector('#list-text').value === '5 plums'")
    tab.reload()
    tab.fill("#list-text", "4 figs")
    other.until("document.querySelector('#list-text').value === '5 plums\\n4 figs'")


def test_what_many_tabs_left_is_gathered_once_each(desk: Desk) -> None:
    desk.page.evaluate(
        "for (let n = 0; n < 40; n++) localStorage[`gramwright.text.left${n}`] = JSON.stringify(`Thought ${n}`)"
    )
    desk.open("#/recipes")
    desk.page.reload()
    desk.until("document.querySelectorAll('#room h3').length >= 40")
    assert sorted(desk.page.locator("#room h3").all_inner_texts()) == sorted(f"Thought {n}" for n in range(40))


def test_no_list_that_is_put_aside_gives_way_to_later_ones(desk: Desk) -> None:
    desk.page.evaluate(
        "localStorage['gramwright.aside'] = JSON.stringify("
        "Array.from({ length: 20 }, (_, n) => ({ id: `${n}`, at: 0, text: `Thought ${n}`, form: null })))"
    )
    desk.page.fill("#list-text", "Thought 20")
    desk.weigh("Thought 20\n\n5 plums")
    desk.page.click("#new")
    room(desk, "Recipes")
    assert desk.page.locator("#room h3").count() == 21


def test_an_own_food_of_a_closed_tab_outlives_the_list_of_recipes(desk: Desk) -> None:
    context = desk.page.context
    for name in ("Closed tab food", ""):
        tab = context.new_page()
        other = Desk(tab, desk.place)
        other.open()
        if name:
            room(other, "Own foods")
            tab.fill("#own-new-name", name)
            tab.close()
            desk.alone()
            room(desk, "Recipes")
            desk.alone()  # as what gathers what closed tabs left has done
        else:
            room(other, "Own foods")
            assert tab.input_value("#own-new-name") == "Closed tab food"


def test_the_bench_of_a_closed_tab_comes_with_its_draft(desk: Desk) -> None:
    tab = desk.page.context.new_page()
    other = Desk(tab, desk.place)
    other.open()
    other.weigh(CHOWDER)
    other.bench("leek").get_by_label("Own weight").fill("55")
    tab.close()
    desk.alone()
    room(desk, "Recipes")
    desk.page.get_by_role("button", name="Go on with Smoked").click()
    desk.weighed()
    assert desk.bench("leek").get_by_label("Own weight").input_value() == "55"


def test_a_list_that_is_put_aside_comes_back_with_what_was_typed(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#as-text")
    desk.page.fill("#list-text", "a thought")
    desk.page.click("#new")
    desk.page.get_by_role("button", name="Take it back").click()
    assert desk.page.inner_text("#recipe-name") == "Smoked fish chowder plate"
    assert desk.page.input_value("#list-text") == "a thought"


def test_what_did_not_work_is_over_when_it_works(desk: Desk) -> None:
    desk.expected = ("422",)
    room(desk, "Own foods")
    desk.page.fill("#own-new-name", "Rusk")
    for fat, said in (("150", "cannot hold 150 g"), ("15", "")):
        desk.page.fill("#own-new-FAT", fat)
        desk.page.get_by_role("button", name="Keep it").click()
        desk.text_of("#notice" if said else "#room .cards", said or "Rusk")
    desk.until("document.querySelector('#notice').hidden")
