"""A kitchen's shelf over the real tables: saving, sub-recipes, what a save changes, past states, circles."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import nullcontext
from itertools import count
from typing import Any

import pytest
from sqlalchemy import Engine

from service.bulk import analyse_results
from service.core.errors import CircleError, ConflictError, InputError, InUseError, NotFoundError, StoreError
from service.core.recipe import EVERYTHING, PLAIN, Recipe, RecipeLine, Section
from service.kitchens.book import Book, serving_differences
from service.kitchens.evidence import evidence, uncertainties
from service.kitchens.forms import ChoiceForm, OwnFoodForm, RecipeForm
from service.kitchens.shelf import Shelf
from service.publish.publication import publication
from service.settings import Settings
from service.store import kitchen as store
from service.wiring import open_catalogue

_KITCHENS = count(1)


@pytest.fixture(scope="module")
def shelf(kitchen_store: Settings) -> Iterator[Shelf]:
    catalogue = open_catalogue(kitchen_store)
    yield Shelf(catalogue)
    catalogue.engine.dispose()


@pytest.fixture
def kitchen() -> str:
    """A kitchen of its own for each test."""
    return f"test {next(_KITCHENS)}"


def form(title: str, *lines: str | dict[str, object], **more: object) -> RecipeForm:
    made = [{"text": line} if isinstance(line, str) else line for line in lines]
    return RecipeForm.model_validate({"title": title, "sections": [{"lines": made}], **more})


BAR = {
    "description": "Harbour bar", "carbohydrate_basis": "available",
    "components": {"ENERC_KCAL": 420, "FAT": 28, "PROCNT": 12, "CHOAVLDF": 20, "POLYL": 15, "FIBTG": 20, "NA": 160},
    "measures": [{"measure": "piece", "grams": 40}],
}  # fmt: skip
CRACKERS = ("100 g sunflower seeds", "50 g flaxseed", "1 tbsp olive oil", "1 tsp salt", "80 ml water")
BAKED = {"yield": {"pieces": 20, "piece_name": "cracker", "cooked_grams": 170}, "servings": 20}


def test_a_sub_recipe_is_used_by_the_piece(shelf: Shelf, kitchen: str) -> None:
    crackers = shelf.save_recipe(form("Seed crackers", *CRACKERS, **BAKED), kitchen).worked
    plate = shelf.save_recipe(form("Plate", "5 seed crackers"), kitchen).worked
    assert crackers is not None
    assert plate is not None
    one, five = crackers.base.portions.per_piece, plate.base.portions.whole
    assert one is not None
    for tagname in ("ENERC_KCAL", "FAT", "CHOCDF", "FIBTG", "WATER"):
        assert five.total(tagname).value == pytest.approx(5 * (one.total(tagname).value or 0)), tagname
    assert five.grams.value == pytest.approx(5 * 170 / 20)


def test_a_changed_sub_recipe_names_the_recipes_that_changed(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Seed crackers", *CRACKERS, **BAKED), kitchen)
    plate = shelf.save_recipe(form("Plate", "5 seed crackers"), kitchen)
    board = shelf.save_recipe(form("Board for two", "1 plate", "30 g brie"), kitchen)
    more = form("Seed crackers", *CRACKERS, "20 g chia seeds", **BAKED)
    changed = shelf.save_recipe(more, kitchen, number=1, expected=1).changed
    assert [one.food_id for one in changed] == [plate.document.food_id, board.document.food_id]
    for one in changed:
        assert one.before is not None
        assert one.after is not None
        assert (one.after.total("FIBTG").value or 0) > (one.before.total("FIBTG").value or 0)


def test_a_past_state_is_worked_out_again_bit_for_bit(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Seed crackers", *CRACKERS, **BAKED), kitchen)
    plate = shelf.save_recipe(form("Plate", "5 seed crackers", "2 tbsp mayo"), kitchen)
    then = plate.document.change
    before = shelf.book(kitchen, at=then).work_saved(plate.document.food_id).base.portions.whole
    shelf.save_recipe(form("Seed crackers", "100 g sunflower seeds", **BAKED), kitchen, number=1, expected=1)
    shelf.save_choice(ChoiceForm(phrase="mayo", food="sr28:04641"), kitchen)
    now = shelf.book(kitchen).work_saved(plate.document.food_id).base.portions.whole
    again = Shelf(shelf.catalogue).book(kitchen, at=then).work_saved(plate.document.food_id).base.portions.whole
    assert again == before
    assert now != before


def test_a_weight_that_was_saved_and_is_refused_now_is_worked_out_and_said(shelf: Shelf, kitchen: str) -> None:
    """What was published of it comes out again; whoever saves it anew has to mend it."""
    shelf.save_recipe(form("Glaze", "100 g butter"), kitchen)
    shelf.save_recipe(form("Cake", "500 g glaze", "10 g flour"), kitchen)
    impossible = form("Glaze", "100 g butter", **{"yield": {"cooked_grams": 5_000}})
    with pytest.raises(InputError) as error:
        shelf.save_recipe(impossible, kitchen, number=1, expected=1)
    assert error.value.pointer == "/yield/cooked_grams"
    store.save(
        shelf.catalogue.engine, kitchen, "recipe", title="Glaze", body=impossible.json_text(), number=1, expected=1,
        uses=frozenset({"sr28:01001"}),
    )  # fmt: skip
    book = shelf.book(kitchen)
    glaze, cake = book.work_saved("recipe:1"), book.work_saved("recipe:2")
    assert glaze.base.portions.whole.total("FAT").value == pytest.approx(81.11)  # SR28 01001
    assert "5000 g cooked cannot come from 100 g" in glaze.base.portions.dish.fault
    assert cake.base.portions.dish.ingredients[0].check
    assert cake.lines[0].outcome == "check"
    assert "the cooked weight of 'Glaze' cannot be" in cake.lines[0].reasons[-1]
    for worked, lines in ((glaze, ()), (cake, (1,))):
        said = next(one for one in shelf.cautions(worked) if one.kind == "impossible weight")
        assert "cannot come from 100 g" in said.text
        assert said.lines == lines
        published = publication(worked, book.components)
        assert any("cannot come from 100 g" in note for note in published.plain.notes)
    assert book.work(form("Tart", "500 g glaze").value()).base.portions.dish.fault == ""
    with pytest.raises(InputError):
        book.work(impossible.value())
    assert shelf.save_recipe(form("Glaze", "120 g butter"), kitchen, number=1, expected=2).document.revision == 3


@pytest.mark.parametrize(
    ("polyols", "sweet", "said"),
    [
        ("half", "10 g xylitol", "fibre, polyols, allulose, of “Glaze” too, which by itself takes off fibre, half the"),
        ("all", "10 g xylitol", ""),
        ("half", "10 g butter", ""),
    ],
)
def test_the_net_carbohydrate_of_a_sub_recipe_is_said_to_be_counted_otherwise(
    shelf: Shelf, kitchen: str, polyols: str, sweet: str, said: str
) -> None:
    net = {"net_carbohydrate": {"polyols": polyols}}
    shelf.save_recipe(form("Glaze", sweet, "90 g butter", **net), kitchen)
    shelf.save_recipe(form("Bun", "50 g glaze", "50 g flour"), kitchen)
    worked = shelf.book(kitchen).work(form("Plate", "1 egg", "30 g bun").value())
    found = [one for one in shelf.cautions(worked) if one.kind == "net convention"]
    assert [one.lines for one in found] == ([(2,)] if said else [])
    assert all(said in one.text for one in found)


def test_a_circle_is_refused_with_its_names(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Sauce", "100 ml cream"), kitchen)
    shelf.save_recipe(form("Gratin", "200 g sauce"), kitchen)
    shelf.save_recipe(form("Supper", "1 gratin"), kitchen)
    with pytest.raises(InputError, match="Sauce -> Supper -> Gratin -> Sauce"):
        shelf.save_recipe(form("Sauce", "100 ml cream", "50 g supper"), kitchen, number=1, expected=1)
    assert shelf.document("recipe", 1, kitchen).revision == 1


def test_what_is_used_is_not_deleted(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Sauce", "100 ml cream"), kitchen)
    shelf.save_recipe(form("Gratin", "200 g sauce"), kitchen)
    with pytest.raises(InUseError) as error:
        shelf.delete("recipe", 1, kitchen)
    assert error.value.users == (("recipe:2", "Gratin"),)
    shelf.delete("recipe", 2, kitchen)
    shelf.delete("recipe", 1, kitchen)
    with pytest.raises(NotFoundError):
        shelf.document("recipe", 1, kitchen)
    assert shelf.document("recipe", 1, kitchen, revision=1).title == "Sauce"


def test_two_writers_of_one_revision(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Sauce", "100 ml cream"), kitchen)
    shelf.save_recipe(form("Sauce", "90 ml cream"), kitchen, number=1, expected=1)
    with pytest.raises(ConflictError) as error:
        shelf.save_recipe(form("Sauce", "80 ml cream"), kitchen, number=1, expected=1)
    assert error.value.current == 2
    assert "90 ml" in shelf.document("recipe", 1, kitchen).body


def test_toppings_make_a_way_to_serve(shelf: Shelf, kitchen: str) -> None:
    sections = [
        {"lines": [{"text": "2 large eggs"}]},
        {"name": "To serve", "optional": True, "lines": [{"text": "10 g chives"}, {"text": "2-3 sprigs parsley"}]},
    ]
    variants = [
        {"name": "with chives", "with": ["10 g chives"]},
        {"name": "of quail eggs", "swaps": [{"line": "2 large eggs", "by": {"text": "100 g quail eggs"}}]},
        {"name": "for two", "servings": 2},
    ]
    body = {"title": "Eggs", "sections": sections, "variants": variants}
    worked = shelf.save_recipe(RecipeForm.model_validate(body), kitchen).worked
    assert worked is not None
    assert worked.base.lines == {1}
    served = {one.name: one for one in worked.variants}
    assert {name: sorted(one.lines) for name, one in served.items()} == {
        "with chives": [1, 2], "of quail eggs": [4], "for two": [1], EVERYTHING: [1, 2, 3],
    }  # fmt: skip
    plain, halved = worked.base.portions, served["for two"].portions
    assert halved.per_serving.total("FAT").value == pytest.approx((plain.whole.total("FAT").value or 0) / 2)
    sprigs = served[EVERYTHING].portions.whole.total("CHOCDF")
    assert sprigs.high is not None
    assert sprigs.low < sprigs.known < sprigs.high


CHIVES: dict[str, object] = {"text": "10 g chives", "optional": True}
NAMED = [
    ({"name": EVERYTHING, "with": ["10 g chives"]}, True),
    ({"name": EVERYTHING}, False),
    ({"name": PLAIN}, True),
    ({"name": PLAIN, "without": ["10 g chives"], "servings": 1}, True),
    ({"name": PLAIN, "with": ["10 g chives"]}, False),
    ({"name": PLAIN, "without": ["2 eggs"]}, False),
    ({"name": PLAIN, "servings": 2}, False),
    ({"name": PLAIN, "swaps": [{"line": "2 eggs", "by": {"text": "4 quail eggs"}}]}, False),
]


@pytest.mark.parametrize(("variant", "kept"), NAMED, ids=range(len(NAMED)))
def test_a_variant_that_is_neither_plain_nor_with_everything_is_not_called_so(
    shelf: Shelf, kitchen: str, variant: dict[str, object], kept: bool
) -> None:
    made = form("Eggs", "2 eggs", CHIVES, variants=[variant])
    with nullcontext() if kept else pytest.raises(InputError, match="call this variant otherwise"):
        shelf.save_recipe(made, kitchen)


@pytest.mark.parametrize(("polyols", "net"), [("all", 2), ("none", 62)])
def test_an_own_food_from_a_label(shelf: Shelf, kitchen: str, polyols: str, net: float) -> None:
    """Invented label, EU basis: 62 g carbohydrate of which 60 g polyols, 20 g fibre outside it."""
    label = {"CHOAVLDF": 62, "POLYL": 60, "FIBTG": 20, "FAT": 8, "PROCNT": 6}
    own = OwnFoodForm(description="Harbour bar", carbohydrate_basis="available", components=label)
    shelf.save_own(own, kitchen)
    made = form("Snack", "100 g harbour bar", net_carbohydrate={"polyols": polyols})
    worked = shelf.save_recipe(made, kitchen).worked
    assert worked is not None
    whole = worked.base.portions.whole
    assert whole.net_carbohydrate.value == pytest.approx(net)
    assert whole.total("CHOCDF").value == pytest.approx(82)
    assert whole.total("FIBSOL").value is None
    assert whole.total("FIBSOL").high == pytest.approx(20)


def test_a_food_that_takes_over_the_lines_of_saved_recipes_says_so(shelf: Shelf, kitchen: str) -> None:
    """A new own food comes before the tables in recipes that were saved without it."""
    plate = shelf.save_recipe(form("Plate", "2 tbsp mayo"), kitchen).document
    shelf.save_recipe(form("Other", "2 tbsp cream"), kitchen)
    label = {"description": "Mayo", "components": {"FAT": 20}, "measures": [{"measure": "tbsp", "grams": 15}]}
    changed = shelf.save_own(OwnFoodForm.model_validate(label), kitchen).changed
    assert [one.food_id for one in changed] == [plate.food_id]
    with pytest.raises(InUseError, match="Plate"):
        shelf.delete("own", 1, kitchen)


def test_figures_of_a_label_are_as_unsure_as_labels_may_be(shelf: Shelf, kitchen: str) -> None:
    """21 CFR 101.9(g) lets a label be off by 20 %."""
    label = {"description": "Quay spread", "components": {"FAT": 60, "PROCNT": 5, "CHOCDF": 4, "FIBTG": 2}}
    shelf.save_own(OwnFoodForm.model_validate(label), kitchen)
    book = shelf.book(kitchen)
    worked = book.work(form("Toast", "100 g quay spread").value())
    found = uncertainties(book, worked.base.portions.dish, worked.recipe.net)
    assert found["FAT"].standard == pytest.approx(12)


def test_a_book_is_of_one_change(shelf: Shelf, kitchen: str) -> None:
    """What is saved after a book was opened is not mixed into it."""
    shelf.save_recipe(form("Dressing", "100 g olive oil"), kitchen)
    book = shelf.book(kitchen)
    shelf.save_recipe(form("Dressing", "100 g water"), kitchen, number=1)
    assert book.work(form("Plate", "50 g dressing").value()).base.portions.whole.total("FAT").value == pytest.approx(50)


def test_a_sub_recipe_as_a_food_has_the_water_that_was_left(shelf: Shelf, kitchen: str) -> None:
    crackers = shelf.save_recipe(form("Seed crackers", *CRACKERS, **BAKED), kitchen).worked
    assert crackers is not None
    book = shelf.book(kitchen)
    of_100_g = crackers.base.portions.per_100g
    assert of_100_g is not None
    water = book.fetch("recipe:1").content().row[book.columns["WATER"]]
    assert water == pytest.approx(of_100_g.total("WATER").value)
    assert water < 10


def test_a_lost_choice_is_reported(shelf: Shelf, kitchen: str) -> None:
    own = OwnFoodForm(description="Harbour bar", components={"FAT": 8})
    shelf.save_own(own, kitchen)
    shelf.save_choice(ChoiceForm(phrase="my bar", food="own:1"), kitchen)
    assert shelf.lost_choices(kitchen) == ()
    shelf.delete("own", 1, kitchen)
    assert [one.title for one in shelf.lost_choices(kitchen)] == ["my bar"]


def test_a_choice_of_the_same_phrase_is_replaced(shelf: Shelf, kitchen: str) -> None:
    first = shelf.save_choice(ChoiceForm(phrase="Mayo", food="sr28:04025"), kitchen).document
    second = shelf.save_choice(ChoiceForm(phrase="mayo", food="sr28:04641"), kitchen).document
    assert (second.number, second.revision) == (first.number, 2)


def test_kitchens_do_not_see_each_other(shelf: Shelf, kitchen: str) -> None:
    shelf.save_recipe(form("Secret sauce", "100 ml cream"), kitchen)
    assert shelf.listing("recipe", f"{kitchen} next door") == []
    line = shelf.book(f"{kitchen} next door").work(form("Plate", "100 g secret sauce").value()).lines[0]
    assert all(part.food is None or part.food.id != "recipe:1" for part in line.parts)


@pytest.mark.parametrize(
    ("line", "pointer"),
    [
        ({"text": "100 g beef", "food": "sr28:00000"}, "/sections/0/lines/0/food"),
        ({"text": "salt and pepper", "grams": 3}, "/sections/0/lines/0/grams"),
        ({"text": "100 g beef", "treatment": "wished away"}, "/sections/0/lines/0/treatment"),
        ({"text": "100 g beef", "share_eaten": 1.5}, "/sections/0/lines/0/share_eaten"),
    ],
)
def test_a_bad_line_is_pointed_at(shelf: Shelf, kitchen: str, line: dict[str, object], pointer: str) -> None:
    with pytest.raises(InputError) as error:
        shelf.save_recipe(form("Bad", line), kitchen)
    assert error.value.pointer == pointer
    assert shelf.listing("recipe", kitchen) == []


def test_spans_of_the_cooking_tables_are_in_weights_and_ranges(shelf: Shelf, kitchen: str) -> None:
    """The yields of grilled mince spread by more than 3 % either way (USDA cooking yields release 2, ground beef)."""
    beef: dict[str, object] = {"text": "500 g beef mince", "treatment": "grilled"}
    book, worked = shelf.book(kitchen), shelf.book(kitchen).work(form("Patties", beef, "1 tsp salt").value())
    made, whole = worked.base.portions.dish, worked.base.portions.whole
    assert made.cooked.low < 0.95 * made.cooked.value
    assert made.cooked.high > 1.03 * made.cooked.value
    found = uncertainties(book, made, worked.recipe.net)["FAT"]
    assert "cooking" in {one.cause for one in found.contributors}
    fat, per_100g = whole.total("FAT"), worked.base.portions.per_100g
    assert fat.low < fat.known < (fat.high or 0)
    assert per_100g is not None
    protein = per_100g.total("PROCNT")
    assert protein.low < 0.97 * protein.known < protein.known < 0.97 * (protein.high or 0)
    weighed = shelf.book(kitchen).work(form("Patties", beef, **{"yield": {"cooked_grams": 390}}).value())
    assert weighed.base.portions.dish.cooked.low == weighed.base.portions.dish.cooked.high == 390


def test_a_line_that_stays_has_no_part_in_the_difference(shelf: Shelf, kitchen: str) -> None:
    """The unread line is in both ways to serve it, so that the cream's carbohydrate is all that changes."""
    variants = [{"name": "with cream", "with": ["100 ml double cream"]}]
    lines = ("2-3 sprigs parsley", "50 g blorptang", {"text": "100 ml double cream", "optional": True})
    worked = shelf.book(kitchen).work(form("Plate", *lines, variants=variants).value())
    assert worked.base.portions.whole.total("CHOCDF").value is None
    cream = serving_differences(worked, worked.variants[0])["CHOCDF"]
    assert cream.value == pytest.approx(((cream.low or 0) + (cream.high or 0)) / 2, abs=0.2)
    assert (cream.value or 0) > 2


