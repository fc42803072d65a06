"""Clauses of a line: an amount, the words of a phrase by where they stand, and what joiners add.

    clause = { bracket | skipped } [ amount ] { noise } { word | bracket }
             [ "of" words ] [ preposition words ] [ remark ] [ "not" words, which are not read ] [ join clause ]
    join   = "and" | "or" | "/" | "+" | "|" | "&" | ( "plus" | "with" | "in" ) before a measured food
    late   = amount behind the food's name                        "butter 50 g", "juice of 1 lemon"
    more   = "plus" [ "another" ] amount behind a named food, of which brackets before it say nothing
    each   = pieces food "of" mass                                "4 chicken breasts of 150 g"
    allow  = states ( "if" | "when" | "in winter" | "will do" ... ) words, which say nothing of the food

What follows a joiner is read as a clause of its own, then kept as joined or as an alternative, or taken over where
it names nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile

from service.core.amount import LESS, WEIGHABLE, Amount, read_amount
from service.core.denial import DENYING
from service.core.line_item import Items, is_number, text_of
from service.core.noun_phrase import ADJECTIVES, NAMING, Lexicon
from service.core.vocabulary import Token, key_word, split_words

# Foods joined in one line; what follows is read as words, so that hostile lines stay linear.
MOST_JOINS = 24
_NOUNS = frozenset({"word", "measure"})
_ADDING, _PLUS = frozenset({"with", "in"}), frozenset({"plus", "+"})
# Opens what a food is without, even as a clause of its own.
_LACKING = "without"
# Pieces that are no food and no cut of one, and begin no sentence that a plural does not tell ("slice potatoes").
_COUNTERS = frozenset("branch bulb bunch clove head piece rasher sheet slice sprig stalk stick twig wedge".split())
SEASONINGS = frozenset({"salt", "pepper"})
# Words before a "from" among which what it takes is named.
_NEAR = 8
# What is taken of a fruit: "juice of 1 lemon", "zest from 1 orange".
TAKEN = {"juice": "juice", "juiced": "juice", "squeezed": "juice", "zest": "zest", "zested": "zest", "rind": "zest"}


@dataclass(slots=True, eq=False)
class Clause:
    """What was found in one clause while the line is read.

    before, of, after  words of the phrase before, behind "of", and behind a preposition
    remarks            words that say nothing of the food;  brackets  not read yet
    alternatives       clauses behind "or";  joined  clauses behind "and"
    more, less         it began with "plus", with "less";  late  its amount stands behind the food's name
    shared             its amount is an even share of what several foods weigh together
    beside             it names what another food lies on, is wrapped in or goes with, and no amount
    divided            the line says what becomes of some of its pieces
    topping            what is added to its amount behind its brackets, which say nothing of that
    explained          how many words stand before its first bracket, which may say what they mean
    """

    amount: Amount | None = None
    before: list[Token] = field(default_factory=list)
    of: list[Token] = field(default_factory=list)
    after: list[Token] = field(default_factory=list)
    brackets: list[tuple[object, ...]] = field(default_factory=list)
    alternatives: list[Clause] = field(default_factory=list)
    remarks: list[Token] = field(default_factory=list)
    joined: list[Clause] = field(default_factory=list)
    more: bool = False
    less: bool = False
    late: bool = False
    shared: bool = False
    beside: bool = False
    divided: bool = False
    topping: Amount | None = None
    explained: int = 0

    def all(self) -> list[Clause]:
        """This clause and those that "and" joins to it."""
        return [self, *(one for joined in self.joined for one in joined.all())] if self.joined else [self]

    def branches(self) -> list[Clause]:
        """The clauses that joiners open behind this one, "and" before "or"."""
        return [*self.joined, *self.alternatives]

    def absorb(self, other: Clause) -> None:
        """Take over all that another clause says; its amount only where this one has none."""
        self.amount = self.amount or other.amount
        self.before.extend(other.before)
        self.of.extend(other.of)
        self.after.extend(other.after)
        self.brackets.extend(other.brackets)
        self.remarks.extend(other.remarks)
        self.alternatives.extend(other.alternatives)
        self.joined.extend(other.joined)

    def top(self, more: Amount) -> None:
        """Add a further amount of the food to its own."""
        assert self.amount is not None
        self.amount = with_more(self.amount, more)
        if self.topping is not None:
            self.topping = with_more(self.topping, more)
        elif self.brackets:
            self.topping = more

    def nouns(self) -> list[Token]:
        """The tokens that may name a food."""
        return [token for token in self.before if token.kind in ("word", "measure", "state")]

    def takes(self) -> bool:
        """Whether it names what is taken of a fruit ("juice", "zest")."""
        near = self.before[-_NEAR:]  # it is asked at each "from": all of a long line would take the square
        return any(key_word(token) in TAKEN for token in near if token.kind in ("word", "measure", "state"))

    def named(self) -> bool:
        """Whether it has a noun."""
        before = self.before  # of which mostly the first is one: this is asked a dozen times a line
        return bool(before) and (before[0].kind in _NOUNS or not _NOUNS.isdisjoint([token.kind for token in before]))

    def prepared(self) -> bool:
        """Whether it tells what is done to the food ("giblets removed")."""
        return any(token.kind == "preparation" for token in self.before)

    def remarked(self) -> bool:
        """Whether it is a remark and no more."""
        return bool(self.remarks) and not self.before

    def is_to_taste(self) -> bool:
        """Whether it leaves its amount to the cook: "and lots of pepper"."""
        return any(token.kind == "to taste" for token in (*self.before, *self.remarks))

    def says_each(self) -> bool:
        """Whether its amount holds for each food ("1 tsp each cumin and coriander")."""
        return "each" in [token.text for token in (*self.before, *self.remarks)]


def with_joined(clauses: Sequence[Clause]) -> list[Clause]:
    """The clauses and what is joined to them, each by itself."""
    return [one for clause in clauses for one in clause.all()]


_NOT = -1  # no words are explained by a bracket


class ClauseReader:
    """Reads the clauses of one line with the words that the tables know; a new one for each line."""

    def __init__(self, lexicon: Lexicon, *, small: bool = False) -> None:
        """`small`: the line has no capital letter."""
        self.lexicon, self.small = lexicon, small
        self._measures = lexicon.measures
        self._joins = 0

    def read(self, items: Items) -> Clause:
        """One clause: its amount, then the words of its phrase by the place where they stand."""
        clause = Clause()
        at = 0
        while at < len(items) and _skippable(items[at]):
            token = items[at]
            if isinstance(token, tuple):
                clause.brackets.append(token)
            elif isinstance(token, Token):
                clause.remarks.append(token)
            at += 1
        at = self._past_taken(clause, items, at)
        at = self._past_purpose(clause, items, at)
        opening = text_of(items[at]) if at < len(items) else ""
        if opening == "plus" or opening in LESS:
            # "butter, plus 2 eggs", "1 cup sugar, plus 2 tbsp for the tin", "1 cup sugar, less 2 tbsp"
            behind = _past_another(items, at + 1)
            if read_amount(items, behind, self._measures):
                clause.more, clause.less, at = opening == "plus", opening in LESS, behind
        if not self._measure_names(items, at) and (found := read_amount(items, at, self._measures)):
            clause.amount, at = self._without_name(found, items)
        weighed = isinstance(items[at - 1] if at else None, tuple)
        at = _past_noise(clause, items, at)
        self._fill(clause, items, at)
        if weighed and clause.amount is not None and not (clause.named() or clause.of):
            clause.amount = _of_all(clause.amount)  # "lamb chops, 6 (1.1 kg)"
        if clause.amount is None and _is_manner(clause):
            clause.remarks += clause.before
            clause.before = []
        if clause.amount is None:
            _leave_out_allowed(clause)
            self._count_one(clause)
        return clause

    def _count_one(self, clause: Clause) -> None:
        """ "sprig thyme", "stick celery": one piece whose number nobody wrote; not "slice potatoes", "leaf spinach"."""
        piece, food = clause.before[:1], clause.nouns()[1:]
        if not food or piece[0].kind != "measure" or piece[0].text not in _COUNTERS or piece[0].several:
            return
        single = food[-1].text == food[-1].key
        if single and self.lexicon.names_food(food) and not self._begins_name(clause.before, 0):
            clause.amount, clause.before = Amount(1.0, 1.0, piece[0].value), clause.before[1:]

    def _past_purpose(self, clause: Clause, items: Items, at: int) -> int:
        """Behind what a food is for, where it stands first: "for garnish parsley"."""
        first = items[at] if at < len(items) else None
        if not isinstance(first, Token) or first.kind != "remark" or not first.text.startswith(_PURPOSES):
            return at
        food = [item for item in items[at + 1 : at + 4] if isinstance(item, Token)]
        if not food or food[0].kind not in NAMING or not self.lexicon.names_food(food):
            return at
        clause.remarks.append(first)
        return at + 1

    def _past_taken(self, clause: Clause, items: Items, at: int) -> int:
        """Behind the pieces that are taken from what is counted: "the kernels from 2 ears of corn"."""
        start = at + 1 if at < len(items) and text_of(items[at]) == "the" else at
        first, *behind = items[start : start + 2] or (None,)
        if not (isinstance(first, Token) and self._measures.kind(first) == "piece"):
            return start
        source = behind[0] if behind else None
        if text_of(source) not in ("of", "from") or not read_amount(items, start + 2, self._measures):
            return start
        clause.remarks += [first, _ONLY]
        return start + 2

    def _without_name(self, found: tuple[Amount, int], items: Items) -> tuple[Amount, int]:
        """The amount without a word that belongs to the name: "2 rib eye steaks", "1 lb pot roast"."""
        amount, at = found
        if amount.measure is not None and self._begins_name(items, at - 1):
            return replace(amount, measure=None), at - 1
        alone = amount.low == amount.high == 1 and not any(isinstance(item, tuple) for item in items[:at])
        if alone and amount.package is not None and at > 1 and self._measure_names(items, at - 1):
            return amount.package, at - 1
        return found

    def _begins_name(self, items: Items, at: int) -> bool:
        """Whether a piece word or "pot" begins a food's name, and what follows it alone names a usual one at most."""
        if self._measures.kind(items[at]) not in ("piece", "package"):
            return False
        words = [key_word(item) for item in items[at : at + 4] if isinstance(item, Token) and item.kind in NAMING]
        if len(words) < 2 or text_of(items[at]) != words[0]:
            return False
        for size in range(len(words), 1, -1):
            name, rest = self.lexicon.ending(words[:size]), self.lexicon.ending(words[1:size])
            if name is not None and name.kind != "default" and name.form.startswith(f"{words[0]} "):
                return rest is None or rest.kind == "default"
        return False

    def _measure_names(self, items: Items, at: int) -> bool:
        """Whether a measure word belongs to the food's name there: "glass noodles", "cup noodles"."""
        first = items[at] if at < len(items) else None
        following = items[at + 1] if at + 1 < len(items) else None
        if not isinstance(first, Token) or first.kind != "measure":
            return False
        if isinstance(following, Token) and following.text == "of":
            return False
        words = [key_word(item) for item in items[at : at + 4] if isinstance(item, Token) and item.kind in NAMING]
        names = (self.lexicon.ending(words[:size]) for size in range(len(words), 1, -1))
        return any(name is not None and words[0] in name.key for name in names)

    def _fill(self, clause: Clause, items: Items, at: int) -> None:
        """Put the words of a clause where they stand, up to what opens another one."""
        here, named = clause.before, clause.named()
        counted: int | None = None  # words before an amount among them: one behind it may be its measure
        while at < len(items):
            item = items[at]
            if isinstance(item, tuple):
                words = len(clause.before)
                clause.explained = clause.explained or (words if counted in (None, words) else _NOT)
                clause.brackets.append(item)
            elif isinstance(item, Token):
                if not clause.late and _opens_nothing(item):
                    here.append(item)
                    named = named or (here is clause.before and item.kind in _NOUNS)
                    at += 1
                    continue
                if not named and _leaves_open(item, items, at):
                    clause.remarks.append(item)
                    at += 1
                    continue
                if self._ends(clause, item, items, at, here, named=named):
                    return
                if found := self._amount_behind(clause, items, at, here, named=named):
                    clause.amount, at, counted = found[0], found[1] - 1, len(clause.before)
                    here = clause.before if here is clause.remarks and not named else here
                elif not _joins(item) or _only_remarks(clause, here):
                    behind = self._place_behind(clause, item, items, at, here, named=named)
                    if not _links(clause, item, here):
                        behind.append(item)
                        named = named or (behind is clause.before and item.kind in _NOUNS)
                    here = behind
            at += 1

    def _ends(self, clause: Clause, item: Token, items: Items, at: int, here: list[Token], *, named: bool) -> bool:
        """Whether a clause ends at an item: what follows is another one, which is read and kept, or is not read."""
        if item.text in _PLUS and clause.amount is not None and (more := self._more(items, at + 1, clause.amount)):
            clause.top(more)
            return True
        if _joins(item):
            return not _only_remarks(clause, here) and self._join(clause, item, items, at)
        if self._adds(item, items, at + 1, named=named):
            if item.value == "in" and clause.before and clause.before[-1].value == "cooked":
                clause.before.pop()  # "1 cup rice cooked in 2 cups water"
            return self._read_on(clause, items, at + 1)
        if here is clause.before and self._runs_on(clause, items, at, named=named):
            return self._read_on(clause, items, at)
        if item.value == DENYING and (named or clause.amount is None):
            return True  # "fresh, not dried", "pumpkin, not the pie filling"
        if item.text in OR_ELSE and self._stands_in(clause, items, at):
            return True  # "200 g turbot or other firm fish", where nobody knows the first
        return item.kind == "preposition" and here is not clause.remarks and self._carries(clause, items, at)

    def _read_on(self, clause: Clause, items: Items, at: int) -> bool:
        """Read what follows as a clause that joins this one."""
        self._joins += 1
        further = self.read(items[at:])
        name_by_measure(further, self.lexicon, known=True)
        clause.joined.append(further)
        return True

    def _amount_behind(
        self, clause: Clause, items: Items, at: int, here: list[Token], *, named: bool
    ) -> tuple[Amount, int] | None:
        """The amount that stands behind words of its clause: said again, behind a remark, or late."""
        if here is clause.remarks:
            return self._behind_purpose(clause, items, at)
        if here is clause.before and (again := self._said_again(clause, items, at, named=named)):
            return again
        if at and text_of(items[at - 1]) == "of" and named and (sized := self._of_weight(clause, items, at)):
            del here[len(here) - (here[-1:] == [items[at - 1]]) :]  # "1 leg of lamb of 2 kg"
            return sized
        found = self._late(items, at, taken=here is clause.of) if clause.amount is None else None
        clause.late = clause.late or found is not None
        return found

    def _place_behind(
        self, clause: Clause, item: Token, items: Items, at: int, here: list[Token], *, named: bool
    ) -> list[Token]:
        """Where words go from an item on."""
        if item.kind in _REMARKING or here is clause.remarks:
            return clause.remarks
        if item.text == "of" and here is clause.before:
            return clause.of if named else here
        if item.value == "from" and clause.takes():
            return clause.of  # "juice from 1 lime"
        lacking = item.value == _LACKING or (named and item.text.startswith(_LACKING))  # "stock without salt"
        if lacking or (item.kind == "preposition" and named):
            return clause.remarks if self._is_wetted(items, at) else clause.after
        return here

    def _behind_purpose(self, clause: Clause, items: Items, at: int) -> tuple[Amount, int] | None:
        """The amount behind a remark: "for the sauce 200 ml cream", "oil for frying 50 ml"."""
        found = read_amount(items, at, self._measures) if clause.amount is None and is_number(items[at]) else None
        if found is None:
            return None
        if clause.named():
            ends = found[1] == len(items) and self.lexicon.measured_by(found[0]) in WEIGHABLE
            return found if ends else None
        behind = takewhile(lambda item: _kind_of(item) in NAMING | {"filler"}, items[found[1] : found[1] + 5])
        return found if self.lexicon.names_food([item for item in behind if isinstance(item, Token)]) else None

    def _late(self, items: Items, at: int, *, taken: bool) -> tuple[Amount, int] | None:
        """An amount that stands behind the food's name ("butter 50 g", "juice of 1 lemon"); `taken`: of a fruit."""
        item = items[at]
        if isinstance(item, Token) and item.text == "x" and at + 1 < len(items) and is_number(items[at + 1]):
            at += 1  # "eggs x 3"
            item = items[at]
        if isinstance(item, Token) and item.kind in ("number", "approximate") and not self._counts_in_name(items, at):
            found = read_amount(items, at, self._measures)
            times = at + 1 < len(items) and text_of(items[at + 1]) == "x"  # "mushrooms 2 x 250 g"
            return found if times or found is None else (_of_all(found[0]), found[1])
        if isinstance(item, Token) and item.text in ("a", "an") and at:
            found = read_amount(items, at, self._measures)
            if found and taken and found[0].measure is None:
                return found  # "juice of a lemon", "yolk of an egg"
            # "asafoetida a pinch", but not "horseradish from a jar"
            behind = found and found[0].measure and found[1] == len(items)
            return found if behind and _kind_of(items[at - 1]) != "preposition" else None
        return None

    def _counts_in_name(self, items: Items, at: int) -> bool:
        """Whether a number is of a food's name there: "Chinese 5 spice"; "melted 2 tbsp butter" is no "a2 butter"."""
        number, *behind = (key_word(item) for item in items[at : at + 3] if isinstance(item, Token))
        before = [key_word(item) for item in items[max(0, at - 2) : at] if _kind_of(item) == "word"]  # type: ignore[arg-type]
        names = (self.lexicon.ending([*before, number, *behind[:size]]) for size in range(1, len(behind) + 1))
        beside = (text_of(items[at - 1]) if at else "", number, *behind[:1])
        return any(name is not None and number in name.key and _stands_in(name.form, beside) for name in names)

    def _more(self, items: Items, at: int, counted: Amount) -> Amount | None:
        """A further amount of the same food: "plus 2 tbsp extra", "plus 2 extra", "plus another half"."""
        extra = read_amount(items, _past_another(items, at), self._measures)
        if extra is None:
            return None
        behind = items[extra[1]] if extra[1] < len(items) else None
        if isinstance(behind, Token) and behind.kind == "remark" and behind.text.startswith("for "):
            return extra[0]  # "2 eggs plus 1 for brushing"
        rest = (items[place] for place in range(extra[1], len(items)))  # no copy: most end at their first word
        if any(item.text not in EXTRA for item in rest if isinstance(item, Token)):
            return None
        return in_measure_of(counted, extra[0])

    def _adds(self, word: Token, items: Items, at: int, *, named: bool) -> bool:
        """Whether a word opens a further measured food: "plus 2 tbsp honey", "whisked into 1 cup water"."""
        if word.text not in ("plus", "into") and word.value not in _ADDING:
            return False
        first = at + (text_of(items[at] if at < len(items) else None) in ("a", "an") and _is_number_at(items, at + 1))
        extra = read_amount(items, first, self._measures) if self._joins < MOST_JOINS else None
        if extra is None:
            return word.text != "into" and self._is_left_to_taste(items, at)
        rest = [item for item in items[extra[1] : extra[1] + 4] if isinstance(item, Token) and item.kind in NAMING]
        if word.text == "into" or not named:  # not "cut into 8 wedges"
            measured = self.lexicon.measured_by(extra[0]) in WEIGHABLE | {"vague"}
            beside = text_of(items[at - 2]) in EATEN_WITH
            itself = beside and not rest and self.lexicon.ending((extra[0].measure or "",))  # "studded with 4 cloves"
            worked = word.text != "into" and _kind_of(items[at - 2] if at > 1 else None) == "preparation"
            return bool(itself) or ((measured or beside or worked) and self.lexicon.names_food(rest))
        return bool(rest) and (extra[0].measure is not None or self.lexicon.names_food(rest))

    def _carries(self, clause: Clause, items: Items, at: int) -> bool:
        """Take what a food lies on or is worked with, of which nobody says how much: "on toast", "fried in butter".

        Not what a tin is filled up with, nor the water that something is soaked or cooked in.
        """
        if self._joins >= MOST_JOINS or not self._lies(clause, items, at):
            return False
        food = self._food(items, at + 1)
        if not food or not _UNCOUNTED.isdisjoint(key_word(token) for token in food):
            return False
        self._joins += 1
        beside = self.read(items[at + 1 :])
        name_by_measure(beside, self.lexicon, known=True)
        beside.beside = beside.amount is None
        clause.joined.append(beside)
        return True

    def _has_no_share(self, clause: Clause, joiner: Token, rest: Clause) -> bool:
        """Whether a food behind an amount has none of it: "100 ml oil + butter for frying", "2 eggs and some milk"."""
        if clause.amount is None or rest.amount is not None or not clause.named() or clause.says_each():
            return False
        some = joiner.value == "and" and any(token.text in SOME for token in rest.before[:1])
        return (some or joiner.text == "+") and self.lexicon.names_food(rest.nouns())

    def _lies(self, clause: Clause, items: Items, at: int) -> bool:
        """Whether a preposition there may tell what a food lies on, is wrapped in or is worked with."""
        before = items[at - 1] if at else None
        if text_of(items[at]) in _UNDER:
            return clause.amount is not None and clause.named()
        if text_of(before) in EATEN_WITH:
            return True
        worked = text_of(items[at]) == "in" and _kind_of(before) in ("preparation", "state") and clause.named()
        fat = self._food(items, at + 1)[-1:]
        return worked and (not fat or key_word(fat[0]) not in _PACKED_IN or text_of(before) in _FRIED)

    def _is_wetted(self, items: Items, at: int) -> bool:
        """Whether a preposition tells in which water a food is soaked or cooked: "soaked in hot water"."""
        food = self._food(items, at + 1) if _kind_of(items[at - 1]) in ("preparation", "state") else []
        return bool(food) and key_word(food[-1]) == "water"

    def _food(self, items: Items, at: int) -> list[Token]:
        """The nouns at a place, a few at most, where they name a food."""
        nouns = list(takewhile(lambda item: _kind_of(item) in NAMING, items[at : at + 3]))
        food = [item for item in nouns if isinstance(item, Token)]
        return food if self.lexicon.names_food(food) else []

    def _runs_on(self, clause: Clause, items: Items, at: int, *, named: bool) -> bool:
        """Whether a further food with its amount begins without a mark: "1 kg leeks 2 cups cream"."""
        if not named or clause.amount is None or self._joins >= MOST_JOINS:
            return False
        if clause.late:
            behind = next((place for place in range(at, min(at + 4, len(items))) if is_number(items[place])), at)
            found = read_amount(items, behind, self._measures) if behind > at else None
            return found is not None and self._measures_food(items[at:behind], found[0])
        found = read_amount(items, at, self._measures) if is_number(items[at]) else None
        if found is None:
            return False
        if self._measures_food(items[found[1] : found[1] + 3], found[0]):
            return True
        return self._counts_food(items, at, found) and self.lexicon.names_food(clause.nouns())  # no "T550 flour"

    def _counts_food(self, items: Items, at: int, found: tuple[Amount, int]) -> bool:
        """Whether a number in digits counts pieces or packages of a food right behind it: "2 tbsp oil 1 onion"."""
        if not text_of(items[at])[:1].isdigit() or self._counts_in_name(items, at):
            return False
        nouns = list(takewhile(lambda item: _kind_of(item) in _COUNTED, items[found[1] : found[1] + 3]))
        food = [item for item in nouns if isinstance(item, Token)]
        return any(token.kind == "word" for token in food) and self.lexicon.names_food(food)

    def _said_again(self, clause: Clause, items: Items, at: int, *, named: bool) -> tuple[Amount, int] | None:
        """The amount with a weight that stands behind the name too: "1 tin chickpeas 400 g", "2 leeks 300 g".

        Of a package it may be a volume: "1 tin evaporated milk 385 ml".
        """
        amount = clause.amount
        if not named or amount is None or amount.also or amount.package or not is_number(items[at]):
            return None
        found = read_amount(items, at, self._measures)
        kind = self._measures.kinds.get(found[0].measure or "", "") if found else ""
        if found is None or kind not in WEIGHABLE:
            return None
        if self._measures.kinds.get(amount.measure or "") == "package":
            return replace(amount, package=found[0]), found[1]
        return (replace(amount, also=found[0]), found[1]) if kind == "mass" else None

    def _again(self, clause: Clause, joiner: Token, rest: Clause) -> Amount | None:
        """The amount with the mass or volume behind a slash: "350 g flour / 12 oz", "tomatoes 2 medium / 200 g"."""
        amount, alone = clause.amount, not (rest.before or rest.of or rest.after or rest.brackets)
        if joiner.text not in _AGAIN or amount is None or rest.amount is None or not alone:
            return None
        weighs = self.lexicon.measured_by(rest.amount) in WEIGHABLE and rest.amount.package is None
        return replace(amount, also=rest.amount) if weighs and not (amount.combined or amount.package) else None

    def _of_weight(self, clause: Clause, items: Items, at: int) -> tuple[Amount, int] | None:
        """The amount with what each of its pieces weighs, said behind the name: "4 chicken breasts of 150 g"."""
        amount = clause.amount
        if amount is None or amount.combined or self.lexicon.measured_by(amount) not in ("", "piece"):
            return None
        found = read_amount(items, at, self._measures) if _kind_of(items[at]) in ("number", "approximate") else None
        if found is None or self.lexicon.measured_by(found[0]) != "mass":
            return None
        return replace(amount, package=found[0]), found[1]

    def _measures_food(self, nouns: Items, amount: Amount) -> bool:
        """Whether nouns name a food, and an amount beside them weighs or measures it."""
        words = takewhile(lambda item: not is_number(item), nouns)
        named = [item for item in words if isinstance(item, Token) and item.kind in NAMING]
        measured = self.lexicon.measured_by(amount) in WEIGHABLE | {"vague"}
        return measured and bool(named) and self.lexicon.names_food(named)

    def _is_left_to_taste(self, items: Items, at: int) -> bool:
        """ "cooked down with a little coconut oil": a further food of which nobody says how much."""
        if self._joins >= MOST_JOINS or at >= len(items) or _kind_of(items[at]) != "to taste":
            return False
        nouns = [item for item in items[at + 1 : at + 4] if isinstance(item, Token) and item.kind in NAMING]
        return self.lexicon.names_food(nouns)

    def _take_amount(self, clause: Clause, alternative: Clause) -> None:
        """ "butter or margarine (100 g)": a bracket behind the last of several choices states the amount of each."""
        for bracket in alternative.brackets[-1:]:
            found = read_amount(bracket, 0, self._measures)
            if found is not None and found[1] == len(bracket):
                clause.amount, clause.late = found[0], True

    def _stands_in(self, clause: Clause, items: Items, at: int) -> bool:
        """Take what follows "or other" as an alternative of a food that no table knows; True where it was taken."""
        knows = self.lexicon.vocabulary.knows
        if self._joins >= MOST_JOINS or not clause.named() or any(knows(key_word(token)) for token in clause.nouns()):
            return False
        self._joins += 1
        clause.alternatives.append(self.read(items[at + 1 :]))
        return True

    def _join(self, clause: Clause, joiner: Token, items: Items, at: int) -> bool:
        """Read what follows "and", "or", "/" as a clause of its own; True when the rest was taken."""
        self._joins += 1
        if self._joins > MOST_JOINS:
            return False
        if joiner.kind == "mark" and at + 1 < len(items) and is_number(items[at + 1]):
            if joiner.text == "+" and all(text_of(item) != "garlic" for item in items[at : at + _NEAR]):
                name_by_measure(clause, self.lexicon, known=True)  # "4 cloves + 1 bay leaf"
            if not clause.named():
                return False
        rest = self.read(items[at + 1 :])
        _name_ones(clause, rest)
        rest.beside = rest.beside or self._has_no_share(clause, joiner, rest)
        if (joiner.value == "and" or joiner.text == "+") and rest.amount is not None:  # "6 cloves + 1 cinnamon stick"
            name_by_measure(clause, self.lexicon, known=True)
            name_by_measure(rest, self.lexicon, known=True)
        if joiner.value != "or" and _count_apart(clause, rest):
            clause.joined.append(rest)
        elif not clause.named():  # "peeled and sliced potatoes", "10 small or 5 big mushrooms"
            if joiner.value == "or":
                _count_first_state(clause, rest)
            elif _are_sizes(clause.amount, rest.amount):
                assert clause.amount is not None
                clause.amount = replace(clause.amount, plus=rest.amount)
            clause.absorb(rest)
        elif not rest.named():
            self._join_amount(clause, joiner, rest, bare=_kind_of(items[at + 1] if at + 1 < len(items) else None))
        elif joiner.value == "or" or (joiner.text in ("/", "|", "or") and not _lists(clause, rest)):
            if rest.late and clause.amount is None:
                clause.amount, clause.late, rest.amount = rest.amount, True, None  # "dhania / coriander seeds 2 tbsp"
            if clause.amount is None and rest.amount is None and not clause.brackets:
                self._take_amount(clause, rest)
            clause.alternatives.append(rest)
        else:
            _join_food(clause, joiner, rest)
        return True

    def _join_amount(self, clause: Clause, joiner: Token, rest: Clause, *, bare: str) -> None:
        """Join what names nothing: more of the food, its amount said again, or what else would do.

        `bare` is the kind of its first item: a measure without a number is no amount, "cooking oil / spray".
        """
        if rest.amount is not None and (joiner.value == "or" or (joiner.text == "/" and bare == "measure")):
            clause.remarks.extend(rest.before)  # "1 tbsp fresh oregano or 1 tsp dried" counts the first
        elif (again := self._again(clause, joiner, rest)) is not None:
            clause.amount = again
        else:
            if joiner.value != "or" and joiner.text not in _AGAIN:
                _add(clause, rest)
            clause.absorb(rest)


