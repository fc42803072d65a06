"""How fast the writer's page is, in an installed Chromium: python -m tests.benchmarks.page [--json].

Every time is the median of some runs, of a server that is warm, and stands beside its goal; `ratio` is time by goal.
Only on a quiet machine do the times mean anything; `empty_task` tells how quiet it was: the same arithmetic in the
same browser, to be compared with that of another run on the same machine.
"""

from __future__ import annotations

import argparse
import json
import shutil
import statistics
import sys
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import sync_playwright

from service.settings import Settings
from service.store.engine import database_file
from tests.web.conftest import BROWSERS, Desk, served
from tests.web.test_access import long_list
from tests.web.test_page import TASK, WEIGHT

# Milliseconds, except where the name says otherwise.
GOALS = {
    "first_paint_after_answer": 300, "paste_to_ledger_60": 500, "redraw_60": 50, "redraw_400": 150,
    "layout_shift_after_weighing": 0, "page_bytes": 150_000, "page_bytes_compressed": 40_000,
}  # fmt: skip
RUNS = 9

# Runs in every page: the longest redraw with its layout since `gramwrightWorst` was set to 0, and layout shifts.
WATCH = """
self.gramwrightWorst = 0;
self.gramwrightShift = 0;
const measure = performance.measure.bind(performance);
performance.measure = (name, options) => {
  const made = measure(name, options);
  document.body.getBoundingClientRect();
  gramwrightWorst = Math.max(gramwrightWorst, performance.now() - options.start);
  return made;
};
const shifted = one => { if (!one.hadRecentInput) gramwrightShift += one.value; };
new PerformanceObserver(list => list.getEntries().forEach(shifted))
  .observe({ type: 'layout-shift', buffered: true });
"""
PASTE = """async text => {
  const place = document.querySelector('#list-text');
  place.value = text;
  place.dispatchEvent(new Event('input', { bubbles: true }));
  const frame = () => new Promise(requestAnimationFrame), ledger = document.querySelector('#ledger');
  const start = performance.now();
  document.querySelector('#weigh').click();
  let first = null;
  for (;;) {
    await frame();
    const now = performance.now() - start;
    if (document.querySelector('.row:not(.row--waiting)')) first ??= now;
    const whole = document.querySelector('#ticket table') && ledger.getAttribute('aria-busy') !== 'true';
    if (whole) return [first ?? now, now];
    if (now > 30000) throw new Error(document.querySelector('#notice').textContent);
  }
}"""
SERVE = """async servings => {
  const field = document.querySelector('#serves'), ledger = document.querySelector('#ledger');
  gramwrightWorst = 0;
  field.value = servings;
  field.dispatchEvent(new Event('change', { bubbles: true }));
  while (ledger.getAttribute('aria-busy') === 'true') await new Promise(requestAnimationFrame);
  return gramwrightWorst;
}"""
PAINT = """() => performance.getEntriesByName('first-contentful-paint')[0].startTime
  - performance.getEntriesByType('navigation')[0].responseStart"""


def measured(opened: Callable[[], Desk]) -> dict[str, float]:
    """Every figure by name; `opened` opens the empty page in a browser of its own."""
    found: dict[str, list[float]] = {}

    def add(name: str, value: float) -> None:
        found.setdefault(name, []).append(value)

    for run in range(RUNS):
        desk = opened()
        desk.settle()
        add("first_paint_after_answer", desk.page.evaluate(PAINT))
        for name, sizes in zip(
            ("page_bytes", "page_bytes_compressed"), zip(*desk.page.evaluate(WEIGHT), strict=True), strict=True
        ):
            add(name, sum(sizes))
        add("empty_task", desk.page.evaluate(TASK))
        first, whole = desk.page.evaluate(PASTE, varied(60, run))
        add("first_line_60", first)
        add("paste_to_ledger_60", whole)
        desk.settle()
        desk.page.evaluate("gramwrightShift = 0")
        unfold(desk)
        desk.settle()
        desk.page.evaluate("gramwrightShift = 0")  # the list that was pasted has given way to its ledger
        add("redraw_60", desk.page.evaluate(SERVE, 3 + run))
        desk.settle()
        add("layout_shift_after_weighing", desk.page.evaluate("gramwrightShift"))
        desk.page.context.close()
    desk = opened()
    desk.page.evaluate(PASTE, varied(400, 0))
    unfold(desk)
    for run in range(RUNS):
        add("redraw_400", desk.page.evaluate(SERVE, 3 + run))
        desk.settle()
    desk.page.context.close()
    return {name: statistics.median(values) for name, values in found.items()}


def varied(lines: int, run: int) -> str:
    """A list that no run had before, so that nothing of it is known yet."""
    return long_list(lines).replace("100 g", f"{100 + run} g").replace("60 g", f"{60 + run} g")


def unfold(desk: Desk) -> None:
    if desk.page.locator(".row").count() == 0:
        desk.page.click("#fold-all")


def report(found: dict[str, float]) -> list[dict[str, Any]]:
    """Rows of what was measured, with goals and ratios."""
    rows = []
    for name, value in found.items():
        goal = GOALS.get(name)
        rows.append(
            {"name": name, "value": round(value, 4), "goal": goal, "ratio": round(value / goal, 3) if goal else None}
        )
    return rows


def main(arguments: list[str] | None = None) -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--json", action="store_true", help="print JSON")
    asked = parser.parse_args(arguments)
    store = database_file(Settings.from_environment().database_url)
    browser_path = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if browser_path is None or store is None:
        sys.exit("needs an installed Chromium or Chrome and a store in a file")
    with TemporaryDirectory() as folder, served(Path(store), Path(folder)) as place, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])

        def opened() -> Desk:
            context = browser.new_context(viewport={"width": 1280, "height": 1000})
            context.add_init_script(WATCH)
            desk = Desk(context.new_page(), place)
            desk.open()
            return desk

        opened().weigh(varied(60, 99))  # the server is warm from here on
        rows = report(measured(opened))
    if asked.json:
        print(json.dumps(rows, indent=1))
        return
    for row in rows:
        goal, ratio = (row[name] if row[name] is not None else "" for name in ("goal", "ratio"))
        print(f"{row['name']:32}{row['value']:>12g}{goal:>12}{ratio:>8}")


if __name__ == "__main__":
    main()