def test_toppings_that_no_table_has_add_what_the_others_do_at_least(shelf: Shelf, kitchen: str) -> None:
    """Almonds: 21.55 g of carbohydrate in 100 g (SR28 12061)."""
    optional = [{"text": text, "optional": True} for text in ("30 g almonds", "50 g blorptang")]
    variants = [{"name": "bare", "without": ["10 g cress seeds zorblax"]}]
    made = form("Plate", "50 g lettuce", "10 g cress seeds zorblax", *optional, variants=variants)
    worked = shelf.book(kitchen).work(made.value())
    bare, everything = (serving_differences(worked, one)["CHOCDF"] for one in worked.variants)
    assert (everything.value, everything.high) == (None, None)
    assert everything.low == pytest.approx(0.3 * 21.55)
    assert (bare.value, bare.low, bare.high) == (None, None, 0)


@pytest.mark.parametrize("said", ["50 g blorptang (optional)", "optional: 50 g blorptang"])
def test_what_no_table_has_leaves_the_plain_recipe_as_it_is_where_its_own_words_make_it_optional(
    shelf: Shelf, kitchen: str, said: str
) -> None:
    worked = shelf.book(kitchen).work(form("Plate", "100 g butter", said).value())
    assert (worked.base.lines, worked.optional) == ({1}, {2})
    assert worked.base.portions.whole.total("FAT").value == pytest.approx(81.11)  # SR28 01001
    assert worked.variants[0].portions.whole.total("FAT").value is None


