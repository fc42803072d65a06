"""One food of a line with all that the line says of it, made of the clause that names it and those beside it.

part    = clause { "," clause } { bracket } [ "or" alternative ]
bracket = "(" ( "or" alternative | said { "," said } ) ")"
said    = an amount, a state or manner, another name, a note; nothing where it begins with "not", "without", ...
yield   = ( "juice" | "zest" ) "of" amount citrus | amount citrus "," ( "juiced" | "zested" )
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise, takewhile

from service.core.amount import LENGTHS, WEIGHABLE, Amount, in_two_systems
from service.core.clause import TAKEN, Clause, ClauseReader, with_joined, with_more, without_topping
from service.core.figure_line import states_claims
from service.core.line_item import Items, is_number, text_of
from service.core.line_items import split
from service.core.noun_phrase import (
    ADJECTIVES,
    CITRUS,
    DRIED,
    EATEN,
    ENDS,
    NAMING,
    PARED_PARTS,
    TAKING_OFF,
    WASHED,
    Lexicon,
    Phrase,
    compares,
    read_phrase,
    said_of_food,
    without_drying,
)
from service.core.values import quick
from service.core.vocabulary import Name, Token, Vocabulary

_AS_PURCHASED = frozenset({"bone", "unshelled", "unpeeled", "shell", "jointed", "chined"})
# What a food is still in when it is bought.
_COVERS = frozenset("bone bones shell shells pod pods husk husks peel skins unshelled unpeeled unpodded".split())
# What a weight without something is; one without skin may be with bones or a stone.
_BARE = "bone bones shell shells pod pods husk husks peel rind stone stones pit pits core".split()
_WITHOUT = dict.fromkeys(_BARE, "edible") | {"skin": "skinned weight", "skins": "skinned weight"}
_BONELESS = frozenset({"boneless", "boned", "deboned"})
# What was weighed with its bones, whoever takes them out behind it: "900 g bone-in thighs, boned".
_WITH_BONES = frozenset({"bone in", "bones in", "bone on", "on the bone", "with bone", "with bones"})
_BOUGHT = frozenset({"rind on", "as purchased", "unpitted", "unhusked"})
# What is said of a part of the food that nobody takes off it to eat: "2 lemons with rind" are no rind.
_LEFT_ON = {
    "rind on": frozenset({"rind"}), "skin on": frozenset({"peel", "peels"}), "headless": frozenset({"head", "heads"}),
}
# What a bracket says a drink comes in: "(from a carton)", which is no amount.
_CARTON = "carton"
# Said of a weight that a bracket states of what it measures by the cup as well.
_EDIBLE = Token("edible portion", "remark")
_OR = frozenset({"or", "or use", "can use", "can sub", "can swap", "substitute", "alternatively", "if not"})
_STIRRED = frozenset({"dissolved", "diluted", "mixed", "added", "stirred", "whisked", "blended"})
_INTO = frozenset({"in", "into", "with", "to"})
_ADDED, _AND = frozenset({"plus", "+"}), frozenset({"and", "&"})
_DRIED_BY_COOKS = DRIED - {"dry"}
# What makes a food dry on its outside and weighs as much as before.
_WASHED_DRY = WASHED | {"towel", "towels", "cloth", "cloths", "paper", "spinner"}
_FOR = frozenset({"for"})
_KEEPING = frozenset({"reserve", "reserving", "save", "saving", "keep", "keeping", "set aside"})
_DENYING = frozenset({"not", "no", "without", "never", "instead of"})


@quick
@dataclass(frozen=True, slots=True)
class Part:
    """One food of a line with its amount; `phrases` has the counted phrase first, then accepted alternatives.

    words         every normalised word of the part, remarks included
    as_purchased  the weight is as bought ("bone-in", "whole", "in shell")
    drained       only the solids are eaten
    taken         "juice" or "zest" where the part asks for the yield of whole fruits ("juice of 1 lemon")
    shared        the line states one amount for several foods, divided evenly here
    small         the line has no capital letter, so that it is hardly a title
    cooked_later  what is weighed before it is called cooked, behind a comma ("1 lb macaroni, cooked")
    dried_later   it is called dried behind a comma in words that tell of a step, and not of wiping it dry
    divided       a bracket says what becomes of some and of others ("3 lemons (2 juiced, 1 sliced)")
    apart         words of it that alone are the name of a food, outside brackets ("parsley, basil")
    example       the first food that the line gives as one of what it means: "sweetener such as erythritol";
                  compared: only by "like"
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
    divided: bool = False
    small: bool = False
    cooked_later: bool = False
    dried_later: bool = False
    apart: frozenset[str] = frozenset()
    compared: bool = False
    example: Phrase | None = None


@dataclass(slots=True)
class _Brackets:
    """What the brackets of a part say; `amount` is the part's with what they state of it, `states` its own.

    counted  those that count some of the part's pieces: "(2 juiced, 1 sliced)";  weighed  those that state a mass
    added    one adds a further amount;  meanings  glosses of brackets that say nothing else
    """

    amount: Amount | None
    said: list[Token] = field(default_factory=list)
    noted: list[Token] = field(default_factory=list)
    alternatives: list[Clause] = field(default_factory=list)
    glosses: list[tuple[str, ...]] = field(default_factory=list)
    meanings: list[tuple[str, ...]] = field(default_factory=list)
    states: frozenset[str] = frozenset()
    counted: list[Clause] = field(default_factory=list)
    weighed: list[Clause] = field(default_factory=list)
    added: bool = False
    examples: list[Token] = field(default_factory=list)


