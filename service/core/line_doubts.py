"""Why a line says more, or less clearly, than its parts: somebody has to look though each of them is clear.

What is doubted of one food stands in `name_doubts` and `weight_doubts`.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise, takewhile

from service.core import choices, shared_amount
from service.core.amount import HOLDERS, WEIGHABLE, Amount
from service.core.clause import OR_ELSE, SEASONINGS, TAKEN
from service.core.line_item import Items, is_number, is_word, text_of
from service.core.line_items import FURTHER, NONE, split
from service.core.note import IS
from service.core.noun_phrase import ADJECTIVES, Lexicon
from service.core.number import AND, read_number
from service.core.part import Part
from service.core.part_doubts import doubt_of_taken
from service.core.text import singular
from service.core.uncounted import PROPORTIONS, is_measured, left_uncounted
from service.core.vocabulary import Token


def doubt_of(text: str, items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What speaks against counting a line just as its parts are, "" where nothing does."""
    told = _doubt(items, parts, lexicon) or _uses_some(text, items, parts) or _in_capitals(text, parts)
    return told or _slip(items) or _number_unread(text, parts)


def _number_unread(text: str, parts: Sequence[Part]) -> str:
    """That no weight or volume of a line was read: "Butter - real butter, please! - 200 g"."""
    if not parts or any(part.amount is not None for part in parts):
        return ""
    stated = _STATED.search(text)
    return f"the line also says '{stated[0]}', which was not counted" if stated else ""


_STATED = re.compile(
    r"[\d½¼¾⅓⅔⅛] ?(?:g|kg|grams?|ml|cl|dl|l|lit(?:re|er)s?|oz|ounces?|lbs?|pounds?|cups?|tbsp|tsp)\b", re.I
)


# Measures that a word a letter away is hardly anything else than: "tespoon", but not "Cathy", no catty.
_COMMON = frozenset(
    "tsp tbsp cup oz lb g kg ml l pint quart pinch handful clove can jar slice piece bunch package packet stick".split()
)


def _slip(items: Items) -> str:
    """What was read as a measure that a line seldom has."""
    for one in items:
        if isinstance(one, Token) and one.distance and one.kind == "measure" and one.value not in _COMMON:
            return f"'{one.text}' was read as the measure '{one.value}'"
    return ""