def test_a_recipe_and_a_list_come_to_the_same_net(shelf: Shelf, kitchen: str) -> None:
    """Polyols and allulose are taken off by one convention wherever lines are added up."""
    shelf.save_own(OwnFoodForm.model_validate(BAR), kitchen)
    shelf.save_recipe(form("Seed crackers", *CRACKERS, "20 g xylitol", **BAKED), kitchen)
    lines = ["30 g erythritol", "20 g maltitol", "10 g allulose", "100 g flour", "1 harbour bar", "2 seed crackers"]
    book = shelf.book(kitchen)
    whole = book.work(form("Biscuits", *lines).value()).base.portions.whole
    results = [book.resolver.resolve(line, kitchen=book.kitchen) for line in lines]
    listed = analyse_results(book.resolver, results, kitchen=book.kitchen).whole
    assert listed.net_carbohydrate.value == pytest.approx(whole.net_carbohydrate.value)
    assert (whole.net_carbohydrate.value or 0) < (whole.total("CHOCDF").known or 0) - 60


@pytest.mark.parametrize(
    ("share", "said"), [(0.5, "50 % of it is counted as eaten"), (1.0, "but 100 % of it is counted: set its share")]
)
def test_a_line_whose_words_speak_of_the_share_eaten_says_what_is_counted(
    shelf: Shelf, share: float, said: str
) -> None:
    line = RecipeLine("100 ml olive oil, half of it is left in the pan", share_eaten=share)
    worked = shelf.book().work(Recipe("Plate", (Section((line,)),)))
    assert any(said in reason for reason in worked.lines[0].reasons)


