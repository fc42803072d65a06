"""Numbers as people write them, and ranges of them.

    range    = [ "about" ] number [ ( "-" | "to" | "or" | "up to" | ... | "and" after "between" ) number ]
    number   = integer | integer fraction | integer "-" fraction | fraction | decimal | words [ "and a half" ]
    words    = [ number-word ] ( "hundred" | "thousand" ) [ [ "and" ] words ] | tens units | number-word

Every function takes the items of a line and a place, and gives what it read with the place after it, or None.
"""

from __future__ import annotations

import re
from math import gcd

from service.core.line_item import Items, is_of, kind_at, text_at
from service.core.text import singular
from service.core.vocabulary import Token

# Nobody states an amount of so many characters, and the quotient of longer ones may be no float.
_LONGEST_NUMBER = 16


def parse_digits(text: str) -> float | None:
    """A number of digits: "3", "2.5", "1,5" (decimal comma), "1,000", "1/2"; None where it is none."""
    if "/" in text:
        top, bottom = text.split("/", 1)
        if len(top) == 2 and bottom in _HALVES and 0 < int(top[1]) < int(bottom):
            return int(top[0]) + int(top[1]) / int(bottom)  # "11/2 cups" lacks its space
        return int(top) / int(bottom) if len(text) < _LONGEST_NUMBER and int(bottom) else None
    if "," in text:
        head, _, tail = text.rpartition(",")
        thousands = len(tail) == 3 and head != "0" and "." not in tail
        text = text.replace(",", "") if thousands else text.replace(",", ".")
    try:
        return float(text) if text.count(".") < 2 and len(text) < _LONGEST_NUMBER else None
    except ValueError:
        return None


_HALVES = frozenset({"2", "3", "4", "8"})
_SHARES = frozenset({"half", "quarter"})
# Of the words for shares those that are verbs before a number, of which all is used.
_PARTING = frozenset({"halve", "quarter"})
_DOZEN = frozenset({"dozen", "doz", "dz"})
_GROSS = 144


def read_number(items: Items, at: int) -> tuple[float, int] | None:
    """One number at a place, a fraction after it included: "1 1/2", "1-1/2", "one and a half", "half a dozen"."""
    kind = kind_at(items, at)
    if kind != "number":
        spelled = kind_at(items, at + 1) == "number" and not text_at(items, at + 1)[0].isdigit()
        return read_number(items, at + 1) if spelled and text_at(items, at) in ("a", "an") else None
    text = text_at(items, at)
    if not text[0].isdigit():
        return _word_number(items, at)
    value = parse_digits(text)
    if not value:
        return (0.0, at + 1) if _is_none(items, at) else None
    after = at + 1
    following = text_at(items, after)
    if following in _DOZEN:
        return value * 12, after + 1
    if following == "gross" and _counts_several(items, after + 1):
        return value * _GROSS, after + 1
    if "/" in text:
        return value, after
    dash = following == "-" and value == 1 and text_at(items, after + 1) == "half"  # "1 half-stick of butter"
    if (following in _SHARES or dash) and 0 < (share := _spelled(items, after + dash)) < 1:
        dozen = 12 if text_at(items, after + dash + 1) in _DOZEN else 1  # "1 half dozen"
        return value * share * dozen, after + dash + 1 + (dozen > 1)  # "1 half red onion"
    if value == int(value):
        jump = 1 if following in ("-", "&", "and") else 0
        fraction = text_at(items, after + jump) if jump else following
        if "/" in fraction and fraction[0].isdigit() and (part := parse_digits(fraction)) is not None and part < 1:
            dozen = text_at(items, after + jump + 1) in _DOZEN  # "2 1/2 dozen"
            return (value + part) * (12 if dozen else 1), after + jump + 1 + dozen
    return and_a_half(items, after, value)


def _counts_several(items: Items, at: int) -> bool:
    """Whether a noun in the plural stands at a place, "of" before it or not: "1 gross clams", no gross weight."""
    counted = text_at(items, at + is_of(items, at))
    return singular(counted) != counted


_ZERO = re.compile(r"0(?:[.,]0+)?")


def _is_none(items: Items, at: int) -> bool:
    """Whether a zero says that nothing is used: "0 g butter", "0 eggs"; "0 flour" and "00 flour" are kinds of it."""
    counted_before = at > 0 and kind_at(items, at - 1) == "number"
    if counted_before or not _ZERO.fullmatch(text_at(items, at)):
        return False
    behind = at + 1 + (kind_at(items, at + 1) == "size")
    counted = text_at(items, behind) if kind_at(items, behind) == "word" else ""
    return kind_at(items, at + 1) == "measure" or singular(counted) != counted


