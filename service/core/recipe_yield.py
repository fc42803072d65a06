"""For how many a recipe is and what it makes, as its text says it.

    yield   = clause { ( "," | ";" | "|" | "(" | " - " | "." | "and" ) clause }     words that are no clause are told
    clause  = serves | makes | weighed | factor
    serves  = ( "Serves" | "Feeds" | "For" ) count [ "people" ] [ words ] | count ( "servings" | "people" )
    makes   = ( "Makes" | "Yield:" ) [ "about" ] count [ pieces | mass [ "cooked" ] ]
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

from service.core.amount import parse_digits
from service.core.errors import InputError
from service.core.measure import OUNCE
from service.core.recipe import LEAST_SERVINGS, MOST_SERVINGS, RecipeYield

_ABOUT = r"(?:(?:about|approx\w*\.?|around|roughly|~)\s*)?"
_RANGE = r"(?P<low>\d+(?:[.,]\d+)?)(?:\s*(?:-|to|or)\s*(?P<high>\d+(?:[.,]\d+)?))?"
_PEOPLE = r"(?:people|persons?|servings?|portions?)"
_NEXT = r"\b(?:makes|yields?|serves|feeds)\b"
# Words behind a count, no further clause and not the end of its range, which would be lost with them.
_MORE = rf"(?!(?:to|or)\s*\d)(?=[a-z])(?P<more>(?:(?!{_NEXT})[^,;|()\[\]])+)"
_SERVES = tuple(
    re.compile(pattern + r"\.?$")
    for pattern in (
        rf"^(?:serves|feeds)\s*:?\s*{_ABOUT}{_RANGE}(?:\s+{_PEOPLE})?(?:\s+{_MORE})?",
        rf"^(?:servings?|portions?)\s*:?\s*{_ABOUT}{_RANGE}(?:\s+{_PEOPLE})?",
        rf"^(?:for|yield\s*:?|yields|makes)\s+{_ABOUT}(?:enough for\s+)?{_RANGE}\s+{_PEOPLE}",
        rf"^(?:makes|yields)\s+enough\s+for\s+{_ABOUT}{_RANGE}",
        rf"^{_RANGE}\s+{_PEOPLE}",
    )
)
_MAKES = re.compile(rf"^(?:makes|yields?)\s*:?\s*{_ABOUT}{_RANGE}\s*(?P<piece>[^\d.,;:]{{0,60}})\.?$")
_NO_NAME = r"(?:g|gr|grams?|kg|kilos?|oz|ounces?|lbs?|pounds?)"
_UNIT = rf"(?P<unit>{_NO_NAME})"
_COOKED = r"(?:(?:cooked|baked|finished|final)\s+weight|weight\s+(?:when|once|after)\s+\w+)"
_LESSER = rf"(?P<lesser>(?:\s*(?:and\s+|\+\s*)?\d+(?:[.,]\d+)?\s*{_NO_NAME})*)"
_WEIGHED = tuple(
    re.compile(pattern + r"\.?$")
    for pattern in (
        rf"^{_COOKED}\s*[:=-]?\s*{_ABOUT}{_RANGE}\s*{_UNIT}\b{_LESSER}",
        rf"^{_COOKED}\s*(?:\(\s*|\[\s*|in\s+){_UNIT}\s*[)\]]?\s*[:=-]?\s*{_ABOUT}{_RANGE}",
    )
)
_WEIGHS = re.compile(rf"^{_RANGE}\s*{_UNIT}\s+cooked\.?$")
_FACTOR = re.compile(rf"^yield\s+factor\s*:?\s*{_RANGE}$")
_ONE_MASS = re.compile(rf"(\d+(?:[.,]\d+)?)\s*({_NO_NAME})")
_MASS = re.compile(rf"^{_UNIT}(?:\s+(?:cooked|in all|in total|total))?$")
_VOLUME = re.compile(r"^(?:ml|cl|dl|l|millilit(?:re|er)s?|lit(?:re|er)s?)$")
_GRAMS = {"g": 1.0, "k": 1000.0, "o": OUNCE, "l": 16 * OUNCE, "p": 16 * OUNCE}
# Characters beyond which a line says nothing of the yield: its patterns are not linear.
LONGEST = 300
# What a yield begins with, so that one that is not understood is told.
_BEGUN = re.compile(r"^(?:serves|servings?|portions?|feeds|makes|yields?)\b")
# What is said of a weight and no food, so that one that is not understood is told and never weighed as a food.
_OF_A_WEIGHT = re.compile(
    r"^(?=.*\d)(?:[a-z]+\s+){0,3}weight\b(?:\s+(?:when|once|after|before)\s+[a-z]+)?"
    rf"(?:[^a-z]|(?<![a-z])(?:{_NO_NAME}|about|and|in|to|or)(?![a-z]))*$"
)
_BELOW_ZERO = re.compile(r"^(?:serves|servings?|portions?|feeds|makes|yields?)\s*:?\s*-\s*\d")
_APART = re.compile(
    rf"\s*[,;|()\[\]]\s*|\s+-\s+(?!\d)|(?:\s*[./]\s*|\s+(?:and|or|&)\s+)(?={_NEXT})"
)
_SPELLED = {
    word: number
    for number, word in enumerate("one two three four five six seven eight nine ten eleven twelve".split(), 1)
} | {"a": 1, "an": 1}
_COUNT_WORD = re.compile(
    rf"^((?:serves|servings?|portions?|feeds|for|makes|yields?)\s*:?\s*{_ABOUT})({'|'.join(_SPELLED)})\b(?!\s+few)"
    rf"(?:(\s*(?:-|to|or)\s*)({'|'.join(_SPELLED)})\b)?"
)
_FRACTION = re.compile(r"(?<![\d/.])(?:(\d+)\s+)?(\d)/([1-9])(?![\d/])")
_DOZEN = re.compile(rf"{_RANGE}\s+(?:dozen|doz)\b")


@dataclass(frozen=True, slots=True)
class Yielded:
    """What a text says of servings and yield so far, with what was assumed in plain words.

    made  the words that say how many pieces it makes, "" where none do
    """

    servings: float | None = None
    yields: RecipeYield = field(default_factory=RecipeYield)
    notes: tuple[str, ...] = ()
    made: str = ""

    def noting(self, note: str) -> Yielded:
        return replace(self, notes=(*self.notes, note))

    def settled(self) -> Yielded:
        """The same where all is read: without a word on servings each piece is one, else the whole recipe is."""
        pieces = self.yields.pieces
        if self.servings is not None:
            return self
        if pieces is None or _VOLUME.match(self.yields.piece_name or ""):
            return replace(self, servings=1.0).noting("the text does not say for how many it is: taken as one serving")
        said = f"{pieces:g} serving{'' if pieces == 1 else 's'} of one piece each"
        return replace(self, servings=pieces).noting(f"{self.made!r} was taken as {said}")


def read_yield(bare: str, before: Yielded) -> Yielded | None:
    """What a folded line adds to what was said `before`; None where it says nothing of servings or yield.

    InputError where what it says cannot be.
    """
    if len(bare) > LONGEST:
        return None
    if _BELOW_ZERO.match(bare):
        raise InputError(f"{bare!r}: less than none cannot be", pointer="/servings")
    whole = _clause(bare, before)
    clauses = [clause for clause in _APART.split(bare) if clause]
    if whole is not None or len(clauses) < 2:
        return whole
    read, after = [], before
    for clause in clauses:
        found = _clause(clause, after)
        read.append(found is not None)
        after = found or after.noting(f"{clause!r} of {bare!r} was not read")
    return after if read[0] or (any(read) and begun_as_yield(bare)) else None


def states_weight(bare: str) -> bool:
    """Whether a line is of the weight of a dish and names nothing else: "Total weight: 700 g"."""
    return len(bare) <= LONGEST and bool(_OF_A_WEIGHT.match(bare))


def begun_as_yield(bare: str) -> bool:
    """Whether a line begins as one that says for how many a recipe is."""
    return bool(_BEGUN.match(bare))


def _clause(said: str, before: Yielded) -> Yielded | None:
    bare = _in_digits(said)
    return _factor(bare, before) or _serves(bare, before, said) or _weighed(bare, before) or _makes(bare, before, said)


def _in_digits(bare: str) -> str:
    """Words and fractions of a count as digits: "makes a dozen" -> "makes 12"."""
    bare = _COUNT_WORD.sub(_spelled, bare)
    bare = _FRACTION.sub(lambda found: f"{int(found[1] or 0) + int(found[2]) / int(found[3]):.6g}", bare)
    return _DOZEN.sub(
        lambda found: "-".join(f"{12 * _value(end):g}" for end in (found["low"], found["high"]) if end), bare
    )


def _spelled(found: re.Match[str]) -> str:
    if found[2] in ("a", "an") and not found[1].startswith(("make", "yield")):  # "feeds a crowd"
        return found[0]
    return f"{found[1]}{_SPELLED[found[2]]}{found[3] or ''}{_SPELLED[found[4]] if found[4] else ''}"


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
    after = replace(before, servings=servings)
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