@pytest.mark.parametrize(("share", "outcome"), [(1.0, "check"), (0.2, "resolved")])
@pytest.mark.parametrize("said", ["most of it discarded", "discard the marinade", "half of it is left"])
def test_a_line_of_which_not_all_is_eaten_is_asked_about_until_its_share_is_set(
    shelf: Shelf, share: float, outcome: str, said: str
) -> None:
    line = RecipeLine(f"1 cup soy sauce for the marinade, {said}", share_eaten=share)
    worked = shelf.book().work(Recipe("Plate", (Section((line,)),)))
    assert worked.lines[0].outcome == outcome
    assert any(f"{100 * share:g} % of it is counted" in reason for reason in worked.lines[0].reasons)


def test_an_amount_of_nothing_leaves_every_figure_as_it_is(shelf: Shelf, kitchen: str) -> None:
    plain, more = (shelf.book(kitchen).work(form("Plate", *lines).value()) for lines in (
        ["100 g cod"], ["100 g cod", "0 g butter", "0 eggs"],
    ))  # fmt: skip
    assert more.base.portions.dish.unweighed == ()
    assert more.base.portions.whole.total("FAT") == plain.base.portions.whole.total("FAT")


def test_half_of_a_recipe_counts_half_of_what_is_known_of_it_and_has_no_exact_weight(
    shelf: Shelf, kitchen: str
) -> None:
    here = shelf.of(kitchen)
    here.save_recipe(form("Pier spice mix", "50 g salt", "20 g sugar", "100 g zorblax powder"))
    worked = here.book().work(form("Plate", "half the pier spice mix").value())
    weight = worked.lines[0].parts[0].grams
    assert weight is not None
    assert (weight.value, weight.low, weight.high) == (None, pytest.approx(35), None)
    carbohydrate = worked.base.portions.whole.total("CHOCDF")
    assert (carbohydrate.value, carbohydrate.high) == (None, None)
    assert carbohydrate.known == pytest.approx(10, abs=0.1)
    assert worked.base.portions.dish.unmatched == (1,)
    assert here.book().fetch("recipe:1").entry.measures == ()


