"""What a line's own words say of the share of it that is eaten, and of what becomes of its fat or liquid.

    line   = food { ( "," | ";" | "(" | "." | " - " ) clause }
    clause = [ "of which" | "but" | "then" | "about" ... ] ( left | taken | gone | treatment )
    left   = share [ thing ] [ "is" ] ( "left" | "remains" | "discarded" ... ) [ place ] [ when ]     which is not eaten
    taken  = share [ thing ] [ "is" ] ( "eaten" | "absorbed" | "taken up" ... ) [ when ]
    gone   = ( "discard" | "throw away" ... ) [ vague ] [ thing ] [ when ]
           | [ thing ] [ "is" ] ( "discarded" | "not eaten" ... ) [ when ]
    share  = "half" | "a third" | "two thirds" | "a quarter" | "three quarters" | number "%" | number "/" number | vague
    vague  = "most" | "some" | "a little" | "the rest" | "the excess" ...      how much is eaten is to be asked
    thing  = [ "of" ] ( "it" | [ "the" ] name )     the line's own food or its purpose, never a part of it

"skin discarded" behind chicken is no such thing: skin is not what the line is about. A clause counts only as a whole.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from service.core.text import fold, singular

_SHARES = {
    "half": 1 / 2, "one half": 1 / 2, "a half": 1 / 2, "a third": 1 / 3, "one third": 1 / 3, "two thirds": 2 / 3,
    "a quarter": 1 / 4, "one quarter": 1 / 4, "three quarters": 3 / 4, "a fifth": 1 / 5, "a tenth": 1 / 10,
    "one fifth": 1 / 5, "one tenth": 1 / 10,
}  # fmt: skip
_VAGUE = (
    r"(?P<vague>(?:nearly|almost|not)\s+all|most(?:ly)?|much|some|very\s+little|(?:a\s+)?(?:little|bit)|part"
    r"|what\s+is\s+left|(?:the\s+|any\s+|all\s+)?(?:rest|remainder|remaining|excess|surplus|leftovers?))"
)
_SHARE = (
    rf"(?:(?P<share>{'|'.join(sorted(_SHARES, key=len, reverse=True))}|\d{{1,3}}(?:\.\d+)?\s*(?:%|per ?cent)"
    rf"|\d/\d{{1,2}})|{_VAGUE})"
)
_BE = r"(?:is|are|was|will be|gets?|to be|being)"
_NO_THING = rf"(?!(?:{_BE[3:-1]}|after|afterwards|before|when|once|at)\b)"
_THING = rf"(?:of\s+)?(?:(?P<it>it|this)|(?:the\s+|this\s+)?{_NO_THING}(?P<thing>[a-z][a-z' -]{{0,40}}?))"
_THROWN = (
    r"(?:discarded|thrown away|thrown out|poured away|poured off|drained away|drained off|shaken off"
    r"|not eaten|not used)"
)
_PLACE = r"(?:\s+(?:behind|over|in|on)(?:\s+(?:the|a)\s+(?:pan|pot|fryer|dish|bowl|tin|tray|wok|bag|plate|skillet))?)?"
_WHEN = (
    r"(?:\s+(?:afterwards|at the end|(?:after|before)(?:\s+[a-z -]{1,40})?"
    r"|(?:when|once)\s+(?:[a-z -]{1,30}\s+)?(?:done|cooked|cured|served|finished|ready|marinated)))?"
)
_START = r"(?:(?:of which|but|then|and|about|around|roughly|some|only|just|so)\s+)*"
_LEFT = re.compile(
    rf"{_START}{_SHARE}(?:\s+{_THING})?(?:\s+{_BE})?\s+(?:(?:left|stays?|remains?|remaining){_PLACE}|{_THROWN}){_WHEN}"
)
_TAKEN = re.compile(
    rf"{_START}{_SHARE}(?:\s+{_THING})?(?:\s+{_BE})?\s+"
    rf"(?:eaten|absorbed|taken up|soaked up|soaked in|consumed|used){_WHEN}"
)
_GONE = re.compile(
    rf"{_START}(?:(?:discard|throw away|throw out|pour away|pour off|shake off)(?:\s+{_VAGUE})?(?:\s+{_THING})?{_WHEN}"
    rf"|(?:{_THING.replace('it>', 'it2>').replace('thing>', 'thing2>')}\s+)?(?:{_BE}\s+)?{_THROWN}{_WHEN})"
)
_WORD = re.compile(r"[a-z0-9.]+")
# Where a line takes a part of its food, what is left of that is no share of what it counts: "juice of 1 lemon".
_PART_TAKEN = re.compile(r"\b(?:only(?=\s*(?:[,;()]|$))|juiced?|zest|zested|yolks?|whites?|seeds|flesh|scraped)\b")
# That is no part taken where it is the food itself, "100 g sunflower seeds": but the rest of "3 egg whites" is none.
_PART_NAMED = re.compile(r"(?<=\w )(?:juice|zest|yolks?|whites?|seeds|flesh)$")
_THE_REST = re.compile(r"\b(?:rest|remainder|remaining|left|leftovers?)\b")
_CLAUSES = re.compile(r"\s*[,;()]\s*|\.\s+|\s+[-–—]+\s+|\.$")
# A food that comes in, with or beside another is not what a clause speaks of by name.
_SEVERAL = re.compile(r"\b(?:in|with|and|or|plus)\b|[+&]")
_TIME = r"(?:\d+|an?|one|two|half)[\s-]*(?:min|mins|minutes?|h|hrs?|hours?)"
# Behind a food only these say that something was done to it after it was weighed; "fried" may be how it was bought.
_AFTER = re.compile(
    r"\b(?:drained|poured off|(?:fat|liquid|juices) eaten|water used|fat kept"
    rf"|{_TIME})\b"
)
# A time at the stove that is no treatment by name, since the tables know only some: "simmered 45 minutes".
_COOKED = re.compile(
    r"(?:\w+ly\s+)?(?:simmered|boiled|cooked|baked|braised|stewed|reduced|poached|roasted|fried|grilled|steamed)"
    rf"(?:\s+\w+ly)?(?:\s+for)?(?:\s+about)?\s+{_TIME}\b"
)


# Of a line whose words name a treatment that it does not have.
AS_RAW: Final = "counted as raw"
# So many last clauses of a line are looked at: nobody says more of a food, and it keeps the time linear.
_MOST = 8


@dataclass(frozen=True, slots=True)
class SaidEaten:
    """The share of 1 that is eaten, None where the words leave it open ("most of it discarded"); and those words."""

    share: float | None
    words: str


@lru_cache(maxsize=4096)
def said_eaten(text: str) -> SaidEaten | None:
    """What a line's own words say of the share that is eaten; None where they say nothing. A number goes first."""
    food, *clauses = _clauses(text)
    said = [found for clause in clauses[-_MOST:] if (found := _said_by(clause, food)) is not None]
    stated = next((one for one in said if one.share is not None), None)
    if stated is not None or not said:
        return stated
    own = "" if _THE_REST.search(said[0].words) else _PART_NAMED.sub("", food)
    return said[0] if not _PART_TAKEN.search(", ".join((own or food, *clauses))) else None


