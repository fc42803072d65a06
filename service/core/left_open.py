"""What a line leaves open: foods that may be left out, and what may be done to a food that is counted all the same.

    open  = food { "," food } [ "," | "(" ] optional-phrase        "chives (optional)", "1 tbsp honey, if liked"
    more  = food ( "," | "(" ) said condition                     "1 cup flour, more if needed", "(peeled if you like)"
    may   = "optionally" ( preparation | state )                  "1 cup seeds (optionally toasted)"
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from service.core.noun_phrase import Lexicon
from service.core.part import Part
from service.core.vocabulary import Token

_DONE = frozenset({"preparation", "state"})
_OPENING, _PARTING = frozenset("([{"), frozenset({",", ";", "-", ":"})
# What stands before a condition and is no more than what the food is for.
_SLIGHT = frozenset({"joiner", "to taste", "filler"})
PURPOSES = ("for ", "to ")
_MORE = frozenset({"more", "or more", "plus more", "and more", "extra", "less", "or less", "additional", "another"})


def without_choice(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The tokens without what may be done to a food, and with conditions of something else as remarks.

    "1 cup water, or more if needed" is not left out, nor are "3 tomatoes (peeled if you like)".
    """
    if all(token.kind != "optional" for token in tokens):
        return tokens
    told: list[Token] = []
    for at, token in enumerate(tokens):
        if told and told[-1].text == "optionally" and token.kind in _DONE:
            told.pop()
        elif token.kind == "optional" and token.text.startswith("if ") and _is_of_something_else(tokens, at, lexicon):
            told.append(Token(token.text, "remark", "condition"))
        else:
            told.append(token)
    return told


def _is_of_something_else(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """Whether a condition speaks of what stands beside it, not of the food that the line counts."""
    if at and tokens[at - 1].text in _MORE:
        return True
    if tokens[at].text == "if using" and at + 1 < len(tokens) and tokens[at + 1].kind == "word":
        return tokens[at - 1].kind == "measure"  # "350 g if using yogurt"
    opened = next((place for place in range(at - 1, 0, -1) if tokens[place].text in _OPENING), 0)
    closed = any(token.text in (")", "]", "}") for token in tokens[opened:at])
    bracket = opened > 0 and not closed
    start = opened if bracket else next((place for place in range(at - 1, 0, -1) if tokens[place].text in _PARTING), 0)
    if not any(token.kind == "word" for token in tokens[:start]):
        return False
    said = [token for token in tokens[start + 1 : at] if not _is_slight(token)]
    return bool(said) and (bracket or not lexicon.names_food(said))  # "lettuce, onion, tomato if you like"


def _is_slight(token: Token) -> bool:
    return (token.kind in _SLIGHT and token.text not in _MORE) or token.text.startswith(PURPOSES)


def left_out_together(parts: list[Part], tokens: Sequence[Token]) -> list[Part]:
    """ "Mint, dill (all optional)", "lime and mint (optional)": foods that may be left out together.

    Of a longer list, or of foods with an amount each, it is said of the last.
    """
    if len(parts) < 2 or not parts[-1].optional:
        return parts
    at = next((at for at, token in enumerate(tokens) if token.kind == "optional"), 0)
    joined = len(parts) == 2 and (parts[1].amount is None or parts[1].shared)
    two = joined and all(token.text != "," for token in tokens[:at])
    return [replace(part, optional=True) for part in parts] if two or tokens[at].value == "all" else parts
