"""gramwright key: who may use a server that other machines can reach."""

from __future__ import annotations

import argparse
import sys

from sqlalchemy import Engine

from service.api import keys
from service.api.keys import NewKey
from service.commands import stores
from service.commands.tables_of_text import add_row, plain, print_out, short, text_table
from service.store import keys as store
from service.store.keys import StoredKey


def _engine() -> Engine:
    return stores.open_engine()


def create_key(asked: argparse.Namespace) -> None:
    """gramwright key create"""
    new = NewKey(asked.name, asked.kitchen, frozenset(asked.scopes), asked.quota, asked.burst)
    _show_once(*keys.create(_engine(), new))


def rotate_key(asked: argparse.Namespace) -> None:
    """gramwright key rotate"""
    _show_once(*keys.rotate(_engine(), asked.id, keep_old=asked.keep_old))
    if asked.keep_old:
        print(f"{asked.id} still lets in: gramwright key revoke {asked.id}", file=sys.stderr)


def _show_once(key: str, kept: StoredKey) -> None:
    """The key alone on standard output, so that a script can take it; what to know about it beside."""
    print(key, flush=True)
    scopes = ", ".join(sorted(kept.scopes))
    print(
        f"This is shown once. {kept.id}, {short(kept.name)}: {scopes} in the kitchen {plain(kept.kitchen)}. "
        "Running servers let it in within 2 s.",
        file=sys.stderr,
    )


def list_keys(_asked: argparse.Namespace) -> None:
    """gramwright key list"""
    found = store.all_keys(_engine())
    table = text_table("id", "name", "kitchen", "scopes", "quota", "burst", "made", "revoked", right=(4, 5), wide=(1,))
    for key in found:
        limits = ("" if limit is None else str(limit) for limit in (key.quota, key.burst))
        add_row(table, key.id, short(key.name), key.kitchen, ", ".join(sorted(key.scopes)), *limits, key.created,
                key.revoked)  # fmt: skip
    print_out(table if found else "No key is made.")


def revoke_key(asked: argparse.Namespace) -> None:
    """gramwright key revoke"""
    store.revoke(_engine(), asked.id)
    print_out(f"{plain(asked.id)} lets nobody in any more; running servers follow within 2 s.")
