"""Amounts as a line states them: numbers with their measures and packages.

    amount   = [ "about" ] range [ "x" ] [ size ] [ heap ] [ package-size ] [ measure ] [ "and a half" ] [ more ]
    range    = one number or two, see core/number
    package-size = range mass-or-volume [ same ] | "(" range mass-or-volume ")"
    same     = "/" range mass-or-volume ... | "(" range mass-or-volume ")"         "400 g/14 oz tin"
    packs    = range "-pack" [ "of" ] ( measure-each | package )   "a 6-pack of eggs", "a four-pack of 80 g tins"
    held     = range package "of" range mass-or-volume             "2 tins of 400 g"
    more     = ( "plus" | "+" | nothing ) range measure          "1 lb 4 oz", "1/4 cup plus 1 tablespoon"

Every function takes the items of a line and a place, and gives what it read with the place after it, or None.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise

from service.core.line_item import Items, is_number, is_of, kind_at, text_at, text_of
from service.core.number import (
    AND,
    BEFORE_NUMBER,
    RANGE_MARKS,
    and_a_half,
    and_share,
    parse_digits,
    read_number,
    read_range,
)
from service.core.values import quick
from service.core.vocabulary import Token


@quick
@dataclass(frozen=True, slots=True)
class Amount:
    """How much a line asks for; both ends of a range are kept, equal for a plain number.

    measure   canonical name of a row of tables/measures.csv ("cup", "g", "can", "sprig"); None: by the piece
    size      "small", "medium", "large", ... (tables/words.csv), of the piece
    heap      "heaped", "scant", "level", "packed", ... of a spoon or cup
    package   what one `measure` holds: "2 x 400 g tins", "1 (14 oz) can"
    plus      a further addend: "1 lb 4 oz", "1/4 cup plus 1 tablespoon"
    also      the same quantity said another way: "170 g (6 oz)", "2 cups (8 oz)", "3 medium (680 g)"
    less      what is taken off: "1 cup less 2 tablespoons"
    behind    said of packages in a bracket behind them, so that it may be of all: "2 bundles soba (200 g)"
    beside    its numbers stand side by side, so that nobody can say how they belong together: "10 20 g butter"
    """

    low: float
    high: float
    measure: str | None = None
    size: str | None = None
    heap: str | None = None
    approximate: bool = False
    package: Amount | None = None
    plus: Amount | None = None
    also: Amount | None = None
    less: Amount | None = None
    behind: bool = False
    beside: bool = False

    @property
    def combined(self) -> bool:
        """Whether further amounts hang on it."""
        return bool(self.package or self.plus or self.less or self.also)

    @property
    def middle(self) -> float:
        """The middle of the range, which is the one that counts."""
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class MeasureWords:
    """What the grammar needs to know of measures.

    kinds  canonical name -> "mass" | "volume" | "vague" | "package" | "piece"
    sizes  canonical name -> grams or millilitres of one
    """

    kinds: Mapping[str, str]
    sizes: Mapping[str, float]

    def holds_more(self, amount: Amount, other: Amount) -> bool:
        """Whether an amount is more of the same kind than another one: "1 cup" and "2 tbsp"."""
        if self.kinds.get(amount.measure or "", "") != self.kinds.get(other.measure or "", "?"):
            return False
        return amount.low * self.sizes[amount.measure or ""] > other.high * self.sizes[other.measure or ""]

    def may_equal(self, amount: Amount, other: Amount) -> bool:
        """Whether two measures may be of one quantity: of two masses or volumes neither is half as much again."""
        if self.kinds.get(amount.measure or "", "") != self.kinds.get(other.measure or "", ""):
            return True
        one, two = (said.low * self.sizes[said.measure or ""] for said in (amount, other))
        return 2 * max(one, two) < 3 * min(one, two)

    def kind(self, item: object) -> str:
        """The kind of measure of an item, "" where it is none."""
        return self.kinds.get(item.value, "") if isinstance(item, Token) and item.kind == "measure" else ""


def in_two_systems(amount: Amount, other: Amount) -> bool:
    """Whether one of two masses is in ounces or pounds and the other is not: "2 lb (900 g)"."""
    return (amount.measure in _OUNCES) != (other.measure in _OUNCES)


_OUNCES = frozenset({"oz", "lb"})
WEIGHABLE = frozenset({"mass", "volume"})
_MASS = frozenset({"mass"})
HOLDERS = frozenset({"package", "piece"})
LESS = frozenset({"less", "minus"})


# How many amounts may hang on one, each on the one before ("1 lb 4 oz", "1 cup plus 2 tbsp and 1 tsp (20 ml)"); looking
# further would double the time with every one.
MOST_FURTHER = 3


def read_amount(
    items: Items, at: int, words: MeasureWords, *, further: int = MOST_FURTHER
) -> tuple[Amount, int] | None:
    """The amount at a place with everything that belongs to it, or None where no amount begins there.

    `further` amounts may hang on it, each on the one before; below 0 none is read.
    """
    if further < 0:
        return None
    start = at
    if text_at(items, at) in ("a", "an"):
        after = _read_manner(items, at + 1)[2]
        # "a heaping 1/2 cup", "a 5 cm piece"
        at += (after > at + 1 and read_range(items, after) is not None) or _measures_length(items, at + 1)
    heap, size, at = _read_manner(items, at)
    found = _count_by_size(items, at, words) or read_range(items, at)
    if found is None:
        found = _article(items, at, words, said=bool(heap or size)) or _about_one(items, at, words)
    if found is None:
        return None
    amount, at = _measured(items, found, words, further)
    if heap and not amount.heap:
        amount = replace(amount, heap=heap)
    if size and not amount.size:
        amount = replace(amount, size=size)
    return (amount, at) if at > start else None


# From this ratio on two numbers before a package are its count and its size, and no range.
_FAR_APART = 3
_FAR_LONGER = 6  # of lengths: "1-3 inch piece" is a range, "1-9 inch crust" is none
_FEW = 4  # packages that are counted so in the plural: "2-5 oz cans"


def _count_by_size(items: Items, at: int, words: MeasureWords) -> tuple[float, float, bool, int] | None:
    """The count of "2-15 oz cans", "1-1 lb can", "1-9 inch pie shell"; none of "10-12 oz package", a range."""
    jump = at + 1 if text_at(items, at + 1) == "-" else 0
    if not jump or kind_at(items, at) != "number" or kind_at(items, jump + 1) != "number":
        return None
    count, size = parse_digits(text_at(items, at)), parse_digits(text_at(items, jump + 1))
    if not count or not size or count != int(count) or size < count:
        return None
    unit = jump + 2 + (text_at(items, jump + 2) == "-")
    if unit >= len(items) or not isinstance(measure := items[unit], Token) or measure.kind != "measure":
        return None
    apart = size == count or size >= _FAR_APART * count
    if measure.value in LENGTHS:
        return (count, count, False, jump + 1) if size >= _FAR_LONGER * count else None
    holder = items[unit + 1] if unit + 1 < len(items) and words.kind(measure) in WEIGHABLE else None
    held = isinstance(holder, Token) and words.kind(holder) == "package"
    counted = held and isinstance(holder, Token) and holder.several and 1 < count <= _FEW
    return (count, count, False, jump + 1) if held and (apart or counted) else None


# Measures of length in centimetres (NIST Handbook 44 Appendix C).
CENTIMETRES = {"cm": 1.0, "inch": 2.54}
LENGTHS = CENTIMETRES.keys()


def _measures_length(items: Items, at: int) -> bool:
    """Whether a number and a measure of length stand at a place."""
    found = read_range(items, at)
    if found is None:
        return False
    after = found[3] + (text_at(items, found[3]) == "-")
    return kind_at(items, after) == "measure" and items[after].value in LENGTHS  # type: ignore[attr-defined]


_PRAISE = frozenset({"good", "nice", "whole", "fresh", "very"})


def _article(
    items: Items, at: int, words: MeasureWords, *, said: bool = False
) -> tuple[float, float, bool, int] | None:
    """ "a cup", "a small bunch", "pinch", "thumb sized piece": one of a measure without a number."""
    after = at + 1 if text_at(items, at) in ("a", "an", "one", "the") else at
    seek = after
    while kind_at(items, seek) in ("size", "heap") or text_at(items, seek) in _PRAISE:
        seek += 1
    unit = items[seek] if seek < len(items) else None
    if isinstance(unit, Token) and unit.several and after == at:
        return None  # "sprigs of thyme" states no amount
    measured = words.kind(unit)
    if after == at and measured in ("vague", "volume") and kind_at(items, seek + 1) == "number":
        return None  # "crack 2 eggs": a verb
    if measured == "mass" and after == at and not is_of(items, seek + 1):
        return None  # "gram flour"
    shaped = not {"size", "sized"}.isdisjoint(text_at(items, seek).split())  # "tamarind, lemon sized ball"
    if measured and (after > at or measured != "piece" or seek > after or said or shaped or is_of(items, seek + 1)):
        return 1.0, 1.0, False, after
    if after > at and seek < len(items) and text_at(items, at) != "the":  # "the juice of half a lemon", "the butter"
        return 1.0, 1.0, False, after
    return None


def _about_one(items: Items, at: int, words: MeasureWords) -> tuple[float, float, bool, int] | None:
    """ "about a cup", "just over a litre"."""
    start = at
    while kind_at(items, at) == "approximate":
        at += 1
    found = _article(items, at, words) if at > start and text_at(items, at) in ("a", "an") else None
    return None if found is None else (found[0], found[1], True, found[3])


def _read_manner(items: Items, at: int) -> tuple[str | None, str | None, int]:
    """(heap, size, place after) of words before or between number and measure."""
    heap: str | None = None
    size: str | None = None
    while True:
        item = items[at] if at < len(items) else None
        if not isinstance(item, Token):
            return heap, size, at
        if item.kind == "heap":
            heap = item.value or heap
        elif item.kind == "size":
            size = item.value
        elif item.text in THICKNESS and text_at(items, at + 1) in CUT_SO and _manner_follows(items, at + 2):
            size, at = size or THICKNESS[item.text], at + 1  # "4 thick-cut slices"
        elif not ((item.text in _PASSED_OVER or item.kind == "preparation") and _manner_follows(items, at + 1)):
            return heap, size, at
        else:
            size = size or THICKNESS.get(item.text)
        at += 1


# A thick slice is a large one.
THICKNESS = {"thick": "large", "thickly": "large", "thin": "small", "thinly": "small"}
CUT_SO = frozenset({"cut", "sliced"})
_PASSED_OVER = frozenset({"-", "good", "nice", "whole", "very", "fresh", "of", "wide", "broad", "long", "narrow"})


def _manner_follows(items: Items, at: int) -> bool:
    if text_at(items, at) == "rib" and text_at(items, at - 1) in ("bone in", "bone on"):
        return False  # "1 bone-in rib steak": a cut of meat, no stalk of celery
    return kind_at(items, at) in ("size", "heap", "measure")


def _measured(
    items: Items, counted: tuple[float, float, bool, int], words: MeasureWords, further: int
) -> tuple[Amount, int]:
    """The amount of a range with the measure, package size and addends that follow it."""
    low, high, approximate, at = counted
    first = items[at] if at < len(items) else None
    if isinstance(first, Token) and words.kind(first) and first.text not in _PACKS:
        return _in_measure(items, at, Amount(low, high, first.value, approximate=approximate), words, further)
    if _ends_amount(first):
        return Amount(low, high, approximate=approximate), at
    if (pack := _packs_of(items, counted) or _pack_of(items, counted)) is not None:
        return _of_pack(items, pack, words, further)
    if text_at(items, at) == "x" and read_range(items, at + 1):
        at += 1
    if text_at(items, at) == "-" and at + 1 < len(items) and words.kind(items[at + 1]) in WEIGHABLE:
        at += 1  # "5-pound"
    if text_at(items, at) == "#":
        return Amount(low, high, "lb", approximate=approximate), at + 1  # "2# potatoes"
    of_one = is_of(items, at) and text_at(items, at + 1) in ("a", "an", "one")
    holder = items[at + 1] if at + 1 < len(items) else None
    if isinstance(holder, Token) and words.kind(holder) == "package" and (held := _held_count(items, at)):
        return Amount(low, high, holder.value, approximate=approximate, package=held), at + 2  # "1 (8 ct) tube"
    if (second := _second_number(items, counted, words, further)) is not None:
        return second
    inner, after = _package_size(items, at + 2 if of_one else at, words, further)  # "2/3 of a 15-oz can"
    if inner is not None and inner.approximate and isinstance(items[at], tuple) and kind_at(items, after) != "measure":
        return Amount(low, high, approximate=approximate, also=inner), after  # "6 (about 2 lb) potatoes": all of them
    bracketed, beside = inner is not None and isinstance(items[at], tuple), False
    if inner is not None:
        beside, inner = _stands_beside(items, at, counted, inner), _of_one(items[at], inner, Amount(low, high))
        at = _past_same(items, after, inner, words)
    if text_at(items, at) == "of" and text_at(items, at + 1) in ("a", "an", "the") and _manner_follows(items, at + 2):
        at += 2  # "3/4 of a cup"
    heap, size, at = _read_manner(items, at)
    at += low == high < 1 and text_at(items, at) == "a" and kind_at(items, at + 1) == "measure"  # "1/2 a cup"
    item = items[at] if at < len(items) else None
    if not words.kind(item) or not isinstance(item, Token):
        return Amount(low, high, None, size, heap, approximate, inner, beside=beside and not _several(item)), at
    amount = Amount(low, high, item.value, size, heap, approximate, inner)
    return _in_measure(items, at, amount, words, further, bracketed=bracketed)


def _stands_beside(items: Items, at: int, counted: tuple[float, float, bool, int], inner: Amount) -> bool:
    """Whether a size follows a count that is no word's with nothing between them, and is near it: "10 20 g"."""
    low, high, _, end = counted
    near = 1 < low == high and inner.low < _RANGES_TO * low
    return near and at == end and is_number(items[at]) and _opens(items, at - 1)


