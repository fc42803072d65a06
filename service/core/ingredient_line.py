"""A line as a person writes it, read into parts: each a food with its amount.

    line  = [ bullet ] [ heading ( ":" | "-" ) | "plus" ] clause { ("," | ";" | ":" | " - ") clause }
    group = a clause with a food, and those behind it without a food and amount of their own
    part  = one food of a group

The grammar of what a line is made of stands with its module: `line_items`, `wholes`, `line_order`, `heading`, `clause`,
`coordination`, `fruit_parts`, `shared_amount`, `part`, `noun_phrase`. One pass over the tokens; brackets are read as
lines of their own inside the line.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from service.core import choices, coordination, fruit_parts, shared_amount
from service.core.amount import CENTIMETRES, LENGTHS, WEIGHABLE, Amount, MeasureWords
from service.core.clause import (
    EXTRA,
    SEASONINGS,
    Clause,
    ClauseReader,
    allows,
    in_measure_of,
    name_by_measure,
    with_joined,
)
from service.core.component import is_component
from service.core.denial import as_denied
from service.core.figure_line import states_claims
from service.core.left_open import heads_open, left_out_together, open_in_part, without_choice
from service.core.line_doubts import doubt_of
from service.core.line_item import Items, is_number, text_of
from service.core.line_items import bracketed, chosen, read_tokens, split
from service.core.line_order import in_order
from service.core.line_text import in_letters
from service.core.line_words import with_purposes
from service.core.no_food import (
    EQUIPMENT,
    LABEL_LINE,
    MADE,
    NOTE,
    behind_heading,
    behind_plus,
    finished_with,
    not_food,
    noted_food,
    weighed_food,
    without_need,
)
from service.core.note import says_best
from service.core.noun_phrase import Lexicon
from service.core.part import Part, read_part, tells_yield
from service.core.portion import goes_away, one_of_them
from service.core.relative import as_bought, with_relatives
from service.core.values import quick
from service.core.verb_first import noun_first, out_of_vessel, verb_first
from service.core.vocabulary import Token, Vocabulary, key_word
from service.core.wholes import by_wholes


@quick
@dataclass(frozen=True, slots=True)
class IngredientLine:
    """A line with its parts; no parts means that it is no food, and `reason` says why.

    doubt  why somebody should look at the line though its parts are clear, "" where nothing speaks against them
    """

    text: str
    parts: tuple[Part, ...]
    reason: str = ""
    doubt: str = ""


def parse_line(text: str, vocabulary: Vocabulary, measures: MeasureWords) -> IngredientLine:
    """Read one line; never fails, and its time is linear in the line's length."""
    lexicon = Lexicon(vocabulary, measures)
    said = noun_first(read_tokens(text, vocabulary), lexicon)
    whole = out_of_vessel(with_purposes(by_wholes(as_bought(with_relatives(said)))), lexicon)
    tokens = behind_plus(behind_heading(whole, lexicon), lexicon)
    if len(tokens) == len(whole) and is_component(text, whole, lexicon):
        return IngredientLine(text, (), _no_food(whole, lexicon) or MADE)
    read = _of_step(text, tokens, lexicon) or _read(text, tokens, lexicon)
    if not read.parts and tokens and (hidden := weighed_food(tokens, lexicon)):
        read = _read(text, hidden, lexicon)
    if read.reason in _HOLDS_FOOD and (noted := noted_food(tokens, lexicon) or finished_with(tokens, lexicon)):
        read = replace(_read(text, noted, lexicon), doubt=_IN_NOTE)
    if read.reason in _UNNAMED and (named := in_letters(text)) != text:
        return replace(parse_line(named, vocabulary, measures), text=text)
    if heads_open(whole[: len(whole) - len(tokens)]):
        read = replace(read, parts=tuple([replace(part, optional=True) for part in read.parts]))
    if read.parts and whole[0].text in _STANDING_IN:
        return replace(read, doubt=read.doubt or _OTHERWISE)
    return replace(read, doubt=_GOING) if read.parts and goes_away(tokens, lexicon) else read


