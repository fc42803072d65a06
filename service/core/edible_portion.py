"""From a weight as bought to the edible portion.

    edible = as purchased x (1 - refuse)                                   INFOODS: EDIBLE % = 100 - REFUSE %

Household measures are edible portion already, so this applies to a stated weight only, and only where the line says
that the weight is as bought ("bone-in", "in shell") or that something is taken off it ("peeled", "trimmed"). A cook's
paring takes less off than a publisher's refuse, which counts the whole peel as analysed; both ends are kept.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from service.core.food import FoodEntry
from service.core.measure import size_gap
from service.core.noun_phrase import HEATED

TRIMMED = frozenset({
    "peeled", "trimmed", "cored", "hulled", "stemmed", "destemmed", "seeded", "deseeded", "pitted", "stoned", "husked",
    "dehusked", "shelled", "shucked", "topped", "tailed", "pared", "skinned", "deribbed", "podded", "unpeeled",
})
# What taking a cover or a core off is called: "skin and stones removed" of a mango is peeled and pitted.
_TAKEN_OFF = {
    "skin": "peeled", "skins": "peeled", "peel": "peeled", "rind": "peeled", "stone": "pitted", "stones": "pitted",
    "pit": "pitted", "pits": "pitted", "core": "cored", "cores": "cored", "husk": "husked", "husks": "husked",
    "stem": "stemmed", "stems": "stemmed", "stalk": "stemmed", "stalks": "stemmed", "rib": "stemmed", "ribs": "stemmed",
    "end": "trimmed", "ends": "trimmed", "leaf": "trimmed", "leaves": "trimmed", "top": "trimmed", "tops": "trimmed",
    "root": "trimmed", "roots": "trimmed", "frond": "trimmed", "fronds": "trimmed", "seed": "seeded", "seeds": "seeded",
}
_GONE = frozenset({"removed", "remove", "discarded", "discard", "off", "out", "away", "stripped"})
# What is cut into these is trimmed for it, unless it is sold so.
_FLORETS = frozenset({"floret", "florets", "floweret", "flowerets"})
# The word of tables/trimming.csv for what is left of a leek without its green.
_WHITE_PART = "white part"
# What is weighed so was trimmed before.
_PREPARED = TRIMMED - {"unpeeled"} | {"boned", "prepared"}
_WEIGHED = frozenset({"weight", "weighed"})
# What a weight is called that holds nothing but what is eaten.
_NET = frozenset({
    "net", "net weight", "flesh", "flesh only", "edible", "edible portion", "grated weight", "shredded weight",
    "mashed weight",
})  # fmt: skip
_PREPARED_WEIGHTS = frozenset(f"{word} weight" for word in _PREPARED)  # as core/part says it of "120 g peeled banana"
# What was trimmed of its fat or its skin may have its bones still.
_BONES_LEFT = frozenset({"trimmed weight", "skinned weight"})
# Cuts that are smoked on their bones.
_SMOKED = frozenset({"smoked"})
_ON_THE_BONE = frozenset("hock hocks knuckle knuckles leg legs wing wings neck necks drumstick drumsticks".split())
# Foods in these states were trimmed before they were sold.
_READY = frozenset({"canned", "frozen", "dried", "cooked", "pickled", "bottled", "candied", "smoked", "roasted"})
# Kitchen paring takes about half of what the publisher counts as refuse of a root or fruit.
PARING = 0.5


@dataclass(frozen=True, slots=True)
class KindRow:
    """One row of a table that gives a figure for a kind of food.

    words    all of them are words of the food's description or of the line's phrase; none: any food
    without  none of them is
    said     any of them is said in the line; none: whatever it says
    """

    measure: str
    words: frozenset[str]
    value: float
    low: float
    high: float
    source: str
    without: frozenset[str] = frozenset()
    said: frozenset[str] = frozenset()
    size: str = ""
    unit: str = "g"
    use: str = ""


class KindTable:
    """Rows of a table by measure and word: the one with most words, then of the size nearest, then the first, wins."""

    def __init__(self, rows: Iterable[KindRow] = ()) -> None:
        self._rows: dict[str, dict[str, list[tuple[int, KindRow]]]] = {}  # by measure, then by a word of the row
        self.rows = tuple(rows)
        for order, row in enumerate(self.rows):
            key = max(row.words, key=lambda word: (len(word), word), default="")
            self._rows.setdefault(row.measure, {}).setdefault(key, []).append((-order, row))

    def find(
        self,
        measure: str,
        words: frozenset[str],
        *,
        said: frozenset[str] = frozenset(),
        size: str = "",
        any_food: bool = True,
    ) -> KindRow | None:
        """The row that fits best, or None; without `any_food` a row must name the food."""
        rows = self._rows.get(measure)
        if rows is None:
            return None
        best: KindRow | None = None
        best_rank: tuple[int, bool, int, int] | None = None
        keys = rows.keys() & words  # most words have no row
        for key in (*keys, "") if any_food else keys:
            for order, row in rows.get(key, ()):
                fits = row.words <= words and row.without.isdisjoint(words)
                if fits and not (row.said and row.said.isdisjoint(said)):
                    rank = (len(row.words), bool(row.said), -size_gap(row.size, size), order)
                    if best_rank is None or rank > best_rank:
                        best, best_rank = row, rank
        return best


@dataclass(frozen=True, slots=True)
class EdibleShare:
    """The edible share of a weight as bought, 0 to 1, with bounds and why."""

    value: float
    low: float
    high: float
    basis: str


@dataclass(frozen=True, slots=True)
class EdibleTables:
    """Losses of weights as bought, as a share: `refuse` of bones, shells and peels, `trimming` pared in the kitchen."""

    refuse: KindTable
    trimming: KindTable


def weighed_prepared(said: frozenset[str]) -> bool:
    """Whether a line says that its weight is of what was trimmed already: "300 g taro, peeled weight"."""
    if not said.isdisjoint(_PREPARED_WEIGHTS) or not said.isdisjoint(_NET):
        return True
    return not said.isdisjoint(_WEIGHED) and not said.isdisjoint(_PREPARED)


def edible_share(
    food: FoodEntry,
    kin: frozenset[str],
    *,
    said: frozenset[str],
    states: frozenset[str],
    as_purchased: bool,
    tables: EdibleTables,
) -> EdibleShare | None:
    """The edible share of a stated weight of `food`, or None where the weight is edible as stated.

    `kin` are the words that name the food, `said` all words of the line's part.
    """
    said = said | _joints(said)
    prepared = weighed_prepared(said)
    boned = (as_purchased or "whole" in said) and states - _COLD <= HEATED
    boned = boned or (not said.isdisjoint(_ON_THE_BONE) and states - _COLD <= _SMOKED)
    ready = states & _READY and not boned and ("canned" in states or not in_its_cover(said))
    if (prepared and said.isdisjoint(_BONES_LEFT)) or ready:
        return None
    told = kin - {"boneless"} if as_purchased or "split" in said else kin  # an entry has no bones that a line has
    if row := tables.refuse.find("", told | _boned(said), said=said, any_food=False):
        return _own_refuse(food, row, said) or _share(row, "refuse of a weight as bought")
    if prepared:
        return None
    if "unpeeled" in said and "skin" in kin:
        return None  # "500 g unpeeled potatoes": the skin is eaten
    in_its_rind = not said.isdisjoint(_IN_ITS_RIND) and _has_a_rind(food) and said.isdisjoint(_FLESH)
    if as_purchased or in_its_rind:
        return _by_refuse(food)
    if "unpeeled" in kin and said.isdisjoint(TRIMMED):
        return _by_refuse(food, most=1.0)  # "Nuts, chestnuts, raw, unpeeled"
    if trimmed := _trimmed(said, kin):
        return _pared(food, kin, trimmed, tables)
    return None


def share_if_whole(food: FoodEntry, *, said: frozenset[str], states: frozenset[str]) -> EdibleShare | None:
    """The edible share of a fruit with a rind or stone, if it was weighed whole as it is sold: "1 kg bananas".

    None where the line says that it was weighed cut or without them: "300 g diced mango", "500 g melon flesh".
    """
    if states & _READY or not _has_a_rind(food) or not said.isdisjoint(_FLESH | _CUT_FLESH):
        return None
    cut_before = any(word.endswith(" weight") for word in said)  # as core/part says it of what stands before the name
    return None if cut_before or weighed_prepared(said) else _by_refuse(food)


# Said of a weight beside a count: pieces are weighed as they are bought.
AS_COUNTED = "weighed as counted"
# From this refuse on, percent, whoever weighs a vegetable whole weighs much that nobody eats.
_MUCH_REFUSE = 30
_HARD_RINDS = frozenset({"squash", "pumpkin"})


def share_if_counted(
    food: FoodEntry, kin: frozenset[str], *, said: frozenset[str], states: frozenset[str], tables: EdibleTables
) -> EdibleShare | None:
    """The edible share of a vegetable that is counted and weighed at once: "1 cauliflower (800 g)".

    Of one with little refuse the weight stands as it is stated, and the bounds hold what paring leaves.
    """
    refuse = food.refuse_percent / 100
    grown = "vegetable" in food.group_name.lower()
    if AS_COUNTED not in said or not grown or refuse <= 0 or states & _READY or weighed_prepared(said):
        return None
    if food.refuse_percent < _MUCH_REFUSE and kin.isdisjoint(_HARD_RINDS):
        return EdibleShare(1.0, 1 - refuse, 1.0, "")
    row = tables.trimming.find("", kin, said=frozenset({"trimmed"}), any_food=False)
    loss = min(row.value, refuse) if row is not None and row.value > 0 else refuse
    return EdibleShare(1 - loss, 1 - refuse, 1.0, f"refuse {loss:.0%} of the weight as bought")


_JOINTED = frozenset({"thigh", "drumstick", "wing"})
_NO_BONES = frozenset(
    "boneless boned deboned fillet fillets ground minced mince shredded stew stewing skinless meat cubed cubes diced "
    "dice stir trimmed sliced rolled butterflied".split()
)
# Bones of the chicken parts that are sold with them and without: SR28 refuse of thighs 05691 32 %, wings 05100 38 %.
_JOINT_BONES = 0.32


def least_share(food: FoodEntry, kin: frozenset[str], *, said: frozenset[str], states: frozenset[str]) -> float:
    """The least of a stated weight of meat that is eaten, where it may have been weighed with its bones."""
    boneless = not said.isdisjoint(_NO_BONES) or "boneless" in kin or weighed_prepared(said)
    if boneless or states - _COLD - {"raw"}:
        return 1.0
    if "bone" in food.refuse_text.lower() and "fat" not in food.refuse_text.lower():
        return 1 - food.refuse_percent / 100
    jointed = "chicken" in kin and "raw" in kin and not kin.isdisjoint(_JOINTED)
    return 1 - _JOINT_BONES if jointed else 1.0


# What a food is called that is in its shell, pod or hull, and words before them that say so.
_IN_COVERS = frozenset("shell shells pod pods hull hulls husk husks".split())
_UNCOVERED = frozenset({"unshelled", "unhulled", "unpodded"})
_WITHIN = frozenset({"in", "with", "their", "on"})


def in_its_cover(said: frozenset[str]) -> bool:
    """Whether a line says that a food is in its shell or pod; "pasta shells" and "shell beans" are in none."""
    return not said.isdisjoint(_UNCOVERED) or not (said.isdisjoint(_IN_COVERS) or said.isdisjoint(_WITHIN))


# A frozen bird has its bones as a fresh one has.
_COLD = frozenset({"frozen"})
# "Chicken pieces" are joints with their bones; a bird cut into pieces by the cook may have none.
_JOINTS = frozenset({"part", "parts", "frying", "fryer", "fryers"})
_CUT = frozenset("cut bite diced cubed chopped sliced skinless shredded stir fry".split())


def _joints(said: frozenset[str]) -> frozenset[str]:
    """The word of tables/refuse.csv for meat that is sold cut up with its bones: "chicken pieces", "goat, cut up"."""
    cut_up = {"cut", "up"} <= said or (not said.isdisjoint({"piece", "pieces"}) and said.isdisjoint(_CUT))
    return frozenset({"in joints"}) if cut_up or not said.isdisjoint(_JOINTS) else frozenset()


def _trimmed(said: frozenset[str], kin: frozenset[str]) -> frozenset[str]:
    """What is pared off as the line says, by one word or by more: "cored", "cores removed", "cut into florets"."""
    trimmed = said & TRIMMED - {"unpeeled"}
    if not said.isdisjoint(_GONE):
        trimmed = trimmed.union([_TAKEN_OFF[word] for word in said & _TAKEN_OFF.keys()])
    if not said.isdisjoint(_FLORETS) and kin.isdisjoint(_FLORETS) and not said.isdisjoint({"in", "into"}):
        trimmed |= {"trimmed"}
    return trimmed | {_WHITE_PART} if "white" in said and not said.isdisjoint({"part", "parts"}) else trimmed


_STEMS_OFF = frozenset({"stemmed", "destemmed", "deribbed"})


def share_without_stems(kin: frozenset[str], *, said: frozenset[str], tables: EdibleTables) -> EdibleShare | None:
    """What is left of a bunch of greens whose stems the line takes off; a bunch of herbs is weighed by its leaves."""
    if _trimmed(said, kin).isdisjoint(_STEMS_OFF):
        return None
    row = tables.trimming.find("", kin, said=_STEMS_OFF, any_food=False)
    return _share(row, "paring loss") if row and "picked" not in row.said else None


# What says that only the white or the green of an onion is taken, and how an entry says what it is of.
_WHITE_ONLY = re.compile(r"white parts?( only)?$")
_GREEN_ONLY = re.compile(r"((light|pale|dark) )?green parts?( only)?$")
_OF_BOTH, OF_WHITE = "(includes tops and bulb)", "(bulb and lower leaf-portion)"
_PART_WORDS = frozenset({"part", "parts", "only"})


def colour_asked(tokens: Collection[str], head: str, said: frozenset[str]) -> str:
    """Which of the white and the green of an onion or leek a line takes alone, "" where it takes both or says nothing.

    `tokens` are the words of the phrase, `head` the last of them: "2 green onions" are whole, "2 green onions, white
    part only" are not.
    """
    greens = head == "green"
    own = said if greens or "onion" not in tokens else said - {"green"}
    named = "onion" in tokens and "green" in tokens  # whose "white and green parts" nobody tells from the white
    told = greens or not (named or said.isdisjoint(_PART_WORDS))
    white = (told and "white" in own) or any(map(_WHITE_ONLY.match, said))
    green = (told and not own.isdisjoint({"green", "greens"})) or any(map(_GREEN_ONLY.match, said))
    return "" if white is green else "white" if white else "green"


def share_of_colour(
    food: FoodEntry, kin: frozenset[str], tokens: frozenset[str], head: str, said: frozenset[str], tables: EdibleTables
) -> EdibleShare | None:
    """What is left of pieces that are weighed with their tops, where only the white or the green is taken.

    The rows of tables/trimming.csv say "white part" and "green part".
    """
    asked = colour_asked(tokens, head, said) if _OF_BOTH in food.description else ""
    row = tables.trimming.find("", kin, said=frozenset({f"{asked} part"}), any_food=False) if asked else None
    return _share(row, "left out") if row is not None else None


# Said of a cut or joint whose bones are out. What is diced has none, unless it was weighed before it was.
_BONED = frozenset({"boneless", "butterflied", "diced", "dice", "cubed", "cube", "strip", "minced"})
_DICED, _WEIGHED_WHOLE = frozenset({"diced", "dice", "cubed", "cube", "minced"}), frozenset({"whole", "bone"})


def _boned(said: frozenset[str]) -> frozenset[str]:
    """The words of a line that tell a cut without bones from one with them."""
    boneless = not said.isdisjoint(_DICED) and said.isdisjoint(_WEIGHED_WHOLE)
    return said & _BONED | ({"boneless"} if boneless else set())


# Said of a fruit that is weighed as it was bought.
_IN_ITS_RIND = frozenset({"whole", "skin on"})
# What is weighed without its rind and stone, whatever else is said of the fruit.
_FLESH = frozenset({"flesh", "pulp", "segment"})
_CUT_FLESH = frozenset(
    "chunk chunks cube cubes ball balls slice slices piece pieces seed seeds aril arils kernel kernels mashed pureed "
    "puree juice wedge wedges ring rings spear spears prepared stoneless without".split()
)
# From this refuse on, percent, a fruit is eaten without its rind, shell or stone: mango 29, papaya 38, melon 49. So is
# a vegetable whose refuse the publisher calls a rind: spaghetti squash 29.
_RIND = 20


def _has_a_rind(food: FoodEntry) -> bool:
    fruit = "fruit" in food.group_name.lower() or "rind" in food.refuse_text.lower()
    return fruit and food.refuse_percent >= _RIND


def _share(row: KindRow, what: str) -> EdibleShare | None:
    if row.value <= 0:
        return None
    return EdibleShare(1 - row.value, 1 - row.high, 1 - row.low, f"{what} {row.value:.0%} ({row.source})")


# What a line says of a food as bought, and how a publisher names it as refuse.
_NAMED_REFUSE = {"bone": ("bone",), "shell": ("shell", "hull"), "shells": ("shell", "hull")}
_NAMED_REFUSE |= {"unshelled": ("shell", "hull", "pod"), "pod": ("pod",), "pods": ("pod",), "hulls": ("hull",)}
# A publisher's refuse that exceeds that of its kind so far counts more than the line says, or something twice.
_BEYOND_ITS_KIND = 1.5


def _own_refuse(food: FoodEntry, row: KindRow, said: frozenset[str]) -> EdibleShare | None:
    """The food's own refuse in place of that of its kind, where it is of what the line names alone: bones, a shell."""
    text = food.refuse_text.lower()
    named = any(word in text for key in said & row.said & _NAMED_REFUSE.keys() for word in _NAMED_REFUSE[key])
    if not named or "fat" in text or food.refuse_percent / 100 > row.high * _BEYOND_ITS_KIND:
        return None
    return _by_refuse(food)


