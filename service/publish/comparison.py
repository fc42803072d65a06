"""A comparison of two releases as rows, CSV and a page: what changed, and what that would change in kitchens."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import astuple, dataclass

from service.core.comparison import Amount, Comparison
from service.core.figures import Figures
from service.core.food import HouseholdMeasure
from service.core.text import safe_cell
from service.kitchens.impact import Impact
from service.kitchens.shelf import Changed
from service.publish.markup import cell, escaped, html_page
from service.publish.publication import MAIN_FIGURES, total_of
from service.publish.wording import amount_text

COLUMNS = ("change", "id", "name", "what", "old", "new")
_STYLE = """
body { font: 15px/1.45 system-ui, 'Segoe UI', 'DejaVu Sans', Arial, sans-serif; color: #111; background: #fff; }
body { max-width: 72em; margin: 2em auto; padding: 0 1em; }
table { border-collapse: collapse; width: 100%; margin-bottom: 2em; font-variant-numeric: tabular-nums; }
th, td { text-align: left; padding: .25em .8em .25em 0; border-bottom: 1px solid #bbb; vertical-align: top; }
td { overflow-wrap: anywhere; }
"""


@dataclass(frozen=True, slots=True)
class Row:
    """One change: of what (id and name), in what respect, from what to what; "" where there is nothing to say."""

    change: str
    id: str
    name: str
    what: str = ""
    old: str = ""
    new: str = ""


def comparison_rows(found: Comparison, impact: Impact) -> Iterator[Row]:
    """Every change, those of kitchens first."""
    yield from _impact_rows(impact, successors(found))
    yield from (Row("food added", food.id, food.description) for food in found.added)
    yield from (Row("food dropped", food.id, food.description) for food in found.dropped)
    for pair in found.foods:
        if pair.recoded:
            yield Row("code changed", pair.new.id, pair.new.description, "id", pair.old.id, pair.new.id)
        if pair.renamed:
            yield Row("food renamed", pair.new.id, pair.new.description, "name", pair.old.description,
                      pair.new.description)  # fmt: skip
    yield from (Row("component added", one.tagname, one.name) for one in found.components_added)
    yield from (Row("component dropped", one.tagname, one.name) for one in found.components_dropped)
    for value in found.values:
        what = f"{value.component.tagname} ({value.component.unit})"
        yield Row("value changed", value.food.id, value.food.description, what, amount(value.old), amount(value.new))
    for change in found.measures:
        yield Row("measure changed", change.food.id, change.food.description, _measure(change.old or change.new),
                  _grams(change.old), _grams(change.new))  # fmt: skip


def successors(found: Comparison) -> dict[str, str]:
    """By the id of the old release, the id of the same food in the new one, where it has another."""
    return {pair.old.id: pair.new.id for pair in found.recoded}


def _impact_rows(impact: Impact, moved: Mapping[str, str]) -> Iterator[Row]:
    for kitchen, changed in impact.recipes:
        yield from _recipe_rows(kitchen, changed, moved)
    for choice in impact.choices:
        name = f"{choice.phrase} ({choice.kitchen})"
        gone = f"{NOT_THERE}{_now(choice.food_id, moved)}"
        yield Row("standing choice changes", choice.food_id, name, "food", choice.before or NOT_THERE,
                  choice.after or gone)  # fmt: skip


NOT_THERE = "not in the table"


def _now(food_id: str, moved: Mapping[str, str]) -> str:
    return f"; the food is now {moved[food_id]}" if food_id in moved else ""


def _recipe_rows(kitchen: str, changed: Changed, moved: Mapping[str, str]) -> Iterator[Row]:
    """The figures of one serving that come out otherwise: the main ones, or where they stay, the other components."""
    name = f"{changed.title} ({kitchen})"
    rows = _moved(changed, MAIN_FIGURES) or _moved(changed, _others(changed))
    yield from (Row("recipe changes", changed.food_id, name, what, old, new) for what, old, new in rows)
    for line, food_id in changed.lost:
        left_out = f"{NOT_THERE}: left out of the figures until the line has another food{_now(food_id, moved)}"
        yield Row("recipe changes", changed.food_id, name, f"“{line}”", food_id, left_out)
    if not rows:
        yield Row("recipe changes", changed.food_id, name, "bounds, or figures by less than is shown")


def _moved(changed: Changed, figures: Iterable[tuple[str, str]]) -> list[tuple[str, str, str]]:
    """What of these figures, as (tagname, called), comes out otherwise: what is served, and old and new as shown."""
    return [
        (f"{called}, {serving}", old, new)
        for serving, before, after in _servings(changed) for tagname, called in figures
        for old, new in [(_figure(before, tagname), _figure(after, tagname))] if old != new
    ]  # fmt: skip


def _others(changed: Changed) -> list[tuple[str, str]]:
    """Components that both releases have, by their tagnames: those of one release alone are no change of a figure."""
    both = [figures for figures in (changed.before, changed.after) if figures is not None]
    known = [[total.tagname for total in figures.components] for figures in both]
    return [(tagname, tagname) for tagname in known[0] if tagname in known[-1]] if known else []


def _servings(changed: Changed) -> Iterator[tuple[str, Figures | None, Figures | None]]:
    """(what is served, before, after): the plain recipe first, then the further ways that changed."""
    yield "one serving", changed.before, changed.after
    for one in changed.variants:
        yield f"one serving, {one.name}", one.before, one.after


def _figure(figures: Figures | None, tagname: str) -> str:
    return "cannot be worked out" if figures is None else amount_text(total_of(figures, tagname))


def amount(given: Amount) -> str:
    """An amount as a release gives it."""
    if given.known is not None:
        return f"{given.known:g}"
    return "not given" if given.limit is None else f"<{given.limit:g}"


def _measure(measure: HouseholdMeasure | None) -> str:
    return f"{measure.amount:g} {measure.text}" if measure else ""


def _grams(measure: HouseholdMeasure | None) -> str:
    return f"{measure.grams:g} g" if measure else "not given"


def headline(found: Comparison) -> str:
    """Both releases by name."""
    return f"{found.new.name}: release {found.old.release} and release {found.new.release}"


def by_what(found: Comparison, impact: Impact) -> str:
    """Which switch changes the recipes and choices, or why none does."""
    dataset, new = found.new.dataset, found.new.release
    none = "No recipe or standing choice changes"
    if impact.active is None:
        return f"{none}: {dataset} is not among the datasets in use (GRAMWRIGHT_DATASETS)."
    if impact.active == new:
        return f"{none}: release {new} of {dataset} answers already."
    return f"Recipes and standing choices change from release {impact.active}, which answers now, to release {new}."


def counts(found: Comparison, impact: Impact) -> dict[str, int]:
    """How many changes of each kind there are."""
    return {
        "recipes changed": len(impact.recipes), "standing choices changed": len(impact.choices),
        "foods added": len(found.added), "foods dropped": len(found.dropped), "foods renamed": len(found.renamed),
        "codes changed": len(found.recoded), "components added": len(found.components_added),
        "components dropped": len(found.components_dropped), "values changed": len(found.values),
        "measures changed": len(found.measures),
    }  # fmt: skip


def comparison_csv(rows: Iterable[Row]) -> str:
    """Every change as a row (RFC 4180)."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    writer.writerows([safe_cell(field) for field in astuple(row)] for row in rows)
    return text.getvalue()


def comparison_html(found: Comparison, impact: Impact) -> str:
    """A page with a table of counts and a table of every change."""
    title = headline(found)
    summary = "".join(
        f"<tr>{cell('th', name, scope='row')}{cell('td', f'{count:,}')}</tr>"
        for name, count in counts(found, impact).items()
    )
    head = "".join(cell("th", name, scope="col") for name in COLUMNS)
    rows = "\n".join(
        f"<tr>{''.join(cell('td', field) for field in astuple(row))}</tr>" for row in comparison_rows(found, impact)
    )
    body = (
        f"<h1>{escaped(title)}</h1>\n<p>{escaped(by_what(found, impact))}</p>\n<table>{summary}</table>\n"
        f"<table><thead><tr>{head}</tr></thead><tbody>\n{rows}\n</tbody></table>"
    )
    return html_page(title, _STYLE, body)