def _join_food(clause: Clause, joiner: Token, rest: Clause) -> None:
    """Keep a food that a joiner adds to the one before it."""
    if joiner.value == "and" and _counts_both(clause, rest):  # "onions and carrots 200 g"
        clause.amount, clause.late, rest.amount = rest.amount, True, None
    if joiner.kind == "mark":  # of a list by slashes those behind are no alternatives either
        rest.joined, rest.alternatives = [*rest.joined, *rest.alternatives], []
    clause.joined.append(rest)


def _counts_both(clause: Clause, rest: Clause) -> bool:
    """Whether an amount behind two foods is of both: not of "salt and butter 100 g", "zest and juice 1 lime"."""
    if clause.amount is not None or not rest.late or rest.says_each() or rest.joined:
        return False
    said = {key_word(token) for token in clause.nouns()}
    seasoned = said <= SEASONINGS and not {key_word(token) for token in rest.nouns()} <= SEASONINGS
    return not (seasoned or rest.takes() or clause.is_to_taste())


def with_more(amount: Amount, more: Amount) -> Amount:
    """An amount with one more added, behind those that are added to it already: "1 lb 4 oz flour plus 50 g"."""
    return replace(amount, plus=more if amount.plus is None else with_more(amount.plus, more))


def without_topping(amount: Amount, topping: Amount) -> Amount:
    """An amount without what `with_more` added to it last."""
    if amount.plus is None:
        return amount
    return replace(amount, plus=None if amount.plus == topping else without_topping(amount.plus, topping))


