"""Amounts as a line states them: numbers, ranges, measures, packages.

    amount   = [ "about" ] range [ "x" ] [ size ] [ heap ] [ package-size ] [ measure ] [ "and a half" ] [ more ]
    range    = number [ ( "-" | "to" | "or" | "and" after "between" ) number ]
    number   = integer | integer fraction | integer "-" fraction | fraction | decimal | number-word ...
    package-size = range mass-or-volume | "(" range mass-or-volume ")"
    more     = ( "plus" | "+" | nothing ) range measure          "1 lb 4 oz", "1/4 cup plus 1 tablespoon"

Every function takes the items of a line and a place, and gives what it read with the place after it, or None.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from service.core.vocabulary import Token


@dataclass(frozen=True, slots=True)
class Amount:
    """How much a line asks for; both ends of a range are kept, equal for a plain number.

    measure   canonical name of a row of tables/measures.csv ("cup", "g", "can", "sprig"); None: by the piece
    size      "small", "medium", "large", ... (tables/words.csv), of the piece
    heap      "heaped", "scant", "level", "packed", ... of a spoon or cup
    package   what one `measure` holds: "2 x 400 g tins", "1 (14 oz) can"
    plus      a further addend: "1 lb 4 oz", "1/4 cup plus 1 tablespoon"
    also      the same quantity said another way: "170 g (6 oz)", "2 cups (8 oz)", "3 medium (680 g)"
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

    @property
    def middle(self) -> float:
        """The middle of the range, which is the one that counts."""
        return (self.low + self.high) / 2


# The items of a line: tokens, and a tuple of items for each bracket.
Items = Sequence[object]


@dataclass(frozen=True, slots=True)
class MeasureWords:
    """What the grammar needs to know of measures.

    kinds  canonical name -> "mass" | "volume" | "vague" | "package" | "piece"
    """

    kinds: Mapping[str, str]

    def kind(self, item: object) -> str:
        """The kind of measure of an item, "" where it is none."""
        return self.kinds.get(item.value, "") if isinstance(item, Token) and item.kind == "measure" else ""


WEIGHABLE = frozenset({"mass", "volume"})
HOLDERS = frozenset({"package", "piece"})


def _text(items: Items, at: int) -> str:
    item = items[at] if at < len(items) else None
    return item.text if isinstance(item, Token) else ""


def _kind(items: Items, at: int) -> str:
    item = items[at] if at < len(items) else None
    return item.kind if isinstance(item, Token) else ""


def parse_digits(text: str) -> float | None:
    """A number of digits: "3", "2.5", "1,5" (decimal comma), "1,000", "1/2"; None where it is none."""
    if "/" in text:
        top, bottom = text.split("/", 1)
        return int(top) / int(bottom) if int(bottom) else None
    if "," in text:
        head, _, tail = text.rpartition(",")
        thousands = len(tail) == 3 and head != "0" and "." not in tail
        text = text.replace(",", "") if thousands else text.replace(",", ".")
    try:
        return float(text) if text.count(".") < 2 and len(text) < 16 else None
    except ValueError:
        return None


def read_number(items: Items, at: int) -> tuple[float, int] | None:
    """One number at a place, a fraction after it included: "1 1/2", "1-1/2", "one and a half", "half a dozen"."""
    kind = _kind(items, at)
    if kind != "number":
        spelled = _kind(items, at + 1) == "number" and not _text(items, at + 1)[0].isdigit()
        return read_number(items, at + 1) if spelled and _text(items, at) in ("a", "an") else None
    text = _text(items, at)
    if not text[0].isdigit():
        return _word_number(items, at)
    value = parse_digits(text)
    if not value:  # "00 flour" states no amount
        return None
    after = at + 1
    if _text(items, after) == "dozen":
        return value * 12, after + 1
    if "/" not in text and value == int(value):
        jump = 1 if _text(items, after) in ("-", "&", "and") else 0
        fraction = _text(items, after + jump)
        if "/" in fraction and fraction[0].isdigit() and (part := parse_digits(fraction)) is not None and part < 1:
            return value + part, after + jump + 1
    return _and_a_half(items, after, value) if "/" not in text else (value, after)


def _word_number(items: Items, at: int) -> tuple[float, int] | None:
    item = items[at]
    assert isinstance(item, Token)
    value = parse_digits(item.value)
    if value is None:
        return None
    after = at + 1
    if value < 1:  # "half a", "half of a", "half dozen", "quarter of a"
        while _text(items, after) in ("a", "an", "of", "the"):
            after += 1
        if _text(items, after) == "dozen":
            return value * 12, after + 1
        return value, after
    following = _kind(items, after) == "number" and not _text(items, after)[0].isdigit()
    if following and isinstance(second := items[after], Token) and (times := parse_digits(second.value)) is not None:
        if times == 12 or times < 1:  # "two dozen", "two thirds"
            return value * times, after + 1
    return _and_a_half(items, after, value)


