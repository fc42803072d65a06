"""The weight of a piece: by the food's own household measures, else what a piece of its kind usually weighs.

What is taken of a fruit, its juice or zest, is counted by fruits too.
"""

from __future__ import annotations

import re
from dataclasses import replace

from service.core.amount import Amount
from service.core.edible_portion import KindRow, share_without_stems
from service.core.measure import Household, is_beyond
from service.core.piece_size import of_size, resized
from service.core.weighed_line import Each, WeighedLine, of_row

# The name of the rule where the tables weigh a piece for no food of its own.
ANY_FOOD = "piece default of any food"
# How the reason begins where the publisher's piece is far from what was counted.
PIECES_DIFFER = "the publisher's piece of this food weighs"
# What tells fruits of one name apart by their size: "juice of 6 key limes".
_KINDS = frozenset({"key"})


def by_yield(amount: Amount, line: WeighedLine) -> Each | None:
    """Juice or zest of whole fruits: the publisher's "1 lemon yields", else tables/yields.csv."""
    if not line.taken:
        return None
    found = line.tables.yields.find(line.taken, line.kin | (line.said & _KINDS), any_food=False)
    other = found is not None and not found.words <= line.rows.words  # "6 key limes", by the entry of limes
    if line.taken == "juice" and amount.measure in (None, "piece") and not other:
        for row in line.rows.pieces:
            if row.whole and "yields" in row.text:
                return Each(row.grams, row.grams * 0.6, row.grams * 1.4, "household measure", row.text, True)
    return of_row(found, "yield of fruits", f"{line.taken} of one") if found else None


_BUNCHES = frozenset({"bunch", "bundle"})


def by_first_default(amount: Amount, line: WeighedLine) -> Each | None:
    """Pieces whose household measure is not what a cook counts: a salmon fillet is no side of salmon."""
    if amount.measure is not None and line.tables.measures.kind(amount.measure) != "piece":
        return None
    return _piece_row(amount, line, use="first")


def _piece_row(amount: Amount, line: WeighedLine, *, use: str = "") -> Each | None:
    measure = "" if amount.measure in (None, "piece") else amount.measure
    any_food = bool(measure) and not use
    size = amount.size or ""
    find = line.tables.pieces.find
    own = find(f"{use}:piece", line.kin, said=line.said, any_food=False) if amount.measure == "piece" else None
    row = own or find(f"{use}:{measure}", line.kin, said=line.said, size=size, any_food=any_food)
    uncounted = line.head in line.tables.uncounted or line.food.group_name == "Beverages"
    if row is not None and not measure and uncounted and line.head not in row.words:
        return None  # "2 lemon jellies" are no lemons
    if row is None or (use == "first" and row.size not in ("", size) and not is_beyond(size, row.size)):
        return None
    if use == "first" and not measure and (_has_own_size(row, size, line) or _is_closer_baked(row, line)):
        return None
    each = of_row(row, "piece default" if row.words else ANY_FOOD, f"one {measure or 'piece'}")
    if use == "first" and amount.measure is None and not row.size and (told := _told_otherwise(row, line)):
        each = replace(each, reasons=(*each.reasons, told))
    if measure in _BUNCHES and (left := share_without_stems(line.kin, said=line.said, tables=line.tables.edible)):
        each = replace(each.times(left.value, left.low, left.high), reasons=(*each.reasons, left.basis))
    return each if row.size == (amount.size or "") else resized(each, amount.size, row.size)


# A publisher's piece that weighs so many times as much or as little as what a cook is taken to count is another one.
_ANOTHER_PIECE = 5.0


def _told_otherwise(row: KindRow, line: WeighedLine) -> str:
    """Why a row is a guess: the publisher weighs a far heavier or lighter piece, and the line names no kind of it."""
    own = [one.grams for one in line.rows.pieces if one.whole and not one.apart]
    if row.said or not row.words <= line.rows.words or not own:
        return ""
    near = min(own, key=lambda grams: max(grams / row.value, row.value / grams))
    apart = max(near / row.value, row.value / near)
    return f"{PIECES_DIFFER} {near:g} g" if apart > _ANOTHER_PIECE else ""


