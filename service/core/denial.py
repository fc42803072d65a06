"""What a line says is not in a food or is not used, put so that the grammar hears it.

    lacking = ( mark | "with" | "but" | "and" ) "no" noun | ( "minus" | "less" ) ( "the" | "its" | "their" ) noun
            | "minus" noun | lacking ( "and" | "or" ) noun                "without the skin and seeds" lacks both
    banned  = ( "do not" | "don't" ) words                                    inside a line; not read any further
    parted  = eggs ... ( removing part | part removed )                       "4 eggs, yolks discarded" are whites
              of a number of them only where one stands beside the part: "2 yolks discarded", "yolks removed from 2"
    kept    = mark amount words kept word         "drained, 100 ml liquid reserved" says no amount of the food anew
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from service.core.amount import LESS
from service.core.line_items import BEFORE_NO, COUNTING
from service.core.text import singular
from service.core.vocabulary import Token

# The value of a word that denies what follows it ("not", "rather than").
DENYING = "denied"
_BANS = frozenset({"do not", "don't"})
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
_BETWEEN = _ITS | {"of", "from", "part", "parts", "used"}
# Kinds of words that a part's name says the kind of: "no white pepper"; and what else is said not to happen to a yolk.
_NAMED = frozenset({"word", "state", "measure", "preparation"})
_HAPPENING = frozenset({"broken", "burst", "runny", "pierced", "cracked", "showing"})
_KEPT = frozenset({"reserved", "saved", "set aside", "put aside", "kept", "held back"})
_TRIGGERS = frozenset(_BANS | _KEPT).union(_LEFT, LESS, {"no", "not", "without"})


def as_denied(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with each denial in the one form that the grammar reads; most lines have none."""
    texts = [token.text for token in tokens]
    if _TRIGGERS.isdisjoint(texts) and not any(text.startswith(("without ", "minus ")) for text in texts):
        return tokens
    tokens = _of_one(_kept_first(tokens))
    heard: list[Token] = []
    lacking = False
    for at, token in enumerate(tokens):
        before = tokens[at - 1] if at else None
        behind = tokens[at + 1] if at + 1 < len(tokens) else None
        if before is not None and token.text in _BANS:
            heard.append(Token(token.text, "remark", DENYING))
        elif before is not None and _lacks(token, before, behind):
            if before.text in BEFORE_NO:
                heard.pop()
            heard.append(_WITHOUT)
        elif lacking and token.value in _JOINING and _is_part(tokens[at + 1 : at + 3]):
            heard.append(_WITHOUT)
        else:
            heard.append(token)
        lacking = heard[-1].text.split()[0] in _WITHOUTS or (lacking and token.kind in _LACKED)
    return _without_part(_taken_off(heard))


# The words that a food may lack, and what joins them; behind "and" only a part of it is lacking, too.
_LACKED, _JOINING = frozenset({"word", "filler", "measure"}), frozenset({"and", "or"})
_WITHOUTS = frozenset({"without", "minus"})
_PARTS = frozenset(
    "skin seed bone core stalk stem rind crust leaf peel giblet neck pip pit stone shell head tail root top fat "
    "membrane pith vein string husk hull rib yolk liver".split()
)


def _is_part(tokens: Sequence[Token]) -> bool:
    """Whether a part of a food follows: "the seeds"; not "salt to taste"."""
    named = [token for token in tokens if token.kind != "filler"][:1]
    return any((token.key or token.value) in _PARTS or singular(token.text) in _PARTS for token in named)


# What is pared off in the kitchen, where nobody sells the food without it; and what is poured off.
_PARED = frozenset("core stalk stem stone pit rib frond husk".split())
_POURED, _HOLDERS = frozenset("juice liquid syrup brine oil water".split()), frozenset({"can", "jar"})
# Leaves are weighed without what holds them: "300 g chard leaves, no stalks".
_LEAVES = frozenset({"leaf", "leaves"})
_ITS_ANY, _FAR_BEFORE = _ITS | {"any"}, 20
_COMMA, _OFF, _DRAINED = Token(",", "mark", ","), Token("removed", "preparation"), Token("drained", "preparation")


def _taken_off(tokens: list[Token]) -> list[Token]:
    """The tokens with what is used without a part of it said as cooks do: "kale without the stalks", "tuna, no oil".

    Not in a bracket, which may weigh what is left: "1 mango (200 g without the stone)".
    """
    heard: list[Token] = []
    at = depth = 0
    while at < len(tokens):
        part, gone = _part_gone(tokens, at) if tokens[at].text == _WITHOUT.text and at and not depth else (at, None)
        if gone is not None:
            if heard[-1].text == ",":
                heard.pop()
            heard += [_COMMA, gone] if gone is _DRAINED else [_COMMA, tokens[part], gone]
        else:
            heard.append(tokens[at])
            depth += (tokens[at].text == "(") - (tokens[at].text == ")")
        at = part + 1
    return heard


def _part_gone(tokens: Sequence[Token], at: int) -> tuple[int, Token | None]:
    """The place of the part behind "without", and the word for how it is gone; None where it is no such part."""
    part = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].text in _ITS_ANY)
    ends = part < len(tokens) and (part + 1 == len(tokens) or tokens[part + 1].kind not in _NAMED)
    before = tokens[max(0, at - _FAR_BEFORE) : at]
    gone = _how_gone(tokens[part], before) if ends and _LEAVES.isdisjoint([one.text for one in before]) else None
    return (part, gone) if gone is not None else (at, None)