# First words of what would do as well, or of what another line should have said.
_STANDING_IN = frozenset({"instead of", "in place of", "or use", "correction", "typo"})
_OTHERWISE = "the line says what may stand for the food of another line, or puts it right"
_NO_WORDS, _NO_FOOD = "no words", "no food is named"
_UNNAMED = frozenset({_NO_WORDS, _NO_FOOD})  # but perhaps pictured: "3 🥕, grated"
_HOLDS_FOOD = frozenset({NOTE, EQUIPMENT, LABEL_LINE})
_IN_NOTE = "the line reads as a note; the food that it names is counted"
_GOING = "the line says what is taken away or left out; it is counted as used"


def _of_step(text: str, tokens: Sequence[Token], lexicon: Lexicon) -> IngredientLine | None:
    """The foods of a line that begins with what is done to them; None where it is no such line."""
    foods = verb_first(tokens, lexicon)
    read = _read(text, foods, lexicon) if foods else None
    if read is None or not read.parts:
        return None
    return replace(read, doubt=read.doubt or _OF_METHOD)


_OF_METHOD = "the line may be a step of the method, whose foods other lines state"


def _read(text: str, tokens: Sequence[Token], lexicon: Lexicon) -> IngredientLine:
    """What the tokens of a line say; of a title of its own or a note, only why it is no food."""
    if reason := _no_food(tokens, lexicon):
        return IngredientLine(text, (), reason)
    tokens = without_choice(without_need(tokens), lexicon)
    items, left = one_of_them(bracketed(as_denied(chosen(tokens))))
    items = in_order(items, lexicon)
    reader = ClauseReader(lexicon, small=text == text.lower())
    parts = left_out_together(_seasonings(_halved(items, reader) or _parts(items, reader)), tokens)
    parts, beside = open_in_part(parts, tokens, lexicon)
    reason = "" if parts else _NO_FOOD
    return IngredientLine(text, tuple(parts), reason, left or beside or doubt_of(text, items, parts, lexicon))


def _halved(items: Items, reader: ClauseReader) -> list[Part]:
    """The foods that share an amount evenly, where a line says so: "500 g mince, half beef and half pork"."""
    parts = [part for half in shared_amount.halves(items, reader.lexicon) for part in _parts(half, reader)]
    return [replace(one, amount=shared_amount.even_share(one.amount, 2)) for one in parts if one.amount is not None]


def _seasonings(parts: list[Part]) -> list[Part]:
    """ "Salt, black pepper and red pepper": beside salt and nothing else, peppers are no vegetables, but to taste."""
    if len(parts) < 2 or any(part.amount is not None or not part.phrases for part in parts):
        return parts
    heads = {part.phrases[0].text.rpartition(" ")[2] for part in parts}  # as written: "red peppers" are vegetables
    if not heads <= SEASONINGS or "salt" not in heads:
        return parts
    return [replace(part, to_taste=True) for part in parts]


def _no_food(tokens: Sequence[Token], lexicon: Lexicon) -> str:
    if not any(map(str.isalpha, [token.text[0] for token in tokens])):
        return _NO_WORDS
    return not_food(tokens, lexicon)


def _parts(items: Items, reader: ClauseReader) -> list[Part]:
    """The foods of a line, each with its amount; where semicolons part foods, each stretch between them is a line."""
    stretches = split(items, ";")
    if len(stretches) > 1 and all(_names_food(stretch, reader.lexicon) for stretch in stretches):
        return [part for stretch in coordination.said_of_all(stretches) for part in _parts_of(stretch, reader)]
    return _parts_of(items, reader)


def _names_food(items: Items, lexicon: Lexicon) -> bool:
    """Whether what stands before the first mark or bracket names a food: "salt" in "2 tbsp oil; salt"."""
    first = next(iter(split(items)), ())
    return lexicon.names_food([item for item in first if isinstance(item, Token)])


def _plain_tokens(piece: Items) -> list[Token]:
    """The tokens of a piece that stand outside brackets."""
    return [item for item in piece if isinstance(item, Token)]


