"""A recipe from text as people keep it, or from a schema.org Recipe object.

    text    = [ title [ "(" yield ")" ] ] { yield | section | method | line | marked }
    yield   = for how many it is and what it makes (core.recipe_yield)
    marked  = line "[" said { ";" said } "]"
    said    = treatment | number "%" "eaten" | number "g" | food-id | "optional" | "left out"
    line    = the line's words, which may say what share is eaten and what becomes of fat or liquid (core.eaten)
    section = [ "+" ] name ":"          a plus or "(optional)" makes it a topping; a bare heading opens one too,
                                        and what only looks like one stays a line (core.bare_line)
            | "#" name                  as plain text marks headings; bold words are marked by "**" or "__"
    method  = "Method" | "Directions" | "Instructions" ...     what follows is no ingredient, but may be a yield

A guess is never silent: what was assumed stands in the notes.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from service.core.bare_line import Bare, Heads, unheeded
from service.core.eaten import eaten_note, said_eaten, said_treatment
from service.core.errors import InputError
from service.core.recipe import Recipe, RecipeLine, RecipeYield, Section
from service.core.recipe_yield import COUNT_WORDS, Yielded, begun_as_yield, read_yield, states_weight
from service.core.text import fold, without_bullet

UNTITLED = "Untitled recipe"
# What `gramwright recipe show` writes behind a line, and what is read there.
_SAID = re.compile(r"^(?P<text>.*\S)\s*\[(?P<said>[^\[\]]{1,200})\]$")
_EATEN = re.compile(r"^(?P<share>\d{1,3}(?:\.\d+)?)\s*%\s*eaten$", re.IGNORECASE)
_FOOD = re.compile(r"^[a-z][a-z0-9-]*:[A-Za-z0-9.-]{1,40}$")
_GRAMS = re.compile(r"^(?P<grams>\d{1,6}(?:\.\d+)?) ?g$")
_YIELD_OF_TITLE = re.compile(
    r"^(?P<title>.*[^\s(\[,;:–—-])(?:\s*[(\[,;:]|\s+[–—-])\s*(?P<said>(?!\s*\d+\W*$)[^()\[\]]{1,60}?)\s*[)\]]?$"
)
_FOR_PEOPLE = re.compile(
    r"^(?P<title>.*\S)\s+(?P<said>for \S{1,12} (?:people|persons|servings)|(?:serves|feeds) \S{1,12}(?: people)?)$",
    re.IGNORECASE,
)
# A title that ends in a number may be of so many persons, or of so many hours: it is told, not taken.
_FOR_SOME = re.compile(rf"\bfor (?:\d{{1,3}}|{'|'.join(COUNT_WORDS)})$", re.IGNORECASE)
# "1 serving of the quay salad": a share of a dish, not what this one serves.
_PORTIONS = re.compile(r"^\S+(?: a)? (?:servings?|portions?|batch(?:es)?) (?:of )?\S")
_OPTIONAL = re.compile(r"[(\[]\s*optional\s*[)\]]|,\s*optional$|^optional\b", re.IGNORECASE)
# Codes of units in trade, as far as recipes need them (UN/ECE Recommendation 20); C62, EA and H87 count pieces.
_UNITS_BY_CODE = {
    "MGM": "mg", "GRM": "g", "KGM": "kg", "ONZ": "oz", "LBR": "lb", "MLT": "ml", "CLT": "cl", "DLT": "dl", "LTR": "l",
    "OZA": "fl oz", "OZI": "uk fl oz", "G21": "cup", "G24": "tbsp", "G25": "tsp", "C62": "", "EA": "", "H87": "",
}  # fmt: skip
# Steps of a pointer to an ingredient: lists within lists are read no deeper.
_DEEPEST = 12
_RECIPE_TYPE = re.compile(r"(?:https?://schema\.org/|schema:)?Recipe")
_BOLD = re.compile(r"(?P<mark>\*\*|__)(?=\S)(?P<words>[^*_]{1,300}?)(?<=\S)(?P=mark)")
_ITALIC = re.compile(r"(?<![\w*])(?P<mark>[*_])(?=[^\s*_])(?P<words>[^*_]{1,300}?)(?<=\S)(?P=mark)(?![\w*])")
_HEADING = re.compile(r"^#{1,6}\s+(?P<name>[^\d\W].{0,98}?)\s*#*$")
_LABELLED = re.compile(
    r"^(?:title|name|recipe|recipe (?:title|name)|name of (?:the )?dish)\s*:\s*(?P<name>\S.*)$", re.IGNORECASE
)
# What a heading says of its amounts: "Ingredients (per serving)", "For one person", "Ingredients for 2".
_AMOUNTS_FOR = re.compile(
    r"\b(?:per|each|for (?:one|a|each|every|a single|1)) (?:person|serving|portion|head|guest|diner|plate|bowl)$"
    r"|^(?:ingredients|amounts?|quantit(?:y|ies))\W+(?:is |are )?for (?:one|(?P<number>[1-9]\d{0,2}))"
    r"(?: (?:people|persons?|servings?|portions?))?$"
)
_ONE_SERVING = re.compile(r"^(?:serving|portion)\b")
# No "assembly" or "to cook": under these stand foods as often.
_METHOD = re.compile(
    r"^\W*(?:(?:the |(?:cooking|baking|preparation) )?(?:method|directions?|instructions?)(?: for [\w ]+)?"
    r"|preparation|process|procedure|steps?(?: (?:1|one))?|what to do|to make|how to (?:make|cook|prepare)(?: \w+)?)"
    r"\s*(?:\([^()]*\))?\W*$"
)
_SECTION = re.compile(r"^(?P<plus>\+\s*)?(?P<name>[^\d].{0,98}?)\s*:$")


@dataclass(frozen=True, slots=True)
class ReadRecipe:
    """A recipe as read, with what was assumed in plain words."""

    recipe: Recipe
    notes: tuple[str, ...] = ()


@dataclass(slots=True)
class _Draft:
    """What has been read so far."""

    title: str = ""
    yielded: Yielded = field(default_factory=Yielded)
    sections: list[tuple[str, bool, list[RecipeLine]]] = field(default_factory=lambda: [("", False, [])])
    notes: list[str] = field(default_factory=list)

    def finished(self) -> ReadRecipe:
        sections = tuple(Section(tuple(lines), name, optional) for name, optional, lines in self.sections if lines)
        made = self.yielded.settled()
        if (some := _FOR_SOME.search(self.title)) and not self.yielded.stated:
            self.notes.append(f"{some[0]!r} of the title may say for how many it is: it was not taken")
        recipe = Recipe(self.title or UNTITLED, sections, made.servings or 1, made.yields)
        return ReadRecipe(recipe, (*made.notes, *self.notes, *_other_amounts(recipe)))


def _other_amounts(recipe: Recipe) -> Iterator[str]:
    """That a section says its amounts are of one serving, or of another number than the recipe is for: "Per serving".

    They are counted as they stand, since a heading may be older than what stands below it.
    """
    for name in dict.fromkeys(section.name for section in recipe.sections):
        found = _AMOUNTS_FOR.search(fold(name).strip(" .:()"))
        if found and (number := float(found["number"] or 1)) != recipe.servings:
            yield (
                f"{name!r} says that its amounts are for {number:g}, but they are counted for all {recipe.servings:g} "
                f"servings: set the servings to {number:g}, or the amounts to those of the whole recipe"
            )


def read_recipe(
    text: str, *, heads: Callable[[str], Heads], is_treatment: Callable[[str], bool] = lambda _: False
) -> ReadRecipe:
    """A recipe from text; `heads` tells what a line may head by its words (core.no_food).

    `is_treatment` tells whether a name is that of a cooking treatment.
    """
    draft = _Draft()
    lines = list(_without_marks(text.split("\n")))
    rest = list(_after_title(lines, draft, heads))
    method = next((at for at, line in enumerate(rest) if _METHOD.match(_bare(line))), None)
    bare = _bare_lines(rest[:method], heads)
    unheaded = {list(bare)[place] for place in unheeded(list(bare.values()))}
    for at, line in enumerate(rest[:method]):
        if not _bare(line) or _is_yield(_bare(line), draft):
            continue
        if states_weight(_bare(line)):
            draft.notes.append(f"{_bare(line)!r} was not understood as what the dish weighs when it is cooked")
            continue
        _take(line, draft, opens=bool(bare[at].heads) and at not in unheaded, is_treatment=is_treatment)
        if begun_as_yield(_bare(line)):
            draft.notes.append(f"{_bare(line)!r} was not understood as what the recipe serves or makes")
    draft.notes += _kept_notes([bare[at].text for at in sorted(unheaded)])
    if method is not None:
        told = "".join(f", but for {words!r}" for words in _yields_below(rest[method + 1 :], draft))
        draft.notes.append(f"what stands under the method is not read{told}")
    return draft.finished()


def _yields_below(lines: Iterable[str], draft: _Draft) -> Iterator[str]:
    """Read of what stands under the method for how many the recipe is and what it makes, where no line above says it.

    A "serving" there is one of a table of nutrients: "Serving: 1 roll".
    """
    for bare in map(_bare, lines):
        if not begun_as_yield(bare) or _ONE_SERVING.match(bare):
            continue
        before = draft.yielded
        try:
            found = read_yield(bare, before)
        except InputError:  # what is no recipe's yield may be anything
            continue
        if found is not None:
            draft.yielded = _behind(before, found)
            yield bare


def _without_marks(lines: Iterable[str]) -> Iterator[str]:
    """The lines without marks of bold and slanted words; a marked heading gets a colon, but for the first, a title."""
    begun = False
    for line in lines:
        plain = _ITALIC.sub(r"\g<words>", _BOLD.sub(r"\g<words>", line.strip()))
        heading = _HEADING.match(plain)
        name = heading["name"] if heading else plain
        bare = fold(name)
        opens = heading and begun and not _METHOD.match(bare) and not _tells_yield(bare)
        yield f"{name.rstrip(':')}:" if opens else name
        begun = begun or bool(name)


def _bare(line: str) -> str:
    return fold(line if line[:1] == "+" else without_bullet(line))


def _kept_notes(lines: Sequence[str]) -> list[str]:
    """That bare lines were kept and are not counted, in one sentence."""
    more = f" and {len(lines) - _MOST_NAMED} more" if len(lines) > _MOST_NAMED else ""
    named = ", ".join(map(repr, lines[:_MOST_NAMED])) + more
    return [f"without an amount, and no heading for certain, so that nothing is counted of {named}"] if lines else []


_MOST_NAMED = 3


def _bare_lines(lines: Sequence[str], heads: Callable[[str], Heads]) -> dict[int, Bare]:
    """By its place, each line that is neither empty nor a yield, with what it may head."""
    found: dict[int, Bare] = {}
    for at, line in enumerate(lines):
        bare = _bare(line)
        if not bare or _tells_yield(bare):
            continue
        said: Heads = "heading" if _SECTION.match(line) else "" if _PORTIONS.match(bare) else heads(line)
        set_off = bool(found) and not lines[at - 1] and bool("".join(lines[at + 1 : at + 2]))
        found[at] = Bare(without_bullet(line), said, set_off)
    return found


def _after_title(lines: Sequence[str], draft: _Draft, heads: Callable[[str], Heads]) -> Sequence[str]:
    """Take the title off: a first line that states no amount and is set off by a blank line, or by what follows it."""
    start = next((at for at, line in enumerate(lines) if line), len(lines))
    if start == len(lines):
        return ()
    listed = next((at for at, line in enumerate(lines) if line[:1].isdigit() or line.endswith(":")), len(lines))
    for at, labelled in enumerate(map(_LABELLED.match, lines[:listed])):
        if labelled:
            draft.title = _without_yield(labelled["name"][:300], draft)
            return [*lines[:at], *lines[at + 1 :]]
    first, following = lines[start], next((line for line in lines[start + 1 :]), "")
    folded = fold(first)
    if first.endswith(":") or folded[:1].isdigit() or _tells_yield(folded):
        return _titled_later(lines[start:], draft, heads)
    set_off = not following or _tells_yield(fold(following)) or begun_as_yield(fold(following))
    if set_off or heads(first) or _FOR_PEOPLE.match(first):
        draft.title = _without_yield(first.lstrip("#").strip()[:300], draft)
        return lines[start + 1 :]
    return lines[start:]


def _titled_later(lines: Sequence[str], draft: _Draft, heads: Callable[[str], Heads]) -> Sequence[str]:
    """Take off a title behind the yield that a text begins with: one that blank lines set off on both sides."""
    at = next((at for at, line in enumerate(lines) if line and not _tells_yield(fold(line))), 0)
    if not at or lines[at - 1] or "".join(lines[at + 1 : at + 2]) or not "".join(lines[at + 1 :]):
        return lines
    name = lines[at]
    if name.endswith(":") or fold(name)[:1].isdigit() or _METHOD.match(fold(name)) or heads(name) == "heading":
        return lines
    draft.title = name.lstrip("#").strip()[:300]
    return [*lines[:at], *lines[at + 1 :]]


def _tells_yield(bare: str) -> bool:
    """Whether a line is no title, but of for how many a recipe is, what it makes or what it weighs."""
    return _is_yield(bare, _Draft()) or states_weight(bare)


def _without_yield(title: str, draft: _Draft) -> str:
    """A title without what it says of servings or pieces at its end: "Chowder (serves 4)"."""
    found = _YIELD_OF_TITLE.match(title) or _FOR_PEOPLE.match(title)
    if found is None:
        return title
    return found["title"] if _is_yield(fold(found["said"]), draft) else title


def _is_yield(bare: str, draft: _Draft) -> bool:
    found = read_yield(bare, draft.yielded)
    if found is None:
        return False
    draft.yielded = found
    return True


def _recipe_line(text: str, draft: _Draft, is_treatment: Callable[[str], bool]) -> RecipeLine:
    """A line with what is said of its cooking: in square brackets behind it, or in its own words."""
    found = _SAID.match(text)
    line = _marked(found, is_treatment) if found else None
    if found and line is None:
        draft.notes.append(f"[{found['said']}] is no mark that is known: it was left as words of {found['text']!r}")
    marks = found["said"] if found and line else ""
    return _by_its_words(line or RecipeLine(text), marks, draft, is_treatment)


def _by_its_words(line: RecipeLine, marks: str, draft: _Draft, is_treatment: Callable[[str], bool]) -> RecipeLine:
    """The line with what its words say of the share eaten and of its treatment, where no mark says it."""
    said = said_eaten(line.text)
    if said is not None and "eaten" not in marks.lower():
        line = line if said.share is None else replace(line, share_eaten=said.share)
        draft.notes.append(f"{line.text!r}: {eaten_note(line.text, line.share_eaten)}")
    treatment = None if line.treatment else said_treatment(line.text, is_treatment)
    if treatment is not None:
        line = replace(line, treatment=treatment)
        draft.notes.append(f"{line.text!r}: {treatment!r} was taken as its cooking treatment")
    return line


def _marked(found: re.Match[str], is_treatment: Callable[[str], bool]) -> RecipeLine | None:
    """The line with its marks; None where one is none, so that the brackets hold words of the line."""
    line = RecipeLine(found["text"])
    for said in (one.strip() for one in found["said"].split(";")):
        if eaten := _EATEN.match(said):
            line = replace(line, share_eaten=float(eaten["share"]) / 100)
        elif weighed := _GRAMS.match(said):
            line = replace(line, grams=float(weighed["grams"]))
        elif said.lower() in ("optional", "left out"):
            line = replace(line, optional=True) if said.lower() == "optional" else replace(line, left_out=True)
        elif _FOOD.match(said):
            line = replace(line, food=said)
        elif is_treatment(said):
            line = replace(line, treatment=said)
        else:
            return None
    return line


def _take(line: str, draft: _Draft, *, opens: bool, is_treatment: Callable[[str], bool]) -> None:
    """A line of the list, or a section that begins with it: by its colon, or since it `opens` one without."""
    section = _SECTION.match(line)
    if section is not None:
        draft.sections.append(_section(section["name"], plus=bool(section["plus"])))
    elif opens:
        draft.sections.append(_section(line.strip(" :-"), plus=False))
    else:
        draft.sections[-1][2].append(_recipe_line(without_bullet(line), draft, is_treatment))


def _section(name: str, *, plus: bool) -> tuple[str, bool, list[RecipeLine]]:
    """A section that is empty yet: a topping where a plus or its own words say so."""
    bare = _OPTIONAL.sub("", name).strip(" :-")
    return bare or name, plus or bool(_OPTIONAL.search(name)), []


# ---- schema.org ------------------------------------------------------------------------------------------------


def read_schema_org(
    value: object, *, heads: Callable[[str], Heads] = lambda _: "",
    is_treatment: Callable[[str], bool] = lambda _: False,
) -> ReadRecipe:  # fmt: skip
    """A recipe from a schema.org Recipe (JSON-LD, alone, in a list or in a graph); InputError where there is none.

    `heads` and `is_treatment` are as `read_recipe` takes them.
    """
    found, beside = _first_recipe(value)
    draft = _Draft(title=_name(found), notes=beside)
    called = _listing(found)
    if not called:
        raise InputError("the Recipe has no recipeIngredient", pointer="/recipeIngredient")
    for text in _ingredients(found[called], f"/{called}", draft):
        draft.sections[-1][2].append(_recipe_line(text, draft, is_treatment))
    for _, _, lines in draft.sections:
        texts = [line.text for line in lines]
        draft.notes += _kept_notes([texts[at] for at in unheeded([Bare(text, heads(text)) for text in texts])])
    for text in _yields(found.get("recipeYield", found.get("yield"))):
        _read_yield(text, draft)
    return draft.finished()


def is_linked(value: object) -> bool:
    """Whether a JSON value is JSON-LD, which no form of ours is: an object with a keyword, or a list that has one."""
    several = value if isinstance(value, list) else [value]
    return any(isinstance(one, Mapping) and any(key.startswith("@") for key in one) for one in several)


def _first_recipe(value: object) -> tuple[Mapping[str, object], list[str]]:
    """The first Recipe that lists ingredients, with a note on others that do; InputError where there is no Recipe."""
    every = list(_recipes(value, 0))
    if not every:
        raise InputError("the file holds no schema.org Recipe", pointer="")
    whole = [one for one in every if _listing(one)]
    found, *rest = whole or every
    others = [repr(_name(one) or UNTITLED) for one in rest if one != found] if whole else []
    more = f" and {len(others) - _MOST_NAMED} more" if len(others) > _MOST_NAMED else ""
    named = f"{', '.join(others[:_MOST_NAMED])}{more}"
    note = f"the file holds {len(others) + 1} recipes: {_name(found) or UNTITLED!r} was read, not {named}"
    return found, [note] if others else []


def _name(recipe: Mapping[str, object]) -> str:
    return _plain(recipe.get("name"))[:300]


def _listing(recipe: Mapping[str, object]) -> str:
    """The property in which a Recipe lists its ingredients, "" where it lists none."""
    called = next((name for name in ("recipeIngredient", "ingredients") if name in recipe), "")
    return called if called and isinstance(recipe[called], str | list | Mapping) and recipe[called] else ""


def _ingredients(value: object, pointer: str, draft: _Draft, under: str = "") -> Iterator[str]:
    """The lines of a recipeIngredient: text, or an object that names one; a list with a name opens a section.

    Behind it the section that it stands `under` goes on. InputError at one that cannot be read.
    """
    deep = pointer.count("/") > _DEEPEST
    if isinstance(value, list) and not deep:
        for at, one in enumerate(value):
            yield from _ingredients(one, f"{pointer}/{at}", draft, under)
    elif isinstance(value, Mapping) and not deep and (inner := _within(value)):
        name = _plain(value.get("name")) if inner == "itemListElement" else ""
        if name:
            draft.sections.append(_section(name, plus=False))
        yield from _ingredients(value[inner], f"{pointer}/{inner}", draft, name or under)
        if name:
            draft.sections.append(_section(under, plus=False))
    elif text := _plain(value) if isinstance(value, str) else _named(value) if isinstance(value, Mapping) else "":
        yield text
    elif not isinstance(value, str):
        raise InputError("an ingredient must be text, or an object with a name", pointer=pointer)


def _within(value: Mapping[str, object]) -> str:
    """Where an ItemList or a ListItem has what it lists, "" of other objects.

    The item of a ListItem with a name may be an address, as of a page on it: then the name is the line.
    """
    if isinstance(value.get("itemListElement"), list | Mapping | str):
        return "itemListElement"
    item = value.get("item")
    return "item" if isinstance(item, list | Mapping) or (isinstance(item, str) and not _named(value)) else ""


def _named(value: Mapping[str, object]) -> str:
    """ "100 g butter", of a PropertyValue or HowToSupply; "" where it has no name."""
    name = _plain(value.get("name")) or _plain(value.get("text"))
    quantity = value.get("requiredQuantity", value.get("value"))
    amount = _amount(quantity if isinstance(quantity, Mapping) else {**value, "value": quantity})
    return f"{amount} {name}".strip() if name else ""


def _amount(value: Mapping[str, object]) -> str:
    """The amount of a QuantitativeValue or PropertyValue: "2-3 tbsp"."""
    ends = [_plain(value.get(name)) for name in ("minValue", "maxValue")]
    code = _plain(value.get("unitCode"))
    unit = _plain(value.get("unitText")) or _UNITS_BY_CODE.get(code, code)
    number = _plain(value.get("value")) or "-".join(filter(None, ends))
    return " ".join(filter(None, (number, unit)))


def _is_recipe(kind: object) -> bool:
    """Whether a type is that of a recipe: by its name, its IRI or its compact IRI (JSON-LD 1.1)."""
    return isinstance(kind, str) and _RECIPE_TYPE.fullmatch(kind) is not None


def _recipes(value: object, depth: int) -> Iterator[Mapping[str, object]]:
    if depth > 8:
        return
    if isinstance(value, Mapping):
        kinds = value.get("@type", ())
        if any(_is_recipe(kind) for kind in (kinds if isinstance(kinds, list) else [kinds])):
            yield value
        for name in ("@graph", "mainEntity", "itemListElement", "item"):
            yield from _recipes(value.get(name), depth + 1)
    elif isinstance(value, list):
        for one in value:
            yield from _recipes(one, depth + 1)


def _plain(value: object) -> str:
    """Text without markup: what is sent by other hands may hold HTML."""
    readable = isinstance(value, str | int | float) and not isinstance(value, bool)
    text = html.unescape(re.sub(r"<[^<>]{0,300}>", " ", str(value))) if readable else ""
    return re.sub(r"\s+", " ", text).strip()


def _yields(value: object) -> Iterator[str]:
    for one in value if isinstance(value, list) else [value]:
        if isinstance(one, Mapping):
            yield _plain(one.get("value"))
        elif text := _plain(one):
            yield text


def _read_yield(text: str, draft: _Draft) -> None:
    """What a recipeYield adds to those before it: the first one to say something stands."""
    bare, before = fold(text), draft.yielded
    if re.fullmatch(r"\d+(?:\.\d+)?", bare):
        bare = f"serves {bare}"
    found = read_yield(bare, before) or read_yield(f"makes {bare}", before)
    if found is None:
        draft.notes.append(f"{bare!r} was not understood as what the recipe serves or makes")
        return
    draft.yielded = _behind(before, found)


def _behind(before: Yielded, found: Yielded) -> Yielded:
    """What was found last, but that the first to say something stands."""
    servings = found.servings if before.servings is None else before.servings
    return replace(found, servings=servings, yields=_first(before.yields, found.yields))


def _first(before: RecipeYield, after: RecipeYield) -> RecipeYield:
    return after if before == RecipeYield() else before