def said_treatment(text: str, is_treatment: Callable[[str], bool]) -> str | None:
    """The treatment that a line's last words name, where they say what becomes of its fat or liquid."""
    _, *pieces = _clauses(text)
    for start in range(max(0, len(pieces) - _MOST), len(pieces)):
        words = ", ".join(pieces[start:])
        if _AFTER.search(words) and is_treatment(words):
            return words
    return None


def eaten_note(text: str, share_eaten: float) -> str:
    """What is to be said of a line whose words speak of the share eaten, "" where they do not."""
    said = said_eaten(text)
    if said is None:
        return ""
    if share_eaten < 1 if said.share is None else abs(said.share - share_eaten) < 1e-6:
        return f"{said.words!r}: {100 * share_eaten:.3g} % of it is counted as eaten"
    return f"{said.words!r} is said, but {100 * share_eaten:.3g} % of it is counted: set its share eaten"


def counted_against(text: str, share_eaten: float) -> bool:
    """Whether all of a line is counted though its words say that not all of it is eaten: whoever sent it may not know
    of shares. Any other share is the writer's.
    """
    said = said_eaten(text) if share_eaten == 1 else None
    return said is not None and said.share != 1


def treatment_note(text: str, is_treatment: Callable[[str], bool]) -> str:
    """What is to be said of a line without a treatment whose words name one, "" where they do not."""
    said = said_treatment(text, is_treatment)
    said = said or next((clause for clause in _clauses(text)[1:][-_MOST:] if _COOKED.match(clause)), None)
    return f"{said!r} is said, but it is {AS_RAW}: set its treatment" if said else ""


def says_treatment(text: str, treatment: str) -> bool:
    """Whether a line's own words hold those of its treatment, whatever joins them."""
    return set(_WORD.findall(fold(treatment))) - {"and"} <= set(_WORD.findall(fold(text)))


def _clauses(text: str) -> list[str]:
    first, *rest = _CLAUSES.split(fold(text))
    return [first, *(piece for piece in rest if piece)]


def _said_by(clause: str, food: str) -> SaidEaten | None:
    for pattern in (_LEFT, _TAKEN):
        found = pattern.fullmatch(clause)
        if found and found["vague"] and _means(found["thing"], food):
            return SaidEaten(None, clause)
        number = _number(found["share"]) if found and found["share"] else None
        if found and number is not None and _means(found["thing"], food):
            return SaidEaten(number if pattern is _TAKEN else 1 - number, clause)
    found = _GONE.fullmatch(clause)
    if found is None or not _means(found["thing"] or found["thing2"], food):
        return None
    return SaidEaten(None if found["vague"] else 0.0, clause)


def _number(said: str) -> float | None:
    if said in _SHARES:
        return _SHARES[said]
    over, slash, under = said.partition("/")
    top = float(over.removesuffix("%").removesuffix("cent").removesuffix("per").removesuffix("per "))
    bottom = float(under) if slash else 100.0
    return top / bottom if 0 <= top <= bottom and bottom else None


def _means(thing: str | None, food: str) -> bool:
    """Whether a thing that a clause names is the food of the line, or what the line says it is for."""
    if thing is None or thing in ("it", "this"):
        return True
    name = singular(thing.split()[-1])
    return any(name == word for word in _heads(food))


def _heads(food: str) -> Iterator[str]:
    """The last words of a food and of its purpose: "soy sauce for the marinade"."""
    what, _, purpose = food.partition(" for ")
    if words := re.findall(r"[a-z']+", what):
        if not _SEVERAL.search(what):
            yield singular(words[-1])
    if words := re.findall(r"[a-z']+", purpose):
        yield singular(words[-1])
