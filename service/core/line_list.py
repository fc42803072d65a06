"""Lines that follow each other: what a line is that names a food or dish and no amount, the lines around it tell.

Which lines head others is told in bare_line.
"""

from __future__ import annotations

import re
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain

from service.core.analyse import LineResult, PartResult
from service.core.bare_line import NEAREST, Bare, Listed, heads_below, is_name, unheeded
from service.core.name_doubts import MAY_BE_TITLE
from service.core.text import fold, singular

_NOT_COUNTED = "no amount: taken for a title or a heading, and nothing of it is counted"
_HEADS_BELOW = "no amount, and the lines below state what goes into it: taken for a heading"

_MAY_HEAD = "no amount, and the line below states one: it may head what follows"


def in_their_list(results: Sequence[LineResult], *, titled: bool = False) -> tuple[LineResult, ...]:
    """The results of lines that follow each other, where what heads nothing or names a dish is marked as unread.

    titled  the first line may be the title of them all
    """
    results = tuple(with_headings(results))
    read = [at for at, one in enumerate(results) if one.outcome != "not_food" or one.heads]  # notes head nothing
    lines = [Bare(results[at].line, results[at].heads) for at in read]
    doubted = {read[place] for place in unheeded(lines, titled=titled)}
    return tuple(
        replace(one, unread=True, reasons=(*one.reasons, _NOT_COUNTED)) if at in doubted else one
        for at, one in enumerate(results)
    )


def with_headings(results: Iterable[LineResult]) -> Iterator[LineResult]:
    """The results, where the name of a food over the lines that say what goes into it is a heading: see bare_line.

    None is kept back but such a name, until the lines below it are known.
    """
    waiting: deque[LineResult] = deque()
    after_bare = False
    for one in chain(results, [None]):
        if one is not None:
            waiting.append(one)
        while waiting and (one is None or len(waiting) > NEAREST or not _is_bare(waiting[0])):
            first = waiting.popleft()
            name = _listed(first)
            below = [_listed(one) for one in waiting] if name.bare else []
            heads = heads_below(name, below, after_bare=after_bare)
            if heads:
                first = LineResult(first.line, "not_food", (), (_HEADS_BELOW,), True)
            elif below and below[0].counted and not after_bare:
                first = _doubted(first)
            yield first
            after_bare = name.bare and not heads


def _doubted(result: LineResult) -> LineResult:
    """A name that may head the line below it, which states an amount; what seasons seldom does."""
    part = result.parts[0]
    if part.outcome != "resolved" or part.food is None or part.food.group_name in _SEASONING:
        return result
    part = replace(part, outcome="check", reasons=(*part.reasons, _MAY_HEAD))
    return replace(result, outcome="check", parts=(part,))


_SEASONING = frozenset({"Spices and Herbs", "Fats and Oils", "Beverages"})
_BOUGHT = "Baked Products"  # "Tortillas", "Naan": eaten with a dish oftener than made in it
_STAPLES = _SEASONING | {"Dairy and Egg Products", "Sweets"}


def _is_bare(result: LineResult) -> bool:
    """Whether a line is the name of one food and nothing else, as the tables have it; of none, a bracket may count."""
    if result.outcome == "not_food" or len(result.parts) != 1 or result.parts[0].by:
        return False
    known, amount = result.outcome != "no_match", result.parts[0].amount
    told = amount is not None and (known or amount.measure is not None)
    return not told and is_name(result.line, known=known)


def _listed(result: LineResult) -> Listed:
    part = result.parts[0] if len(result.parts) == 1 else None
    bare, counted = _is_bare(result), any(one.amount is not None for one in result.parts)
    foods = _foods(part, bare=bare) if part is not None else frozenset[str]()
    baked = part is not None and part.food is not None and part.food.group_name == _BOUGHT
    dish = part is not None and MAY_BE_TITLE in part.reasons and not baked
    staple = part is not None and part.food is not None and part.food.group_name in _STAPLES
    loud = result.line.isupper() or result.line.strip().startswith("**")
    return Listed(foods, counted, bare, dish or result.outcome == "no_match", loud, staple)


# Groups of what fills a plate, where a list is headed by a more general word than its line has: "Fish", "500 g hake".
_FILLING = frozenset({
    "Beef Products", "Pork Products", "Lamb, Veal, and Game Products", "Poultry Products",
    "Finfish and Shellfish Products", "Sausages and Luncheon Meats", "Cereal Grains and Pasta",
    "Legumes and Legume Products",
})  # fmt: skip
# Of these, what is made into other things, and first words of descriptions that say no kind of food.
_NO_FILLING = frozenset("flour meal starch oil butter milk sauce cornmeal cornstarch bran cured".split())
_CLASSES = frozenset({"fish", "crustacean", "mollusk", "game"})


def _foods(part: PartResult, *, bare: bool) -> frozenset[str]:
    """What a food goes by: its entry; of what fills a plate the first noun of the entry too, and the line's own words.

    Of a bare name only where it is one word: "Fish" is said of every fish, "fish balls" of few.
    """
    food = part.food
    if food is None:
        return frozenset()
    words = [singular(word) for word in re.findall(r"[^\W\d_]+", fold(food.description))]
    fills = food.group_name in _FILLING or words[:1] == ["potato"]
    if not fills or not _NO_FILLING.isdisjoint(words):  # a cured food goes into many a dish: "Bacon", "1 pork loin"
        return frozenset({food.id})
    own = [singular(word) for word in fold(part.text).split()]
    said = (own if len(own) == 1 else []) if bare else [*own, *words]
    return frozenset({food.id, *said}) | frozenset(words[:1]) - _CLASSES
