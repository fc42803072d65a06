"""A line's text as the grammar reads it: what writers and scanners write in other ways is put into one.

    links keep their text and lose their address; case is folded once "2 T" and "2 t", "2 L eggs" are told apart;
    figures get the spaces, signs and dots that they lack or have too many of

A rule stands in a table with a sign without which it cannot apply, where there is one: most lines have few of them.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Sequence

from service.core.text import fold, singular, without_bullet
from service.core.used_without import RULES

# A sign, a pattern, and what takes the place of what it finds.
_Rule = tuple[str, re.Pattern[str], str | Callable[[re.Match[str]], str]]


def _closed(found: re.Match[str]) -> str:
    return found[0].replace(" ", "")


def _only(found: re.Match[str]) -> str:
    return f"{found[1] or found[2]}s only"


def _multiplied(found: re.Match[str]) -> str:
    return f"{int(found[1]) * int(found[2])} x "


def _cloves(found: re.Match[str]) -> str:
    return found[0].replace("glove", "clove")


_EGG_SIZES = {"XL": "extra large", "L": "large", "M": "medium", "S": "small"}
# What only a figure stands before, though scanned as a letter.
_COUNTED = r"(?:cups?|c\.|tsp|tbsp|teaspoon|tablespoon|lb|oz|pound|ounce|pkg|can|egg)\b"
# "gr." of recipe cards, which is no gram, behind no figure.
_CARD = r"(?<!\d )(?<!\d)\b"
_GROUND = (
    "beef|pork|turkey|lamb|meat|round|chuck|sirloin|veal|chicken|ham|venison|cinnamon|nutmeg|cloves|ginger|mustard|"
    "allspice|mace|cumin|coriander"
)
_TAGS = "b|i|u|em|strong|span|div|p|br|li|ul|ol|a|img|font|td|tr"
# So many characters around are looked at, not the whole line each time.
_NEAR = 60
_FEW = re.compile(r"(?:^|\D)[1-4]$")
_CUT = re.compile(r"\b(?:cups?|c\b|chop|dice|slice|mince|strip|seed|large|lg|med|small|sm)")


def _pepper(found: re.Match[str]) -> str:
    """ "gr. pepper" is green where it is cut up or filled into cups, else ground; behind a figure it may be grams."""
    before = found.string[max(found.start() - _NEAR, 0) : found.start()].rstrip()
    cut = _CUT.search(before) or _CUT.search(found.string[found.end() : found.end() + _NEAR])
    if before[-1:].isdigit():
        return "green " if cut and _FEW.search(before) else found[0]
    return "green " if cut else "ground "


def _framed(found: re.Match[str]) -> str:
    """ "— Beans & greens —": a heading; not one line among dashes, "— 200 g rice —"."""
    inside = found[1].strip()
    plain = inside and not any(sign.isnumeric() or sign in "—–" for sign in inside)
    return f"== {inside} ==" if plain else found[0]


def _with_size(found: re.Match[str]) -> str:
    """ "3 eggs (L)": a size, and no litre."""
    return f"{found[1].rstrip()}, {_EGG_SIZES[found[2]]}"


def _bare(found: re.Match[str]) -> str:
    """ "Weighed once skin and bones are off": what the food was already without."""
    flesh = _FLESHY.search(found.string)
    bare = [f", {_FREE_OF[part]}" for part in found.groups() if part and (flesh or part == "shell")]
    return "".join(bare) or found[0]


# Whose skin and bones may be taken off; a fruit without its skin is peeled.
_FLESHY = re.compile(
    r"\b(?:chicken|turkey|duck|goose|thigh|breast|leg|wing|drumstick|fish|salmon|trout|fillet|pork|lamb)"
)
_FREE_OF = {"skin": "skinless", "bone": "boneless", "shell": "shelled"}


def _middle(found: re.Match[str]) -> str:
    middle = (float(found[1]) + float(found[2])) / 2
    return f"{int(middle + 0.5) if middle >= _WHOLE_SHARES else middle:g}%"


# From this share on no table tells halves of a percent apart.
_WHOLE_SHARES = 5
# What is made of eggs and measured by the litre.
_NOT_POURED = r"(?! ?(?:white|yolk|nog|substitute|mix|liquid|replacer))"
# What inches are said of, where "in" stands apart: "2 in piece", "9 in pastry case".
_HAS_LENGTH = (
    r"(?:thick |long )?(?:pieces?|sticks?|knobs?|cubes?|slices?|strips?|chunks?|lengths?|batons?|squares?|rounds?"
    r"|pie|pastry|flan|tart|tortillas?|pizza|cake|tin|pan|wide|across|diameter)\b"
)
_INCHES = re.compile(r"(?<=[\d½¼¾⅓⅔⅛])(?:[ -]?in\.|[\"”″]|''|’’|′′)(?=[ -]?\w)", re.I)
# Signs before words that the same signs end are no bullet: "--- Rice ---", "++ Rice ++".
_FRAME = re.compile(r"^\s*([-+~])\1(?=.*\1\1\s*$)")
_DASHED = re.compile(r"^\s*[—–](.*)[—–]\s*$")
# While case tells something.
_WRITTEN: tuple[_Rule, ...] = (
    ("](", re.compile(r"!?\[([^\[\]]{1,200})\]\([^()\s]{0,300}\)"), r"\1"),
    ("~~", re.compile(r"~~[^~]{1,40}~~\s*(?=\S)"), ""),  # struck out
    *((sign, _FRAME, "== ") for sign in ("--", "++", "~~")),
    *((sign, _DASHED, _framed) for sign in "—–"),
    ("**", re.compile(r"\*\*+"), " "),
    ("<", re.compile(rf"</?(?:{_TAGS})(?:\s[^<>]{{0,80}})?/?>", re.I), " "),
    ("://", re.compile(r"https?://\S+"), " "),
    *((sign, re.compile(r"^l(?= |/\d)"), "1") for sign in ("l ", "l/")),  # "l cup sugar"
    ("…", re.compile(r"(?<=\d) ?… ?(?=\d)"), "-"),  # "2…3 eggs"
    ("I", re.compile(rf"^I(?= {_COUNTED})"), "1"),
    ("O", re.compile(r"^O(?=[.,]\d)|(?<=\d)O(?=[\d ])"), "0"),  # "1O oz"
    ("gg", re.compile(rf"(?<=\d )(?:XL|L|M|S)(?= [Ee]ggs?\b{_NOT_POURED})"), lambda found: _EGG_SIZES[found[0]]),
    ("gg", re.compile(r"(?<=gg)(s?\b[^()\d]{0,12}?(?:\d{1,2} ?)?)\((XL|L|M|S)\)"), _with_size),
    ("leo", re.compile(r"\b[óÓ]leo\b(?! (?:de|vegetal)\b)"), "oil"),  # Portuguese; without the accent it is margarine
    # "3 in. piece", '2" knob'; without the dot "in" is a preposition, but for "2in", "9-in pie" and "2 in piece"
    ("in", re.compile(rf"(?<=[\d½¼¾⅓⅔⅛])(?:in\b(?!-)|-in(?= \w)| ?-? ?in(?= {_HAS_LENGTH}))", re.I), " inch"),
    ("in ", re.compile(r"^([\d½¼¾⅓⅔⅛][\d½¼¾⅓⅔⅛ ./-]*) in (?=[a-z])", re.I), r"\1 inch "),  # "3 in daikon"
    *((sign, _INCHES, " inch ") for sign in ('.', '"', '”', '″', "''", '’’', '′′')),
    ("T", re.compile(r"T(?<=[\d½¼¾⅓⅔⅛ ].)(?=\.?(?:\s|[,;:/+()]|$))(?!\s+bone)"), "tbsp"),  # "2 T"
    ("t", re.compile(r"t(?<=[\d½¼¾⅓⅔⅛ ].)(?=\.?(?:\s|[,;:/+()]|$))(?!\s+bone)"), "tsp"),  # "2 t"
)
# The halves of a fraction with a space between them.
_APART = re.compile(r"(?:(?<= )|^)(?:1 ?/ ?(?=[2348]\b)|2 ?/ ?(?=3\b)|3 ?/ ?(?=[48]\b))")
_LEADERS = re.compile(r"(?<![.\s])(?:\s?\.){2,}+\s*+(?=\d)")
# How many shrimp go to a pound, by which they are graded: "prawns (16/20)".
_GRADES = "8/12|10/15|13/15|16/20|21/25|26/30|31/35|31/40|36/40|41/50|51/60|61/70|71/90"
_GRADED = r"[ -]?(?:count|ct)\b|(?= (?:[a-z]+ ){0,3}(?:shrimp|prawn)|[),;]|$)"
# A size with the package that has it: "1 (28-ounce can) tomatoes", "2, 14-oz cans beans".
_COUNT = "|".join(rf"(?<={count} \()" for count in (r"\d", r"\bone", r"\ba", r"\ban", r"\btwo", r"\bthree", r"\bfour"))
_SIZE = r"(\d[\d./ ]{0,6})[ -]?(ounces?|oz|g|grams?|ml|kg|lbs?|pounds?)\.?[ -]"
_PACKS = r"((?:can|tin|jar|package|pkg|packet|bag|box|bottle|carton|tub|container|envelope|pouch)(?:s|es)?)\b\.?"
_WEIGHING_ONE = r"\d[\d.]* ?(?:g|gr|grams?|ml|oz)\.?"
_HOLDS = r"(?:box|(?:multi)?pack|packet|package|bag|tray|carton|tin|can|jar|tub|case|punnet)(?:e?s)?"
# A price before an amount: "£2.50 of feta (200 g)".
_SUM = r"\d+(?:[.,]\d{1,2})?"
_PRICE = re.compile(rf"^(?:[$£€] ?{_SUM}|{_SUM} ?[€£])(?: worth)?(?: of)? (?=.*\d ?(?:g|kg|ml|oz|lb)\b)")
# A number that is put right: "2 not 3 tbsp".
_PUT_RIGHT = re.compile(r"^(\d[\d/. ]*) (?:not|instead of|rather than) \d[\d/. ]* (?=[a-z])")
_JOINTS = ("parts", "joints", "portions")
_BEFORE_DE = "|".join(rf"(?<=\b{unit} )" for unit in "g kg ml cl soupe cafe verre tasse pincee".split())
# "(made with 1 stock cube)", "from a cube", said of stock
_MADE = r"\b(?:(?:made (?:up )?|prepared )(?:from|with|using)|(?<!made )from)"
_SOME = r"(?:an?|one|two|1/2|½|\d)"
_DOTS = re.compile(r"(?<![.\s])\s?\.{3,}+\s*+(?=[a-z])")
# "yolks of 4, whites of 2 eggs"
_PART_OF_EGGS = r"(yolks?|whites?) of (\d+)(?: eggs?)?"
_PARTS_OF_EGGS = re.compile(rf"\b{_PART_OF_EGGS},? (?:and )?(?:the )?{_PART_OF_EGGS}")
_OPENED = r"(?:(?<=[,;-] )|(?<=\())"  # behind a mark, or in a bracket
# "1 piece of ginger, 1 inch long"
_SO_LONG = re.compile(
    r"^(?:1|one|an?) (piece|knob|stick|chunk|length) (?:of )?([a-z][a-z ]{2,30}), (?:about )?"
    r"(\d[\d./]{0,4} ?-?(?:inch(?:es)?|cm)) long\b"
)
# "1 1-inch knob of ginger": one is the article; but "1 9-in pie shell" counts
_ONE_INCH_LONG = re.compile(
    r"\b(?:one|1) (?=(?:\d|one|two|three|half)[ -]inch (?:piece|knob|stick|chunk|length|slice|cube)\b)"
)
_GOOD_PINCH = re.compile(r"\b(?:good|decent|fat|hefty) (?=(?:pinch|handful|splash|squeeze|glug|drizzle)(?:e?s)?\b)")
# "garlic, pounded with a 3 cm piece of ginger": the length is an amount there, and not how it is cut
_WITH_LONG = re.compile(
    r"\bwith (?:an? |1 |one )?(\d[\d./]{0,4}[ -]?(?:inch(?:es)?|cm)) (?:pieces?|knob|stick|chunk|length|thumb) of "
)
# "2 hours ahead: take the butter out"
_TIME_BEFORE = re.compile(
    r"^(?:(?:the )?(?:night|evening)|(?:about |up to )?\d{1,2}(?:-\d{1,2})? (?:day|hour|hr|week|night|minute|min)s?)"
    r" (?:ahead|before|earlier)(?: of (?:time|serving))?(?= ?:)"
)
# Nobody takes the skins off pulses in their liquor: "1 tin chickpeas, skins slipped off"
_SKINNED_PULSE = re.compile(
    r"^(.{0,40}\b(?:tins?|cans?|jars?)\b.{0,40}\b(?:chickpeas?|beans?)\b.{0,20}), (?:the )?skins? "
    r"(?:slipped|rubbed|pinched|popped|squeezed|peeled|taken) off\b"
)
# "100 g flour, plus a little for dusting", "and some for the pan"; but not "2 tbsp butter and a little more oil"
_LITTLE_MORE = re.compile(
    r",? (?:plus|and|&) (?:a (?:little|bit|touch|tad)|some)(?: (?:more|extra))?"
    r"(?=\s*(?:$|[,;)])| (?:for|to) (?!taste\b)[a-z])"
)
# Pulses and cut tomatoes are sold in cartons as in tins, cooked.
_CARTON = re.compile(
    r"\b(?:carton|tetra ?pa[ck]k?)(s?)\b(?=[^,]{0,30}\b"
    r"(?:(?:chopped|plum|diced|crushed|tinned|canned)[a-z ]{0,12} tomato|beans\b|chickpea|lentils\b))"
)
# A bird that is cut into pieces is cut through its bones: "1.2 kg chicken, cut into pieces".
_CUT_UP = re.compile(
    r"((?:\d ?kg\b[^,(]{0,30}|^(?:\d|an?|one|two) (?!cup|tin|can|lb|pound|pack|oz|g\b)(?:[a-z-]+ ){0,2})"
    r"\b(?:chicken|hen|duck|rabbit|goose|fowl)s?, (?:[a-z ]{1,20} (?:and|&) )?)"
    r"cut in(?:to)? (?:\d{1,2} |eight |six |serving |large |even )?(?:pieces|joints|portions)\b"
)
# "2 1/4 tsp (1 packet / 7 g) yeast": the mass says more than the count
_COUNT_AND_MASS = re.compile(
    r"\((?:about )?[\d½¼¾][\d/]* (?!(?:oz|ounces?|lbs?|pounds?|g|kg|ml|l|cups?|fl|tsp|tbsp|pints?|cm|inch)\b)"
    r"[a-z][a-z ]{2,24} ?/ ?((?:about )?\d[\d.]* ?(?:g|gr|grams?)\b\.?)\)"
)
# "200 g mussels, out of the shell" are weighed so; "shelled" alone may be said of what is done then.
_OUT_OF_COVER = re.compile(r"\bout of (?:the |its |their )?(?:shell|pod)s?\b")
_COVER = r"(?:the |their |its )?(skin|bone|shell)s?"
_WEIGHED_BARE = re.compile(
    rf",? weighed (?:(?:without|with no) {_COVER}(?: (?:and|or) {_COVER})?"
    rf"|(?:once|after|when) {_COVER}(?: and {_COVER})? (?:are|is|have been|has been) (?:off|removed|out|gone))"
)
# What the writer drinks: "200 ml wine (+ a glass for the cook)".
_FOR_THE_COOK = re.compile(
    r" ?[,(]? ?(?:\+|&|and|plus)? ?(?:a|an|one|some|more|extra|another)(?: [a-z]+){0,3}"
    r" for the (?:cook|chef|baker)s?\b\)?"
)
_ONLY_OF_EGGS = r"(?:(?:only|just) (?:need )?(?:the )?(yolk|white)s?|(?:the )?(yolk|white)s? (?:part )?only)"
_USING_ONLY = re.compile(rf"\b(?:you |use |using |need |you need |but ){{1,2}}{_ONLY_OF_EGGS}\b")
_USED_ONLY = re.compile(r"\b(?:i|we) only (?:use|need|want) (?:the )?((?:yolk|white)s?)\b")
_BUT_NOT_OF_EGGS = re.compile(r",? (?:but (?:not|without)|not using) (?:the )?((?:yolk|white)s?)\b(?! of)")
_NOT_BUT = re.compile(r"\bnot (?:fresh|frozen|dried|raw|canned|tinned|cooked) but (?=[a-z])")
_HEATING = "boiling|steaming|frying|roasting|wilting|simmering|baking|grilling|cooking"
_AFTER_HEAT = re.compile(rf"\b(?:measured|weighed|weight) after (?:{_HEATING})\b")
# "2 cups rice when cooked"
_COOKED_BEFORE = re.compile(r",? (?:(?:when|once|after being) (?:cooked|boiled)|after cooking)\b")
# "1 can corn, drain and save juice"
_LIQUID = r"(?:the )?(?:juice|liquid|water|brine|syrup|oil)"
_DRAIN = re.compile(
    rf"{_OPENED}drain(?: well| off {_LIQUID})?(?: and discard {_LIQUID})?"
    r"(?=(?: and (?:save|reserve|keep) (?:the )?(?:juice|liquid))?(?:$|[),.;]))"
)
_BROUGHT = "heated|warmed|cooled|chilled|brought|scalded|softened"
_DEGREES = r"\d{2,3} ?(?:°|degrees?|[fc]\b)(?: ?[fc]\b| ?fahrenheit| ?celsius)?"
_HEAT = re.compile(rf" at (?:about )?{_DEGREES}(?: ?/ ?{_DEGREES})?")
_IN_BRACKET = re.compile(
    r"\((?:which |they |that |it |all )?(each )?weigh(?:s|ing|ed)? (?:in at )?(?=(?:[a-z]+\.? ){0,2}\d)"
)
# "gruyere or if you have none, edam", "butter or, failing that, lard"
_OR_FAILING = re.compile(
    r"\bor,? (?:if (?:you|not|there|none|un)[^,()]{0,40},|(?:failing (?:that|this|which)|[ai][tn] a pinch),?) (?=[a-z])"
)
# "bucatini gr 400", as Italians write
_UNIT_FIRST = re.compile(r"(?<=[a-z-] )(gr|g|kg|ml|cl|dl|lt|l|tsp|tbsp)\.? (\d[\d.,/ ]*?)(?=$| ?[,;(]| or so)")
_STATED = re.compile(
    r"([(\[,;/] ?)((?:net|drained|peeled|trimmed|boned)(?: (?:weight|wt))?|weight|wt)\.? ?: ?(?=(?:[a-z]+\.? |~ ?)?\d)"
)
_WEIGHT_OF_ONE = re.compile(r"(?<=\d)( ?(?:g|gr|gms?|grams?|oz|ounces?))(?: ?/ ?| (?:per|an?) )(piece|[a-z]{3,})\b")


def _each(found: re.Match[str]) -> str:
    """A weight of one of what was counted before is that of each: "2 eggs (50 g/egg)"; not "120 g/cup", of others."""
    before = found.string[max(found.start() - _NEAR, 0) : found.start()]
    counted = found[2] == "piece" or singular(found[2]) in map(singular, re.findall(r"[a-z]+", before))
    return f"{found[1]} each" if counted else found[0]


_SIZED = "(?:large|medium|small|big)"
_ONES = "one|two|three|four|five|six|seven|eight|nine|ten"
_WEIGHING = re.compile(
    r",? at (?=(?:about |around |roughly |~ ?)?\d[\d.]* ?(?:g|gr|grams?|kg|oz|ounces?|lbs?|pounds?)\b)"
)
_UNITS = r"(?:kg|g|mg|ml|cl|l|lbs?|oz|cups?|tsps?|tbsps?|cm|mm)"
_THICK = re.compile(rf"^((?:\d{{1,2}}|an?|{_ONES}) )fat (?=[a-z]{{3}})(?!free|trim|remove|content|quarter)")
_FOLDED: tuple[_Rule, ...] = (
    # figures scanned for letters: "3 c1oves", "8 0z", "1 1b"
    ("1", re.compile(rf"(?<=[a-z])1(?!{_UNITS}\b)(?=[a-z]{{2}})|(?<=\d )1(?=bs?\b)"), "l"),
    ("0", re.compile(rf"(?<=[a-z])0(?!{_UNITS}\b)(?=[a-z]{{2}})|(?<=\d )0(?=z\b)"), "o"),
    ("-", re.compile(rf"\b({_ONES})-(?=(?:{_ONES})\b)"), r"\1 to "),  # "two-three tablespoons"
    ("..", re.compile(r"((?:^|[,;:(] )\d[\d./]*) ?\.{2,3} ?(?=\d)"), r"\1-"),  # "100...150 g", but "flour 405... 200 g"
    ("..", re.compile(r"(?<=\d) ?\.{2,}+ ?(?=\d)"), ", "),  # "flour type 405..... 200 g"
    ("..", _LEADERS, " "),  # "Butter..... 100 g"; each run is tried once
    (". .", _LEADERS, " "),
    ("...", _DOTS, ", "),  # "oil ... a little"
    (" of each", re.compile(rf"^(\d|{_ONES}) of each(?= [a-z]|:)"), r"\1 each"),
    (" or so ", re.compile(rf"^(\d[\d ./-]*|{_ONES}) or so (?=[a-z])"), r"about \1 "),  # "2 or so tbsp"
    # "1 fat garlic clove", but not "2 fat free yogurts"
    ("fat ", _THICK, r"\1large "),
    (" or", _OR_FAILING, "or "),
    (" at ", _WEIGHING, ", "),  # "4 potatoes at 200 g each"
    ("c/u", re.compile(r"\bc/u\b"), "each"),  # Spanish: cada uno
    (" one", re.compile(r"([,(]) ?an? (?:very )?(small|large|big|medium|little|tiny) one\b"), r"\1 \2"),
    # "rice, 3 cups = 540 g"; what begins with a figure tells what measures hold: "1 cup = 240 ml"
    ("=", re.compile(r"^([a-z][^=]{2,60}?\d ?[a-z]+\.?) ?= ?(?=\d[\d.,]* ?(?:g|gr|gms?|grams?|kg|oz)\b)"), r"\1 / "),
    *((sign, _UNIT_FIRST, r"\2 \1") for sign in ("g ", "g. ", "gr ", "gr. ", "l ", "l. ", "lt ", "sp ")),
    # "2 onions, 1 large 1 small"
    ("small", re.compile(rf"\b(1 {_SIZED}) (?=1 {_SIZED}\b)"), r"\1 and "),
    ("roughly ", re.compile(r"\broughly (?=\d)"), "about "),  # not "roughly chopped"
    # "a duck weighing in at just over 2 kg"
    ("weighing", re.compile(r",?\s(each )?weighing (?:in at )?(?=(?:[a-z]+\.? ){0,2}\d)"), r", \1"),
    ("weigh", _IN_BRACKET, r"(\1"),  # "potatoes (weighing about 1 kg)"
    *((sign, _WEIGHT_OF_ONE, _each) for sign in ("/", " per ", " a ", " an ")),  # "2 scoops (30 g/scoop)"
    (":", _STATED, r"\1\2 "),  # "1 tin tuna (drained weight: 104 g)"
    # what grates is the fresh fruit, though "freshly" says only when: "freshly grated coconut"
    ("freshly ", re.compile(r"\bfreshly (?=(?:grated|scraped|shredded|shaved) coconut\b)"), "fresh "),
    ("*", re.compile(r"(?<=\d)\s?\*\s?(?=\d)"), " x "),  # "2*400 g tins"
    ("\\", re.compile(r"(?<=\d) ?\\ ?(?=\d)"), "/"),  # "1\\4 tsp"
    *((sign, _APART, _closed) for sign in ("/ ", " /")),  # "1 / 2 cup", "3/ 4 cup"
    ("/", re.compile(r"(?<=\d)[.,](?=[1-7]/[2348]\b)"), " "),  # "1.1/2 cups"
    # "onion 1/150 g": one, which weighs so much
    ("/", re.compile(r"(?<![\d/.])1/(\d{3,4} ?(?:g|gr|gms?|grams?|ml)\b)"), r"1 (\1)"),
    # of several nobody knows whether each or all weigh it: no share, which a doubt is told of as of a range
    ("/", re.compile(r"(?<![\d/.])([2-9]|\d\d)/(?=\d{3,4} ?(?:g|gr|gms?|grams?|ml)\b)"), r"\1 / "),
    ("/", re.compile(r"(?<=\d/\d)(?:rds?|ths?|nds?)\b"), ""),  # "2/3rds cup"
    # "50-70% chocolate" is one of 60%
    ("%", re.compile(r"(?<![\d.,/])(\d{1,2}(?:\.\d)?) ?%? ?(?:-|to) ?(\d{1,2}(?:\.\d)?) ?%"), _middle),
    ("/", re.compile(rf"(?<![\d/.])(?:{_GRADES})(?:{_GRADED})"), ""),
    # "500gmince"
    ("g", re.compile(r"(?<=\d)(?!g(?:rams?|r|al|ms)\b|kg(?:s|r)\b)(kg|g)(?=[a-z]{3})"), r"\1 "),
    ("ml", re.compile(r"(?<=\d)ml(?=[a-z]{3})"), "ml "),
    ("sp", re.compile(r"(?<=\d)(tb?sp|tbs)(?!s|p|oon|ful)(?=[a-z]{3})"), r"\1 "),
    ("oz", re.compile(r"(?<=\d)oz(?=[a-z]{3})"), "oz "),
    ("gr.", re.compile(r"\bgr\. (?=pepper\b)"), _pepper),
    ("gr.", re.compile(rf"(?:{_CARD}|(?<=^[1-9] ))gr\. (?=(?:onions?|peppers|bell peppers?)\b)"), "green "),
    ("gr.", re.compile(rf"{_CARD}gr\. (?=(?:{_GROUND})\b)"), "ground "),
    ("cl", re.compile(r"(?<=\d )cl\.? (?=garlic\b)"), "clove "),
    ("glove", re.compile(r"\b(?:garlic gloves?\b|gloves? (?=(?:of )?garlic\b))"), _cloves),
    ("bayleave", re.compile(r"\bbayleaves\b"), "bay leaves"),
    ("cube", re.compile(rf",? ?\(?{_MADE} {_SOME} (?:stock |bouillon )?cubes?\b\)?"), " from cube"),
    (")", re.compile(rf"\((?:{_COUNT}){_SIZE}{_PACKS}(?:,? each)?\)"), r"(\1 \2) \3"),
    (",", re.compile(rf"^(\d{{1,2}}), (?={_SIZE}{_PACKS})"), r"\1 "),
    # "1 box (10 packets, 28 g each)"
    (" each)", re.compile(rf"({_HOLDS} \()(\d+) [a-z]+(?: [a-z]+)?, ?({_WEIGHING_ONE}) each\)"), r"\1\2 x \3 each)"),
    (" x ", re.compile(r"(?<![\d.,/])(\d{1,2}) x (\d{1,2}) x (?=\d[\d.]* ?(?:g|kg|ml|l|oz|lb)\b)"), _multiplied),
    ("x", re.compile(r"\((?:x ?(\d{1,2})|(\d{1,2}) ?x)\)"), r"(\1\2)"),  # "onions (x3)"
    *((part, re.compile(rf"\b(chicken|turkey|duck|rabbit) {part}\b"), r"\1 pieces") for part in _JOINTS),
    ("d'", re.compile(rf"(?:{_BEFORE_DE})d'(?=[aeiouh])"), "de "),  # "2 c. à soupe d'huile"
    ("un-", re.compile(r"\bun-(?=cooked|salted|sweetened|peeled|bleached|flavou?red|ripe|toasted|baked)"), "un"),
    # "2 (3 1/2) pound chickens"
    (")", re.compile(r"(?<=\d )\((\d[\d ./-]{0,8})\)[ -]?(pounds?|lbs?|ounces?|oz)\b\.?"), r"(\1 \2)"),
    ("fl.", re.compile(r"\bfl\. ?oz\b\.?"), "fl oz"),
    ("picked ", re.compile(r"\bpicked (?:over|through) for (?:any )?(?:(?:bits|pieces) of )?[a-z]+\b"), "picked over"),
    ("heap", re.compile(r"\b(?:not|never) (?:too )?heap(?:ed|ing)\b|\bheap(?:ed|ing) is too much\b"), ""),
    ("cr", re.compile(r"\bcr(?:m?\.|m)? of (?=[a-z])"), "cream of "),
    ("ch.", re.compile(r"\b(cottage|cream|cr\.|cheddar|ched\.|swiss|american|parm\.|grated) ch\."), r"\1 cheese"),
    ("p.", re.compile(r"\bp\. ?(?:nut )?butter\b"), "peanut butter"),
    ("yolk", _PARTS_OF_EGGS, r"\2 egg \1 and \4 egg \3"),
    *((sign, _LITTLE_MORE, ", plus more") for sign in ("and ", "plus ", "& ")),
    *((sign, _CARTON, r"can\1") for sign in ("carton", "tetra")),
    ("hen's egg", re.compile(r"\ba hen's egg\b"), "an egg"),
    ("cut in", _CUT_UP, r"\1jointed"),
    *((sign, _OUT_OF_COVER, "shelled weight") for sign in ("shell", "pod")),
    ("shell", re.compile(r"\bshells on\b"), "shell on"),
    ("shell", re.compile(r"\bshells? off\b"), "shelled"),
    ("bone", re.compile(r"\bbones?(?: left| kept| still) in\b|\bbones in\b"), "bone in"),
    ("skin", _SKINNED_PULSE, r"\1, drained"),
    ("skin", re.compile(r"\bskins? (?:is |are |was )?(?:left|kept|still) on\b"), "skin on"),
    *((sign, _TIME_BEFORE, "the day before") for sign in ("ahead", "before", "earlier")),
    ("not included", re.compile(r"^(?=[^\d]{3,30} not included(?: in\b|$)[^\d]*$)"), "note: "),
    ("knuckle", re.compile(r"\bknuckle(?=s? of (?:fresh |peeled |root )*(?:ginger|galangal|turmeric)\b)"), "knob"),
    ("with ", _WITH_LONG, r"with \1 of "),
    ("ea", re.compile(r"(?<=[a-z] )ea\b\.?(?= [a-z]|$|[,)])"), "each"),
    (" long", _SO_LONG, r"a \3 \1 of \2"),
    ("a1", re.compile(r"\ba1\b"), "aone"),  # a sauce; but "a 1-inch knob of ginger"
    ("inch", _ONE_INCH_LONG, "a "),
    *((sign, _GOOD_PINCH, "generous ") for sign in ("good ", "decent ", "fat ", "hefty ")),
    ("left", re.compile(r"\bleft[- ]over\b"), "leftover"),
    ("half of ", re.compile(r"\bhalf of (?:one|1) (?=[a-z])"), "half a "),
    ("weighed", _WEIGHED_BARE, _bare),
    *((sign, _FOR_THE_COOK, "") for sign in ("the cook", "the chef", "the baker")),
    *((sign, re.compile(r"^\(([^()\d]{2,60})\) (\d.{2,200})$"), r"\2 (\1)") for sign in ") "),
    ("of each", re.compile(r"\bone of each\b"), "1 of each"),
    ("-odd", re.compile(r"(?<![\d.,/])(\d{2,4})-odd\b"), r"about \1"),
    # a row of a table: "flour | 250 | g"
    ("|", re.compile(r"((?:^|\|) ?\d[\d./ ]{0,7}?) ?\| ?(?=[a-z]+(?:\.| ?\||$))"), r"\1 "),
    ("|", re.compile(r"^([^\d|]*[a-z]) ?\| ?(?=\d)"), r"\1, "),
    ("/", _COUNT_AND_MASS, r"(\1)"),
    *((sign, re.compile(r"^(?:just|only) (?=an? )"), "") for sign in ("just a", "only a")),
    ("h2o", re.compile(r"\bh2o\b"), "water"),
    *((sign, re.compile(r"\bof the (pepper|salt) (?:mill|grinder)\b"), r"of \1") for sign in (" mill", " grinder")),
    ("pounder", re.compile(r"\b(quarter|half|third)[- ]pounder\b"), r"\1-pound"),
    (" by ", re.compile(r" by (?:weight|volume|measure)\b(?: of)?"), ""),
    ("apiece", re.compile(r"\bapiece\b"), "each"),
    *((sign, _USING_ONLY, _only) for sign in ("yolk", "white")),
    ("excep", re.compile(r"(?<=\bnuts )(?:except|excluding) (?:for )?(?=[a-z])"), "without "),
    (" after ", _AFTER_HEAT, "weighed after cooking"),
    *((sign, _BUT_NOT_OF_EGGS, r", \1 discarded") for sign in (" but ", "not using")),
    (" but ", _NOT_BUT, ""),
    *((sign, _USED_ONLY, r"\1 only") for sign in ("i only", "we only")),
    ("squeeze", re.compile(r"^squeeze (?:in )?(?:the )?(?=juice of )"), ""),
    *((sign, _COOKED_BEFORE, ", cooked") for sign in ("cook", "boil", "steaming")),
    ("drain", _DRAIN, "drained"),
    *RULES,
    ("strained", re.compile(r"(\b(?:can|tin)s?\b.{0,60}, )strained\b"), r"\1drained"),
    (" juice", re.compile(r" with (?:its |their |the )?juices?(?=$|[,;)])"), ", undrained"),
    (" as ", re.compile(r"\bas (?:big|large) as (?=an? )"), "the size of "),
    (" to ", re.compile(rf",? (?:{_BROUGHT}) (?:up )?to (?:about )?{_DEGREES}"), ""),  # "milk heated to 82 C"
    (" of ", re.compile(rf"^(?:the )?(?:flesh|pulp) of (?=\d|{_ONES})"), ""),  # "flesh of 2 aubergines"
    # a cut that is called by its look
    ("bone ", re.compile(r"\b(?:7|seven)[- ]bone (?:(?:pot|chuck) )?(?=roast|steak)"), "bone-in chuck blade "),
    (" paste", re.compile(r"\b(ginger|garlic)(?:[- ]| and | & )(ginger|garlic) paste\b"), r"\1 paste and \2 paste"),
    *((sign, _PUT_RIGHT, r"\1 ") for sign in (" not ", "instead of", "rather than")),
    *((sign, _PRICE, "") for sign in "$£€"),
    ("n°", re.compile(r"\bn° ?(?=\d)"), "no. "),
    ("w.", re.compile(r"\bw\. ?sauce\b"), "worcestershire sauce"),
    (" at ", _HEAT, ""),
    *((sign, re.compile(r"\bs ?[&+] ?p\b"), "salt & pepper") for sign in "&+"),
)


def as_read(text: str) -> str:
    """The folded text of a line, without its bullet, as the grammar reads it."""
    return _put_right(without_bullet(fold(_put_right(text, _WRITTEN))), _FOLDED)


def in_letters(text: str) -> str:
    """A short text with the Unicode names of its pictures, "3 🥕, grated"; any other as it is."""
    if text.isascii() or len(text) > _NEAR or max(text) < _FIRST_PICTURE:
        return text
    return "".join([f" {unicodedata.name(one, one).lower()} " if one >= _FIRST_PICTURE else one for one in text])


_FIRST_PICTURE = "\U0001f32d"


def _put_right(text: str, rules: Sequence[_Rule]) -> str:
    for sign, pattern, written in rules:
        if sign in text:
            text = pattern.sub(written, text)
    return text