def _word_number(items: Items, at: int) -> tuple[float, int] | None:
    item = items[at]
    assert isinstance(item, Token)
    value = parse_digits(item.value)
    if value is None:
        return None
    after = at + 1
    if value < 1:  # "half a", "half of a", "half dozen", "quarter of a"
        while text_at(items, after) in ("a", "an", "of", "the"):
            after += 1
        if text_at(items, after) in _DOZEN:
            return value * 12, after + 1
        if after == at + 1 and item.text in _PARTING and kind_at(items, after) == "number":
            return read_number(items, after)  # "halve 2 avocados"
        return value, after
    if item.text in _DOZEN:
        more, after = and_a_half(items, after, 1)
        return value * more, after  # "a dozen and a half"
    value, after = _in_words(items, at, value)
    share = _spelled(items, after)
    if 0 < share < 1:  # "two thirds", "three quarters"
        return value * share, after + 1
    value, after = and_a_half(items, after, value)
    dozen = text_at(items, after) in _DOZEN  # "two dozen", "one and a half dozen"
    return value * (12 if dozen else 1), after + dozen


_LARGE = frozenset({100.0, 1000.0})
_TENS = frozenset({20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0})


def _in_words(items: Items, at: int, value: float, *, further: int = 2) -> tuple[float, int]:
    """A whole number in words that begins with a value: "twenty-five", "two hundred and fifty", "a hundred".

    So many `further` numbers may belong to it: tens to hundreds, hundreds to thousands.
    """
    after = at + 1
    dash = text_at(items, after) == "-"
    unit = _spelled(items, after + dash)
    if value in _TENS and 1 <= unit <= 9 and text_at(items, after + dash + 1) != "-":  # not "twenty five-ounce tins"
        value, after = value + unit, after + dash + 1
    elif _spelled(items, after) in _LARGE:
        value, after = value * _spelled(items, after), after + 1
    if value >= 100 and further:
        rest = after + (text_at(items, after) in AND)
        more = _spelled(items, rest) if text_at(items, rest) not in _DOZEN else 0.0
        smaller, behind = _in_words(items, rest, more, further=further - 1) if more >= 1 else (0.0, after)
        if 0 < smaller < (100 if value < 1000 else 1000):
            return value + smaller, behind
    return value, after


def _spelled(items: Items, at: int) -> float:
    """The value of a number in words, 0 where there is none; "quarters" counts before what it is a share of."""
    item = items[at] if at < len(items) else None
    if not isinstance(item, Token) or item.text[0].isdigit():
        return 0.0
    if item.kind == "number":
        return parse_digits(item.value) or 0.0
    shared = text_at(items, at + 1) == "of" or kind_at(items, at + 1) == "measure"
    return 0.25 if item.text == "quarters" and shared else 0.0


AND = frozenset({"and", "&"})


def and_a_half(items: Items, at: int, value: float) -> tuple[float, int]:
    """ "... and a half", "... and a quarter" behind a number or a measure."""
    if text_at(items, at) in AND:
        after = at + 2 if text_at(items, at + 1) in ("a", "one") else at + 1
        if 0 < (share := _spelled(items, after)) < 1:
            return value + share, after + 1
        times, share = _spelled(items, at + 1), _spelled(items, at + 2)
        if times > 1 and 0 < share < 1:  # "one and three quarter cups"
            return value + times * share, at + 3
    return value, at


_NAMING = frozenset({"word", "state", "preparation"})


def and_share(items: Items, at: int) -> float:
    """The fraction of "1 cup and 1/2 sugar", which no measure of its own follows; 0 where there is none."""
    fraction = text_at(items, at + 1) if text_at(items, at) in AND else ""
    if "/" not in fraction or not fraction[0].isdigit() or kind_at(items, at + 2) not in _NAMING:
        return 0.0
    share = parse_digits(fraction) or 0.0
    return share if share < 1 else 0.0


OF_AMOUNTS = frozenset({"number", "vague number", "approximate"})
BEFORE_NUMBER = frozenset({"a", "an", "another", "between", "~", "c"})
_LIMITS = frozenset({"up to", "at most", "maximum", "max", "max ."})  # "max ." as the tokens have it
RANGE_MARKS = _LIMITS | {"-", "to", "or", "and", "/", "~"}


