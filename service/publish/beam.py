"""Small beams for paper: fat on the left pan, protein and net carbohydrate on the right, tilted by their ratio."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from service.core.figures import Ratio
from service.publish.markup import escaped, one_line, svg_box
from service.publish.publication import NET, Helping, total_of
from service.publish.wording import helping_name, ratio_text

WIDTH, HEIGHT = 120, 56
# Degrees a doubling of the ratio, and the stops: the rule of the page's beam.
DEGREES, STOPS = 12.0, (-14.85, 27.0)
_PIVOT, _ARM, _DROP, _PAN, _TALLEST = (60.0, 9.0), 38.0, 27.0, 17.0, 22.0
_NOTHING_AGAINST = "no protein or carbohydrate"


def tilt(ratio: Ratio) -> float | None:
    """Degrees of the beam, fat down: at the ratio, half way between its bounds, None where it is not known."""
    if ratio.value is not None:
        return _degrees(ratio.value)
    if ratio.remark == _NOTHING_AGAINST:
        return STOPS[1]
    return None if ratio.low is None or ratio.high is None else (_degrees(ratio.low) + _degrees(ratio.high)) / 2


def _degrees(ratio: float) -> float:
    return max(STOPS[0], min(STOPS[1], DEGREES * math.log2(max(ratio, 0.001))))


def beams_html(helpings: Sequence[Helping]) -> str:
    """A beam with its ratio for each helping that has one; blocks of all share one scale. "" where there is none."""
    known = [(one, angle) for one in helpings if (angle := tilt(one.per_serving.ratio_on_net)) is not None]
    most = max((sum(amounts) for one, _ in known for amounts in _loads(one)), default=0)
    if not most:
        return ""
    drawn = "".join(_figure(one, angle, _TALLEST / most) for one, angle in known)
    return f'<div class="beams">{drawn}<p>fat against protein and net carbohydrate, a serving</p></div>'


def _figure(helping: Helping, angle: float, scale: float) -> str:
    name, ratio = helping_name(helping), ratio_text(helping.per_serving.ratio_on_net)
    label = escaped(f"Beam, {name}: {ratio}")
    return (
        f'<div class="beam"><svg role="img" aria-label="{label}" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
        f'height="{HEIGHT}">{"".join(_shapes(helping, angle, scale))}</svg>'
        f"<p>{escaped(name)} <strong>{escaped(one_line(ratio))}</strong></p></div>"
    )


def _loads(helping: Helping) -> tuple[tuple[float], tuple[float, float]]:
    """Grams on the left pan and on the right one, of what is known."""
    fat, protein, net = (max(0.0, total_of(helping.per_serving, name).known) for name in ("FAT", "PROCNT", NET))
    return (fat,), (protein, net)


def _shapes(helping: Helping, angle: float, scale: float) -> Iterable[str]:
    (x, y), turn = _PIVOT, math.radians(angle)
    across, down = _ARM * math.cos(turn), _ARM * math.sin(turn)
    yield svg_box(x - 1.5, y, 3, HEIGHT - y - 3, fill="#000")
    yield svg_box(x - 14, HEIGHT - 3, 28, 3, fill="#000")
    yield (
        f'<path d="M{x - across:.2f} {y + down:.2f}L{x + across:.2f} {y - down:.2f}" stroke="#000" stroke-width="3.5" '
        f'fill="none" stroke-linecap="round" data-tilt="{angle:.2f}"/>'
    )
    fat, others = _loads(helping)
    yield from _pan(x - across, y + down, [(fat[0] * scale, "#000")])
    yield from _pan(x + across, y - down, [(others[0] * scale, "#fff"), (others[1] * scale, "#999")])


def _pan(x: float, y: float, blocks: Sequence[tuple[float, str]]) -> Iterable[str]:
    plate = y + _DROP
    cords = f"M{x - _PAN:.2f} {plate:.2f}L{x:.2f} {y:.2f}L{x + _PAN:.2f} {plate:.2f}"
    yield f'<path d="{cords}" stroke="#000" fill="none"/>'
    yield svg_box(x - _PAN - 1, plate, 2 * _PAN + 2, 2, fill="#000")
    for height, fill in blocks:
        plate -= height
        yield svg_box(x - 11, plate, 22, height, fill=fill, stroke="#000")
