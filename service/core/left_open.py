"""What a line leaves open: foods that may be left out, and what may be done to a food that is counted all the same.

    open  = food { "," food } [ "," | "(" ] optional-phrase        "chives (optional)", "1 tbsp honey, if liked"
    part  = food ( "," food | "plus" food ) optional-phrase        only the second: "1 cup milk, cream optional"
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
_PLUS, _ENDING = frozenset({"plus", "+"}), frozenset({",", ";", ")", "]", "}"})
_OPENING, _PARTING = frozenset("([{"), frozenset({",", ";", "-", ":"})
# What stands before a condition and is no more than what the food is for.
_SLIGHT = frozenset({"joiner", "to taste", "filler"})
PURPOSES = ("for ", "to ")
_MORE = frozenset({"more", "or more", "plus more", "and more", "extra", "less", "or less", "additional", "another"})


def without_choice(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The tokens without what may be done to a food, and with conditions of something else as remarks.

    "1 cup water, or more if needed" is not left out, nor are "3 tomatoes (peeled if you like)".
    """
    if "optional" not in [token.kind for token in tokens]:
        return tokens
    told: list[Token] = []
    tokens = _behind_addition(tokens)
    for at, token in enumerate(tokens):
        if told and told[-1].text == "optionally" and token.kind in _DONE:
            told.pop()
        elif token.kind == "optional" and token.text.startswith("if ") and _is_of_something_else(tokens, at, lexicon):
            told.append(Token(token.text, "remark", "condition"))
        else:
            told.append(token)
    return told


def _behind_addition(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with "optional" behind what is added, "plus optional 20 g" as "plus 20 g, optional" is told."""
    at = next((at for at in range(1, len(tokens)) if _is_before_addition(tokens, at)), 0)
    if not at:
        return tokens
    end = next((end for end in range(at + 1, len(tokens)) if tokens[end].text in _ENDING), len(tokens))
    return [*tokens[:at], *tokens[at + 1 : end], tokens[at], *tokens[end:]]


def _is_before_addition(tokens: Sequence[Token], at: int) -> bool:
    return tokens[at].kind == "optional" and tokens[at - 1].text in _PLUS


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
    if len(parts) < 2 or not any(part.optional for part in parts):
        return parts
    at = next((at for at, token in enumerate(tokens) if token.kind == "optional"), 0)
    each = any(token.text == "each" for token in tokens) and parts[0].amount == parts[1].amount
    if each and tokens[at - 1].text == "each":  # "1/2 tsp each optional salt and pepper"
        return [replace(part, optional=True) for part in parts]
    if not parts[-1].optional:
        return parts
    joined = len(parts) == 2 and (parts[1].amount is None or parts[1].shared or each)
    two = joined and all(token.text != "," for token in tokens[:at])
    return [replace(part, optional=True) for part in parts] if two or tokens[at].value == "all" else parts


def heads_open(lead: Sequence[Token]) -> bool:
    """Whether what heads a food's own line says that it may be left out: "Optional garnish: ...", "If using, ..."."""
    if not lead:
        return False
    told = any("optional" in token.text.strip("()").split() for token in lead)
    return told or all(token.kind in ("optional", "mark") for token in lead)


def open_in_part(parts: list[Part], tokens: Sequence[Token], lexicon: Lexicon) -> tuple[list[Part], str]:
    """The parts, of which none is open where only what stands beside it may be left out; and what to look at then.

    "1 cup milk, cream optional", "1 lime, juiced, plus wedges (optional)", "100 g butter plus optional 20 g".
    """
    if not any(part.optional for part in parts):
        return parts, ""
    at = next((at for at, token in enumerate(tokens) if token.kind == "optional" and at), 0)
    start = _start_of_open(tokens, at)
    if not any(token.kind == "word" for token in tokens[:start]):
        return parts, ""
    said, added = tokens[start + 1 : at], tokens[start].text in _PLUS
    counted = any(token.kind == "number" for token in said)
    if added and len(parts) == 1:
        return [replace(parts[0], optional=False)], _OPEN_PART if counted else ""
    if added:
        return [*(replace(part, optional=False) for part in parts[:-1]), parts[-1]], ""
    words = [token for token in said if token.kind == "word"]
    counted = counted or any(token.value == "or" for token in said)  # "rum, brandy, or whisky (optional)"
    if len(parts) > 1 or not words or counted or tokens[start].text in _OPENING:
        return parts, ""
    bare = tokens[at].text == "optional" and tokens[at - 1] is words[-1]
    if not (bare or lexicon.names_food(said)) or _tells_kind(words, parts[0], lexicon):
        return parts, ""
    told = f"it is '{words[-1].text}' that may be left out, not all that is counted"
    return [replace(parts[0], optional=False)], told  # "1 chicken, skin optional"


def _tells_kind(words: Sequence[Token], part: Part, lexicon: Lexicon) -> bool:
    """Whether words behind a comma are of the name of the food before it: "100 g cheese, cheddar (optional)"."""
    head = part.phrases[0].tokens[-1:]
    name = lexicon.ending([*(token.key for token in words), *head])
    longer = name is not None and words[-1].key in name.key and name.words > 1
    return longer or words[-1].key in part.phrases[0].tokens


_OPEN_PART = "some of what is added up may be left out; all that is counted is taken as used"


def _start_of_open(tokens: Sequence[Token], at: int) -> int:
    """Where begins what may be left out: the mark before it, or "plus" before that where nothing stands between."""
    marks = [place for place in range(1, at) if tokens[place].text in _OPENING | _PARTING | _PLUS]
    alone = len(marks) > 1 and all(map(_is_slight, tokens[marks[-1] + 1 : at]))
    if alone and tokens[marks[-2]].text in _PLUS:
        return marks[-2]
    return marks[-1] if marks else 0