def _may_count(item: object) -> bool:
    """Whether a range may begin with an item: most items are words, which need no further look."""
    return isinstance(item, Token) and (item.kind in OF_AMOUNTS or item.text in BEFORE_NUMBER)


def _twofold(item: object) -> bool:
    return isinstance(item, Token) and item.value == "2-2"


def _past_limit(items: Items, at: int) -> int:
    """The place behind what says that a number is the most: "100 or up to 150 g", not "1 or about 150 g"."""
    return at + (text_at(items, at) in _LIMITS)


_SUMMED = frozenset({"word", "size", "measure"})
_DENOMINATORS = frozenset({2, 3, 4, 5, 6, 8, 10, 16})
_WIDEST_SPAN = 3


def _of_several_pieces(items: Items, at: int) -> bool:
    """Whether pieces in the plural follow: "10/12 green olives", but not "2/4 onion", "2/4 lb butter"."""
    near = [item for item in items[at : at + 3] if isinstance(item, Token)]
    return kind_at(items, at) != "measure" and any(one.kind == "word" and one.text != one.key for one in near)


def _range_with_slash(text: str) -> tuple[float, float] | None:
    """ "10/12" and "4/6", which nobody writes as fractions; None for what may be one."""
    low, slash, high = text.partition("/")
    if not slash or not (low.isdigit() and high.isdigit()) or len(text) >= _LONGEST_NUMBER:
        return None
    least, most = int(low), int(high)
    if not 1 < least < most <= least * _WIDEST_SPAN or (gcd(least, most) == 1 and most in _DENOMINATORS):
        return None
    return float(least), float(most)


def read_range(items: Items, at: int) -> tuple[float, float, bool, int] | None:
    """(low, high, approximate, place after): "2-3", "1 to 2", "2 or 3", "between 200 and 250", "a few", "about 2"."""
    if at >= len(items) or not _may_count(items[at]):
        return None
    circa = text_at(items, at) == "c"
    if circa and (kind_at(items, at + 1) != "number" or (at and kind_at(items, at - 1) == "number")):
        return None  # "c. 350 g", but not "1 c 2 tbsp"
    approximate = circa
    at += circa
    while kind_at(items, at) == "approximate" or text_at(items, at) in ("~", "between"):
        approximate = approximate or text_at(items, at) != "between"
        at += 1
    item = items[at] if at < len(items) else None
    if isinstance(item, Token) and item.text in ("a", "an", "another") and kind_at(items, at + 1) == "vague number":
        at += 1
        item = items[at]
    if isinstance(item, Token) and item.kind == "vague number":
        low, _, high = item.value.partition("-")
        behind = at + 1 + is_of(items, at + 1)
        if text_at(items, behind) in _DOZEN:  # "a couple of dozen"
            return float(low) * 12, float(high) * 12, True, behind + 1
        return float(low), float(high), True, at + 1
    if (spread := _range_with_slash(text_at(items, at))) and _of_several_pieces(items, at + 1):
        return *spread, approximate, at + 1
    first = read_number(items, at)
    if first is None:
        return None
    low_value, after = first
    joiner = text_at(items, after)
    if joiner == "-" and text_at(items, after + 1) in ("to", "or"):
        after += 1  # "4- to 5-pound"
        joiner = text_at(items, after)
    if kind_at(items, after) == "vague number" and _twofold(items[after]):
        return low_value * 2, low_value * 2, approximate, after + 1  # "1 brace", "2 pairs"
    if joiner == "+" and kind_at(items, after + 2) in _SUMMED and (more := read_number(items, after + 1)):
        return low_value + more[0], low_value + more[0], approximate, more[1]  # "2 + 1 eggs"
    second = _most(items, at, after) if joiner in RANGE_MARKS else None
    if second is None or second[0] <= low_value:
        return low_value, low_value, approximate, after
    return low_value, second[0], approximate, second[1]


def _most(items: Items, at: int, mark: int) -> tuple[float, int] | None:
    """The number behind the mark of a range that begins at a place, with the place behind it."""
    joiner = text_at(items, mark)
    if (joiner == "and" and text_at(items, at - 1) != "between") or (joiner == "/" and "/" in text_at(items, at)):
        return None
    hyphen = joiner != "-" and text_at(items, mark - 1) == text_at(items, mark + 1) == "-"  # "6-to-8-oz"
    return read_number(items, _past_limit(items, mark + 1 + hyphen))
