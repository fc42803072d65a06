"""How near two entries are by their figures: the one table of bounds within which they may be the same food."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from service.core.food import FoodTable

# (tagnames, the first known one is taken; most they may differ in the component's unit; and as a share of the larger).
# By trial on six tables: sorts, seasons and methods of one food stay within them, its juice or its lean sister not.
BOUNDS: tuple[tuple[tuple[str, ...], float, float], ...] = (
    (("WATER",), 4.0, 0.08),
    (("PROCNT",), 1.5, 0.2),
    (("FAT",), 0.7, 0.2),
    (("CHOAVLDF", "CHOAVL"), 2.5, 0.2),
    (("FIBTG",), 1.0, 0.35),
    (("ENERC_KCAL",), 20.0, 0.15),
    (("NA",), 100.0, 0.4),
)
# Available carbohydrate is the total less fibre where a table gives these.
_COMPARED = frozenset({"CHOCDF", *(tagname for tagnames, _, _ in BOUNDS for tagname in tagnames)})
# In bounds, by trial on six tables: entries that a publisher or a line says are one food may differ more, as countries
# do, but not by so much. "Walnut, fresh" is no dry walnut, and USDA gave the numbers of meat substitutes (16500 and on)
# to dry beans.
UNLIKE = 2.5
_UNITS, _PARTS = (np.array(column) for column in zip(*((most, share) for _, most, share in BOUNDS), strict=True))


def shares_apart(ours: NDArray[np.float64], theirs: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far each compared figure is from another, in bounds; 0 where it is not known of both."""
    most = np.maximum(_UNITS, _PARTS * np.maximum(np.abs(theirs), np.abs(ours)))
    shares: NDArray[np.float64] = np.nan_to_num(np.abs(theirs - ours) / most, nan=0.0)
    return shares


def furthest_apart(table: FoodTable, pairs: Sequence[tuple[str, str]]) -> NDArray[np.float64]:
    """How far the figure of each pair of foods is apart that is so the furthest, in bounds."""
    rows = {food_id: row for row, food_id in enumerate({food_id for pair in pairs for food_id in pair})}
    places = {food.id: place for place, food in enumerate(table.foods) if food.id in rows}
    figures = compared_figures(table, [places[food_id] for food_id in rows])
    ours, theirs = ([rows[pair[side]] for pair in pairs] for side in (0, 1))
    apart: NDArray[np.float64] = shares_apart(figures[ours], figures[theirs]).max(axis=1)
    return apart


def compared_figures(table: FoodTable, places: Sequence[int]) -> NDArray[np.float64]:
    """The compared components of some entries, a limit in place of what is below one; NaN where unknown."""
    components = [(place, one.tagname) for place, one in enumerate(table.components) if one.tagname in _COMPARED]
    columns = {tagname: column for column, (_, tagname) in enumerate(components)}
    rows = np.asarray(places, dtype=np.intp)
    amounts = table.amounts[np.ix_(rows, np.array([place for place, _ in components], dtype=np.intp))]
    _take_limits(amounts, columns, [table.limits.get(table.foods[place].id, {}) for place in places])
    figures = np.full((len(places), len(BOUNDS)), np.nan)
    for column, (tagnames, _, _) in enumerate(BOUNDS):
        _fill(figures[:, column], (amounts[:, columns[one]] for one in tagnames if one in columns))
        if "CHOAVL" in tagnames and {"CHOCDF", "FIBTG"} <= columns.keys():
            _fill(figures[:, column], (amounts[:, columns["CHOCDF"]] - amounts[:, columns["FIBTG"]],))
    return figures


def _fill(column: NDArray[np.float64], values: Iterable[NDArray[np.float64]]) -> None:
    for one in values:
        np.copyto(column, one, where=np.isnan(column))


def _take_limits(
    amounts: NDArray[np.float64], columns: Mapping[str, int], limits: Iterable[Mapping[str, float]]
) -> None:
    """Put the limits of each row in place of what is unknown."""
    for row, known in enumerate(limits):
        for tagname in columns.keys() & known.keys():
            if np.isnan(amounts[row, columns[tagname]]):
                amounts[row, columns[tagname]] = known[tagname]
