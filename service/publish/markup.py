"""Text into HTML, SVG and JSON that no title can break out of. No script anywhere, nothing loaded from elsewhere."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterable

# All that XML 1.0 lets stand in a document; the rest, control characters and lone surrogates, is left out.
_FORBIDDEN = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
# Even in a page that is opened from a disk nothing runs and nothing is fetched.
POLICY = "default-src 'none'; style-src 'unsafe-inline'"
# Width of a character as a share of the size of the type, on the wide side for sans serif faces.
CHARACTER = 0.6
FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', Arial, sans-serif"


def one_line(text: str) -> str:
    """Text without line ends or anything that XML forbids."""
    return " ".join(_FORBIDDEN.sub("", text).split())


def escaped(text: str) -> str:
    """Text that is safe as content and as a quoted attribute, in HTML and XML alike."""
    return html.escape(one_line(text), quote=True)


def html_page(title: str, style: str, body: str) -> str:
    """A whole page with its own style sheet; `style` and `body` are markup, `title` is text."""
    return (
        '<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escaped(title)}</title>\n<style>\n{style.strip()}\n</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def cell(tag: str, text: str, *, scope: str = "", css: str = "", span: int = 1) -> str:
    """A table cell with text."""
    attributes = "".join(
        f' {name}="{value}"'
        for name, value in (("scope", scope), ("class", css), ("colspan", span))
        if value not in ("", 1)
    )
    return f"<{tag}{attributes}>{escaped(text)}</{tag}>"


def svg(width: int, height: int, title: str, shapes: Iterable[str], *, desc: str = "") -> str:
    """A picture with a name and a description that screen readers say; `shapes` are markup."""
    said = f"<desc>{escaped(desc)}</desc>\n" if desc else ""
    body = "\n".join(shapes)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{height}" viewBox="0 0 {width} {height}" '
        f'role="img" font-family="{FONT}">\n<title>{escaped(title)}</title>\n{said}{body}\n</svg>\n'
    )


def svg_text(
    x: float, y: float, text: str, *, size: float, anchor: str = "start", bold: bool = False, fill: str = "#000"
) -> str:
    """A line of text at its baseline."""
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" fill="{fill}"{weight}>'
        f"{escaped(text)}</text>"
    )


def svg_box(x: float, y: float, width: float, height: float, *, fill: str = "none", stroke: str = "none") -> str:
    """A rectangle."""
    return f'<rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" fill="{fill}" stroke="{stroke}"/>'


def wrapped(text: str, most: int) -> list[str]:
    """Lines of at most `most` characters, broken between words, or within one that is longer."""
    lines: list[str] = []
    for word in one_line(text).split(" "):
        while len(word) > most:
            lines.append(word[:most])
            word = word[most:]
        if lines and len(lines[-1]) + 1 + len(word) <= most:
            lines[-1] = f"{lines[-1]} {word}"
        else:
            lines.append(word)
    return [line for line in lines if line]


def shortened(text: str, most: int) -> str:
    """At most `most` characters of one line."""
    text = one_line(text)
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"


def script_json(value: object) -> str:
    """JSON that may stand inside a script element: nothing in it ends the element or opens a comment."""
    text = json.dumps(value, ensure_ascii=True, indent=2, allow_nan=False)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")
