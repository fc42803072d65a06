"""One amount of several foods: of each, of all together, the same again, divided among kinds or into halves.

    each   = amount "each" list                              "1 tsp each ground cumin, coriander and turmeric"
           | list ( "," amount "each" | "(" amount "each" ")" )    "cumin and coriander, 1 tsp of each"
    behind = list amount                                     "Mint, parsley, dill - a handful": of all together
    same   = amount food "," food "same" [ "amount" ]        "3 cloves of garlic, ginger same amount"
    halves = amount [ head ] ( "," | "(" ) "half" food [ "and" ] "half" food     "500 g mince, half beef, half pork"
           | amount [ head ] ( "," | "(" ) ( "equal parts" | "50/50" ) food "and" food

Clauses are changed in place: they gain the amount that they share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise, takewhile

from service.core.amount import Amount, read_amount
from service.core.clause import EATEN_WITH, SEASONINGS, TAKEN, Clause, ClauseReader, with_joined
from service.core.coordination import (
    NEAREST,
    has_purpose,
    is_list,
    is_whole_name,
    lend_manner,
    says_kind,
    says_part,
    words_of,
)
from service.core.line_item import Items, is_number, text_of
from service.core.line_items import split
from service.core.noun_phrase import ADJECTIVES, Lexicon
from service.core.vocabulary import Token, key_word


def wrap_each(clause: Clause, food: Clause | None) -> None:
    """ "12 spears, each wrapped in a slice of ham": what each piece of the food before it takes is taken so often."""
    if not clause.joined or EATEN_WITH.isdisjoint([token.text for token in clause.before]):
        return
    counted = (clause if clause.named() else food) if clause.says_each() else None
    if counted is None or counted.amount is None:
        return
    times = counted.amount
    for one in clause.joined:
        if one.amount is not None:
            one.amount = replace(one.amount, low=one.amount.low * times.low, high=one.amount.high * times.high)


# What refers to the amount of the food before it, and what may follow that.
_SAME, _AS_MUCH = frozenset({"same", "equal", "ditto"}), frozenset({"much", "many"})
_OF_AMOUNTS = frozenset("amount amounts quantity quantities weight measure volume part parts again of".split())
# What may stand across from the food; "twice" and what it is bought with may not.
_BESIDE_AGAIN = frozenset({"filler", "approximate", "preparation", "state", "size"})


def repeat_amounts(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "garlic 3 cloves, ginger same amount": a food takes the amount of the one before it, if nothing else is said.

    Not in "salt as much as needed", "same brand sugar": what else is said is but a remark then.
    """
    for earlier, clause in pairwise(clauses):
        if clause.amount is not None or earlier.amount is None or not earlier.named():
            continue
        words, (start, end) = clause.before, _again(clause.before)
        if start == end:
            continue
        tail = next((at for at in range(end, len(words)) if words[at].text == "as"), len(words))
        ahead = [token for token in words[:start] if token.text not in ("the", "an")]
        behind = words[end:tail] or clause.of
        food, across = (behind, ahead) if lexicon.names_food(behind) else (ahead, behind)
        if not lexicon.names_food(food):
            continue
        plain = end > start + 1 or food is ahead or _is_name_alone(food, lexicon)
        if plain and not _says_more(across, words[tail:], clause, earlier):
            clause.before, clause.of, clause.amount = [*ahead, *behind], [], earlier.amount
        elif words[start].text == "as":
            clause.before, clause.of = list(food), []
            if not across:  # "twice as much" is an amount, which nobody works out: the food stands there without one
                clause.remarks += [*words[start:end], *words[tail:]]


def _again(words: Sequence[Token]) -> tuple[int, int]:
    """Where words refer to an amount: "the same amount of", "as many", "ditto"; an empty stretch where none do."""
    for at, token in enumerate(words):
        as_much = token.text == "as" and at + 1 < len(words) and words[at + 1].text in _AS_MUCH
        if as_much or token.text in _SAME:
            behind = takewhile(lambda one: _OF_AMOUNTS.issuperset(one.text.split()), words[at + 1 + as_much :])
            return at, at + 1 + as_much + sum(1 for _ in behind)
    return 0, 0


