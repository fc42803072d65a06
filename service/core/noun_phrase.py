"""Noun phrases: the words that may name a food, and what a part says of them.

    phrase = { size | state | manner | word } head [ piece ]      "2 large cloves", "ground cumin", "garlic cloves"
    gloss  = "(" words of another name ")"                        "turnip (rutabaga)"
    head   = the last word of a known name

A name is looked up by its words in look-up order, the head last; whatever else the part says qualifies it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, takewhile

from service.core.amount import CUT_SO, LENGTHS, THICKNESS, Amount, MeasureWords
from service.core.number import parse_digits
from service.core.text import STAND_IN
from service.core.values import quick
from service.core.vocabulary import ANY_AMOUNT, Name, Token, Vocabulary

# Kinds of token that take part in a name, and that qualify one from elsewhere in the part.
NAMING = frozenset({"word", "state", "measure", "preparation", "number"})
# States that come of heat, often after the food was weighed: it may still be in its shell or on its bone then.
HEATED = frozenset({"cooked", "roasted"})
_SAYING = frozenset({"word", "measure", "preparation", "state", "preposition"})
# Words that want a noun: "white or brown rice".
COLOURS = frozenset("white brown red green black yellow purple orange golden".split())
ADJECTIVES = COLOURS | frozenset("light dark sweet hot mild whole plain dry fresh".split())
# Fruits whose juice and zest are taken.
CITRUS = frozenset({"lemon", "lime", "orange", "grapefruit", "clementine", "tangerine", "yuzu", "mandarin", "satsuma"})
# What of a food is eaten, where it is weighed apart from its shell, skin or bones.
EATEN = frozenset({"meat", "flesh", "kernel", "kernels", "pulp"})


@quick
@dataclass(frozen=True, slots=True)
class Phrase:
    """One noun phrase that may name a food.

    tokens        normalised words in look-up order, the head noun last ("red", "lentil")
    qualifiers    words said of it elsewhere in the part: after a comma, in brackets, after "in" or "with"
    states        canonical states ("canned", "dried", "cooked", "smoked", ...)
    preparations  words of cutting and the like ("chopped", "grated", "peeled"), which choose a measure
    piece         a piece word taken off the end ("clove" of "garlic cloves")
    cut           that word says how the food is cut, not what is counted ("1/2 onion thin slices")
    spelled       words whose spelling was put right: (as written, as read, letters changed)
    glosses       phrases in brackets that may be another name of it, each in look-up order
    unknown       its own words, where nobody knows them and a bracket says in English what they mean
    meant         they say nothing else: no choice, no purpose, nothing that it is served or stuffed with
    lacking       the qualifiers behind "without"
    beside        the qualifiers behind "with": a food of its own, perhaps ("bread with butter")
    amount        an alternative's own amount ("1 tbsp harissa or 1 tsp cayenne")
    """

    text: str
    tokens: tuple[str, ...]
    qualifiers: frozenset[str] = frozenset()
    states: frozenset[str] = frozenset()
    preparations: frozenset[str] = frozenset()
    piece: str | None = None
    cut: bool = False
    spelled: tuple[tuple[str, str, int], ...] = ()
    glosses: tuple[tuple[str, ...], ...] = ()
    unknown: str = ""
    meant: bool = False
    lacking: frozenset[str] = frozenset()
    beside: frozenset[str] = frozenset()
    amount: Amount | None = None


# How many words before its last one are looked at for a name's other words: no line says more of one food.
_FAR = 40


@quick
@dataclass(frozen=True, slots=True)
class Lexicon:
    """The words that the tables know, as the grammar of a line asks for them."""

    vocabulary: Vocabulary
    measures: MeasureWords

    def ending(self, words: Sequence[str]) -> Name | None:
        """The longest name whose head is the last word and whose other words are among the rest, in any order."""
        return self.vocabulary.find(words[-1], frozenset(words[:-1]), ANY_AMOUNT) if words else None

    def names_food(self, tokens: Sequence[Token]) -> bool:
        """Whether the last word of these tokens ends a known name, or stands for one of the kitchen."""
        tokens = tokens[-_FAR:]
        words = [token.key for token in tokens if token.key]
        if words and words[-1].startswith(STAND_IN):
            return True
        while words:
            if self.ending(words) is not None:
                return True
            if not tokens or self.measures.kind(tokens[-1]) != "piece":
                return False
            words, tokens = words[:-1], tokens[:-1]  # "pineapple chunks"
        return False

    def names_any(self, tokens: Sequence[Token]) -> bool:
        """Whether the name of a food ends somewhere in these tokens."""
        return any(self.names_food(tokens[max(0, end - _FAR) : end]) for end in range(1, len(tokens) + 1))

    def measured_by(self, amount: Amount) -> str:
        """The kind of an amount's measure, "" where it has none."""
        return self.measures.kinds.get(amount.measure or "", "")