def _opens(items: Items, at: int) -> bool:
    """Whether a number is of no word before it: not of "flour type 55 200 g"."""
    return at < 1 or not (isinstance(items[at - 1], Token) and kind_at(items, at - 1) == "word")


def _several(item: object) -> bool:
    """Whether an item is a noun in the plural."""
    return isinstance(item, Token) and item.kind == "word" and item.text != item.key


# Fewer packages than these are counted, "10 20 g packets".
_MANY = 13
# A second number so many times the first is its size, "2 8 oz salmon"; a nearer one may end a range.
_RANGES_TO = 4
_SPOONED = frozenset({"cup", "tbsp", "tsp"})
_ADDED = frozenset({"plus", "+"})


def _second_number(
    items: Items, counted: tuple[float, float, bool, int], words: MeasureWords, further: int
) -> tuple[Amount, int] | None:
    """ "100 + 150 g": a sum. "2 3 tbsp honey", "100 150 g feta": a range that lost its dash.

    None for "2 400 g tins", "15 30 g meatballs": so many of a size.
    """
    low, high, approximate, at = counted
    added = text_at(items, at) in _ADDED
    found = read_range(items, at + added) if low == high else None
    if found is None or found[0] != found[1]:
        return None
    unit, holder = (items[place] if place < len(items) else None for place in (found[3], found[3] + 1))
    if not isinstance(unit, Token) or words.kind(unit) not in WEIGHABLE or words.kind(holder) in HOLDERS:
        return None
    if added:
        whole = Amount(low + found[0], low + found[0], unit.value, approximate=approximate)
        return _in_measure(items, found[3], whole, words, further)
    if not _opens(items, at - 1) or not is_number(items[at]) or not low <= found[0] <= _RANGES_TO * low:
        return None
    if unit.value not in _SPOONED and (low < _MANY or _several(holder)):
        return None
    return Amount(low, found[0], unit.value, approximate=approximate, beside=True), found[3] + 1


