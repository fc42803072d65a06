"""What the recipe routes answer: a saved recipe with what it changed, and what a recipe comes to."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from fastapi import Request

from service.api.exchange import book_of, metrics_of, shelf_of
from service.api.payloads import Payload, shown
from service.api.recipe_payloads import (
    changed_payload,
    document_payload,
    ledger_payload,
    nutrition_payload,
    trace_payload,
)
from service.core.errors import NotFoundError
from service.core.recipe import PLAIN
from service.core.uncertainty import NET, Uncertainty
from service.kitchens.book import Book, Serving, Worked
from service.kitchens.evidence import evidence, uncertainties
from service.kitchens.forms import RecipeForm, read_form
from service.kitchens.ledger import ledger
from service.kitchens.shelf import Saved, Shelf
from service.tables.version import vocabulary_version


def saved_recipe(saved: Saved, notes: Sequence[str] = ()) -> Payload:
    """A saved recipe, what was assumed while it was read, and the recipes whose figures it changed."""
    body = read_form(RecipeForm, saved.document.body).dumped()
    changed = [changed_payload(one) for one in saved.changed]
    return {**document_payload(saved.document, body), "notes": list(notes), "changed": changed}


def named(text: str) -> tuple[str, ...]:
    """The tagnames of a query parameter, separated by commas."""
    return tuple(dict.fromkeys(name.strip() for name in text.split(",") if name.strip()))


def nutrition_answer(
    request: Request, number: int, *, at: int | None = None, components: Sequence[str] = (), trace: Sequence[str] = ()
) -> Payload:
    """What a saved recipe comes to; all components unless named."""
    shelf = shelf_of(request)
    book = book_of(request, at=at)
    chosen = _chosen(book, components)
    recipe = f"recipe:{number}"
    worked = book.work_saved(recipe)
    for line in worked.lines:
        metrics_of(request).line(line.outcome)
    return worked_answer(shelf, book, worked, recipe=recipe, chosen=chosen, trace=trace)


def preview_answer(
    shelf: Shelf, book: Book, form: RecipeForm, *, components: Sequence[str] = (), notes: Sequence[str] = (),
    with_ledger: bool = False,
) -> tuple[Payload, list[str]]:  # fmt: skip
    """What a recipe that was only sent comes to, all components unless named, and the outcomes of its lines.

    With a ledger the answer has what each line and section brings.
    """
    recipe, chosen = form.value(), _chosen(book, components)
    worked = book.work(recipe)
    answer = worked_answer(shelf, book, worked, chosen=chosen, notes=notes)
    more = {"ledger": _ledger(book, worked, form, answer["uncertainty"])} if with_ledger else {}
    return {**answer, **more}, [line.outcome for line in worked.lines]


def worked_answer(
    shelf: Shelf, book: Book, worked: Worked, *, recipe: str | None = None, chosen: Collection[str] = (),
    trace: Sequence[str] = (), notes: Sequence[str] = (),
) -> Payload:  # fmt: skip
    """What a recipe that is worked out comes to; `recipe` is its id if it is saved, `chosen` () for all components."""
    payload = nutrition_payload(
        worked, frozenset(chosen or book.columns), origin=origin(book, recipe),
        releases=book.resolver.table.releases, cautions=shelf.cautions(worked),
    )  # fmt: skip
    payload["notes"] = list(notes)
    payload["uncertainty"] = _ranges(book, worked, worked.base)
    if trace:
        payload["trace"] = {tagname: _trace(book, worked, tagname, place) for place, tagname in enumerate(trace)}
    return payload


def _chosen(book: Book, components: Sequence[str]) -> frozenset[str]:
    """The tagnames asked for, all where none is."""
    for place, tagname in enumerate(components):
        if tagname not in book.columns:
            raise NotFoundError(f"no component has the tagname {tagname!r}", pointer=f"/components/{place}")
    return frozenset(components or book.columns)


def origin(book: Book, recipe: str | None = None) -> Payload:
    """What the same figures can be worked out from again."""
    return {
        "recipe": recipe,
        "revision": None if recipe is None else book.revision(recipe),
        "change": book.change,
        "vocabulary": vocabulary_version(),
        "releases": [f"{one.dataset} {one.release}" for one in book.resolver.table.releases],
    }


def _ledger(book: Book, worked: Worked, form: RecipeForm, plain: Payload) -> Payload:
    """The recipe as it was read, what its lines and sections bring, and how sure each way to serve it is.

    plain   how sure the plain one is
    """
    found = ledger(book, worked)
    ranges = {one.name: _ranges(book, worked, one) for one in worked.variants if one.name != PLAIN}
    return {
        "recipe": form.dumped(),
        **ledger_payload(found, form, worked.recipe.net),
        "uncertainty": {PLAIN: plain, **ranges},
    }


def _ranges(book: Book, worked: Worked, serving: Serving) -> Payload:
    """Standard uncertainty and 95 % range per serving of what is known of the main figures."""
    found = uncertainties(book, serving.portions.dish, worked.recipe.net)
    return {tagname: _range(one, serving.portions.servings) for tagname, one in found.items()}


def _range(one: Uncertainty, servings: float) -> Payload:
    return {
        "standard": shown(one.standard / servings), "low": shown(one.low / servings),
        "high": shown(one.high / servings),
        "contributors": [
            {"line": part.line, "text": part.text, "cause": part.cause, "share": shown(part.share)}
            for part in one.contributors
        ],
        "assumed_in": one.assumed_in,
    }  # fmt: skip


def _trace(book: Book, worked: Worked, tagname: str, place: int) -> list[Payload]:
    if tagname != NET and tagname not in book.columns:
        raise NotFoundError(f"no component has the tagname {tagname!r}", pointer=f"/trace/{place}")
    return trace_payload(evidence(book, worked.base.portions.dish, tagname, worked.recipe.net))
