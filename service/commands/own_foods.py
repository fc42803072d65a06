"""gramwright own: foods that a label states and no table has."""

from __future__ import annotations

import argparse
import math
from collections.abc import Iterator, Sequence

import orjson

from service.commands import stores
from service.commands.changes import print_changed
from service.commands.inputs import pointed, read_text, write_text
from service.commands.kitchen_documents import (
    check_replaced,
    delete_document,
    print_saved,
)
from service.commands.tables_of_text import add_row, figure, plain, print_out, short, text_table
from service.core.food import Component
from service.core.label import OwnFood, composition, findings, household_measures
from service.kitchens.forms import OwnFoodForm, check_form, json_value, read_form


def save_own(asked: argparse.Namespace) -> None:
    """gramwright own save"""
    check_replaced(asked)
    shelf = stores.open_shelf()
    with pointed(asked.file):
        form = check_form(OwnFoodForm, json_value(read_text(asked.file)))
        saved = shelf.save_own(form, number=asked.id, expected=asked.revision)
    print_saved(saved.document)
    print_out(*_findings(form))
    print_changed(saved.changed)


def _findings(form: OwnFoodForm) -> Iterator[str]:
    for one in findings(form.value()):
        yield f"Look at {plain(one.pointer.lstrip('/'))}: {plain(one.text)}"


def show_own(asked: argparse.Namespace) -> None:
    """gramwright own show"""
    shelf = stores.open_shelf()
    document = shelf.document("own", asked.id, revision=asked.revision)
    form = read_form(OwnFoodForm, document.body)
    if asked.json:
        write_text(orjson.dumps(form.dumped(), option=orjson.OPT_INDENT_2).decode() + "\n")
        return
    print_out(f"{document.food_id}, revision {document.revision}, saved {document.saved}: {short(document.title)}")
    print_out(f"As the label states it: per {form.basis}, carbohydrate {form.carbohydrate_basis}")
    _print_composition(form.value(), shelf.book().components)
    print_out(*_findings(form))


def _print_composition(own: OwnFood, components: Sequence[Component]) -> None:
    table = text_table("component", "name", "in 100 g", "unit", right=(2,), wide=(1,),
                       title="Composition of 100 g; what is not listed is unknown")  # fmt: skip
    row = composition(own, {component.tagname: place for place, component in enumerate(components)})
    for component, amount in zip(components, row.tolist(), strict=True):
        if not math.isnan(amount):
            add_row(table, component.tagname, plain(component.name), figure(amount, 2), component.unit)
    measures = text_table("amount", "household measure", "grams", right=(0, 2))
    for measure in household_measures(own):
        add_row(measures, f"{measure.amount:g}", plain(measure.text), f"{measure.grams:g}")
    print_out(table, *([measures] if measures.rows else []))


def delete_own(asked: argparse.Namespace) -> None:
    """gramwright own delete"""
    delete_document("own", asked.id)
