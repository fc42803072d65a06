"""A line as a person writes it, read into parts: amount, food phrase, states, preparations, remarks.

    line    = [ bullet ] [ remark ":" ] clause { ("," | ";" | " - ") clause }
    clause  = [ amount ] phrase { joiner [ amount ] phrase } [ remark ] | amount | manner | remark
    phrase  = { size | state | manner | word } [ preposition phrase ]
    bracket = an amount, an alternative, a state or manner, another name, or a note

One pass over the tokens; brackets are read as lines of their own inside the line.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from service.core.amount import Amount, Items, MeasureWords, read_amount
from service.core.text import fold, singular, without_bullet
from service.core.vocabulary import ANY_AMOUNT, Token, Vocabulary, key_word


@dataclass(frozen=True, slots=True)
class Phrase:
    """One noun phrase that may name a food.

    tokens        normalised words in look-up order, the head noun last ("red", "lentil")
    qualifiers    words said of it elsewhere in the part: after a comma, in brackets, after "in" or "with"
    states        canonical states ("canned", "dried", "cooked", "smoked", ...)
    preparations  words of cutting and the like ("chopped", "grated", "peeled"), which choose a measure
    piece         a piece word taken off the end ("clove" of "garlic cloves")
    spelled       words whose spelling was put right: (as written, as read, letters changed)
    """

    text: str
    tokens: tuple[str, ...]
    qualifiers: frozenset[str] = frozenset()
    states: frozenset[str] = frozenset()
    preparations: frozenset[str] = frozenset()
    piece: str | None = None
    spelled: tuple[tuple[str, str, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """One food of a line with its amount; `phrases` has the counted phrase first, then accepted alternatives.

    words         every normalised word of the part, remarks included
    as_purchased  the weight is as bought ("bone-in", "whole", "in shell")
    drained       only the solids are eaten
    taken         "juice" or "zest" where the part asks for the yield of whole fruits ("juice of 1 lemon")
    shared        the line states one amount for several foods, divided evenly here
    """

    text: str
    amount: Amount | None
    phrases: tuple[Phrase, ...]
    words: frozenset[str] = frozenset()
    optional: bool = False
    to_taste: bool = False
    as_purchased: bool = False
    drained: bool = False
    taken: str | None = None
    shared: bool = False


@dataclass(frozen=True, slots=True)
class IngredientLine:
    """A line with its parts; no parts means that it is no food, and `reason` says why."""

    text: str
    parts: tuple[Part, ...]
    reason: str = ""


_LINK = re.compile(r"!?\[([^\[\]]{1,200})\]\([^()\s]{0,300}\)")
_URL = re.compile(r"https?://\S+")
_SPOON = re.compile(r"(?<=[\d½¼¾⅓⅔⅛ ])[tT](?=\.?\s)(?!\s+bone)")  # "2 T" and "2 t" differ by case alone
# Foods joined in one line; what follows is read as words, so that hostile lines stay linear.
MOST_JOINS = 24
_OPENING, _CLOSING = frozenset("([{"), frozenset(")]}")
_MANNER = frozenset({"preparation", "filler", "remark", "optional", "to taste", "approximate", "size", "joiner"})
# What a food comes with without being a dish: "chicken thighs with skin", "tomatoes with juice".
_OWN_PARTS = frozenset(
    "skin bone juice oil liquid salt water rind shell peel stem leaf syrup brine fat head tail".split()
)
_STOPS = frozenset(".!?")
_NAMING = frozenset({"word", "state", "measure", "preparation", "number"})
_SAYING = frozenset({"word", "measure", "preparation", "state", "preposition"})
_AS_PURCHASED = frozenset({"bone", "unshelled", "unpeeled", "shell", "jointed", "chined"})
_ADDING = frozenset({"with", "in"})
_BONELESS = frozenset({"boneless", "boned", "deboned"})
_WITH_RIND = "rind on"


def parse_line(text: str, vocabulary: Vocabulary, measures: MeasureWords) -> IngredientLine:
    """Read one line; never fails, and its time is linear in the line's length."""
    bare = _URL.sub(" ", _LINK.sub(r"\1", text)) if "/" in text else text
    spoons = _SPOON.sub(lambda found: "tbsp" if found[0] == "T" else "tsp", bare)
    folded = without_bullet(fold(spoons))
    tokens = _first_sentence(vocabulary.lex(folded))
    if not any(token.text[0].isalpha() for token in tokens):
        return IngredientLine(text, (), "no words")
    reader = _Reader(vocabulary, measures)
    if reason := reader.not_food(tokens):
        return IngredientLine(text, (), reason)
    parts = reader.parts(_bracketed([_as_word(token) for token in tokens]))
    if not parts:
        return IngredientLine(text, (), "no food is named")
    return IngredientLine(text, tuple(parts))