def read_part(clause: Clause, others: Sequence[Clause], amount: Amount | None, reader: ClauseReader) -> Part:
    """The part of the food that `clause` names; `others` are the further clauses that speak of it."""
    states = frozenset([token.value for token in (*clause.of, *clause.before, *clause.after) if token.kind == "state"])
    held = [bracket for one in (clause, *others) for bracket in one.brackets]
    held += _behind_joined(others, reader.lexicon)
    held += [bracket for one in clause.alternatives[-1:] for bracket in one.brackets if _tells_of_all(bracket)]
    brackets = _read_amounts(held, amount, states, reader, topping=clause.topping)
    phrases, amount = _phrases(clause, others, brackets, reader.lexicon)
    everything = [*_tokens(clause, others), *brackets.said, *brackets.noted]
    kinds = {token.kind for token in everything}
    words = {token.key or token.text for token in everything}
    words |= {f"{token.text} weight" for token in clause.before if token.kind == "preparation" and clause.named()}
    words |= {token.text for other in others for token in _prepared_weights(other, (), reader.lexicon)}
    gone = _not_said(everything, words, phrases[0].lacking)
    flat, words = set(_text(everything).split()) - gone, words - gone
    if "rind" in flat and _describes_rind(clause, others):
        flat, words = flat - {"rind"}, words - {"rind"}
    no_bones = not (_BONELESS.isdisjoint(flat) and _BONELESS.isdisjoint(words))
    boned = no_bones and _was_boned(words, flat)
    if boneless := no_bones and not boned:
        flat, words = flat - {"bone", "bones"}, (words - {"bone"}) | {"boneless"}
    part = Part(
        text=_text(clause.before) or phrases[0].text or _text(everything) or _counted(amount),
        amount=amount,
        phrases=tuple([phrase for phrase in phrases if phrase.tokens]),
        words=frozenset(words | flat) - ({"whipped"} - phrases[0].preparations),
        optional=("optional" in kinds or bool(clause.alternatives)) and _is_optional(clause, others, brackets),
        to_taste="to taste" in kinds,
        shared=clause.shared,
        small=reader.small,
        as_purchased=boned or (bool(flat & _AS_PURCHASED or words & _BOUGHT) and not boneless),
        cooked_later=_is_cooked_later(clause, others, phrases[0]),
        dried_later=not DRIED.isdisjoint(words) and _WASHED_DRY.isdisjoint(flat) and _dried_later(others, phrases),
        divided=clause.divided or _is_divided(amount, brackets, reader.lexicon),
        apart=_named_apart(others, reader.lexicon) if others and len(phrases) < 2 else frozenset(),
        compared=not brackets.examples and _EXAMPLES.isdisjoint(words),
        example=_example(everything if "remark" in kinds else (), brackets.examples, phrases[0], reader.lexicon),
        drained="undrained" not in words and ("drained" in flat | words or ("rinsed" in flat and _is_tinned(amount))),
    )
    return _yielded(part, reader.lexicon)


def _behind_joined(others: Sequence[Clause], lexicon: Lexicon) -> list[tuple[object, ...]]:
    """Brackets behind the second of two things that are said of a food: ", boneless and skinless (600 g in all)"."""
    said = (one for other in others for one in other.joined if not lexicon.names_food(one.nouns()))
    return [bracket for one in said for bracket in one.brackets]


def _was_boned(words: set[str], flat: set[str]) -> bool:
    """Whether a food was weighed with the bones that are taken out of it: "1 whole chicken (3 lb), bones removed"."""
    return not words.isdisjoint(_WITH_BONES) or ("whole" in words and "boneless" not in flat)


def _not_said(tokens: Sequence[Token], words: set[str], lacking: frozenset[str]) -> set[str]:
    """Words that are no food of the part: what it lacks, and what is left on it, "2 lemons with rind"."""
    gone = {*lacking, *(token.text for token in tokens if token.key in lacking)} if lacking else set[str]()
    return gone.union(*[_LEFT_ON[said] for said in words & _LEFT_ON.keys()])


def _example(
    outside: Sequence[Token], inside: Sequence[Token], phrase: Phrase, lexicon: Lexicon
) -> Phrase | None:
    """What stands behind "such as": a food by itself, "nuts, e.g. almonds", or with the head before: "oil like corn".

    The tokens stand outside and inside of brackets. None where no example is named.
    """
    tokens = (*outside, *inside)
    at = next((at for at, token in enumerate(tokens) if token.text in _EXAMPLES or token.text == "like"), -1)
    said = list(takewhile(lambda token: token.kind in _OF_EXAMPLE, tokens[at + 1 : at + 1 + _LONGEST_EXAMPLE]))
    if at < 0 or not said or not phrase.tokens:
        return None
    found, _ = read_phrase(said, [], None, lexicon.measures)
    kind = lexicon.ending((*found.tokens, phrase.tokens[-1]))
    if kind is not None and kind.key.issuperset(found.tokens):
        return replace(found, tokens=(*found.tokens, phrase.tokens[-1]))
    return found if lexicon.ending(found.tokens) is not None else None