_PACKS = frozenset({"pack", "packs"})
# Words before which an amount has ended, but for those that may go on with it.
_BEHIND_AMOUNT = frozenset({"word", "state"})
_GOING_ON = BEFORE_NUMBER | RANGE_MARKS | _PASSED_OVER | _PACKS | LESS | {"x", "#", "|", "plus", "+", "&", ","}


def _ends_amount(item: object) -> bool:
    """Whether nothing that follows belongs to an amount: it stands last, or before a food's name."""
    if item is None:
        return True
    return isinstance(item, Token) and item.kind in _BEHIND_AMOUNT and item.text not in _GOING_ON


def _in_measure(
    items: Items, at: int, amount: Amount, words: MeasureWords, further: int, *, bracketed: bool = False
) -> tuple[Amount, int]:
    """The amount whose measure stands at a place, with what follows; `bracketed`: what one holds is in a bracket."""
    low, high, behind = _with_share(items, at + 1, amount.low, amount.high)
    if behind > at + 1:
        amount = replace(amount, low=low, high=high)
    kind, inner = words.kind(items[at]), amount.package
    if kind not in WEIGHABLE:
        return _after_holder(items, behind, amount, kind, words, further)
    if inner is not None and bracketed and _is_of_all(inner, low, high):
        amount = replace(amount, package=None, also=inner)
    elif inner is not None:  # "3 (4-oz) cups": the cup is what it is sold in
        return replace(amount, measure="container"), behind
    amount, behind = _up_to(items, behind, amount, words)
    if _ends_amount(items[behind] if behind < len(items) else None):
        return amount, behind
    return _after_weight(items, behind, amount, words, further)


