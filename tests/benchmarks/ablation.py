"""What each kind of knowledge is worth: the gold lines resolved with one kind of hand-kept table emptied at a time.

    python -m tests.benchmarks.ablation [GOLD.jsonl ...] [--json]

Each row is a figure without that table; the first row is with all of them. A table whose absence changes nothing is
not needed; one that lifts only the lines it was written from (compare sets) does not generalise.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from service.api.payloads import line_payload
from service.core.analyse import Resolver, Tables
from service.core.edible_portion import KindTable
from service.core.name_doubts import NO_KINDS
from service.settings import Settings
from service.tables import load_tables
from service.wiring import open_catalogue
from tests.benchmarks.lines import GOLD
from tests.benchmarks.scoring import Gold, figures, judge, load

SHOWN = ("food_top1", "grams_ok", "line_ok", "auto", "silent_error", "absent_not_silent", "not_food_ok")
Change = Callable[[Tables], Tables]


def _names(*kinds: str) -> Change:
    return lambda tables: replace(tables, names=tuple(name for name in tables.names if name.kind not in kinds))


def _words(*classes: str) -> Change:
    return lambda tables: replace(
        tables, words={form: sense for form, sense in tables.words.items() if sense[0] not in classes}
    )


def _facets(tables: Tables) -> Tables:
    return replace(tables, facet_words=replace(tables.facet_words, costs={}, groups={}, changing=frozenset()))


def _piece_weights(tables: Tables) -> Tables:
    return replace(tables, weights=replace(tables.weights, pieces=KindTable(())))


WITHOUT: Mapping[str, Change] = {
    "nothing": lambda tables: tables,
    "all names": lambda tables: replace(tables, names=()),
    "regional and trade names": _names("regional", "trade"),
    "stand-ins": _names("near"),
    "generic defaults": _names("default"),
    "absent foods": _names("absent"),
    "costs of facets": _facets,
    "uses in recipes": lambda tables: replace(tables, uses={}),
    "neutral words": lambda tables: replace(tables, neutral=frozenset()),
    "kinds of entries": lambda tables: replace(tables, entry_kinds=NO_KINDS),
    "states": _words("state"),
    "preparations": _words("preparation"),
    "headings and notes": _words("heading", "note start", "remark"),
    "piece weights": _piece_weights,
}


def ablation(gold: Sequence[Gold]) -> dict[str, dict[str, float | None]]:
    """The figures without each kind of table."""
    table = open_catalogue(Settings.from_environment()).resolver(("sr28",)).table
    report = {}
    for name, change in WITHOUT.items():
        resolver = Resolver(table, change(load_tables()))
        found = figures([judge(one, line_payload(resolver.resolve(one["line"]))) for one in gold])
        report[name] = {key: found[key] for key in SHOWN}
    return report


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gold", nargs="*", type=Path)
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    gold = [one for path in options.gold or sorted(GOLD.glob("*.jsonl")) for one in load(path)]
    report = ablation(gold)
    if options.json:
        print(json.dumps(report))
        return
    print("without".ljust(26), *(name.rjust(17) for name in SHOWN))
    for name, values in report.items():
        print(name.ljust(26), *("-".rjust(17) if value is None else f"{value:17.3f}" for value in values.values()))


if __name__ == "__main__":
    main()