def _parts_of(items: Items, reader: ClauseReader) -> list[Part]:
    lexicon = reader.lexicon
    pieces = [piece for piece in split(items) if not states_claims(_plain_tokens(piece), lexicon)]
    pieces = [piece for at, piece in enumerate(pieces) if not at or not _repeats(piece)]
    if len(pieces) > 1 and any(map(is_number, pieces[0])):  # not "Cheese: cheddar is best"
        pieces = [pieces[0], *(piece for piece in pieces[1:] if not _praises(piece))]
    pieces = coordination.said_of_all(pieces) if len(pieces) > 1 else pieces
    each: Amount | None = None
    if len(pieces) > 2 and text_of(items[len(pieces[0])]) == ":" and coordination.is_label(pieces, reader):
        each, pieces = coordination.stated_each(pieces[0], reader), pieces[1:]
    if len(pieces) > 2 and text_of(items[len(pieces[0])]) == ":" and coordination.is_total(pieces, reader):
        pieces = pieces[1:]
    clauses = _clauses(pieces, reader)
    if each is not None:
        for clause in with_joined(clauses):
            clause.amount = clause.amount or each
    if clauses:
        clauses = coordination.of_kinds(clauses) if len(clauses) > 1 else clauses
        name_by_measure(clauses[0], lexicon)
        coordination.name_pieces(clauses, lexicon)
        fruit_parts.take_of_fruit(clauses, reader)
        shared_amount.divide_count(clauses, reader)
    everyone = with_joined(clauses)
    if len(everyone) > 1:
        coordination.pair_glosses(everyone, lexicon)
        fruit_parts.lend_fruit_on(everyone)
        _share(clauses, everyone, reader)
    return [part for group in _grouped(clauses, lexicon) for part in _group_parts(group, reader)]


def _repeats(piece: Items) -> bool:
    """Whether a piece tells of the food before it what it was made of, or what becomes of it."""
    return _tells_source(piece) or _separates(piece) or tells_yield(piece)


def _praises(piece: Items) -> bool:
    """ "yogurt, sheep yogurt is the best": which kind the cook likes, of which a doubt is told."""
    return says_best([text_of(item) for item in piece])


def _tells_source(piece: Items) -> bool:
    """ "1/2 cup lemon juice, from 3 lemons": what a food was made of, which is not counted again."""
    first, *behind = piece[:3]
    if not isinstance(first, Token) or first.value != "from":
        return False
    return is_number(next((item for item in behind if not isinstance(item, Token) or item.kind != "approximate"), None))


def _separates(piece: Items) -> bool:
    """ "3 eggs, whites and yolks separated": both are used, and counted with the eggs."""
    said = [text_of(item) for item in piece]
    return "separated" in said and len(_OF_EGGS.intersection(said)) > 1


_OF_EGGS = frozenset({"white", "whites", "yolk", "yolks"})


def _clauses(pieces: Sequence[Items], reader: ClauseReader) -> list[Clause]:
    """The clauses of a line's pieces; one behind "or" is an alternative of the food before it: "cider, or juice"."""
    clauses: list[Clause] = []
    food: Clause | None = None  # the last that names one
    for piece in pieces:
        first, use = piece[0], food is not None and text_of(piece[0]) in _USE  # "sub rolls" are food
        clause = reader.read(piece[1:] if use else piece)
        if food is not None and food.amount is not None:
            _cut_to_length(clause)
        other = isinstance(first, Token) and (use or first.value == "or")
        if food is not None and other and _tells_state(clause):
            continue  # "400 g canned chickpeas, or 200 g dried"
        other = other or (food is not None and _would_do(clause, food, reader.lexicon))
        if food is not None and other and clause.named():
            food = choices.add_choice(clauses, food, clause, reader.lexicon)
            continue
        choices.lend_head_of_others(clause, food, reader.lexicon)
        if food is not None and choices.ends_choices(clause, food, reader.lexicon):
            food = choices.add_choice(clauses, food, clause, reader.lexicon)
            continue
        shared_amount.wrap_each(clause, food)
        opened = _opened(clause)
        clauses += opened
        choices.gather_choices(clauses, reader.lexicon)
        gathered = clauses[-1] is not opened[-1]
        food = clauses[-1] if gathered else next((one for one in reversed(opened) if one.named()), food)
    choices.lend_choice_heads(clauses, reader.lexicon)
    if len(clauses) > 1:
        shared_amount.repeat_amounts(clauses, reader.lexicon)
        coordination.lend_to_adjectives(clauses)
        shared_amount.lend_amounts(clauses)
        coordination.lend_heads_on(clauses, reader.lexicon)
    return clauses