# So many times as much no range ends in.
_LONGEST_RANGE = 12


def _up_to(items: Items, at: int, amount: Amount, words: MeasureWords) -> tuple[Amount, int]:
    """An amount with the end of its range, which is in another measure: "500 g - 1 kg", "1 tsp to 1 tbsp"."""
    end = read_range(items, at + 1) if text_at(items, at) in ("-", "to") else None
    unit = items[end[3]] if end is not None and end[3] < len(items) else None
    if end is None or not isinstance(unit, Token) or unit.value == amount.measure:
        return amount, at
    if not words.kind(unit) or words.kind(unit) != words.kinds.get(amount.measure or ""):
        return amount, at
    high = end[1] * words.sizes[unit.value] / words.sizes[amount.measure or ""]
    if not amount.high < high <= _LONGEST_RANGE * amount.low:
        return amount, at
    return replace(amount, high=high), end[3] + 1


def _with_share(items: Items, at: int, low: float, high: float) -> tuple[float, float, int]:
    """A number with what is added to it behind its measure: "1 cup and a half", "1 cup and 1/2"."""
    if text_at(items, at) not in AND:
        return low, high, at
    more, half = and_a_half(items, at, low)
    if half == at and (share := and_share(items, at)):
        more, half = low + share, at + 2
    return (more, more, half) if half > at else (low, high, at)


