"""Ways to serve it: side by side, other counts of servings, one line in place of another; lines left out."""

from __future__ import annotations

import math
import re
from typing import Any

import httpx
import pytest

from tests.web.conftest import CHOWDER, GAPS, Desk
from tests.web.test_figures import amount_text, figure_of, plain, ticket, total
from tests.web.test_kitchen import save

ROWS = {
    "Energy": "ENERC_KCAL", "Fat": "FAT", "Protein": "PROCNT", "Total carbohydrate": "CHOCDF", "Fibre": "FIBTG",
    "Net carbohydrate": "net_carbohydrate",
}  # fmt: skip


def add(desk: Desk, name: str, *, servings: str = "", swap: tuple[str, str] | None = None) -> None:
    page = desk.page
    page.click("#way-add")
    page.fill("#way-name", name)
    page.fill("#way-servings", servings)
    if swap is not None:
        page.get_by_role("button", name="Swap a line for another").click()
        page.locator(".swap").get_by_label("This line").select_option(swap[0])
        page.locator(".swap").get_by_label("for", exact=True).fill(swap[1])
    page.get_by_role("button", name="Add it").click()
    desk.text_of("#ways-table", name)
    desk.settle()


def shown(desk: Desk, name: str) -> dict[str, str]:
    """The column of a way in the table of all."""
    heads = desk.page.locator(".ways thead th").all_inner_texts()
    place = next(at for at, head in enumerate(heads) if head.startswith(name))
    rows = desk.page.locator(".ways tbody tr").all()
    return {row.locator("th").inner_text(): row.locator("td").nth(place).inner_text() for row in rows}


def variant_of(answer: Any, name: str) -> Any:
    return next(one for one in answer["variants"] if one["name"] == name)