def _by_refuse(food: FoodEntry, *, most: float | None = None) -> EdibleShare | None:
    refuse = food.refuse_percent / 100
    if refuse <= 0:
        return None
    low, high = 1 - min(1.0, refuse * 1.2), most or 1 - refuse * 0.7
    return EdibleShare(1 - refuse, low, high, f"refuse {refuse:.0%} of the weight as bought")


def _no_more_than_refuse(row: KindRow, food: FoodEntry) -> KindRow:
    """Kitchens pare no more than the publisher does: a row for several foods is cut to this food's own refuse.

    Not where the least that the row takes off is more: the publisher leaves the stems of chard on.
    """
    refuse = food.refuse_percent / 100
    if not row.low <= refuse < row.value or refuse <= 0:
        return row
    return replace(row, value=refuse, source=f"{row.source}; of this food {refuse:.0%}")


# Words of a refuse that is of stems and of nothing else: "Stems", "Stem ends, tough stems and tough midrib parts".
_OF_STEMS = frozenset("stem stems stalk stalks midrib midribs tough ends part parts of and".split())


def _is_of_stems(food: FoodEntry) -> bool:
    words = set(re.findall(r"[a-z]+", food.refuse_text.lower()))
    return bool(words) and words <= _OF_STEMS


_STONED = frozenset({"pitted", "stoned", "seeded", "deseeded"})


