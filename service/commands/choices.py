"""gramwright choice: what a phrase always means or weighs in this kitchen."""

from __future__ import annotations

import argparse

import orjson

from service.commands import stores
from service.commands.changes import print_changed
from service.commands.inputs import read_text, write_text
from service.commands.kitchen_documents import print_deleted, print_saved
from service.commands.tables_of_text import add_row, plain, print_out, short, text_table
from service.kitchens.choice_table import choices_csv, read_choices_csv
from service.kitchens.forms import ChoiceForm, read_form
from service.store.kitchen import Document


def add_choice(asked: argparse.Namespace) -> None:
    """gramwright choice add"""
    given = {"phrase": asked.phrase, "food": asked.food, "size": asked.size, "grams": asked.grams}
    form = read_form(ChoiceForm, orjson.dumps(given))
    saved = stores.open_shelf().save_choice(form)
    print_saved(saved.document, f" means {plain(_ruling(form))}")
    print_changed(saved.changed)


def _ruling(form: ChoiceForm) -> str:
    return form.food or form.size or f"{form.grams:g} g"


def list_choices(_asked: argparse.Namespace) -> None:
    """gramwright choice list"""
    shelf = stores.open_shelf()
    found, lost = shelf.documents("choice"), {one.number for one in shelf.lost_choices()}
    table = text_table("id", "phrase", "means", "", wide=(1,))
    for one in found:
        vanished = "lost: the food is in no table in use" if one.number in lost else ""
        add_row(table, one.food_id, short(one.title), plain(_ruling(_form(one))), vanished)
    print_out(table if found else "No standing choice is saved.")


def _form(document: Document) -> ChoiceForm:
    return read_form(ChoiceForm, document.body)


def delete_choice(asked: argparse.Namespace) -> None:
    """gramwright choice delete"""
    saved = stores.open_shelf().delete_choice(asked.id)
    print_deleted(saved.document)
    print_changed(saved.changed)


def export_choices(asked: argparse.Namespace) -> None:
    """gramwright choice export"""
    write_text(choices_csv(_form(one) for one in stores.open_shelf().documents("choice")), asked.file)


def import_choices(asked: argparse.Namespace) -> None:
    """gramwright choice import"""
    forms = read_choices_csv(read_text(asked.file))
    shelf = stores.open_shelf()
    saved, changed = shelf.save_choices(forms)
    print_out(f"Saved {len(saved)} standing {'choice' if len(saved) == 1 else 'choices'}.")
    gone = {one.number for one in shelf.lost_choices()}
    if lost := [short(one.title) for one in saved if one.number in gone]:
        print_out(f"Lost, since the food is in no table in use: {', '.join(lost)}.")
    print_changed(changed)