def _is_name_alone(food: Sequence[Token], lexicon: Lexicon) -> bool:
    """Whether a food's name stands right behind "the same", and no brand or size of which it is the same."""
    words = [key_word(token) for token in food]
    return all(token.kind == "word" for token in food) and is_whole_name(words, lexicon, usual=True)


def _says_more(across: Sequence[Token], compared: Sequence[Token], clause: Clause, earlier: Clause) -> bool:
    """Whether more is said than "as much": "twice as much", "as much as needed", but not "as much sugar as butter"."""
    other = [key_word(token) for token in compared[1:] if token.kind in ("word", "state")]
    if any(token.kind not in _BESIDE_AGAIN for token in across) or (compared and other != words_of(earlier)):
        return True
    return any(token.kind == "to taste" or token.text.startswith("as ") for token in clause.remarks)


def lend_amounts(clauses: list[Clause]) -> None:
    """ "Onion - 2 large, tomato - 3 medium": amounts behind the foods, in a line where every food has its own so."""
    pairs = [(first, second) for first, second in pairwise(clauses) if _is_told_by(first, second)]
    if len(pairs) < 2:
        return
    for first, second in pairs:
        first.absorb(second)
        clauses.remove(second)


def _is_told_by(food: Clause, amount: Clause) -> bool:
    """Whether a clause states the amount of the food before it, and nothing else."""
    return food.named() and food.amount is None and amount.amount is not None and not amount.named()


def divide_count(clauses: list[Clause], reader: ClauseReader) -> None:
    """What becomes of some and of others is a food each, where the line counts all: "6 eggs (4 whole, 2 yolks)"."""
    for at in range(min(len(clauses), NEAREST) - 1, -1, -1):
        clause = clauses[at]
        alone = at == len(clauses) - 1 and not clause.brackets
        if clause.amount is None or alone or not clause.named():
            continue
        held = [reader.read(piece) for bracket in clause.brackets[:1] for piece in split(bracket)]
        if kinds := _kinds(clause, with_joined(held), reader.lexicon):
            clauses[at : at + 1] = kinds
        elif kinds := _kinds_behind(clause, with_joined(clauses[at + 1 :]), reader.lexicon):
            clauses[at:] = kinds  # "2 lemons, 1 juiced and 1 sliced"
        elif any(_counts_some(clause.amount, one) for one in clauses[at + 1 : at + 2]):
            clause.divided = True  # "6 eggs, 3 hard boiled"


def _counts_some(whole: Amount, clause: Clause) -> bool:
    """Whether a clause counts fewer pieces than there are, by what becomes of them, and names nothing."""
    some = clause.amount
    if some is None or some.measure is not None or whole.measure is not None or not clause.before or clause.named():
        return False
    return some.high < whole.high and all(token.kind in ("state", "preparation") for token in clause.before)


def _kinds_behind(clause: Clause, kinds: Sequence[Clause], lexicon: Lexicon) -> list[Clause]:
    """The kinds that stand behind a food; "3 tbsp yogurt, 2 tbsp vinegar, 1 lemon" are three foods."""
    mine = words_of(clause) if kinds else []
    for one in kinds if mine else ():
        own = is_whole_name(words := words_of(one), lexicon, usual=True)
        if own and not (says_kind(mine, words, lexicon) or says_part(mine, words, lexicon)):
            return []
    return _kinds(clause, kinds, lexicon)


def _kinds(clause: Clause, kinds: Sequence[Clause], lexicon: Lexicon) -> list[Clause]:
    """The kinds that make up all of a food, by the same measure; none where they do not, or all are the same food."""
    whole = clause.amount
    if whole is None or not 1 < len(kinds) <= NEAREST or whole != Amount(whole.low, whole.high, whole.measure):
        return []
    amounts = [one.amount for one in kinds if one.amount is not None and (one.before or one.amount.size)]
    same = all(amount.measure in (None, whole.measure) for amount in amounts)
    if len(amounts) < len(kinds) or not same or sum(amount.high for amount in amounts) != whole.high:
        return []
    parted = [
        Clause(amount=replace(amount, measure=whole.measure), before=_kind_of(clause, one, lexicon))
        for one, amount in zip(kinds, amounts, strict=True)
    ]
    return parted if len({_meant(one, lexicon) for one in parted}) > 1 else []


