"""gramwright food: food entries by words, and one with its composition."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from service.api.payloads import shown_ounces
from service.commands import stores
from service.commands.tables_of_text import add_row, figure, plain, print_out, text_table
from service.core.errors import GramwrightError
from service.core.food import ComponentValue, FoodDetails, Release, as_gtin
from service.core.health import of_food
from service.core.nutrients import net_formula, net_of_food, plain_amounts
from service.tables.vocabulary import load_tables

if TYPE_CHECKING:
    from rich.table import Table


def search_foods(asked: argparse.Namespace) -> None:
    """gramwright food search"""
    words = " ".join(asked.words)
    catalogue = stores.open_store(stores.settings_asked(asked.datasets))
    if as_gtin(words):
        found = catalogue.with_gtin(words)
    else:
        found = tuple(one.food for one in catalogue.resolver().search(words, limit=asked.limit))
    if not found:
        raise GramwrightError(f"no food entry was found for {words!r}")
    table = text_table("id", "food entry", "group", wide=(1,))
    for food in found[: asked.limit]:
        add_row(table, food.id, plain(food.description), plain(food.group_name))
    print_out(table)


def show_food(asked: argparse.Namespace) -> None:
    """gramwright food show"""
    catalogue = stores.open_store()
    details = catalogue.details(asked.id)
    components, named = catalogue.around(asked.id)
    units = {component.tagname: (component.name, component.unit) for component in components}
    releases = [release for release in named if release.dataset == details.food.dataset]
    print_out(*_food_head(details, releases), _measures(details), _composition(details, units))


def _food_head(details: FoodDetails, releases: Sequence[Release]) -> Iterator[str]:
    food = details.food
    named = "; ".join(f"{release.name}, release {release.release}" for release in releases)
    basis = releases[0].carbohydrate_basis if releases else "total"
    yield f"{food.id}  {plain(food.description)}"
    yield f"{plain(food.group_name)}. {named}."
    said = (("Common name", food.common_name), ("Scientific name", food.scientific_name), ("Refuse", food.refuse_text))
    for name, text in said:
        if text:
            refuse = f" ({food.refuse_percent:g} % of the as-purchased weight)" if name == "Refuse" else ""
            yield f"{name}: {plain(text)}{refuse}"
    yield from (f"Note: {plain(note)}" for note in details.footnotes)
    measures = load_tables().weights.measures
    for _, text in of_food(food, plain_amounts(details.values), total=basis == "total", measures=measures):
        yield f"Does not add up: {text}"
    if details.original_name:
        yield f"Original name: {plain(details.original_name)}"
    if details.gtin:
        yield f"GTIN: {details.gtin}"
    if details.linked:
        yield f"The same food elsewhere: {', '.join(map(plain, details.linked))}"
    net = net_of_food(plain_amounts(details.values), basis)
    value = figure(None if net.value is None else float(net.value), 2)
    unit, flag = "" if net.value is None else " g", f" ({net.flag})" if net.flag else ""
    yield f"Net carbohydrate: {value}{unit} per 100 g{flag}; {net_formula()}"


def _amount_text(value: ComponentValue) -> str:
    if value.qualifier == "trace":
        return "trace"
    return f"{'<' if value.qualifier else ''}{value.amount:g}"


def _measures(details: FoodDetails) -> Table:
    columns = ("amount", "household measure", "grams", "ounces")
    table = text_table(*columns, title="Household measures, edible portion", right=(0, 2, 3))
    for measure in details.food.measures:
        ounces = shown_ounces(measure.grams)
        add_row(table, f"{measure.amount:g}", plain(measure.text), f"{measure.grams:g}", ounces)
    return table


def _composition(details: FoodDetails, units: dict[str, tuple[str, str]]) -> Table:
    table = text_table(
        "component", "name", "per 100 g", "unit", "samples", "standard error", "source", "derivation",
        title="Composition of 100 g of edible portion; samples 0: calculated or imputed",
        right=(2, 4, 5), wide=(1, 6, 7),
    )  # fmt: skip
    for value in details.values:
        name, unit = units.get(value.tagname, ("", ""))
        error = "" if value.standard_error is None else f"{value.standard_error:g}"
        add_row(
            table, value.tagname, plain(name), _amount_text(value), unit, str(value.samples), error,
            plain(value.source_text or value.source), plain(value.derivation_text or value.derivation),
        )  # fmt: skip
    return table