def _as_word(token: Token) -> Token:
    """Words that open a note at the start of a line are plain words inside it: "dressing mix", "roast"."""
    return Token(token.text, "word", singular(token.text)) if token.kind == "note start" else token


def _before_remark(words: Sequence[Token]) -> Sequence[Token]:
    """The words before a remark: "sugar for the top crust" is sugar."""
    place = next((at for at, token in enumerate(words) if at and token.kind == "remark"), len(words))
    return words[:place]


def _before_bracket(tokens: Sequence[Token]) -> Sequence[Token]:
    """The tokens before the first bracket, all where the line begins with one."""
    place = next((at for at, token in enumerate(tokens) if token.text in _OPENING), len(tokens))
    return tokens[:place] if place else tokens


def _first_sentence(tokens: list[Token]) -> list[Token]:
    """The tokens up to the end of the first sentence that says something; dots of abbreviations fall away."""
    kept: list[Token] = []
    depth = 0
    for at, token in enumerate(tokens):
        if token.kind == "mark" and token.text in _STOPS:
            before = tokens[at - 1] if at else None
            if token.text == "." and (before is None or before.kind != "word" or len(before.text) < 3):
                continue
            if depth == 0 and any(one.kind == "word" for one in kept) and at + 1 < len(tokens):
                break
            continue
        if token.kind == "mark":
            depth += (token.text in _OPENING) - (token.text in _CLOSING)
        kept.append(token)
    return kept


def _bracketed(tokens: Sequence[Token]) -> list[object]:
    """The tokens with each bracket as one tuple; brackets inside brackets are opened, unmatched ones ignored."""
    items: list[object] = []
    inside: list[Token] | None = None
    depth = 0
    for token in tokens:
        if token.kind == "mark" and token.text in _OPENING:
            depth += 1
            inside = [] if inside is None else inside
        elif token.kind == "mark" and token.text in _CLOSING:
            depth = max(depth - 1, 0)
            if depth == 0 and inside is not None:
                items.append(tuple(inside))
                inside = None
        elif inside is not None:
            inside.append(token)
        else:
            items.append(token)
    if inside:
        items.append(tuple(inside))
    return items


@dataclass(slots=True, eq=False)
class _Clause:
    """What was found in one clause while the line is read."""

    amount: Amount | None = None
    before: list[Token] = field(default_factory=list)
    of: list[Token] = field(default_factory=list)
    after: list[Token] = field(default_factory=list)
    brackets: list[tuple[object, ...]] = field(default_factory=list)
    alternatives: list[_Clause] = field(default_factory=list)
    remarks: list[Token] = field(default_factory=list)
    joined: list[_Clause] = field(default_factory=list)

    def all(self) -> Iterator[_Clause]:
        """This clause and those that "and" joins to it."""
        yield self
        for joined in self.joined:
            yield from joined.all()

    def absorb(self, other: _Clause) -> None:
        """Take over all that another clause says; its amount only where this one has none."""
        self.amount = self.amount or other.amount
        self.before.extend(other.before)
        self.of.extend(other.of)
        self.after.extend(other.after)
        self.brackets.extend(other.brackets)
        self.remarks.extend(other.remarks)
        self.alternatives.extend(other.alternatives)
        self.joined.extend(other.joined)

    def nouns(self) -> list[Token]:
        return [token for token in self.before if token.kind in ("word", "measure", "state")]

    def prepared(self) -> bool:
        """Whether it tells what is done to the food ("giblets removed")."""
        return any(token.kind == "preparation" for token in self.before)

    def named(self) -> bool:
        return any(token.kind in ("word", "measure") for token in self.before)


def _split(items: Items, is_mark: Callable[[Items, int], bool]) -> list[list[object]]:
    pieces: list[list[object]] = [[]]
    for at in range(len(items)):
        if is_mark(items, at):
            pieces.append([])
        else:
            pieces[-1].append(items[at])
    return [piece for piece in pieces if piece]


def _is_comma(items: Items, at: int) -> bool:
    item = items[at]
    if not isinstance(item, Token) or item.kind != "mark":
        return False
    if item.text in ",;:":
        return True
    between_numbers = 0 < at < len(items) - 1 and _is_number(items[at - 1]) and _is_number(items[at + 1])
    return item.text == "-" and 0 < at < len(items) - 1 and not between_numbers and not _is_number(items[at - 1])


def _is_number(item: object) -> bool:
    return isinstance(item, Token) and item.kind == "number"


