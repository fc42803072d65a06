"""What a line takes of wholes that it counts, put as the grammar of clauses reads it: tokens are moved, none weighed.

    each    = taken "and" taken "of" amount fruit { ( "and" | "," ) amount fruit }       both are taken of each fruit
    apart   = part ( "-" | ":" | "(" ) [ "from" | "of" ] amount whole                    "egg whites - 4 eggs"
    two     = number fruit "," piece ( "," | "and" ) piece                               "1 lemon, zested, 1/2 juiced"
    piece   = "zest" manner | "zested" | number ( "juiced" | manner | "for" use ) | "juice of" number
            | ( "the other" | "the rest" ) manner
    some    = number "of" ( "them" | "which" [ "are" ] ) state                           "4 eggs, 2 of them boiled"
    blended = food "and" food "mixed"                                                    "2 tbsp butter and oil mixed"
    roast   = "from" number "roast" food                                                 "meat from 1 roast chicken"
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import takewhile

from service.core.clause import TAKEN
from service.core.line_items import COUNTING
from service.core.noun_phrase import CITRUS
from service.core.number import read_number
from service.core.vocabulary import Token

_TRIGGERS = frozenset("them these those which mixed combined roast peel of from - : (".split())
_OF, _FROM, _AND = Token("of", "word", "of"), Token("from", "preposition", "from"), Token("and", "joiner", "and")
_COMMA, _ALL = Token(",", "mark", ","), Token("all", "filler")
_SOURCES = frozenset({"of", "from"})


def by_wholes(tokens: list[Token]) -> list[Token]:
    """The tokens of a line with what it takes of wholes in the order of the grammar; most lines stay as they are."""
    said = {token.text.partition(" ")[0] for token in tokens}
    if not said.isdisjoint(_TRIGGERS):
        tokens = _some_of_them(tokens) if not said.isdisjoint(_THEM) else tokens
        tokens = _blended(tokens) if not said.isdisjoint(_BLENDED) else tokens
        tokens = _roasted(tokens) if not said.isdisjoint(_VERBS_TOO) else tokens
        tokens = _of_each(_of_whole(tokens))
    return tokens if said.isdisjoint(_FRUIT_WORDS) else _two_pieces(tokens)


# ---- both of each ----------------------------------------------------------------------------------------------

_FAR, _MOST_FRUITS, _LONGEST_FRUIT = 9, 6, 6
_BEFORE_TAKEN = frozenset({"preparation", "filler"})
_OF_FRUIT = frozenset({"number", "vague number", "approximate", "size", "filler", "word", "state", "preparation"})


def _of_each(tokens: list[Token]) -> list[Token]:
    """The tokens of "zest and juice of 1 lemon and 1 orange" with both before each of the fruits."""
    of = next((at for at, token in enumerate(tokens[:_FAR]) if at > 2 and token.text in _SOURCES), 0)
    both = _both_taken(tokens[:of])
    fruits, end = _fruits(tokens, of + 1) if both else ([], 0)
    if len(fruits) < 2:
        return tokens
    found: list[Token] = []
    for fruit in fruits:
        for taken in both:
            found += [_AND, *taken, _OF, *fruit]
    return [*found[1:], *tokens[end:]]


def _both_taken(words: Sequence[Token]) -> list[list[Token]]:
    """What is taken, of "finely grated zest and juice"; nothing where the words say anything else."""
    joint = next((at for at, token in enumerate(words) if token.kind == "joiner" and token.value == "and"), 0)
    both = [list(words[:joint]), list(words[joint + 1 :])] if joint else []
    fits = all(
        one and _is_taken(one[-1]) and all(token.kind in _BEFORE_TAKEN for token in one[:-1]) for one in both
    )
    return both if fits else []


def _is_taken(token: Token) -> bool:
    return token.kind == "word" and token.key in TAKEN


def _fruits(tokens: Sequence[Token], at: int) -> tuple[list[list[Token]], int]:
    """The counted fruits from a place on, and where they end; behind a comma only such as end the line."""
    fruits: list[list[Token]] = []
    end, listed = at, False
    while len(fruits) < _MOST_FRUITS and at < len(tokens):
        fruit = _fruit(tokens, at)
        if not fruit:
            break
        fruits.append(fruit)
        end = at + len(fruit)
        parts = end < len(tokens) and (tokens[end].value == "and" or tokens[end].text == ",")
        if not parts:
            break
        comma = tokens[end].text == ","
        at = end + 1 + (comma and end + 1 < len(tokens) and tokens[end + 1].value == "and")
        listed = listed or (comma and bool(_fruit(tokens, at)))
    return ([], end) if listed and end < len(tokens) else (fruits, end)


def _fruit(tokens: Sequence[Token], at: int) -> list[Token]:
    """A count with its fruit and nothing behind it: "1 large lemon"; not "1 orange pepper"."""
    words = list(takewhile(lambda token: token.kind in _OF_FRUIT, tokens[at : at + _LONGEST_FRUIT]))
    place = next((place for place, token in enumerate(words) if token.key in CITRUS), 0)
    counted = bool(words) and (words[0].kind in COUNTING | {"approximate"} or words[0].text in ("a", "an"))
    return words[: place + 1] if counted and 0 < place == len(words) - 1 else []


# ---- a part, then the whole ------------------------------------------------------------------------------------

_MARKS = {"-": "", ":": "", "(": ")"}
_LONGEST_PART = 5
_PARTS = frozenset(
    "white yolk juice zest rind peel water milk cream meat flesh pulp seed skin kernel leaf stem fat".split()
)
_COVERS = frozenset({"skin", "peel"})
_NAMING = frozenset({"word", "measure", "state", "preparation", "filler"})


def _of_whole(tokens: list[Token]) -> list[Token]:
    """The tokens with "from" for the mark between a part and the wholes that it is of: "egg whites - 4 eggs"."""
    at = next((at for at, token in enumerate(tokens[: _LONGEST_PART + 1]) if token.text in _MARKS), 0)
    name, both = tokens[:at], bool(_both_taken(tokens[:at]))
    plain = both or all(token.kind in _NAMING for token in name)
    if not name or not plain or _noun(name[-1]) not in _PARTS:
        return tokens
    start = at + 1 + (at + 1 < len(tokens) and tokens[at + 1].text in _SOURCES)
    whole = list(takewhile(lambda token: token.kind != "mark", tokens[start : start + _FAR]))
    end = start + len(whole)
    closing = _MARKS[tokens[at].text]
    if closing and (end >= len(tokens) or tokens[end].text != closing):
        return tokens
    rest = tokens[end + bool(closing) :]
    counted = bool(whole) and (whole[0].kind in COUNTING or whole[0].text in ("a", "an"))
    listed = any(token.kind in COUNTING for token in rest)  # "Juice: 1 lemon, 2 carrots" heads a list
    name_of = name[-1:] if both else name  # "zest and juice - 1 lemon"
    return [*name, _FROM, *whole, *rest] if counted and not listed and _is_whole_of(name_of, whole) else tokens


def _noun(token: Token) -> str:
    return token.key or token.value


def _is_whole_of(name: Sequence[Token], whole: Sequence[Token]) -> bool:
    """Whether what is counted is what the part is named by, "lime juice": "limes", or has such a part: "juice"."""
    last = whole[-1].key if whole[-1].kind == "word" else ""
    words = [token for token in name if token.kind in ("word", "measure")]
    if len(words) > 1:
        return last == words[-2].key
    part = _noun(words[-1])
    if part in _COVERS:
        return bool(last)
    return last == "egg" if part in ("white", "yolk") else part in TAKEN and last in CITRUS


# ---- two pieces of what is counted -----------------------------------------------------------------------------

_FRUIT_WORDS = frozenset(TAKEN) | {"juicing"}
_JUICED, _ZESTED = Token("juiced", "preparation"), Token("zested", "preparation")
_CUT = Token("cut", "preparation", "raw")
OTHERS = frozenset({"other", "others", "rest", "remaining", "remainder"})
_THEN = frozenset({"then", "the"})
_JUICE = frozenset({"juice", "juicing"})
_GRATED_PEEL = ["peel", "grated"]
_CUTS = frozenset({"slice", "wedge", "round", "half", "quarter", "piece", "chunk"})
# A piece of a line: what becomes of how many, None for all of them, 0 for those that are left.
_Piece = tuple[Token, float | None]


def _two_pieces(tokens: list[Token]) -> list[Token]:
    """The tokens with two uses of the fruits that a line counts said in one form: "1 lemon, half for juice, ..."."""
    at = next((at for at, token in enumerate(tokens[:_LONGEST_FRUIT]) if token.text == ","), 0)
    fruit = _fruit(tokens[:at], 0)
    count = read_number(fruit, 0) if fruit and fruit[0].kind == "number" else None
    pieces = _split(tokens[at + 1 : at + 1 + _LONGEST_PIECES + 1]) if count and len(fruit) == at else []
    if count is None or len(pieces) != 2 or len(tokens) > at + 1 + _LONGEST_PIECES:
        return tokens
    first, second = (_piece(piece) for piece in pieces)
    told = _told(first, second, float(count[0])) if first and second else []
    return [*fruit, _COMMA, *told] if told else tokens


_LONGEST_PIECES = 14


def _split(tokens: Sequence[Token]) -> list[list[Token]]:
    """What stands between commas and "and", without words that only tell the order."""
    pieces: list[list[Token]] = [[]]
    for token in tokens:
        if token.kind == "joiner" or token.text in (",", ";"):
            pieces.append([])
        elif token.text not in _THEN:
            pieces[-1].append(token)
    return [piece for piece in pieces if piece]


def _piece(words: Sequence[Token]) -> _Piece | None:
    """What a piece says: what is done, and with how many; None where it says anything else."""
    number = read_number(words, 0) if words[0].kind == "number" else None
    behind = words[number[1] :] if number else words
    left = not number and words[0].text in OTHERS
    share = float(number[0]) if number else 0.0 if left else None
    behind = [token for token in behind if token.text not in OTHERS and token.text not in ("one", "ones")]
    taken = TAKEN.get(behind[0].text, "") if behind and behind[0].kind == "word" else ""
    taken = "zest" if [token.text for token in behind[:2]] == _GRATED_PEEL else taken
    if taken and share is None:
        return _taken_of(taken, behind[1:])
    done = _done(behind)
    return (done, share) if done is not None and (share is not None or done.text in TAKEN) else None


def _taken_of(taken: str, behind: Sequence[Token]) -> _Piece | None:
    """ "Zest finely grated", "juice of 1"."""
    act = _ZESTED if taken == "zest" else _JUICED
    if len(behind) > 1 and behind[0].text in _SOURCES:
        number = read_number(behind, 1) if behind[1].kind == "number" else None
        return (act, float(number[0])) if number and number[1] == len(behind) else None
    grated = taken == "zest" and bool(behind) and all(_is_used(token) for token in behind)
    return (act, None) if grated else None


def _is_used(token: Token) -> bool:
    return token.kind == "preparation" and token.text not in _APART


# What goes elsewhere, perhaps.
_APART = frozenset("discarded reserved saved kept".split())


def _done(words: Sequence[Token]) -> Token | None:
    """What is done with a piece: "juiced", "finely sliced", "for juice", "cut into wedges"; None for anything else."""
    if not words:
        return None
    if all(token.kind == "preparation" for token in words):
        act = next((token for token in words if token.text in TAKEN), words[-1])
        return act if act.text not in TAKEN else _ZESTED if TAKEN[act.text] == "zest" else _JUICED
    use = words[-1]
    if len(words) != 2 or not words[0].text.startswith(("for", "cut")):
        return None
    if use.text in _JUICE:
        return _JUICED
    return _CUT if use.kind == "measure" and use.value in _CUTS else None


def _told(first: _Piece, second: _Piece, count: float) -> list[Token]:
    """Two pieces as the grammar reads them; nothing where they are not all of what is counted."""
    (one, some), (other, more) = first, second
    if one.text == other.text:
        return []
    if some is None or more is None:
        return _taken_twice(first, second, count)
    some, more = some or count - more, more or count - some
    scale = count if count != 1 and some < 1 and more < 1 else 1.0
    if abs((some + more) * scale - count) > _NEAR or min(some, more) <= 0:
        return []
    return [_number(some * scale), one, _COMMA, _number(more * scale), other]


_NEAR = 0.01


def _taken_twice(first: _Piece, second: _Piece, count: float) -> list[Token]:
    """Zest and juice of the same fruits, of all or of some: "zested, 1/2 juiced"."""
    if {first[0].text, second[0].text} != {"zested", "juiced"}:
        return []
    if first[1] is None and second[1] is None:
        return [first[0], _AND, second[0]]
    found: list[Token] = []
    for act, share in (first, second):
        said = count if share is None else share * count if share < 1 else share
        if not 0 < said <= count:
            return []
        noun = TAKEN[act.text]
        found += [_COMMA, Token(noun, "word", noun), _OF, _ALL if share is None else _number(said)]
    return found[1:]


def _number(value: float) -> Token:
    return Token(f"{value:g}", "number", f"{value:g}")


# ---- some of them, mixed, roast --------------------------------------------------------------------------------

_THEM = frozenset({"them", "these", "those", "which"})
_BLENDED = frozenset({"mixed", "combined"})
_VERBS_TOO = frozenset({"roast", "peel"})
_MIXED = Token("mixed", "preparation")
_ROASTED, _PEEL = Token("roasted", "state", "roasted"), Token("peel", "word", "peel")
_ARE = frozenset({"are", "is", "should be", "being"})
_SAYS_STATE = frozenset({"state", "preparation"})


def _some_of_them(tokens: list[Token]) -> list[Token]:
    """The tokens without "of them" between a count and what those are: "2 of them hard-boiled"."""
    gone = set[int]()
    for at in range(2, len(tokens) - 2):
        counts = tokens[at - 1].kind == "number" and tokens[at - 2].text in (",", "(", ";", "-")
        if not counts or tokens[at].text != "of" or tokens[at + 1].text.split()[0] not in _THEM:
            continue  # "which are" is one word there
        end = at + 2 + (tokens[at + 2].text in _ARE)
        if end < len(tokens) and tokens[end].kind in _SAYS_STATE:
            gone |= set(range(at, end))
    return [token for at, token in enumerate(tokens) if at not in gone] if gone else tokens


def _blended(tokens: list[Token]) -> list[Token]:
    """The tokens with "mixed" behind two foods as what is done with them: "2 tbsp butter and oil mixed"."""
    at = next((at for at, token in enumerate(tokens) if token.text in _BLENDED), 0)
    ends = at + 1 >= len(tokens) or tokens[at + 1].kind == "mark"
    joined = any(token.kind == "joiner" and token.value == "and" for token in tokens[max(0, at - _FAR) : at])
    if not (joined and ends and tokens[at].kind == "word" and tokens[at - 1].kind == "word"):
        return tokens
    return [*tokens[:at], _COMMA, _MIXED, *tokens[at + 1 :]]


def _roasted(tokens: list[Token]) -> list[Token]:
    """The tokens with verbs that are none there: "meat from 1 roast chicken", "peel from 1 apple"."""
    if tokens[0].text == "peel" and len(tokens) > 2 and tokens[1].text == "from":
        return [_PEEL, *tokens[1:]]
    roast = (at for at in range(2, len(tokens) - 1) if tokens[at].text == "roast" and tokens[at + 1].kind == "word")
    at = next(roast, 0)
    taken = at and (tokens[at - 1].kind in COUNTING or tokens[at - 1].text in ("a", "an"))
    if not taken or tokens[at - 2].text not in _SOURCES:
        return tokens
    return [*tokens[:at], _ROASTED, *tokens[at + 1 :]]
