"""gramwright treatment list: the cooking treatments that a line of a recipe may name."""

from __future__ import annotations

import argparse

from service.commands.tables_of_text import add_row, plain, print_out, text_table
from service.tables.cooking import load_cooking_tables

_LOSSES = {
    "drained": "juices and fat", "fried": "juices and fat; frying fat comes in",
    "fat eaten": "water; the fat is eaten", "eaten": "nothing: the liquid is eaten",
}  # fmt: skip


def list_treatments(_asked: argparse.Namespace) -> None:
    """gramwright treatment list"""
    table = text_table("treatment", "what leaves the food", "source", wide=(2,))
    for one in load_cooking_tables().treatments.values():
        add_row(table, plain(one.name), _LOSSES[one.losses], plain(one.source))
    print_out(table)