def in_measure_of(counted: Amount, more: Amount) -> Amount:
    """A further amount in the measure of the first where it states none: "3 tbsp fish sauce, plus 1 extra"."""
    if more.measure is not None or (more.high < 1 and counted.measure in _FINE):
        return more  # "200 g sugar, plus half" adds no half gram
    return replace(more, measure=counted.measure)


# Measures of which nobody takes a half.
_FINE = frozenset({"g", "ml"})


def _count_apart(clause: Clause, rest: Clause) -> bool:
    """ "2 boiled and 2 raw": counts of what becomes of some and of others, whose food stands elsewhere."""
    counts = [one for one in (clause, rest) if one.amount is not None and one.amount.measure is None and one.before]
    return len(counts) > 1 and not clause.named() and not rest.named()


def _lists(clause: Clause, rest: Clause) -> bool:
    """Whether a slash parts foods that are all used: "1 cup sugar / 1 cup butter / 2 eggs", "salt/pepper".

    Of two with their amounts either may be meant in place of the other.
    """
    if any(one.says_each() for one in (clause, *rest.all())):
        return True
    measured = [one for one in (clause, *rest.all(), *rest.alternatives) if one.amount is not None and not one.late]
    return len(measured) > 2 or {key_word(token) for one in (clause, rest) for token in one.nouns()} == SEASONINGS