def _would_do(clause: Clause, food: Clause, lexicon: Lexicon) -> bool:
    """Whether a clause names another food and says that it would do as well: "flour - almond flour works too"."""
    advised = any(allows(remark) and remark.value != "condition" for remark in clause.remarks)  # no "if you have it"
    if food.amount is None or clause.amount is not None or not advised:
        return False
    return lexicon.names_food(clause.nouns()) and lexicon.names_food(food.nouns())


def _tells_state(clause: Clause) -> bool:
    """Whether a clause states an amount in another state of a food that it does not name: "or 1 tsp dried"."""
    stated = clause.amount is not None and any(token.kind == "state" for token in clause.before)
    return stated and not clause.named()


# What opens a food that may be taken in place of the one before it.
_USE = frozenset({"or use", "can use", "can sub", "can swap", "sub", "alternatively"})
_CUT_PIECES = frozenset(
    "piece pieces chunk chunks cubes strip strips slice slices lengths segments sections rounds batons dice".split()
)


def _cut_to_length(clause: Clause) -> None:
    """Take what a further clause says of pieces and their length for a remark: "1 lb chicken, 2-inch pieces"."""
    said = {token.text for token in clause.before if token.kind != "measure" or token.several}
    many = len(said) == len(clause.before) > 0 and said <= _CUT_PIECES  # "1 daikon, 10 cm piece" is as long
    if clause.amount is not None and clause.amount.measure in LENGTHS and many:
        told = [token for token in clause.before if token.text not in _ONE_PIECE]  # pieces may name a cut
        clause.amount, clause.before, clause.remarks = None, [], [*clause.remarks, *told]


def _opened(clause: Clause) -> list[Clause]:
    """A clause, and behind it those that join one without a name: "gram flour, whisked into 1 cup water"."""
    if clause.amount is None and [token.value for token in clause.before[:2]] in _COOKED_IN:
        clause.before = clause.before[1:]  # "pasta, cooked in salted water"
    if clause.named() or not clause.joined:
        return [clause]
    joined, clause.joined = clause.joined, []
    clause.before = [token for token in clause.before if token.value != "cooked"]  # "rice, cooked in 4 cups water"
    return [clause, *joined]


def _ends_in_seeds(named: Sequence[Clause]) -> bool:
    """ "50 g pumpkin, sunflower and sesame seeds"."""
    nouns = named[-1].joined[-1].nouns()
    return named[0].amount is not None and len(nouns) > 1 and key_word(nouns[-1]) == "seed"


def _opens_with_more(clause: Clause) -> bool:
    return any(token.value in _WITH_MORE for token in clause.remarks[:1])


_WITH_MORE = frozenset({"and", "with"})


def _opens_with_and(clause: Clause) -> bool:
    return any(token.value == "and" for token in clause.remarks[:1])


_COOKED_IN = (["cooked", "in"], ["cooked", "with"])


def _share(clauses: list[Clause], everyone: Sequence[Clause], reader: ClauseReader) -> None:
    """Let clauses lend each other what several foods share; `everyone` are they and those joined to them."""
    lexicon = reader.lexicon
    coordination.lend_heads(everyone, lexicon)
    shared_amount.take_each(clauses, reader)
    shared_amount.share_behind(clauses, lexicon)
    named = [clause for clause in clauses if clause.named()]
    if named and named[-1].joined and (clauses[0].says_each() or _ends_in_seeds(named)):
        coordination.lend_last_head(named, lexicon)
    elif len(named) > 1 and clauses[0].says_each() and _opens_with_and(named[-1]):
        coordination.lend_last_head(named, lexicon)  # "1/2 each green, red, and yellow pepper"
    run = coordination.first_run(clauses)
    if coordination.is_list(run, lexicon):
        shared_amount.share_amount(run, lexicon)


