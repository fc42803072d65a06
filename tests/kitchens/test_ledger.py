"""What lines and sections bring: their sums are the figures of the recipe, whatever it holds."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.core.recipe import Recipe, RecipeLine, RecipeYield, Section, Swap, Variant
from service.kitchens.forms import RecipeForm
from service.kitchens.ledger import SHOWN, ledger, share_of
from service.kitchens.shelf import Shelf
from service.settings import Settings
from service.wiring import open_catalogue

LINES = ("40 g butter", "1 leek, sliced", "200 ml double cream", "100 g lamb's lettuce", "salt and pepper")
TOPS = ("60 g walnuts", "2 tbsp olive oil")


def of(*sections: tuple[tuple[str, ...], bool], **more: object) -> Recipe:
    made = tuple(Section(tuple(RecipeLine(text) for text in lines), "", optional) for lines, optional in sections)
    return Recipe("Plate", made, **more)  # type: ignore[arg-type]


RECIPES = {
    "one section": of((LINES, False)),
    "toppings": of((LINES, False), (TOPS, True), servings=4),
    "cooked": of((LINES, False), (TOPS, True), servings=2, yields=RecipeYield(factor=0.8)),
    "a way of its own": of((LINES, False), (TOPS, True), variants=(Variant("rich", with_=("60 g walnuts",)),)),
    "nothing at all": of(),
}


@pytest.fixture(scope="module")
def shelf(kitchen_store: Settings) -> Shelf:
    return Shelf(open_catalogue(kitchen_store))


@pytest.mark.parametrize("recipe", RECIPES.values(), ids=RECIPES)
def test_lines_and_sections_add_up_to_the_recipe(shelf: Shelf, recipe: Recipe) -> None:
    book = shelf.book()
    worked = book.work(recipe)
    found = ledger(book, worked)
    base = worked.base
    for name in SHOWN:
        plain = [found.lines[number - 1].serving.total(name).known for number in sorted(base.lines)]
        assert sum(plain) == pytest.approx(base.portions.per_serving.total(name).known)
        every = [section.serving.total(name).known for section in found.sections]
        assert sum(every) == pytest.approx(found.everything.serving.total(name).known)
    raw = sum(section.raw.value for section in found.sections)
    assert raw == pytest.approx(found.everything.raw.value)
    assert sum(found.lines[number - 1].raw.value for number in base.lines) == pytest.approx(
        base.portions.dish.raw.value
    )


def test_weights_add_up_as_the_lines_give_them(shelf: Shelf) -> None:
    """A line of a saved recipe weighs what it says, whatever went into that; what is not eaten is on the list too."""
    soup = of((("500 g potatoes", "200 g butter"), False), yields=RecipeYield(factor=0.8))
    shelf.save_recipe(RecipeForm.of(replace(soup, title="Hawser soup")), "weights")
    plain = (RecipeLine("100 g hawser soup"), RecipeLine("50 g butter", share_eaten=0.5), RecipeLine("salt"))
    top = (RecipeLine("40 g hawser soup"), RecipeLine("30 g walnuts", left_out=True))
    swap = Swap("50 g butter", RecipeLine("20 g olive oil"))
    sections = (Section(plain), Section(top, "Top", optional=True))
    book = shelf.book("weights")
    found = ledger(book, book.work(Recipe("Plate", sections, variants=(Variant("oil", swaps=(swap,)),))))
    assert [line.listed.value for line in found.lines] == [100, 50, 0, 40, 0, 20]
    assert [section.listed.value for section in found.sections] == [150, 40]
    assert {name: spread.value for name, spread in found.listed.items()} == {
        "plain": 150, "oil": 120, "with everything": 190,
    }  # fmt: skip


def test_a_share_of_what_is_not_known_is_not_known(shelf: Shelf) -> None:
    """SR28 has no fibre value of cornsalad (11190), so that of the whole has none either."""
    book = shelf.book()
    found = ledger(book, book.work(RECIPES["toppings"]))
    shares = share_of(found.sections[1], found.everything)
    assert shares["FIBTG"] is None
    assert shares["FAT"] == pytest.approx(
        found.sections[1].serving.total("FAT").known / found.everything.serving.total("FAT").known
    )
    assert found.optional.lines == frozenset({6, 7})