def _of_all(amount: Amount) -> Amount:
    """ "tomatoes 4 (500 g)": a weight behind a number that stands behind the food is of all of them."""
    if amount.measure is not None or amount.package is None:
        return amount
    return replace(amount, package=None, also=amount.package)


def _name_ones(clause: Clause, rest: Clause) -> None:
    """ "3 red onions and 1 white one": the second count is of what the first names."""
    if rest.amount is None or not clause.named() or all(token.text not in _ONES for token in rest.before):
        return
    said = [token for token in rest.before if token.text not in _ONES]
    if all(key_word(token) in ADJECTIVES or token.kind not in _NOUNS for token in said):
        rest.before = [*said, *(token for token in clause.nouns() if key_word(token) not in ADJECTIVES)]


_UNDER = frozenset({"on", "over"})
EATEN_WITH = frozenset(
    "wrapped dipped tossed brushed drizzled sprinkled dusted coated rolled tied studded stuck".split()
)
# What foods are cut with or cooked on, though foods go by these names: "on the bone", "on the vine"; and water.
_UNCOUNTED = frozenset("bone vine cob shell stalk stem skin rind leaf plank grill water half pan".split())
_FRIED = frozenset({"fried", "sauteed", "browned", "tossed", "cooked", "roasted"})
# What tins are filled up with.
_PACKED_IN = frozenset({"juice", "syrup", "oil", "brine", "water", "sauce"})
_ONES = frozenset({"one", "ones"})
OR_ELSE = frozenset({"or other", "or another", "or any", "or any other", "or some other"})
_PURPOSES = ("for garnish", "for greas", "for dusting", "for frying", "for decorat", "for sprinkling", "for brushing")
EXTRA = frozenset({"extra", "more", "additional"})
SOME = frozenset({"some", "a bit of", "a little bit of", "a little"})