def _is_of_all(inner: Amount, low: float, high: float) -> bool:
    """Whether grams or millilitres before a cup or spoon say it again, of all of them: "4 1/2 (650 g) cups"."""
    return inner.measure in _METRIC and not low == high == 1


def _packs_of(items: Items, counted: tuple[float, float, bool, int]) -> tuple[Amount, int] | None:
    """ "2 x 6-pack muffins", "a 6-pack of muffins": the pieces of so many packs."""
    low, high, _, at = counted
    times = read_range(items, at + (text_at(items, at) == "x"))
    pack = _pack_of(items, times) if times else None
    return None if pack is None else (_times(pack[0], Amount(low, high)), pack[1])


def _pack_of(items: Items, counted: tuple[float, float, bool, int]) -> tuple[Amount, int] | None:
    """ "a 6-pack of muffins", "8 pack of sausages": so many pieces; "2 pack noodles" may be two packs."""
    low, high, approximate, at = counted
    joined = text_at(items, at) == "-"
    place = at + joined
    said = joined or is_of(items, place + 1)
    if text_at(items, place) not in _PACKS or low != high or low < _LEAST_PACK or not said:
        return None
    return Amount(low, high, approximate=approximate), place + 1 + is_of(items, place + 1)


def _of_pack(items: Items, pack: tuple[Amount, int], words: MeasureWords, further: int) -> tuple[Amount, int]:
    """The pieces of a pack with the weight of each: "a four-pack of 80 g tins", "a 6-pack of 125 g yogurts"."""
    pieces, at = pack
    held = read_amount(items, at, words, further=further - 1) if kind_at(items, at) == "number" else None
    kind = words.kinds.get(held[0].measure or "") if held is not None else None
    if held is None or kind not in WEIGHABLE | {"package"} or held[0].low != held[0].high:
        return pack
    if kind == "package":
        return _times(held[0], pieces), held[1]
    return replace(pieces, package=held[0]), held[1]


def _times(amount: Amount, count: Amount) -> Amount:
    """An amount so many times as another one counts."""
    return replace(amount, low=amount.low * count.low, high=amount.high * count.high)


_LEAST_PACK = 4
_COUNTS = frozenset({"ct", "count", "pack", "pk", "pc", "pcs", "piece", "pieces"})


def _held_count(items: Items, at: int) -> Amount | None:
    """How many pieces a package holds by its bracket: "(8 ct)", "(6 count)"."""
    item = items[at] if at < len(items) else None
    said = [one for one in item if text_of(one) not in ("-", ".")] if isinstance(item, tuple) else []
    if len(said) != 2 or not is_number(said[0]) or text_of(said[1]) not in _COUNTS:
        return None
    count = parse_digits(text_of(said[0])) if text_of(said[0])[0].isdigit() else None
    return Amount(count, count) if count else None


