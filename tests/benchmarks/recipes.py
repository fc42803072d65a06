"""How long recipes take: one of 40 lines with three levels of sub-recipes, and a kitchen with 10,000 of them.

    python -m tests.benchmarks.recipes [--saved 10000] [--rounds 30] [--json]

Prints medians in milliseconds beside what they may take, and ratios to plain work in the same run: a recipe to the
plain sum of its lines that were read already (and from text to reading and summing them), a list to reading one
recipe by its number. Works on a copy of the store.
"""

from __future__ import annotations

import argparse
import json
import math
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

from service.core.analyse import MOST_READ
from service.core.recipe import Recipe
from service.core.recipe_text import read_recipe
from service.datasets import ensure_ready
from service.kitchens.book import Book
from service.kitchens.forms import RecipeForm
from service.kitchens.shelf import Shelf
from service.settings import DATABASE_NAME, Settings
from service.store import kitchen as store
from service.store.engine import database_file
from service.store.url import sqlite_url
from service.wiring import Catalogue, open_catalogue

# Most milliseconds that each may take on the machine that the project is judged on.
LIMITS = {"from_text": 30, "after_an_edit": 5, "list": 50, "search": 50, "using": 50}
FULL = "full kitchen"
PAGE = 20
SUB_RECIPES = (
    ("Harbour spice", "5 g paprika", "5 g ground cumin", "2 g black pepper", "3 g garlic powder", "1 tsp salt"),
    ("Green dressing", "100 ml olive oil", "30 ml lemon juice", "20 g parsley", "1 tsp mustard", "4 g harbour spice"),
    ("Dressed leaves", "200 g lettuce", "1 cucumber", "4 radishes", "half the green dressing", "30 g walnuts"),
)
FOODS = (
    "150 g smoked haddock", "half a small avocado", "1 tsp mayonnaise", "2 large eggs", "200 g spinach", "1 onion",
    "2 cloves garlic", "1 tbsp butter", "100 ml double cream", "50 g cheddar", "1 lemon", "10 g chives", "1 leek",
    "3 tomatoes", "200 g mushrooms", "1 tbsp capers", "1 tsp dill", "100 g cream cheese", "250 g prawns",
    "1 fennel bulb", "2 sticks celery", "1 tbsp vinegar", "30 g almonds", "1 courgette", "200 g cauliflower",
    "1 red pepper", "1/2 tsp salt", "2-3 sprigs thyme", "1 bay leaf", "500 ml chicken stock", "100 g bacon",
    "1 tbsp sesame seeds", "1 cup chopped broccoli", "40 g parmesan", "2 anchovies", "100 g green beans",
    "1 tsp honey", "1 tin sardines", "60 g olives",
)  # fmt: skip
PLATE = "\n".join(("Harbour board", "", "Serves 4", *FOODS, "200 g dressed leaves"))


def median(work: Callable[[], object], rounds: int, before: Callable[[], object] | None = None) -> float:
    """The median milliseconds of `work`; `before` is not timed."""
    times = []
    for _ in range(rounds):
        if before is not None:
            before()
        start = time.perf_counter()
        work()
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


# ---- one recipe ------------------------------------------------------------------------------------------------


def one_recipe(catalogue: Catalogue, rounds: int) -> dict[str, float]:
    """Milliseconds of a recipe from text, after an edit of one line, and of the plain sum of its lines."""
    shelf = Shelf(catalogue)
    for title, *lines in SUB_RECIPES:
        shelf.save_recipe(RecipeForm.model_validate({"title": title, "sections": [{"lines": _lines(lines)}]}))
    resolver = catalogue.resolver()
    opened: list[Book] = []

    def open_book() -> None:
        for turn in range(MOST_READ):  # nothing of the recipe is known as read
            resolver.read(f"{turn} g salt")
        opened[:] = [Shelf(catalogue).book()]

    def read() -> Recipe:
        return RecipeForm.of(read_recipe(PLATE, heads=resolver.heads).recipe).value()

    from_text = median(lambda: opened[0].work(read()), rounds, open_book)
    recipe, book = read(), opened[0]
    assert len(recipe.lines) == 40
    edits = iter(range(10_000))
    after_an_edit = median(lambda: book.work(_edited(recipe, next(edits))), rounds)
    texts = [*(line.text for line in recipe.lines), *(line for _, *lines in SUB_RECIPES for line in lines)]
    plain_sum = median(_plain_sum(book, recipe), rounds)
    read_lines = median(lambda: [resolver.resolve(text) for text in texts], rounds, open_book)
    return {"from_text": from_text, "after_an_edit": after_an_edit, "plain_sum": plain_sum, "read_lines": read_lines}


