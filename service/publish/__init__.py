"""What leaves the kitchen: panels, card, strip, texts and JSON-LD as pure functions of one frozen `Publication`.

    publication(worked, components, ...)              the value that all of these read
    us_panel_html, us_panel_svg, eu_html, eu_svg      labels, of the plain recipe or with everything
    card_html, strip_svg, description_text            the print card, a video overlay, a description box
    csv_text, lines_csv_text                          RFC 4180
    schema_org, schema_org_json                       a schema.org Recipe, as a dict and as text for a script element

The data of both labels are `publication(...).plain.us` and `.plain.eu`. Import order: publication, wording and markup
come first; texts and schema_org last.
"""

from service.publish.card import PAPERS, Paper, card_html
from service.publish.panels import eu_html, eu_svg, us_panel_html, us_panel_svg
from service.publish.publication import Helping, ListLine, ListSection, Origin, Publication, Units, publication
from service.publish.schema_org import schema_org, schema_org_json
from service.publish.strip import strip_svg
from service.publish.texts import csv_text, description_text, lines_csv_text

__all__ = [
    "PAPERS", "Helping", "ListLine", "ListSection", "Origin", "Paper", "Publication", "Units", "card_html", "csv_text",
    "description_text", "eu_html", "eu_svg", "lines_csv_text", "publication", "schema_org",
    "schema_org_json", "strip_svg", "us_panel_html", "us_panel_svg",
]  # fmt: skip
