"""Recipes, own foods and choices as JSON: figures rounded for display, unknown as null, never as 0."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from service.api.payloads import Payload, coverage_payload, food_name, line_payload, release_name, shown
from service.core.cautions import Caution
from service.core.composition import Dish, Ingredient, Spread
from service.core.figures import RATIO_FORMULA, Figures, Ratio
from service.core.food import Release
from service.core.nutrients import Counted, Coverage, NetConvention, Total, Totals, coverage, net_formula
from service.core.uncertainty import NET
from service.kitchens.book import COMPARED, Portions, Serving, Worked, serving_differences
from service.kitchens.evidence import Evidence
from service.kitchens.forms import RecipeForm
from service.kitchens.ledger import SHOWN, Contribution, Ledger, share_of
from service.kitchens.shelf import Changed, ChangedVariant
from service.store.kitchen import Document, Listed

# ---- figures ---------------------------------------------------------------------------------------------------


def figure_payload(total: Total) -> Payload:
    """One figure; `value` is null where it is not known in full, `low` and `high` are bounds."""
    return {
        "value": shown(total.value), "low": shown(total.low), "high": shown(total.high), "unit": total.unit,
        "known": shown(total.known), "unknown_in": total.unknown_in,
    }  # fmt: skip


def ratio_payload(ratio: Ratio) -> Payload:
    """A ketogenic ratio with its bounds; `remark` says why it is null."""
    return {"value": shown(ratio.value), "low": shown(ratio.low), "high": shown(ratio.high),
            "remark": ratio.remark or None}  # fmt: skip


def figures_payload(found: Figures, convention: NetConvention, chosen: frozenset[str]) -> Payload:
    """The figures of a dish or of a share of it; of components those that are chosen."""
    shares = found.energy_shares
    return {
        "grams": figure_payload(found.grams),
        "components": {total.tagname: figure_payload(total) for total in found.components if total.tagname in chosen},
        "net_carbohydrate": {**figure_payload(found.net_carbohydrate), "formula": net_formula(convention)},
        "ketogenic_ratio": {
            "on_total": ratio_payload(found.ratio_on_total),
            "on_net": ratio_payload(found.ratio_on_net),
            "formula": RATIO_FORMULA,
        },
        "energy_shares": None if shares is None else {tagname: shown(share) for tagname, share in shares.items()},
    }


def portions_payload(portions: Portions, convention: NetConvention, chosen: frozenset[str]) -> Payload:
    """The figures whole, per serving, per piece and per 100 g; null where the weight or the pieces are not known."""
    return {
        "servings": shown(portions.servings),
        "weight": weight_payload(portions.dish),
        **{
            name: None if found is None else figures_payload(found, convention, chosen)
            for name, found in (
                ("whole", portions.whole), ("per_serving", portions.per_serving), ("per_piece", portions.per_piece),
                ("per_100g", portions.per_100g),
            )
        },
    }  # fmt: skip


def spread_payload(spread: Spread) -> Payload:
    """Grams with their bounds."""
    return {"value": shown(spread.value), "low": shown(spread.low), "high": shown(spread.high)}


def weight_payload(dish: Dish) -> Payload:
    """Raw and cooked weight in grams and what the cooked one rests on."""
    weights = {"raw": spread_payload(dish.raw), "cooked": spread_payload(dish.cooked)}
    return {**weights, "basis": dish.weight_basis, "notes": dish.notes}


def compared(found: Figures) -> tuple[Payload, Payload]:
    """The few figures by which servings and revisions are compared, and the bounds of each."""
    totals = [*(found.total(tagname) for tagname in COMPARED), found.net_carbohydrate]
    bounds = {total.tagname: {"low": shown(total.low), "high": shown(total.high)} for total in totals}
    return {total.tagname: shown(total.value) for total in totals}, bounds


def difference(worked: Worked, serving: Serving) -> Payload:
    """How a serving differs from a plain one, figure by figure with bounds; null where unknown or unbounded."""
    found = serving_differences(worked, serving)
    told = {tagname: found[tagname] for tagname in (*COMPARED, NET)}
    bounds = {tagname: {"low": shown(one.low), "high": shown(one.high)} for tagname, one in told.items()}
    return {
        "difference_per_serving": {tagname: shown(one.value) for tagname, one in told.items()},
        "difference_bounds": bounds,
    }


# ---- recipes worked out ----------------------------------------------------------------------------------------


def serving_payload(serving: Serving, worked: Worked, chosen: frozenset[str]) -> Payload:
    """A variant with its figures and how a serving of it differs from one of the plain recipe."""
    return {
        "name": serving.name,
        "lines": sorted(serving.lines),
        **portions_payload(serving.portions, worked.recipe.net, chosen),
        **difference(worked, serving),
    }


def coverage_of(worked: Worked) -> Coverage:
    """What the figures of the plain recipe count."""
    lines = worked.base.lines
    not_food = sum(worked.lines[number - 1].outcome == "not_food" for number in lines)
    counted = [_counted(one, worked.optional) for one in worked.base.portions.dish.ingredients]
    unread = tuple(number for number in sorted(lines) if worked.lines[number - 1].unread)
    return coverage(counted, len(lines), not_food, unread=unread)


def _main_totals(found: Figures) -> Totals:
    """The totals that the notes of the coverage speak of."""
    return Totals(tuple(found.total(tagname) for tagname in COMPARED), found.net_carbohydrate)


def _counted(one: Ingredient, optional: frozenset[int]) -> Counted:
    place = None if one.unmatched else 0
    grams = None if one.grams is None else (one.grams.value, one.grams.low, one.grams.high)
    return Counted(one.line, place, grams, one.check, one.line in optional)


def nutrition_payload(
    worked: Worked, chosen: frozenset[str], *, origin: Payload, releases: Iterable[Release],
    cautions: Sequence[Caution],
) -> Payload:  # fmt: skip
    """The answer of a recipe with the chosen components; `origin` names what it can be recomputed from."""
    convention = worked.recipe.net
    base = worked.base
    return {
        "title": worked.recipe.title,
        "origin": origin,
        **portions_payload(base.portions, convention, chosen),
        "coverage": coverage_payload(coverage_of(worked), _main_totals(base.portions.whole), worked.lines),
        "lines": [
            {**line_payload(result), "number": number, "counted": number in base.lines,
             "optional": number in worked.optional, "ingredients": _ingredients(worked, number)}
            for number, result in enumerate(worked.lines, 1)
        ],
        "variants": [serving_payload(serving, worked, chosen) for serving in worked.variants],
        "cautions": [caution_payload(caution) for caution in cautions],
        "releases": [release_name(release) for release in releases],
    }  # fmt: skip


def ledger_payload(found: Ledger, form: RecipeForm, convention: NetConvention) -> Payload:
    """What lines, sections, everything optional and everything bring to a serving, with shares of everything."""

    def brought(part: Contribution) -> Payload:
        weights = {"listed": spread_payload(part.listed), "raw": spread_payload(part.raw)}
        shares = {name: shown(share) for name, share in share_of(part, found.everything).items()}
        serving = figures_payload(part.serving, convention, frozenset(SHOWN))
        kept = {name: serving[name] for name in ("components", "net_carbohydrate", "ketogenic_ratio")}
        del kept["net_carbohydrate"]["formula"], kept["ketogenic_ratio"]["formula"]
        return {"lines": sorted(part.lines), **weights, "unweighed": sorted(part.unweighed), **kept, "shares": shares}

    return {
        "lines": [brought(part) for part in found.lines],
        "sections": [
            {"name": section.name, "optional": section.optional, **brought(part)}
            for section, part in zip(form.sections, found.sections, strict=True)
        ],
        "optional": brought(found.optional),
        "everything": brought(found.everything),
        "listed": {name: spread_payload(spread) for name, spread in found.listed.items()},
    }


def _ingredients(worked: Worked, number: int) -> list[Payload]:
    """The ingredients of a line where it is a sub-recipe or was cooked, so that nothing is hidden."""
    found = [one for one in worked.ingredients if one.line == number]
    return [ingredient_payload(one) for one in found if one.within or one.notes]


def ingredient_payload(one: Ingredient) -> Payload:
    """One ingredient behind a line."""
    grams = one.grams
    return {
        "food": None if one.food is None else food_name(one.food),
        "within": one.within,
        "grams": None if grams is None else spread_payload(grams),
        "notes": one.notes,
    }  # fmt: skip


def caution_payload(caution: Caution) -> Payload:
    """A caution with its source."""
    return {"kind": caution.kind, "text": caution.text, "source": caution.source, "lines": caution.lines}


# ---- what is saved ---------------------------------------------------------------------------------------------


def document_payload(document: Document, body: Mapping[str, object]) -> Payload:
    """A saved document with its revision."""
    return {"id": document.food_id, "revision": document.revision, "saved": document.saved, **body}


def listed_payload(kind: str, listed: Listed) -> Payload:
    """A document as a list shows it."""
    return {"id": f"{kind}:{listed.number}", "title": listed.title, "revision": listed.revision, "saved": listed.saved}


def changed_payload(changed: Changed) -> Payload:
    """A recipe that a save changed, with the figures of a serving before and after; null where it has none."""
    variants = [{"name": one.name, **_before_and_after(one)} for one in changed.variants]
    return {"id": changed.food_id, "title": changed.title, **_before_and_after(changed), "variants": variants}


def _before_and_after(changed: Changed | ChangedVariant) -> Payload:
    told: Payload = {}
    for name, figures in (("before", changed.before), ("after", changed.after)):
        told[name], told[f"{name}_bounds"] = (None, None) if figures is None else compared(figures)
    return told


def trace_payload(found: Sequence[Evidence]) -> list[Payload]:
    """How a figure came about, ingredient by ingredient."""
    return [
        {
            "line": one.ingredient.line, "text": one.ingredient.text, **ingredient_payload(one.ingredient),
            "per_100g": shown(one.per_100g), "amount": shown(one.amount),
            "source": None if one.value is None else {"code": one.value.source, "text": one.value.source_text},
            "derivation": None
            if one.value is None
            else {"code": one.value.derivation, "text": one.value.derivation_text},
        }
        for one in found
    ]  # fmt: skip