_OF_EXAMPLE, _LONGEST_EXAMPLE = frozenset({"word", "state"}), 4


def _is_optional(clause: Clause, others: Sequence[Clause], brackets: _Brackets) -> bool:
    """Whether the food may be left out, and not only what is added to it: "2 tbsp oil, plus more if you like"."""
    said = [_tokens(one, ()) for one in (clause, *others)]
    said += [_tokens(one, ()) for other in others for one in other.branches()]
    last = [token for one in clause.alternatives[-1:] for token in (*one.after, *one.remarks)]
    behind = [token for token in last if token.kind == "optional" or "optional" in token.text.split()]
    return any(map(_leaves_out, (*said, brackets.noted, brackets.said, behind)))  # "1 onion or leek (optional)"


def _leaves_out(tokens: Sequence[Token]) -> bool:
    """Whether words say that what is named may be left out; nothing that stands behind "more" does.

    Nor does a condition with words of its own: "or 1/2 tsp if using table salt".
    """
    own = [*takewhile(lambda token: not _adds_more(token), tokens), None]
    return any(
        one is not None and one.kind == "optional" and not (one.text == "if using" and then and then.kind == "word")
        for one, then in pairwise(own)
    )


def _adds_more(token: Token) -> bool:
    return token.kind in ("remark", "approximate") and not _MORE_OF_IT.isdisjoint(token.text.split())


_MORE_OF_IT = frozenset({"more", "extra", "additional"})


def _named_apart(others: Sequence[Clause], lexicon: Lexicon) -> frozenset[str]:
    """The words of further clauses that are a certain food by themselves: no part of a longer name, no slip mended.

    Not those of which one is used, "agave, or honey", nor what a food is fried in.
    """
    found = set[str]()
    for clause in (one for other in others for one in other.all() if not (one.beside or _is_choice(one))):
        words = list(takewhile(lambda token: token.kind != "preposition", clause.before))
        found |= {one.key for one, behind in pairwise((*words, None)) if one and _is_food_alone(one, behind, lexicon)}
    return frozenset(found)


def _is_choice(clause: Clause) -> bool:
    """Whether it is one of several foods of which one is used: "haddock, or other white fish".

    Of those that share a head the one before them should have it too: "grape, sunflower or rapeseed oil".
    """
    if not clause.alternatives:  # nor is it used with the food in "if using mayonnaise"
        return any(token.text.startswith(("or ", "if ")) for token in clause.remarks)
    return len(clause.before) < 2 or clause.before[-1] not in clause.alternatives[-1].before


def _is_food_alone(token: Token, behind: Token | None, lexicon: Lexicon) -> bool:
    """Whether a word names a certain food, and none together with the word behind it."""
    name = lexicon.ending([token.key]) if token.kind == "word" and not token.distance else None
    if name is None or name.kind in ("default", "absent", "trade"):  # "3 potatoes, equal size"
        return False
    longer = lexicon.ending([token.key, behind.key]) if behind is not None else None
    return longer is None or token.key not in longer.key


def _tells_of_all(bracket: Items) -> bool:
    """Whether a bracket behind the last choice speaks of each: "(finely chopped)", "(optional, but good)"."""
    kinds = [_kind_of(item) for item in bracket]
    return kinds[:1] == ["optional"] or ("preparation" in kinds and set(kinds) <= {"preparation", "filler"})


def _describes_rind(clause: Clause, others: Sequence[Clause]) -> bool:
    """Whether the line tells what a fruit's rind is like, and takes the fruit: "1 lemon, with a smooth thin rind"."""
    said = [clause.after, *(one.before for one in others), *(one.after for one in others)]
    return any(two.text == "rind" and one.text in _OF_A_RIND for tokens in said for one, two in pairwise(tokens))


_OF_A_RIND = frozenset({"thin", "thick", "smooth"})


def _is_cooked_later(clause: Clause, others: Sequence[Clause], phrase: Phrase) -> bool:
    """Whether a clause behind that of the food and its amount calls it cooked: "8 oz spaghetti, cooked"."""
    if clause.amount is None or clause.late or "cooked" not in phrase.states:
        return False
    own = {token.value for token in (*clause.of, *clause.before, *clause.after) if token.kind == "state"}
    behind = (token.value for other in others for token in (*other.before, *other.after))
    return "cooked" not in own and "cooked" in behind


def _dried_later(others: Sequence[Clause], phrases: Sequence[Phrase]) -> bool:
    """Whether a clause behind that of the food calls it dried, and that was read as a step."""
    said = [token.text for other in with_joined(others) for token in (*other.before, *other.after)]
    dried = not _DRIED_BY_COOKS.isdisjoint(said) or {"to", "dry"} <= {*said}
    return dried and "dried" not in phrases[0].states


def _is_divided(amount: Amount | None, brackets: _Brackets, lexicon: Lexicon) -> bool:
    """Whether a bracket parts the amount: "(3 whole, 3 yolks)", "(200 g white, 100 g rye)", not "(1 red, 1 white)"."""
    counted = brackets.counted
    if brackets.added:
        return True
    if amount is not None and lexicon.measured_by(amount) == "mass":
        halves = [one for one in counted if one.amount is not None and one.amount.high < 1]  # "(half brie, half feta)"
        same = [one for one in brackets.weighed if one.amount is not None and one.amount.measure == amount.measure]
        return len(halves) > 1 or len(same) > 1
    if amount is None or amount.measure is not None:
        return False
    if any(_is_state_of_some(one, amount) for one in counted):
        return True
    if len(counted) < 2:
        return False
    return any(
        lexicon.names_food(one.nouns()) or not TAKEN.keys().isdisjoint(token.text for token in one.before)
        for one in counted
    )