class _Reader:
    """Reads the items of one line with the words that the tables know."""

    def __init__(self, vocabulary: Vocabulary, measures: MeasureWords) -> None:
        self.vocabulary, self.measures = vocabulary, measures
        self._joins = 0

    # -- lines that are no food ------------------------------------------------------------------

    def not_food(self, tokens: Sequence[Token]) -> str:
        """Why the line is a heading or a note, "" where it may be food."""
        first = next((token for token in tokens if token.kind != "mark"), tokens[0])
        words = [token for token in _before_bracket(tokens) if token.kind != "mark"] or [first]
        counted = first.kind == "measure" or any(token.kind == "number" for token in words)
        if first.kind == "note start" and self._is_note(first, words, counted):
            return "a note"
        if first.kind == "number":
            return ""
        weighed = any(self.measures.kind(token) in ("mass", "volume") for token in tokens)
        if tokens[-1].text == ":" and not weighed:
            return "a heading"
        if first.kind == "remark" and first.text.split()[0] in ("for", "to") and not self._names_food(words[1:]):
            return "a heading"
        if any(token.kind == "optional" for token in tokens) and self._names_food(words):
            return ""
        if self._is_title(tokens, words) or (not counted and self._is_dish(words)):
            return "a heading"
        if not counted and (self._is_sentence(words) or self._opens_remark(first)):
            return "a note"
        if not counted and not any(token.text == "/" for token in tokens) and self._is_heading(_before_remark(words)):
            return "a heading"
        if len(words) == 1 and first.kind in ("preparation", "remark", "optional", "to taste", "approximate", "size"):
            return "a remark"
        return ""

    def _is_note(self, first: Token, words: Sequence[Token], counted: bool) -> bool:
        nouns = [token for token in words if token.kind not in ("number", "measure")]
        if first.value == "verb" and len(words) > 3:  # "Freeze the beef for 20 minutes"
            return True
        return first.value == "always" or not self._names_food(nouns) or (len(words) > 3 and not counted)

    def _is_sentence(self, words: Sequence[Token]) -> bool:
        """ "vegetarians can skip the anchovies": a verb of advice with no food before it; or no noun at all."""
        place = next((at for at, token in enumerate(words) if token.value == "sentence"), None)
        if place is not None:
            return not any(self._names_food(words[:end]) for end in range(min(place, 6), 0, -1))
        return all(token.kind in _MANNER for token in words)

    def _is_dish(self, words: Sequence[Token]) -> bool:
        """ "Lentils with spiced butter": a food with another, and no amount, is a dish's title."""
        place = next((at for at, token in enumerate(words) if token.value == "with"), 0)
        behind = [token for token in words[place + 1 :] if token.kind in _NAMING]
        if not place or not behind or {key_word(token) for token in behind} & _OWN_PARTS:
            return False
        return self._names_food(words[:place]) and self._names_food(behind)

    @staticmethod
    def _opens_remark(first: Token) -> bool:
        """ "or use ...", "if you like it hot": a remark without a food before it."""
        return first.kind == "remark" and first.text.split()[0] not in ("for", "to", "like", "such", "preferably")

    def _is_title(self, tokens: Sequence[Token], words: Sequence[Token]) -> bool:
        """ "Potato topping -", "Butter tarts (makes 12)": a heading word before a last dash, a yield in brackets."""
        yields = any(token.kind == "note start" and token.value == "always" for token in tokens[1:])
        counted = any(token.kind in ("number", "measure") for token in words[:1])
        if yields and not counted:
            return True
        return tokens[-1].text == "-" and singular(words[-1].text) in self.vocabulary.headings

    def _is_heading(self, words: Sequence[Token]) -> bool:
        """Heading words alone ("Filling"), or behind words that make no known food with them ("Chicken marinade")."""
        said = [singular(token.text) for token in words if token.kind not in ("filler", "joiner", "remark")]
        headings = self.vocabulary.headings
        either = any(token.text in ("or", "/") for token in words)  # "fish or oyster sauce" is an ingredient
        if not said:
            return False
        if not either and (" ".join(said) in headings or all(word in headings for word in said)):
            return True
        if said[-1] not in headings or len(said) > 4 or any(token.kind == "joiner" for token in words):
            return False
        keys = [word for token in words if token.kind == "word" and (word := key_word(token))]
        name = self.vocabulary.find(keys[-1], frozenset(keys[:-1]), ANY_AMOUNT) if keys else None
        return name is None or not (name.key | headings) >= set(keys)

    def _names_food(self, tokens: Sequence[Token]) -> bool:
        """Whether the last word of these tokens ends a known name."""
        words = [word for token in tokens if (word := key_word(token))]
        while words:
            if self.vocabulary.find(words[-1], frozenset(words[:-1]), ANY_AMOUNT) is not None:
                return True
            if not tokens or self.measures.kind(tokens[-1]) != "piece":
                return False
            words, tokens = words[:-1], tokens[:-1]  # "pineapple chunks"
        return False

    # -- parts -----------------------------------------------------------------------------------

    def parts(self, items: Items) -> list[Part]:
        """The foods of a line, each with its amount."""
        clauses = [self._clause(piece) for piece in _split(items, _is_comma)]
        if clauses and not clauses[0].named() and self._is_piece(clauses[0].amount):
            _name_by_measure(clauses[0])
        _lend_heads([one for clause in clauses for one in clause.all()])
        if len(clauses) > 1 and clauses[-1].joined and _says_each(clauses[0]):
            self._share_seed(clauses)
        if self._is_list(clauses):
            _share_amount(clauses)
        groups = self._grouped(clauses)
        parts: list[Part] = []
        for group in groups:
            parts.extend(self._group_parts(group))
        return parts

    def _grouped(self, clauses: list[_Clause]) -> list[list[_Clause]]:
        """Clauses that speak of one food, together; a clause with a food and amount of its own opens a new group."""
        groups: list[list[_Clause]] = []
        listing = self._is_list(clauses)
        for clause in clauses:
            if groups and (self._has_named(groups[-1])) and self._opens(clause, groups[-1], listing):
                groups.append([clause])
            elif groups:
                groups[-1].append(clause)
            else:
                groups = [[clause]]
        return groups

    @staticmethod
    def _has_named(group: Iterable[_Clause]) -> bool:
        return any(clause.named() for clause in group)

    def _opens(self, clause: _Clause, group: list[_Clause], listing: bool) -> bool:
        if not clause.named():
            return False
        if listing:
            return self._names_food(clause.nouns())
        if clause.amount is None or not any(earlier.amount for earlier in group):
            return False
        return self._names_food(clause.nouns()) and not _is_remark(clause)

    def _is_list(self, clauses: list[_Clause]) -> bool:
        """Whether commas part foods: "salt, pepper, oregano", "1 tsp each cumin, coriander and turmeric"."""
        named = [clause for clause in clauses if clause.named()]
        if len(named) < 2 or any(clause.amount for clause in named[1:]) or named[0].after:
            return False  # "diced tomatoes with basil, garlic and oregano" is one food
        each = _says_each(clauses[0])
        foods = [self._names_food(clause.nouns()) for clause in named]
        last_joined = bool(named[-1].joined)
        plain = named[0].amount is None and len(named) == len(clauses)
        return all(foods) and (each or (plain and (len(named) > 2 or last_joined)) or (last_joined and len(named) > 1))

    def _share_seed(self, clauses: Sequence[_Clause]) -> None:
        """ "sunflower, pumpkin and sesame seeds": heads that foods share across a list go to each of them."""
        everyone = [one for clause in clauses for one in clause.all() if one.named()]
        nouns = everyone[-1].nouns()
        head = key_word(nouns[-1]) if len(nouns) > 1 else ""
        if head not in _SHARED_HEADS:
            return
        for one in everyone[:-1]:
            words = frozenset(key_word(token) for token in one.nouns())
            name = self.vocabulary.find(head, words, ANY_AMOUNT)
            if head not in words and name is not None and len(name.key) > 1:
                one.before.append(nouns[-1])

    def _clause(self, items: list[object]) -> _Clause:
        """One clause: its amount, then the words of its phrase by the place where they stand."""
        clause = _Clause()
        at = 0
        while at < len(items) and _skippable(items[at]):
            token = items[at]
            if isinstance(token, tuple):
                clause.brackets.append(token)
            elif isinstance(token, Token):
                clause.remarks.append(token)
            at += 1
        if not self._measure_names(items, at) and (found := read_amount(items, at, self.measures)):
            clause.amount, at = self._without_name(found, items)
        at = self._past_noise(clause, items, at)
        self._fill(clause, items, at)
        return clause

    def _without_name(self, found: tuple[Amount, int], items: Items) -> tuple[Amount, int]:
        """The amount without a package word that belongs to the name: "1 lb pot roast"."""
        amount, at = found
        alone = amount.low == amount.high == 1 and not any(isinstance(item, tuple) for item in items[:at])
        if alone and amount.package is not None and at > 1 and self._measure_names(items, at - 1):
            return amount.package, at - 1
        return found

    def _measure_names(self, items: Items, at: int) -> bool:
        """Whether a measure word belongs to the food's name there: "glass noodles", "cup noodles"."""
        first = items[at] if at < len(items) else None
        following = items[at + 1] if at + 1 < len(items) else None
        if not isinstance(first, Token) or first.kind != "measure":
            return False
        if isinstance(following, Token) and following.text == "of":
            return False
        words = [key_word(item) for item in items[at : at + 4] if isinstance(item, Token) and item.kind in _NAMING]
        for size in range(len(words), 1, -1):
            name = self.vocabulary.find(words[size - 1], frozenset(words[: size - 1]), ANY_AMOUNT)
            if name is not None and words[0] in name.key:
                return True
        return False

    def _is_piece(self, amount: Amount | None) -> bool:
        return amount is not None and self.measures.kinds.get(amount.measure or "") == "piece"

    @staticmethod
    def _past_noise(clause: _Clause, items: list[object], at: int) -> int:
        """Past words before the phrase that open no remark there: "a little salt", "enough flour", "30 g+ butter"."""
        while at < len(items) - 1:
            item = items[at]
            if not isinstance(item, Token) or not (item.kind in ("to taste", "approximate") or item.text == "+"):
                break
            clause.remarks.append(item)
            at += 1
        return at

    def _fill(self, clause: _Clause, items: list[object], at: int) -> None:
        here = clause.before
        while at < len(items):
            item = items[at]
            if isinstance(item, tuple):
                clause.brackets.append(item)
            elif isinstance(item, Token):
                if item.kind == "joiner" or (item.kind == "mark" and item.text in "/|+&"):
                    if self._join(clause, item, items, at):
                        return
                elif item.text == "plus" and (more := self._more(items, at + 1)) and clause.amount:
                    clause.amount = replace(clause.amount, plus=clause.amount.plus or more)
                    return
                elif (item.text == "plus" or item.value in _ADDING) and clause.named() and self._adds(items, at + 1):
                    self._joins += 1
                    clause.joined.append(self._clause(items[at + 1 :]))
                    return
                elif item.kind in ("remark", "to taste", "optional"):
                    here = clause.remarks
                    here.append(item)
                elif here is clause.remarks:
                    here.append(item)
                elif item.text == "of" and here is clause.before:
                    here = clause.of if clause.named() else here
                elif item.value == "from" and {key_word(token) for token in clause.nouns()} & set(_TAKEN):
                    here = clause.of  # "juice from 1 lime"
                elif item.kind == "preposition" and clause.named():
                    here = clause.after
                    here.append(item)
                elif clause.amount is None and here is not clause.remarks and (found := self._late(items, at)):
                    clause.amount, at = found[0], found[1] - 1
                else:
                    here.append(item)
            at += 1

    def _late(self, items: Items, at: int) -> tuple[Amount, int] | None:
        """An amount that stands behind the food's name ("butter 50 g", "juice of 1 lemon")."""
        item = items[at]
        if isinstance(item, Token) and item.kind in ("number", "approximate"):
            return read_amount(items, at, self.measures)
        return None

    def _more(self, items: Items, at: int) -> Amount | None:
        """A further amount of the same food: "plus 2 tbsp extra"."""
        extra = read_amount(items, at, self.measures)
        if extra is None or extra[0].measure is None:
            return None
        rest = {item.text for item in items[extra[1] :] if isinstance(item, Token)}
        return extra[0] if rest <= {"extra", "more", "additional"} else None

    def _adds(self, items: Items, at: int) -> bool:
        """Whether "plus" opens a further measured food ("plus 2 tbsp honey") rather than "plus more"."""
        extra = read_amount(items, at, self.measures) if self._joins < MOST_JOINS else None
        if extra is None:
            return False
        rest = [item for item in items[extra[1] : extra[1] + 4] if isinstance(item, Token) and item.kind in _NAMING]
        return bool(rest) and (extra[0].measure is not None or self._names_food(rest))

    def _join(self, clause: _Clause, joiner: Token, items: list[object], at: int) -> bool:
        """Read what follows "and", "or", "/" as a clause of its own; True when the rest was taken."""
        self._joins += 1
        if self._joins > MOST_JOINS:
            return False
        if joiner.kind == "mark" and (at + 1 < len(items) and _is_number(items[at + 1]) and not clause.named()):
            return False
        rest = self._clause(items[at + 1 :])
        if not clause.named():  # "peeled and sliced potatoes", "10 small or 5 big mushrooms"
            clause.absorb(rest)
            return True
        either = joiner.value == "or" or joiner.text in ("/", "|", "or")
        if not rest.named():
            if joiner.value == "or" and rest.amount is not None:
                clause.remarks.extend(rest.before)  # "1 tbsp fresh oregano or 1 tsp dried" counts the first
            else:
                clause.absorb(rest)
            return True
        if either:
            clause.alternatives.append(rest)
        else:
            clause.joined.append(rest)
        return True

    # -- from clauses to parts -------------------------------------------------------------------

    def _group_parts(self, group: list[_Clause]) -> list[Part]:
        if not self._has_named(group) and any(clause.brackets for clause in group):
            self._open_bracket(group)
        main = self._main(group)
        others = [clause for clause in group if clause is not main]
        if not main.named():
            return []
        chain = self._chain(main)
        amount = main.amount or next((clause.amount for clause in others if clause.amount), None)
        if main.amount is not None:
            for clause in others:
                extra = clause.amount
                if extra and self._weighable(extra) and not main.amount.also and not _is_remark(clause):
                    amount = replace(main.amount, also=extra)
        each = any(map(_says_each, group))
        parts = [self._part(clause, others, amount if clause is main else clause.amount) for clause in chain]
        if len(chain) > 1 and all(clause.amount is None for clause in chain[1:]) and amount is not None:
            parts = [_sharing(part, amount, each, len(chain)) for part in parts]
        return parts

    def _open_bracket(self, group: list[_Clause]) -> None:
        """ "4 pinches of (mozzarella)": the food stands in the bracket alone."""
        holder = next(clause for clause in group if clause.brackets)
        inner = self._clause(list(holder.brackets.pop(0)))
        holder.absorb(inner)

    def _main(self, group: list[_Clause]) -> _Clause:
        """The clause with the food's name; adjectives before its comma ("boneless, skinless chicken") join it."""
        named = [clause for clause in group if clause.named()]
        if not named:
            return group[0]
        able = [clause for clause in named if clause is named[0] or not clause.prepared()]
        main = next((clause for clause in able if self._names_food(clause.nouns())), named[0])
        if main is not named[0] and main.amount is None and not main.remarks:
            for earlier in named[: named.index(main)]:
                main.before[:0] = earlier.before
                main.amount = main.amount or earlier.amount
                group.remove(earlier)
        return main if main in group else named[0]

    def _weighable(self, amount: Amount) -> bool:
        return self.measures.kinds.get(amount.measure or "") in ("mass", "volume")

    def _chain(self, main: _Clause) -> list[_Clause]:
        """The clauses joined by "and" that are foods of their own; what is no food of its own is merged back."""
        if not main.joined:
            return [main]
        rest = main.joined[0]
        if rest.of and not main.of and {key_word(token) for token in main.nouns()} <= set(_TAKEN):
            main.of, main.amount, main.joined = rest.of, rest.amount, []  # "zest and juice of 1 orange"
            return [main, *self._chain(rest)]
        together = [word for token in [*main.nouns(), *rest.nouns()] if (word := key_word(token))]
        compound = self.vocabulary.find(together[-1], frozenset(together[:-1]), ANY_AMOUNT) if together else None
        spans = compound is not None and compound.words >= len(together) and len(together) >= 2
        if rest.amount is None and (spans or not self._names_food(rest.nouns())):
            main.joined = []
            main.absorb(rest)
            return self._chain(main)
        main.joined = []
        if rest.amount is None and not self._names_food(main.nouns()):
            self._share_head(main, rest)
        self._share_qualifier(main, rest)
        return [main, *self._chain(rest)]

    def _share_head(self, first: _Clause, second: _Clause) -> None:
        """ "red and green peppers": the first phrase borrows the head of the second."""
        nouns = second.nouns()
        for size in range(len(nouns) - 1, 0, -1):
            if self._names_food([*first.nouns(), *nouns[-size:]]):
                first.before.extend(nouns[-size:])
                return

    def _share_qualifier(self, first: _Clause, second: _Clause) -> None:
        """ "ground cumin and coriander": the second phrase borrows the first word where that makes a known name."""
        if second.amount is not None or len(second.nouns()) != 1 or len(first.nouns()) < 2:
            return
        lead, noun = first.nouns()[0], second.nouns()[0]
        words = (key_word(lead), key_word(noun))
        name = self.vocabulary.find(words[1], frozenset(words[:1]), ANY_AMOUNT)
        if lead.text in ("ground", "fresh") or lead.kind == "state" or (name is not None and name.words == 2):
            if name is not None and name.words == 2:
                second.before.insert(0, lead)

    def _part(self, clause: _Clause, others: list[_Clause], amount: Amount | None) -> Part:
        tokens = [*clause.before, *clause.of, *clause.after, *clause.remarks]
        brackets = [*clause.brackets]
        for other in others:
            tokens += [*other.before, *other.of, *other.after, *other.remarks]
            brackets += other.brackets
            for joined in (*other.joined, *other.alternatives):
                tokens += [*joined.before, *joined.after, *joined.remarks]
        amount, said, noted, alternatives = self._read_brackets(brackets, amount)
        phrase, amount = self._phrase(clause, others, said, amount)
        phrases = [phrase]
        for alternative in [*clause.alternatives, *alternatives]:
            other_phrase, _ = self._phrase(alternative, [], [], alternative.amount)
            phrases.append(other_phrase)
        if clause.alternatives:
            phrases[0] = self._borrow_head(phrases[0], phrases[1:])
        everything = [*tokens, *said, *noted]
        words = {key_word(token) or token.text for token in everything}
        flat = {word for token in everything for word in token.text.split()}
        part = Part(
            text=" ".join(token.text for token in clause.before) or phrase.text,
            amount=amount,
            phrases=tuple(p for p in phrases if p.tokens),
            words=frozenset(words | flat) - ({"whipped"} - phrase.preparations),
            optional=any(token.kind == "optional" for token in everything),
            to_taste=any(token.kind == "to taste" for token in everything),
            as_purchased=bool(flat & _AS_PURCHASED or _WITH_RIND in words) and not (flat | words) & _BONELESS,
            drained="drained" in flat or ("rinsed" in flat and _is_tinned(amount)),
        )
        return _yielded(part)

    def _borrow_head(self, first: Phrase, alternatives: Sequence[Phrase]) -> Phrase:
        """ "vegetable or chicken stock" counts vegetable stock: the first phrase borrows the head that it lacks."""
        if not alternatives or not first.tokens or len(alternatives[0].tokens) < 2:
            return first
        head = alternatives[0].tokens[-1]
        if set(first.tokens) <= _ADJECTIVES and head not in first.tokens:
            return replace(first, tokens=(*first.tokens, head), text=f"{first.text} {head}")
        words = frozenset(first.tokens) | first.qualifiers
        joined = self.vocabulary.find(head, words, ANY_AMOUNT)
        if joined is None or joined.words < 2 or head in words:
            return first
        alone = self.vocabulary.find(first.tokens[-1], words, ANY_AMOUNT)
        named = alone is not None and alone.kind != "default" and not set(first.tokens) <= _ADJECTIVES
        if named and head not in _SHARED_HEADS:
            return first
        return replace(first, tokens=(*first.tokens, head), text=f"{first.text} {head}")

    def _read_brackets(
        self, brackets: Sequence[tuple[object, ...]], amount: Amount | None
    ) -> tuple[Amount | None, list[Token], list[Token], list[_Clause]]:
        """What brackets say: another amount, words about the food, remarks, alternatives."""
        said: list[Token] = []
        noted: list[Token] = []
        alternatives: list[_Clause] = []
        for bracket in brackets:
            if not bracket:
                continue
            first = bracket[0]
            if isinstance(first, Token) and first.text in ("or", "can use", "substitute"):
                alternatives.append(self._clause(list(bracket[1:])))
                continue
            for piece in _split(bracket, _is_comma):
                inner = self._clause(piece)
                amount = _with_bracket(amount, inner, self.measures)
                if _denies(piece):
                    continue
                said += _said_of_food([*inner.before, *inner.of, *inner.after])
                noted += inner.remarks
                for joined in (*inner.joined, *inner.alternatives):
                    said += joined.before
                    noted += joined.remarks
        return amount, said, noted, alternatives

    def _phrase(
        self, clause: _Clause, others: list[_Clause], said: list[Token], amount: Amount | None
    ) -> tuple[Phrase, Amount | None]:
        """The noun phrase of a clause with what the rest of the part says of it; sizes go to the amount."""
        core = [*clause.of, *clause.before]
        loose = [*clause.after, *said]
        for other in others:
            loose += _said_of_food([*other.before, *other.of, *other.after])
            for joined in (*other.joined, *other.alternatives):
                loose += _said_of_food([*joined.before, *joined.after])
        amount = _sized(amount, [*core, *loose])
        tokens, piece = self._take_piece(core, amount)
        if piece and (amount is None or amount.measure is None):
            amount = replace(amount, measure=piece) if amount else None
        said_states = [token for token in [*core, *loose] if token.kind == "state"]
        # what is chopped or torn is fresh, unless another state is said: "1 tbsp chopped basil"
        hinted = said_states or [token for token in [*core, *loose] if token.kind == "preparation"]
        states = {token.value for token in hinted if token.value}
        said_manner = [token for token in [*core, *loose] if token.kind == "preparation"]
        preparations = {word for token in said_manner for word in token.text.split()}
        if not any(token.text == "whipped" for token in core):
            preparations.discard("whipped")  # "300 ml cream, whipped" is measured before it is whipped
        key = _unique(word for token in tokens if token.kind in _NAMING and (word := key_word(token)))
        qualifiers = frozenset(word for token in loose if token.kind in _SAYING and (word := key_word(token)))
        text = " ".join(token.text for token in core)
        spelled = tuple((token.text, token.value, token.distance) for token in core if token.distance)
        return Phrase(text, key, qualifiers, frozenset(states), frozenset(preparations), piece, spelled), amount

    def _take_piece(self, core: list[Token], amount: Amount | None) -> tuple[list[Token], str | None]:
        """Take a piece word off the end ("garlic cloves"), unless the whole is a known name ("bay leaves")."""
        named = [token for token in core if token.kind in ("word", "measure")]
        last = named[-1] if named else None
        if last is None or len(named) < 2 or self.measures.kind(last) not in ("piece", "package"):
            return core, None
        return [token for token in core if token is not last], last.value


