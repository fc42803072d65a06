"""Ways to serve it: side by side, other counts of servings, one line in place of another; lines left out."""

from __future__ import annotations

from typing import Any

from tests.web.conftest import CHOWDER, Desk
from tests.web.test_figures import amount_text, figure_of, plain, total
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


def test_a_way_is_changed_and_removed_and_comes_back(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    add(desk, "light", swap=("200 ml double cream", "200 ml plain yogurt"))
    desk.page.get_by_role("button", name="Change light").click()
    assert desk.page.input_value(".swap input[type=text]") == "200 ml plain yogurt"
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
