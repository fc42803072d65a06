"""What lines and sections bring: their sums are the figures of the recipe, whatever it holds."""

from __future__ import annotations

import pytest

from service.core.recipe import Recipe, RecipeLine, RecipeYield, Section, Variant
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
