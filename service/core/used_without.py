"""What a food is used without, said as a step or a sentence, put as trimming is read: "skins removed", "oil discarded".

    gone  = ( "remove" | "omit" | "do not use" | ... ) [ "the" | "any" ] parts
          | parts [ "is" | "are" ] ( "not" wanted | "unused" | "discarded" | "poured off" | "strained" | ... )
    parts = part [ "and" part ]             a cover or core, the liquid of a tin, a part of an egg

It stands behind a mark or in a bracket, "4 chicken thighs (remove the skin)": elsewhere it is a step of the method.
"""

from __future__ import annotations

import re
from collections.abc import Callable

_COVERS = "skin|bone|shell|stem|stalk|seed|rind|peel|pith|core|husk|fat"
_LIQUIDS = "water|liquid|syrup|brine|juice|oil"
_PART = rf"(?:{_COVERS}|{_LIQUIDS}|yolk|white)s?"
_BOTH = rf"(?P<parts>{_PART}(?: and (?:the )?{_PART})?)(?:y part)?"
_PARTS = rf"(?:the |its |their |any )?(?:of the )?(?:thin )?(?:egg )?{_BOTH}"
_LEFT = r"(?: behind)?(?: in the (?:can|tin|jar))?"
_OPENED = r"(?:(?<=[,;-] )|(?<=\())"
_ENDS = r"(?=\s*(?:$|[),.;]))"
_LEAVING = re.compile(
    rf"{_OPENED}(?:omit(?:ting)?|remov(?:e|ing)|discard(?:ing)?|skip(?:ping)?|leav(?:e|ing)(?: out| off)?"
    r"|(?:throw|pour|tip)(?:ing)? (?:away|out|off)|get(?:ting)? rid of|(?:do not|don't|not) us(?:e|ing)) "
    rf"{_PARTS}{_LEFT}{_ENDS}"
)
_AWAY = re.compile(
    rf"{_OPENED}{_PARTS} (?:is |are |was |were )?"
    r"(?:not (?:needed|used|required|wanted)|unused|discarded|binned"
    r"|(?:thrown|poured|strained|drained|tipped|cut|pulled|peeled)(?: off| away| out)?)\b"
)


def _gone(found: re.Match[str]) -> str:
    parts = found["parts"]
    if parts.startswith("juice") or (parts in _PACKED_IN and _TINNED.search(found.string)):
        return "drained"  # it is none of what is squeezed: "1 can tomatoes, juice not needed"
    return f"{parts} {'removed' if re.match(_COVERS, parts) else 'discarded'}"


# What tins are filled up with, and the tins; of coconut milk the water is poured off, which leaves no solids.
_PACKED_IN, _TINNED = frozenset({"liquid", "syrup", "brine", "oil"}), re.compile(r"\b(?:can|tin|jar)s?\b")
_LEAVING_SIGNS = ("omit", "remov", "discard", "skip", "leav", "throw", "pour", "tip", "rid of", "not us", "n't us")
_AWAY_SIGNS = ("not ", "unused", "binned", "discarded", "poured", "strained", "drained", "tipped", " away", " off")
# A sign without which a rule cannot apply, its pattern, and what takes the place of what it finds.
RULES: tuple[tuple[str, re.Pattern[str], Callable[[re.Match[str]], str]], ...] = (
    *((sign, _LEAVING, _gone) for sign in _LEAVING_SIGNS),
    *((sign, _AWAY, _gone) for sign in _AWAY_SIGNS),
)
