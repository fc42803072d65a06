"""From a worked recipe to its publication, over the real tables."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from service.core.panel import NOT_KNOWN
from service.kitchens.forms import RecipeForm
from service.kitchens.shelf import Shelf
from service.publish import Origin, Publication, card_html, csv_text, publication, us_panel_html
from service.settings import Settings
from service.wiring import open_catalogue


@pytest.fixture(scope="module")
def shelf(kitchen_store: Settings) -> Iterator[Shelf]:
    catalogue = open_catalogue(kitchen_store)
    yield Shelf(catalogue)
    catalogue.engine.dispose()


def published(shelf: Shelf, *lines: str, toppings: tuple[str, ...] = (), **more: object) -> Publication:
    sections: list[dict[str, object]] = [{"name": "Chowder", "lines": [{"text": line} for line in lines]}]
    if toppings:
        sections.append({"name": "On top", "optional": True, "lines": [{"text": line} for line in toppings]})
    recipe = RecipeForm.model_validate({"title": "Quay chowder", "servings": 4, "sections": sections, **more}).value()
    book = shelf.book("publications")
    origin = Origin("recipe:1", 1, book.change, date="28 November 2026")
    return publication(book.work(recipe), book.components, releases=book.resolver.table.releases, origin=origin)


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
