"""For how many a recipe is and what it makes, as its text says it.

    yield   = clauses | "(" clauses ")"
    clauses = clause { ( "," | ";" | "|" | "(" | " - " | "." | "and" ) clause }     words that are no clause are told
    clause  = serves | makes | weighed | factor
    serves  = [ "This recipe" ] ( "Serves" | "Feeds" | "For" | "Servings:" ) count [ "people" ] [ words ]
            | count ( "servings" | "people" )
    makes   = ( "Makes" | "Yield:" ) [ "about" ] count [ [ "x" ] size ] [ pieces [ "of" size ] | mass [ "cooked" ] ]
    cut     = number "slices"       behind one piece: so many servings, where the text does not say another number
    weighed = ( "Cooked" | "Baked" | "Finished" ) "weight" [ ":" | "-" ] mass | "Weight after cooking" [ ":" ] mass
    mass    = count unit { [ "and" ] number unit } | "(" unit ")" [ ":" ] count
    factor  = "Yield factor" [ ":" ] number
    count   = number [ "-" number ] [ "dozen" ]
    number  = digits | fraction | "one" ... "twelve" | "a"

Of a range the lower end is taken, which gives the larger serving.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

from service.core.errors import InputError
from service.core.measure import OUNCE
from service.core.number import parse_digits
from service.core.recipe import LEAST_SERVINGS, MOST_SERVINGS, RecipeYield

_ABOUT = r"(?:(?:about|approx\w*\.?|around|roughly|~)\s*)?"
_RANGE = r"(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:-|to|or)\s*(?P<high>\d+(?:[.,]\d+)?))?"
_PEOPLE = r"(?:people|persons?|servings?|portions?)"
# What stands before what a recipe makes or serves, and around it.
_ITSELF = re.compile(r"^(?:this\s+|the\s+)?(?:recipe|dish|mixture|batch)\s+(?=(?:makes|yields|serves|feeds)\b)")
_WHOLE_BRACKET = re.compile(r"^[(\[](?P<said>[^()\[\]]+)[)\]]$")
_NEXT = r"\b(?:makes|yields?|serves|feeds)\b"
# Words behind a count, no further clause and not the end of its range, which would be lost with them.
_MORE = rf"(?!(?:to|or)\s*\d)(?=[a-z])(?P<more>(?:(?!{_NEXT})[^,;|()\[\]])+)"
_SERVES = tuple(
    re.compile(pattern + r"[.!]*$")
    for pattern in (
        rf"^(?:serves|feeds)\s*:?\s*{_ABOUT}{_RANGE}(?:\s+{_PEOPLE})?(?:\s+{_MORE})?",
        rf"^(?:servings?|portions?)\s*:?\s*{_ABOUT}{_RANGE}(?:\s+{_PEOPLE})?",
        rf"^(?:servings|portions)\s*:?\s*{_ABOUT}{_RANGE}\s+{_MORE}",
        rf"^(?:for|yield\s*:?|yields|makes)\s+{_ABOUT}(?:enough for\s+)?{_RANGE}\s+{_PEOPLE}",
        rf"^(?:(?:makes|yields)\s+)?enough\s+for\s+{_ABOUT}{_RANGE}(?:\s+{_PEOPLE})?",
        rf"^{_RANGE}\s+{_PEOPLE}",
    )
)
# The size of one piece, before or behind its name: "12 x 50 g rolls", "12 rolls of 50 g each".
_SIZE = r"\d+(?:[.,]\d+)?\s?-?\s?(?:g|kg|oz|lb|ml|cm|mm|inch(?:es)?|in|\")"
_MAKES = re.compile(
    rf"^(?:makes|yields?)\s*:?\s*{_ABOUT}{_RANGE}\s*(?P<size>(?:x\s*|(?<=\s)){_SIZE}\s+(?=[a-z]))?"
    rf"(?P<piece>[^\d.,;:]{{0,60}}?)(?:\s*(?P<of>(?:\bof|at|@|x)\s+(?:about\s+)?{_SIZE}(?:\s+each)?))?[.!]*$"
)
# Pieces that a whole one is cut into: "one cake (12 slices)".
_CUT = re.compile(
    rf"^(?:cuts? into\s+|gives\s+)?{_ABOUT}(?P<number>\d{{1,3}})\s+(?:slices|pieces|squares|wedges|bars|portions)\.?$"
)
_UNIT_WORD = r"(?:g|gr|grams?|kg|kilos?|oz|ounces?|lbs?|pounds?)"
_UNIT = rf"(?P<unit>{_UNIT_WORD})"
_COOKED = r"(?:(?:cooked|baked|finished|final)\s+weight|weight\s+(?:when|once|after)\s+\w+)"
_LESSER = rf"(?P<lesser>(?:\s*(?:and\s+|\+\s*)?\d+(?:[.,]\d+)?\s*{_UNIT_WORD})*)"
_WEIGHED = tuple(
    re.compile(pattern + r"\.?$")
    for pattern in (
        rf"^{_COOKED}\s*[:=-]?\s*{_ABOUT}{_RANGE}\s*{_UNIT}\b{_LESSER}",
        rf"^{_COOKED}\s*(?:\(\s*|\[\s*|in\s+){_UNIT}\s*[)\]]?\s*[:=-]?\s*{_ABOUT}{_RANGE}",
    )
)
_WEIGHS = re.compile(rf"^{_RANGE}\s*{_UNIT}\s+cooked\.?$")
_FACTOR = re.compile(rf"^yield\s+factor\s*:?\s*{_RANGE}$")
_ONE_MASS = re.compile(rf"(\d+(?:[.,]\d+)?)\s*({_UNIT_WORD})")
_MASS = re.compile(rf"^{_UNIT}(?:\s+(?:cooked|in all|in total|total))?$")
_VOLUME = re.compile(r"^(?:ml|cl|dl|l|millilit(?:re|er)s?|lit(?:re|er)s?)$")
_GRAMS = {"g": 1.0, "k": 1000.0, "o": OUNCE, "l": 16 * OUNCE, "p": 16 * OUNCE}
# Characters beyond which a line says nothing of the yield: its patterns are not linear.
LONGEST = 300
# What a yield begins with, so that one that is not understood is told.
_BEGUN = re.compile(r"^(?:enough for|serves|servings?|portions?|feeds|makes|yields?)\b")
# What is said of a weight and no food, so that one that is not understood is told and never weighed as a food.
_OF_A_WEIGHT = re.compile(
    r"^(?=.*\d)(?:[a-z]+\s+){0,3}weight\b(?:\s+(?:when|once|after|before)\s+[a-z]+)?"
    rf"(?:[^a-z]|(?<![a-z])(?:{_UNIT_WORD}|about|and|in|to|or)(?![a-z]))*$"
)
_BELOW_ZERO = re.compile(r"^(?:serves|servings?|portions?|feeds|makes|yields?)\s*:?\s*-\s*\d")
_APART = re.compile(
    rf"\s*[,;|()\[\]]\s*|\s+-\s+(?!\d)|(?:\s*[./]\s*|\s+(?:and|or|&)\s+)(?={_NEXT})"
)
COUNT_WORDS = {
    word: number
    for number, word in enumerate("one two three four five six seven eight nine ten eleven twelve".split(), 1)
} | {"a": 1, "an": 1}
_COUNT_WORD = re.compile(
    rf"^((?:serves|servings?|portions?|feeds|(?:enough )?for|makes|yields?)\s*:?\s*{_ABOUT})"
    rf"({'|'.join(COUNT_WORDS)})\b(?!\s+few)"
    rf"(?:(\s*(?:-|to|or)\s*)({'|'.join(COUNT_WORDS)})\b)?"
)
# "Serves 1 000", as lines have "1 000 g"; no such space in "makes 4 500 g loaves".
_THOUSANDS = re.compile(r"^((?:serves|feeds|servings?|portions?)\s*:?\s*\d{1,3}) (\d{3})(?=\W*$|\s+[a-z])")
_FRACTION = re.compile(r"(?<![\d/.])(?:(\d+)\s+)?(\d)/([1-9])(?![\d/])")
_DOZEN = re.compile(rf"{_RANGE}\s+(?:dozen|doz)\b")


@dataclass(frozen=True, slots=True)
class Yielded:
    """What a text says of servings and yield so far, with what was assumed in plain words.

    made    the words that say how many pieces it makes, "" where none do
    cut     into how many slices the one piece that it makes is cut, as it is said
    stated  the words that say for how many it is, each with the number of servings
    """

    servings: float | None = None
    yields: RecipeYield = field(default_factory=RecipeYield)
    notes: tuple[str, ...] = ()
    made: str = ""
    cut: str = ""
    stated: tuple[tuple[str, float], ...] = ()

    def noting(self, note: str) -> Yielded:
        return replace(self, notes=(*self.notes, note))

    def settled(self) -> Yielded:
        """The same where all is read: without a word on servings each piece is one, else the whole recipe is."""
        pieces = self.yields.pieces
        if self.servings is not None:
            return self._agreeing(self.servings)
        if found := _CUT.match(self.cut):
            servings = float(found["number"])
            return replace(self, servings=servings).noting(f"{self.cut!r} was taken as {servings:g} servings")
        if pieces is not None and _VOLUME.match(self.yields.piece_name or ""):
            told = f"{self.made!r} does not say for how many it is: taken as one serving"
            return replace(self, servings=1.0).noting(told)
        if pieces is None:
            return replace(self, servings=1.0).noting("the text does not say for how many it is: taken as one serving")
        said = f"{pieces:g} serving{'' if pieces == 1 else 's'} of one piece each"
        return replace(self, servings=pieces).noting(f"{self.made!r} was taken as {said}")

    def _agreeing(self, servings: float) -> Yielded:
        """The same where servings are said, with what is said beside them told: slices, or another number of them."""
        after = self.noting(f"{self.cut!r} was not read") if self.cut else self
        if len({number for _, number in self.stated}) < 2:
            return after
        said = " and ".join(dict.fromkeys(repr(words) for words, _ in self.stated))
        return after.noting(f"the text says {said}: taken as {servings:g} servings")


def read_yield(bare: str, before: Yielded) -> Yielded | None:
    """What a folded line adds to what was said `before`; None where it says nothing of servings or yield.

    InputError where what it says cannot be.
    """
    if len(bare) > LONGEST:
        return None
    if _BELOW_ZERO.match(bare):
        raise InputError(f"{bare!r}: less than none cannot be", pointer="/servings")
    bare = _by_itself(bare)
    whole = _clause(bare, before)
    clauses = [clause for clause in _APART.split(bare) if clause]
    if whole is not None or len(clauses) < 2:
        return whole
    read, after = [], before
    for clause in clauses:
        found = _clause(clause, after)
        read.append(found is not None)
        cut = after.yields.pieces == 1 and not after.cut and _CUT.match(clause)
        unread = replace(after, cut=clause) if cut else after.noting(f"{clause!r} of {bare!r} was not read")
        after = found or unread
    return after if read[0] or (any(read) and begun_as_yield(bare)) else None


def states_weight(bare: str) -> bool:
    """Whether a line is of the weight of a dish and names nothing else: "Total weight: 700 g"."""
    return len(bare) <= LONGEST and bool(_OF_A_WEIGHT.match(bare))


def begun_as_yield(bare: str) -> bool:
    """Whether a line begins as one that says for how many a recipe is."""
    return bool(_BEGUN.match(_by_itself(bare)))


def _by_itself(bare: str) -> str:
    """A line without the bracket around all of it and without the recipe that it is said of."""
    found = _WHOLE_BRACKET.match(bare)
    return _ITSELF.sub("", found["said"].strip() if found else bare)


def _clause(said: str, before: Yielded) -> Yielded | None:
    bare = _in_digits(said)
    return _factor(bare, before) or _serves(bare, before, said) or _weighed(bare, before) or _makes(bare, before, said)


def _in_digits(bare: str) -> str:
    """Words and fractions of a count as digits: "makes a dozen" -> "makes 12"."""
    bare = _THOUSANDS.sub(r"\1\2", _COUNT_WORD.sub(_spelled, bare))
    bare = _FRACTION.sub(lambda found: f"{int(found[1] or 0) + int(found[2]) / int(found[3]):.6g}", bare)
    return _DOZEN.sub(
        lambda found: "-".join(f"{12 * _value(end):g}" for end in (found["low"], found["high"]) if end), bare
    )


def _spelled(found: re.Match[str]) -> str:
    if found[2] in ("a", "an") and not found[1].startswith(("make", "yield")):  # "feeds a crowd"
        return found[0]
    return f"{found[1]}{COUNT_WORDS[found[2]]}{found[3] or ''}{COUNT_WORDS[found[4]] if found[4] else ''}"


def _value(digits: str) -> float:
    """A number as lines have it: "1,5" has a decimal comma, "1,000" is a thousand."""
    number = parse_digits(digits)
    return math.inf if number is None else number  # so many digits are no count


def _serves(bare: str, before: Yielded, said: str) -> Yielded | None:
    found = next(filter(None, (pattern.match(bare) for pattern in _SERVES)), None)
    if found is None:
        return None
    servings = _value(found["low"])
    if servings < 1 and "/" in said:  # "serves 2/3" may be two or three
        return None
    if not LEAST_SERVINGS <= servings <= MOST_SERVINGS:
        raise InputError(f"{servings:g} servings cannot be", pointer="/servings")
    after = replace(before, servings=servings, stated=(*before.stated, (said, servings)))
    if found["high"]:
        after = after.noting(f"{said!r} was taken as {servings:g} servings, which gives the larger serving")
    more = found.groupdict().get("more")
    return after.noting(f"{more!r} of {said!r} was not read") if more else after


def _makes(bare: str, before: Yielded, said: str) -> Yielded | None:
    found = _MAKES.match(bare)
    if found is None:
        return None
    count, piece = _value(found["low"]), found["piece"].strip()
    if mass := _MASS.match(piece):
        return _of_weight(count, mass["unit"], before)
    if not 0 < count <= MOST_SERVINGS:
        raise InputError(f"{count:g} pieces cannot be", pointer="/yield/pieces")
    after = replace(before, yields=replace(before.yields, pieces=count, piece_name=piece or None), made=said)
    for size in filter(None, (found["size"], found["of"])):
        after = after.noting(f"{size.strip()!r} of {said!r} was not read")
    return after.noting(f"{said!r} was taken as {count:g}, which gives the larger piece") if found["high"] else after


def _weighed(bare: str, before: Yielded) -> Yielded | None:
    found = next(filter(None, (pattern.match(bare) for pattern in (*_WEIGHED, _WEIGHS))), None)
    if found is None:
        return None
    lesser = _ONE_MASS.findall(found.groupdict().get("lesser") or "")
    grams = sum(_value(amount) * _GRAMS[unit[0]] for amount, unit in lesser)
    after = _of_weight(_value(found["low"]) + grams / _GRAMS[found["unit"][0]], found["unit"], before)
    return after.noting(f"{bare!r} was taken as its lower end, which gives more in 100 g") if found["high"] else after


def _of_weight(amount: float, unit: str, before: Yielded) -> Yielded:
    grams = amount * _GRAMS[unit[0]]
    if grams <= 0:
        raise InputError(f"{grams:g} g cooked cannot be", pointer="/yield/cooked_grams")
    return replace(before, yields=replace(before.yields, cooked_grams=grams))


def _factor(bare: str, before: Yielded) -> Yielded | None:
    found = _FACTOR.match(bare)
    return None if found is None else replace(before, yields=replace(before.yields, factor=_value(found["low"])))