def _doubt(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What speaks against counting a line just as its parts are: an "or" before it, an amount that no part has."""
    first, texts = items[0], [text_of(item) for item in items]
    said, brackets = frozenset(texts), "" in texts  # a bracket has no text
    if isinstance(first, Token) and first.value == "or":
        return "the line begins with 'or': it may stand in for the line before, and both are counted"
    if "," in said and len(parts) > 1 and FURTHER in items:
        return "what a further sentence or a bracket weighs is counted too; it may say the same again"
    if "the" in said and _takes_share(items):
        return "the line takes a share of what another line states, which nobody looked up"
    if "/" in said and len(parts) == 1 and (parted := _parted_by_slash(items, parts[0], said, lexicon)):
        return parted
    if not said.isdisjoint(_SMALL_UNITS) and (thousands := _thousands(items)):
        return f"the dot of '{thousands}' may part thousands"
    if not said.isdisjoint(_LIKE_RANGES) and (share := _may_be_range(items, parts, lexicon)):
        return f"'{share}' of a piece, though pieces are named: it may be a range"
    if ("half" in said or brackets) and _halves_some(items, parts, lexicon):
        return "the line says what half of it is, which was not read"
    if not said.isdisjoint(OR_ELSE) and (head := choices.may_lack_head(items, lexicon)):
        return f"what stands before 'or other' may be its {head}"
    if "or" in said and (open_ := _left_by_choices(items, parts, lexicon)):
        return open_
    if len(parts) == 2 and not said.isdisjoint(AND) and (head := _may_share_head(parts, lexicon)):
        return f"the first may be of the {head}, too"
    words = " ".join(texts).split()
    if (brackets or not NONE.isdisjoint(words)) and (none := _unread_none(items, parts, lexicon)):
        return f"'{none}' may say that the food holds none of something"
    if is_number(first) and not PROPORTIONS.isdisjoint(texts[1:2]):
        return "a part of a mixture is no amount of its own"
    if "/" in "".join(said) and (odd := next(filter(_is_odd_share, texts), "")):
        return f"'{odd}' may be a count and what it weighs"
    if told := _doubt_of_amounts(items, parts, lexicon, uses=brackets or not _OF_USE.isdisjoint(words)):
        return told
    if wide := [one for part in parts for one in _stated(part.amount) if _is_too_wide(one)]:
        return f"from {wide[0].low:g} to {wide[0].high:g} is no range: the first number may count something else"
    if _may_be_made(items, lexicon):
        return "so many may be what the list makes"
    return left_uncounted(items, parts, said, lexicon)


# So many of a dish nobody buys for another one without saying more of it.
_MANY_MADE = 15.0


def _may_be_made(items: Items, lexicon: Lexicon) -> bool:
    """ "24 cupcakes": a number and a dish and no more, which lists say of what they make too."""
    found = read_number(items, 0)
    if found is None or found[0] < _MANY_MADE or found[1] != len(items) - 1 or not is_word(items[-1]):
        return False
    return lexicon.vocabulary.titles.dishes.get(singular(text_of(items[-1]))) == "dish"


def _parted_by_slash(items: Items, part: Part, said: frozenset[str], lexicon: Lexicon) -> str:
    """What a slash may part in a line of one part: two amounts, or foods that are all used."""
    again = part.amount is not None and part.amount.also  # "350 g flour / 12 oz"
    if not again and _slash_parts(items):
        return "a slash parts two amounts: the first is counted"
    if "or" not in said and _may_list(part, lexicon):
        return "slashes part several foods: all may be used, the first is counted"
    return ""


def _may_share_head(parts: Sequence[Part], lexicon: Lexicon) -> str:
    """ "100 g milk and 100 g dark chocolate", "1 tsp onion and 1 tsp garlic powder": of what the first may be, too."""
    amounts = [part.amount for part in parts if part.amount is not None and part.phrases]
    if len(amounts) < len(parts) or amounts[0].measure != amounts[1].measure or amounts[0].measure is None:
        return ""
    first, second = (part.phrases[0].tokens for part in parts)
    one, head = first[-1], second[-1]
    if len(set(first) - {"each"}) != 1 or len(second) < 2 or one in second:
        return ""
    own, alone = lexicon.ending([one]), one in lexicon.vocabulary.titles.taken_alone
    for start in range(max(1, len(second) - _LONGEST_HEAD), len(second)):
        if alone and second[start - 1] not in ADJECTIVES:
            continue  # "butter and olive oil"
        name = lexicon.ending([one, *second[start:]])
        both = name is not None and name.food_id and name.key >= {one, *second[start:]}
        if name is not None and both and (own is None or own.food_id != name.food_id):  # "caster" is sugar
            return head
    return ""


_LONGEST_HEAD = 2


def _left_by_choices(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What foods around an "or" leave open: whether they share a head, or the amount behind them."""
    if head := choices.may_share_head(items, lexicon):
        return f"the first choice may be of the {head}, too"
    kind = choices.may_lack_kind(items, lexicon)
    if kind and not any(kind in part.phrases[0].tokens for part in parts):
        return f"the first choice may be a kind of {kind}, too"
    if len(parts) > 1 and (other := _may_be_choice(parts)):
        return f"the amount behind the choices may be of '{other}' too, of which the line states none"
    return ""


def _may_list(part: Part, lexicon: Lexicon) -> bool:
    """Whether slashes may list foods rather than choices, "parsley / mint / walnuts"; names of one food are none."""
    if part.amount is not None or len(part.phrases) < _SHORTEST_LIST:
        return False
    names = [lexicon.ending(phrase.tokens) for phrase in part.phrases]
    return len({name.food_id for name in names if name is not None}) >= _SHORTEST_LIST


_SHORTEST_LIST = 3


def _takes_share(items: Items) -> bool:
    """ "half the butter", "1/2 of the onion"."""
    share = read_number(items, 0)
    if share is None or share[0] >= 1:
        return False
    said = [text_of(item) for item in items[:4]]
    return said[1:2] == ["the"] or said[1:3] == ["of", "the"]


def _slash_parts(items: Items) -> bool:
    """Whether a slash stands between a noun and an amount: "1 tbsp fresh thyme / 1 tsp dried"."""
    slashes = [at for at, item in enumerate(items[:-1]) if at and text_of(item) == "/"]
    return any(is_number(items[at + 1]) and is_word(items[at - 1]) for at in slashes)


_SMALL_UNITS = frozenset({"g", "gr", "gram", "ml"})


def _thousands(items: Items) -> str:
    """ "1.500 g", which is a gram and a half, or a thousand and a half where the dot parts thousands."""
    numbers = (at for at in range(len(items) - 1) if is_number(items[at]) and _kilos(text_of(items[at])))
    return next((text_of(items[at]) for at in numbers if text_of(items[at + 1]) in _SMALL_UNITS), "")


def _kilos(number: str) -> bool:
    whole, dot, parts = number.partition(".")
    return bool(dot) and len(parts) == 3 and parts.isdigit() and whole.strip("0") != ""


# Of pieces that nobody cuts, "2/3 pods" are two or three; the signs between "2/3" and "5/6" have no space.
_LIKE_RANGES = frozenset({"2/3", "3/4", "4/5", "5/6", "6/7", "7/8"})
_NO_SHARES = frozenset({"4/5", "5/6", "6/7"})  # nobody takes so much of a piece


def _may_be_range(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """The fraction before a plural that is counted, "2/3 cardamom pods"; none before a measure or one piece."""
    first = next((text for item in items if (text := text_of(item)) in _LIKE_RANGES), "")
    amount = parts[0].amount if len(parts) == 1 else None
    if not first or amount is None or amount.measure == "stick":
        return ""
    if not amount.low == amount.high == float(Fraction(first)):
        return ""
    if lexicon.measured_by(amount) not in ("", "piece"):
        return ""
    named = [item for item in items if isinstance(item, Token) and item.kind in ("word", "measure")]
    plural = any(item.several or (item.text != item.key and item.text.endswith("s")) for item in named)
    return first if plural or first in _NO_SHARES else ""


def _halves_some(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> bool:
    """ "500 g flour, half wholemeal", "4 peppers, half of them green": a half of it that no amount states."""
    amounts = [part.amount for part in parts if part.amount is not None]
    weighed = any(lexicon.measured_by(amount) in WEIGHABLE for amount in amounts)
    several = any(amount.measure is None and amount.high > 1 for amount in amounts)
    if not (weighed or several) or shared_amount.halves(items, lexicon):
        return False
    inside = any(isinstance(item, tuple) and item and text_of(item[0]) == "half" for item in items)
    marks = (at for at in range(2, len(items)) if text_of(items[at]) == "half" and text_of(items[at - 1]) in _MARKS)
    # "2 onions, half sliced" is read as a count of some
    told = (at for at in marks if weighed or "of" in map(text_of, items[at + 1 : at + 2]))
    return inside or any(not _tells_share(items[at:], items[at - 2], lexicon) for at in told)


_MARKS = frozenset({",", ";", "-", ":"})


def _uses_some(text: str, items: Items, parts: Sequence[Part]) -> str:
    """ "1 can coconut milk, half used", "(only the cream used)"; "only zest used" is what is counted."""
    if "used" not in text.lower():
        return ""
    named = {word for part in parts for phrase in part.phrases[:1] for word in phrase.tokens}
    named |= _OF_AN_EGG if "egg" in named else frozenset()  # "2 eggs, whites only used"
    stretches = [*split(items), *(piece for item in items if isinstance(item, tuple) for piece in split(item))]
    for stretch in stretches:
        before = [*takewhile(lambda item: not text_of(item).startswith("used"), stretch)]
        if len(before) == len(stretch) or "it" in map(text_of, before):
            continue  # "half of it used" is read in `eaten`
        if len(before) == 1 and text_of(before[0]) in _ONLY:
            continue  # "only used for drizzling" says what for
        share = read_number(before, len(before) - 1) if before and is_number(before[-1]) else None
        counted = any(isinstance(item, Token) and item.key in named for item in before)
        if (share is not None and share[0] < 1) or (not counted and not _SOME_OF.isdisjoint(map(text_of, before))):
            return "the line says how much of it is used, or which part, which was not read"
    return ""


_ONLY = frozenset({"only", "just"})
_OF_AN_EGG = frozenset({"white", "yolk"})
_SOME_OF = _ONLY | frozenset({"most", "mostly", "some", "part", "parts", "little"})


def _tells_share(items: Items, food: object, lexicon: Lexicon) -> bool:
    """ "half of it is left in the pan" names no food, "half of it is rye" does; shares eaten are read in `eaten`."""
    said = list(takewhile(lambda item: isinstance(item, Token) and item.kind != "mark", items))
    verb = next((at for at, item in enumerate(said) if text_of(item) in IS), len(said))
    behind = [item for item in said[verb + 1 :] if isinstance(item, Token)]
    if not behind or lexicon.names_food(behind) or not isinstance(food, Token):
        return False
    name = lexicon.ending([*(token.key for token in behind), food.key])
    return name is None or name.words == 1


def _unread_none(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """A zero or a "no" that is neither an amount nor of a food's name: "0.0 beer"; "00 flour" is a kind of it."""
    said = [text_of(item) for item in items if text_of(item) in NONE or _is_held_none(item)]
    for bracket in (item for item in items if isinstance(item, tuple)):
        denied = (one for one, held in pairwise((*bracket, None)) if _is_held_none(one) or _denies(one, held, lexicon))
        said += map(text_of, denied)
    if not said or any(one.low == 0 for part in parts for one in _stated(part.amount)):
        return ""
    phrases = [part.phrases[0].tokens[:_MOST_NAMED] for part in parts if part.phrases]
    names = (lexicon.ending([*words, last]) for words in phrases for last in words)
    told = frozenset[str]().union(*(name.key for name in names if name is not None))
    return next((text for text in said if text not in told), "")


_MOST_NAMED = 8


def _is_held_none(item: object) -> bool:
    """Whether a remark is of what a food holds none of: ", 0 g carb"."""
    return isinstance(item, Token) and item.kind == "remark" and item.text.partition(" ")[0] in NONE - {"no"}


def _denies(one: object, held: object, lexicon: Lexicon) -> bool:
    """Whether two words of a bracket say what a food holds none of: "(no sugar)"."""
    holds = isinstance(held, Token) and held.key in lexicon.vocabulary.titles.free_of
    return holds and text_of(one) in NONE | {"without"}


def _before_number(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """Why the word before the first number may be a share of it, a piece or a verb: "half of 3 onions", "peel 1 kg"."""
    amounts = [part.amount for part in parts if part.amount is not None]
    at = next((at for at in range(1, len(items)) if is_number(items[at])), 0)
    start = at - 1 - (at > 1 and text_of(items[at - 1]) == "of")
    before = items[start] if at else None
    if not isinstance(before, Token) or not amounts or any(one.package is not None for one in amounts):
        return ""  # "1/2 14 oz can"
    if _may_divide(items, start, at):
        return f"'{before.text}' before '{text_of(items[at])}' may be a share of it"
    if at > 1:
        return ""
    holds = lexicon.measures.kind(before) in HOLDERS and not before.several and any(map(is_word, items[2:3]))
    if holds and any(one.measure in (None, before.value) for one in amounts):
        return f"'{before.text}' may be what is counted, or what is done with it"
    if before.text in TAKEN and parts[0].taken:
        return ""  # "juice 1/2 lemon", either way
    heads = _heads_name(before, parts, lexicon)
    return f"'{before.text}' may be what is meant, or what is done with it" if heads else ""


# States in which a food is weighed before and after it is cooked.
_BEFORE_AFTER = frozenset({"cooked", "raw", "dry", "dried", "uncooked"})


def _again(items: Items, parts: Sequence[Part]) -> str:
    """Why the second of two amounts may be no further one: "250 g cooked chickpeas, 100 g dry"."""
    told = _BEFORE_AFTER.intersection(map(text_of, items)) if len(parts) > 1 else frozenset()
    if not told:
        return ""
    named = Counter([item.key for item in items if isinstance(item, Token)])
    said = any(_may_say_again(one, other, told, named) for one, other in pairwise(parts))
    return "the second amount may be the first again, of the food in another state" if said else ""


def _may_say_again(one: Part, other: Part, told: frozenset[str], named: Mapping[str, int]) -> bool:
    """Whether a food is named once and counted in two of the states that are told."""
    if not (one.phrases and other.phrases and one.amount and other.amount):
        return False
    first, second = (part.phrases[0].states | frozenset(part.phrases[0].tokens) for part in (one, other))
    head = one.phrases[0].tokens[-1]
    return head == other.phrases[0].tokens[-1] and named[head] == 1 and not told.isdisjoint(first ^ second)


def _side_by_side(parts: Sequence[Part]) -> str:
    """What two numbers with nothing between them may be: "10 20 g butter"."""
    beside = any(part.amount is not None and part.amount.beside for part in parts)
    return "two numbers stand side by side: they may be a range, or a count and a size" if beside else ""


def _doubt_of_amounts(items: Items, parts: Sequence[Part], lexicon: Lexicon, *, uses: bool) -> str:
    """Why an amount may be of something else, or none of its own; `uses`: the line may tell of what is used."""
    if uses and (used := _used_otherwise(items)):
        return used
    if told := _before_number(items, parts, lexicon) or _side_by_side(parts) or _again(items, parts):
        return told
    return doubt_of_taken(items, parts, lexicon)


def _used_otherwise(items: Items) -> str:
    """What a line says of a part that is used, or of another food: "1 lb butter, use half", "(I substitute turkey)"."""
    held = (item if isinstance(item, tuple) else (item,) for item in items)
    said = " ".join([text_of(item) for inner in held for item in inner])
    if _USED_IN_PART.search(said):
        return "the line may say that only a part of it is used"
    return "the line may say what was used in its place" if _IN_ITS_PLACE.search(said) else ""


_OF_USE = frozenset("half only use used using need substitute substituted swap swapped".split())
_USED_IN_PART = re.compile(
    r"\b(?:use|using|need|used)s? (?:only |just )?(?:half|one|a third|a quarter)\b|\bonly half\b"
    r"|\bhalf for this\b|\b(?:sheet|piece|half) only\b"
)
_IN_ITS_PLACE = re.compile(r"\bi (?:always )?(?:substitute|substituted|swap|swapped)\b|\bbut i (?:use|used)\b")


def _may_divide(items: Items, start: int, at: int) -> bool:
    """Whether what begins at a place may be a share of the number behind it: "half of 3", "quarter 1"; not "half 1"."""
    number = read_number(items, at)
    one = number is not None and number[0] == 1
    share = read_number(items, start) if is_number(items[start]) else None
    if share is not None and share[0] < 1 and share[1] == at and not one:
        return True
    return one and start == at - 1 and text_of(items[start]) in _SHARED_OUT


# "quarter 1 cabbage" is one in quarters, or a quarter of it; "quarter 4 tomatoes" are four.
_SHARED_OUT = frozenset({"quarter"})


def _heads_name(word: Token, parts: Sequence[Part], lexicon: Lexicon) -> bool:
    """Whether a word before a number is the head of a name whose first noun stands behind it: "drop 3 lemons".

    Of salt any name will do: "salt 500 g cod" is cod that is salted now.
    """
    tokens = parts[0].phrases[0].tokens[:_MOST_NAMED] if parts[0].phrases else ()
    if word.text != word.key or not any(_is_plain_noun(token, lexicon) for token in tokens[1:]):
        return False
    names = (lexicon.ending([*tokens, last]) for last in tokens)
    told = [name for name in names if name is not None and name.words > 1]
    salted = word.key in SEASONINGS and any(word.key in name.key for name in told)
    return salted or any(name.form.split()[-1] == word.key for name in told)


def _is_plain_noun(word: str, lexicon: Lexicon) -> bool:
    return word in lexicon.vocabulary.nouns and word not in ADJECTIVES


def _is_odd_share(text: str) -> bool:
    """ "2/30 g": nobody measures by such shares; "80/20" tells lean from fat."""
    over, _, under = text.partition("/")
    if not (over.isdecimal() and under.isdecimal()) or float(over) + float(under) == _ALL:
        return False
    return float(over) > 1 and float(under) > _SMALLEST_SHARE


_SMALLEST_SHARE, _ALL = 16, 100
_WIDEST_RANGE = 20


def _stated(amount: Amount | None) -> list[Amount]:
    """An amount, and what is said beside it or of each of its pieces."""
    return [one for one in (amount, amount.also, amount.package) if one is not None] if amount is not None else []


def _is_too_wide(amount: Amount) -> bool:
    """ "carrot 1 - 300 g": no cook leaves so much open; the dash parts a count from a weight."""
    return 0 < amount.low * _WIDEST_RANGE < amount.high


def _may_be_choice(parts: Sequence[Part]) -> str:
    """A food without an amount before choices that have one behind them: "potatoes, carrots or turnips 300 g"."""
    *others, last = parts
    behind = last.amount is not None and len(last.phrases) > 1 and last.phrases[1].amount is None
    if not behind or any(part.amount is not None for part in others):
        return ""
    return next((part.text for part in others if is_measured(part)), "")


def _in_capitals(text: str, parts: Sequence[Part]) -> str:
    """Why a line may be a heading though it names foods: "GOMEN", no amount and all in capitals."""
    if not text.isupper() or any(part.amount is not None for part in parts) or not any(map(is_measured, parts)):
        return ""
    return "no amount, and all in capitals as headings are"