def _package_size(items: Items, at: int, words: MeasureWords, further: int) -> tuple[Amount | None, int]:
    """ "400 g" of "2 x 400 g tins", "14-ounce" of "1 14-ounce can", "(14 oz)" of "1 (14 oz) can"."""
    item = items[at] if at < len(items) else None
    if isinstance(item, tuple):
        inner = _trade_size(item) or read_amount(item, 0, words, further=further - 1)
        if inner and inner[0].high and words.kinds.get(inner[0].measure or "") in WEIGHABLE:
            return inner[0], at + 1
        return None, at
    found = read_range(items, at)
    if found is None:
        return None, at
    low, high, approximate, after = found
    if text_at(items, after) == "-":
        after += 1
    if after < len(items) and words.kind(items[after]) in WEIGHABLE:
        measure = items[after]
        assert isinstance(measure, Token)
        size = Amount(low, high, measure.value, approximate=approximate)
        return size, _past_same(items, after + 1, size, words)
    return None, at


def _past_same(items: Items, at: int, size: Amount, words: MeasureWords) -> int:
    """The place behind a size said again in other units: "400 g/14 oz tin", "400 g (14 oz) tin"."""
    item = items[at] if at < len(items) else None
    if isinstance(item, tuple):
        # the package first: brackets within brackets are not read once more at each depth
        held = at + 1 < len(items) and words.kind(items[at + 1]) == "package"
        inner = read_amount(item, 0, words, further=1) if held else None
        weighed = inner is not None and inner[1] >= len(item) and words.kinds.get(inner[0].measure or "") in WEIGHABLE
        same = weighed and inner is not None and words.may_equal(size, inner[0])
        return at + 1 if same else at
    place = at
    while text_at(items, at) in ("/", "|"):
        found = read_range(items, place + (text_at(items, place) in ("/", "|")))
        if found is None or found[3] >= len(items) or words.kind(items[found[3]]) not in WEIGHABLE:
            break
        place = found[3] + 1
    return place


def _after_weight(items: Items, at: int, amount: Amount, words: MeasureWords, further: int) -> tuple[Amount, int]:
    """Behind a mass or volume: a package word ("400 g tin"), a further addend, the same said in another unit."""
    amount, at = _to_further(items, at, amount)
    seek = _past_same(items, at, amount, words)
    while text_at(items, seek) in ("-", "of"):
        seek += 1
    if seek < len(items) and words.kind(items[seek]) == "package" and amount.package is None:
        holder = items[seek]
        assert isinstance(holder, Token)
        return Amount(1.0, 1.0, holder.value, package=amount), seek + 1
    if (packages := _times_packages(items, at, amount, words)) is not None:
        return packages
    beside = text_at(items, at) in ("/", "|", "or")
    if beside and (other := read_amount(items, at + 1, words, further=further - 1)) and other[0].measure:
        if words.kinds.get(other[0].measure) in WEIGHABLE and not other[0].package:
            return replace(amount, also=other[0]), other[1]
    less = read_amount(items, at + 1, words, further=further - 1) if text_at(items, at) in LESS else None
    if less is not None and words.holds_more(amount, less[0]):
        return replace(amount, less=less[0]), less[1]  # "1 cup less 2 tbsp"
    jump = at + 1 if text_at(items, at) in ("plus", "+", "and", "&", ",") else at
    if jump > at and (more := read_amount(items, jump, words, further=further - 1)):
        if words.kinds.get(more[0].measure or "") == "vague":
            return replace(amount, plus=more[0]), more[1]  # "1/4 tsp plus a pinch"
    addend = read_range(items, jump) if further > 0 else None
    if addend and jump <= at + 1 and addend[3] < len(items) and words.kind(items[addend[3]]) in WEIGHABLE:
        measure = items[addend[3]]
        assert isinstance(measure, Token)
        added = jump > at and text_at(items, at) != ","
        if measure.value != amount.measure or (added and text_at(items, at) in ("plus", "+")):
            stated = Amount(addend[0], addend[1], measure.value)
            more_of_it, at = _after_weight(items, addend[3] + 1, stated, words, further - 1)
            if not added and not _adds_up(amount, stated, words):
                return _behind(items, at, replace(amount, also=replace(more_of_it, also=None)), words, further)
            joined = _behind(items, at, replace(amount, plus=replace(more_of_it, also=None)), words, further)
            whole = more_of_it.also or joined[0].also
            if whole is None or not (words.kinds.get(whole.measure or "") == "mass" or whole.measure in _METRIC):
                return replace(joined[0], also=whole), joined[1]
            return replace(whole, also=replace(joined[0], also=None)), joined[1]  # "1 cup plus 2 tbsp (126 g)"
    return _behind(items, at, amount, words, further)