def _name_by_measure(clause: _Clause) -> None:
    """ "8 cloves": a piece without a food is the food itself."""
    amount = clause.amount
    if amount is None or amount.measure is None or amount.package or amount.plus or clause.of or clause.brackets:
        return
    clause.before.append(Token(amount.measure, "word", amount.measure))
    clause.amount = replace(amount, measure=None)


def _skippable(item: object) -> bool:
    if isinstance(item, tuple):
        return True
    if not isinstance(item, Token):
        return False
    return item.kind in ("optional", "joiner", "preposition") or (item.kind == "mark" and item.text != "~")


def _is_tinned(amount: Amount | None) -> bool:
    return amount is not None and amount.measure in ("can", "jar")


def _is_remark(clause: _Clause) -> bool:
    return bool(clause.remarks) and not clause.before


def _said_of_food(tokens: list[Token]) -> list[Token]:
    """Tokens that describe the food; the nouns of a clause about cutting or cooking ("stems removed") do not."""
    if any(token.kind == "preparation" for token in tokens):
        return [token for token in tokens if token.kind in ("preparation", "state", "size")]
    return tokens


def _denies(items: Items) -> bool:
    first = items[0] if items else None
    return isinstance(first, Token) and first.text in ("not", "no", "without", "never", "instead of")