def _is_state_of_some(inner: Clause, amount: Amount) -> bool:
    """ "4 eggs (2 hard-boiled)"."""
    some = inner.amount is not None and inner.amount.high < amount.low
    return some and bool(inner.before) and all(token.kind == "state" for token in inner.before)


def _counted(amount: Amount | None) -> str:
    """What a part is called that says how much and not of what: "1 tbsp"."""
    return f"{amount.low:g} {amount.measure or ''}".strip() if amount is not None else ""


def _text(tokens: Sequence[Token]) -> str:
    return " ".join([token.text for token in tokens])


def _tokens(clause: Clause, others: Sequence[Clause]) -> list[Token]:
    found: list[Token] = []
    for one in (clause, *others):
        found += [*one.before, *one.of, *one.after, *one.remarks]
    for other in others:
        for joined in other.branches():
            found += [*joined.before, *joined.after, *joined.remarks]
    return found


def _phrases(
    clause: Clause, others: Sequence[Clause], brackets: _Brackets, lexicon: Lexicon
) -> tuple[list[Phrase], Amount | None]:
    """The counted phrase, then the alternatives; with the amount as the counted phrase tells more of it."""
    loose = [*clause.after, *brackets.said]
    for other in others:
        if not other.beside:
            loose += [ENDS] if loose else []
            loose += said_of_food(without_drying([*other.before, *other.of, *other.after]), other.remarks)
        for joined in other.branches():
            if not (joined.beside or _is_other_choice(joined, other, lexicon)):
                loose += said_of_food(without_drying([*joined.before, *joined.after]))
    first, amount = read_phrase([*clause.of, *clause.before], loose, brackets.amount, lexicon.measures)
    first = _completed(first, brackets.said, lexicon)
    alternatives = []
    for other in (*clause.alternatives, *brackets.alternatives):
        phrase, own = read_phrase([*other.of, *other.before], other.after, other.amount, lexicon.measures)
        alternatives.append(replace(phrase, amount=own))
    if brackets.glosses:
        first = replace(first, glosses=tuple(brackets.glosses))
        counted = amount is not None and amount.measure is None and not clause.late
        if brackets.meanings == brackets.glosses:
            first = replace(first, meant=True)
            first = _translated(first, lexicon, counted=counted) if clause.explained == len(clause.before) else first
    return [first, *alternatives], amount


# What foods are made into, whose names end so.
_MADE_INTO = frozenset(
    "flour paste starch flake powder oil milk butter noodle sauce juice seed cream syrup vinegar meal bran".split()
)


def _completed(phrase: Phrase, said: Sequence[Token], lexicon: Lexicon) -> Phrase:
    """The phrase with a bracket that ends its name: "rye (flour)" is rye flour."""
    word = said[0].key if len(said) == 1 else ""
    if word not in _MADE_INTO or not phrase.tokens:
        return phrase
    name = lexicon.ending((*phrase.tokens, word))
    both = {phrase.tokens[-1], word}
    if name is None or not name.key >= both:
        return phrase
    kind = lexicon.ending((word, *phrase.tokens))
    if kind is not None and kind.kind != "near" and kind.key >= both:  # "chocolate (milk)" is no chocolate milk
        return phrase
    return replace(phrase, tokens=(*phrase.tokens, word), glosses=())


def _translated(phrase: Phrase, lexicon: Lexicon, *, counted: bool) -> Phrase:
    """The phrase as the bracket behind it says it where its words are foreign: "unga wa mahindi (white maize flour)".

    counted  a number stands right before it, so that the first of several words may be a measure: "2 zubs pyaj (onion)"
    """
    if len(phrase.glosses) != 1 or not phrase.tokens:
        return phrase
    gloss, vocabulary = phrase.glosses[0], lexicon.vocabulary
    own, meant = lexicon.ending(phrase.tokens), lexicon.ending(gloss)
    if meant is None or not all(_may_mean(word, meant, vocabulary) for word in gloss):
        return phrase
    told = own is not None and own.key.issuperset(phrase.tokens)
    if own is not None and told and _is_kind_of(own, meant, gloss, vocabulary):
        return replace(phrase, glosses=())
    if phrase.spelled:  # a single word may say the kind: "chedar (goat)"
        foreign = len(gloss) > 1
    elif own is None:
        foreign = not any(map(vocabulary.is_common, phrase.tokens))  # "topping (chocolate chips)"
    else:
        clear = not told or len(gloss) > 1 or meant.food_id in (own.food_id, None)
        foreign = (own.kind == "regional" and clear) or (own.kind == "default" and not told and len(gloss) > 1)
        foreign = foreign or (told and _is_local_word(phrase, own, gloss, meant, vocabulary))
    if not foreign:
        return phrase
    first = phrase.tokens[:1] if counted and len(phrase.tokens) > 1 and not told else ()
    unknown = phrase.text if own is None or own.kind == "absent" or phrase.spelled else ""
    return replace(phrase, tokens=(*first, *gloss), glosses=(), spelled=(), unknown=unknown)


