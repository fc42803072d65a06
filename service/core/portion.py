"""Portions: what a line says of a food that another line states.

    note     = exchange ( number | definite ) words                       "Replace 2 eggs with 120 g applesauce"
             | ( verb | preposition ) words taken words                   "Save 2 tbsp of the dill for garnish"
             | ( "the" rest | taken ) words ( "is" | "goes" | ... ) words "The other half of the lime will keep"
    taken    = number [ measure ] "of" definite | share definite          "100 g of the", "half the"
    definite = ( "the" | "your" | ... ) word, no superlative              not "2 tbsp of the best oil"
    rest     = "other" | "rest" | "remaining" | "second" | ...
    one      = ( "of" | "from" | start ) "the" rest noun | "another" noun "juice of the other lemon": one piece

What is left of a food without more ("the other half of the onion") is food, but may be counted twice.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.line_item import Items, is_number, text_of
from service.core.line_words import before_mark
from service.core.noun_phrase import Lexicon
from service.core.number import OF_AMOUNTS, parse_digits
from service.core.text import singular
from service.core.vocabulary import Token

# Why an amount that is stated for each eater is looked at.
FOR_ONE = "the amount is for one; the line does not say for how many"
_DEFINITE = frozenset({"the", "your", "my", "this", "that", "these", "those"})
OPEN = _DEFINITE | {"remaining"}
_BEST = frozenset({"best", "good"})
_SOME = frozenset({"one", "some", "most", "all", "both", "each", "none", "part"})
_REST = frozenset({"other", "rest", "remaining", "second", "last", "extra"})
_FINITE = frozenset("is are was goes go gets get will can should must needs".split())
_IS = frozenset({"is", "are", "was", "were"})
_VERB_KINDS = frozenset({"word", "remark"})
# So many words before an amount are verbs with what belongs to them ("keep back a"); so many part it from its "of".
_LONGEST_VERB = 4
_NEAR_OF = 3


def speaks_of_portion(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a line says what becomes of a food, or of some of it, that another line states."""
    first = tokens[0]
    if first.text not in lexicon.vocabulary.titles.exchanges and OPEN.isdisjoint([token.text for token in tokens]):
        return False  # most lines, quickly
    words = before_mark(tokens)
    if first.text in lexicon.vocabulary.titles.exchanges and len(words) > 1:
        return words[1].kind == "number" or words[1].text in _DEFINITE
    place = next((at for at, token in enumerate(words) if token.kind == "number"), len(words))
    taken = _is_taken(words, place)
    opens = place == 0 or (place == 1 and _is_article(first))
    if _opens_with_rest(words) or (taken and opens):
        return any(token.text.split()[0] in _FINITE for token in words[2:])
    if first.text == "the" and place == 1:  # "the 2 eggs are for the glaze", but "the 2 eggs are large"
        return any(one.text == "go" or (one.text in _IS and two.text.startswith("for")) for one, two in pairwise(words))
    if not taken or not 0 < place <= _LONGEST_VERB or not _is_verb(first, lexicon):
        return False
    return not lexicon.names_any(words[:place])


def _is_article(token: Token) -> bool:
    return token.text in ("a", "about")  # "a third of the cheese"


def _is_verb(first: Token, lexicon: Lexicon) -> bool:
    if first.kind in ("note start", "preposition"):
        return True
    return first.kind in _VERB_KINDS and first.text.split()[0] in lexicon.vocabulary.titles.dividing


def _opens_with_rest(words: Sequence[Token]) -> bool:
    """ "the other ...", "remaining ...", "one of the ..."."""
    if words[0].text == "remaining":
        return True
    opened = " ".join([token.text for token in words[:3]]).split()
    if opened[0] in _SOME and opened[1:2] == ["of"] and opened[2:3] and opened[2] in _DEFINITE:
        return True
    return len(words) > 1 and words[0].text == "the" and words[1].text in _REST