def test_what_is_thrown_away_leaves_no_figure_open(shelf: Shelf) -> None:
    lines = [RecipeLine("2 eggs"), RecipeLine("1 parmesan rind, discarded", share_eaten=0.0)]
    lines += [RecipeLine("100 ml zorblax, discarded", share_eaten=0.0)]
    worked = shelf.book().work(Recipe("Plate", (Section(tuple(lines)),)))
    plain = shelf.book().work(Recipe("Plate", (Section(tuple(lines[:1])),)))
    assert worked.base.portions.whole.total("FAT") == plain.base.portions.whole.total("FAT")
    assert "lower bound" not in {one.kind for one in shelf.cautions(worked)}
    trace = evidence(shelf.book(), worked.base.portions.dish, "FAT", worked.recipe.net)
    assert [one.amount for one in trace[1:]] == [0.0, 0.0]


@pytest.mark.parametrize(("treatment", "told"), [(None, True), ("browned, drained", False)])
def test_a_line_whose_words_speak_of_cooking_says_where_it_is_counted_raw(
    shelf: Shelf, treatment: str | None, told: bool
) -> None:
    line = RecipeLine("500 g beef mince, browned and drained", treatment=treatment)
    worked = shelf.book().work(Recipe("Plate", (Section((line,)),)))
    assert any("counted as raw: set its treatment" in reason for reason in worked.lines[0].reasons) == told