# Said of what is taken from a food by the piece: "tops of 4 leeks".
_ONLY = Token("only", "remark")
# What parts two ways of saying one amount: "butter 1/2 cup / 1 stick".
_AGAIN = frozenset({"/", "|"})
# Words of a food that is counted: no state or cutting alone.
_COUNTED = frozenset({"word", "state"})
_REMARKING = frozenset({"remark", "to taste", "optional"})


def _stands_in(form: str, beside: Sequence[str]) -> bool:
    """Whether a number stands in a name between the same words as in a line."""
    before, number, *behind = beside
    words = split_words(form)
    place = words.index(number) if number in words else -1
    if place < 0:
        return True
    return words[max(0, place - 1) : place] in ([], [before]) and words[place + 1 : place + 2] in ([], behind)


# Words that stand where the one before them does, but for those of them that open something.
_PLAIN = frozenset({"word", "measure", "state", "preparation", "size", "heap"})
_OPENING = OR_ELSE | _ADDING | {"plus", "into", "of", "from", "x", "a", "an", _LACKING, DENYING}


def _opens_nothing(item: Token) -> bool:
    """Whether a word ends no clause and leads to nothing: most words, of which nothing else need be asked."""
    opens = item.text in _OPENING or item.value in _OPENING or item.text.startswith(_LACKING)
    return not opens and item.kind in _PLAIN