def _is_closer_baked(row: KindRow, line: WeighedLine) -> bool:
    """Whether a baked entry with a piece of its own is of a closer kind than a row that the line does not name.

    "4 bolillos" are weighed by their entry, though that calls them a "bread, roll" too.
    """
    described = row.words <= _ANY_BREAD & line.rows.words
    if line.food.group_name != _BAKED or not described or row.words <= line.tokens:
        return False
    own = [row for row in line.rows.pieces if row.unit in _ONE_BAKED and not row.apart]
    return any("/" not in row.text for row in own)  # "1 piece (1/12 of cake)"


_BAKED, _ONE_BAKED = "Baked Products", frozenset({"", "piece", "roll", "bun", "loaf"})
_ANY_BREAD = frozenset({"bread", "roll", "bun", "loaf"})


def _has_own_size(row: KindRow, size: str, line: WeighedLine) -> bool:
    """Whether the entry itself lists the size said, which a row of its kind lacks: "1 large dill pickle".

    What the line names more closely than the entry does keeps its row: "1 large plum tomato".
    """
    if not size or row.size == size or not row.words <= line.rows.words:
        return False
    return any(own.whole and own.size == size and not own.apart for own in line.rows.pieces)


def by_household_piece(amount: Amount, line: WeighedLine) -> Each | None:
    """One piece by the food's own measures: the unit said, else the whole piece."""
    if amount.measure is not None:
        rows = _of_unit(amount.measure, line)
        if rows:
            return of_size(rows, amount, line, certain=True)
        if amount.measure not in ("piece", "half", "quarter"):
            return None
    return _whole_piece(amount, line)


# Groups whose slices are the publisher's pieces: "1 piece (1/8 of 9" dia)" of a pie.
_SERVED_IN_PIECES = frozenset({"Baked Products", "Fast Foods", "Restaurant Foods"})


def _of_unit(unit: str, line: WeighedLine) -> tuple[Household, ...]:
    served = ("piece",) if unit == "slice" and line.food.group_name in _SERVED_IN_PIECES else ()
    for name in (unit, *line.tables.same_pieces.get(unit, ()), *served):
        if rows := tuple(row for row in line.rows.pieces if row.unit == name and not row.apart):
            return rows
    return ()


_SHARES = {"half": 0.5, "quarter": 0.25}
_WHOLES = frozenset({"bulb", "head"})


def _whole_piece(amount: Amount, line: WeighedLine) -> Each | None:
    rows = _whole_rows(line, amount.size)
    certain = bool(rows)
    if not rows and (rows := line.rows.counted()):
        certain = len({row.unit for row in line.rows.pieces}) == 1
        if whole := _whole_before_slicing(rows[0], amount, line):
            return whole
        if _leaves_out_its_measure(rows[0], line):
            return None
    if not rows and (portion := _portion_of_a_sister(amount, line)):
        return portion
    rows = rows or (line.rows.bars() if amount.measure is None else ())
    if not rows:
        return None
    each = of_size(rows, amount, line, certain=certain)
    if rows[0].unit == "fillet" and amount.measure is None:
        each = replace(each, high=each.high * _WHOLE_FISH)
    share = _SHARES.get(amount.measure or "", 1.0)
    return each.times(share, share, share) if share != 1 else each


# What is cut from a joint for one, and joints that rows are of.
_PORTIONS = frozenset({"chop", "steak", "slice", "cutlet", "medallion", "escalope"})
_JOINTS = frozenset({"roast", "bird", "rack", "ribs", "leg", "loin", "shoulder", "bone"})
# What a whole cut is called, of which a chop is a part.
_CUTS_OF_MEAT = frozenset({"loin", "saddle", "shoulder", "rump", "round", "chuck", "rack"})


def _is_other_piece(row: Household, line: WeighedLine) -> bool:
    """Whether a row is of a joint where the line counts chops of it, or of a chop where it counts the joint."""
    if line.tokens & _PORTIONS:
        return row.unit in _JOINTS and row.unit not in line.tokens
    bare = line.head in _CUTS_OF_MEAT and line.said.isdisjoint(_PORTIONS) and line.rows.words.isdisjoint(_PORTIONS)
    return bare and not _nouns(row).isdisjoint(_PORTIONS)


_NOUN = re.compile(r"[\d.]+ ([a-z ]+)")


def _nouns(row: Household) -> frozenset[str]:
    """The words by which a publisher counts a piece, before its first mark: "1 chop, excluding refuse"."""
    found = _NOUN.match(row.text)
    return frozenset(found[1].split()) if found else frozenset()