def test_a_time_at_the_stove_that_is_no_treatment_is_told(shelf: Shelf) -> None:
    line = RecipeLine("120 ml white wine, simmered 45 minutes")
    worked = shelf.book().work(Recipe("Plate", (Section((line,)),)))
    assert "'simmered 45 minutes' is said, but it is counted as raw: set its treatment" in worked.lines[0].reasons


# ---- which recipes a save changes ----------------------------------------------------------------------------------

CHANGES = [
    ("made", None, {"phrase": "spread", "food": "sr28:01001"}),
    ("changed", {"phrase": "spread", "food": "sr28:04641"}, {"phrase": "spread", "food": "sr28:01001"}),
    ("deleted", {"phrase": "spread", "food": "sr28:01001"}, None),
    ("deleted size", {"phrase": "1 egg", "size": "jumbo"}, None),
    ("deleted weight", {"phrase": "a knob", "grams": 50}, None),
]


@pytest.mark.parametrize(("old", "new"), [case[1:] for case in CHANGES], ids=[case[0] for case in CHANGES])
def test_a_standing_choice_names_the_recipes_that_it_changes(
    shelf: Shelf, kitchen: str, old: dict[str, object] | None, new: dict[str, object] | None
) -> None:
    here = shelf.of(kitchen)
    saved = here.save_choice(ChoiceForm.model_validate(old)) if old else None
    for title, lines in (("Toast", ["20 g spread", "2 eggs", "2 knobs of butter"]), ("Cod", ["150 g cod"])):
        here.save_recipe(form(title, *lines))
    if new:
        found = here.save_choice(ChoiceForm.model_validate(new), number=saved and saved.document.number)
    else:
        assert saved is not None
        found = here.delete_choice(saved.document.number)
    assert [one.title for one in found.changed] == ["Toast"]


HEADS = [
    ("Lemon dressing", "half the dressing", True),  # the only one
    ("Lemon dressing", "1 lemon dressing", True),
    ("Lemon dressing", "1 lemon, for the dressing", False),
    ("Harbour soup", "200 g soup of the harbour", False),
]