def _how_gone(part: Token, before: Sequence[Token]) -> Token | None:
    """The word for a part that is pared off or poured away; None for any other, such as "salt"."""
    if (part.key or part.value) in _PARED:
        return _OFF
    held = any(token.kind == "measure" and token.value in _HOLDERS for token in before)
    return _DRAINED if held and part.key in _POURED else None


def _kept_first(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens with "reserving" before an amount that is set apart: "2 onions, 2 tbsp reserved for the top"."""
    kept = next((at for at, token in enumerate(tokens) if token.text in _KEPT), 0)
    start = next((at for at in range(kept - 1, max(kept - _FAR, 0), -1) if tokens[at].kind == "mark"), kept)
    apart = tokens[start + 1 : kept]
    if not apart or apart[0].kind != "number" or any(token.kind == "joiner" or token.text in _LEFT for token in apart):
        return tokens  # "2 onions, 1 cup chopped and reserved", "6 eggs, 1 yolk reserved"
    return [*tokens[: start + 1], _RESERVING, *apart, *tokens[kept + 1 :]]


def _of_one(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens without the part of a whole that is not taken: "zest but not the juice of 1 orange"."""
    at = next((at for at, token in enumerate(tokens) if at and token.value == DENYING), 0)
    part = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].text in _ITS)
    end = part + 1 + (part + 1 < len(tokens) and tokens[part + 1].text == ",")
    if not at or end >= len(tokens) or tokens[part].kind not in ("word", "measure") or tokens[end].text not in _OF:
        return tokens
    return [*tokens[: at - (tokens[at - 1].text in _BEFORE_NOT)], *tokens[end:]]


_OF, _BEFORE_NOT = frozenset({"of", "from"}), frozenset({"but", "and", ","})
_FAR = 8
_RESERVING = Token("reserving", "remark")


def _lacks(token: Token, before: Token, behind: Token | None) -> bool:
    """Whether a word says that a food is without what follows: ", no pips", "with no MSG", "minus the fat"."""
    if behind is None:
        return False
    if token.text == "no":
        return before.kind == "mark" or before.text in BEFORE_NO
    if token.text == "minus" and behind.kind == "word" and before.kind in ("word", "mark"):
        return True
    return token.text in LESS and behind.text in _ITS


def _without_part(tokens: list[Token]) -> list[Token]:
    """The tokens of eggs without the part that is thrown away: "12 eggs without the yolks" are egg whites."""
    egg = next((at for at, token in enumerate(tokens) if token.key == "egg"), len(tokens))
    separated = any(token.text == "separated" for token in tokens)
    for start, end in _stretches(tokens, egg):
        part = next((at for at in range(max(start, egg + 2), end) if tokens[at].text in _LEFT), None)
        if part is None or not _is_gone(tokens[start:part], tokens[part], tokens[part + 1 : end], separated=separated):
            continue
        if any(token.kind in COUNTING for token in tokens[start:part]) or _says_of_which(tokens[part + 1 : end]):
            return [*tokens[:start], Token(SOME_GONE, "remark"), *tokens[end:]]  # "5 eggs, 2 yolks discarded"
        named = tokens[egg + 1].text in _LEFT  # "2 egg whites, no yolk"
        left = [] if named else [Token(_LEFT[tokens[part].text], "word", _LEFT[tokens[part].text])]
        return [*tokens[: egg + 1], *left, *tokens[egg + 1 : start], Token("discarded", "remark"), *tokens[end:]]
    return tokens


def _stretches(tokens: Sequence[Token], egg: int) -> Iterator[tuple[int, int]]:
    """From where to where tokens between marks speak of the eggs before them: up to the next food that is counted."""
    marks = (at for at in range(egg + 1, len(tokens)) if tokens[at].kind == "mark")
    for before, end in pairwise((egg, *marks, len(tokens))):
        stretch = tokens[before + 1 : end]
        if before > egg and stretch and stretch[0].kind == "number":
            if not any(token.text in _LEFT for token in stretch) and any(token.kind == "word" for token in stretch):
                return  # "2 eggs, 3 leeks, white removed"
        yield before + 1, end


def _is_gone(before: Sequence[Token], part: Token, behind: Sequence[Token], *, separated: bool) -> bool:
    """Whether words right beside a part of an egg say that it is not used; a food may be "white", too.

    Of eggs that are separated, what is kept for later goes into the same dish.
    """
    near = next((token.text for token in reversed(before) if not _is_between(token)), "")
    further = next((token for token in behind if not _is_between(token)), part)
    if further.text in _REMOVED:
        return True
    if near in _REMOVING:
        modifies = part.text == part.key and further is not part and further.kind in _NAMED  # "no white pepper"
        return not modifies and further.text not in _HAPPENING
    elsewhere = _ELSEWHERE - {"later"} if separated else _ELSEWHERE
    return not _SAVING.isdisjoint((near, further.text)) and any(token.text in elsewhere for token in behind)


def _is_between(token: Token) -> bool:
    """Whether a word may part those of a part of an egg: "discard 2 of the", "white part removed"."""
    return token.text in _BETWEEN or token.kind in COUNTING


def _says_of_which(behind: Sequence[Token]) -> bool:
    """ "Yolks removed from 2", "the yolk of one": of how many eggs a part is gone, and not of all."""
    return any(one.text in ("of", "from") and two.kind in COUNTING for one, two in pairwise(behind))
