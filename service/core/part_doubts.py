"""Why a line that takes a part of wholes leaves open how much there is of it, or counts less or more than it takes."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise, takewhile

from service.core.amount import WEIGHABLE
from service.core.clause import TAKEN
from service.core.line_item import Items, is_number, text_of
from service.core.noun_phrase import CITRUS, Lexicon
from service.core.part import Part
from service.core.vocabulary import Token
from service.core.wholes import OTHERS

# What is taken of a whole, and of it what is much less than the whole also where pieces are counted.
_TAKEN_OF = frozenset("juice zest meat cream flesh kernel pulp fat drippings grease skin peel".split())
_LITTLE_OF = frozenset(
    "fat drippings grease skin peel shell breast wing thigh leg rind stem stalk head tail top bottom core bone root "
    "stone pit husk trimming".split()
)
# "Solid part of 1 can"; the white and the green of an onion are asked for in `name_doubts`.
_PARTS, _COLOURS = frozenset({"part", "portion"}), frozenset({"white", "green"})
_COLOURED = _PARTS | {"top"}
_SOURCES = frozenset({"of", "from"})
_MEASURED_WHOLE = WEIGHABLE | {"package"}
_FAR = 8


def doubt_of_taken(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """Why an amount is of the whole that something is taken of, "skin of 1 chicken", or of some of what is taken."""
    if not parts:
        return ""
    if any(part.taken for part in parts):
        return _other_part(items, parts)
    part = _asked_of(items, parts, lexicon)
    return f"the amount is of the whole, and not of '{part}' alone" if part else ""


def _asked_of(items: Items, parts: Sequence[Part], lexicon: Lexicon) -> str:
    """What is taken of the whole that an amount is of: "juice of 1 kg lemons", "cream from the top of 2 cans"."""
    number = next((at for at, item in enumerate(items[: _FAR + 2]) if is_number(item)), 0)
    ahead = [item for item in items[:number] if isinstance(item, Token)]
    while ahead and ahead[-1].kind in ("filler", "approximate"):
        ahead.pop()
    if len(ahead) < 2 or ahead[-1].text not in _SOURCES or any(token.kind == "mark" for token in ahead):
        return ""
    heads = [one for one, source in pairwise(ahead) if source.text in _SOURCES]
    measured = any(lexicon.measured_by(part.amount) in _MEASURED_WHOLE for part in parts[:1] if part.amount is not None)
    citrus = any(isinstance(item, Token) and item.key in CITRUS for item in items)  # "skin of 1 orange" has its yield
    asked = (_LITTLE_OF if not citrus else frozenset[str]()) | (_TAKEN_OF if measured else frozenset())
    asked |= _PARTS
    if any(token.key in _COLOURS for token in ahead):
        asked -= _COLOURED
    return next((head.text for head in heads if _of_preparation(ahead, head) in asked), "")


def _of_preparation(ahead: Sequence[Token], head: Token) -> str:
    """The noun of a head; of "meat picked from" it stands before what is done."""
    if head.kind != "preparation":
        return head.key or head.value
    nouns = [token for token in takewhile(lambda token: token is not head, ahead) if token.kind in ("word", "measure")]
    return nouns[-1].key or nouns[-1].value if nouns else ""


# What says that the fruits of which juice or zest is counted are used otherwise too.


def _other_part(items: Items, parts: Sequence[Part]) -> str:
    """Zest or juice that no part counts beside the other, or a share of the fruits that is used otherwise."""
    tokens = [token for item in items for token in (item if isinstance(item, tuple) else (item,))]
    texts = [text_of(token) for token in tokens]
    said = {TAKEN[text] for text in texts if text in TAKEN}
    counted = {part.taken for part in parts if part.taken} | {
        TAKEN[word] for part in parts for phrase in part.phrases[:1] for word in phrase.tokens if word in TAKEN
    }
    if lacking := said - counted:
        return f"the line also takes the {min(lacking)}, of which nothing is counted"
    if len(parts) > 1:
        return ""
    if counted == {"zest"} and not _FLESH.isdisjoint(texts):
        return "the line also takes the flesh, of which nothing is counted"
    shares = sum(text in _HALVES for text in texts)
    if not OTHERS.isdisjoint(texts) or shares > 1:
        return "the line says what becomes of some and of others, which was not read"
    return ""


_FLESH = frozenset("flesh segment segments segmented pulp".split())
_HALVES = frozenset({"half", "1/2"})