@pytest.mark.parametrize(("title", "line", "changes"), HEADS, ids=[case[1] for case in HEADS])
def test_a_new_title_changes_only_recipes_a_line_of_which_means_it(
    shelf: Shelf, kitchen: str, title: str, line: str, changes: bool
) -> None:
    here = shelf.of(kitchen)
    here.save_recipe(form("Plate", "100 g cod", line))
    found = here.save_recipe(form(title, "100 ml olive oil"))
    assert [one.title for one in found.changed] == (["Plate"] if changes else [])


def test_a_second_recipe_of_the_same_title_moves_no_figure_and_is_asked_about(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    here.save_recipe(form("Quay base", "100 g cod"))
    plate = here.save_recipe(form("Plate", "half the quay base")).document.food_id
    before = here.book().work_saved(plate)
    assert [line.outcome for line in before.lines] == ["resolved"]
    second = here.save_recipe(form("Quay base", "200 ml double cream", "50 g plate"))
    assert second.changed == ()
    for first_worked in (second.document.food_id, plate):  # whichever is asked for first
        book = here.book()
        book.work_saved(first_worked)
        after = book.work_saved(plate)
        assert [line.outcome for line in after.lines] == ["check"]
        assert [one.food.id for one in after.lines[0].parts[0].candidates] == ["recipe:1", "recipe:3"]
        assert after.base.portions.whole == before.base.portions.whole


def test_recipes_that_only_share_words_with_a_title_are_not_worked_out(
    shelf: Shelf, kitchen: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    here = shelf.of(kitchen)
    for number in range(20):
        here.save_recipe(form(f"Harbour soup {number}", "100 g cod", f"{number + 1} g harbour salt"))
    here.save_recipe(form("Lunch", "200 g harbour soup 3"))
    worked: list[str] = []
    plain = Book.work_saved
    monkeypatch.setattr(Book, "work_saved", lambda book, food_id: worked.append(food_id) or plain(book, food_id))
    listed = here.listing("recipe", search="harbour soup 3", limit=10)
    number = next(one.number for one in listed if one.title == "Harbour soup 3")
    found = here.save_recipe(form("Harbour soup 3", "200 g cod", "100 ml water"), number=number)
    assert [one.title for one in found.changed] == ["Lunch"]
    assert len(worked) <= 3, worked  # itself, and the lunch before and after


# ---- circles ---------------------------------------------------------------------------------------------------------


def _title_taken_up(here: Shelf) -> None:
    here.save_recipe(form("Gamma mix", "20 g delta mix"))
    here.save_recipe(form("Delta mix", "20 g gamma mix"))


def _title_changed(here: Shelf) -> None:
    here.save_recipe(form("Deck sauce", "50 g bilge paste"))
    here.save_recipe(form("Bilge mash", "50 g deck sauce"))
    here.save_recipe(form("Bilge paste", "50 g deck sauce"), number=2)


def _chosen(here: Shelf) -> None:
    here.save_recipe(form("Alpha mix", "20 g secret zz"))
    here.save_recipe(form("Beta mix", "20 g alpha mix"))
    here.save_choice(ChoiceForm(phrase="secret zz", food="recipe:2"))


def _choice_deleted(here: Shelf) -> None:
    here.save_choice(ChoiceForm(phrase="dune dip", food="sr28:01001"))
    here.save_recipe(form("Strand plate", "20 g dune dip"))
    here.save_recipe(form("Dune dip", "20 g strand plate"))
    here.delete_choice(1)


def _several_chosen(here: Shelf) -> None:
    here.save_recipe(form("Alpha mix", "20 g secret zz"))
    here.save_recipe(form("Beta mix", "20 g alpha mix"))
    here.save_choices([ChoiceForm(phrase="a knob", grams=9), ChoiceForm(phrase="secret zz", food="recipe:2")])


CIRCLES = [
    (_title_taken_up, "Delta mix -> Gamma mix -> Delta mix"),
    (_title_changed, "Bilge paste -> Deck sauce -> Bilge paste"),
    (_chosen, "Alpha mix -> Beta mix -> Alpha mix"),
    (_choice_deleted, "Strand plate -> Dune dip -> Strand plate"),
    (_several_chosen, "Alpha mix -> Beta mix -> Alpha mix"),
]


@pytest.mark.parametrize(("closed", "names"), CIRCLES, ids=[case[0].__name__ for case in CIRCLES])
def test_a_circle_that_names_or_choices_close_is_refused(
    shelf: Shelf, kitchen: str, closed: Callable[[Shelf], None], names: str
) -> None:
    here = shelf.of(kitchen)
    with pytest.raises(CircleError, match=names):
        closed(here)
    for one in here.documents("recipe"):
        here.book().work_saved(one.food_id)


def test_a_kitchen_in_which_others_never_stop_saving_says_so(
    shelf: Shelf, kitchen: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each try works all reached recipes out again: without end, it would keep a server busy for nothing."""
    save, tries = store.save, count()

    def overtaken(engine: Engine, here: str, *asked: Any, **more: Any) -> Any:
        save(engine, here, "own", title=f"Bar {next(tries)}", body="{}")
        return save(engine, here, *asked, **more)

    monkeypatch.setattr(store, "save", overtaken)
    with pytest.raises(StoreError, match="others kept saving") as error:
        shelf.save_recipe(form("Plate", "1 egg"), kitchen)
    assert error.value.told == str(error.value)
    assert shelf.documents("recipe", kitchen) == []
    assert next(tries) <= 20


def in_a_circle(here: Shelf) -> None:
    """Two recipes as they could once be saved: each of them knew nothing of the other's use."""
    for title, line, uses in (("Deck sauce", "50 g bilge paste", []), ("Bilge paste", "50 g deck sauce", ["recipe:1"])):
        body = form(title, line).json_text()
        store.save(here.catalogue.engine, here.kitchen, "recipe", title=title, body=body, uses=uses)


def test_an_old_circle_takes_nothing_else_down(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    in_a_circle(here)
    here.save_choice(ChoiceForm(phrase="house sauce", food="recipe:1"))
    assert here.lost_choices() == ()
    book = here.book()
    for line in ("20 g deck sauce", "20 g house sauce"):
        found = book.resolver.resolve(line, kitchen=book.kitchen)
        assert found.outcome == "check"
        assert "a circle of sub-recipes: Deck sauce -> Bilge paste -> Deck sauce" in found.parts[0].reasons[0]
    with pytest.raises(CircleError) as error:
        here.save_recipe(form("Plate", "100 g cod", "20 g deck sauce"))
    assert error.value.pointer == "/sections/0/lines/1"


def test_an_old_circle_is_undone_by_a_new_title(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    in_a_circle(here)
    saved = here.save_recipe(form("Bilge mash", "50 g deck sauce"), number=2)
    assert [one.title for one in saved.changed] == ["Deck sauce"]
    here.book().work_saved("recipe:1")


# ---- what recipes use, whoever was saved first -----------------------------------------------------------------------


def test_a_new_title_leaves_the_recipes_that_meant_the_old_one(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    bake = here.save_recipe(form("Tuna bake", "200 g tuna", "100 g keel relish")).document.food_id
    here.save_recipe(form("Keel relish", "100 g mayonnaise"))
    assert here.users("recipe:2") == (bake,)
    assert [one.title for one in here.listing("recipe", using="recipe:2")] == ["Tuna bake"]
    again = here.save_recipe(form("Harbour relish", "100 g mayonnaise"), number=2)
    assert [one.food_id for one in again.changed] == [bake]
    assert here.users("recipe:2") == ()
    here.delete("recipe", 2)


def test_an_own_food_of_a_new_name_leaves_the_recipes_that_meant_the_old_one(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    bake = here.save_recipe(form("Tuna bake", "200 g tuna", "100 g kedge spread")).document.food_id
    here.save_own(OwnFoodForm(description="Kedge spread", components={"FAT": 40}))
    assert [one.title for one in here.listing("recipe", using="own:1")] == ["Tuna bake"]
    again = here.save_own(OwnFoodForm(description="Grapnel spread", components={"FAT": 40}), number=1)
    assert [one.food_id for one in again.changed] == [bake]
    assert here.listing("recipe", using="own:1") == []


def test_the_first_of_a_title_stays_the_one_that_is_meant_when_it_is_saved_again(shelf: Shelf, kitchen: str) -> None:
    here = shelf.of(kitchen)
    for lines in (["100 g cod"], ["200 ml double cream"]):
        here.save_recipe(form("Quay base", *lines))
    plate = here.save_recipe(form("Plate", "50 g quay base")).document.food_id
    assert here.save_recipe(form("Quay base", "100 g cod"), number=1).changed == ()
    assert "recipe:1" in here.book().work_saved(plate).uses


def test_a_save_that_another_overtook_is_prepared_anew(
    shelf: Shelf, kitchen: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two writers each close one half of a circle: whoever is second hears of it."""
    here, plain = shelf.of(kitchen), store.save

    def late(*given: Any, **more: Any) -> store.Document:
        monkeypatch.setattr(store, "save", plain)
        Shelf(shelf.catalogue, kitchen).save_recipe(form("Gamma mix", "20 g delta mix"))
        return plain(*given, **more)

    monkeypatch.setattr(store, "save", late)
    with pytest.raises(CircleError, match="Delta mix -> Gamma mix -> Delta mix"):
        here.save_recipe(form("Delta mix", "20 g gamma mix"))
    assert [one.title for one in here.documents("recipe")] == ["Gamma mix"]
