"""Plain text to compare by: case, accents, dashes, vulgar fractions, HTML entities, bullets, plural endings.

Everything that compares words, on the line's side and on the publisher's, goes through `fold` and `singular`.
"""

from __future__ import annotations

import html
import re
import unicodedata
from functools import lru_cache

# Begins a word that stands in a line for a name of the kitchen while the line is read: no word of any table does.
STAND_IN = "qq"
# Letters that Unicode does not decompose into a base letter and an accent.
_LETTERS = str.maketrans({"ø": "o", "Ø": "o", "ł": "l", "Ł": "l", "ß": "ss", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe",
                          "đ": "d", "Đ": "d", "ı": "i", "ð": "d", "þ": "th"})
_DASHES = str.maketrans(dict.fromkeys("‐‑‒–—―−﹘﹣－", "-"))
_QUOTES = str.maketrans({"’": "'", "‘": "'", "`": "'", "´": "'", "“": '"', "”": '"', "″": '"', "′": "'", "×": "x",
                         "✕": "x", "⁄": "/", "∕": "/", "÷": "/", "…": ".", "，": ",", "、": ",", "\u00ad": None})
# Cyrillic and Greek letters that look like Latin ones, from other keyboards: "\u0441rab" for "crab".
_LOOKALIKES = str.maketrans("\u0430\u0441\u0435\u043e\u0440\u0445\u0443\u0456\u0458\u0455\u03bf\u03b1", "aceopxyijsoa")
_BULLET = re.compile(r"\s*(?:[-*+•◦‣▪▢☐☑✓✔●○■□·>~–—]+\s*|\[[ xX]?\]\s*|\(\s?\)\s+)+(?=\S)")


def _fractions(text: str) -> str:
    """Vulgar fractions spelled with a slash, set off from a whole number before them: "1½" -> "1 1/2"."""
    out: list[str] = []
    for char in text:
        if not char.isascii() and unicodedata.decomposition(char).startswith("<fraction>"):
            spelled = unicodedata.normalize("NFKD", char).replace("⁄", "/")
            out.append(f" {spelled} " if out and out[-1][-1:].isdigit() else f"{spelled} ")
        else:
            out.append(char)
    return "".join(out)


def fold(text: str) -> str:
    """Lower-case text without accents, with plain dashes, quotes and fractions, and single spaces."""
    if text.isascii():
        plain = html.unescape(text) if "&" in text else text
        if plain.isascii():
            return " ".join(plain.lower().split())
        text = plain
    text = _fractions(html.unescape(text)).lower().translate(_LETTERS).translate(_DASHES).translate(_QUOTES)
    decomposed = unicodedata.normalize("NFKD", text)
    bare = "".join(char for char in decomposed if not unicodedata.combining(char)).translate(_QUOTES)
    return " ".join(map(_in_latin, bare.lower().split()))


def _in_latin(word: str) -> str:
    """A word of Latin letters with lookalikes of other scripts among them put right; other words as they are."""
    if word.isascii() or not any(char.isascii() and char.isalpha() for char in word):
        return word
    return word.translate(_LOOKALIKES)


def without_bullet(text: str) -> str:
    """The line without list marks ("- ", "* ", "[ ] ", "• ") before its first word."""
    found = _BULLET.match(text)
    return text[found.end() :] if found else text


# Words that end in s and are no plurals, or whose singular the rules below would get wrong.
_KEPT = frozenset(
    """
    asparagus couscous hummus houmous molasses swiss brussels citrus hibiscus octopus cos grits bass watercress
    cress lass schnapps gas glass less boneless skinless seedless meatless sugarless whitefish kombucha anise
    haggis pancreas as is this its us plus thus various celeriac asafoetida kudos ibis chess dress press mess
    gross tres las los des bigas beras gatas
    """.split()
)
_IRREGULAR = {
    "leaves": "leaf", "loaves": "loaf", "halves": "half", "calves": "calf", "knives": "knife", "geese": "goose",
    "potatoes": "potato", "tomatoes": "tomato", "mangoes": "mango", "radishes": "radish", "children": "child",
    "feet": "foot", "teeth": "tooth", "anchovies": "anchovy", "cookies": "cookie", "brownies": "brownie", "pies":
    "pie", "smoothies": "smoothie", "veggies": "veggie", "calories": "calorie", "chillies": "chili", "chilies":
    "chili", "chiles": "chili", "chilli": "chili", "chile": "chili", "chilis": "chili", "chillis": "chili",
    "yoghurt": "yogurt", "yoghurts": "yogurt", "olives": "olive", "chives": "chive", "cloves": "clove", "endives":
    "endive", "sieves": "sieve", "gizzards": "gizzard", "beeves": "beef", "slices": "slice", "quiches": "quiche",
    "haloumi": "halloumi", "emmenthal": "emmental",
    "avocadoes": "avocado", "shoes": "shoe", "ganaches": "ganache", "brioches": "brioche", "calamares": "calamari",
    "zucchinis": "zucchini",
    **{
        f"{word}s": word
        for word in (
            "biccie", "bikkie", "boerie", "capercaillie", "crappie", "crispie", "drummie", "haddie", "hoagie",
            "krispie", "mealie", "mielie", "naartjie", "papadie", "perogie", "pierogie", "queenie", "rissie", "silkie",
            "smokie", "stottie", "tattie", "weenie", "yabbie",
        )
    },
}  # fmt: skip


@lru_cache(maxsize=65536)
def singular(word: str) -> str:
    """The singular that stands for a word and its plural; a word that the rules do not know stays as it is."""
    if word in _IRREGULAR:
        return _IRREGULAR[word]
    if len(word) < 4 or not word.endswith("s") or word in _KEPT or word.endswith(("ss", "us", "is")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "sses", "xes", "zes")):
        return word[:-2]
    if word.endswith("oes"):
        return word[:-2]
    return word[:-1]


# What begins as a vowel is spoken; "unit" and "uk pint" begin as "you" does.
_VOWEL = re.compile(r"[aeio]|u(?!ni|[ks]\b)", re.IGNORECASE)


def with_article(noun: str) -> str:
    """ "a cup", "an egg sized knob"."""
    return f"an {noun}" if _VOWEL.match(noun) else f"a {noun}"


FORMULA_MARKS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def safe_cell(text: str) -> str:
    """Text of a CSV cell that no spreadsheet takes for a formula."""
    risky = text.lstrip().startswith(FORMULA_MARKS) or text.startswith(("\t", "\r", "\n"))
    return f"'{text}" if risky else text


def text_of_cell(cell: str) -> str:
    """The text that `safe_cell` made a cell of."""
    return cell[1:] if cell.startswith("'") and safe_cell(cell[1:]) == cell else cell