def _kind_of(clause: Clause, kind: Clause, lexicon: Lexicon) -> list[Token]:
    """ "egg yolks", "juiced lemons": the words of a kind behind the food's name where that makes a name of its own."""
    name = lexicon.ending([word for token in (*clause.before, *kind.before) if (word := key_word(token))])
    behind = name is not None and name.words > 1
    return [*clause.before, *kind.before] if behind else [*kind.before, *clause.before]


def _meant(clause: Clause, lexicon: Lexicon) -> tuple[str | None, bool, str | None]:
    """What a clause names: the entry, whether what is taken of a fruit is meant, and the size of its pieces."""
    name = lexicon.ending([word for token in clause.before if (word := key_word(token))])
    taken = any(token.text in TAKEN for token in clause.before)
    return name.food_id if name else None, taken, clause.amount.size if clause.amount is not None else None


def take_each(clauses: list[Clause], reader: ClauseReader) -> None:
    """ "cumin, coriander and turmeric, 1 tsp of each": an amount that is said last holds for each food before it."""
    foods = with_joined(clauses)
    cut = foods.pop() if len(foods) > 2 and foods[-2].says_each() and _is_cutting(foods[-1]) else None
    if len(foods) < 2 or any(one.amount for one in foods[:-1]):
        return
    last = foods[-1]
    if last.named() and last.late and last.says_each():
        for one in foods[:-1]:  # "butter, sugar, flour 100 g each"
            one.amount = last.amount
        return
    if not last.named() and last.amount and last.says_each():
        if last not in clauses:
            return  # it is joined to one that takes a share of its own
        clauses.remove(last)
    elif last.amount is None and last.brackets and (inner := reader.read(last.brackets[-1])).says_each():
        if inner.amount is None or inner.named():
            return
        last.brackets.pop()
        last = inner
    else:
        return
    clauses[0].amount = last.amount
    clauses[0].remarks.extend((*last.before, *last.remarks))
    if cut in clauses:  # "onion and carrot, 1 of each, minced"
        clauses.remove(cut)
        clauses[0].remarks.extend(cut.before)
        for one in foods[:-1]:  # "oregano, basil - 1/2 tsp each, dried"
            one.before[:0] = [token for token in cut.before if token.kind == "state"]


def share_behind(clauses: list[Clause], lexicon: Lexicon) -> None:
    """ "Mint, parsley, dill - a handful": an amount that stands behind a list of foods is of all of them together."""
    *foods, last = clauses
    if last.amount is None or last.named() or len(foods) < 2 or any(one.amount or one.joined for one in foods):
        return
    if all(one.named() and not one.remarks for one in foods) and is_list(foods, lexicon):
        share = even_share(last.amount, len(foods))
        for one in foods:
            one.amount, one.shared = share, True
        foods[0].remarks.extend((*last.before, *last.remarks))
        clauses.remove(last)


def _is_cutting(clause: Clause) -> bool:
    """Whether a clause says how foods are cut, or in which state they are, and nothing else."""
    return clause.amount is None and bool(clause.before) and all(token.kind in _MANNER for token in clause.before)


_MANNER = frozenset({"preparation", "state"})


def share_amount(clauses: Sequence[Clause], lexicon: Lexicon) -> None:
    """ "1 tsp each ground cumin, coriander": the first clause's amount, and its "ground", hold for all."""
    first = clauses[0]
    others = [one for clause in clauses[1:] for one in clause.all()]
    if not any(one.says_each() for one in (first, *others)) and _is_of_first(first, others):
        return
    for one in others:
        one.amount = one.amount or first.amount
        lend_manner(first, one, lexicon)
    every = [first, *others]
    if first.amount is not None and lexicon.measured_by(first.amount) == "mass":
        if all(one.amount is first.amount and not one.says_each() for one in every):
            share = even_share(first.amount, len(every))
            for one in every:  # "100 g watercress, spinach and rocket" is of all together
                one.amount, one.shared = share, True


