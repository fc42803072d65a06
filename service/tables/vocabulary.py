"""Loads the tables of words and names; README.md explains their columns."""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import fields
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType

from service.core.analyse import Tables
from service.core.errors import TableError
from service.core.food_index import STATE_BIT, FacetWords
from service.core.name_doubts import EntryKinds
from service.core.text import fold, singular
from service.core.vocabulary import Name, TitleWords, split_words
from service.tables.rows import TableColumns, TableRow, read_columns, read_rows
from service.tables.weights import load_weight_tables

FOLDER = Path(__file__).parent
CLASSES = (
    "approximate", "filler", "heading", "heap", "joiner", "note start", "number", "optional", "preparation",
    "preposition", "remark", "size", "state", "synonym", "to taste", "vague number",
)
DISH_KINDS = ("bought", "dish", "head")
# A kind of titles.csv other than of dishes -> the words of it among the words of titles.
TITLE_FIELDS = MappingProxyType({
    "aisle": "aisles", "attributive": "attributive", "batch": "batches", "build": "builds", "claim": "claims",
    "component": "components", "degree": "degrees", "diet": "diets", "dish component": "dish_components",
    "dividing": "dividing", "eaten with": "eaten_with", "eater": "eaters", "equipment": "equipment",
    "exchange": "exchanges", "family": "family", "feedback": "feedback", "for whom": "for_whom", "free of": "free_of",
    "going": "going", "group": "groups", "handling": "handling", "heat": "heats", "honorific": "honorifics",
    "label": "labels", "link": "links", "made": "made", "made head": "made_heads", "minute": "minutes",
    "moment": "moments", "month": "months", "nutrient": "nutrients", "nutrient food": "nutrient_foods",
    "opening": "openings", "origin": "origins", "own part": "own_parts", "pause": "pauses", "period": "periods",
    "plate": "plates", "plate side": "plate_sides", "portion": "portions", "poured": "poured", "praise": "praises",
    "rank": "ranks", "ready": "ready", "readying": "readying", "section": "sections", "served": "served",
    "shared head": "shared_heads", "shelf": "shelves", "stage": "stages", "step verb": "step_verbs",
    "step word": "step_words", "taken alone": "taken_alone", "tool": "tools", "vessel": "vessels",
    "wanted head": "wanted_heads", "whole": "wholes",
})  # fmt: skip
ENTRY_KINDS = tuple(field.name.replace("_", " ") for field in fields(EntryKinds))
TITLE_KINDS = (*DISH_KINDS, *TITLE_FIELDS)
KINDS = ("name", "regional", "trade", "near", "default", "absent")
AMOUNT_KINDS = frozenset({"pinch", "spoon", "cup", "piece", "weight", "none"})
# Words of the publisher's own language for a state, which no line uses.
_PUBLISHER_STATES = {"unprepared": "raw", "uncooked": "raw", "unheated": "frozen"}


@lru_cache(maxsize=1)
def load_tables() -> Tables:
    """All hand-kept tables that resolving needs; raises TableError for the first bad row."""
    weights = load_weight_tables(FOLDER)
    words = load_words(FOLDER / "words.csv")
    measures = {form: ("measure", name) for form, name in weights.measures.forms.items() if form not in words}
    return Tables(
        words=MappingProxyType(words | measures),
        names=load_names(FOLDER / "names"),
        facet_words=load_facet_words(FOLDER / "facet_words.csv", words),
        uses=load_uses(FOLDER / "recipe_uses.csv"),
        neutral=load_neutral(FOLDER / "neutral_words.csv", words),
        measures=weights.measures.words,
        weights=weights,
        titles=load_titles(FOLDER / "titles.csv"),
        plain_words=load_plain_words(FOLDER / "plain_words.csv"),
        abroad=load_abroad(FOLDER),
        entry_kinds=load_entry_kinds(FOLDER / "entry_kinds.csv"),
    )


def load_words(path: Path) -> dict[str, tuple[str, str]]:
    """form -> (class, value) of words.csv; a synonym is a word with another spelling."""
    rows = read_rows(path, ("form", "class", "value", "source"), key=("form",))
    return {row.required("form"): _sense(row) for row in rows}


def load_abroad(folder: Path) -> frozenset[str]:
    """The forms of words.csv and measures.csv that are of another language than the lists are in."""
    tables = (read_columns(folder / file, columns) for file, columns in _SOURCED.items())
    sourced = (zip(table.cells["form"], table.cells["source"], strict=True) for table in tables)
    return frozenset(form for rows in sourced for form, source in rows if source.endswith(_ABROAD))


_SOURCED = {
    "words.csv": ("form", "class", "value", "source"),
    "measures.csv": ("form", "measure", "kind", "unit", "unit_value", "low", "high", "system", "source"),
}
# How the sources of such words end: "common practice in Swahili kitchens".
_ABROAD = (" kitchens", " in other languages")


def _sense(row: TableRow) -> tuple[str, str]:
    kind = row.one_of("class", CLASSES)
    row.required("source")
    return ("word" if kind == "synonym" else kind), row.text("value")


def load_names(folder: Path) -> tuple[Name, ...]:
    """The food names of every file in a folder; a form may stand once for each kind of amount."""
    names: list[Name] = []
    seen: dict[tuple[str, str], str] = {}
    for path in sorted(folder.glob("*.csv")):
        table = read_columns(path, ("form", "kind", "when", "sr28", "source"))
        for place, name in enumerate(_names(table)):
            for when in name.when or _ALWAYS:
                first = seen.setdefault((name.form, when), name.place)
                if first != name.place:
                    raise table.fault(place, "form", f"is doubled: it stands in {first} too")
            names.append(name)
    return tuple(names)