def test_a_swap_and_another_count_stand_side_by_side_as_the_api_has_them(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    add(desk, "with yogurt", servings="3", swap=("200 ml double cream", "200 ml plain yogurt"))
    form = desk.api("GET", f"/recipes/{save(desk)}")
    swaps = [{"line": one["line"], "by": one["by"]["text"]} for one in form["variants"][0]["swaps"]]
    assert swaps == [{"line": "200 ml double cream", "by": "200 ml plain yogurt"}]
    answer = desk.api("GET", f"/recipes/{form['id']}/nutrition")
    found, column = variant_of(answer, "with yogurt"), shown(desk, "with yogurt")
    assert found["servings"] == 3
    for name, tagname in ROWS.items():
        assert plain(column[name]) == plain(amount_text(total(figure_of(found["per_serving"], tagname))))
    assert "Yogurt, plain" in desk.page.inner_text(".swaps")


LOOSE = """Pan supper
Serves 2

500 g beef mince [browned, drained]
200 g aubergine [deep-fried]

+ Toppings:
1 tsp zorblax
10 g cheddar
"""


def test_a_topping_does_not_seem_to_lower_a_figure(desk: Desk) -> None:
    """The table of ways says what the description says of the same recipe."""
    desk.weigh(LOOSE)
    dressed = shown(desk, "with everything")
    text = httpx.get(f"{desk.place}/v1/recipes/{save(desk)}/description", headers={"Accept": "text/plain"}).text
    said = text[text.index("A serving (with everything)") :]
    for name in ("Energy", "Fat", "Protein"):
        assert f"{name.lower()} " + dressed[name].replace("≥\xa0", "at least ") in said
    assert dressed["Fat"].startswith("plain + ≥")


def test_a_way_that_leaves_something_off_does_not_add_to_the_plain_one(desk: Desk) -> None:
    form = desk.preview(LOOSE)["ledger"]["recipe"]
    mince = form["sections"][0]["lines"][0]["text"]
    opened(desk, LOOSE, {"name": "meatless", "without": [mince], "with": ["1 tsp zorblax"]})
    desk.page.check("input[name=way][value=meatless]", force=True)
    assert shown(desk, "meatless")["Fat"].startswith("≥")
    assert ticket(desk)["Fat"][-1].startswith("≥")


def test_what_a_way_adds_at_least_is_said(desk: Desk) -> None:
    text = LOOSE.replace("[browned, drained]", "").replace("[deep-fried]", "")
    opened(desk, text, {"name": "dressed", "with": ["Toppings"]})
    desk.page.check("input[name=way][value=dressed]", force=True)
    answer = desk.preview(text)
    fat = answer["ledger"]["optional"]["components"]["FAT"]
    assert fat["high"] is None
    assert ticket(desk)["Fat"][1] == f"≥\xa0+{math.floor(fat['low'] * 10) / 10}"
    assert "not known" not in ticket(desk)["Protein"]


MOVED = {
    "into a section that a way leaves out": ("40 g butter", "1", "no longer counted in “plain”"),
    "out of it": ("60 g walnuts, toasted", "0", "now counted in “plain”, “bare”"),
    "into a new section of the same kind": ("4 tbsp soured cream", "new", ""),
}


@pytest.mark.parametrize(("line", "to", "said"), MOVED.values(), ids=MOVED)
def test_a_line_that_is_moved_says_which_ways_count_it(desk: Desk, line: str, to: str, said: str) -> None:
    opened(desk, CHOWDER, {"name": "bare", "without": ["Toppings"]})
    before = ticket(desk)["Fat"][0]
    desk.bench(line).get_by_label("Belongs to").select_option(to)
    desk.text_of("#said", "moved")
    desk.weighed()
    assert said in desk.page.inner_text("#said")
    assert (desk.page.locator("#notice").is_visible() and said in desk.page.inner_text("#notice")) == bool(said)
    assert (ticket(desk)["Fat"][0] == before) == (not said)
    assert ways_of(desk)["bare"] == ["Toppings", *(["New section"] if to == "new" else [])]


def test_a_way_is_changed_and_removed_and_comes_back(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    add(desk, "light", swap=("200 ml double cream", "200 ml plain yogurt"))
    desk.page.get_by_role("button", name="Change light").click()
    assert desk.page.input_value(".swap input[id$=-by]") == "200 ml plain yogurt"
    desk.page.fill("#way-name", "lighter")
    desk.page.get_by_role("button", name="Do not swap").click()
    desk.page.get_by_label("40 g butter").uncheck()
    desk.page.get_by_role("button", name="Keep it").click()
    desk.text_of(".ways", "lighter")
    desk.settle()
    assert desk.page.locator(".swaps").count() == 0
    text = CHOWDER.replace("40 g butter\n", "")
    fat = desk.preview(text)["per_serving"]["components"]["FAT"]
    assert plain(shown(desk, "lighter")["Fat"]) == plain(amount_text(total(fat)))
    desk.page.get_by_role("button", name="Remove lighter").click()
    desk.until("!document.querySelector('.ways').textContent.includes('lighter')")
    desk.page.focus("#line-1")
    desk.page.keyboard.press("u")
    desk.text_of(".ways", "lighter")


def test_a_way_needs_a_name_of_its_own(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.page.click("#way-add")
    for name, said in (("", "needs a name"), ("plain", "already")):
        desk.page.fill("#way-name", name)
        desk.page.get_by_role("button", name="Add it").click()
        desk.text_of("#way-edit [role=alert]", said)


def test_a_line_left_out_stays_struck_through_save_and_reload(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    desk.bench("40 g butter").get_by_role("button", name="Leave it out").click()
    desk.weighed()
    assert desk.line("40 g butter").locator(".word").inner_text() == "left out"
    fat = desk.preview(CHOWDER.replace("40 g butter\n", ""))["per_serving"]["components"]["FAT"]
    desk.page.check("input[name=component][value=FAT]", force=True)
    assert plain(desk.page.inner_text("#ledger-foot .foot__sum b")) == plain(amount_text(total(fat)))
    recipe = save(desk)
    assert desk.api("GET", f"/recipes/{recipe}")["sections"][0]["lines"][0]["left_out"] is True
    desk.page.reload()
    desk.weighed()
    assert desk.page.locator("del.row__said").all_inner_texts() == ["40 g butter"]
    desk.bench("40 g butter").get_by_role("button", name="Put it back").click()
    desk.weighed()
    assert desk.page.locator("del.row__said").count() == 0
    desk.page.keyboard.press("u")
    desk.until("document.querySelectorAll('del.row__said').length === 1")


@pytest.mark.parametrize("energy", ["kcal", "kJ"])
def test_a_difference_in_energy_is_in_the_readers_unit(desk: Desk, energy: str) -> None:
    desk.weigh(CHOWDER)
    add(desk, "with yogurt", servings="3", swap=("200 ml double cream", "200 ml plain yogurt"))
    desk.page.select_option("#units", f"g {energy}")
    desk.page.check("input[name=way][value='with yogurt']", force=True)
    answer = desk.api("GET", f"/recipes/{save(desk)}/nutrition")
    changed = variant_of(answer, "with yogurt")["difference_per_serving"][f"ENERC_{energy.upper()}"]
    assert changed < 0
    assert plain(ticket(desk)["Energy"][1]) == f"{changed:.0f}"
    assert desk.page.locator("#ticket .t--ENERC td small").count() == 2  # the 95 % ranges of both ways


OTHER = {"g kcal": r"\d (?:oz|kJ)\b", "oz kJ": r"\bkcal\b"}


@pytest.mark.parametrize("units", OTHER)
def test_no_unit_is_shown_that_the_reader_did_not_choose(desk: Desk, units: str) -> None:
    """Ledger, ticket, beam, bench with an own food, ways, saved recipes, own foods; labels follow the law instead."""
    page = desk.page
    desk.api("POST", "/foods", json={"description": "Quay rusk", "components": {"ENERC_KCAL": 400}})
    page.select_option("#units", units)
    desk.weigh(GAPS)
    add(desk, "with yogurt", swap=("200 ml double cream", "200 ml plain yogurt"))
    page.check("input[name=way][value='with yogurt']", force=True)
    page.check("input[name=component][value=ENERC]", force=True)
    page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
    bench = desk.bench("leek")
    bench.get_by_role("button", name="Enter an own food").click()
    bench.get_by_label("Own weight").fill("2")
    desk.until("document.querySelector('.bench__result b')")
    desk.until("[...document.querySelectorAll('.offer__value')].every(one => one.textContent !== '…')")
    assert re.findall(OTHER[units], page.inner_text("#weigh-room")) == []
    assert page.inner_text(".own-food__fields span").strip() == units.split()[1]
    desk.page.keyboard.press("Escape")
    save(desk)
    assert re.findall(OTHER[units], page.inner_text("#weigh-room")) == []
    for room in ("recipes", "choices", "foods"):
        desk.open(f"#/{room}")
        page.locator("#room h1").wait_for()
        desk.settle()
        assert re.findall(OTHER[units], page.inner_text("#room")) == [], room


def test_an_own_food_is_entered_in_kilojoules(desk: Desk) -> None:
    """1 kcal = 4.184 kJ (thermochemical calorie, ISO 80000-5); what was typed is what is kept."""
    desk.page.select_option("#units", "g kJ")
    desk.open("#/foods")
    desk.page.locator("#own-new-name").fill("Quay rusk")
    desk.page.fill("#own-new-ENERC", "1500")
    desk.page.get_by_role("button", name="Keep it").click()
    card = desk.page.locator(".cards > li", has_text="Quay rusk")
    card.wait_for()
    assert "energy 1500 kJ" in card.inner_text()
    found = desk.api("GET", f"/foods/{card.locator('small').first.inner_text()}")
    assert found["form"]["components"] == {"ENERC_KJ": 1500}
    desk.page.select_option("#units", "g kcal")
    desk.open()
    desk.open("#/foods")
    desk.page.get_by_role("button", name="Change Quay rusk").click()
    field = card.locator("input[id$=-ENERC]")
    assert (field.input_value(), card.locator(".own-food__fields span").first.inner_text()) == ("1500", "kJ")


# ---- a way follows what it names -------------------------------------------------------------------------------

CREAM, YOGURT = "200 ml double cream", "200 ml plain yogurt"
LEAN = {"name": "lean", "without": [CREAM]}
SOUR = {"name": "sour", "swaps": [{"line": CREAM, "by": {"text": YOGURT}}]}
RICH = {"name": "rich", "with": ["Toppings"]}


def opened(desk: Desk, text: str, *variants: dict[str, Any]) -> None:
    """A saved recipe with ways to serve it, on the page."""
    form = desk.preview(text)["ledger"]["recipe"] | {"variants": list(variants)}
    made = desk.api("POST", "/recipes", json=form)
    desk.open(f"#/recipe/{made['id'].removeprefix('recipe:')}")
    desk.page.get_by_role("button", name=f"Change {variants[-1]['name']}").wait_for()
    desk.weighed()


def ways_of(desk: Desk) -> dict[str, Any]:
    """What the ways name, once the page's recipe is saved."""
    if desk.page.is_enabled("#save"):
        save(desk)
    form = desk.api("GET", f"/recipes/{desk.page.inner_text('#standing').partition(',')[0]}")
    return {one["name"]: [*one["with"], *one["without"], *(swap["line"] for swap in one["swaps"])]
            for one in form["variants"]}  # fmt: skip


def typed(desk: Desk, old: str, new: str) -> str:
    """Put other words into the list as text and weigh it; what the page says then."""
    page = desk.page
    page.click("#as-text")
    text = page.input_value("#list-text")
    assert old in text
    page.fill("#list-text", text.replace(old, new))
    page.click("#weigh")
    desk.until("document.querySelector('#list').hidden")
    desk.weighed()
    return str(page.inner_text("#notice"))


def test_a_way_follows_a_line_that_the_bench_words_anew(desk: Desk) -> None:
    opened(desk, CHOWDER, LEAN, SOUR)
    bench = desk.bench("double cream")
    bench.get_by_label("As written").fill("150 ml double cream")
    desk.until("document.querySelector('.bench__result b')")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert desk.page.locator("#notice").is_hidden()
    assert ways_of(desk) == {"lean": ["150 ml double cream"], "sour": ["150 ml double cream"]}


def test_a_way_follows_a_section_that_is_called_otherwise(desk: Desk) -> None:
    opened(desk, CHOWDER, RICH)
    page = desk.page
    for name, named in (("Crown", ["Crown"]), ("Chowder", ["60 g walnuts, toasted", "4 tbsp soured cream"])):
        page.get_by_role("button", name="Change section").last.click()
        page.get_by_label("Name of the section").fill(name)
        page.locator(".part__acts").get_by_role("button", name="Rename").click()
        desk.text_of("#said", f"called {name}")
        assert page.locator("#notice").is_hidden()
        desk.weighed()
        assert ways_of(desk) == {"rich": named}


TYPED = {
    "its amount": (CREAM, "150 ml double cream", "150 ml double cream"),
    "another word": ("double cream", "single cream", "200 ml single cream"),
    "all its words": (CREAM, "250 g skyr", "250 g skyr"),
    "among others": (f"{CREAM}\n", "150 ml double cream\n2 bay leaves\n", "150 ml double cream"),
    "elsewhere": (f"{CREAM}\n\n+ Toppings:", "\n+ Toppings:\n150 ml double cream", "150 ml double cream"),
}


@pytest.mark.parametrize(("old", "new", "named"), TYPED.values(), ids=TYPED)
def test_a_way_follows_a_line_that_is_typed_anew_and_says_so(desk: Desk, old: str, new: str, named: str) -> None:
    opened(desk, CHOWDER, LEAN, SOUR)
    notice = typed(desk, old, new)
    for way in ("lean", "sour"):
        assert f"way “{way}” follows: “{named}” in place of “{CREAM}”" in notice
    assert ways_of(desk) == {"lean": [named], "sour": [named]}


def test_a_way_follows_a_head_that_is_typed_anew(desk: Desk) -> None:
    opened(desk, CHOWDER, RICH)
    assert "“Crown” in place of “Toppings”" in typed(desk, "+ Toppings:", "+ Crown:")
    assert ways_of(desk) == {"rich": ["Crown"]}


def test_a_way_whose_line_is_gone_is_kept_and_that_is_said(desk: Desk) -> None:
    opened(desk, CHOWDER, LEAN, SOUR)
    notice = typed(desk, f"{CREAM}\n", "")
    assert f"way “lean” is kept, but says nothing of “{CREAM}” any more" in notice
    assert f"way “sour” is kept, but says nothing of “{CREAM}” any more" in notice
    assert YOGURT in notice
    desk.page.focus("#line-1")
    desk.page.keyboard.press("u")
    desk.text_of("#said", "Taken back")
    desk.weighed()
    assert ways_of(desk) == {"lean": [CREAM], "sour": [CREAM]}


def test_ways_follow_a_line_that_is_split_where_they_can(desk: Desk) -> None:
    swap = {"name": "sour", "swaps": [{"line": "salt and pepper", "by": {"text": "1 tsp dulse"}}]}
    opened(desk, GAPS, {"name": "bland", "without": ["salt and pepper"]}, swap)
    desk.bench("salt and pepper").get_by_role("button", name="Split into 2 lines").click()
    desk.text_of("#notice", "“sour” is kept, but says nothing of “salt and pepper” any more")
    desk.weighed()
    found = ways_of(desk)
    assert (len(found["bland"]), found["sour"]) == (2, [])