def _is_of_first(first: Clause, others: Sequence[Clause]) -> bool:
    """Whether an amount is of its own food alone: "2 tbsp oil, salt and pepper", "1 tbsp rum, parsley to serve"."""
    if any(one.is_to_taste() or has_purpose(one) for one in others):
        return True
    seasonings = SEASONINGS.intersection(key_word(token) for one in others for token in one.nouns())
    spoons = first.amount is not None and first.amount.measure in ("tsp", "tbsp", "pinch", "dash")
    own = SEASONINGS.intersection(key_word(token) for token in first.nouns())
    return bool(seasonings) and not own and (len(seasonings) > 1 or not spoons)


def even_share(amount: Amount, count: int) -> Amount:
    """One of `count` even shares of an amount, of which only the first measure is kept."""
    return replace(amount, low=amount.low / count, high=amount.high / count, also=None, plus=None)


_EVENLY = frozenset({"half", "50/50", "equal"})
_LONGEST_HALF = 3


def halves(items: Items, lexicon: Lexicon) -> list[list[object]]:
    """The lines of two foods that share an amount evenly, each with all of it; none where a line says no such thing.

    "500 g mince, half beef and half pork" is 500 g beef mince and 500 g pork mince, of which each counts half.
    """
    items = _amount_first(items, lexicon)
    if not items or not is_number(items[0]):
        return []
    said = [text_of(item[0]) if isinstance(item, tuple) and item else text_of(item) for item in items]
    if _EVENLY.isdisjoint(said):
        return []  # most lines, quickly
    at = next((at for at, word in enumerate(said) if at and word in _EVENLY), 0)
    if said[at - 1] == "or":
        return []  # "250 ml milk, or half milk half water"
    stated = read_amount(items, 0, lexicon.measures) if at else None
    if stated is None or stated[1] > at:
        return []
    item = items[at]
    kinds = _two_halves(item if isinstance(item, tuple) else items[at:])
    rest = items[at + 1 :] if isinstance(item, tuple) else ()
    head = [item for item in items[stated[1] : at] if isinstance(item, Token) and item.kind in ("word", "preparation")]
    named = [_of_half(kind, head, lexicon) for kind in kinds]
    return [[*items[: stated[1]], *one, *rest] for one in named] if len(named) > 1 and all(named) else []


def _amount_first(items: Items, lexicon: Lexicon) -> Items:
    """The items with the amount behind the first words before them: "mince 700 g - half beef, half pork"."""
    at = next((at for at, item in enumerate(items) if is_number(item)), 0)
    found = read_amount(items, at, lexicon.measures) if 0 < at <= _LONGEST_HALF else None
    named = all(isinstance(item, Token) and item.kind in ("word", "state", "preparation") for item in items[:at])
    return [*items[at : found[1]], *items[:at], *items[found[1] :]] if found and named else items


def _two_halves(items: Items) -> list[list[Token]]:
    """The words of two foods of "half beef, half pork", "half each beef and pork", "50/50 beef and pork"."""
    first, *behind = (item for item in items if not (isinstance(item, Token) and item.kind in ("filler", "mark")))
    behind = behind[1:] if text_of(first) == "equal" else behind  # "equal parts"
    apart = {"half"} if any(text_of(item) == "half" for item in behind) else {"and", "&"}
    place = next((at for at, item in enumerate(behind) if text_of(item) in apart), 0)
    found = (list(takewhile(_names_half, part)) for part in (behind[:place], behind[place + 1 :]))
    return [[item for item in part if isinstance(item, Token)] for part in found if 0 < len(part) <= _LONGEST_HALF]


def _names_half(item: object) -> bool:
    return isinstance(item, Token) and item.kind in ("word", "state")


def _of_half(kind: list[Token], head: list[Token], lexicon: Lexicon) -> list[Token]:
    """The food of one half, with the head before it where it has none: "beef" of "ground meat" is ground beef."""
    words = [key_word(token) for token in kind]
    if head and key_word(head[-1]) in lexicon.vocabulary.titles.groups:
        return [*head[:-1], *kind]
    name = lexicon.ending([*words, key_word(head[-1])]) if head and key_word(head[-1]) not in words else None
    if name is not None and name.key >= {key_word(head[-1])} | {words[-1]} - ADJECTIVES:
        return [*kind, *head]
    return kind if lexicon.names_food(kind) else []
