"""A narrow strip to lay over a video: total carbohydrate, fibre, net carbohydrate and ratio of one serving."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from service.publish.markup import CHARACTER, one_line, shortened, svg, svg_box, svg_text
from service.publish.publication import NET, Helping, Publication
from service.publish.wording import (
    count_text,
    counted_texts,
    helping_name,
    notes_of,
    ratio_text,
    served,
    traced_text,
)

WIDTH, HEAD, ROW = 1280, 52, 84
_GROUND, _TEXT, _SECOND = "#123c47", "#f3f9f6", "#cfe1e2"
# Right of the name of the row: total stands before net.
_CELLS = (("CHOCDF", "Total carbohydrate"), ("FIBTG", "Fibre"), (NET, "Net carbohydrate"))
_LEFT, _CELL = 200, 268
_SIZES = (34, 28, 22, 18, 15)
_TITLES = (26, 22, 18)
# As CHARACTER, of bold type.
_BOLD = 0.68


def strip_svg(publication: Publication) -> str:
    """The strip, 1280 wide, a row for the plain recipe and one with everything where something is optional."""
    height = HEAD + ROW * len(publication.helpings)
    title = f"{publication.title}: carbohydrate a serving"
    said = " ".join([traced_text(publication), *counted_texts(publication, publication.helpings[-1])])
    return svg(WIDTH, height, title, _shapes(publication, height), desc=said)


def _shapes(publication: Publication, height: int) -> Iterable[str]:
    yield svg_box(0, 0, WIDTH, height, fill=_GROUND)
    served = f"a serving, of {count_text(publication.plain.servings)}"
    yield from _head(publication.title, served, _how_sure(publication))
    for place, helping in enumerate(publication.helpings):
        yield from _row(helping, publication.plain, HEAD + ROW * place)


def _head(title: str, served: str, sure: str) -> Iterable[str]:
    """The title, and beside it what the figures are of: on two lines where a long title leaves no room for one."""
    said, size = [f"{served}; {sure}"], 18
    if _room(said, size) < len(one_line(title)) * _TITLES[0] * _BOLD:
        said, size = [served, sure], 14
    room = _room(said, size)
    largest = next((one for one in _TITLES if len(one_line(title)) * one * _BOLD <= room), _TITLES[-1])
    yield svg_text(20, 36, shortened(title, int(room / largest / _BOLD)), size=largest, bold=True, fill=_TEXT)
    for place, text in enumerate(reversed(said)):
        y = (35 if len(said) == 1 else 42) - 20 * place
        yield svg_text(WIDTH - 20, y, text, size=size, anchor="end", fill=_SECOND)


def _room(said: Sequence[str], size: float) -> float:
    """What texts of this size at the right end leave of the width for a title at the left."""
    return WIDTH - 60 - max(map(len, said)) * size * CHARACTER


def _how_sure(publication: Publication) -> str:
    """How the figures came about, and that they hang on weights or readings which are not sure."""
    helpings = publication.helpings
    said = [
        *(["as cooked and eaten"] if counted_texts(publication, helpings[-1]) else []),
        *(["weights vague"] if any(len(notes_of(one)) > len(one.notes) for one in helpings) else []),
        *(["readings not confirmed"] if any(one.unconfirmed for one in helpings) else []),
    ]
    return ", ".join(["calculated, not analysed", *said])


def _row(helping: Helping, plain: Helping, top: float) -> Iterable[str]:
    yield svg_box(20, top, WIDTH - 40, 1, fill=_SECOND)
    yield svg_text(20, top + 50, shortened(helping_name(helping), 16), size=18, fill=_SECOND)
    for place, (name, text) in enumerate(strip_texts(helping, plain)):
        x = _LEFT + _CELL * place
        yield svg_text(x, top + 28, name, size=17, fill=_SECOND)
        size = next(size for size in _SIZES if len(text) * size * CHARACTER < _CELL or size == _SIZES[-1])
        yield svg_text(x, top + 66, text, size=size, bold=True, fill=_TEXT)


def strip_texts(helping: Helping, plain: Helping) -> list[tuple[str, str]]:
    """Names and figures from left to right, beside the plain recipe; the ratio is on net carbohydrate."""
    amounts = [(name, served(helping, plain, tagname, "g").text) for tagname, name in _CELLS]
    return [*amounts, ("Ketogenic ratio, on net", ratio_text(helping.per_serving.ratio_on_net))]