def _is_taken(words: Sequence[Token], at: int) -> bool:
    """Whether the number at a place takes some of a food that is listed: "100 g of the flour", "half the beef"."""
    near = words[at + 1 : at + 2 + _NEAR_OF]
    if not near:
        return False
    of = next((place for place, token in enumerate(near) if token.text == "of"), None)
    share = (parse_digits(words[at].value) or 1) < 1
    behind = near[of + 1 :] if of is not None else near if share else []
    if not behind or behind[0].text not in _DEFINITE:
        return False
    return not (len(behind) > 1 and (behind[1].text.endswith("est") or behind[1].text in _BEST))


_LONGEST_GOING = 3
_OF_FOOD = frozenset({"word", "measure", "number", "size", "state"})


def goes_away(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a line says of an amount that it is not used: "leave out 2 eggs", "drain 200 g bacon fat"."""
    if tokens[0].kind in OF_AMOUNTS:
        return False  # most lines, quickly
    titles = lexicon.vocabulary.titles
    place = next((at for at, token in enumerate(tokens[: _LONGEST_GOING + 1]) if token.kind in OF_AMOUNTS), 0)
    verb = " ".join([token.text for token in tokens[:place]])
    if verb in titles.going:
        return True
    food = list(takewhile(lambda token: token.kind in _OF_FOOD, tokens[place:])) if verb == "drain" else []
    return bool(food) and food[-1].key in titles.poured


# ---- what is left, counted ---------------------------------------------------------------------------------------

_ORDERED = frozenset({"other", "second"})
_LEFT = frozenset({"other", "second", "last", "remaining"})
_BEFORE = frozenset({"of", "from"})
_BEFORE_ANOTHER = frozenset({"of", "from", "and", "&", "plus", "+", ","})
_KEEPING = frozenset({"keep", "save", "reserve", "leave"})
_MORE = _LEFT | _REST | _KEEPING | {"another"}
_COUNTED = frozenset({"word", "size", "measure"})
_NOT_MORE = frozenset({"type", "kind", "sort", "variety", "time", "day"})


def one_of_them(items: list[object]) -> tuple[list[object], str]:
    """The items with "a" for "the other" or "another" before one piece, and why somebody has to look, "" for nothing.

    Of many pieces nobody knows how many are left; what cannot be counted is left as it is ("the remaining cream").
    """
    words = [text_of(item) for item in items]
    if _MORE.isdisjoint(words):
        return items, ""  # most lines, quickly
    place = next((at for at, word in enumerate(words) if word == "another"), None)
    if place is not None and _is_one(items, place + 1) and _stands_behind(items, place, _BEFORE_ANOTHER):
        return [*items[:place], Token("a", "filler"), *items[place + 1 :]], ""
    place = next((at for at, word in enumerate(words) if at and word in _LEFT), None)
    if place is not None and words[place - 1] == "the" and _is_one(items, place + 1):
        behind = _stands_behind(items, place - 1, _BEFORE)
        if behind and (place > 1 or words[place] in _ORDERED):
            said = f"'the {words[place]}' is counted as one piece, which another line may state already"
            return [*items[: place - 1], Token("a", "filler"), *items[place + 1 :]], said
    return items, _twice(items, words)


def _stands_behind(items: Items, at: int, words: frozenset[str]) -> bool:
    return at == 0 or text_of(items[at - 1]) in words


def _is_one(items: Items, at: int) -> bool:
    """Whether a noun or measure in the singular stands at a place, be it behind a size."""
    item = items[at] if at < len(items) else None
    if not isinstance(item, Token) or item.kind not in _COUNTED or item.text in _NOT_MORE:
        return False
    single = not item.several if item.kind == "measure" else item.text == singular(item.text)
    return item.kind == "size" or (single and item.text not in _BEFORE)


def _twice(items: Items, words: Sequence[str]) -> str:
    """What is left of a food that another line states, which may be counted there already."""
    pairs = enumerate(pairwise(words))
    left = any(one == "the" and two in _REST and _stands_behind(items, at, _BEFORE) for at, (one, two) in pairs)
    if left or words[:1] == ["remaining"]:
        return "what is left of a food may be counted already where another line states all of it"
    if len(words) > 1 and words[0] in _KEEPING and is_number(items[1]):
        return "what is kept of a food may be counted already where another line states all of it"
    return ""
