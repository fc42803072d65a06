"""Putting lines right: by keys alone and by pointer, with the consequence said before and a way back after."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from tests.web.conftest import CHOWDER, GAPS, Desk

# The recipe at hand as it is kept in the browser.
DRAFT = "JSON.parse(localStorage[Object.keys(localStorage).find(key => key.startsWith('gramwright.draft'))]).form"


def test_from_paste_to_print_by_keys_alone(desk: Desk) -> None:
    """Paste, weigh, N, Enter, choose, Take it, U, V, 1 to 6, save, print."""
    page = desk.page
    page.evaluate("window.print = () => { document.body.dataset.printed = 'yes'; }")
    page.focus("#list-text")
    page.keyboard.insert_text(GAPS)
    page.keyboard.press("Tab")
    assert desk.focused() == "weigh"
    page.keyboard.press("Enter")
    desk.weighed()
    assert desk.focused() == "line-1"
    page.keyboard.press("n")
    assert page.evaluate("document.activeElement.innerText").startswith("2 tbsp barnacle powder")
    line = desk.focused()
    page.keyboard.press("Enter")
    page.wait_for_selector(".bench")
    assert desk.focused() == line
    tab_to(desk, "find-")
    page.keyboard.insert_text("flaxseed")
    page.wait_for_selector(".offers .offer input")
    desk.settle()
    tab_to(desk, "", "radio")
    page.keyboard.press("Space")
    tab_to(desk, "grams-")
    page.keyboard.insert_text("14")
    desk.until("document.querySelector('.bench__result').textContent.includes('→')")
    tab_to_text(desk, "Take it")
    page.keyboard.press("Enter")
    desk.until("document.querySelector('#said').textContent.startsWith('Taken')")
    assert desk.focused() == line
    assert page.inner_text(f"#{line} .word") == "by hand"
    page.keyboard.press("u")
    desk.until("document.querySelector('#said').textContent.startsWith('Taken back')")
    assert desk.focused() == line
    assert page.inner_text(f"#{line} .word") == "no entry"
    page.keyboard.press("v")
    assert page.is_checked("input[name=way][value='with everything']")
    for digit, key in enumerate(["net", "CHOCDF", "FIBTG", "FAT", "PROCNT", "ENERC"], 1):
        page.keyboard.press(str(digit))
        assert page.is_checked(f"input[name=component][value={key}]")
        assert desk.focused() == line
    page.focus("#save")
    page.keyboard.press("Enter")
    page.wait_for_selector("#print")
    page.focus("#print")
    page.keyboard.press("Enter")
    assert page.evaluate("document.body.dataset.printed") == "yes"


def tab_to(desk: Desk, start: str, kind: str = "") -> None:
    """Press Tab until a field of this id or type has the focus."""
    for _ in range(30):
        desk.page.keyboard.press("Tab")
        if kind and desk.page.evaluate("document.activeElement.type") == kind:
            return
        if start and desk.focused().startswith(start):
            return
    raise AssertionError(f"no Tab leads to {start or kind}")


def tab_to_text(desk: Desk, text: str) -> None:
    for _ in range(30):
        desk.page.keyboard.press("Tab")
        if desk.page.evaluate("document.activeElement.textContent") == text:
            return
    raise AssertionError(f"no Tab leads to {text}")


def test_letters_do_nothing_outside_lines(desk: Desk) -> None:
    """WCAG 2.1.4, character key shortcuts."""
    desk.weigh(CHOWDER)
    desk.page.focus("#serves")
    desk.page.keyboard.press("v")
    assert desk.page.is_checked("input[name=way][value=plain]")


@pytest.mark.parametrize(
    ("keys", "line"),
    [(["ArrowDown"], "line-2"), (["End"], "line-7"), (["End", "Home"], "line-1"), (["ArrowDown", "ArrowUp"], "line-1"),
     (["Enter", "Escape"], "line-1")],
    ids=lambda value: " ".join(value) if isinstance(value, list) else value,
)  # fmt: skip
def test_lines_are_one_tab_stop_and_moved_by_arrows(desk: Desk, keys: list[str], line: str) -> None:
    desk.weigh(CHOWDER)
    desk.page.focus("#line-1")
    for key in keys:
        desk.page.keyboard.press(key)
    assert desk.focused() == line
    stops = desk.page.eval_on_selector_all(".row__words", "all => all.filter(one => one.tabIndex === 0).length")
    assert stops == 1


def test_focus_stays_clear_of_axis_and_stub(desk: Desk) -> None:
    desk.page.set_viewport_size({"width": 390, "height": 600})
    desk.weigh(GAPS)
    desk.page.focus("#line-1")
    for key in ["ArrowDown"] * 11 + ["ArrowUp"] * 11:
        desk.page.keyboard.press(key)
        top, bottom, axis, stub = desk.page.evaluate(
            """() => { const line = document.activeElement.getBoundingClientRect(), of = one =>
                 document.querySelector(one).getBoundingClientRect();
               return [line.top, line.bottom, of('.axis').bottom, of('.stub').top]; }"""
        )
        assert top >= axis - 1 or top >= 0 > axis, (key, top, axis)
        assert bottom <= stub + 1


# The focus has something of the axis or the stub upon it, though it would fit between them.
COVERED = """() => { const at = document.activeElement, box = at.getBoundingClientRect();
  if (at === document.body || box.height > innerHeight / 2) return false;
  const meets = one => box.bottom > one.top + 1 && one.bottom > box.top + 1
    && box.right > one.left && one.right > box.left;
  return !at.closest('.axis, .stub') && ['.axis', '.stub'].some(one =>
    meets(document.querySelector(one).getBoundingClientRect())) && at.outerHTML.slice(0, 200); }"""


@pytest.mark.parametrize("width", [1280, 390])
def test_focus_stays_clear_by_tab_and_by_leaps(desk: Desk, width: int) -> None:
    """Through an open bench and what comes after it, and back; from one line that needs a look to the others."""
    desk.page.set_viewport_size({"width": width, "height": 500})
    desk.weigh(GAPS + "\nRest:\n" + "10 g butter\n" * 20 + "3 tbsp kelp glass")
    desk.bench("leek")
    for key in ["Tab"] * 45 + ["Shift+Tab"] * 45:
        desk.page.keyboard.press(key)
        assert not desk.page.evaluate(COVERED), key
    desk.page.keyboard.press("Escape")
    desk.page.focus("#line-1")
    for key in "nnnnppppp":
        desk.page.keyboard.press(key)
        assert not desk.page.evaluate(COVERED), key


@pytest.mark.parametrize("width", [1280, 390])
def test_focus_returns_to_the_line_that_was_open(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 500})
    desk.weigh(GAPS)
    for number, words in ((2, "leek"), (8, "lettuce")):
        desk.bench(words).get_by_label("Own weight").press("Escape")
        assert desk.page.locator(".bench").count() == 0
        assert (desk.focused(), desk.page.evaluate(COVERED)) == (f"line-{number}", False)
        bench = desk.bench(words)
        bench.get_by_label("Own weight").fill("90")
        bench.get_by_role("button", name="Take it").click()
        desk.text_of("#said", "Taken.")
        assert (desk.focused(), desk.page.evaluate(COVERED)) == (f"line-{number}", False)
        desk.page.keyboard.press("u")
        desk.text_of("#said", "Taken back")
        assert (desk.focused(), desk.page.evaluate(COVERED)) == (f"line-{number}", False)


def test_n_and_p_go_round_the_lines_that_need_a_look(desk: Desk) -> None:
    desk.weigh(f"{GAPS}1 tbsp kelp glass\n")
    needs = [int(one) for one in desk.page.locator(".row:is(.row--check, .row--no_match)").evaluate_all(
        "all => all.map(one => one.dataset.line)")]  # fmt: skip
    assert len(needs) > 2
    desk.page.focus("#line-1")
    for key, round_ in (("n", [*needs, needs[0]]), ("p", [*reversed(needs), needs[-1]])):
        for line in round_:
            desk.page.keyboard.press(key)
            assert desk.focused() == f"line-{line}"


def test_nothing_is_taken_without_entry_or_weight(desk: Desk) -> None:
    desk.weigh(GAPS)
    desk.bench("barnacle powder").get_by_role("button", name="Take it").click()
    desk.text_of(".bench__result", "Nothing taken: choose an entry and give a weight.")
    assert desk.page.locator(".bench__result").is_visible()
    assert desk.line("barnacle powder").locator(".word").inner_text() == "no entry"


def test_what_the_service_refuses_is_not_said_to_be_taken(desk: Desk) -> None:
    desk.expected = ("422",)
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("As written").evaluate(
        "field => { field.value = '1 leek\\0'; field.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    desk.text_of(".bench__result", "text: the character NUL")
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#notice", "Nothing was changed")
    assert desk.said().startswith("Nothing taken")
    assert bench.get_by_label("As written").evaluate("field => field.value.length") == len("1 leek\0")
    assert desk.line("1 leek, sliced").count() == 1


def test_the_line_that_is_open_is_not_covered_on_a_phone(desk: Desk) -> None:
    desk.page.set_viewport_size({"width": 390, "height": 844})
    desk.weigh(CHOWDER)
    desk.bench("leek")
    covered = """() => { const grams = document.querySelector('.row--open .row__grams b');
      scrollBy(0, grams.getBoundingClientRect().top - 10);
      const { left, top, width, height } = grams.getBoundingClientRect();
      return document.elementFromPoint(left + width / 2, top + height / 2) !== grams; }"""
    assert not desk.page.evaluate(covered)
    desk.page.keyboard.press("Escape")
    desk.until("!document.querySelector('.bench')")
    assert desk.page.evaluate("getComputedStyle(document.querySelector('.axis')).position") == "sticky"


@pytest.mark.parametrize(
    ("words", "whole", "told"),
    [("smoked haddock", True, "These hold only some"), ("spice mix", False, "No entry holds every word"),
     ("Leeks", True, ""), ("aubergine", False, "go by another name"), ("qwrtzx", False, "No entry has these words")],
    ids=["some hold all", "none holds all", "all hold all", "another name", "nothing"],
)  # fmt: skip
def test_what_holds_only_some_words_of_a_search_stands_apart(desk: Desk, words: str, whole: bool, told: str) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Search the tables").fill(words)
    desk.until("document.querySelectorAll('.find ~ .offers > *').length > 0")
    desk.settle()
    rows = bench.locator(".find ~ .offers > *")
    apart = bench.locator(".find ~ .offers > .none")
    assert apart.all_inner_texts() == [] if not told else told in apart.inner_text()
    assert (rows.first.get_attribute("class") == "offer") == whole
    above = bench.locator(".find ~ .offers > .offer:not(.none ~ .offer) .offer__name").all_inner_texts()
    assert all(word.rstrip("s").lower() in name.lower() for name in above for word in words.split())


def test_what_the_bench_foretells_is_what_happens(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("double cream")
    bench.get_by_role("radio").nth(1).check()
    desk.until("document.querySelector('.bench__result b')")
    foretold = re.search(r"→ ([\d.]+) g", bench.locator(".bench__result b").inner_text())
    assert foretold
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    desk.page.check("input[name=way][value='with everything']", force=True)
    assert desk.page.inner_text("#ledger-foot .foot__sum b") == f"{foretold.group(1)} g"


def test_a_ratio_that_is_not_known_is_foretold_in_words(desk: Desk) -> None:
    desk.weigh(GAPS)
    desk.bench("leek").get_by_label("Own weight").fill("123")
    desk.until("document.querySelector('.bench__result b')")
    assert desk.page.locator(".bench__result span").last.inner_text() == "ratio stays not known"


@pytest.mark.parametrize("width", [1280, 390, 320])
def test_figures_of_candidates_say_what_they_are_of(desk: Desk, width: int) -> None:
    desk.page.set_viewport_size({"width": width, "height": 900})
    desk.weigh(CHOWDER)
    scale = desk.bench("leek").locator(".bench__scale span").first
    assert scale.is_visible()
    assert scale.inner_text() == "net carbohydrate in 100 g"


def test_own_grams_measures_and_rewording(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.locator(".measure").first.click()
    measured = bench.locator("input[id^=grams-]").input_value()
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    row = desk.page.locator(".row", has_text="leek")
    assert float(row.locator(".row__grams b").inner_text()) == pytest.approx(float(measured), abs=0.5)
    bench = desk.bench("leek")
    bench.get_by_label("As written").fill("200 g leek, sliced")
    bench.get_by_label("Own weight").fill("")
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    assert desk.page.locator(".row", has_text="200 g leek").locator(".row__grams b").inner_text() == "200"


def test_what_is_typed_on_the_bench_outlives_another_unit(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("141.75")
    bench.get_by_label("Search the tables").fill("spring onion")
    desk.page.select_option("#units", "oz kcal")
    bench = desk.page.locator(".bench")
    assert bench.get_by_label("Own weight").input_value() == "5"
    assert bench.get_by_label("Search the tables").input_value() == "spring onion"
    assert bench.locator(".own").inner_text().endswith("oz, edible part, whole recipe")
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    desk.page.select_option("#units", "g kcal")
    weight = desk.page.locator(".row", has_text="leek").locator(".row__grams b").inner_text()
    assert float(weight) == pytest.approx(141.75, abs=0.5)


def test_an_own_food_counts_and_its_silence_is_not_nought(desk: Desk) -> None:
    desk.weigh(GAPS)
    bench = desk.bench("barnacle powder")
    bench.get_by_role("button", name="Enter an own food").click()
    for label, value in [("Energy", "300"), ("Fat", "5"), ("Protein", "50"), ("Carbohydrate", "12")]:
        bench.locator(".own-food").get_by_label(label, exact=True).fill(value)
    bench.get_by_role("button", name="Choose this own food").click()
    desk.until("document.querySelector('.own-food__told').textContent.includes('entered')")
    assert "fibre" in bench.locator(".own-food__told").inner_text()
    bench.get_by_label("Own weight").fill("10")
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    row = desk.page.locator(".row", has_text="barnacle powder")
    assert "own:" in str(desk.api("GET", "/own-foods"))
    desk.page.check("input[name=component][value=FAT]", force=True)
    assert row.locator(".bar__value").inner_text().endswith("0.1 g")  # 5 % of 10 g in four
    desk.page.check("input[name=component][value=FIBTG]", force=True)
    assert "not known" in row.locator(".bar__value").inner_text()


def test_a_standing_choice_holds_for_other_lists(desk: Desk) -> None:
    desk.weigh("30 g quay spread")
    bench = desk.bench("quay spread")
    bench.get_by_label("Search the tables").fill("butter salted")
    bench.locator(".offer", has_text="sr28:01001").click()
    bench.get_by_label("Always take").check()
    bench.get_by_role("button", name="Take it").click()
    desk.weighed()
    assert desk.line("quay spread").locator(".word").inner_text() == "standing choice"
    desk.page.click("#new")
    desk.weigh("50 g quay spread")
    assert "Butter, salted" in desk.line("quay spread").inner_text()
    desk.open("#/choices")
    desk.page.get_by_role("button", name="Forget quay spread").click()
    desk.until("!document.querySelector('#room').innerText.includes('quay spread')")


@pytest.mark.parametrize(
    ("status", "said"), [(None, "when that is sent"), (503, "when that is sent"), (403, "U takes")]
)
def test_a_standing_choice_that_is_not_kept_leaves_the_line_what_was_chosen(
    desk: Desk, status: int | None, said: str
) -> None:
    desk.expected = ("Failed to load",)
    desk.weigh("2 tbsp mayo")
    bench = desk.bench("mayo")
    offer = bench.locator(".offer").nth(2)
    food = str(offer.locator("input").get_attribute("value"))
    answer = {"status": status, "json": {"detail": "no"}}
    desk.page.route("**/v1/choices", lambda route: route.fulfill(**answer) if status else route.abort())
    offer.locator("input").check()
    bench.get_by_label("Always take").check()
    bench.get_by_role("button", name="Take it").click()
    desk.text_of("#said", "Taken.")
    assert said in desk.page.inner_text("#said")
    assert "now and in later recipes" not in desk.page.inner_text("#said")
    assert desk.line("mayo").locator(".word").inner_text() == "by hand"
    assert desk.page.evaluate(DRAFT)["sections"][0]["lines"][0]["food"] == food


def test_leave_out_move_split_and_their_way_back(desk: Desk) -> None:
    desk.weigh(GAPS)
    count = desk.page.locator(".row").count()
    desk.bench("walnuts").get_by_role("button", name="Leave it out").click()
    desk.until("document.querySelectorAll('del.row__said').length === 1")
    assert desk.page.locator(".row").count() == count
    desk.weighed()
    desk.page.keyboard.press("u")
    desk.until("document.querySelectorAll('del.row__said').length === 0")
    desk.bench("salt and pepper").get_by_role("button", name="Split into 2 lines").click()
    desk.until(f"document.querySelectorAll('.row').length === {count + 1}")
    desk.bench("walnuts").get_by_label("Belongs to").select_option("new")
    desk.weighed()
    assert desk.page.locator(".part h3", has_text="New section").count() == 1


def test_a_section_becomes_a_topping(desk: Desk) -> None:
    desk.weigh(GAPS)
    desk.page.locator("#topping-2").check()
    desk.until("document.querySelector('#said').textContent.includes('is a topping')")
    assert desk.line("lettuce").locator("xpath=ancestor::li").locator(".bar__off").inner_text() == "left off"


LISTEN = """() => { window.heard = []; const place = document.querySelector('#said');
  new MutationObserver(() => { if (place.textContent) window.heard.push(place.textContent); })
    .observe(place, { childList: true }); }"""


def press(key: str) -> Callable[[Desk], None]:
    return lambda desk: desk.page.keyboard.press(key)


def topping(desk: Desk) -> None:
    desk.page.locator("#topping-0").check()


def serve(desk: Desk) -> None:
    desk.page.fill("#serves", "9")
    desk.page.keyboard.press("Tab")


def leave_out(desk: Desk) -> None:
    desk.bench("butter").get_by_role("button", name="Leave it out").click()


CHANGES = {
    "U": (press("u"), "Taken back"), "V": (press("v"), "Weighed with everything"), "4": (press("4"), "Bars show fat"),
    "a topping": (topping, "Chowder is a topping"), "servings": (serve, "Serves 9"),
    "left out": (leave_out, "Left out: 40 g butter"),
}  # fmt: skip


@pytest.mark.parametrize(("act", "said"), CHANGES.values(), ids=CHANGES)
def test_changes_are_announced_once(desk: Desk, act: Callable[[Desk], None], said: str) -> None:
    desk.weigh(CHOWDER)
    desk.page.evaluate(LISTEN)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("90")
    bench.get_by_role("button", name="Take it").click()
    for words in ("Taken.", said):
        desk.text_of("#said", words)
        desk.weighed()
        desk.page.wait_for_timeout(300)
        heard = desk.page.evaluate("window.heard.splice(0)")
        assert len(heard) == 1
        assert heard[0].startswith(words)
        if words == "Taken.":
            act(desk)


def test_what_is_typed_in_a_bench_outlives_a_redraw(desk: Desk) -> None:
    desk.weigh(CHOWDER)
    bench = desk.bench("leek")
    bench.get_by_label("Own weight").fill("77")
    desk.page.check("input[name=component][value=FAT]", force=True)
    assert desk.page.input_value("input[id^=grams-]") == "77"
    assert "fat in 100 g" in desk.page.inner_text(".bench__scale")