def _is_local_word(phrase: Phrase, own: Name, gloss: Sequence[str], meant: Name, vocabulary: Vocabulary) -> bool:
    """Whether a bracket says what a local word means that has no sure entry: "kanda (cow skin)" is no onion."""
    if own.kind not in ("default", "absent") or len(gloss) < 2 or not all(map(vocabulary.is_local, phrase.tokens)):
        return False
    if own.kind == "absent" and (meant.food_id is None or _has_entry(phrase.tokens, vocabulary)):
        return False
    return all(word in meant.key or word in _TELLING for word in gloss)


def _has_entry(words: Sequence[str], vocabulary: Vocabulary) -> bool:
    """Whether a word that is absent by most amounts has an entry by some: "1 tsp methi"."""
    found = (vocabulary.find(words[-1], frozenset(words), amount) for amount in _AMOUNTS)
    return any(name is not None and name.food_id is not None for name in found)


_AMOUNTS = ("spoon", "cup", "piece", "weight", "none")


def _is_kind_of(own: Name, meant: Name, gloss: Sequence[str], vocabulary: Vocabulary) -> bool:
    """Whether a bracket says no more than what a food is a kind of: "atta (wheat flour)", "rava (flour)"."""
    if own.kind != "regional" or meant.food_id in (own.food_id, None):
        return False
    general = vocabulary.is_kind(own.food_id, gloss)
    return general if len(gloss) > 1 else gloss[0] in _MADE_INTO and own.food_id is not None


def _may_mean(word: str, name: Name, vocabulary: Vocabulary) -> bool:
    """Whether a word of a bracket is of the food that it names: not of "(contains milk)", "(next to the milk)"."""
    if word in name.key or word in _TELLING or word in vocabulary.nouns:
        return True
    return vocabulary.is_word(word) and not vocabulary.is_common(word)


_TELLING = ADJECTIVES | {"lean", "thick", "thin"}


def _is_other_choice(alternative: Clause, clause: Clause, lexicon: Lexicon) -> bool:
    """Whether what stands behind "or" is another food than the one before it, which counts: "fish, cod or haddock"."""
    chosen = alternative in clause.alternatives and lexicon.names_food(clause.nouns())
    return chosen and lexicon.names_food(alternative.nouns())


def _read_amounts(
    held: Sequence[tuple[object, ...]],
    amount: Amount | None,
    states: frozenset[str],
    reader: ClauseReader,
    *,
    topping: Amount | None,
) -> _Brackets:
    """What brackets say, of the amount without what is added behind them: "1/2 cup sugar (100 g), plus 1 tbsp"."""
    if topping is None or amount is None:
        return _read_brackets(held, _Brackets(amount, states=states), reader)
    found = _read_brackets(held, _Brackets(without_topping(amount, topping), states=states), reader)
    if found.amount is not None:
        found.amount = with_more(found.amount, topping)
    return found


def _read_brackets(brackets: Sequence[tuple[object, ...]], found: _Brackets, reader: ClauseReader) -> _Brackets:
    """What brackets say: another amount, words about the food, another name, remarks, alternatives."""
    for bracket in brackets:
        if _begins(bracket, _OR):
            found.alternatives.append(reader.read(bracket[1:]))
            continue
        pieces = split(bracket)
        if _tells_when(bracket, pieces, reader.lexicon):
            found.alternatives.append(reader.read(pieces[1]))  # "flour (for keto: almond flour)"
            continue
        if len(pieces) > 1 and _lists_others(pieces[-1]):
            continue  # "kale (chard, sorrel, or spinach can also be used)"
        if len(pieces) > 1 and _gives_examples(bracket):
            # "grain (e.g. rye, spelt)": the first may be meant, none for sure
            found.examples += [item for item in pieces[0] if isinstance(item, Token)]
            continue
        said, glosses = len(found.said), len(found.glosses)
        _read_pieces(pieces[: 1 if _offers_kinds(pieces) else len(pieces)], found, reader)
        found.said[said:], found.glosses[glosses:] = _of_one_food(found.said[said:], found.glosses[glosses:])
    return found


def _read_pieces(pieces: Sequence[Items], found: _Brackets, reader: ClauseReader) -> None:
    """Note what the pieces of one bracket say."""
    done: list[Token] = []  # what the bracket says was done before it states a weight
    for piece in pieces:
        tokens = [item for item in piece if isinstance(item, Token)]
        if _begins(piece, _STIRRED) and text_of(piece[1] if len(piece) > 2 else None) in _INTO:
            continue  # "1 stock cube (dissolved in 500 ml boiling water)": the water is another food
        if _begins(piece, _FOR) and any(map(is_number, piece)) and reader.lexicon.names_food(tokens):
            continue  # "salt (for 1 kg of chicken)": so much of the other food
        if states_claims(tokens, reader.lexicon) or tells_yield(piece) or _begins(piece, _KEEPING):
            continue  # "4 slices of bread (12 g carbs each)", "1 can tomatoes (reserve 1/2 cup juice)"
        found.noted += [token for token in tokens if token.text == _CARTON]
        inner = reader.read(piece)
        if inner.amount is None and len(tokens) == len(piece) and all(one.kind in _MANNER for one in tokens):
            done += tokens  # "(peeled, about 600 g)"
        added = _begins(piece, _ADDED) or (_begins(piece, _AND) and inner.named())
        if found.amount is not None and inner.amount is not None and added:
            found.added = True  # "3 eggs (+ 1 yolk)"
            continue
        if found.amount is not None and (
            _is_other_state(inner, found.states) or _is_as_bought(found.amount, inner, reader.lexicon)
        ):
            found.counted += [inner] if inner.amount is not None and inner.amount.measure is None else []
            continue
        _note_amount(inner, done, found, reader.lexicon)
        remarks = [token for one in (inner, *inner.alternatives) for token in one.remarks]
        denied = _begins(piece, _DENYING) or (inner.named() and any(token.kind == "remark" for token in remarks))
        denied = denied or (inner.named() and any(token.value == "condition" for token in remarks))
        if not denied:  # "feta (goat cheese works too)", "cream (milk if you like)"
            _note_words(inner, found, reader.lexicon)