def _unique(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(words))


def _sized(amount: Amount | None, tokens: Sequence[Token]) -> Amount | None:
    """The amount with a size said anywhere in the part ("Tomatoes, large - 2")."""
    if amount is None or amount.size:
        return amount
    size = next((token.value for token in tokens if token.kind == "size" and token.value), None)
    return replace(amount, size=size) if size else amount


def _with_bracket(amount: Amount | None, inner: _Clause, measures: MeasureWords) -> Amount | None:
    """The amount with what a bracket states: a package's size, or the same quantity said another way."""
    stated = inner.amount
    if stated is None or (stated.measure is None and inner.named()):
        return amount
    if amount is None:
        return stated
    weighable = measures.kinds.get(stated.measure or "") in ("mass", "volume")
    if weighable and measures.kinds.get(amount.measure or "") == "package" and amount.package is None:
        return replace(amount, package=stated)
    if amount.also is None and (weighable or stated.measure != amount.measure or stated.size):
        return replace(amount, also=stated)
    return amount


def _says_each(clause: _Clause) -> bool:
    return any(token.text == "each" for token in (*clause.before, *clause.remarks))


def _lend_heads(clauses: Sequence[_Clause]) -> None:
    """ "1 red and 1 green pepper": a clause of adjectives alone borrows the nouns of the next that has some."""
    for at, clause in enumerate(clauses[:-1]):
        said = {key_word(token) for token in clause.nouns()}
        if clause.amount is None or not said or not said <= _ADJECTIVES or clause.of:
            continue
        for later in clauses[at + 1 :]:
            nouns = [token for token in later.nouns() if key_word(token) not in _ADJECTIVES]
            if nouns and later.amount is not None:
                clause.before.extend(nouns)
                break


