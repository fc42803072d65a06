"""What a clause of its own says was done with a food, put as grammar reads it: "lentils that you have already boiled".

    relative = { "that" | "which" | who | "have" | "is" | "been" | "already" ... } done { "and" done } [ time ]
    weighed  = ( "weighed" | "measured" ) ( "once" | "after" | "when" ) [ "being" ] done
    raw      = ( "weighed" | "measured" ) ( "raw" | "dry" | "before cooking" ) | "raw weight"
    done     = a state or a preparation in the past tense, which stands behind a comma then: "lentils, boiled"

Not what is still to be done: "potatoes that will be boiled", "rice that you boil in plenty of water".
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.vocabulary import Token

_WHO = frozenset("you i we they he she".split())
_WITH_VERB = frozenset(f"{who}'{verb}" for who in _WHO for verb in ("ve", "d"))
_OPENING = _WHO | _WITH_VERB | {"that", "which"}
_DONE_BY = frozenset("is are was were has have had been".split())
_WHEN = frozenset("already just previously".split())
_WEIGHED = frozenset({"weighed", "measured"})
_ONCE = frozenset({"once", "after", "when", "being"})
_OF_FOOD = frozenset({"state", "preparation"})
_TIMES = frozenset("earlier before beforehand already yesterday last night the day evening ago".split())
_TWO = 2  # "the rice" behind a mark
# Behind which somebody does something with the food, or some of it is counted: "once you have cooked it", "2 of which".
_LEADING = frozenset("of once when after until till if as before while because how".split())
_COUNTING = frozenset({"number", "vague number"})
_COMMA = Token(",", "mark", ",")
_MOST_WORDS = 6


def with_relatives(tokens: list[Token]) -> list[Token]:
    """The tokens with a comma for the words between a food and what was done with it; most lines stay as they are."""
    for at in range(1, len(tokens) - 1):
        first = tokens[at].text.partition(" ")[0]
        if first in _OPENING or first in _WEIGHED:
            end = _until_done(tokens, at, _ONCE if first in _WEIGHED else _OPENING | _DONE_BY | _WHEN)
            if end and tokens[at - 1].kind not in _COUNTING and tokens[at - 1].text not in _LEADING:
                return [*_opened(tokens[:at]), *_without_time(tokens[end:])]
    return tokens


_RAW_STATES = frozenset({"raw", "dried"})
_COOKED = frozenset({"cooked", "roasted"})
_BEFORE = frozenset({"cooking", "boiling", "roasting", "frying", "steaming"})


def as_bought(tokens: list[Token]) -> list[Token]:
    """The tokens with what was done after weighing as such: "120 g rice, weighed dry, then boiled" is raw rice."""
    texts = [token.text for token in tokens]
    if not any(_weighed_raw(tokens, texts, at) for at, text in enumerate(texts) if text in _TELLING_WEIGHT):
        return tokens
    return [Token(token.text, "preparation") if token.value in _COOKED else token for token in tokens]


_TELLING_WEIGHT = _WEIGHED | {"weight"}


def _weighed_raw(tokens: Sequence[Token], texts: Sequence[str], at: int) -> bool:
    """ "Weighed dry", "raw weight", "weight before cooking"; not "weighed cooked"."""
    if texts[at] == "weight" and at and tokens[at - 1].value in _RAW_STATES:
        return True
    behind = tokens[at + 1] if at + 1 < len(tokens) else None
    if behind is None:
        return False
    raw = texts[at] in _WEIGHED and behind.kind == "state" and behind.value in _RAW_STATES
    return raw or (behind.text == "before" and not _BEFORE.isdisjoint(texts[at + 2 : at + 3]))


def _until_done(tokens: Sequence[Token], at: int, allowed: frozenset[str]) -> int:
    """Where what was done stands behind nothing but words that may lead to it, 0 where it does not."""
    said: list[str] = []
    for place in range(at, min(at + _MOST_WORDS, len(tokens))):
        token = tokens[place]
        if place > at and token.kind in _OF_FOOD:
            return place if _is_past(said, token) else 0
        words = token.text.split()
        if not allowed.issuperset(words[place == at and words[0] in _WEIGHED :]):
            return 0
        said += words
    return 0


def _is_past(said: Sequence[str], done: Token) -> bool:
    """ "That are boiled", "you boiled"; not "that you boil", nor "that dried" of the thing itself."""
    if said[0] in _WEIGHED:
        return not _ONCE.isdisjoint(said)  # "weighed peeled" says what the weight is of
    helped = not _DONE_BY.isdisjoint(said) or any("'" in word for word in said)
    return helped or (not _WHO.isdisjoint(said) and done.text.endswith(("ed", "made")))


def _opened(before: Sequence[Token]) -> list[Token]:
    """What stands before, with a comma or the bracket that stands there: "rice, the one that you cooked"."""
    end = len(before)
    if end > _TWO and before[end - _TWO].text == "the" and before[end - _TWO - 1].kind == "mark":
        end -= _TWO
    end -= before[end - 1].text == ","
    return [*before[:end], *([] if before[end - 1].text == "(" else [_COMMA])]


def _without_time(tokens: Sequence[Token]) -> list[Token]:
    """The tokens without when it was done, behind it: "cooked yesterday", "boiled the day before"."""
    start = next((at for at, token in enumerate(tokens) if token.kind not in _OF_FOOD), len(tokens))
    end = start
    while end < len(tokens) and _TIMES.issuperset(tokens[end].text.split()):
        end += 1
    return [*tokens[:start], *tokens[end:]]
