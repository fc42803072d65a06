"""gramwright backup and gramwright restore: a checked copy of the store, and the way back to it."""

from __future__ import annotations

import argparse
from pathlib import Path

from service.commands.tables_of_text import plain, print_out
from service.settings import Settings
from service.store.backup import back_up
from service.store.backup import restore as put_back


def backup(asked: argparse.Namespace) -> None:
    """gramwright backup"""
    target = Path(asked.file)
    back_up(Settings.from_environment().database_url, target, overwrite=asked.overwrite)
    print_out(f"{plain(str(target))} is a whole and checked copy of the store.")


def restore(asked: argparse.Namespace) -> None:
    """gramwright restore"""
    kept = put_back(Settings.from_environment().database_url, Path(asked.file))
    aside = "" if kept is None else f" The store as it was is kept as {plain(str(kept))}."
    print_out(f"The store is that of {plain(asked.file)} now.{aside}")
