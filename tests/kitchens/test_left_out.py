"""A line that is left out stays in the list and counts nowhere: not plain, not with everything, not on paper."""

from __future__ import annotations

import pytest

from service.core.recipe import Recipe, RecipeLine, Section, Swap, Variant
from service.kitchens.forms import RecipeForm
from service.kitchens.ledger import ledger
from service.kitchens.shelf import Shelf
from service.publish import card_html, publication
from service.settings import Settings
from service.wiring import open_catalogue

TEXTS = ("40 g butter", "3 tbsp barnacle powder", "200 ml double cream", "30 g walnuts")


@pytest.fixture(scope="module")
def shelf(kitchen_store: Settings) -> Shelf:
    return Shelf(open_catalogue(kitchen_store))


def of(*texts: str, left_out: str = "", variants: tuple[Variant, ...] = ()) -> Recipe:
    lines = tuple(RecipeLine(text, optional=text == "30 g walnuts", left_out=text == left_out) for text in texts)
    return Recipe("Plate", (Section(lines),), variants=variants)


@pytest.mark.parametrize("gone", TEXTS)
def test_the_figures_are_those_of_the_list_without_it(shelf: Shelf, gone: str) -> None:
    book = shelf.book()
    struck, without = book.work(of(*TEXTS, left_out=gone)), book.work(of(*(text for text in TEXTS if text != gone)))
    for one, other in zip((struck.base, *struck.variants), (without.base, *without.variants), strict=True):
        a, b = one.portions.per_serving, other.portions.per_serving
        assert [total.value for total in a.components] == [total.value for total in b.components]
        assert a.net_carbohydrate.value == b.net_carbohydrate.value
    assert [one.kind for one in shelf.cautions(struck)] == [one.kind for one in shelf.cautions(without)]
    assert ledger(book, struck).lines[TEXTS.index(gone)].raw.value == 0


def test_no_variant_counts_it_and_nothing_published_has_it(shelf: Shelf) -> None:
    book = shelf.book()
    swap = Swap("40 g butter", RecipeLine("40 g ghee"))
    made = of(*TEXTS, left_out="40 g butter", variants=(Variant("rich", with_=("40 g butter",), swaps=(swap,)),))
    worked = book.work(made)
    assert 1 not in worked.variants[0].lines
    assert "butter" not in card_html(publication(worked, book.components))


def test_the_form_keeps_it() -> None:
    form = RecipeForm.model_validate(
        {"title": "Plate", "sections": [{"lines": [{"text": "40 g butter", "left_out": True}]}]}
    )
    assert form.value().lines[0].left_out
    assert RecipeForm.of(form.value()) == form