_ALWAYS = frozenset({""})


def _names(table: TableColumns) -> list[Name]:
    """The names of one file, each of whose cells is what its column may hold."""
    table.check("form", bool, "is empty")
    table.check("kind", KINDS.__contains__, "is none of " + ", ".join(map(repr, KINDS)))
    table.check("when", lambda text: AMOUNT_KINDS.issuperset(text.split()), "is no kind of amount")
    table.check("source", bool, "is empty")
    form, kind, when, code, source = (table.cells[column] for column in ("form", "kind", "when", "sr28", "source"))
    for place, (one, target) in enumerate(zip(kind, code, strict=True)):
        if (one == "absent") != (not target):
            raise table.fault(place, "sr28", "is wanted for every kind but 'absent'")
    kinds = {text: frozenset(text.split()) for text in set(when)}
    rows = zip(form, kind, when, code, source, table.lines, strict=True)
    return [
        Name(
            form, kind, kinds[when], f"sr28:{code}" if code else None, source,
            place=f"{table.file}:{line}", abroad=source.endswith(_ABROAD),
        )
        for form, kind, when, code, source, line in rows
    ]


def load_facet_words(path: Path, words: Mapping[str, tuple[str, str]]) -> FacetWords:
    """How words of a publisher's description are weighed, with the states of words.csv."""
    rows = read_rows(path, ("form", "class", "value", "source"), key=("form", "class"))
    states = {form: value for form, (kind, value) in words.items() if kind == "state" and value in STATE_BIT}
    changing = frozenset(row.text("form") for row in _of(rows, "changing"))
    synonyms = {
        tuple(form.split()): value for form, (kind, value) in words.items() if value in changing and kind == "word"
    }
    return FacetWords(
        states=MappingProxyType(states | _PUBLISHER_STATES),
        costs=MappingProxyType({row.text("form"): row.number("value") for row in _of(rows, "cost")}),
        groups=MappingProxyType({row.text("form"): row.number("value") for row in _of(rows, "group")}),
        changing=changing,
        abroad=frozenset(row.text("form") for row in _of(rows, "abroad")),
        synonyms=MappingProxyType(synonyms),
        silent=frozenset(row.text("form") for row in _of(rows, "silent")),
        dry=frozenset(row.text("form") for row in _of(rows, "dry")),
    )


def _of(rows: list[TableRow], kind: str) -> list[TableRow]:
    kinds = ("abroad", "changing", "cost", "dry", "group", "silent")
    return [row for row in rows if row.one_of("class", kinds) == kind]


def load_uses(path: Path) -> Mapping[str, int]:
    """Food id -> in how many lines of the survey's recipes the entry stands."""
    rows = read_rows(path, ("sr28", "lines", "source"), key=("sr28",))
    return {f"sr28:{row.required('sr28')}": int(row.number("lines")) for row in rows}


def load_neutral(path: Path, words: Mapping[str, tuple[str, str]]) -> frozenset[str]:
    """Words that tell no foods apart: those of the table, and every word about cutting, size and heaping."""
    rows = read_rows(path, ("form", "source"), key=("form",))
    quiet = {form for form, (kind, _) in words.items() if kind in ("preparation", "size", "heap", "filler", "state")}
    return frozenset({row.required("form") for row in rows} | quiet | {singular(form) for form in quiet})


def load_titles(path: Path) -> TitleWords:
    """The words of titles and labels of titles.csv; a dish is of one kind, a label may be a dish or a word too."""
    forms: dict[str, dict[str, str]] = {kind: {} for kind in TITLE_KINDS}
    for row in read_rows(path, ("form", "kind", "source"), key=("form", "kind")):
        kind = row.one_of("kind", TITLE_KINDS)
        row.required("source")
        form = " ".join(map(singular, split_words(fold(row.required("form")))))
        if kind in DISH_KINDS and any(form in forms[other] for other in DISH_KINDS):
            raise row.fault("form", "is doubled")
        forms[kind][form] = kind
    return TitleWords(
        dishes=MappingProxyType(forms["dish"] | forms["head"] | forms["bought"]),
        **{field: frozenset(forms[kind]) for kind, field in TITLE_FIELDS.items()},
    )


def load_plain_words(path: Path) -> frozenset[str]:
    """Words of plain English that name no food and are spelled right; the singular counts too."""
    words = {row.required("form") for row in read_rows(path, ("form", "source"), key=("form",))}
    return frozenset(words | {singular(word) for word in words})


def load_entry_kinds(path: Path) -> EntryKinds:
    """What descriptions of entries begin with, by what a line leaves open of these."""
    found: dict[str, list[str]] = {kind: [] for kind in ENTRY_KINDS}
    for row in read_rows(path, ("description", "kind", "source"), key=("description", "kind")):
        row.required("source")
        found[row.one_of("kind", ENTRY_KINDS)].append(row.required("description"))
    return EntryKinds(**{kind.replace(" ", "_"): tuple(forms) for kind, forms in found.items()})


def check_targets(names: Iterable[Name], known: Container[str]) -> None:
    """Raise TableError for the first name whose entry does not exist in the dataset that it names."""
    for name in names:
        if name.food_id is not None and name.food_id not in known:
            file, _, line = name.place.partition(":")
            code = name.food_id.partition(":")[2]
            raise TableError("no such entry", file=file, line=int(line or 0), column="sr28", value=code)