def _and_a_half(items: Items, at: int, value: float) -> tuple[float, int]:
    """ "... and a half", "... and a quarter" behind a number or a measure."""
    if _text(items, at) in ("and", "&"):
        after = at + 2 if _text(items, at + 1) in ("a", "one") else at + 1
        item = items[after] if after < len(items) else None
        if isinstance(item, Token) and item.kind == "number" and not item.text[0].isdigit():
            part = parse_digits(item.value)
            if part is not None and part < 1:
                return value + part, after + 1
    return value, at


def _twofold(item: object) -> bool:
    return isinstance(item, Token) and item.value == "2-2"


def read_range(items: Items, at: int) -> tuple[float, float, bool, int] | None:
    """(low, high, approximate, place after): "2-3", "1 to 2", "2 or 3", "between 200 and 250", "a few", "about 2"."""
    approximate = False
    while _kind(items, at) == "approximate" or _text(items, at) in ("~", "between"):
        approximate = approximate or _text(items, at) != "between"
        at += 1
    item = items[at] if at < len(items) else None
    if isinstance(item, Token) and item.text in ("a", "an", "another") and _kind(items, at + 1) == "vague number":
        at += 1
        item = items[at]
    if isinstance(item, Token) and item.kind == "vague number":
        low, _, high = item.value.partition("-")
        return float(low), float(high), True, at + 1
    first = read_number(items, at)
    if first is None:
        return None
    low_value, after = first
    if _kind(items, after) == "vague number" and _twofold(items[after]):
        return low_value * 2, low_value * 2, approximate, after + 1  # "1 brace", "2 pairs"
    if _text(items, after) in ("-", "to", "or", "and", "/") or _text(items, after) == "~":
        joiner = _text(items, after)
        second = read_number(items, after + 1)
        between = joiner != "and" or _text(items, at - 1) == "between"
        if second and between and second[0] > low_value and (joiner != "/" or "/" not in _text(items, at)):
            return low_value, second[0], approximate, second[1]
    return low_value, low_value, approximate, after


def read_amount(items: Items, at: int, words: MeasureWords) -> tuple[Amount, int] | None:
    """The amount at a place with everything that belongs to it, or None where no amount begins there."""
    start = at
    if _text(items, at) in ("a", "an"):
        after = _read_manner(items, at + 1)[2]
        at += after > at + 1 and read_range(items, after) is not None  # "a heaping 1/2 cup"
    heap, size, at = _read_manner(items, at)
    found = read_range(items, at)
    if found is None:
        found = _article(items, at, words, said=bool(heap or size))
    if found is None:
        return None
    low, high, approximate, at = found
    amount, at = _measured(items, at, Amount(low, high, approximate=approximate), words)
    if heap and not amount.heap:
        amount = replace(amount, heap=heap)
    if size and not amount.size:
        amount = replace(amount, size=size)
    return (amount, at) if at > start else None


def _article(
    items: Items, at: int, words: MeasureWords, *, said: bool = False
) -> tuple[float, float, bool, int] | None:
    """ "a cup", "a small bunch", "pinch", "thumb sized piece": one of a measure without a number."""
    after = at + 1 if _text(items, at) in ("a", "an", "one", "the") else at
    seek = after
    while _kind(items, seek) in ("size", "heap") or _text(items, seek) in ("good", "nice", "whole", "fresh", "very"):
        seek += 1
    measured = words.kind(items[seek]) if seek < len(items) else ""
    if measured == "mass" and after == at and _text(items, seek + 1) != "of":
        return None  # "gram flour"
    if measured and (after > at or measured != "piece" or seek > after or said or _text(items, seek + 1) == "of"):
        return 1.0, 1.0, False, after
    if after > at and seek < len(items):
        return 1.0, 1.0, False, after
    return None


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
        elif not ((item.text in _PASSED_OVER or item.kind == "preparation") and _manner_follows(items, at + 1)):
            return heap, size, at
        at += 1


_PASSED_OVER = frozenset({"-", "good", "nice", "whole", "very", "fresh", "of"})


def _manner_follows(items: Items, at: int) -> bool:
    return _kind(items, at) in ("size", "heap", "measure")