def _joins(item: Token) -> bool:
    return item.kind == "joiner" or (item.kind == "mark" and item.text in "/|+&")


def _only_remarks(clause: Clause, here: list[Token]) -> bool:
    """Whether a clause is a remark so far: "soak in water and drain"."""
    return here is clause.remarks and not (clause.before or clause.amount)


def _links(clause: Clause, item: Token, here: list[Token]) -> bool:
    """Whether an item only leads to what a food is of: "juice of 1 lime", "zest from 1 orange"."""
    if here is clause.remarks or item.kind in _REMARKING:
        return False
    return (item.text == "of" and here is clause.before) or (item.value == "from" and clause.takes())


def _is_number_at(items: Items, at: int) -> bool:
    return at < len(items) and is_number(items[at])


def _kind_of(item: object) -> str:
    return item.kind if isinstance(item, Token) else ""


def _are_sizes(first: Amount | None, second: Amount | None) -> bool:
    """ "2 small and 1 large egg": pieces of one food in two sizes."""
    if first is None or second is None or first.plus or first.measure or second.measure:
        return False
    return bool(first.size and second.size)


def _add(clause: Clause, rest: Clause) -> None:
    """ "2 tbsp sugar + 1 tsp": two measures of one food are added."""
    amount, more = clause.amount, rest.amount
    if amount is None or more is None or rest.before or amount.measure is None or more.measure is None:
        return
    if amount.plus is None:
        clause.top(more)


