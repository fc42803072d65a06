"""How resolving slows down as a table grows: SR28 beside itself copied, each copy with a maker's facet.

    python -m tests.benchmarks.growth [--times 45] [--json]

Prints build seconds, peak memory and distinct lines a second for both sizes, and their ratio in this run.
"""

from __future__ import annotations

import argparse
import json
import resource
import time
from dataclasses import replace
from statistics import median

import numpy as np

from service.core.analyse import Resolver
from service.core.food import FoodTable
from service.core.nutrients import DEFAULT_COMPONENTS
from service.datasets import ensure_ready
from service.settings import Settings
from service.store.read import load_table
from service.tables import load_tables
from tests.benchmarks.lines import GOLD, ROUNDS, speed
from tests.benchmarks.scoring import load


def copied(table: FoodTable, times: int) -> FoodTable:
    """The table with `times - 1` copies of every food, each with a maker's facet; of the amounts a handful."""
    foods = list(table.foods)
    for number in range(1, times):
        foods += [
            replace(food, id=f"m{number}:{food.code}", description=f"{food.description}, maker {number}", measures=())
            for food in table.foods
        ]
    chosen = [place for place, one in enumerate(table.components) if one.tagname in DEFAULT_COMPONENTS]
    components = tuple(table.components[place] for place in chosen)
    return FoodTable(tuple(foods), components, np.tile(table.amounts[:, chosen], (times, 1)), table.releases)


def measure(table: FoodTable, lines: list[str]) -> dict[str, float]:
    """Build seconds, lines a second and peak memory so far."""
    tables = load_tables()
    start = time.perf_counter()
    resolver = Resolver(table, tables)
    built = time.perf_counter() - start
    def resolve(line: str) -> object:
        return resolver.resolve(line, components=("ENERC_KCAL", "CHOCDF", "FIBTG"))

    speed(resolve, lines)  # warm
    rate = median(speed(resolve, lines) for _ in range(ROUNDS))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return {"entries": len(table.foods), "build_seconds": round(built, 2), "lines_per_second": round(rate, 1),
            "peak_megabytes": round(peak, 1)}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--times", type=int, default=45)
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    lines = [one["line"] for path in sorted(GOLD.glob("*.jsonl")) for one in load(path)]
    lines = list(dict.fromkeys(lines))
    table = load_table(ensure_ready(Settings.from_environment()), ("sr28",))
    report = {"one": measure(table, lines), "many": measure(copied(table, options.times), lines)}
    report["slower"] = {"times": round(report["one"]["lines_per_second"] / report["many"]["lines_per_second"], 2)}
    if options.json:
        print(json.dumps(report))
        return
    for name, values in report.items():
        print(name, *(f"{key} {value}" for key, value in values.items()), sep="  ")


if __name__ == "__main__":
    main()