def _pared(food: FoodEntry, kin: frozenset[str], trimmed: frozenset[str], tables: EdibleTables) -> EdibleShare | None:
    """What paring leaves: by the table of losses, else half of the publisher's refuse of a fruit or vegetable.

    A fruit in a rind is weighed whole where nothing is said of it: one that is peeled leaves no more of it than that.
    """
    stoned = "peeled" in trimmed and not trimmed.isdisjoint(_STONED)
    row = tables.trimming.find("", kin, said=trimmed, any_food=False)
    if _has_a_rind(food) and (stoned or row is None or 0 < row.value < food.refuse_percent / 100):
        whole = _by_refuse(food)
        low = 1 - row.low if row is not None and whole is not None else 0.0
        return replace(whole, high=max(whole.high, low)) if whole is not None else None
    if row is not None:
        own = _by_refuse(food) if not trimmed.isdisjoint(_STEMS_OFF) and _is_of_stems(food) else None
        if own is not None and 1 - own.value > row.value:
            return own
        return _share(_no_more_than_refuse(row, food), "paring loss")
    grown = food.group_name.lower()
    refuse = food.refuse_percent / 100
    if refuse <= 0 or not ("fruit" in grown or "vegetable" in grown):
        return None
    loss = refuse * PARING
    return EdibleShare(1 - loss, 1 - refuse, 1.0, f"paring loss {loss:.0%}, half of the refuse of {refuse:.0%}")