def _count_first_state(clause: Clause, rest: Clause) -> None:
    """ "fresh or canned pineapple" counts the fresh one."""
    if not any(token.kind == "state" for token in clause.before):
        return
    noun = next((at for at, token in enumerate(rest.before) if token.kind != "state"), len(rest.before))
    del rest.before[:noun]


def name_by_measure(clause: Clause, lexicon: Lexicon, *, known: bool = False) -> None:
    """ "8 cloves": a piece without a food is the food itself; where asked, only one that has a name of its own."""
    amount = clause.amount
    if clause.named() or amount is None or amount.measure is None or lexicon.measured_by(amount) != "piece":
        return
    if amount.package or amount.plus or clause.of or clause.brackets:
        return
    if known and lexicon.ending((amount.measure,)) is None:
        return
    clause.before.append(Token(amount.measure, "word", amount.measure))
    clause.amount = replace(amount, measure=None)


def _is_manner(clause: Clause) -> bool:
    """Whether a clause says in which shape the food is and no more: "in rings"."""
    begun = clause.remarks[-1:]
    return bool(begun) and begun[0].value in _ADDING and all(token.kind != "word" for token in clause.before)


def _leave_out_allowed(clause: Clause) -> None:
    """ "(tinned if out of season)", "frozen will do": a state that would do as well is not that of the food."""
    if not clause.named() and any(map(allows, clause.remarks)):
        clause.before = [token for token in clause.before if token.kind != "state"]