def _grouped(clauses: list[Clause], lexicon: Lexicon) -> list[list[Clause]]:
    """Clauses that speak of one food, together; a clause with a food and amount of its own opens a new group."""
    if len(clauses) == 1:
        return [clauses]
    groups: list[list[Clause]] = []
    named = False  # whether the last of them names a food; to look through it for each clause would take the square
    listed = clauses if coordination.is_list(clauses, lexicon) else coordination.first_list(clauses, lexicon)
    counted = 0 < len(listed) < len(clauses) and clauses[len(listed)].amount is not None
    end = len(listed) + counted  # "salt, pepper, 1 tsp paprika"
    either = any(clause.alternatives for clause in clauses)  # "2 tsp sugar, honey, or molasses"
    for at, clause in enumerate(clauses):
        second = named and not either and coordination.is_second_food(clause, groups[-1], lexicon)
        if not groups or second or (named and _opens(clause, groups, at < end, lexicon)):
            groups.append([clause])
            named = clause.named()
        else:
            groups[-1].append(clause)
            named = named or clause.named()
    return groups


def _has_named(group: Iterable[Clause]) -> bool:
    return any(clause.named() for clause in group)


def _opens(clause: Clause, groups: list[list[Clause]], listing: bool, lexicon: Lexicon) -> bool:
    """Whether a clause names a food of its own, with its amount where no list says so."""
    group = groups[-1]
    if not clause.named() or listing:
        return clause.named()
    counted = clause.amount is not None and any(earlier.amount for earlier in group)
    named = lexicon.names_food(clause.nouns())
    added = coordination.is_added_to_taste(clause, lexicon) or coordination.is_seasoning(clause)
    added = added or (named and coordination.opens_further(clause))
    if added or (clause.joined and coordination.is_dish(clause, lexicon)):
        return True  # "rice, salad and chips"
    if counted and not named:  # "5-6 potatoes whole if small"; "1 locoto", which nobody knows
        return coordination.begins_with_food(clause, lexicon) or coordination.is_unknown_food(clause, lexicon)
    if not named:
        return False
    listed = len(groups) > 1 or _opens_with_and(clause)
    if counted or coordination.has_own_purpose(clause, group, lexicon, listed=listed):
        return True
    return coordination.is_food_of_its_own(clause, group, lexicon)


def _group_parts(group: list[Clause], reader: ClauseReader) -> list[Part]:
    """The parts of a group: one, or one for each food that "and" joins."""
    if not _has_named(group):
        _open_bracket(group, reader)
    main = _main(group, reader.lexicon)
    if not main.named():
        return []
    each = bool(main.joined) and (any(clause.says_each() for clause in group) or _ends_in_each(main))
    others = [clause for clause in group if clause is not main]
    foods = coordination.chain(main, reader.lexicon)
    amount = _group_amount(main, others, reader.lexicon)
    parts = [read_part(food, others, amount if food is main else food.amount, reader) for food in foods]
    if amount is None or len(foods) == 1 or any(food.amount or food.beside or food.is_to_taste() for food in foods[1:]):
        return parts
    if each:
        return [replace(part, amount=amount) for part in parts]
    share = shared_amount.even_share(amount, len(foods))
    return [replace(part, amount=share, shared=True) for part in parts]


def _ends_in_each(main: Clause) -> bool:
    """Whether the last of the foods that "and" joins ends in "each": "1 tsp cumin and coriander each"."""
    *_, last = main.all()
    return last is not main and any(token.text == "each" for token in (*last.before[-1:], *last.remarks[-1:]))


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
    if len(named) == 1:
        return named[0]
    if group[:2] == named[:2] and (turned := coordination.turned_round(named, lexicon)) is not None:
        return turned
    able = [clause for clause in named if clause is named[0] or not clause.prepared()]
    main = next((clause for clause in able if lexicon.names_food(clause.nouns())), named[0])
    if main is not named[0] and main.amount is None and not main.remarks:
        for earlier in named[: named.index(main)]:
            main.before[:0] = earlier.before
            main.amount = main.amount or earlier.amount
            group.remove(earlier)
    return main


# What a clause may call the mass that it states.
_WEIGHED = frozenset({"weight"})
_ONE_PIECE = frozenset({"piece", "knob", "length", "chunk", "stick", "section"})
# What is said with a length that each of several has: "4 flour tortillas, 10 inches across".
_OF_EACH = frozenset({"each", "long", "across", "diameter", "wide"})
# Nobody cuts a food into pieces as long as this, in centimetres; a piece of it may be.
_LONG = 6.0


