"""Which questions of `no_food` the words of a line leave open: without a word of a question the answer to it is no.

Each of the questions that are asked of every line turns on words or marks of its own, and most lines have none of
them. What a word tells is noted once, so that one look at each word rules most questions out. A word may open a
question in vain; a question that is answered with yes has one of its words, to which a test holds them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from service.core.figure_line import BESIDE_FIGURES, CURRENCIES, EQUAL, HOLD, ORDINALS, WHOLES
from service.core.heading import FOR_SOME, QUANTITIES
from service.core.note import CONDITIONS, COUNTED_OF_IT, IS, TOOLS, is_year
from service.core.noun_phrase import Lexicon
from service.core.portion import OPEN
from service.core.text import singular
from service.core.vocabulary import Token, Vocabulary

LABEL, SUITS, TITLED, PARTED, JUDGED, TIMED, FIGURES, NUMBERED = (1 << bit for bit in range(8))
STEP, NUTRIENT, OPENING = (1 << bit for bit in range(8, 11))  # opened by the first word alone
_FIRST = STEP | NUTRIENT | OPENING
_ANYWHERE = STEP - 1
# What may stand around a label, and alone beside figures.
_BESIDE_LABELS = frozenset({"=", "©", ":", "|", "-", "x"})
# Parts of words in which figures of a dish are told.
_IN_FIGURES = ("carb", "cal", "weight")
# Words of which it is kept what they tell.
_MOST_KEPT = 50_000


def open_questions(tokens: Sequence[Token], lexicon: Lexicon) -> int:
    """The questions that the words of a line leave open, as bits."""
    told = lexicon.vocabulary.told
    asked, heard = 0, _ANYWHERE | _FIRST
    for token in tokens:
        bits = told.get(token.text)
        asked |= (_note(token.text, lexicon) if bits is None else bits) & heard
        if token.kind == "measure":  # "pcs" are pieces
            asked |= _note(token.value, lexicon) & TITLED
        if token.kind != "mark":
            heard = _ANYWHERE
    return asked


def _note(text: str, lexicon: Lexicon) -> int:
    """What a token tells, kept for its next use."""
    told = lexicon.vocabulary.told
    bits = told.get(text)
    if bits is None:
        if len(told) >= _MOST_KEPT:  # hostile input must not fill the memory
            told.clear()
        bits = told[text] = _opened_by(text, lexicon.vocabulary)
    return bits


def _opened_by(text: str, vocabulary: Vocabulary) -> int:
    words = {text, singular(text)}.union(*((word, singular(word)) for word in text.split()))
    if not vocabulary.telling:
        for bit, telling in _telling(vocabulary):
            for word in telling:
                vocabulary.telling[word] = vocabulary.telling.get(word, 0) | bit
    bits = JUDGED if is_year(text) else 0
    bits |= FIGURES if any(part in text for part in _IN_FIGURES) else 0
    for word in words:
        bits |= vocabulary.telling.get(word, 0)
        bits |= TITLED if word in vocabulary.titles.dishes else 0
    return bits


def _telling(vocabulary: Vocabulary) -> Iterator[tuple[int, frozenset[str]]]:
    """The questions with words of which a line has one where the answer is yes."""
    titles = vocabulary.titles
    yield LABEL, _BESIDE_LABELS | CURRENCIES | titles.labels | titles.minutes | titles.feedback
    yield SUITS, frozenset(diet.split()[0] for diet in titles.diets) | titles.exchanges | OPEN
    yield TITLED, titles.labels | titles.for_whom | FOR_SOME | titles.portions
    yield PARTED, frozenset({"per", "every", "each"}) | QUANTITIES | ORDINALS | titles.ranks | titles.batches
    yield JUDGED, IS | {"into"}
    yield TIMED, titles.minutes | titles.periods | COUNTED_OF_IT
    yield FIGURES, titles.uncounted() | EQUAL | HOLD | WHOLES | {"°", "kj"}
    yield NUMBERED, titles.minutes | {"ingredient"}
    yield STEP, CONDITIONS | TOOLS | {"no need"}
    yield STEP, titles.step_words | titles.handling | titles.step_verbs | titles.readying
    yield NUTRIENT, titles.figures() | BESIDE_FIGURES
    yield OPENING, vocabulary.title_starts
