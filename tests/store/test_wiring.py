"""The catalogue: which datasets answer, and the pantry beside what the store holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from service.api.payloads import encode, line_payload
from service.core.analyse import Resolver
from service.core.errors import NotFoundError
from service.core.food import FoodTable
from service.datasets import ensure_ready
from service.settings import Settings
from service.store.read import load_table
from service.tables import load_tables
from service.tables.pantry import load_pantry
from service.wiring import Catalogue, open_catalogue

BOTH, SR28 = ("sr28", "pantry"), ("sr28",)


@pytest.fixture(scope="module")
def catalogue(sr28_store: Settings) -> Catalogue:
    return open_catalogue(sr28_store)


def test_the_pantry_is_used_unless_left_out(catalogue: Catalogue) -> None:
    assert catalogue.datasets == BOTH
    assert [release.dataset for release in catalogue.resolver().table.releases] == list(BOTH)
    assert [release.dataset for release in catalogue.resolver(SR28).table.releases] == list(SR28)


def test_every_dataset_is_listed(catalogue: Catalogue) -> None:
    assert {release.dataset for release in catalogue.releases()} == set(BOTH)


def test_the_table_holds_both_with_their_own_figures(catalogue: Catalogue, sr28_table: FoodTable) -> None:
    table, pantry = catalogue.resolver().table, load_pantry().table
    assert [food.id for food in table.foods] == sorted(food.id for food in (*sr28_table.foods, *pantry.foods))
    assert table.components[: len(sr28_table.components)] == sr28_table.components
    columns = {component.tagname: place for place, component in enumerate(table.components)}
    places = {food.id: place for place, food in enumerate(table.foods)}
    for part in (sr28_table, pantry):
        rows = table.amounts[[places[food.id] for food in part.foods]]
        own = [columns[component.tagname] for component in part.components]
        np.testing.assert_array_equal(rows[:, own], part.amounts)
        others = [place for place in range(len(table.components)) if place not in set(own)]
        assert np.isnan(rows[:, others]).all()


# (line, food with the pantry, food without it): a national entry that fits answers either way.
LINES = [
    ("100 g erythritol", "pantry:erythritol", None),
    ("2 tbsp psyllium husk powder", "pantry:psyllium", None),
    ("1/4 cup allulose", "pantry:allulose", None),
    ("50 g inulin", "pantry:inulin", None),
    ("1 tbsp MCT oil", "pantry:mct", None),
    ("2 tsp gelatine powder", "sr28:19177", "sr28:19177"),
    ("1 envelope unflavored gelatin", "sr28:19177", "sr28:19177"),
    ("1/2 tsp xanthan gum", "sr28:42281", "sr28:42281"),
    ("1/2 tsp guar gum", "sr28:42281", "sr28:42281"),
    ("60 g vital wheat gluten", "sr28:48052", "sr28:48052"),
    ("2 large eggs", "sr28:01123", "sr28:01123"),
]


@pytest.mark.parametrize(("line", "beside", "alone"), LINES, ids=[line for line, _, _ in LINES])
def test_the_pantry_answers_only_where_no_national_entry_fits(
    catalogue: Catalogue, line: str, beside: str | None, alone: str | None
) -> None:
    def found(datasets: tuple[str, ...]) -> str | None:
        [part] = catalogue.resolver(datasets).resolve(line).parts
        return part.food.id if part.food and part.outcome != "no_match" else None

    assert (found(BOTH), found(SR28)) == (beside, alone)


def test_left_out_it_changes_no_byte(catalogue: Catalogue, sr28_table: FoodTable) -> None:
    plain, left_out = Resolver(sr28_table, load_tables()), catalogue.resolver(SR28)
    names = [name.form for name in load_pantry().names]
    for line in [f"2 tbsp {name}" for name in names] + [line for line, _, _ in LINES]:
        one, other = (encode(line_payload(r.resolve(line, components=("all",)))) for r in (plain, left_out))
        assert one == other, line


def test_a_substance_is_shown_with_its_origin(catalogue: Catalogue) -> None:
    details = catalogue.details("pantry:erythritol")
    energy = {value.tagname: value for value in details.values}["ENERC_KCAL"]
    assert (energy.amount, energy.source) == (0, "law")
    with pytest.raises(NotFoundError):
        catalogue.details("pantry:sand")


def test_an_unknown_dataset_is_refused_by_its_place(catalogue: Catalogue) -> None:
    with pytest.raises(NotFoundError, match=r"harbour.*sr28, pantry") as caught:
        catalogue.resolver(("pantry", "harbour"))
    assert caught.value.pointer == "/datasets/1"


def test_the_pantry_alone_needs_no_release(tmp_path: Path) -> None:
    settings = Settings(tmp_path, f"sqlite:///{tmp_path / 'empty.sqlite3'}", ("pantry",), "127.0.0.1", 1)
    catalogue = open_catalogue(settings)
    assert catalogue.resolver().resolve("100 g xylitol").outcome == "resolved"
    assert [release.dataset for release in catalogue.releases()] == ["pantry"]


def test_tables_beside_the_store_come_in_the_order_asked_for(sr28_store: Settings) -> None:
    engine = ensure_ready(sr28_store)
    pantry = load_pantry().table
    table = load_table(engine, ("pantry", "sr28"), beside={"pantry": pantry})
    engine.dispose()
    assert table.components[: len(pantry.components)] == pantry.components
    assert [release.dataset for release in table.releases] == ["pantry", "sr28"]