def allows(remark: Token) -> bool:
    """Whether a remark says when something else may be taken, or that it may; "is best" says what to take."""
    advised = remark.kind == "remark" and remark.value == "advice" and not remark.text.endswith("best")
    return advised or remark.value == "condition"


def _past_noise(clause: Clause, items: Items, at: int) -> int:
    """Past words before the phrase that open no remark there: "a little salt", "30 g+ butter", "6 x eggs"."""
    while at < len(items) - 1:
        item = items[at]
        if not isinstance(item, Token) or not (item.kind in ("to taste", "approximate") or item.text in ("+", "x")):
            break
        if item.text == "+" and is_number(items[at + 1]):
            break  # "4 cloves + 1 bay leaf"
        clause.remarks.append(item)
        at += 1
    return at


def _leaves_open(item: Token, items: Items, at: int) -> bool:
    """Whether a word says that the food right behind it may be left out: "1 optional egg", "2 tbsp (optional) nuts"."""
    return item.kind == "optional" and at + 1 < len(items) and _kind_of(items[at + 1]) in NAMING


def _past_another(items: Items, at: int) -> int:
    """Behind "another" before an amount: "plus another half", "plus another 2 tbsp"."""
    return at + (at < len(items) and text_of(items[at]) == "another")


def _skippable(item: object) -> bool:
    if isinstance(item, tuple):
        return True
    if not isinstance(item, Token) or item.value == _LACKING:
        return False
    return item.kind in ("optional", "joiner", "preposition") or (item.kind == "mark" and item.text != "~")
