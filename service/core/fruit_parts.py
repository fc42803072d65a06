"""What is taken of a fruit, its juice and its zest: which fruit is meant, and that it is one food.

    taken  = fruit ( "," takers | "(" takers ")" )           "1 lime, zest and juice", "2 lemons, juice of 1"
           | amount takers "and" amount takers "of" fruit        "1 tsp zest and 1 tbsp juice of 1 lemon"
           | amount fruit takers ( "plus" | "," ) amount takers  "1 tbsp lemon juice plus 1 tsp zest"

Clauses are changed in place: they gain the fruit that another one names.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.clause import TAKEN, Clause, ClauseReader, with_joined
from service.core.line_items import split
from service.core.noun_phrase import CITRUS
from service.core.vocabulary import Token, key_word


def take_of_fruit(clauses: list[Clause], reader: ClauseReader) -> None:
    """What is taken of a fruit: "1 lime, zest and juice", "1 lemon (juice and zest)", "2 lemons, juice of 1"."""
    at = next((at for at, clause in enumerate(clauses) if is_fruit(clause)), len(clauses))
    fruit = clauses[at] if at < len(clauses) else None
    if fruit is None or fruit.joined or fruit.alternatives:
        return
    inside = [reader.read(piece) for bracket in fruit.brackets[:1] for piece in split(bracket)]
    held = list(takewhile(only_takes, with_joined(inside)))
    _part_takers(clauses, at)
    takers = held or list(takewhile(only_takes, with_joined(clauses[at + 1 :])))
    if len(takers) < 2 and not any(one.amount for one in takers):
        return  # of one thing it is the yield of whole fruits: "1 lime, juiced"
    for one in takers:
        one.of, one.amount = list(fruit.before), one.amount or fruit.amount
    takers[0].remarks.extend(fruit.remarks)
    takers[0].brackets.extend(() if held else fruit.brackets)
    clauses[at : at + 1] = inside if held else ()


def _part_takers(clauses: list[Clause], at: int) -> None:
    """ "1 lemon, zested and juiced", "1 lemon zested, then juiced": a clause of its own for each that is taken."""
    near = clauses[at : at + 2]
    done = [token for clause in near for token in clause.before if token.kind == "preparation" and token.text in TAKEN]
    if len(done) < 2 or any(one.named() or one.amount for one in near[1:]):
        return
    clauses[at].before = [token for token in clauses[at].before if token not in done]
    takers = [Clause(before=[Token(token.text, "word", token.text)]) for token in done]
    alone = near[1:] and all(token in done or token.kind != "preparation" for token in near[1].before)
    clauses[at + 1 : at + 2 if alone else at + 1] = takers


def only_takes(clause: Clause) -> bool:
    """Whether a clause names what is taken of a fruit and no more: "grated zest", "juice of 1"."""
    nouns = {key_word(token) for token in clause.nouns()}
    return bool(nouns) and nouns <= TAKEN.keys() and CITRUS.isdisjoint(key_word(token) for token in clause.of)


def lend_fruit(main: Clause, rest: Clause) -> None:
    """ "1 lemon zest & juice": both are taken of the fruits that are counted."""
    fruit = [one for one in main.nouns() if key_word(one) in CITRUS]
    if not fruit or not main.takes() or main.amount is None or rest.amount is not None:
        return
    if only_takes(rest) and not rest.of:
        main.before, main.of = [one for one in main.before if one not in fruit], fruit
        rest.of, rest.amount = fruit, main.amount


def lend_fruit_on(everyone: Sequence[Clause]) -> None:
    """ "1 tbsp lemon juice plus 1 tsp zest": what is measured of no fruit is taken of that named right before it."""
    for one, other in pairwise(everyone):
        fruit = [token for token in (*one.nouns(), *one.of) if key_word(token) in CITRUS]
        if not fruit or other.of or other.amount is None or not (one.takes() and only_takes(other)):
            continue
        if {key_word(token) for token in one.nouns()}.isdisjoint(key_word(token) for token in other.nouns()):
            other.of = fruit


def shares_fruit(main: Clause, rest: Clause) -> bool:
    """ "zest & juice 1 lime": both are taken of the fruit that the second counts behind its name."""
    taken = {key_word(token) for token in main.nouns()}
    return rest.late and rest.takes() and not main.of and not rest.of and taken <= TAKEN.keys()


def is_fruit(clause: Clause) -> bool:
    """Whether a clause names a fruit whose juice and zest are used, and no more."""
    fruit = not CITRUS.isdisjoint([token.key for token in clause.nouns()])
    return fruit and not clause.takes() and not clause.of