_Gloss = tuple[str, ...]


def _of_one_food(said: list[Token], glosses: list[_Gloss]) -> tuple[list[Token], list[_Gloss]]:
    """What a bracket says of the food and calls it, where it names several: "fish (cod, haddock)" is no cod haddock."""
    if {token.key for token in said} >= _WHOLE_EGG:  # "4 eggs (whites and yolks)"
        return [token for token in said if token.key not in _WHOLE_EGG], []
    named = {word for gloss in glosses for word in gloss} if len(glosses) > 1 else frozenset()
    return [token for token in said if token.key not in named], glosses


_WHOLE_EGG = frozenset({"white", "yolk"})


def _note_amount(inner: Clause, done: Sequence[Token], found: _Brackets, lexicon: Lexicon) -> None:
    """Note what a piece of a bracket counts and weighs; `done` is said to have been done before."""
    if inner.amount is not None and inner.amount.measure is None:
        found.counted.append(inner)
    found.counted += [one for one in inner.joined if one.amount is not None and one.amount.measure is None]
    if inner.amount is not None and lexicon.measured_by(inner.amount) == "mass":
        found.weighed.append(inner)
        found.noted += _prepared_weights(inner, done, lexicon)
        if found.amount is not None and _says_less(found.amount, lexicon):
            found.noted.append(_EDIBLE)  # "3 bananas (1 cup mashed, 225 g)"
    found.amount = _with_bracket(found.amount, inner, lexicon)


def _prepared_weights(clause: Clause, done: Sequence[Token], lexicon: Lexicon) -> list[Token]:
    """What a weight is said to be of that something was taken off before: "120 g peeled", "(150 g without the stone)".

    `done` is said to have been done before the weight is stated.
    """
    if clause.amount is None or lexicon.measured_by(clause.amount) != "mass":
        return []
    said = (*done, *clause.before, *clause.after, *clause.remarks)
    found = [Token(f"{token.text} weight", "remark") for token in said if token.kind == "preparation"]
    words = {word for token in said for word in (*token.text.split(), token.value)}
    if not EATEN.isdisjoint(words):
        found.append(Token("edible", "remark"))  # "2 lobsters (150 g meat each)"
    if "without" in words:
        found += [Token(_WITHOUT[word], "remark") for word in words & _WITHOUT.keys()]
    return found


def _called(clause: Clause, lexicon: Lexicon) -> list[Token]:
    """The words of a clause of a bracket that may be another name: "lean leg of lamb", "strained yoghurt"."""
    named, prepared = ([*clause.of, *words] for words in (clause.nouns(), clause.before))
    longer = lexicon.ending(_keys(prepared)) if clause.prepared() else None
    name = lexicon.ending(_keys(named)) if longer is not None else None
    return prepared if longer is not None and (name is None or longer.words > name.words) else named


def _keys(tokens: Sequence[Token]) -> list[str]:
    return [token.key for token in tokens if token.key]


def _only_names(clause: Clause) -> bool:
    """Whether a clause is a name and no more, but for what the food is kept in: "(young jackfruit in brine)"."""
    if clause.remarks or clause.joined or clause.alternatives:
        return False
    kept_in = not clause.after or clause.after[0].value == "in"
    return kept_in and all(token.kind in _OF_NAMES for token in clause.before)


# Kinds of words that a name and what is said of it with it is made of.
_OF_NAMES = NAMING | {"size", "filler"}


def _note_words(inner: Clause, found: _Brackets, lexicon: Lexicon) -> None:
    """Note what a piece of a bracket says of the food, and another name of it."""
    told = any(token.text in _SET_ASIDE or token.kind == "number" for token in (*inner.before, *inner.after))
    ones = [_called(one, lexicon) for one in (inner, *inner.joined)]
    made = " ".join(_keys(ones[0])) in lexicon.vocabulary.headings  # "1 egg (dough)" says for what
    if not made and inner.amount is None and lexicon.names_food(ones[0]) and not (told or compares(inner.before)):
        named = [one for one in ones if lexicon.names_food(one)]
        found.glosses += [tuple(_keys(one)) for one in named]
        found.meanings += [tuple(_keys(one)) for one in named if _only_names(inner)]
    everything = [*inner.before, *inner.of, *inner.after]
    found.said += said_of_food(everything)
    if not TAKING_OFF.isdisjoint(token.text for token in everything):
        found.noted += [token for token in everything if token.text in PARED_PARTS]
    found.noted += [token for token in everything if token.text == "weight"]  # "(peeled weight)"
    # "sugar (brown if you have it)" leaves out no sugar
    found.noted += [one for one in inner.remarks if not (one.text.startswith("if ") and inner.named())]
    for joined in inner.joined:
        found.said += joined.before
    for joined in inner.branches():
        found.noted += joined.remarks