def _share_amount(clauses: Sequence[_Clause]) -> None:
    """ "1 tsp each ground cumin, coriander": the first clause's amount, and its "ground", hold for all."""
    first = clauses[0]
    lead = first.before[0] if len(first.before) > 1 else None
    if lead is not None and lead.text == "each":
        lead = first.before[1] if len(first.before) > 2 else None
    for clause in clauses[1:]:
        for one in (clause, *clause.joined):
            one.amount = one.amount or first.amount
            if lead is not None and lead.text == "ground" and len(one.nouns()) == 1:
                one.before.insert(0, lead)


def _sharing(part: Part, amount: Amount, each: bool, count: int) -> Part:
    """The part of a line that states one amount for several foods: the whole amount where it says "each"."""
    if each:
        return replace(part, amount=amount)
    share = replace(amount, low=amount.low / count, high=amount.high / count, also=None, plus=None)
    return replace(part, amount=share, shared=True)


# Heads that two foods share across an "or", though the first would be a food without: "lemon or lime juice".
_SHARED_HEADS = frozenset(
    {"juice", "zest", "stock", "broth", "vinegar", "wine", "milk", "flour", "seed", "powder", "sauce", "bouillon"}
)
# Words that want a noun: "white or brown rice".
_ADJECTIVES = frozenset(
    "white brown red green black yellow purple orange golden light dark sweet hot mild whole plain dry fresh".split()
)
_TAKEN = {"juice": "juice", "juiced": "juice", "zest": "zest", "zested": "zest", "rind": "zest"}
_CITRUS = frozenset({"lemon", "lime", "orange", "grapefruit", "clementine", "tangerine", "yuzu", "mandarin", "satsuma"})


def _yielded(part: Part) -> Part:
    """ "juice of 1 lemon", "1 lemon, juiced", "zest of 2 limes": the yield of whole fruits is what is eaten."""
    phrase = part.phrases[0] if part.phrases else None
    if phrase is None or not _CITRUS & set(phrase.tokens):
        return part
    amount = part.amount
    counted = amount is None or amount.measure is None or amount.measure in ("squeeze",)
    wants = [_TAKEN[word] for word in (*phrase.tokens, *sorted(part.words)) if word in _TAKEN]
    if not wants and amount is not None and amount.measure == "squeeze":
        wants = ["juice"]
    if not wants or not (counted or set(phrase.tokens) & {"juice", "zest", "rind"}):
        return part
    fruit = next(word for word in phrase.tokens if word in _CITRUS)
    taken = wants[0]
    tokens = (fruit, "juice") if taken == "juice" else (fruit, "zest")
    first = replace(phrase, tokens=tokens, piece=None)
    return replace(part, phrases=(first, *part.phrases[1:]), taken=taken if counted and amount else None)