def _says_how_much(clause: Clause, counted: Amount, lexicon: Lexicon) -> bool:
    """Whether a further clause weighs or measures the food: "1 daikon, 10 cm piece", but not "1 cm cubes"."""
    assert clause.amount is not None
    if lexicon.measured_by(clause.amount) in WEIGHABLE:
        said = {token.text for token in clause.nouns()}
        return clause.amount.measure != counted.measure or said <= _WEIGHED  # not "2 cups flour, 1 cup wholemeal"
    said, one = {token.text for token in clause.before}, counted.low == counted.high == 1
    length = clause.amount.middle * CENTIMETRES.get(clause.amount.measure or "", 0.0)
    return counted.measure is None and length >= _LONG and said <= (_ONE_PIECE if one else _OF_EACH)


# What is put on the table beside what is used.
_FULL = frozenset({"bowl", "plate", "basket"})


def _goes_on(clause: Clause, amount: Amount, lexicon: Lexicon) -> bool:
    """Whether a clause adds to an amount of the food before it, or takes off less than there is."""
    if clause.amount is None or lexicon.names_food(clause.nouns()):
        return False
    if clause.amount.measure in _FULL and amount.measure not in _FULL:
        return False  # "2 tbsp jam, plus a bowlful on the table"
    measured = lexicon.measured_by(clause.amount) in WEIGHABLE and not clause.named()
    said = [token.text.split()[0] for token in (*clause.before[:1], *clause.remarks[:1])]
    if not EXTRA.isdisjoint(said) and amount.measure is clause.amount.measure is None:
        return True  # "2 eggs for the dough, 1 more for brushing"
    if measured and _opens_with_more(clause):
        return True  # "1 cup sugar, and 50 g for topping"
    return clause.more or (clause.less and lexicon.measures.holds_more(amount, clause.amount))


def _group_amount(main: Clause, others: list[Clause], lexicon: Lexicon) -> Amount | None:
    """The amount of the clause that names the food, with the same said another way by a clause beside it."""
    if main.amount is not None:
        further = next((one for one in others if _goes_on(one, main.amount, lexicon)), None)
        if further is not None and further.amount is not None:
            said = {token.text for token in further.before}  # "plus 1 extra", "plus half", not "plus a few to serve"
            of_it = said & EXTRA or (not said and further.amount.high < 1)
            extra = in_measure_of(main.amount, further.amount) if of_it else further.amount
            if further.less:
                return replace(main.amount, less=extra)
            main.top(extra)
            return main.amount
    first = main if main.amount is not None else next((clause for clause in others if clause.amount), main)
    if first.amount is None or first.amount.also:
        return first.amount
    counted = first.amount
    many = next((clause.amount for clause in others if _only_counts(clause)), None)
    if many is not None and counted.low == counted.high == 1 and lexicon.measured_by(counted) == "package":
        return replace(counted, low=many.low, high=many.high)  # "tin tomatoes, 2"
    again = [
        clause
        for clause in others[others.index(first) + 1 if first is not main else 0 :]
        if clause.amount and not (clause.less or clause.remarked()) and _says_how_much(clause, counted, lexicon)
    ]
    if not again or (counted.package is not None and len(with_joined(again)) > 1):
        return counted  # "1 bar (100 g) chocolate, 80 g chopped and 20 g grated"
    if first is main and _fills_a_tin(main, others[: others.index(again[-1]) + 1], lexicon):
        return replace(counted, package=again[-1].amount)
    return replace(counted, also=again[-1].amount)


def _only_counts(clause: Clause) -> bool:
    """Whether a clause is a number and nothing else."""
    alone = clause.amount is not None and clause.amount.measure is None and clause.amount.package is None
    return alone and not (clause.before or clause.after or clause.remarks or clause.brackets or clause.of)


def _fills_a_tin(main: Clause, others: Sequence[Clause], lexicon: Lexicon) -> bool:
    """Whether the last clause says what one tin holds: "1 can tuna, 160 g", "3 cans beans, 400 g each".

    Not of "1 tin beans, 240 g drained".
    """
    one, size = main.amount, others[-1].amount
    if one is None or size is None or one.package or one.measure not in ("can", "jar"):
        return False
    if not (one.low == one.high == 1 or others[-1].says_each()):
        return False
    said = [token for clause in (main, *others) for token in (*clause.before, *clause.after, *clause.remarks)]
    return lexicon.measured_by(size) == "mass" and not any("drained" in token.text.split() for token in said)
