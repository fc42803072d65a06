"""What a recipe is made of and makes: yield, cooking, net carbohydrate's convention, toppings by line, sub-recipes."""

from __future__ import annotations

from typing import Any

import pytest

from tests.web.conftest import CHOWDER, Desk
from tests.web.test_figures import amount_text, figure_of, plain, ticket, total
from tests.web.test_kitchen import save


def form_of(desk: Desk, text: str) -> Any:
    """A recipe in the form of the API."""
    return desk.preview(text)["ledger"]["recipe"]


def worked(desk: Desk, form: Any) -> Any:
    return desk.api("POST", "/recipes/preview", params={"ledger": "true"}, json=form)


def shows(desk: Desk, answer: Any) -> None:
    """The ticket shows the figures of an answer."""
    shown = ticket(desk)
    for name, tagname in (("Energy", "ENERC_KCAL"), ("Fat", "FAT"), ("Net carbohydrate", "net_carbohydrate")):
        found = amount_text(total(figure_of(answer["per_serving"], tagname)))
        assert plain(shown[name][0]) == plain(found), name


def fill(desk: Desk, label: str, text: str) -> None:
    """Fill in a field of what the recipe makes, and wait for what it comes to."""
    desk.page.evaluate("document.querySelector('#makes').open = true")
    desk.page.get_by_label(label, exact=True).fill(text)
    desk.page.keyboard.press("Tab")
    desk.until("document.querySelector('#said').textContent.startsWith('Weighed again')")
    desk.weighed()


YIELDS: dict[str, tuple[list[tuple[str, str]], dict[str, Any]]] = {
    "pieces": ([("Makes, pieces", "8"), ("of what", "cup")], {"pieces": 8, "piece_name": "cup"}),
    "cooked weight": ([("Cooked weight, g", "800")], {"cooked_grams": 800}),
    "factor": ([("or cooked : raw", "0.9")], {"factor": 0.9}),
}


@pytest.mark.parametrize(("fields", "made"), YIELDS.values(), ids=YIELDS)
def test_a_yield_is_kept_and_weighed(desk: Desk, fields: list[tuple[str, str]], made: dict[str, Any]) -> None:
    desk.weigh(CHOWDER)
    for label, text in fields:
        fill(desk, label, text)
    recipe = save(desk)
    kept = desk.api("GET", f"/recipes/{recipe}")["yield"]
    assert {name: kept[name] for name in made} == made
    assert all(value is None for name, value in kept.items() if name not in made)
    answer = desk.api("GET", f"/recipes/{recipe}/nutrition")
    shows(desk, answer)
    for note in (*answer["weight"]["notes"], answer["weight"]["basis"]):
        assert note in desk.page.inner_text("#makes")
    desk.page.focus("#line-1")
    desk.page.keyboard.press("u")
    desk.until("document.querySelector('#said').textContent.startsWith('Taken back')")
    assert desk.page.get_by_label(fields[-1][0], exact=True).input_value() == ""


@pytest.mark.parametrize("polyols", ["all", "half", "by name", "none"])
def test_net_carbohydrate_follows_the_kitchens_convention(desk: Desk, polyols: str) -> None:
    text = "Jelly\n\n60 g erythritol\n40 g maltitol\n20 g allulose\n100 g raspberries"
    desk.weigh(text)
    desk.page.evaluate("document.querySelector('#makes').open = true")
    desk.page.select_option("#makes-net", "none" if polyols == "all" else "all")
    desk.page.select_option("#makes-net", polyols)
    desk.page.get_by_label("allulose off too").uncheck()
    desk.until("document.querySelector('#said').textContent.startsWith('Weighed again')")
    desk.weighed()
    form = form_of(desk, text) | {"net_carbohydrate": {"polyols": polyols, "allulose": False}}
    answer = worked(desk, form)
    shows(desk, answer)
    assert answer["per_serving"]["net_carbohydrate"]["formula"] in desk.page.inner_text("#makes")
    off = {
        "all": " − polyols",
        "half": " − half the polyols",
        "by name": " − erythritol and half the other polyols",
        "none": "",
    }
    assert desk.page.inner_text("#ticket .t--net th .note") == f"total − fibre{off[polyols]}"


def test_the_ticket_says_what_is_taken_off_for_net_carbohydrate(desk: Desk) -> None:
    desk.weigh("Cheesecake\nServes 4\n\n300 g cream cheese\n80 g erythritol\n2 eggs")
    assert desk.page.inner_text("#ticket .t--net th .note") == "total − fibre − polyols − allulose"


