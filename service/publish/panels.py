"""The US panel and the EU and UK declaration as HTML and SVG, in plain tables of our own.

Content and order are the regulations'; type sizes and boxes are not, so that nobody takes it for an approved label.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from service.core.cautions import LAXATIVE
from service.core.panel import NOT_KNOWN, EuDeclaration, EuRow, PanelRow, UsPanel
from service.publish.markup import CHARACTER, cell, escaped, html_page, shortened, svg, svg_box, svg_text, wrapped
from service.publish.publication import Helping, Publication
from service.publish.wording import counted_texts, helping_name, notes_of, origin_text, source_text

US_TITLE, EU_TITLE = "Nutrition Facts", "Nutrition declaration"
PANEL_STYLE = """
@page { margin: 12mm; }
body { margin: 1rem; background: #fff; color: #000; }
body { font: 15px/1.35 system-ui, 'Segoe UI', 'DejaVu Sans', Arial, sans-serif; }
table { border-collapse: collapse; width: 22rem; max-width: 100%; font-variant-numeric: tabular-nums; }
table.wide { width: 30rem; }
caption { text-align: left; padding-bottom: .3rem; }
caption strong { display: block; font-size: 1.3em; }
caption span { display: block; }
th, td { padding: .2rem .3rem; border-top: 1px solid #000; text-align: right; font-weight: 400; vertical-align: top; }
th[scope=row] { text-align: left; }
tr.main th { font-weight: 700; }
tr.in1 th[scope=row] { padding-left: 1.3rem; }
tr.in2 th[scope=row] { padding-left: 2.3rem; }
tr.first th, tr.first td { border-top-width: 3px; }
thead th { border-top-width: 3px; font-size: .87em; }
tfoot td { border-top-width: 3px; text-align: left; font-size: .8em; }
tfoot p { margin: .2rem 0; }
"""


def _foot(publication: Publication, helping: Helping, notes: Iterable[str]) -> list[str]:
    """The sentences under a panel: its own, what is not counted and how, polyols, the tables, the origin."""
    due = [one.text for one in publication.cautions if one.kind == LAXATIVE]
    counted = [*notes_of(helping), *counted_texts(publication, helping)]
    return [*notes, *counted, *due, source_text(publication), origin_text(publication.origin)]


def _paragraphs(texts: Iterable[str]) -> str:
    return "".join(f"<p>{escaped(text)}</p>" for text in texts if text)


def _caption(title: str, *texts: str) -> str:
    spans = "".join(f"<span>{escaped(text)}</span>" for text in texts)
    return f"<caption><strong>{escaped(title)}</strong>{spans}</caption>"


def _heading(publication: Publication, helping: Helping) -> str:
    """The recipe's title, and which way of serving it where there are several."""
    several = len(publication.helpings) > 1
    return f"{publication.title} ({helping_name(helping)})" if several else publication.title


# ---- US --------------------------------------------------------------------------------------------------------


def us_panel_html(publication: Publication, *, everything: bool = False) -> str:
    """A page with the US panel of one serving; NotFoundError for `everything` where nothing is optional."""
    helping = publication.helping(everything=everything)
    table = us_panel_table(helping.us, _heading(publication, helping), _foot(publication, helping, helping.us.notes))
    return html_page(f"{publication.title}: {US_TITLE}", PANEL_STYLE, table)


def us_panel_table(panel: UsPanel, heading: str, foot: Sequence[str]) -> str:
    """The panel as a table element."""
    rows = "\n".join(_us_row(row, first=place == _first_vitamin(panel)) for place, row in enumerate(panel.rows))
    return (
        f"<table>\n{_caption(US_TITLE, heading, panel.servings, f'Serving size {panel.serving_size}')}\n"
        f"<thead><tr>{cell('th', 'Amount per serving', scope='col')}<td></td>"
        f"{cell('th', '% Daily Value', scope='col')}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n"
        f'<tfoot><tr><td colspan="3">{_paragraphs([panel.footnote, *foot])}</td></tr></tfoot>\n</table>'
    )


def _first_vitamin(panel: UsPanel) -> int:
    return next((place for place, row in enumerate(panel.rows) if row.vitamin), -1)


def _us_row(row: PanelRow, *, first: bool) -> str:
    classes = [
        f"in{row.indent}" if row.indent else "",
        "" if row.indent or row.vitamin else "main",
        "first" if first else "",
    ]
    named = " ".join(one for one in classes if one)
    opening = f'<tr class="{named}">' if named else "<tr>"
    cells = (cell("th", row.name, scope="row"), cell("td", row.amount_text), cell("td", row.daily_value_text))
    return f"{opening}{''.join(cells)}</tr>"


def us_panel_svg(publication: Publication, *, everything: bool = False) -> str:
    """The US panel of one serving as a picture, 440 wide."""
    helping = publication.helping(everything=everything)
    panel = helping.us
    sheet = _Sheet(440, [])
    sheet.line(US_TITLE, size=22, bold=True)
    for text in (_heading(publication, helping), panel.servings, f"Serving size {panel.serving_size}"):
        sheet.paragraph(text, size=13)
    sheet.row(("Amount per serving", "", "% Daily Value"), (12, 320, 428), thick=True)
    for place, row in enumerate(panel.rows):
        cells = (row.name, row.amount_text, row.daily_value_text)
        bold = not row.indent and not row.vitamin
        sheet.row(cells, (12 + 14 * row.indent, 320, 428), bold=bold, thick=place == _first_vitamin(panel))
    sheet.foot([panel.footnote, *_foot(publication, helping, panel.notes)])
    return sheet.picture(f"{US_TITLE}: {publication.title}")


# ---- EU and UK -------------------------------------------------------------------------------------------------


def eu_html(publication: Publication, *, everything: bool = False) -> str:
    """A page with the EU and UK declaration per 100 g and portion; NotFoundError as for the US panel."""
    helping = publication.helping(everything=everything)
    table = eu_table(helping.eu, _heading(publication, helping), _foot(publication, helping, helping.eu.notes))
    return html_page(f"{publication.title}: {EU_TITLE}", PANEL_STYLE, table)


def eu_table(declaration: EuDeclaration, heading: str, foot: Sequence[str]) -> str:
    """The declaration as a table element."""
    rows = "\n".join(_eu_row(row) for row in declaration.rows)
    heads = "".join(cell("th", text, scope="col") for text in ("per 100 g", f"per portion: {declaration.portion}"))
    return (
        f'<table class="wide">\n{_caption(EU_TITLE, heading)}\n'
        f"<thead><tr><td></td>{heads}</tr></thead>\n<tbody>\n{rows}\n</tbody>\n"
        f'<tfoot><tr><td colspan="3">{_paragraphs(foot)}</td></tr></tfoot>\n</table>'
    )


def _eu_row(row: EuRow) -> str:
    opening = f'<tr class="in{row.indent}">' if row.indent else '<tr class="main">'
    return (
        f"{opening}{cell('th', eu_name(row), scope='row')}{''.join(cell('td', text) for text in eu_amounts(row))}</tr>"
    )


def eu_name(row: EuRow) -> str:
    """The name that the declaration prints: parts are "of which"."""
    return f"of which {row.name}" if row.indent else row.name[:1].upper() + row.name[1:]


def eu_amounts(row: EuRow) -> tuple[str, str]:
    """Texts per 100 g and per portion."""
    return (NOT_KNOWN if row.per_100g is None else row.per_100g.text), row.per_portion.text


def eu_svg(publication: Publication, *, everything: bool = False) -> str:
    """The EU and UK declaration as a picture, 480 wide."""
    helping = publication.helping(everything=everything)
    sheet = _Sheet(480, [])
    sheet.line(EU_TITLE, size=20, bold=True)
    sheet.paragraph(_heading(publication, helping), size=13)
    sheet.paragraph(f"Portion: {helping.eu.portion}", size=13)
    sheet.row(("", "per 100 g", "per portion"), (12, 325, 468), thick=True)
    for row in helping.eu.rows:
        sheet.row((eu_name(row), *eu_amounts(row)), (12 + 14 * row.indent, 325, 468), bold=not row.indent)
    sheet.foot(_foot(publication, helping, helping.eu.notes))
    return sheet.picture(f"{EU_TITLE}: {publication.title}")


# ---- a sheet of text and rules ---------------------------------------------------------------------------------


@dataclass(slots=True)
class _Sheet:
    """Rows from the top down; shapes gather as the sheet grows."""

    width: int
    shapes: list[str]
    y: float = 10

    def line(self, text: str, *, size: float, bold: bool = False) -> None:
        self.y += size * 1.3
        self.shapes.append(svg_text(12, self.y, text, size=size, bold=bold))

    def paragraph(self, text: str, *, size: float) -> None:
        for line in wrapped(text, int((self.width - 24) / (size * CHARACTER))):
            self.line(line, size=size)

    def rule(self, *, thick: bool) -> None:
        self.y += 6
        self.shapes.append(svg_box(12, self.y, self.width - 24, 3 if thick else 1, fill="#000"))
        self.y += 3 if thick else 1

    def row(self, cells: Sequence[str], places: Sequence[float], *, bold: bool = False, thick: bool = False) -> None:
        """A name at its left edge, then texts that end at their places."""
        self.rule(thick=thick)
        self.y += 16
        self.shapes.append(svg_text(places[0], self.y, cells[0], size=13, bold=bold))
        for text, place in zip(cells[1:], places[1:], strict=True):
            if text:
                self.shapes.append(svg_text(place, self.y, shortened(text, 24), size=13, anchor="end"))

    def foot(self, texts: Iterable[str]) -> None:
        self.rule(thick=True)
        for text in texts:
            if text:
                self.paragraph(text, size=10)

    def picture(self, title: str) -> str:
        height = int(self.y + 14)
        frame = svg_box(0.5, 0.5, self.width - 1, height - 1, fill="#fff", stroke="#000")
        return svg(self.width, height, title, [frame, *self.shapes])