def _measured(items: Items, at: int, amount: Amount, words: MeasureWords) -> tuple[Amount, int]:
    """The amount with the measure, package size and addends that follow its number."""
    if _text(items, at) == "x" and read_range(items, at + 1):
        at += 1
    inner, after = _package_size(items, at, words)
    if inner is not None:
        amount, at = replace(amount, package=inner), after
    if _text(items, at) == "of" and _text(items, at + 1) in ("a", "an", "the") and _manner_follows(items, at + 2):
        at += 2  # "3/4 of a cup"
    heap, size, at = _read_manner(items, at)
    if heap or size:
        amount = replace(amount, heap=heap, size=size)
    kind = words.kind(items[at]) if at < len(items) else ""
    if not kind:
        return amount, at
    item = items[at]
    assert isinstance(item, Token)
    amount, at = replace(amount, measure=item.value), at + 1
    low, half = _and_a_half(items, at, amount.low)
    if half > at:
        amount, at = replace(amount, low=low, high=low), half
    if kind in WEIGHABLE and inner is not None:  # "3 (4-oz) cups": the cup is what it is sold in
        return replace(amount, measure="container"), at
    if kind in WEIGHABLE:
        return _after_weight(items, at, amount, words)
    return _after_holder(items, at, amount, kind, words)


def _package_size(items: Items, at: int, words: MeasureWords) -> tuple[Amount | None, int]:
    """ "400 g" of "2 x 400 g tins", "14-ounce" of "1 14-ounce can", "(14 oz)" of "1 (14 oz) can"."""
    item = items[at] if at < len(items) else None
    if isinstance(item, tuple):
        inner = read_amount(item, 0, words)
        if inner and inner[0].measure and words.kinds.get(inner[0].measure) in WEIGHABLE:
            return inner[0], at + 1
        return None, at
    found = read_range(items, at)
    if found is None:
        return None, at
    low, high, approximate, after = found
    if _text(items, after) == "-":
        after += 1
    if after < len(items) and words.kind(items[after]) in WEIGHABLE:
        measure = items[after]
        assert isinstance(measure, Token)
        return Amount(low, high, measure.value, approximate=approximate), after + 1
    return None, at


def _after_weight(items: Items, at: int, amount: Amount, words: MeasureWords) -> tuple[Amount, int]:
    """Behind a mass or volume: a package word ("400 g tin"), a further addend, the same said in another unit."""
    seek = at
    while _text(items, seek) in ("-", "of"):
        seek += 1
    if seek < len(items) and words.kind(items[seek]) == "package" and amount.package is None:
        holder = items[seek]
        assert isinstance(holder, Token)
        return Amount(1.0, 1.0, holder.value, package=amount), seek + 1
    if _text(items, at) in ("/", "|", "or") and (other := read_amount(items, at + 1, words)) and other[0].measure:
        if words.kinds.get(other[0].measure) in WEIGHABLE and not other[0].package:
            return replace(amount, also=other[0]), other[1]
    jump = at + 1 if _text(items, at) in ("plus", "+", "and", "&", ",") else at
    addend = read_range(items, jump)
    if addend and jump <= at + 1 and addend[3] < len(items) and words.kind(items[addend[3]]) in WEIGHABLE:
        measure = items[addend[3]]
        assert isinstance(measure, Token)
        if measure.value != amount.measure:
            joined = replace(amount, plus=Amount(addend[0], addend[1], measure.value))
            return _behind(items, addend[3] + 1, joined, words)
    return _behind(items, at, amount, words)


def _behind(items: Items, at: int, amount: Amount, words: MeasureWords) -> tuple[Amount, int]:
    """A bracket right behind a measure: the same quantity said another way."""
    item = items[at] if at < len(items) else None
    if isinstance(item, tuple) and (other := read_amount(item, 0, words)) and amount.also is None:
        if other[1] >= len(item) or _only_noise(item[other[1] :]):
            return replace(amount, also=other[0]), at + 1
    return amount, at


def _only_noise(items: Items) -> bool:
    return all(isinstance(item, Token) and item.kind in ("filler", "approximate", "mark") for item in items)


def _after_holder(items: Items, at: int, amount: Amount, kind: str, words: MeasureWords) -> tuple[Amount, int]:
    """Behind a package or a piece: its size in brackets, "1 can (13.5 oz)", "1 package, 8 oz"."""
    item = items[at] if at < len(items) else None
    if isinstance(item, tuple) and (inner := read_amount(item, 0, words)) and inner[0].measure:
        weighable = words.kinds.get(inner[0].measure) in WEIGHABLE
        if weighable and kind == "package" and amount.package is None:
            return replace(amount, package=replace(inner[0], also=None)), at + 1
        return replace(amount, also=inner[0]), at + 1
    if kind == "package" and amount.package is None and _text(items, at) == "-":
        inner_size, after = _package_size(items, at + 1, words)
        if inner_size is not None:
            return replace(amount, package=inner_size), after
    jump = at + 1 if _text(items, at) in ("plus", "+") else at
    if jump > at and (addend := read_amount(items, jump, words)) and addend[0].measure:
        return replace(amount, plus=addend[0]), addend[1]
    return amount, at
