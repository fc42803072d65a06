"""Foods behind what is done to them: "Peel, core and dice 2 pears", "Whisk 3 eggs in a jug".

    line  = [ manner ] verb { ( "," | "and" | ... ) verb } [ "up" | "out" | ... ] amount food { more } [ rest ]
    more  = tail amount food                                "Mix 2 cups flour with 1 tsp salt"
    tail  = ( "in" | "into" | "with" | "until" | "and" verb | ... ) words, none of them an amount of a food
    rest  = tail | ( "," | "(" ) words

Such a line is read as one that names the food first and what is done to it behind: "2 pears, peeled, cored, diced".
One that goes on as the method does ("whisk 1 egg, add the milk") is left to the questions of notes.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.noun_phrase import CITRUS, Lexicon
from service.core.number import OF_AMOUNTS
from service.core.portion import OPEN
from service.core.text import singular
from service.core.vocabulary import Token

_LONGEST_VERB = 3
_MOST_VERBS = 6
_LONGEST_FOOD = 10
_JOINS = frozenset({",", "and", "&", "+", "then", "/", "or"})
_PARTICLES = frozenset({"up", "out", "open", "off", "down", "together", "about", "in"})
_OPENS_AMOUNT = OF_AMOUNTS | {"heap"}
_OPENS_TAIL = frozenset({"preposition", "remark", "note start", "mark", "optional", "to taste"})
_TO = frozenset({"over", "onto", "to", "overnight", "till", "by", "at", "under", "before", "after", "through", "once"})
_CLOSING = frozenset({",", "("})
_COMMA = Token(",", "mark", ",")
# Behind a package these are what it holds its food in: "drain 1 tin tuna in oil".
_HELD_IN = frozenset({"oil", "brine", "water", "juice", "syrup", "vinegar"})


def verb_first(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """The line with its food first; no tokens where it is no such line.

    Nobody can tell whether it is a step of the method, whose foods other lines state: whoever counts it has to say so.
    """
    if tokens and tokens[0].text == "squeeze" and _is_fruit(tokens[1:]):
        return [Token("juice", "word", "juice"), *tokens[1:]]
    if not tokens or not (_is_manner(tokens[0]) or _verb_end(tokens, 0, lexicon)):
        return ()  # most lines, quickly
    verbs, at = _verbs(tokens, lexicon)
    end = _food_end(tokens, at, lexicon) if verbs else 0
    if not end:
        return ()
    kept, rest = list(tokens[at:end]), end
    while (further := _further(tokens, rest, lexicon)) is not None:
        start, rest = further
        kept += [_COMMA, *tokens[start:rest]]
    tail = _tail(tokens, rest, lexicon)
    if tail is None:
        return ()
    done = [token for verb in verbs if (token := _done(verb, lexicon)) is not None] if rest == end else []
    return [*kept, *(one for token in done for one in (_COMMA, token)), *tail]


_INTO, _OF_VESSEL = frozenset({"in", "into"}), frozenset({"the", "same", "another", "separate", "second", "clean"})
_LONGEST_VESSEL = 5


def out_of_vessel(tokens: Sequence[Token], lexicon: Lexicon) -> Sequence[Token]:
    """What stands behind the vessel that a line begins with, an amount or what is done: "In a bowl, 200 g flour"."""
    if not tokens or tokens[0].text not in _INTO:
        return tokens
    for at, token in enumerate(tokens[1:_LONGEST_VESSEL], 1):
        holds = token.key in lexicon.vocabulary.titles.vessels or lexicon.measures.kind(token) == "volume"
        if holds and at > 1:
            rest = tokens[at + 2 :] if tokens[at + 1 : at + 2] and tokens[at + 1].text in ",:-" else tokens[at + 1 :]
            done = rest[:1] and (rest[0].kind == "note start" or _verb_end(rest, 0, lexicon))
            return rest if done or _is_amount(rest, 0) else tokens
        if not (token.text in ("a", "an") or token.text in _OF_VESSEL or token.kind in ("size", "number")):
            return tokens
    return tokens


def noun_first(tokens: list[Token], lexicon: Lexicon) -> list[Token]:
    """The line with a noun that may be a verb, too, behind the words that say which: "peel, mixed, 50 g"."""
    if len(tokens) < _LEAST_TURNED or tokens[0].kind != "note start" or tokens[1].text != ",":
        return tokens
    noun = singular(tokens[0].text)
    kinds = list(takewhile(lambda token: token.kind in _SAYING_KIND, tokens[2 : 2 + _LONGEST_FOOD]))
    rest = tokens[2 + len(kinds) :]
    name = lexicon.ending([*(token.key or token.text for token in kinds), noun]) if kinds else None
    told = name is not None and noun in name.key and name.words > 1
    counted = any(token.kind in OF_AMOUNTS for token in rest)
    return [*kinds, Token(noun, "word", noun), *rest] if told and counted else tokens


_LEAST_TURNED = 4
_SAYING_KIND = frozenset({"word", "state", "preparation"})


def _is_fruit(tokens: Sequence[Token]) -> bool:
    """Whether fruits are counted there of which "squeeze" means the juice: "1 lemon", not "200 g courgette"."""
    return len(tokens) > 1 and tokens[0].kind == "number" and tokens[1].key in CITRUS


def _verbs(tokens: Sequence[Token], lexicon: Lexicon) -> tuple[list[str], int]:
    """The verbs that open a line, and the place of the amount behind them; none where no amount follows."""
    verbs: list[str] = []
    at = 0
    while at < len(tokens) and len(verbs) < _MOST_VERBS:
        at += _is_manner(tokens[at])
        end = _verb_end(tokens, at, lexicon)
        if not end:
            break
        verbs.append(" ".join(token.text for token in tokens[at:end]))
        at = end
        while at < len(tokens) and tokens[at].text in _JOINS:
            at += 1
    at += at < len(tokens) and (tokens[at].text in _PARTICLES or tokens[at].value == "with")
    return (verbs, at) if verbs and _is_amount(tokens, at) else ([], 0)


def _is_manner(token: Token) -> bool:
    return token.text.endswith("ly") and token.kind in ("word", "preparation", "filler", "heap")  # "finely"


def _verb_end(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> int:
    """The place behind the longest verb at a place, 0 for none."""
    if at >= len(tokens) or singular(tokens[at].text.split()[0]) not in lexicon.vocabulary.verb_starts:
        return 0
    words = [singular(token.text) for token in tokens[at : at + _LONGEST_VERB]]
    sizes = range(len(words), 0, -1)
    return next((at + size for size in sizes if " ".join(words[:size]) in lexicon.vocabulary.titles.readying), 0)


def _is_amount(tokens: Sequence[Token], at: int) -> bool:
    """Whether an amount stands at a place: a number, "a handful", "a small bunch"."""
    if at >= len(tokens):
        return False
    if tokens[at].kind in _OPENS_AMOUNT:
        return True
    behind = next((token.kind for token in tokens[at + 1 : at + 3] if token.kind != "size"), "")
    return tokens[at].text in ("a", "an") and (behind == "measure" or behind in _OPENS_AMOUNT)


def _food_end(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> int:
    """The place behind the food whose amount stands at a place, 0 where none is named or it is one of another line."""
    end = at + 1
    while end < len(tokens) and end - at < _LONGEST_FOOD and not _parts(tokens, end, lexicon):
        end += 1
    if any(token.text in OPEN for token in tokens[at:end]):
        return 0
    return next((place for place in range(end, at + 1, -1) if lexicon.names_food(tokens[at + 1 : place])), 0)


def _parts(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """Whether the words of a food end before a token: a tail, a mark, "and" before a verb or another amount."""
    token = tokens[at]
    if token.text in _TO and tokens[at - 1].kind != "number":
        return True
    if token.kind == "joiner":
        return _verb_end(tokens, at + 1, lexicon) > 0 or _is_amount(tokens, at + 1) or _goes_on(tokens, at + 1, lexicon)
    return token.kind in _OPENS_TAIL and not (token.text in ("-", "/") and tokens[at - 1].kind == "number")


def _goes_on(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> bool:
    """Whether a verb of the method stands at a place: "and set aside", "and stir"."""
    if at >= len(tokens):
        return False
    first = tokens[at]
    return first.kind in ("note start", "remark") or first.text in lexicon.vocabulary.titles.dividing


def _further(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> tuple[int, int] | None:
    """From where to where the next amount with its food stands, None where no more come."""
    if at >= len(tokens) or tokens[at].text in _CLOSING:
        return None
    place = next((place for place in range(at, len(tokens)) if _is_amount(tokens, place)), None)
    if place is None or any(token.text in _CLOSING for token in tokens[at:place]):
        return None
    end = _food_end(tokens, place, lexicon)
    return (place, end) if end else None


def _tail(tokens: Sequence[Token], at: int, lexicon: Lexicon) -> Sequence[Token] | None:
    """What of the words behind the foods is read; None where they are of the method, or count what nobody knows."""
    titles = lexicon.vocabulary.titles
    rest = tokens[at:]
    if any(two.text in _ADDING and one.text != "as" for one, two in pairwise(tokens[at - 1 :])):
        return None  # "per person", but not "as per packet"
    if rest and rest[0].value == "in" and rest[-1].key in _HELD_IN and len(rest) == 2:
        return rest
    dropped = next((place for place, token in enumerate(rest) if token.text in _CLOSING), len(rest))
    units = titles.minutes | titles.periods | titles.degrees | {"°", "cm", "mm", "inch", "time"}
    for place, token in enumerate(rest[:dropped]):
        near = rest[place + 1 : place + 4]
        if token.kind == "number" and not any(singular(one.text.split()[0]) in units for one in near):
            return None
    return None if "time" in [one.text for one in rest[:dropped]] else rest[dropped:]


_ADDING = frozenset({"add", "pour", "serve", "stir in", "fold in", "tip", "return", "per"})


def _done(verb: str, lexicon: Lexicon) -> Token | None:
    """A verb as what was done with a food, None where that says nothing of it: "peeled", "cut"."""
    word = verb.split()[-1]
    stem = word[:-1] if word.endswith(("e", "y")) else word
    forms = (word, f"{stem}ed", f"{word}{word[-1]}ed", f"{stem}ied")
    for form in forms:
        read = lexicon.vocabulary.lex(form)
        if len(read) == 1 and read[0].kind == "preparation" and not read[0].distance:
            return read[0]
    return None
