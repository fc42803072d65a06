"""Bare lines that are taken for headings, though they may be foods that are eaten: a dish or part without an amount.

    heading = line ":" | bare, written as headings are, with a line below that it heads
            | name, a counted line, among the next lines the same food with an amount   "Rice", "2 cups basmati"
            | name in capitals, a counted line that is not                              "MASA", "2 cups masa harina"
            | name of a dish behind no such name, two counted lines                     "Salsa", "6 chiles", "1 onion"
    name    = capital, letters: at most three words, of a food [ "(" words ")" | "-" words ]   not "Rice, boiled"
    bare    = a line without a colon that heads by its words, or names a dish, and states no amount
    written as headings are = "Apple Pie" | "Pancakes" | a blank line above it and none below | words of headings alone
                            | of a part that cooks make: a blank line above it, or capitals, and small letters elsewhere

Any other bare line is one that nobody counted, which is said with every total.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

# "": it heads nothing; "heading" by its words; "food": by its words too, but they name a dish or food; "part": they
# name a part of a dish that cooks make, and that is as often eaten with the dish: "Guacamole".
Heads = Literal["", "heading", "food", "part"]
_SHORT = 3


@dataclass(frozen=True, slots=True)
class Bare:
    """A line with what it may be taken for.

    set_off  a blank line stands above it and none below
    """

    text: str
    heads: Heads
    set_off: bool = False


# Lines below a name among which the food that it heads is looked for.
NEAREST = 3
_WORD = r"[^\W\d_][\w'’-]*"
_GLOSS = rf"{_WORD}(?: {_WORD}){{0,3}}"
_NAME = re.compile(rf"{_WORD}(?: {_WORD}){{0,2}}(?: \({_GLOSS}\)| [-–—] {_GLOSS})?")
# In bold, as many words as a title has: "**Peanut and lime sauce**"
_BOLD_NAME = re.compile(rf"\*\* ?{_WORD}(?: {_WORD}){{1,6}} ?\*\*")
# Of what no table has, more words and whatever a bracket says: "El-koshari (the base)", "Okonomiyaki (2 big ones)".
_STRANGE_NAME = re.compile(rf"{_WORD}(?: (?:& )?{_WORD}){{0,4}}(?: \([^()]{{1,60}}\))? ?!?")
_USES = frozenset({"to", "for", "with", "as", "on"})


@dataclass(frozen=True, slots=True)
class Listed:
    """A line of a list as what stands above it is judged by it.

    foods  what the food goes by that the line names: its entry, and the kinds of food that fill a plate
    dish   it may be the title of a dish;  loud  in capitals or bold
    staple  what seasons or goes into any dish: "SALT"
    """

    foods: frozenset[str]
    counted: bool
    bare: bool = False
    dish: bool = False
    loud: bool = False
    staple: bool = False


def is_name(line: str, *, known: bool = True) -> bool:
    """Whether a line is written as a short heading may be: a capital and a few words, with nothing else said.

    known  a table has the food that it names
    """
    line = line.strip()
    if _BOLD_NAME.fullmatch(line):
        return True
    line = line.strip("*").strip()
    begins = line[:1].isupper() and (_NAME if known else _STRANGE_NAME).fullmatch(line) is not None
    return begins and _USES.isdisjoint(line.casefold().split())


def heads_below(name: Listed, below: Sequence[Listed], *, after_bare: bool) -> bool:
    """Whether the name of a food stands over the lines that say what goes into it.

    after_bare  the line before it is such a name too: so are lists of what goes beside a dish
    """
    if not name.bare or not below or not below[0].counted:
        return False
    if any(one.counted and not one.foods.isdisjoint(name.foods) for one in below[:NEAREST]):
        return True
    if name.loud and not (below[0].loud or name.staple):
        return True
    return name.dish and not after_bare and len(below) > 1 and below[1].counted


def is_capitalized(line: str) -> bool:
    """Whether a line is written as titles are: two words or more, and each that is not short has a capital."""
    words = [word for word in line.replace("-", " ").split() if word[0].isalpha()]
    return len(words) > 1 and all(word[0].isupper() for word in words if len(word) > _SHORT or word is words[0])


def unheeded(lines: Sequence[Bare], *, titled: bool = False) -> tuple[int, ...]:
    """The places of the bare lines that nobody can take for headings without a doubt.

    titled  the first line may be the title of them all
    """
    found = []
    shouted = all(line.text.isupper() for line in lines)
    for at, line in enumerate(lines):
        if not line.heads or line.text.rstrip().endswith(":"):
            continue
        if titled and not at and line.text[:1].isupper() and not all(one.heads for one in lines):
            continue
        heads = at + 1 < len(lines) and not lines[at + 1].heads
        if not heads or not _is_written_so(line, shouted=shouted):
            found.append(at)
    return tuple(found)


def _is_written_so(line: Bare, *, shouted: bool) -> bool:
    """Whether a line is written as headings are; one capital may begin any line, but hardly a single word's.

    shouted  all lines are in capitals, which say nothing then
    """
    if line.heads == "heading" or line.set_off:
        return True
    if line.heads == "part":
        return line.text.isupper() and not shouted
    alone = len(line.text.split()) == 1 and line.text[:1].isupper()
    return alone or is_capitalized(line.text)
