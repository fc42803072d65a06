"""Scores of resolved lines against gold lines (tests/gold): the figures that the project's goals are written in.

    food_top1          food lines whose first part names an accepted entry
    candidates5        ... whose food or first five candidates hold one
    grams_ok           of those with the right food: grams inside the gold bounds, or none where none are stated
    line_ok            all lines: everything about the line right
    auto               lines with food that are right and need no look (outcome "resolved")
    silent_error       of all lines with outcome "resolved": share that is wrong
    absent_ok          lines whose food the table lacks answered "no_match"; absent_not_silent: not "resolved"
    not_food_ok        headings and notes answered "not_food"
    ece                expected calibration error of the confidence of food lines, ten bins
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

Gold = dict[str, Any]
Result = dict[str, Any]
FOODS = ("food", "multi")


def load(path: Path) -> list[Gold]:
    """The objects of a JSON Lines file."""
    return [json.loads(line) for line in path.read_text(encoding="utf-8").split("\n") if line.strip()]


@dataclass(frozen=True, slots=True)
class Row:
    """One line with what was right about it."""

    gold: Gold
    outcome: str
    food: bool
    among_five: bool
    grams: bool
    right: bool
    confidence: float | None


def _code(food: dict[str, Any] | None) -> str:
    return "" if not food else str(food["id"]).split(":", 1)[-1]


def _part(gold: Gold, part: Result) -> tuple[bool, bool]:
    food = _code(part.get("food")) in gold["foods"]
    if gold.get("grams") is None:
        return food, True
    value = (part.get("grams") or {}).get("value")
    return food, value is not None and gold["low"] - 1e-6 <= value <= gold["high"] + 1e-6


def judge(gold: Gold, result: Result) -> Row:
    """What is right about one result."""
    parts, outcome, kind = result["parts"], result["outcome"], gold["kind"]
    answered = outcome in ("resolved", "check")
    if kind == "food":
        first = parts[0] if parts else {}
        food, grams = _part(gold, first)
        five = food or any(_code(candidate) in gold["foods"] for candidate in (first.get("candidates") or [])[:5])
        confidence = first.get("confidence") if first.get("food") else None
        return Row(gold, outcome, food, five, grams, food and grams and answered, confidence)
    if kind == "multi":
        checks = [_part(one, part) for one, part in zip(gold["parts"], parts, strict=False)]
        right = len(parts) == len(gold["parts"]) and all(food and grams for food, grams in checks) and answered
        return Row(gold, outcome, False, False, False, right, None)
    wanted = "no_match" if kind == "absent" else "not_food"
    return Row(gold, outcome, False, False, False, outcome == wanted, None)


def _share(rows: Iterable[Row], test: Callable[[Row], bool]) -> float | None:
    rows = list(rows)
    return round(sum(map(test, rows)) / len(rows), 4) if rows else None


def _calibration(rows: Sequence[Row]) -> float | None:
    bins: list[list[tuple[float, bool]]] = [[] for _ in range(10)]
    for row in rows:
        if row.confidence is not None:
            bins[min(int(row.confidence * 10), 9)].append((row.confidence, row.food))
    count = sum(map(len, bins))
    if not count:
        return None
    return round(sum(abs(sum(c for c, _ in b) - sum(right for _, right in b)) for b in bins) / count, 4)


def figures(rows: Sequence[Row]) -> dict[str, float | int | None]:
    """All figures of a set of judged lines."""
    food = [row for row in rows if row.gold["kind"] == "food"]
    sure = [row for row in rows if row.outcome == "resolved"]
    absent = [row for row in rows if row.gold["kind"] == "absent"]
    return {
        "lines": len(rows),
        "food_top1": _share(food, lambda row: row.food),
        "candidates5": _share(food, lambda row: row.among_five),
        "grams_ok": _share((row for row in food if row.food), lambda row: row.grams),
        "line_ok": _share(rows, lambda row: row.right),
        "auto": _share((r for r in rows if r.gold["kind"] in FOODS), lambda r: r.right and r.outcome == "resolved"),
        "resolved": len(sure),
        "silent_error": _share(sure, lambda row: not row.right),
        "absent_ok": _share(absent, lambda row: row.right),
        "absent_not_silent": _share(absent, lambda row: row.outcome != "resolved"),
        "not_food_ok": _share((r for r in rows if r.gold["kind"] in ("heading", "note")), lambda row: row.right),
        "ece": _calibration(food),
    }