def _to_further(items: Items, at: int, amount: Amount) -> tuple[Amount, int]:
    """The upper end of a range that repeats its measure: "30 g to 70 g", "between 1 cup and 2 cups"."""
    joiner = text_at(items, at)
    between = joiner == "and" and any(text_at(items, place) == "between" for place in range(max(0, at - 6), at))
    if joiner not in ("-", "to", "or") and not between:
        return amount, at
    found = read_number(items, at + 1)
    if found is None or found[0] <= amount.high or kind_at(items, found[1]) != "measure":
        return amount, at
    measure = items[found[1]]
    same = isinstance(measure, Token) and measure.value == amount.measure
    return (replace(amount, high=found[0]), found[1] + 1) if same else (amount, at)


def _times_packages(items: Items, at: int, amount: Amount, words: MeasureWords) -> tuple[Amount, int] | None:
    """ "400 g x 2 tins": a size before the number of packages that hold it."""
    times = read_number(items, at + 1) if text_at(items, at) == "x" and amount.package is None else None
    holder = items[times[1]] if times is not None and times[1] < len(items) else None
    if times is None or not isinstance(holder, Token) or words.kind(holder) != "package":
        return None
    return Amount(times[0], times[0], holder.value, package=amount), times[1] + 1


def _adds_up(amount: Amount, further: Amount, words: MeasureWords) -> bool:
    """Whether two measures side by side are parts of one amount: "1 lb 4 oz", but not "1 cup 200 g", "1 quart 4 cups".

    A part is less than one of the unit before it, in the same system.
    """
    same_system = (amount.measure in _METRIC) == (further.measure in _METRIC)
    return same_system and words.holds_more(replace(amount, low=1.0), further)


_METRIC = frozenset({"g", "kg", "mg", "ml", "cl", "dl", "l"})


def _behind(items: Items, at: int, amount: Amount, words: MeasureWords, further: int) -> tuple[Amount, int]:
    """A bracket right behind a measure: the same quantity said another way."""
    item = items[at] if at < len(items) else None
    other = read_amount(item, 0, words, further=further - 1) if isinstance(item, tuple) else None
    if isinstance(item, tuple) and other and amount.also is None:
        if other[1] >= len(item) or _only_noise(item[other[1] :]):
            return _and_more(items, at + 1, replace(amount, also=other[0]), words, further)
    return amount, at


def _and_more(items: Items, at: int, amount: Amount, words: MeasureWords, further: int) -> tuple[Amount, int]:
    """What is added behind an amount with its bracket: "1 cup (112 g) plus 2 tbsp (14 g)"."""
    more = read_amount(items, at + 1, words, further=further - 1) if text_at(items, at) in ("plus", "+") else None
    if more is None or amount.plus or words.kinds.get(more[0].measure or "") not in WEIGHABLE:
        return amount, at
    return replace(amount, plus=more[0]), more[1]


def _says_more(item: object) -> bool:
    return is_number(item) or (isinstance(item, Token) and item.text == "drained")


def _only_noise(items: Items) -> bool:
    return all(isinstance(item, Token) and item.kind in ("filler", "approximate", "mark") for item in items)


def _trade_size(bracket: Items) -> tuple[Amount, int] | None:
    """A size that cans are called by, alone in a bracket: "1 (No. 2) can"."""
    first = bracket[0] if len(bracket) == 1 else None
    if not isinstance(first, Token) or first.kind != "measure" or not first.value.startswith("no. "):
        return None
    return Amount(1.0, 1.0, first.value), 1


def _in_bracket(bracket: Items, words: MeasureWords, further: int) -> tuple[Amount, int] | None:
    """What a bracket behind a package or piece states; alone, a trade size is one: "1 can (No. 2)"."""
    if len(bracket) == 1 and words.kind(bracket[0]) == "mass":
        return Amount(1.0, 1.0, bracket[0].value), 1  # type: ignore[attr-defined]
    return read_amount(bracket, 0, words, further=further - 1)


