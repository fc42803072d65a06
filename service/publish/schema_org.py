"""A schema.org Recipe with NutritionInformation, as JSON-LD to paste into a page.

Figures are per serving; carbohydrateContent is total carbohydrate. There is no property for net carbohydrate, so it
stands in the description. What is not known in full has no property: a lower bound would be read as the amount.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from service.core.cautions import LAXATIVE
from service.core.figures import as_sent
from service.core.panel import NOT_KNOWN, decimal, digits, to_step
from service.publish.card import line_texts
from service.publish.markup import one_line, script_json
from service.publish.publication import Helping, Publication, total_of
from service.publish.wording import amount_text, count_text, notes_of, origin_text, source_text, weight_texts

# Property, tagname, unit of the property's definition, step of the number.
PROPERTIES = (
    ("calories", "ENERC_KCAL", "calories", "1"),
    ("fatContent", "FAT", "g", "0.1"),
    ("saturatedFatContent", "FASAT", "g", "0.1"),
    ("transFatContent", "FATRN", "g", "0.1"),
    ("cholesterolContent", "CHOLE", "mg", "1"),
    ("sodiumContent", "NA", "mg", "1"),
    ("carbohydrateContent", "CHOCDF", "g", "0.1"),
    ("fiberContent", "FIBTG", "g", "0.1"),
    ("sugarContent", "SUGAR", "g", "0.1"),
    ("proteinContent", "PROCNT", "g", "0.1"),
)


def schema_org(publication: Publication) -> dict[str, object]:
    """The recipe as JSON-LD; nutrition is that of the plain recipe."""
    lines = [line_texts(line)[0] for section in publication.sections for line in section.lines if line.food]
    servings = publication.plain.servings
    identifier, house = origin_text(publication.origin), publication.house.strip()
    return {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": one_line(publication.title),
        **({"identifier": one_line(identifier)} if identifier else {}),
        **({"author": {"@type": "Organization", "name": one_line(house)}} if house else {}),
        "recipeYield": f"{count_text(servings)} {'serving' if servings == 1 else 'servings'}",
        "recipeIngredient": lines,
        "nutrition": dict(_nutrition(publication)),
    }


def schema_org_json(publication: Publication) -> str:
    """The same as text that may stand inside a script element."""
    return script_json(schema_org(publication))


def _nutrition(publication: Publication) -> Iterator[tuple[str, object]]:
    plain = publication.plain
    yield "@type", "NutritionInformation"
    yield "servingSize", plain.us.serving_size.replace(f" (weight {NOT_KNOWN})", "")
    for name, tagname, unit, step in PROPERTIES:
        value = total_of(plain.per_serving, tagname).value
        if value is not None:
            yield name, f"{digits(to_step(decimal(as_sent(value)), Decimal(step)))} {unit}"
    yield "description", one_line(_description(publication, plain))


def _description(publication: Publication, plain: Helping) -> str:
    which = " of the plain recipe, without what is optional" if publication.everything is not None else ""
    net = amount_text(plain.per_serving.net_carbohydrate)
    said = f"A serving{which}. Net carbohydrate {net}: {publication.net_formula}."
    laxative = [one.text for one in publication.cautions if one.kind == LAXATIVE]
    return " ".join([said, *weight_texts(publication), *notes_of(plain), *laxative, source_text(publication)])