def read_phrase(
    core: Sequence[Token], loose: Sequence[Token], amount: Amount | None, measures: MeasureWords
) -> tuple[Phrase, Amount | None]:
    """The noun phrase of the `core` tokens with what the `loose` ones say of it; sizes and pieces go to the amount."""
    core, loose = _share_first(core), _as_weighed(core, loose)
    everything = [*core, *loose]
    amount = _sized(amount, everything)
    tokens, piece = _take_piece(core, measures)
    cut = bool(piece) and amount is not None and amount.measure is None and _is_cut(core, amount)
    # "garlic cloves - 6 nos" are counted in cloves
    if piece and amount is not None and amount.measure in (None, "piece") and not cut:
        long = _length(core) if piece in LENGTHS else 1.0
        amount = replace(amount, measure=piece, low=amount.low * long, high=amount.high * long)
    manner = [token for token in everything if token.kind == "preparation"]
    if manner and amount is not None and amount.measure in _SLICES and amount.size is None:
        amount = _as_thick(amount, core, loose)
    # what is chopped or torn is fresh, unless another state is said: "1 tbsp chopped basil", "sliced pears in juice"
    stated = [token for token in everything if token.kind == "state"]
    packed = _packed(core, loose)
    hinted = stated or ([] if packed else manner)
    preparations = {word for token in manner for word in token.text.split()}
    # "beef, cut" is no cut of beef
    said = {word for token in loose if token.kind in _SAYING and (word := token.key) and token.text != "cut"}
    written = [token.text for token in core]
    if "whipped" not in written:  # "300 ml cream, whipped" is measured before it is whipped
        preparations.discard("whipped")
        said.discard("whipped")
    phrase = Phrase(
        text=" ".join(written),
        tokens=tuple(dict.fromkeys([token.key for token in tokens if token.key and token.kind in NAMING])),
        qualifiers=frozenset(said),
        states=frozenset([token.value for token in hinted if token.value]) or packed,
        preparations=frozenset(preparations),
        piece=piece,
        cut=cut,
        spelled=tuple([(token.text, token.value, token.distance) for token in core if token.distance]),
        lacking=_behind("without", loose) if "without" in said else frozenset(),
        beside=_behind("with", loose) if loose else frozenset(),
    )
    return phrase, amount


def _length(core: Sequence[Token]) -> float:
    """How long each piece is: 5 of "1 piece of cucumber 5 cm"."""
    said = [two.text for two, one in pairwise(core) if one.value in LENGTHS and two.kind == "number"]
    return parse_digits(said[0]) or 1.0 if said and said[0][0].isdigit() else 1.0


_SHARED = frozenset({"fat", "lean", "cocoa"})


def _share_first(core: Sequence[Token]) -> Sequence[Token]:
    """The words of a phrase with a share before them: "mince 5% fat" is 5% fat mince, "vinegar 9%" 9% vinegar."""
    if len(core) > 1 and core[-1].text[-1] == "%":
        return [core[-1], *core[:-1]]
    if len(core) < 3 or core[-1].text not in _SHARED or core[-2].text[-1] != "%":
        return core
    return [*core[-2:], *core[:-2]]


def _packed(core: Sequence[Token], loose: Sequence[Token]) -> frozenset[str]:
    """What comes "in syrup" or "in juice" was canned, but not what is "soaked in juice"."""
    within = bool(core and loose) and core[-1].kind != "preparation" and loose[0].value == "in"
    return _CANNED if within and any(token.key in ("syrup", "juice") for token in loose) else frozenset()


_CANNED = frozenset({"canned"})


# Stands between the clauses that speak of a food.
ENDS = Token(",", "mark")


def _behind(preposition: str, loose: Sequence[Token]) -> frozenset[str]:
    """The words behind a preposition, up to the next one or the end of its clause; all where one is said again."""
    found, others = set[str](), set[str]()
    behind = False
    for token in loose:
        if token.kind == "preposition" or token is ENDS:
            behind = token.value == preposition
        elif token.key:
            (found if behind else others).add(token.key)
    return frozenset(found if found.isdisjoint(others) else found | others)


