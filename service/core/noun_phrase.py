"""Noun phrases: the words that may name a food, and what a part says of them.

    phrase = { size | state | manner | word } head [ piece ]      "2 large cloves", "ground cumin", "garlic cloves"
    head   = the last word of a known name

A name is looked up by its words in look-up order, the head last; whatever else the part says qualifies it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from service.core.amount import Amount, MeasureWords
from service.core.vocabulary import ANY_AMOUNT, Name, Token, Vocabulary, key_word

# Kinds of token that take part in a name, and that qualify one from elsewhere in the part.
NAMING = frozenset({"word", "state", "measure", "preparation", "number"})
_SAYING = frozenset({"word", "measure", "preparation", "state", "preposition"})
# Words that want a noun: "white or brown rice".
ADJECTIVES = frozenset(
    "white brown red green black yellow purple orange golden light dark sweet hot mild whole plain dry fresh".split()
)
# Heads that two foods share across an "or", though the first would be a food without: "lemon or lime juice".
SHARED_HEADS = frozenset(
    {"juice", "zest", "stock", "broth", "vinegar", "wine", "milk", "flour", "seed", "powder", "sauce", "bouillon"}
)


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
class Lexicon:
    """The words that the tables know, as the grammar of a line asks for them."""

    vocabulary: Vocabulary
    measures: MeasureWords

    def ending(self, words: Sequence[str]) -> Name | None:
        """The longest name whose head is the last word and whose other words are among the rest, in any order."""
        return self.vocabulary.find(words[-1], frozenset(words[:-1]), ANY_AMOUNT) if words else None

    def names_food(self, tokens: Sequence[Token]) -> bool:
        """Whether the last word of these tokens ends a known name."""
        words = [word for token in tokens if (word := key_word(token))]
        while words:
            if self.ending(words) is not None:
                return True
            if not tokens or self.measures.kind(tokens[-1]) != "piece":
                return False
            words, tokens = words[:-1], tokens[:-1]  # "pineapple chunks"
        return False

    def measured_by(self, amount: Amount) -> str:
        """The kind of an amount's measure, "" where it has none."""
        return self.measures.kinds.get(amount.measure or "", "")


def read_phrase(
    core: Sequence[Token], loose: Sequence[Token], amount: Amount | None, measures: MeasureWords
) -> tuple[Phrase, Amount | None]:
    """The noun phrase of the `core` tokens with what the `loose` ones say of it; sizes and pieces go to the amount."""
    everything = [*core, *loose]
    amount = _sized(amount, everything)
    tokens, piece = _take_piece(core, measures)
    if piece and amount is not None and amount.measure is None:
        amount = replace(amount, measure=piece)
    manner = [token for token in everything if token.kind == "preparation"]
    # what is chopped or torn is fresh, unless another state is said: "1 tbsp chopped basil"
    hinted = [token for token in everything if token.kind == "state"] or manner
    preparations = {word for token in manner for word in token.text.split()}
    if not any(token.text == "whipped" for token in core):
        preparations.discard("whipped")  # "300 ml cream, whipped" is measured before it is whipped
    phrase = Phrase(
        text=" ".join(token.text for token in core),
        tokens=tuple(dict.fromkeys(word for token in tokens if token.kind in NAMING and (word := key_word(token)))),
        qualifiers=frozenset(word for token in loose if token.kind in _SAYING and (word := key_word(token))),
        states=frozenset(token.value for token in hinted if token.value),
        preparations=frozenset(preparations),
        piece=piece,
        spelled=tuple((token.text, token.value, token.distance) for token in core if token.distance),
    )
    return phrase, amount


def _sized(amount: Amount | None, tokens: Sequence[Token]) -> Amount | None:
    """The amount with a size said anywhere in the part ("Tomatoes, large - 2")."""
    if amount is None or amount.size:
        return amount
    size = next((token.value for token in tokens if token.kind == "size" and token.value), None)
    return replace(amount, size=size) if size else amount


def _take_piece(core: Sequence[Token], measures: MeasureWords) -> tuple[Sequence[Token], str | None]:
    """Take a piece word off the end: "garlic cloves"."""
    named = [token for token in core if token.kind in ("word", "measure")]
    if len(named) < 2 or measures.kind(named[-1]) not in ("piece", "package"):
        return core, None
    return [token for token in core if token is not named[-1]], named[-1].value


def said_of_food(tokens: list[Token]) -> list[Token]:
    """Tokens that describe the food; the nouns of a clause about cutting or cooking ("stems removed") do not."""
    if any(token.kind == "preparation" for token in tokens):
        return [token for token in tokens if token.kind in ("preparation", "state", "size")]
    return tokens


def borrow_head(first: Phrase, other: Phrase, lexicon: Lexicon) -> Phrase:
    """ "vegetable or chicken stock" counts vegetable stock: the first phrase borrows the head that it lacks."""
    if not first.tokens or len(other.tokens) < 2:
        return first
    head = other.tokens[-1]
    longer = replace(first, tokens=(*first.tokens, head), text=f"{first.text} {head}")
    adjectives = ADJECTIVES.issuperset(first.tokens)
    if adjectives and head not in first.tokens:
        return longer
    words = {*first.tokens, *first.qualifiers}
    joined = lexicon.ending([*words, head])
    if joined is None or joined.words < 2 or head in words:
        return first
    alone = lexicon.ending([*words, first.tokens[-1]])
    named = alone is not None and alone.kind != "default" and not adjectives
    return first if named and head not in SHARED_HEADS else longer
