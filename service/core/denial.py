"""What a line says is not in a food or is not used, put so that the grammar hears it.

    lacking = ( mark | "with" | "but" | "and" ) "no" noun | ( "minus" | "less" ) ( "the" | "its" | "their" ) noun
    banned  = ( "do not" | "don't" ) words                                    inside a line; not read any further
    parted  = eggs ... ( removing part | part removed )                       "4 eggs, yolks discarded" are whites
"""

from __future__ import annotations

from collections.abc import Sequence

from service.core.amount import LESS
from service.core.vocabulary import Token

# The value of a word that denies what follows it ("not", "rather than").
DENYING = "denied"
_BANS = frozenset({"do not", "don't"})
_BEFORE_NO = frozenset({"with", "but", "and"})
_ITS = frozenset({"the", "its", "their"})
_WITHOUT = Token("without", "preposition", "without")
# What the parts of an egg are called, and which is left when the other is gone.
_LEFT = {"white": "yolk", "whites": "yolk", "yolk": "white", "yolks": "white"}
_REMOVING = frozenset({"discard", "remove", "freeze", "without", "no"}) | LESS
_REMOVED = frozenset({"discarded", "removed"})
# What is set apart goes into the same dish, unless the line says that it does not.
_SAVING = frozenset({"reserve", "reserved", "save", "save the", "saved", "saved for", "set aside", "keep", "kept"})
_ELSEWHERE = frozenset({"another", "other", "later", "else"})
# How it is said of a food that only some of a part of it is gone.
SOME_GONE = "some of it discarded"
_COUNTS = frozenset({"number", "vague number"})
_TRIGGERS = _BANS | _LEFT.keys() | LESS | {"no"}


def as_denied(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with each denial in the one form that the grammar reads; most lines have none."""
    if all(token.text not in _TRIGGERS for token in tokens):
        return tokens
    heard: list[Token] = []
    for at, token in enumerate(tokens):
        before = tokens[at - 1] if at else None
        behind = tokens[at + 1].text if at + 1 < len(tokens) else ""
        if before is not None and token.text in _BANS:
            heard.append(Token(token.text, "remark", DENYING))
        elif before is not None and _lacks(token, before, behind):
            if before.text in _BEFORE_NO:
                heard.pop()
            heard.append(_WITHOUT)
        else:
            heard.append(token)
    return _without_part(heard)


def _lacks(token: Token, before: Token, behind: str) -> bool:
    """Whether a word says that a food is without what follows: ", no pips", "with no MSG", "minus the fat"."""
    if token.text == "no":
        return bool(behind) and (before.kind == "mark" or before.text in _BEFORE_NO)
    return token.text in LESS and behind in _ITS


def _without_part(tokens: list[Token]) -> list[Token]:
    """The tokens of eggs without the part that is thrown away: "12 eggs without the yolks" are egg whites."""
    egg = next((at for at, token in enumerate(tokens) if token.key == "egg"), len(tokens))
    part = next((at for at in range(egg + 2, len(tokens)) if tokens[at].text in _LEFT), 0)
    if not part or any(token.text == "separated" for token in tokens):
        return tokens
    start = next((at for at in range(part, egg, -1) if tokens[at].kind == "mark"), egg) + 1
    end = next((at for at in range(part, len(tokens)) if tokens[at].kind == "mark"), len(tokens))
    if not _is_gone(tokens[start:part], tokens[part + 1 : end]):
        return tokens
    if any(token.kind in _COUNTS for token in tokens[start:part]):  # "5 eggs, 2 yolks discarded"
        return [*tokens[:start], Token(SOME_GONE, "remark"), *tokens[end:]]
    named = tokens[egg + 1].text in _LEFT  # "2 egg whites, no yolk"
    left = [] if named else [Token(_LEFT[tokens[part].text], "word", _LEFT[tokens[part].text])]
    return [*tokens[: egg + 1], *left, *tokens[egg + 1 : start], Token("discarded", "remark"), *tokens[end:]]


def _is_gone(before: Sequence[Token], behind: Sequence[Token]) -> bool:
    """Whether words right beside a part of an egg say that it is not used."""
    near = next((token.text for token in reversed(before) if token.text not in _ITS and token.kind not in _COUNTS), "")
    beside = behind[0].text if behind else ""
    elsewhere = any(token.text in _ELSEWHERE for token in behind)
    return near in _REMOVING or beside in _REMOVED or (elsewhere and not _SAVING.isdisjoint((near, beside)))