# What is done with water or a cloth, so that what is dried then is dry on its outside only.
WASHED = frozenset(
    "washed rinsed drained squeezed wrung patted spun cleaned scrubbed blanched soaked salted wiped".split()
)
_PEELED = frozenset({"peeled"})


def _as_weighed(core: Sequence[Token], loose: Sequence[Token]) -> list[Token]:
    """The loose tokens without states that come about after weighing.

    "dried beans, soaked and boiled", "raw prawns, grilled", "rice, rinsed and steamed" are weighed before; "washed and
    dried" is not a dried food.
    """
    if not loose:
        return []
    words = {word for token in loose if token.kind == "preparation" for word in token.text.split()}
    before = {token.value for token in core if token.kind == "state"} & {"dried", "raw"} or "soaked" in words
    kept: list[Token] = []
    washed = fresh = False
    for token in loose:
        said = token.text.split()
        washed = washed or not WASHED.isdisjoint(said)
        fresh = fresh or washed or not _PEELED.isdisjoint(said)
        later = ((before or washed) and token.value in HEATED) or (fresh and token.value == "dried")
        if token.kind != "state" or not later:
            kept.append(token)
    return kept


def _sized(amount: Amount | None, tokens: Sequence[Token]) -> Amount | None:
    """The amount with a size or heap said anywhere in the part ("Tomatoes, large - 2", "1 cup rocket, packed")."""
    kinds = {token.kind for token in tokens}
    if amount is None or kinds.isdisjoint(_MANNERS):
        return amount
    size = amount.size or _one_size(tokens)
    if amount.measure in _GLASSES and any(token.kind == "word" and token.text != token.key for token in tokens):
        size = amount.size  # "2 glasses beans, the small ones" are small beans
    size = amount.size if amount.measure == "handful" else size  # "2 handfuls small pasta"
    heap = amount.heap or next((token.value for token in tokens if token.kind == "heap" and token.value), None)
    if "preposition" in kinds:
        heap = amount.heap  # "tuna packed in oil"
    return amount if (size, heap) == (amount.size, amount.heap) else replace(amount, size=size, heap=heap)


def _as_thick(amount: Amount, core: Sequence[Token], loose: Sequence[Token]) -> Amount:
    """Slices with the thickness that is said of their food: "4 slices thick-cut bacon", "bacon, cut thick".

    Not of what they are cut into, "into thin strips", nor one in figures, "1 cm thick".
    """
    tokens = [None, *core, *loose, None]
    for place, (before, token, behind) in enumerate(zip(tokens, tokens[1:], tokens[2:], strict=False)):
        if token is None or token.text not in THICKNESS or (behind is not None and behind.kind == "measure"):
            continue
        if place < len(core) or any(one is not None and one.text in CUT_SO for one in (before, behind)):
            return replace(amount, size=THICKNESS[token.text])
    return amount


_SLICES = frozenset({"slice", "rasher", "strip"})


def _one_size(tokens: Sequence[Token]) -> str | None:
    """The size said of the food, none where there are several: "2 onions, 1 large 1 small"."""
    said = set(_sizes(tokens))
    return said.pop() if len(said) == 1 else None


def _sizes(tokens: Sequence[Token]) -> Iterator[str]:
    """The sizes said of the food; right behind "in" it is that of its pieces: "1 onion in small cubes"."""
    for before, token, behind in zip((None, *tokens), tokens, (*tokens[1:], None), strict=False):
        cut = (before is not None and before.text in _CUT_INTO) or (behind is not None and _is_cut_up(behind))
        if token.kind == "size" and token.value and not cut:
            yield token.value


def _is_cut_up(token: Token) -> bool:
    """Whether a word is of the pieces that a food is cut into, "small cubes", which are not those that are counted."""
    return token.several and token.value in _CUT_UP


_CUT_UP = frozenset({"slice", "wedge", "ring", "round", "strip", "cube", "chunk", "piece"})
_MANNERS = frozenset({"size", "heap"})
_CUT_INTO = frozenset({"in", "into"})
_GLASSES = frozenset({"glass", "mug"})
# Pieces that a cook makes of a whole food; cloves and sticks grow or are sold so.
_CUTS = frozenset({"slice", "wedge", "ring", "round", "strip", "cube", "chunk"})


