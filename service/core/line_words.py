"""The words of a line before its first mark, bracket or remark, and what can be told of them at a glance.

Titles, labels, notes and headings ask for these; which of them a line is they say themselves.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.noun_phrase import Lexicon
from service.core.text import singular
from service.core.vocabulary import Token, key_word

# A word in the singular, and whether it may say which dish it is ("chicken" pie, not "small" pies).
Spelled = tuple[str, bool]

STOPS = frozenset(",;:-|.!?")
_AND = frozenset({"&", "n", "+"})
_NAMING = frozenset({"word", "measure", "number", "note start"})


def spelled(tokens: Sequence[Token]) -> list[Spelled]:
    """The words as the table has them, those of another script left out."""
    return [
        ("and" if word in _AND else singular(word), token.kind in _NAMING)
        for token in tokens
        if token.kind != "mark" or token.text in _AND
        for word in token.text.removesuffix("-").replace("all'", "all' ").split()
        if word.isascii()
    ]


def plain(words: Sequence[Token]) -> str:
    return " ".join(word for word, _ in spelled(words))


def until_mark(tokens: Sequence[Token]) -> Iterator[Token]:
    """The tokens up to the first mark or remark."""
    for at, token in enumerate(tokens):
        if at and (token.text in STOPS or token.kind == "remark"):
            return
        yield token


def before_mark(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens before the first comma, bracket or other mark."""
    for at, token in enumerate(tokens):
        if at and token.kind == "mark":
            return tokens[:at]
    return tokens


def before_remark(words: Sequence[Token]) -> Sequence[Token]:
    """The words before a remark: "sugar for the top crust" is sugar."""
    place = next((at for at, token in enumerate(words) if at and token.kind == "remark"), len(words))
    return words[:place]


def first_outside(tokens: Sequence[Token], marks: Sequence[str]) -> int:
    """Where the first of some marks stands outside brackets, 0 where none does."""
    depth = 0
    for at, token in enumerate(tokens):
        if token.kind == "mark":
            if depth == 0 and token.text in marks:
                return at
            depth += (token.text in "([{") - (token.text in ")]}")
    return 0


def is_counted(words: Sequence[Token]) -> bool:
    """Whether words state an amount: a number, a measure before all else, "a jar"."""
    if any(token.kind == "number" for token in words) or words[0].kind == "measure":
        return True
    return len(words) > 1 and words[0].text in ("a", "an") and words[1].kind == "measure"


def is_name(tokens: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether the words are, all together, one name of two words or more."""
    if any(token.kind in ("filler", "remark") for token in tokens):
        return False
    keys = frozenset(word for token in tokens if token.kind != "mark" and (word := key_word(token)))
    return lexicon.vocabulary.is_name(keys)


def is_for_doing(tokens: Sequence[Token], at: int) -> bool:
    """Whether a remark at a place says what the food is for: "for dusting", "for mopping up"."""
    first, _, rest = tokens[at].text.partition(" ")
    verb = rest or (tokens[at + 1].text if at + 1 < len(tokens) else "")
    return tokens[at].kind == "remark" and first == "for" and verb.endswith("ing")


def with_purposes(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with "to" before a verb as a remark: "pita to scoop", but not "1 to 2", "ready to eat ham"."""
    if "to" not in [token.text for token in tokens]:
        return tokens
    return [Token("to", "remark") if _opens_purpose(tokens, at) else token for at, token in enumerate(tokens)]


def _opens_purpose(tokens: Sequence[Token], at: int) -> bool:
    if not at or tokens[at].text != "to" or tokens[at].kind != "word":
        return False
    before, behind = tokens[at - 1], before_mark(tokens[at + 1 : at + 2 + _NEAR_TO])
    if before.kind == "number" or before.text in _BEFORE_TO or not behind or behind[0].kind not in MAY_BE_VERB:
        return False
    return not any(token.kind == "number" for token in behind)  # "to equal 3 cups"


_NEAR_TO = 4
# Before which "to" opens no purpose: "ready to eat", "easy to peel", "close to ripe".
_BEFORE_TO = frozenset("ready easy quick hard how slow close due up next similar equal according add".split())
MAY_BE_VERB = frozenset({"word", "measure", "preparation", "note start", "remark"})