def _lines(texts: list[str]) -> list[dict[str, str]]:
    return [{"text": text} for text in texts]


def _edited(recipe: Recipe, turn: int) -> Recipe:
    """The recipe with another weight in its first line."""
    section = recipe.sections[0]
    first = replace(section.lines[0], text=f"{100 + turn} g smoked haddock")
    return replace(recipe, sections=(replace(section, lines=(first, *section.lines[1:])), *recipe.sections[1:]))


def _plain_sum(book: Book, recipe: Recipe) -> Callable[[], object]:
    """What somebody would do by hand: each column's sum over every ingredient, sub-recipes' too."""
    counted = [
        (one.row.tolist(), one.grams.value) for one in book.work(recipe).base.portions.dish.ingredients
        if one.row is not None and one.grams is not None
    ]  # fmt: skip
    columns = range(len(book.components))
    return lambda: [math.fsum(row[at] * grams / 100 for row, grams in counted if row[at] == row[at]) for at in columns]


# ---- many recipes ----------------------------------------------------------------------------------------------


def many_recipes(catalogue: Catalogue, saved: int, rounds: int) -> dict[str, float]:
    """Milliseconds of opening a kitchen, of the last page of its list, a search, and the recipes that use a food."""
    engine = catalogue.engine
    for turn in range(saved):
        title = f"{_WORDS[turn % len(_WORDS)]} plate {turn}"
        uses = [f"sr28:{(turn * 7 + one) % 500:05}" for one in range(12)]
        body = json.dumps({"title": title, "sections": [{"lines": _lines(list(FOODS[:12]))}]})
        store.save(engine, FULL, "recipe", title=title, body=body, uses=uses)
    shelf, fresh = Shelf(catalogue), list[Shelf]()
    asked: dict[str, Callable[[], object]] = {
        "list": lambda: shelf.listing("recipe", FULL, limit=PAGE, offset=saved - PAGE),
        "search": lambda: shelf.listing("recipe", FULL, search=f"plate {saved - 1}", limit=PAGE),
        "using": lambda: shelf.listing("recipe", FULL, using="sr28:00007", limit=saved),
        "one": lambda: shelf.document("recipe", saved // 2, FULL),
    }  # fmt: skip
    opened = median(lambda: fresh[0].book(FULL), rounds, lambda: fresh.insert(0, Shelf(catalogue)))
    return {"open": opened, **{name: median(work, rounds) for name, work in asked.items()}}


_WORDS = ("Leek", "Haddock", "Crème", "Seed", "Kale", "Prawn", "Almond", "Egg")

# ---- all -------------------------------------------------------------------------------------------------------


def report(settings: Settings, *, saved: int, rounds: int) -> dict[str, Mapping[str, float]]:
    """All figures: milliseconds, limits, ratios."""
    ensure_ready(settings).dispose()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / DATABASE_NAME
        shutil.copy(str(database_file(settings.database_url)), copy)
        catalogue = open_catalogue(replace(settings, data_dir=copy.parent, database_url=sqlite_url(copy)))
        one, many = one_recipe(catalogue, rounds), many_recipes(catalogue, saved, rounds)
        catalogue.engine.dispose()
    ratios = {
        "from_text_to_reading_and_summing": one["from_text"] / (one["read_lines"] + one["plain_sum"]),
        "from_text_to_plain_sum": one["from_text"] / one["plain_sum"],
        "after_an_edit_to_plain_sum": one["after_an_edit"] / one["plain_sum"],
        **{f"{name}_to_one": many[name] / many["one"] for name in ("list", "search", "using")},
    }
    return {"milliseconds": _rounded({**one, **many}), "at_most": LIMITS, "ratios": _rounded(ratios)}


def _rounded(values: Mapping[str, float]) -> dict[str, float]:
    return {name: round(value, 2) for name, value in values.items()}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--saved", type=int, default=10_000)
    parser.add_argument("--rounds", type=int, default=30)
    parser.add_argument("--json", action="store_true")
    options = parser.parse_args()
    found = report(Settings.from_environment(), saved=options.saved, rounds=options.rounds)
    if options.json:
        print(json.dumps(found))
        return
    for name, taken in found["milliseconds"].items():
        limit = found["at_most"].get(name)
        print(f"{name:<34}{taken:10.2f} ms", "" if limit is None else f"  at most {limit} ms")
    for name, ratio in found["ratios"].items():
        print(f"{name:<34}{ratio:10.2f}")


if __name__ == "__main__":
    main()