def test_a_cooking_treatment_and_the_share_eaten_are_kept_and_counted(desk: Desk) -> None:
    text = "Plate\n\n500 g potatoes\n30 g butter"
    desk.weigh(text)
    bench = desk.bench("500 g potatoes")
    treatment = bench.get_by_label("Cooked").locator("option").nth(1).get_attribute("value")
    bench.get_by_label("Cooked").select_option(treatment)
    bench.get_by_label("Eaten, %").fill("80")
    desk.until("document.querySelector('.bench__result b')")
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    form = form_of(desk, text)
    form["sections"][0]["lines"][0] |= {"treatment": treatment, "share_eaten": 0.8}
    answer = worked(desk, form)
    shows(desk, answer)
    taken = desk.line("500 g potatoes").locator(".row__taken")
    assert [one.strip() for one in taken.inner_text().split("·")][1:] == [treatment, "80 % eaten"]
    assert "·" not in desk.line("30 g butter").locator(".row__taken").inner_text()
    kept = desk.api("GET", f"/recipes/{save(desk)}")["sections"][0]["lines"][0]
    assert (kept["treatment"], kept["share_eaten"]) == (treatment, 0.8)
    notes = [note for one in answer["lines"][0]["ingredients"] for note in one["notes"]]
    bench = desk.bench("500 g potatoes")
    assert all(note in bench.locator(".bench__why").inner_text() for note in notes)
    assert bench.get_by_label("Eaten, %").input_value() == "80"


@pytest.mark.parametrize("said", ["Browned and drained", "simmered 1 hour", "browned, drained"])
def test_a_treatment_by_another_spelling_is_shown_and_can_be_removed(desk: Desk, said: str) -> None:
    """A kitchen's own spelling of a treatment is kept as it was sent; the bench has it once."""
    desk.weigh(f"Plate\n\n500 g beef mince [{said}]\n30 g butter")
    bench = desk.bench("beef mince")
    cooked = bench.get_by_label("Cooked")
    desk.until("document.querySelector('select[id^=treatment]').options.length > 2")
    known = {one["name"] for one in desk.api("GET", "/treatments")["treatments"]}
    names = cooked.locator("option").all_inner_texts()
    assert cooked.locator("option:checked").inner_text() == said
    assert len(names) == len(known) + 1
    cooked.select_option("")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    shows(desk, desk.preview("Plate\n\n500 g beef mince\n30 g butter"))


def test_a_line_is_a_topping_by_itself(desk: Desk) -> None:
    desk.weigh("Plate\n\n100 g butter\n30 g walnuts")
    bench = desk.bench("walnuts")
    bench.get_by_label("a topping by itself").check()
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    row = desk.page.locator(".row", has_text="walnuts")
    assert row.locator(".bar__off").inner_text() == "left off"
    answer = desk.preview("Plate\n\n100 g butter")
    shows(desk, answer)
    assert plain(ticket(desk)["Fat"][2]) == plain(
        amount_text(total(figure_of(desk.preview("Plate\n\n100 g butter\n30 g walnuts")["per_serving"], "FAT")))
    )
    desk.page.keyboard.press("u")
    desk.until("!document.querySelector('.bar__off')")


def test_a_saved_recipe_is_used_by_its_title_and_found_on_the_bench(desk: Desk) -> None:
    dip = desk.api("POST", "/recipes", json={
        "title": "Bollard dip", "servings": 2,
        "sections": [{"lines": [{"text": "100 g cream cheese"}, {"text": "50 g smoked haddock"}]}]})  # fmt: skip
    desk.weigh("Plate\n\n30 g bollard dip\n40 g quay paste")
    assert desk.line("bollard dip").locator(".word").inner_text() == "saved recipe"
    bench = desk.bench("quay paste")
    bench.get_by_label("Search the tables").fill("bollard dip")
    bench.locator(".offer", has_text=dip["id"]).click()
    bench.get_by_role("button", name="Take it").click()
    desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    assert desk.line("quay paste").locator(".row__food").inner_text() == "Bollard dip"
    form = desk.api("GET", f"/recipes/{save(desk)}")
    assert [line["food"] for line in form["sections"][0]["lines"]] == [None, dip["id"]]
    shows(desk, desk.api("GET", f"/recipes/{form['id']}/nutrition"))


def test_a_section_is_renamed_and_the_recipe_too(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.get_by_role("button", name="Change section Chowder").click()
    desk.page.get_by_label("Name of the section").fill("Soup")
    desk.page.locator(".part__acts").get_by_role("button", name="Rename").click()
    desk.until("document.querySelector('.part h3').textContent === 'Soup'")
    desk.page.click("#rename")
    desk.page.get_by_label("Name of the recipe").fill("Quay soup")
    desk.page.keyboard.press("Enter")
    desk.until("document.querySelector('#said').textContent === 'It is called Quay soup'")
    assert desk.page.locator("h1#recipe-name").is_visible()
    form = desk.api("GET", f"/recipes/{save(desk)}")
    assert (form["title"], form["sections"][0]["name"]) == ("Quay soup", "Soup")