def _held_behind(
    items: Items, at: int, amount: Amount, kind: str, words: MeasureWords, further: int
) -> tuple[Amount, int] | None:
    """What each package or piece holds or weighs, said behind "of": "2 packs of 6 eggs", "2 tins of 400 g"."""
    if amount.package is not None or kind not in HOLDERS or kind_at(items, at) != "number":
        return None
    held = read_amount(items, at, words, further=further - 1)
    if held is None:
        return None
    of_what = words.kinds.get(held[0].measure or "", "piece")
    if of_what == "piece":
        return (_times(held[0], amount), held[1]) if kind == "package" else None
    sized = of_what in (WEIGHABLE if kind == "package" else _MASS)  # "2 fillets of 150 g", but not "of 2 tbsp"
    return (replace(amount, package=held[0]), held[1]) if sized and held[0].package is None else None


def _weighs_behind(bracket: Items, first: tuple[Amount, int], words: MeasureWords) -> bool:
    """Whether a bracket that begins with a volume states a weight behind it."""
    if words.kinds.get(first[0].measure or "") != "volume" or first[0].also is not None:
        return False
    return any(is_number(one) and words.kind(two) == "mass" for one, two in pairwise(bracket[first[1] :]))


_EACH = frozenset({"each", "apiece"})


def _after_holder(
    items: Items, at: int, amount: Amount, kind: str, words: MeasureWords, further: int
) -> tuple[Amount, int]:
    """Behind a package or a piece: its size in brackets, "1 can (13.5 oz)", "1 package, 8 oz"."""
    if is_of(items, at) and (held := _held_behind(items, at + 1, amount, kind, words, further)):
        return held
    item = items[at] if at < len(items) else None
    if kind == "package" and amount.package is None and (pieces := _held_count(items, at)):
        return replace(amount, package=pieces), at + 1  # "1 pkg (8 count)"
    told = _bracket_behind(item, amount, kind, words, further) if isinstance(item, tuple) else None
    if told is not None:
        return told, at + (told is not amount)
    if kind == "package" and amount.package is None and not isinstance(item, tuple):  # "1 tin 400 g chickpeas"
        inner_size, after = _package_size(items, at + (text_at(items, at) == "-"), words, further)
        if inner_size is not None:
            return replace(amount, package=inner_size), after
    joiners = ("plus", "+", "and", "&") if amount.measure == "stick" else ("plus", "+")
    jump = at + 1 if text_at(items, at) in joiners else at
    if jump > at and (addend := read_amount(items, jump, words, further=further - 1)) and addend[0].measure:
        return replace(amount, plus=addend[0]), addend[1]
    return amount, at


def _of_one(bracket: object, held: Amount, counted: Amount) -> Amount:
    """What each of several packages holds, where their bracket says what all do: "2 packages (16 oz total)"."""
    said = [text_of(one) for one in bracket] if isinstance(bracket, tuple) else []
    if counted.low != counted.high or counted.low <= 1 or (_OF_ALL.isdisjoint(said) and said[-1:] != ["all"]):
        return held
    return replace(held, low=held.low / counted.low, high=held.high / counted.low)


_OF_ALL = frozenset({"total", "altogether", "together"})


def _bracket_behind(bracket: Items, amount: Amount, kind: str, words: MeasureWords, further: int) -> Amount | None:
    """The amount with what a bracket behind its package or piece holds; itself where that is said of the food."""
    found = _in_bracket(bracket, words, further)
    if found is None:
        return None
    inner, end = found
    weighable = words.kinds.get(inner.measure or "") in WEIGHABLE
    if _weighs_behind(bracket, found, words):
        return amount  # "1 head (6 cups florets, 600 g)" says more than the volume
    if kind == "package" and any(map(_says_more, bracket[end:])):
        return amount  # "1 tin (400 g, 235 g drained)" says more than the tin holds
    if kind == "package" and inner.measure is None and inner.package is not None:
        return replace(_times(inner, amount), measure=amount.measure)  # "2 packs (4 x 125 g)"
    if inner.measure is None:
        return None
    if weighable and kind == "package" and amount.package is None:
        size = _of_one(bracket, inner, amount)
        return replace(amount, package=replace(size, also=None, behind=size is inner))
    if kind == "package" and inner.package is not None and words.kinds.get(inner.measure) == "package":
        return _times(inner, amount)  # "2 boxes (3 sleeves of 5 oz each)"
    if amount.measure in LENGTHS and words.kinds.get(inner.measure) == "mass":
        return amount  # "2 chops, 1/2 inch (150 g each)": the weight is of the chops
    if weighable and not _EACH.isdisjoint(map(text_of, bracket[end:])):
        return replace(amount, also=_times(inner, amount))  # "2 heads (4 oz each) endive"
    return replace(amount, also=inner)