def _portion_of_a_sister(amount: Amount, line: WeighedLine) -> Each | None:
    """A chop of a cut of which the entry has a roast only, by the entry of the same cut without its bones."""
    for sister in line.sisters:
        households = line.tables.measures.households(sister)
        asked = line.tokens & _PORTIONS
        rows = tuple(row for row in households.pieces if not row.apart and not _nouns(row).isdisjoint(asked))
        if rows:
            others = (line.food, *(other for other in line.sisters if other is not sister))
            kin = replace(line, food=sister, rows=households, sisters=others)
            each = of_size(rows, amount, kin, certain=False)
            return replace(each, reasons=(*each.reasons, f"weighed as {sister.description}"))
    return None


# A fish that is only counted may be a whole one, of two fillets or of larger ones than the publisher's.
_WHOLE_FISH = 4.0
# Frying takes off up to a third of the weight (SR28 09446, 11359: water of fried and of raw).
_FRIED = 0.65


def _whole_before_slicing(row: Household, amount: Amount, line: WeighedLine) -> Each | None:
    """A counted fruit or vegetable is a whole one, though its cooked entry is measured in slices; tofu is a block."""
    group = line.food.group_name.lower()
    cut = row.unit == "slice" and ("fruit" in group or "vegetable" in group)
    block = row.unit in ("slice", "piece") and amount.measure is None and "tofu" in line.rows.words
    if "slice" in line.said or not (cut or block):
        return None
    whole = _piece_row(replace(amount, measure=None), line)
    return whole.times(1, _FRIED, 1) if whole and "fried" in line.rows.words else whole


_FATS = frozenset({"butter", "margarine", "shortening", "spread"})
_FORMED = frozenset({"patty", "patties", "burger", "burgers"})


def _leaves_out_its_measure(row: Household, line: WeighedLine) -> bool:
    """Whether a number counts what has no piece of its own: "1 butter" may be a packet, "2 ground turkey" pounds."""
    if row.unit == "stick":
        return not line.rows.words.isdisjoint(_FATS)
    return row.unit == "patty" and "ground" in line.rows.words and line.said.isdisjoint(_FORMED)


def _whole_rows(line: WeighedLine, size: str | None) -> tuple[Household, ...]:
    """The rows of one whole piece that the line's words fit best: those that name it, then those that give sizes.

    Where a size is said, rows of that size come before rows of none.
    """
    ranked: list[tuple[float, Household]] = []
    for row in line.rows.pieces:
        named = row.unit in line.tokens
        if row.apart or row.unit == "drink" or not (row.whole or named) or _is_other_piece(row, line):
            continue  # "1 drink, medium (22 fl oz)" is no can
        hits = len(row.marks & line.said)
        rank = 3.0 if named else 2.0 if row.unit else 2.5
        ranked.append((rank + (0.5 if row.size else 0.0) + 2 * hits - (len(row.marks) - hits), row))
    if not ranked:
        return ()
    best = max(rank for rank, _ in ranked)
    unit = next(row.unit for rank, row in ranked if rank == best)
    chosen = tuple(row for rank, row in ranked if row.unit == unit and rank >= best - 0.5)
    if size and not any(row.size for row in chosen):
        chosen = tuple(row for _, row in ranked if row.whole and row.size == size) or chosen
    if any(row.size in ("", "medium") for row in chosen):
        return chosen
    # only small and large ones: the row that gives no size is the ordinary piece
    return (*chosen, *(row for _, row in ranked if row.whole and not row.size))


def by_piece_default(amount: Amount, line: WeighedLine) -> Each | None:
    """What a piece of its kind usually weighs (tables/piece_weights.csv)."""
    return _piece_row(amount, line) or _named_piece(amount, line)


def _named_piece(amount: Amount, line: WeighedLine) -> Each | None:
    """A half or quarter of a default piece; a bulb or head of what has no row of its own is the whole piece."""
    one = replace(amount, measure=None)
    if amount.measure in _WHOLES:
        return by_first_default(one, line) or (_whole_piece(one, line) if _whole_rows(line, one.size) else None)
    share = _SHARES.get(amount.measure or "")
    if share is None:
        return None
    whole = _piece_row(one, line)
    return whole.times(share, share, share) if whole else None