# What becomes of a part of the food, whose name is none of the food's: "1 chicken (giblets reserved)".
_SET_ASIDE = frozenset({"reserved", "removed", "discarded", "saved", "kept"})


def _lists_others(piece: Items) -> bool:
    """Whether the last of several pieces says that these would do as well: "or spinach will also work"."""
    advised = any(isinstance(item, Token) and item.value == "advice" for item in piece)
    return advised and _begins(piece, _OR)


def _tells_when(bracket: Items, pieces: Sequence[Items], lexicon: Lexicon) -> bool:
    """Whether words before a colon say when the food behind it is taken: "(vegan: oil)", "(GF version: rice flour)"."""
    if len(pieces) < 2 or any(map(is_number, bracket)) or text_of(bracket[len(pieces[0])]) != ":":
        return False
    before, behind = ([item for item in piece if isinstance(item, Token)] for piece in pieces[:2])
    return lexicon.names_food(behind) and not lexicon.names_food(before)


def _offers_kinds(pieces: Sequence[Items]) -> bool:
    """Whether bare words in a bracket are choices, of which the first counts: "greens (collard, turnip or mustard)"."""
    if len(pieces) < 2:
        return False
    bare = all(_kind_of(item) == "word" for piece in pieces[:-1] for item in piece)
    bare = bare and all(_kind_of(item) in _CHOOSING for item in pieces[-1])
    return bare and any(isinstance(item, Token) and item.value == "or" for item in pieces[-1])


def _kind_of(item: object) -> str:
    return item.kind if isinstance(item, Token) else ""


_CHOOSING = frozenset({"word", "joiner"})
_EXAMPLES = frozenset({"e . g .", "e . g", "e.g.", "e.g", "eg", "such as", "for example", "for instance", "ex ."})


def tells_yield(piece: Items) -> bool:
    """Whether a piece says what becomes of the food: "makes about 3 cups cooked"."""
    first = text_of(piece[0]) if piece else ""
    verb = 0 if first in _MAKES else 1 if first in _MAY_MAKE and len(piece) > 1 and text_of(piece[1]) in _MAKES else -1
    return verb >= 0 and any(map(is_number, piece[verb + 1 : verb + 4]))


_MAKES = frozenset("make makes making yield yields yielding give gives giving become becomes".split())
_MAY_MAKE = frozenset({"will", "should", "to", "which", "it"})


def _gives_examples(bracket: Items) -> bool:
    first = bracket[0] if bracket else None
    return isinstance(first, Token) and first.text in _EXAMPLES


def _is_other_state(inner: Clause, states: frozenset[str]) -> bool:
    """ "cooked chickpeas (from 200 g dried)", "1 cup rice (3 cups cooked)": an amount before or after cooking."""
    said = {token.value for token in inner.before if token.kind == "state"}
    if inner.amount is None or inner.named() or not said:
        return False
    return said.isdisjoint(states) if states else "cooked" in said


def _is_as_bought(amount: Amount, inner: Clause, lexicon: Lexicon) -> bool:
    """ "150 g podded beans (about 500 g in their pods)": what had to be bought for the weight that is stated."""
    if inner.amount is None or {lexicon.measured_by(amount), lexicon.measured_by(inner.amount)} - WEIGHABLE:
        return False
    said = [*inner.before, *inner.of, *inner.after, *inner.remarks]
    return any(not _COVERS.isdisjoint(token.text.split()) for token in said)


def _begins(items: Items, words: frozenset[str]) -> bool:
    first = items[0] if items else None
    return isinstance(first, Token) and first.text in words


def _with_bracket(amount: Amount | None, inner: Clause, lexicon: Lexicon) -> Amount | None:
    """The amount with what a bracket states: a package's size, or the same quantity said another way."""
    stated = inner.amount
    if stated is None or (stated.measure is None and (inner.named() or inner.remarks)):
        return amount
    if amount is None:
        return stated
    weighable = lexicon.measured_by(stated) in WEIGHABLE
    drained = any(token.text == "drained" for token in (*inner.before, *inner.after, *inner.remarks))
    if lexicon.measured_by(amount) == "package" and drained:
        return _with_solids(amount, stated)
    if weighable and lexicon.measured_by(amount) == "package" and amount.package is None and not _is_of_all(inner):
        return replace(amount, package=replace(stated, behind=True))
    if amount.plus is not None and lexicon.measured_by(stated) == "mass":
        return replace(stated, also=amount)  # "1 cup plus 2 tbsp flour (140 g)"
    if _says_less(amount, lexicon) and lexicon.measured_by(stated) == "mass":
        return replace(amount, also=stated)
    if amount.also is None and (weighable or stated.measure != amount.measure or stated.size):
        return replace(amount, also=stated)
    again = amount.also if amount.also is not None and amount.also.also is None else None
    if again is not None and lexicon.measured_by(stated) == "mass" and lexicon.measured_by(again) not in WEIGHABLE:
        return replace(amount, also=stated)  # "tofu 1/2 (half a block, 150 g)"
    masses = again is not None and lexicon.measured_by(again) == lexicon.measured_by(stated) == "mass"
    if again is not None and masses and in_two_systems(again, stated):
        return replace(amount, also=replace(again, also=stated))  # "1 chicken, 2.5 kg (3 lb)"
    return amount


