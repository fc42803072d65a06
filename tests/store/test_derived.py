"""Total carbohydrate that no publisher gives is marked in lines, foods and recipes; net stays the publisher's."""

from __future__ import annotations

import pytest
from sqlalchemy import Engine

from service.api.payloads import coverage_notes, food_payload, line_payload
from service.bulk import analyse_results
from service.core.recipe import Recipe, RecipeLine, Section
from service.kitchens.evidence import evidence, uncertainties
from service.kitchens.shelf import Shelf
from service.publish import publication
from service.store.write import replace_release
from service.wiring import Catalogue
from tests.harbour import Foods, harbour

QUAY = "quay"
FOODS: Foods = {
    "1": ("Sea beet", {"CHOAVLDF": 2.0, "FIBTG": 1.5, "ENERC_KCAL": 20, "PROCNT": 2, "FAT": 0}),
    "2": ("Sea salt", {"CHOAVLDF": 0, "ENERC_KCAL": 0, "PROCNT": 0, "FAT": 0}),
    "3": ("Laver", {"CHOAVLDF": 3.0, "FIBTG": "<0.5", "ENERC_KCAL": 30, "PROCNT": 4, "FAT": 0}),
}  # fmt: skip
FORMULA = "worked out: available carbohydrate 2 g + fibre 1.5 g"
ASKED = ("CHOCDF", "FIBTG")


@pytest.fixture
def catalogue(empty_store: Engine) -> Catalogue:
    replace_release(empty_store, harbour("3", FOODS, dataset=QUAY, basis="available"))
    return Catalogue(empty_store, (QUAY,))


def test_a_line_says_how_its_total_came_about(catalogue: Catalogue) -> None:
    resolver = catalogue.resolver()
    results = [resolver.resolve("200 g sea beet", components=ASKED, food=f"{QUAY}:1")] * 2
    part = line_payload(results[0])["parts"][0]
    assert (part["components"]["CHOCDF"], part["derived"]) == (7.0, {"CHOCDF": FORMULA})
    analysis = analyse_results(resolver, results, components=ASKED)
    assert analysis.whole.net_carbohydrate.value == 8.0, "twice 200 g of 2 g available carbohydrate"
    notes = coverage_notes(analysis.coverage, analysis.whole, results)
    assert f"Lines 1, 2: CHOCDF of {QUAY}:1 is not published; {FORMULA} (in 100 g)." in notes


@pytest.mark.parametrize(("code", "value", "told"), [
    ("1", 3.5, FORMULA),
    ("2", None, "the publisher gives no value; it gives neither available carbohydrate and fibre nor all other parts"),
    ("3", None, "the publisher gives no value; available carbohydrate or fibre is a trace or below a limit"),
], ids=["worked out", "not to be worked out", "bounded"])  # fmt: skip
@pytest.mark.parametrize("in_use", [True, False], ids=["in use", "only in the store"])
def test_a_food_shows_it_or_the_reason(
    empty_store: Engine, catalogue: Catalogue, code: str, value: float | None, told: str, in_use: bool
) -> None:
    if not in_use:
        replace_release(empty_store, harbour())
        catalogue = Catalogue(empty_store, ("harbour",))
    food_id = f"{QUAY}:{code}"
    shown = food_payload(catalogue.details(food_id), *catalogue.around(food_id))["components"]["CHOCDF"]
    assert shown["value"] == value
    assert (shown["source"]["text"] if value is not None else shown["reason"]) == told


def test_a_recipe_cautions_and_traces_it(catalogue: Catalogue) -> None:
    shelf = Shelf(catalogue)
    lines = tuple(RecipeLine(f"100 g {name}", food=f"{QUAY}:{code}") for code, (name, _) in FOODS.items())
    book = shelf.book()
    worked = book.work(Recipe("Plate", (Section(lines),)))
    portions = worked.base.portions
    total = portions.whole.total("CHOCDF")
    # of what has no total, its available carbohydrate is in it at least
    assert (total.value, total.known, total.unknown_in) == (None, pytest.approx(6.5), (2, 3))
    [first, *_] = evidence(book, portions.dish, "CHOCDF", worked.recipe.net)
    assert (first.per_100g, first.value and first.value.source_text) == (3.5, FORMULA)
    told = [one for one in shelf.cautions(worked) if one.kind == "derived value"]
    assert [(one.lines, "Sea beet" in one.text, "Laver" in one.text) for one in told] == [((1,), True, False)]


def test_net_has_the_error_of_the_available_carbohydrate(catalogue: Catalogue) -> None:
    book = Shelf(catalogue).book()
    worked = book.work(Recipe("Plate", (Section((RecipeLine("100 g sea beet", food=f"{QUAY}:1", grams=100),)),)))
    found = uncertainties(book, worked.base.portions.dish, worked.recipe.net)
    assert found["net_carbohydrate"].standard == pytest.approx(0.2 * 2.0)


def test_a_note_tells_a_bound_from_no_value(catalogue: Catalogue) -> None:
    book = Shelf(catalogue).book()
    lines = tuple(RecipeLine(f"100 g {name}", food=f"{QUAY}:{code}") for code, (name, _) in FOODS.items())
    notes = publication(book.work(Recipe("Plate", (Section(lines),))), book.components).plain.notes
    assert "Not in the tables for “100 g Sea salt”: total carbohydrate, fibre." in notes
    assert "Only a bound is in the tables for “100 g Laver”: total carbohydrate, fibre." in notes
