"""gramwright dataset: what the store holds, further releases, and which of them answers."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from service import datasets
from service.commands import stores
from service.commands.inputs import write_text
from service.commands.tables_of_text import add_row, plain, print_out, short, text_table
from service.core.comparison import is_older
from service.core.errors import InputError
from service.settings import Settings
from service.store.read import releases, stored_releases
from service.tables.pantry import load_pantry

if TYPE_CHECKING:
    from service.core.comparison import Comparison
    from service.kitchens.impact import Impact

# Rows of a comparison that a terminal shows.
MOST_ROWS = 200


def list_datasets(_asked: argparse.Namespace) -> None:
    """gramwright dataset list"""
    table = text_table(
        "dataset", "name", "release", "use", "foods", "components", "values", "measures", "licence", "loaded",
        right=(4, 5, 6, 7), wide=(1, 8),
    )  # fmt: skip
    for release in (*stored_releases(stores.open_engine()), load_pantry().release):
        counts = (release.foods, release.components, release.values, release.measures)
        add_row(
            table, release.dataset, plain(release.name), plain(release.release), "active" if release.active else "",
            *(f"{count:,}" for count in counts), plain(release.licence), release.loaded,
        )  # fmt: skip
    print_out(table)


def fetch_dataset(asked: argparse.Namespace) -> None:
    """gramwright dataset fetch"""
    path = Path(asked.file) if asked.file else _fetched(asked.name)
    engine = stores.open_engine()
    with datasets.terminal_progress() as progress:
        loaded = datasets.load(engine, asked.name, path, progress=progress)
    release = loaded.release
    named = f"{release.dataset} {plain(release.release)}"
    if loaded.new:
        print_out(f"Loaded {named}: {release.foods:,} foods, {release.values:,} values.")
    else:
        print_out(f"{named} is already loaded, with the same content.")
    if loaded.beside:
        beside = plain(loaded.beside)
        differs = f"gramwright dataset compare {release.dataset}:{beside} {plain(release.release)}"
        print_out(f"A release {beside} with other content is in the store; what differs: {differs}")
    active = {one.dataset: one.release for one in releases(engine)}.get(asked.name)
    if active is not None and is_older(release.release, active):
        print_out(f"It is older than {plain(active)}, the active release.")
    if release.active:
        print_out("It is the active release.")
    else:
        print_out(f"To answer from it: gramwright dataset activate {release.dataset} {plain(release.release)}")
    if loaded.pruned:
        print_out(f"Deleted, since newer releases are kept: {', '.join(map(plain, loaded.pruned))}.")


def _fetched(name: str) -> Path:
    """The publisher's file, where it has to be fetched; that of an embedded dataset is there already."""
    if name in datasets.EMBEDDED:
        raise InputError(f"{name} comes with the installation; to load its files anew name them by --file")
    with datasets.terminal_progress() as progress:
        return datasets.fetch(Settings.from_environment(), name, progress=progress)


def activate_dataset(asked: argparse.Namespace) -> None:
    """gramwright dataset activate"""
    from service.store.write import activate

    release = activate(stores.open_engine(), asked.name, asked.release)
    _tell_active(asked.name, release)


def roll_back_dataset(asked: argparse.Namespace) -> None:
    """gramwright dataset roll-back"""
    from service.store.write import roll_back

    release = roll_back(stores.open_engine(), asked.name)
    _tell_active(asked.name, release, again=True)


def _tell_active(dataset: str, release: str, *, again: bool = False) -> None:
    """What answers now, and whether it is asked at all."""
    answers = f"{plain(dataset)} answers from release {plain(release)}{' again' if again else ''}"
    if dataset in Settings.from_environment().datasets:
        print_out(f"{answers}; running servers follow within 2 s.")
    else:
        print_out(f"{answers} where it is asked for; it is not among the datasets in use (GRAMWRIGHT_DATASETS).")


def compare_datasets(asked: argparse.Namespace) -> None:
    """gramwright dataset compare"""
    from service.kitchens.impact import compared, impact
    from service.publish.comparison import by_what, comparison_csv, comparison_html, comparison_rows

    dataset, old, new = _releases(asked.old, asked.new)
    shelf = stores.open_shelf()
    found = compared(shelf, dataset, old, new)
    changes = impact(shelf, dataset, found.new.release)
    if asked.csv:
        write_text(comparison_csv(comparison_rows(found, changes)), asked.csv)
    elif asked.html:
        write_text(comparison_html(found, changes), asked.html)
    else:
        _print_comparison(found, changes)
        return
    print(plain(by_what(found, changes)), file=sys.stderr)


def _releases(old: str, new: str) -> tuple[str, str, str]:
    """Dataset and releases of "cnf:2010" and "cnf:2015" or just "2015"."""
    dataset, _, first = old.partition(":")
    other, _, second = new.rpartition(":")
    if not first or not second:
        raise InputError(f"releases are named as in cnf:2015, not {plain(old if not first else new)}")
    if other not in ("", dataset):
        raise InputError(f"releases of one dataset are compared, not of {plain(dataset)} and {plain(other)}")
    return dataset, first, second


def _print_comparison(found: Comparison, impact: Impact) -> None:
    from service.publish.comparison import COLUMNS, by_what, comparison_rows, counts, headline

    rows = list(comparison_rows(found, impact))
    summary = text_table("change", "how many", title=plain(headline(found)), right=(1,))
    for name, count in counts(found, impact).items():
        add_row(summary, name, f"{count:,}")
    table = text_table(*COLUMNS, wide=(2, 3, 4, 5))
    for row in rows[:MOST_ROWS]:
        add_row(table, *map(short, (row.change, row.id, row.name, row.what, row.old, row.new)))
    print_out(summary, plain(by_what(found, impact)), *([table] if rows else []))
    if len(rows) > MOST_ROWS:
        print_out(f"and {len(rows) - MOST_ROWS:,} changes more: all are in --csv FILE and --html FILE")


def check_datasets(asked: argparse.Namespace) -> None:
    """gramwright dataset check"""
    from service.core.health import findings
    from service.store.read import load_table
    from service.tables.vocabulary import load_tables

    measures = load_tables().weights.measures
    catalogue = stores.open_store()
    names = [asked.name] if asked.name else [release.dataset for release in catalogue.releases()]
    chosen = {asked.name: asked.release} if asked.release else {}
    table = text_table("id", "food entry", "finding", "what does not add up", wide=(1, 3))
    found = 0
    for name in names:
        beside = {one: catalogue.resolver((one,)).table for one in names if one == "pantry"}
        try:
            entries = load_table(catalogue.engine, (name,), beside=beside, chosen=chosen)
        except InputError as error:
            if asked.name:
                raise
            print_out(f"Not checked: {error}.")
            continue
        for finding in findings(entries, measures):
            found += 1
            add_row(table, finding.food_id, short(finding.description), finding.kind, short(finding.text))
    if found:
        print_out(table)
    where = f"{plain(asked.name)} {plain(asked.release)}" if asked.release else ", ".join(map(plain, names))
    print_out(f"{found:,} findings in {where}.")