# Words of a bracket that tells nothing but what was done.
_MANNER = frozenset({"preparation", "joiner"})


def _says_less(amount: Amount, lexicon: Lexicon) -> bool:
    """Whether a weight says more than what is said so far beside an amount: "1 onion (1 cup chopped, 150 g)".

    So it does than a thickness, "2 chops, 1/2 inch (150 g each)".
    """
    also, stated = amount.also, lexicon.measured_by(amount)
    if also is None:
        return False
    return also.measure in LENGTHS or (stated not in WEIGHABLE and lexicon.measured_by(also) == "volume")


def _with_solids(amount: Amount, stated: Amount) -> Amount:
    """Packages with what one of them holds when drained; "(400 g/240 g drained)" states its size too."""
    if stated.also is not None and amount.package is None:
        amount, stated = replace(amount, package=replace(stated, also=None)), stated.also
    size = amount.package
    if size is not None and size.measure == stated.measure and stated.high > size.high:
        return replace(amount, also=stated)  # more than one holds: "2 x 400 g tins (480 g drained)"
    return replace(amount, also=replace(stated, low=stated.low * amount.low, high=stated.high * amount.high))


def _is_of_all(inner: Clause) -> bool:
    """ "(400 g in total)": what all packages hold together."""
    said = {word for token in (*inner.before, *inner.after, *inner.remarks) for word in token.text.split()}
    return not said.isdisjoint({"total", "altogether", "all", "together"})


def _is_tinned(amount: Amount | None) -> bool:
    return amount is not None and amount.measure in ("can", "jar")


def _wants(phrase: Phrase, part: Part) -> list[str]:
    """What the words of a part take of a fruit, those of its name first."""
    return [TAKEN[word] for word in (*phrase.tokens, *sorted(part.words)) if word in TAKEN]


def _of_fruit(words: Sequence[str], taken: str, lexicon: Lexicon) -> tuple[str, ...]:
    """What is taken of a fruit, with the kind of fruit where that has a name of its own: "sour orange juice"."""
    at, fruit = next((at, word) for at, word in enumerate(words) if word in CITRUS)
    name = lexicon.ending([*words[:at], fruit, taken])
    kind = name is not None and name.words > 2 and fruit in name.key
    return (*words[:at], fruit, taken) if kind else (fruit, taken)


# What the outside of a fruit is pared in, and what that is called.
_STRIPS = frozenset({"strip", "piece", "curl", "twist", "ribbon"})
_OUTSIDE = frozenset({"peel", "zest", "rind"})


def _is_pared(phrase: Phrase) -> bool:
    """Whether words before a peel count strips of it: "2 3-inch strips orange zest" are not the zest of two oranges."""
    words = frozenset(phrase.tokens)
    return not words.isdisjoint(_STRIPS) and not words.isdisjoint(_OUTSIDE)


def _yielded(part: Part, lexicon: Lexicon) -> Part:
    """ "juice of 1 lemon", "1 lemon, juiced", "zest of 2 limes": the yield of whole fruits is what is eaten."""
    phrase = part.phrases[0] if part.phrases else None
    if phrase is None or CITRUS.isdisjoint(phrase.tokens):
        return part
    if part.amount is not None and part.amount.measure is None and _is_pared(phrase):
        strips = replace(phrase, tokens=tuple(word for word in phrase.tokens if word not in _STRIPS))
        return replace(part, amount=replace(part.amount, measure="strip"), phrases=(strips, *part.phrases[1:]))
    amount = part.amount
    told = amount.also if amount is not None and amount.measure is None else None
    if told is not None and lexicon.measured_by(told) == "volume" and _wants(phrase, part)[:1] == ["juice"]:
        juice = (next(word for word in phrase.tokens if word in CITRUS), "juice")
        first = replace(phrase, tokens=juice, piece=None)  # "juice of 12 limes (about 1 cup)"
        return replace(part, amount=told, phrases=(first, *part.phrases[1:]))
    counted = amount is None or amount.measure is None or amount.measure == "squeeze"
    wants = _wants(phrase, part)
    if not wants and amount is not None and amount.measure == "squeeze":
        wants = ["juice"]
    if not wants or not (counted or set(phrase.tokens) & {"juice", "zest", "rind"}):
        return part
    if counted and amount:
        tokens = _of_fruit(phrase.tokens, wants[0], lexicon)
    else:  # measured by itself, it may be another food: "frozen orange juice concentrate"
        tokens = tuple(dict.fromkeys(TAKEN.get(word, word) for word in phrase.tokens))
    first = replace(phrase, tokens=tokens, piece=None)
    weighed = told is not None and lexicon.measured_by(told) == "mass"
    if counted and amount and weighed and TAKEN.keys().isdisjoint(phrase.tokens):
        amount = replace(amount, also=None)  # "1 orange (200 g), zested": the whole fruit weighs so much
    taken = wants[0] if counted and amount else None
    return replace(part, amount=amount, phrases=(first, *part.phrases[1:]), taken=taken)
