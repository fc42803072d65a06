"""A line as a person writes it, read into parts: each a food with its amount.

    line  = [ bullet ] clause { ("," | ";" | ":" | " - ") clause }
    group = a clause with a food, and those behind it without a food and amount of their own
    part  = one food of a group

The grammar of what a line is made of stands with its module: `line_items`, `heading`, `clause`, `coordination`,
`part`, `noun_phrase`. One pass over the tokens; brackets are read as lines of their own inside the line.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.core import coordination
from service.core.amount import WEIGHABLE, Amount, Items, MeasureWords
from service.core.clause import Clause, ClauseReader
from service.core.heading import not_food
from service.core.line_items import bracketed, is_comma, read_tokens, split
from service.core.noun_phrase import Lexicon
from service.core.part import Part, read_part
from service.core.vocabulary import Token, Vocabulary


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """A line with its parts; no parts means that it is no food, and `reason` says why."""

    text: str
    parts: tuple[Part, ...]
    reason: str = ""


def parse_line(text: str, vocabulary: Vocabulary, measures: MeasureWords) -> IngredientLine:
    """Read one line; never fails, and its time is linear in the line's length."""
    tokens = read_tokens(text, vocabulary)
    if not any(token.text[0].isalpha() for token in tokens):
        return IngredientLine(text, (), "no words")
    lexicon = Lexicon(vocabulary, measures)
    if reason := not_food(tokens, lexicon):
        return IngredientLine(text, (), reason)
    parts = _parts(bracketed(tokens), ClauseReader(lexicon))
    return IngredientLine(text, tuple(parts), "" if parts else "no food is named")


def _parts(items: Items, reader: ClauseReader) -> list[Part]:
    """The foods of a line, each with its amount."""
    lexicon = reader.lexicon
    clauses = [reader.read(piece) for piece in split(items, is_comma)]
    if clauses:
        _name_by_measure(clauses[0], lexicon)
    coordination.lend_heads([one for clause in clauses for one in clause.all()])
    if len(clauses) > 1 and clauses[-1].joined and clauses[0].says_each():
        coordination.lend_last_head(clauses, lexicon)
    if coordination.is_list(clauses, lexicon):
        coordination.share_amount(clauses)
    return [part for group in _grouped(clauses, lexicon) for part in _group_parts(group, reader)]


def _name_by_measure(clause: Clause, lexicon: Lexicon) -> None:
    """ "8 cloves": a piece without a food is the food itself."""
    amount = clause.amount
    if clause.named() or amount is None or amount.measure is None or lexicon.measured_by(amount) != "piece":
        return
    if amount.package or amount.plus or clause.of or clause.brackets:
        return
    clause.before.append(Token(amount.measure, "word", amount.measure))
    clause.amount = replace(amount, measure=None)


def _grouped(clauses: list[Clause], lexicon: Lexicon) -> list[list[Clause]]:
    """Clauses that speak of one food, together; a clause with a food and amount of its own opens a new group."""
    groups: list[list[Clause]] = []
    listing = coordination.is_list(clauses, lexicon)
    for clause in clauses:
        if not groups or (_has_named(groups[-1]) and _opens(clause, groups[-1], listing, lexicon)):
            groups.append([clause])
        else:
            groups[-1].append(clause)
    return groups


def _has_named(group: Iterable[Clause]) -> bool:
    return any(clause.named() for clause in group)


def _opens(clause: Clause, group: list[Clause], listing: bool, lexicon: Lexicon) -> bool:
    """Whether a clause names a food of its own, with its amount where no list says so."""
    counted = clause.amount is not None and any(earlier.amount for earlier in group)
    return clause.named() and (listing or counted) and lexicon.names_food(clause.nouns())


def _group_parts(group: list[Clause], reader: ClauseReader) -> list[Part]:
    """The parts of a group: one, or one for each food that "and" joins."""
    if not _has_named(group):
        _open_bracket(group, reader)
    main = _main(group, reader.lexicon)
    if not main.named():
        return []
    others = [clause for clause in group if clause is not main]
    foods = coordination.chain(main, reader.lexicon)
    amount = _group_amount(main, others, reader.lexicon)
    parts = [read_part(food, others, amount if food is main else food.amount, reader) for food in foods]
    if amount is None or len(foods) == 1 or any(food.amount for food in foods[1:]):
        return parts
    if any(clause.says_each() for clause in group):
        return [replace(part, amount=amount) for part in parts]
    share = coordination.even_share(amount, len(foods))
    return [replace(part, amount=share, shared=True) for part in parts]


def _open_bracket(group: list[Clause], reader: ClauseReader) -> None:
    """ "4 pinches of (mozzarella)": the food stands in the bracket alone."""
    holder = next((clause for clause in group if clause.brackets), None)
    if holder is not None:
        holder.absorb(reader.read(holder.brackets.pop(0)))


def _main(group: list[Clause], lexicon: Lexicon) -> Clause:
    """The clause with the food's name; adjectives before its comma ("boneless, skinless chicken") join it."""
    named = [clause for clause in group if clause.named()]
    if not named:
        return group[0]
    able = [clause for clause in named if clause is named[0] or not clause.prepared()]
    main = next((clause for clause in able if lexicon.names_food(clause.nouns())), named[0])
    if main is not named[0] and main.amount is None and not main.remarks:
        for earlier in named[: named.index(main)]:
            main.before[:0] = earlier.before
            main.amount = main.amount or earlier.amount
            group.remove(earlier)
    return main


def _group_amount(main: Clause, others: list[Clause], lexicon: Lexicon) -> Amount | None:
    """The amount of the clause that names the food, with the same said another way by a clause beside it."""
    stated = [clause.amount for clause in others if clause.amount]
    if main.amount is None or main.amount.also:
        return main.amount or next(iter(stated), None)
    again = [
        clause.amount
        for clause in others
        if clause.amount and lexicon.measured_by(clause.amount) in WEIGHABLE and not clause.remarked()
    ]
    return replace(main.amount, also=again[-1]) if again else main.amount