def _is_cut(core: Sequence[Token], amount: Amount) -> bool:
    """ "1/2 onion thin slices", "2 tomatoes wedges": pieces in the plural of one food, or of foods in the plural."""
    named = [token for token in core if token.key]
    *foods, last = named
    if not foods or not last.several or last.value not in _CUTS:
        return False
    plural = foods[-1].kind == "word" and foods[-1].text != foods[-1].key
    return amount.high <= 1.0 or plural


def _take_piece(core: Sequence[Token], measures: MeasureWords) -> tuple[Sequence[Token], str | None]:
    """Take a piece word off the end: "garlic cloves"."""
    named = [token for token in core if token.kind in ("word", "measure")]
    if len(named) < 2 or measures.kind(named[-1]) not in ("piece", "package"):
        return core, None
    return [token for token in core if token is not named[-1]], named[-1].value


_TILL = frozenset({"till", "until"})
# What swells or shrinks a food however long it takes; what is "fried till golden" was weighed before.
_BOILED = frozenset({"cooked", "boiled", "simmered", "steamed"})
# Opens what the food is compared with, comes to lie on or is told of elsewhere, which says nothing of it.
_OF_ANOTHER = frozenset({"as", "than", "over", "see"})
_TIMES = frozenset({"twice", "double", "half", "times"})


# What is taken off a plant before it is used, and how: "(stems removed)", "(tough ends snapped off)".
TAKING_OFF = frozenset({"removed", "discarded", "snapped", "stripped", "torn", "pulled", "away"})
PARED_PARTS = frozenset(
    "stem stems stalk stalks rib ribs end ends leaf leaves top tops root roots frond fronds seed seeds core cores "
    "skin skins peel rind stone stones pit pits off out away".split()
)


_BARED = frozenset({"skinless", "boneless"})


def said_of_food(tokens: list[Token], remarks: Sequence[Token] = ()) -> list[Token]:
    """Tokens of a clause with these remarks that describe the food.

    Of a clause about cutting or cooking its nouns do not ("stems removed"), nor its sizes ("diced small"); a step that
    says when it is done ("fried till golden") tells no state in which the food was weighed. That the skin is off does,
    "skin removed and jointed". What it is compared with
    is another food: "as much as the rice".
    """
    if any(token.text.split()[0] in _TILL for token in remarks):
        return [token for token in tokens if token.kind == "preparation" or token.text in _BOILED]
    if any(token.kind == "preparation" for token in tokens):
        return [token for token in tokens if token.kind in ("preparation", "state") or token.key in _BARED]
    return list(takewhile(lambda token: token.text not in _OF_ANOTHER, tokens)) if compares(tokens) else tokens


# What is said of drying as a step: how it is done, where, and before it that it is.
DRIED = frozenset({"dried", "dry", "sun dried", "air dried", "oven dried"})
_DRIED_HOW = frozenset(
    "out with on at under over well thoroughly completely overnight slowly gently lightly outside outdoors".split()
)
_DRIED_WHERE = frozenset(
    "sun sunshine sunlight shade oven dehydrator dryer drier air smoker towel cloth paper spinner".split()
)
_LEFT_TO = frozenset({"to", "well", "thoroughly", "completely", "left", "set", "laid", "spread"})


def without_drying(tokens: list[Token]) -> list[Token]:
    """Tokens of a clause behind a food, without what tells how it is dried: no bought food is said to be so.

    "Dried out in a low oven", "dried with a cloth", "left to dry", "sun-dried at home"; not "dried", "dried in oil".
    """
    at = next((at for at, token in enumerate(tokens) if token.value == "dried" and token.text in DRIED), -1)
    if at < 0:
        return tokens
    start = at
    while start and tokens[start - 1].text in _LEFT_TO:
        start -= 1
    behind = tokens[at + 1 : at + 2]
    placed = any(token.value in ("in", "by") for token in behind) and any(
        token.text in _DRIED_WHERE for token in tokens[at + 2 :]
    )
    told = placed or start < at or any(token.text in _DRIED_HOW for token in behind)
    return tokens[:start] if told else tokens


def compares(tokens: Sequence[Token]) -> bool:
    """Whether words say what else a food is like or lies on; "twice as much sugar" is another food."""
    return any(token.text in _OF_ANOTHER for token in tokens) and tokens[0].text not in _TIMES
