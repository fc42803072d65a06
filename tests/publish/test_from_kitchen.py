"""From a worked recipe to its publication, over the real tables."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable, Iterator
from html import unescape
from typing import TypeAlias

import pytest

from service.core.panel import NOT_KNOWN
from service.core.recipe import Recipe, RecipeLine, Section
from service.core.recipe_text import read_schema_org
from service.kitchens.forms import RecipeForm
from service.kitchens.shelf import Shelf
from service.publish import (
    Origin,
    Publication,
    card_html,
    csv_text,
    description_text,
    eu_html,
    eu_svg,
    lines_csv_text,
    publication,
    schema_org_json,
    strip_svg,
    us_panel_html,
    us_panel_svg,
)
from service.settings import Settings
from service.wiring import open_catalogue


@pytest.fixture(scope="module")
def shelf(kitchen_store: Settings) -> Iterator[Shelf]:
    catalogue = open_catalogue(kitchen_store)
    yield Shelf(catalogue)
    catalogue.engine.dispose()


Line: TypeAlias = str | dict[str, object]


def published(shelf: Shelf, *lines: Line, toppings: tuple[Line, ...] = (), **more: object) -> Publication:
    sections: list[dict[str, object]] = [{"name": "Chowder", "lines": [sent(line) for line in lines]}]
    if toppings:
        sections.append({"name": "On top", "optional": True, "lines": [sent(line) for line in toppings]})
    form = {"title": "Quay chowder", "servings": 4, "sections": sections, **more}
    recipe = RecipeForm.model_validate(form).value()
    book = shelf.book("publications")
    origin = Origin("recipe:1", 1, book.change, date="28 November 2026")
    worked = book.work(recipe)
    return publication(
        worked, book.components, releases=book.resolver.table.releases, origin=origin, cautions=shelf.cautions(worked)
    )


def sent(line: Line) -> dict[str, object]:
    return {"text": line} if isinstance(line, str) else line


LINES = ("40 g butter", "500 g haddock", "1 leek, sliced")


def test_figures_are_those_of_the_worked_recipe(shelf: Shelf) -> None:
    found = published(shelf, *LINES, toppings=("60 g walnuts",))
    assert [helping.name for helping in found.helpings] == ["plain", "with everything"]
    assert found.everything is not None
    fat = [helping.per_serving.total("FAT").value or 0 for helping in found.helpings]
    assert fat[1] - fat[0] == pytest.approx(65.21 * 0.6 / 4)  # SR28 12155, walnuts: 65.21 g of fat in 100 g
    assert found.plain.us.servings == "4 servings per container"
    assert any(release.dataset == "sr28" for release in found.releases)


def test_lines_keep_their_words_sections_and_grams(shelf: Shelf) -> None:
    found = published(shelf, *LINES, "Serve at once", toppings=("60 g walnuts",))
    assert [(section.name, section.optional) for section in found.sections] == [("Chowder", False), ("On top", True)]
    lines = found.sections[0].lines
    assert [line.text for line in lines] == [*LINES, "Serve at once"]
    assert [line.grams for line in lines] == [40, 500, pytest.approx(89), None]
    assert [line.food for line in lines] == [True, True, True, False]
    assert found.sections[1].lines[0].optional


def test_nothing_optional_means_one_helping(shelf: Shelf) -> None:
    found = published(shelf, *LINES)
    assert found.everything is None
    assert "with everything" not in card_html(found)


def test_a_line_that_no_table_has_is_named_and_bounds_every_figure(shelf: Shelf) -> None:
    line = "2 tbsp grated zorgroot"
    found = published(shelf, *LINES, line)
    assert any(line in note and "lower bound" in note for note in found.plain.notes)
    assert all(row.amount_text.startswith(("at least", NOT_KNOWN)) for row in found.plain.us.rows)
    assert "at least" in us_panel_html(found)
    assert ",plain,serving,FAT,g,," in csv_text(found)


def test_lower_bounds_of_a_dish_that_is_cooked_hold_on_every_label(shelf: Shelf) -> None:
    """What the tables of cooking leave open is in them: of the fat that browned mince keeps, and of its weight."""
    recipe = RecipeForm.model_validate(
        {"title": "Mince", "servings": 1, "sections": [{"lines": [
            {"text": "200 g beef mince", "treatment": "browned, drained"}, {"text": "100 g zorblax"},
        ]}]}
    ).value()  # fmt: skip
    book = shelf.book("publications")
    found = publication(book.work(recipe), book.components).plain
    fat, saturates, protein = (found.per_serving.total(tagname) for tagname in ("FAT", "FASAT", "PROCNT"))
    assert fat.low < 0.6 * fat.known
    eu = {row.name: _number(row.per_portion.text) for row in found.eu.rows if row.per_portion.value is not None}
    assert 0 < eu["fat"] <= fat.low
    assert 0 < eu["saturates"] <= saturates.low
    assert 0 < eu["energy in kcal"] <= 9 * fat.low + 4 * protein.low + 1
    assert eu["fat"] == next(_number(row.amount_text) for row in found.us.rows if row.tagname == "FAT")


def _number(text: str) -> float:
    return float(text.removeprefix("at least ").split()[0])


@pytest.mark.parametrize(
    ("pieces", "name", "size"),
    [(8, "rolls", "2 rolls ("), (8, "cracker", "2 crackers ("), (4, "rolls", "1 roll ("), (5, "rolls", "1 serving ("),
     (None, None, "1 serving (")],
)  # fmt: skip
def test_a_serving_is_counted_in_pieces_where_they_are_whole(
    shelf: Shelf, pieces: float | None, name: str | None, size: str
) -> None:
    found = published(shelf, *LINES, **{"yield": {"pieces": pieces, "piece_name": name}})
    assert found.plain.us.serving_size.startswith(size)


# ---- what is printed beside the figures ----------------------------------------------------------------------------

# (lines, what the notes say); a plate without such a line says nothing of it.
NOTES = {
    "no entry": (["2 tbsp grated zorgroot"], ["Not counted, no table has an entry: “2 tbsp grated zorgroot”"]),
    "no weight": (["some leeks"], ["Not counted, no weight is known: “some leeks”"]),
    "both": (["2 tbsp grated zorgroot", "some leeks"], ["no table has an entry", "no weight is known"]),
    "left to taste": (["pepper to taste"], ["Of no stated weight: “pepper to taste”; may add to"]),
    "frying fat": (["1 l oil for deep-frying"], ["frying fat: all of it is counted", "nobody has confirmed"]),
    "nothing": ([], []),
}
SAID_OF_LINES = (
    "Not in the tables", "Of no stated weight", "no table has an entry", "no weight is known", "frying fat",
    "nobody has confirmed",
)  # fmt: skip
WITH_NOTES = [card_html, us_panel_html, us_panel_svg, eu_html, eu_svg, description_text]


def plain(document: str) -> str:
    """The text of a page or picture, lines that it was broken into put together."""
    return " ".join(unescape(re.sub(r"<style.*?</style>|<[^>]*>", " ", document, flags=re.DOTALL)).split())


@pytest.mark.parametrize("render", WITH_NOTES, ids=[render.__name__ for render in WITH_NOTES])
@pytest.mark.parametrize(("lines", "said"), NOTES.values(), ids=NOTES)
def test_notes_stand_beside_the_figures(
    shelf: Shelf, render: Callable[[Publication], str], lines: list[str], said: list[str]
) -> None:
    text = plain(render(published(shelf, *LINES, *lines)))
    for words in said:
        assert words in text, text
    for words in SAID_OF_LINES:
        assert (words in text) == any(words in one for one in said), words


@pytest.mark.parametrize(("lines", "lower"), [(["2 tbsp grated zorgroot"], True), ([], False)], ids=["gap", "whole"])
def test_a_strip_has_no_room_for_notes_but_says_at_least(shelf: Shelf, lines: list[str], lower: bool) -> None:
    text = plain(strip_svg(published(shelf, *LINES, *lines)))
    assert "calculated, not analysed" in text
    assert ("at least" in text) is lower


# (lines, what the card says, what it does not)
CAUTIONS = {
    "fish": (["500 g haddock"], ["145 °F (62.8 °C)", "FSIS", "Annex II", "fish (line 4)"], ["165 °F"]),
    "poultry": (["300 g chicken breast"], ["165 °F (73.9 °C)", "Poultry"], []),
    "minced meat": (["300 g beef mince"], ["160 °F (71.1 °C)"], ["165 °F"]),
    "eggs": (["2 eggs"], ["160 °F", "egg"], []),
    "allergens of both laws": (["100 g celery", "30 g sesame seeds"], ["(US law)", "(EU and UK law)", "celery"], []),
    "polyols over a tenth": (["200 g erythritol"], ["laxative"], []),
    "polyols under a tenth": (["5 g erythritol", "500 g water"], [], ["laxative"]),
    "none": (["100 g water"], [], ["°F", "laxative"]),
}
ALWAYS = ["Not for dosing", "without a clinician", "May contain", "local authority", "total carbohydrate beside it"]
NEVER = ["free from", "free of"]


@pytest.mark.parametrize(("lines", "said", "unsaid"), CAUTIONS.values(), ids=CAUTIONS)
def test_the_card_prints_the_cautions_that_apply(
    shelf: Shelf, lines: list[str], said: list[str], unsaid: list[str]
) -> None:
    found = published(shelf, "40 g butter", "1 leek, sliced", "10 g chives", *lines)
    text = plain(card_html(found))
    for words in [*said, *ALWAYS]:
        assert words.casefold() in text.casefold(), (words, text)
    for words in [*unsaid, *NEVER]:
        assert words.casefold() not in text.casefold(), (words, text)


@pytest.mark.parametrize("render", [card_html, strip_svg, description_text], ids=lambda render: render.__name__)
def test_toppings_never_seem_to_take_something_off(shelf: Shelf, render: Callable[[Publication], str]) -> None:
    """Walnuts: 13.71 g of carbohydrate in 100 g, 5.48 in 40 g; almonds: 21.55, 6.47 in 30 g (SR28 12155, 12061).

    The lower bound of both, 11.9 g, would stand beside 13.7 g of 40 to 160 g of walnuts alone.
    """
    vague, topping = ("40-160 g walnuts",), ("30 g almonds", "1 tsp zorblax")
    found = published(shelf, *vague, toppings=topping, servings=1)
    assert found.everything is not None
    plain, whole = (one.per_serving.total("CHOCDF") for one in (found.plain, found.everything))
    assert whole.low < (plain.value or 0)
    text = re.sub("<[^>]+>", " ", render(found))
    assert "plain + at least 6.4 g" in text
    assert f"at least {whole.low:.1f}" not in text


@pytest.mark.parametrize("render", [*WITH_NOTES, schema_org_json], ids=lambda render: render.__name__)
@pytest.mark.parametrize(("line", "vague"), [("20-60 g walnuts", True), ("40 g walnuts", False)])
def test_what_hangs_on_a_vague_weight_says_so(
    shelf: Shelf, render: Callable[[Publication], str], line: str, vague: bool
) -> None:
    """SR28 12155, walnuts: 65.21 g of fat in 100 g, 13.042 and 39.126 g in 20 and 60 g, rounded outwards."""
    text = plain(render(published(shelf, line, servings=1)))
    assert ("By the bounds of the weights a serving (plain) may have" in text) is vague
    assert ("fat 13.0–39.2 g" in text.replace(r"\u2013", "–")) is vague


@pytest.mark.parametrize(("lines", "said"), [
    (("20-60 g walnuts",), "not analysed, weights vague"), (("40 g walnuts",), "not analysed"),
    (("40 g walnuts", "1 l oil for deep-frying"), "not analysed, readings not confirmed"),
])  # fmt: skip
def test_the_strip_says_what_its_figures_hang_on(shelf: Shelf, lines: tuple[str, ...], said: str) -> None:
    texts = [text.strip() for text in re.findall(r">([^<]+)</text>", strip_svg(published(shelf, *lines)))]
    assert any(text.endswith(f"calculated, {said}") for text in texts), texts


@pytest.mark.parametrize(
    "title",
    ["Smoked haddock and leek chowder with toasted walnuts", "Chowder", "W" * 300, "A quay chowder for winter days"],
)
@pytest.mark.parametrize("lines", [("20-60 g walnuts", "1 l oil for deep-frying"), ("40 g walnuts",)], ids=len)
def test_the_title_of_a_strip_and_what_stands_beside_it_do_not_meet(
    shelf: Shelf, lines: tuple[str, ...], title: str
) -> None:
    """By the width of characters in a wide sans serif face (DejaVu Sans: 0.6 of the size, in bold 0.68)."""
    head, *rest = re.findall(r'<text x="(\d+)" y="(\d+)" font-size="(\d+)"[^>]*>([^<]+)<', strip_svg(
        published(shelf, *lines, title=title)))  # fmt: skip
    beside = [one for one in rest if one[0] == "1260"]
    assert beside
    assert head[3].rstrip("…") in title
    end = 20 + len(head[3]) * int(head[2]) * 0.68
    assert all(end < 1260 - len(text) * int(size) * 0.6 for _, _, size, text in beside)
    assert len(head[3]) == len(title) or len(title) > 60


def test_csv_names_the_lines_that_nobody_has_confirmed(shelf: Shelf) -> None:
    rows = list(csv.DictReader(io.StringIO(csv_text(published(shelf, *LINES, "1 l oil for deep-frying")))))
    assert {row["unconfirmed_in"] for row in rows} == {"4"}


def test_at_least_is_a_lower_bound_of_vague_weights_too(shelf: Shelf) -> None:
    """20 g of walnuts have 13.042 g of fat (SR28 12155), the middle of 20 to 60 g twice as much."""
    found = published(shelf, "20-60 g walnuts", "2 tbsp grated zorgroot", servings=1)
    for render in (card_html, description_text):
        assert "at least 13.0 g" in plain(render(found))
    assert {row.name: row.amount_text for row in found.plain.us.rows}["Total fat"] == "at least 13 g"
    assert {row.name: row.per_portion.text for row in found.plain.eu.rows}["fat"] == "at least 13 g"


@pytest.mark.parametrize("render", [*WITH_NOTES, schema_org_json], ids=lambda render: render.__name__)
@pytest.mark.parametrize(("grams", "due"), [(300, True), (5, False)])
def test_the_notice_on_polyols_stands_under_panels_too(
    shelf: Shelf, render: Callable[[Publication], str], grams: int, due: bool
) -> None:
    """Regulation (EU) 1169/2011 Annex III, 2.4: with more than 10 % of added polyols."""
    text = plain(render(published(shelf, "500 g haddock", f"{grams} g erythritol")))
    assert ("may produce laxative effects" in text) is due


@pytest.mark.parametrize("render", [us_panel_html, us_panel_svg, eu_html, eu_svg, strip_svg, description_text])
def test_only_the_card_and_the_description_speak_of_doses(shelf: Shelf, render: Callable[[Publication], str]) -> None:
    text = plain(render(published(shelf, *LINES)))
    assert ("insulin dosing" in text) is (render is description_text)


# ---- how a line was counted ------------------------------------------------------------------------------------

PAN: tuple[Line, ...] = (
    {"text": "400 g beef mince", "treatment": "browned, drained"}, {"text": "200 ml olive oil", "share_eaten": 0.1},
    {"text": "100 ml white wine", "treatment": "simmered 60 min"}, "1 leek, sliced",
)  # fmt: skip
PAN_AS_COUNTED = ("400 g beef mince [browned, drained]", "200 ml olive oil [10% eaten]",
                  "100 ml white wine [simmered 60 min]")  # fmt: skip
WITH_LINES = [card_html, schema_org_json, lines_csv_text]
WITHOUT_LINES = [us_panel_html, us_panel_svg, eu_html, eu_svg, strip_svg, description_text, csv_text]


@pytest.mark.parametrize("render", [*WITH_LINES, *WITHOUT_LINES], ids=lambda render: render.__name__)
def test_every_output_says_how_its_lines_were_counted(shelf: Shelf, render: Callable[[Publication], str]) -> None:
    """Whoever eats what the pan holds takes several times the fat that is printed: the drained fat, 180 ml of oil."""
    text = plain(render(published(shelf, *PAN, **{"yield": {"cooked_grams": 600}})))
    for line in PAN_AS_COUNTED:
        assert (line if render is not lines_csv_text else line.split("[")[1].removesuffix("]")) in text
    assert "1 leek, sliced [" not in text
    assert ("Cooked weight: 600 g, as weighed." in text) is (render is not lines_csv_text)


@pytest.mark.parametrize("render", [*WITH_LINES, *WITHOUT_LINES], ids=lambda render: render.__name__)
def test_what_counts_whole_and_as_it_is_written_has_no_mark(
    shelf: Shelf, render: Callable[[Publication], str]
) -> None:
    text = plain(render(published(shelf, *LINES))).replace('"recipeIngredient": [', "")
    for words in ("[", "eaten", "Counted as", "Cooked weight"):
        assert words not in text


# (the line, as it is listed)
LISTED: dict[str, tuple[dict[str, object], str]] = {
    "both": ({"text": "200 g lamb", "treatment": "roasted", "share_eaten": 0.5}, "200 g lamb [roasted; 50% eaten]"),
    "none of it": ({"text": "1 onion", "share_eaten": 0}, "1 onion [0% eaten]"),
    "its words say both": (
        {"text": "500 g beef mince, browned and drained", "treatment": "browned, drained"},
        "500 g beef mince, browned and drained",
    ),
    "its words say the share": (
        {"text": "200 ml olive oil, half left in the pan", "share_eaten": 0.5}, "200 ml olive oil, half left in the pan"
    ),
    "its words say another share": (
        {"text": "200 ml olive oil, half left in the pan"}, "200 ml olive oil, half left in the pan [100% eaten]"
    ),
    "its words say a treatment that it has not": (
        {"text": "500 g beef mince, browned and drained"}, "500 g beef mince, browned and drained [counted as raw]"
    ),
    "the entry is cooked already": (
        {"text": "200 g roast chicken", "treatment": "browned, drained"}, "200 g roast chicken"
    ),
    "nothing counts of what is left": ({"text": "100 g zorblax, half left in the pan"},
                                       "100 g zorblax, half left in the pan"),
    "nothing of it counts": (
        {"text": "100 g zorblax", "treatment": "roasted", "share_eaten": 0.5}, "100 g zorblax"
    ),
}  # fmt: skip


@pytest.mark.parametrize(("line", "listed"), LISTED.values(), ids=LISTED)
def test_a_mark_says_what_the_words_of_the_line_do_not(shelf: Shelf, line: dict[str, object], listed: str) -> None:
    found = json.loads(schema_org_json(published(shelf, line)))
    assert found["recipeIngredient"] == [listed]
    as_written = "zorblax" in listed or "roast chicken" in listed
    said = f"Counted as cooked and eaten: “{listed}”." in description_text(published(shelf, line))
    assert said is not as_written


def test_what_was_published_reads_back_as_the_recipe_that_it_was(shelf: Shelf) -> None:
    toppings: tuple[Line, ...] = ({"text": "60 g walnuts", "treatment": "toasted"},)
    found = json.loads(schema_org_json(published(shelf, *PAN, toppings=toppings)))
    read = read_schema_org(found, is_treatment=shelf.cooking.knows).recipe
    assert [(line.treatment, line.share_eaten) for line in read.lines] == [
        ("browned, drained", 1), (None, 0.1), ("simmered 60 min", 1), (None, 1), ("toasted", 1),
    ]  # fmt: skip
    assert found["recipeIngredient"][-1] == "60 g walnuts (optional) [toasted]"


def test_a_panel_of_the_plain_recipe_says_nothing_of_toppings(shelf: Shelf) -> None:
    topping: Line = {"text": "60 g walnuts", "treatment": "toasted"}
    found = published(shelf, *LINES, toppings=(topping,), **{"yield": {"factor": 0.85}})
    assert "toasted" not in plain(us_panel_html(found))
    assert "Counted as cooked and eaten: “60 g walnuts [toasted]”." in plain(us_panel_html(found, everything=True))
    assert "Cooked weight of the plain recipe: 85 % of what goes in, as stated." in plain(card_html(found))


# (lines of the sub-recipe, the line that uses it, what the notes say, what they do not)
SUB = {
    "no entry and grams": (
        ["100 ml double cream", "2 tbsp grated zorgroot"], "50 g murk sauce",
        ["no table has an entry: “50 g murk sauce” (in it “grated zorgroot”)", "not all of the recipe that it names"],
        ["no weight is known"],
    ),
    "no weight and grams": (
        ["100 ml double cream", "some leeks"], "50 g murk sauce",
        ["not all of the recipe that it names has a weight: “50 g murk sauce”"],
        ["no weight is known", "no table has an entry"],
    ),
    "no entry and a share": (
        ["100 ml double cream", "2 tbsp grated zorgroot"], "half the murk sauce",
        ["no table has an entry: “half the murk sauce” (in it “grated zorgroot”)"],
        ["no weight is known", "not all of the recipe"],
    ),
    "no amount": (
        ["100 ml double cream", "2 tbsp grated zorgroot"], "murk sauce", ["no weight is known: “murk sauce”"],
        ["not all of the recipe"],
    ),
}  # fmt: skip


@pytest.mark.parametrize(("inner", "line", "said", "unsaid"), SUB.values(), ids=SUB)
def test_a_gap_in_a_sub_recipe_is_told_as_it_is(
    shelf: Shelf, inner: list[str], line: str, said: list[str], unsaid: list[str], request: pytest.FixtureRequest
) -> None:
    kitchen = request.node.name
    lines = [{"text": one} for one in inner]
    sauce = RecipeForm.model_validate({"title": "Murk sauce", "sections": [{"lines": lines}]})
    shelf.save_recipe(sauce, kitchen)
    book = shelf.book(kitchen)
    worked = book.work(Recipe("Plate", (Section((RecipeLine("200 g cod"), RecipeLine(line))),)))
    notes = " ".join(publication(worked, book.components).plain.notes)
    cautions = " ".join(one.text for one in shelf.cautions(worked))
    for words in said:
        assert words in notes
    for words in unsaid:
        assert words not in notes
        assert words not in cautions.replace("No", "no")
