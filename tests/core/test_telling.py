"""What the words of a line leave open: no question is answered with yes that they rule out."""

from __future__ import annotations

import ast
import json
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import pytest

from service.core import figure_line, heading, label_line, note, portion, telling, title
from service.core.amount import MeasureWords
from service.core.line_items import before_bracket, read_tokens
from service.core.noun_phrase import Lexicon
from service.core.vocabulary import Token, Vocabulary

HERE = Path(__file__).parent
# Those with lines that are labels, headings, notes and figures; a docstring is as good a line.
OF_LINES = ("test_heading.py", "test_ingredient_line.py", "test_portion.py", "test_lines_as_meant.py")
MODULES = (figure_line, heading, label_line, note, portion, title)

Question = Callable[[Sequence[Token], Sequence[Token], Lexicon], bool]


def of_tokens(ask: Callable[[Sequence[Token], Lexicon], bool]) -> Question:
    return lambda tokens, words, lexicon: ask(tokens, lexicon)


def of_words(ask: Callable[[Sequence[Token], Lexicon], bool]) -> Question:
    return lambda tokens, words, lexicon: ask(words, lexicon)


def _opens_note(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    return words[0].kind not in ("note start", "optional") and note.opens_note(words[0], tokens, words, lexicon)


def _counts_title(tokens: Sequence[Token], words: Sequence[Token], lexicon: Lexicon) -> bool:
    return words[0].kind == "number" and title.counted_title(tokens, lexicon)


QUESTIONS: dict[str, tuple[int, Question]] = {
    "label": (telling.LABEL, of_tokens(label_line.is_label)),
    "priced": (telling.LABEL, of_tokens(figure_line.is_priced)),
    "bakes": (telling.LABEL, of_tokens(figure_line.bakes)),
    "suits": (telling.SUITS, of_tokens(label_line.suits)),
    "portion": (telling.SUITS, of_tokens(portion.speaks_of_portion)),
    "version": (telling.TITLED, of_tokens(label_line.is_version)),
    "for some": (telling.TITLED, of_tokens(heading.is_for_some)),
    "about some": (telling.TITLED, of_tokens(heading.is_about_some)),
    "per": (telling.PARTED, of_tokens(heading.is_per)),
    "ranked": (telling.PARTED, of_tokens(heading.is_ranked)),
    "told apart": (telling.PARTED, of_tokens(heading.is_told_apart)),
    "opens note": (telling.JUDGED | telling.STEP, _opens_note),
    "sourced": (telling.JUDGED | telling.STEP, of_words(note.is_sourced)),
    "judges": (telling.JUDGED | telling.STEP, lambda tokens, words, lexicon: note.judges(words)),
    "takes time": (telling.TIMED, of_words(note.takes_time)),
    "takes place": (telling.TIMED, of_words(note.takes_place)),
    "claims": (telling.FIGURES | telling.NUTRIENT, of_tokens(figure_line.states_claims)),
    "no food": (telling.FIGURES | telling.NUTRIENT, figure_line.measures_no_food),
    "heat": (telling.FIGURES | telling.NUTRIENT, of_tokens(figure_line.states_heat)),
    "whole": (telling.FIGURES | telling.NUTRIENT, of_tokens(figure_line.states_whole)),
    "nutrients": (telling.FIGURES | telling.NUTRIENT, of_tokens(figure_line.states_nutrients)),
    "worth": (telling.FIGURES | telling.NUTRIENT, of_tokens(figure_line.states_worth)),
    "counted title": (telling.NUMBERED | telling.OPENING, _counts_title),
}


def written() -> Iterator[str]:
    """Lines of the tests, of the gold files, and the examples in the docstrings of the questions."""
    for path in (*(HERE / name for name in OF_LINES), *(Path(str(module.__file__)) for module in MODULES)):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                yield node.value
                yield from node.value.split('"')
    for path in sorted((HERE.parent / "gold").glob("*.jsonl")):
        yield from (json.loads(row)["line"] for row in path.read_text(encoding="utf-8").splitlines())


@pytest.fixture(scope="module")
def lines(vocabulary: Vocabulary) -> list[list[Token]]:
    """The tokens of the lines that have a word."""
    read = (read_tokens(line[:200], vocabulary) for line in dict.fromkeys(written()))
    return [tokens for tokens in read if any(token.text[0].isalpha() for token in tokens)]


@pytest.mark.parametrize("name", QUESTIONS)
def test_a_line_without_the_words_of_a_question_answers_no(
    name: str, lines: list[list[Token]], vocabulary: Vocabulary, measure_words: MeasureWords
) -> None:
    lexicon = Lexicon(vocabulary, measure_words)
    opens, ask = QUESTIONS[name]
    answered = 0
    for tokens in lines:
        first = next((token for token in tokens if token.kind != "mark"), tokens[0])
        words = [token for token in before_bracket(tokens) if token.kind != "mark"] or [first]
        if ask(tokens, words, lexicon):
            answered += 1
            assert telling.open_questions(tokens, lexicon) & opens, " ".join(token.text for token in tokens)
    assert answered, "no line asks for this question"
