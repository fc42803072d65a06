"""What a table lacks is borrowed along a link only, marked with where it comes from, and from nowhere else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sqlalchemy import Engine

from importers.release import ReleaseData
from service.api.payloads import coverage_notes, line_payload, part_payload
from service.bulk import analyse_results
from service.store.write import replace_release
from service.wiring import Catalogue
from tests.harbour import FOODS, HARBOUR, harbour

PIER = "pier"
# The second table: fibre and sodium for two kelps; the harbour's own table is left without these columns.
PIER_FOODS = {
    "7": ("Kelp", {"PROCNT": 2.0, "FIBTG": 1.1, "NA": 200, "ENERC_KCAL": 40, "CHOCDF": 9}),
    "8": ("Cod", {"PROCNT": 17, "FIBTG": 0, "NA": 77}),
}
KNOWN = ("PROCNT", "FAT", "WATER")
HARBOUR_FOODS = {code: (name, {tagname: row[tagname] for tagname in KNOWN}) for code, (name, row) in FOODS.items()}


def catalogue(engine: Engine, pier: ReleaseData, datasets: tuple[str, ...] = (HARBOUR, PIER)) -> Catalogue:
    replace_release(engine, harbour(foods=HARBOUR_FOODS))
    replace_release(engine, pier)
    return Catalogue(engine, datasets)


def pier(**links: tuple[str, ...]) -> ReleaseData:
    linked = {code.removeprefix("f"): ids for code, ids in links.items()}
    return harbour("7", PIER_FOODS, dataset=PIER, linked=linked)


def test_a_lacking_component_is_borrowed_with_its_source(empty_store: Engine) -> None:
    found = catalogue(empty_store, pier(f7=("harbour:1",)))
    assert found.resolver().table.borrowed == {
        "harbour:1": {"FIBTG": "pier:7", "NA": "pier:7"}, "pier:7": {"FAT": "harbour:1", "WATER": "harbour:1"}
    }  # fmt: skip
    values = {value.tagname: value for value in found.details("harbour:1").values}
    assert (values["FIBTG"].amount, values["FIBTG"].source, values["FIBTG"].source_text) == (
        1.1, "borrowed", "borrowed from pier:7"
    )  # fmt: skip
    assert values["PROCNT"].amount == 1.7, "the own value stays"
    assert "ENERC_KCAL" not in values, "energy rests on each table's factors"


@pytest.mark.parametrize("links", [
    {}, {"f7": ("harbour:99",)}, {"f7": ("harbour:1",), "f8": ("harbour:1",)},
], ids=["no link", "a link to nowhere", "two that claim to be the same"])  # fmt: skip
def test_nothing_is_borrowed_without_a_plain_link(empty_store: Engine, links: dict[str, tuple[str, ...]]) -> None:
    borrowed = catalogue(empty_store, pier(**links)).resolver().table.borrowed
    assert "harbour:1" not in borrowed


def test_a_food_of_quite_other_figures_lends_nothing(empty_store: Engine) -> None:
    """As CNF 502776, a plain yogurt, of which the publisher says the number of one with strawberries."""
    sweetened = {"7": ("Kelp", {"PROCNT": 12.0, "FIBTG": 1.1, "NA": 200})}
    other = harbour("7", sweetened, dataset=PIER, linked={"7": ("harbour:1",)})
    assert catalogue(empty_store, other).resolver().table.borrowed == {}


def test_another_carbohydrate_basis_lends_nothing(empty_store: Engine) -> None:
    available = replace(pier(f7=("harbour:1",)), carbohydrate_basis="available")
    assert catalogue(empty_store, available).resolver().table.borrowed == {}


def test_a_value_that_the_table_knows_of_others_is_not_borrowed(empty_store: Engine) -> None:
    foods = {**HARBOUR_FOODS, "2": ("Cod, raw", {"FIBTG": 0})}
    replace_release(empty_store, harbour(foods=foods))
    replace_release(empty_store, pier(f7=("harbour:1",)))
    assert Catalogue(empty_store, (HARBOUR, PIER)).resolver().table.borrowed["harbour:1"] == {"NA": "pier:7"}


def test_a_table_alone_borrows_nothing(empty_store: Engine) -> None:
    found = catalogue(empty_store, pier(f7=("harbour:1",)), (HARBOUR,))
    table = found.resolver().table
    assert table.borrowed == {}
    assert np.isnan(table.amounts[0, [one.tagname for one in table.components].index("FIBTG")])


def test_a_line_names_the_lender_of_each_component(empty_store: Engine) -> None:
    resolver = catalogue(empty_store, pier(f7=("harbour:1",))).resolver()
    asked = ("FIBTG", "PROCNT")
    results = [resolver.resolve(line, components=asked, food="harbour:1") for line in ("100 g kelp", "50 g kelp")]
    assert [dict(result.parts[0].borrowed) for result in results] == [{"FIBTG": "pier:7"}] * 2
    payload = line_payload(results[0])["parts"][0]
    assert (payload["components"]["FIBTG"], payload["borrowed"]) == (1.1, {"FIBTG": "pier:7"})
    analysis = analyse_results(resolver, results, components=asked)
    assert "Lines 1, 2: FIBTG of harbour:1 borrowed from pier:7, the same food." in coverage_notes(
        analysis.coverage, analysis.whole, results
    )


def test_a_line_without_lenders_says_nothing_of_them(empty_store: Engine) -> None:
    resolver = catalogue(empty_store, pier(f7=("harbour:1",)), (HARBOUR,)).resolver()
    [part] = resolver.resolve("100 g kelp", components=("all",), food="harbour:1").parts
    assert part.borrowed == {}
    assert "borrowed" not in part_payload(part)
