"""How right, how sure and how fast: gold lines resolved, with general engines on the same lines in the same run.

    python -m tests.benchmarks.lines [GOLD.jsonl ...] [--json] [--peers] [--show N]

Without files: the readable sets in tests/gold. Peers look up the food name (the line stripped of amounts by a
regular expression) among all descriptions: rapidfuzz WRatio and token_set_ratio, SQLite FTS5 (bm25), and character
n-gram TF-IDF where scikit-learn is installed. Speeds are lines a second of one process, medians of rounds that
alternate between both engines over the same distinct lines; only their ratios mean anything.
"""

from __future__ import annotations

import argparse
import json
import re
import sqlite3
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median

from rapidfuzz import fuzz, process

from service.api.payloads import line_payload
from service.core.analyse import Resolver
from service.core.food import FoodEntry
from service.core.line_list import with_headings
from service.settings import Settings
from service.wiring import open_catalogue
from tests.benchmarks.scoring import Gold, figures, judge, load

GOLD = Path(__file__).parent.parent / "gold"
_AMOUNT = re.compile(
    r"\([^)]*\)|[\d½¼¾⅓⅔⅛/.,]+|\b(?:g|kg|ml|l|oz|lbs?|cups?|tbsp|tsp|tablespoons?|teaspoons?|pinch|of|a|an)\b", re.I
)

ROUNDS = 7

Lookup = Callable[[str], Sequence[str]]


def food_name(line: str) -> str:
    """The line without amounts, brackets and what follows the first comma, as a simple program would search it."""
    return " ".join(_AMOUNT.sub(" ", line.split(",")[0]).split())


def fts5(foods: Sequence[FoodEntry]) -> Lookup:
    """SQLite's full-text search, any of the words, best by bm25."""
    database = sqlite3.connect(":memory:")
    database.execute("CREATE VIRTUAL TABLE food USING fts5(description, tokenize='porter')")
    rows = [(place, food.description) for place, food in enumerate(foods)]
    database.executemany("INSERT INTO food(rowid, description) VALUES (?, ?)", rows)

    def look_up(line: str) -> list[str]:
        words = re.findall(r"\w+", food_name(line))
        if not words:
            return []
        query = " OR ".join(f'"{word}"' for word in words)
        rows = database.execute("SELECT rowid FROM food WHERE food MATCH ? ORDER BY bm25(food) LIMIT 5", (query,))
        return [foods[row[0]].code for row in rows]

    return look_up


def fuzzy(foods: Sequence[FoodEntry], scorer: Callable[..., float]) -> Lookup:
    """rapidfuzz over all descriptions."""
    descriptions = [food.description.lower() for food in foods]

    def look_up(line: str) -> list[str]:
        found = process.extract(food_name(line).lower(), descriptions, scorer=scorer, limit=5)
        return [foods[place].code for _, _, place in found]

    return look_up


def tfidf(foods: Sequence[FoodEntry]) -> Lookup | None:
    """Character n-gram TF-IDF, where scikit-learn is installed."""
    try:
        from sklearn.feature_extraction.text import TfidfVectorizer  # type: ignore[import-untyped,unused-ignore]
    except ImportError:
        return None
    vectorizer = TfidfVectorizer(analyzer="char_wb", ngram_range=(2, 4))
    matrix = vectorizer.fit_transform([food.description.lower() for food in foods])

    def look_up(line: str) -> list[str]:
        scores = (matrix @ vectorizer.transform([food_name(line).lower()]).T).toarray().ravel()
        return [foods[place].code for place in scores.argsort()[::-1][:5]]

    return look_up


def side_by_side(
    ours: Callable[[str], object], peer: Callable[[str], object], lines: Sequence[str], *, seconds: float = 4.0
) -> tuple[float, float]:
    """(ours, peer) in lines a second: medians of alternating rounds over the same distinct lines, both warm."""
    for line in lines:
        ours(line)
    shared = lines[: _fitting(peer, lines, seconds)]
    speeds = [(speed(ours, shared), speed(peer, shared)) for _ in range(ROUNDS)]
    return median(speed for speed, _ in speeds), median(speed for _, speed in speeds)


def _fitting(run: Callable[[str], object], lines: Sequence[str], seconds: float) -> int:
    """How many lines, from the first, one engine reads in a time; a slow one is measured on fewer."""
    start = time.perf_counter()
    for done, line in enumerate(lines, 1):
        run(line)
        if time.perf_counter() - start > seconds:
            return done
    return len(lines)


def speed(run: Callable[[str], object], lines: Sequence[str]) -> float:
    """Lines a second of one round."""
    start = time.perf_counter()
    for line in lines:
        run(line)
    return len(lines) / (time.perf_counter() - start)


def peer_figures(gold: Sequence[Gold], resolver: Resolver) -> dict[str, dict[str, float]]:
    """top-1 and speed of each engine on the food lines, with ours on the same lines in the same rounds."""
    foods = resolver.table.foods
    lines = list(dict.fromkeys(one["line"] for one in gold if one["kind"] == "food"))
    wanted = {one["line"]: set(one["foods"]) for one in gold if one["kind"] == "food"}
    table: dict[str, dict[str, float]] = {}
    engines: dict[str, Lookup | None] = {
        "sqlite fts5": fts5(foods), "rapidfuzz WRatio": fuzzy(foods, fuzz.WRatio),
        "rapidfuzz token_set": fuzzy(foods, fuzz.token_set_ratio), "char tf-idf": tfidf(foods),
    }
    for name, look_up in engines.items():
        if look_up is None:
            continue
        right = sum(bool(set(look_up(line)[:1]) & wanted[line]) for line in lines)
        ours, speed = side_by_side(lambda line: resolver.resolve(line, components=("all",)), look_up, lines)
        table[name] = {"food_top1": round(right / len(lines), 4), "lines_per_second": round(speed, 1),
                       "ours_per_second": round(ours, 1), "ours_is_times": round(ours / speed, 2)}
    return table


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("gold", nargs="*", type=Path)
    parser.add_argument("--json", action="store_true")
    parser.add_argument("--peers", action="store_true", help="measure general engines too")
    parser.add_argument("--show", type=int, default=0, help="print up to N lines that are not right")
    options = parser.parse_args()
    resolver = open_catalogue(Settings.from_environment()).resolver(("sr28",))
    report: dict[str, object] = {}
    everything: list[Gold] = []
    for path in options.gold or sorted(GOLD.glob("*.jsonl")):
        gold = load(path)
        results = with_headings(resolver.resolve(one["line"]) for one in gold)  # as `gramwright resolve` reads them
        rows = [judge(one, line_payload(result)) for one, result in zip(gold, results, strict=True)]
        report[path.name] = figures(rows)
        everything += gold
        for row in [row for row in rows if not row.right][: options.show]:
            print(row.outcome, "|", row.gold["line"], "|", row.gold.get("best"))
    if options.peers:
        report["peers"] = peer_figures(everything, resolver)
    if options.json:
        print(json.dumps(report))
        return
    for name, values in report.items():
        print(name)
        for key, value in values.items():  # type: ignore[attr-defined]
            print(f"  {key:22} {value}")


if __name__ == "__main__":
    main()
