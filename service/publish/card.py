"""The print card: list with grams, figures of a serving plain and with everything, and where they come from.

One page of A5 or half letter, black on white: the size of the type follows how much there is to print.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal

from service.core.cautions import OWN_SUM
from service.publish.beam import beams_html
from service.publish.markup import cell, escaped, html_page, one_line
from service.publish.publication import (
    MAIN_FIGURES,
    Helping,
    ListLine,
    ListSection,
    Publication,
    Units,
)
from service.publish.wording import (
    NOT_FOR_DOSING,
    ROUNDED,
    Said,
    all_notes,
    grams_text,
    helping_name,
    line_text,
    origin_text,
    ratio_text,
    served,
    serves_text,
    shares_text,
    source_text,
    weight_texts,
)

Paper = Literal["a5", "half letter"]
# Paper as (@page size, printable width and height in mm inside margins of 10 mm).
PAPERS: dict[Paper, tuple[str, float, float]] = {
    "a5": ("148mm 210mm", 128, 190), "half letter": ("5.5in 8.5in", 119.7, 195.9),
}  # fmt: skip
# Sizes of type in points, the largest that fits is taken.
SIZES = (9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.6, 6.2, 5.8, 5.4, 5.0)
_POINT = 25.4 / 72  # mm
_LINE = 1.3  # em
# What an estimate of a height is taken to be off by at most.
_MARGIN = 1.07
_STYLE = """
@page { size: %(paper)s; margin: 10mm; }
* { box-sizing: border-box; }
html { background: #fff; color: #000; }
body { margin: 0 auto; width: %(width)smm; }
body { font: %(size)spt/1.3 system-ui, 'Segoe UI', 'DejaVu Sans', Arial, sans-serif; }
p, h1, h2, ul { margin: 0; padding: 0; }
h1 { font: 600 1.75em/1.1 Georgia, 'DejaVu Serif', 'Times New Roman', serif; overflow-wrap: anywhere; }
.house { font-size: .9em; }
.serves { margin: .3em 0 .8em; }
.list { columns: 2; column-gap: 5%%; margin-bottom: .8em; }
.section { margin-bottom: .7em; }
.optional { border-left: .18em dotted #000; padding-left: .5em; }
h2 { font-size: 1em; font-weight: 600; break-after: avoid; }
h2 small { font-size: .9em; font-weight: 400; }
li { list-style: none; display: flex; justify-content: space-between; gap: .6em; }
li { border-top: .25pt solid #999; break-inside: avoid; }
li span { overflow-wrap: anywhere; }
li span + span { flex: none; font-variant-numeric: tabular-nums; white-space: nowrap; }
.beams { display: flex; flex-wrap: wrap; align-items: end; gap: 0 1.5em; margin-bottom: .7em; break-inside: avoid; }
.beams > p { font-size: .79em; flex: 1 1 9em; max-width: 16em; }
.beam { display: flex; align-items: end; gap: .6em; }
.beam p { max-width: 7em; }
.beam svg { width: 7.2em; height: 3.4em; flex: none; }
.beam strong { display: block; white-space: nowrap; font-variant-numeric: tabular-nums; }
table { width: 100%%; border-collapse: collapse; break-inside: avoid; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-weight: 600; }
th, td { text-align: right; font-weight: 400; padding: .15em 0 .15em .6em; vertical-align: bottom; }
tbody th { text-align: left; padding-left: 0; }
tbody tr { border-top: .25pt solid #666; }
tr.total th, tr.total td { font-weight: 600; }
thead th { font-size: .9em; }
.foot { margin-top: .9em; font-size: .79em; break-inside: avoid; }
@media screen { body { padding: 10mm; width: auto; max-width: %(screen)smm; } }
"""


def card_html(publication: Publication, *, paper: Paper = "a5") -> str:
    """The card as a page of its own; one sheet of paper as long as some type that can be read makes it fit."""
    size_name, width, _ = PAPERS[paper]
    size = type_size(publication, paper)
    style = _STYLE % {"paper": size_name, "width": f"{width:g}", "screen": f"{width + 20:g}", "size": f"{size:g}"}
    return html_page(publication.title, style, "\n".join(_body(publication)))


def _body(publication: Publication) -> Iterable[str]:
    if house := publication.house.strip():
        yield f'<p class="house">{escaped(one_line(house))}</p>'
    yield f"<h1>{escaped(publication.title)}</h1>"
    yield f'<p class="serves">Serves {escaped(serves_text(publication.plain))}</p>'
    yield '<div class="list">'
    mass = publication.units.mass
    yield from (_section(section, mass) for section in publication.sections if section.lines or section.name)
    yield "</div>"
    yield beams_html(publication.helpings)
    yield _table(publication)
    yield '<div class="foot">'
    yield from (f"<p>{escaped(text)}</p>" for text in foot_texts(publication))
    yield "</div>"


# ---- the list --------------------------------------------------------------------------------------------------


def _section(section: ListSection, mass: str) -> str:
    mark = " <small>(optional)</small>" if section.optional else ""
    head = f"<h2>{escaped(section.name)}{mark}</h2>" if section.name or mark else ""
    lines = "".join(_line(line, mass, said=section.optional) for line in section.lines)
    css = "section optional" if section.optional else "section"
    return f'<div class="{css}">{head}<ul>{lines}</ul></div>'


def _line(line: ListLine, mass: str, *, said: bool) -> str:
    """A line with its weight; an asterisk marks what the figures do not count."""
    text, grams = line_texts(line, mass, said=said)
    return f"<li><span>{escaped(text)}</span><span>{escaped(grams)}</span></li>"


def line_texts(line: ListLine, mass: str = "g", *, said: bool = False) -> tuple[str, str]:
    """The text of a line, marked where it is optional and `said` nowhere else and where it counts otherwise; grams."""
    optional = line.optional and not said and "optional" not in line.text.casefold()
    grams = grams_text(line.grams, mass) or ("not known" if line.food else "")
    return line_text(line, optional=optional), grams if line.counted or not line.food else f"{grams} *"


# ---- the figures -----------------------------------------------------------------------------------------------


def _table(publication: Publication) -> str:
    helpings = publication.helpings
    heads = "".join(cell("th", helping_name(helping), scope="col") for helping in helpings)
    head = f"<thead><tr><td></td>{heads}</tr></thead>" if len(helpings) > 1 else ""
    found = table_rows(helpings, publication.units)
    rows = "\n".join(_row(name, texts, total=name == "Total carbohydrate") for name, texts in found)
    caption = "A serving *" if all_notes(publication) else "A serving"
    return f"<table>\n<caption>{caption}</caption>\n{head}\n<tbody>\n{rows}\n</tbody>\n</table>"


def _row(name: str, texts: Sequence[str], *, total: bool) -> str:
    opening = '<tr class="total">' if total else "<tr>"
    return f"{opening}{cell('th', name, scope='row')}{''.join(cell('td', text) for text in texts)}</tr>"


def table_rows(helpings: Sequence[Helping], units: Units) -> list[tuple[str, list[str]]]:
    """The rows of the card's table: total carbohydrate stands above net."""
    rows = [
        (
            name,
            [
                _marked(served(one, helpings[0], units.tagname(tagname), units.of(tagname)))
                for one in helpings
            ],
        )
        for tagname, name in MAIN_FIGURES
    ]
    rows.append(("Share of energy", [shares_text(one.per_serving.energy_shares) for one in helpings]))
    rows.append(
        ("Ketogenic ratio on total carbohydrate", [ratio_text(one.per_serving.ratio_on_total) for one in helpings])
    )
    rows.append(("Ketogenic ratio on net carbohydrate", [ratio_text(one.per_serving.ratio_on_net) for one in helpings]))
    return rows


def _marked(said: Said) -> str:
    """The text with the asterisk of what is not known in full."""
    return f"{said.text} *" if said.bound else said.text


def foot_texts(publication: Publication) -> list[str]:
    """What the asterisk means, the cooked weight, the formula, the tables, the origin."""
    notes = all_notes(publication)
    starred = [f"* {notes[0]}", *notes[1:]] if notes else []
    cautions = [one.text for one in publication.cautions]
    net = f"Net carbohydrate: {publication.net_formula}. {ROUNDED}"
    fixed = [*weight_texts(publication), net, source_text(publication)]
    dosing = [] if any("dosing" in text.casefold() for text in cautions) else [NOT_FOR_DOSING]
    named = dict.fromkeys(one.source for one in publication.cautions if one.source != OWN_SUM)
    sources = [f"Sources: {'; '.join(named)}."] if named else []
    return [text for text in (*starred, *fixed, *cautions, *dosing, *sources, origin_text(publication.origin)) if text]


# ---- how large the type may be ---------------------------------------------------------------------------------


def type_size(publication: Publication, paper: Paper = "a5") -> float:
    """The largest size of SIZES, in points, at which the card is taken to fit one page; else the smallest."""
    _, width, height = PAPERS[paper]
    return next((size for size in SIZES if _height(publication, size, width) <= height), SIZES[-1])


def _height(publication: Publication, size: float, width: float) -> float:
    """An estimate of the card's height in mm, on the high side; the numbers are those of the style, in ems."""
    house = 0.9 * _LINE * _lines_for(publication.house, width, size * 0.9) if publication.house else 0
    title = 1.75 * 1.1 * _lines_for(publication.title, width, size * 1.75)
    served = _LINE + 0.3 + 0.8
    column = _LINE * _rows_of_list(publication, size, width * 0.475) + 0.8
    beams = 3.4 + 0.7 if beams_html(publication.helpings) else 0
    rows = [" ".join([name, *texts]) for name, texts in table_rows(publication.helpings, publication.units)]
    table = sum(_LINE * _lines_for(row, width * 0.93, size) + 0.35 for row in ["", *rows]) + _LINE
    foot = 0.9 + sum(_lines_for(text, width, size * 0.79) for text in foot_texts(publication)) * 0.79 * _LINE
    return _MARGIN * size * _POINT * (house + title + served + column + beams + table + foot)


def _rows_of_list(publication: Publication, size: float, width: float) -> float:
    """Rows of the higher of two columns."""
    rows = 0.0
    for section in publication.sections:
        rows += 1.6 if section.name else 0.6
        texts = (line_texts(line, said=section.optional)[0] for line in section.lines)
        rows += sum(_lines_for(f"{text} 1,000 g *", width, size) * 1.03 for text in texts)
    return math.ceil(rows / 2) + 1


def _lines_for(text: str, width: float, size: float) -> int:
    """Lines that text of this size in points needs in so many mm; a character is taken as 0.56 of its size wide."""
    return max(1, math.ceil(len(one_line(text)) * size * _POINT * 0.56 / width))
