"""A recipe as a writer saves it: frozen values, and the checks that no recipe may fail.

Grams are of edible portion; shares are of 1. What a recipe comes to is worked out in `composition` and `figures`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field

from service.core.errors import InputError
from service.core.nutrients import CONVENTION, NetConvention

MOST_LINES = 2_000
# A tenth of a serving is a taster; less is a slip of the finger.
LEAST_SERVINGS, MOST_SERVINGS = 0.1, 10_000
# Pasta and rice take up twice their weight of water that no line may mention; nothing takes up more than this.
MOST_FACTOR = 5.0
MOST_GRAMS = 1_000_000
# What the recipe without and with all that is optional is called.
PLAIN, EVERYTHING = "plain", "with everything"


@dataclass(frozen=True, slots=True)
class RecipeLine:
    """One line; `food` (an id) and `grams` overrule what the text says.

    share_eaten  share of 1 that is eaten: oil left in the pan and thrown marinade are not
    treatment    a cooking treatment of service/tables/treatments.csv
    left_out     it stands in the list, struck: no way to serve the recipe counts it, and nothing published has it
    """

    text: str
    optional: bool = False
    share_eaten: float = 1.0
    food: str | None = None
    grams: float | None = None
    treatment: str | None = None
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Section:
    """Lines under a name; an optional section is a topping or garnish that the plain recipe does without."""

    lines: tuple[RecipeLine, ...]
    name: str = ""
    optional: bool = False


@dataclass(frozen=True, slots=True)
class RecipeYield:
    """What the recipe makes: pieces with their name, the cooked weight or its factor of the raw weight."""

    pieces: float | None = None
    piece_name: str | None = None
    cooked_grams: float | None = None
    factor: float | None = None


@dataclass(frozen=True, slots=True)
class Swap:
    """In a variant, another line in place of the line of this text."""

    line: str
    by: RecipeLine


@dataclass(frozen=True, slots=True)
class Variant:
    """The recipe with these sections or optional lines, without those, with lines swapped, or for other servings.

    `without` and `with_` name sections, or lines by their text.
    """

    name: str
    without: tuple[str, ...] = ()
    with_: tuple[str, ...] = ()
    swaps: tuple[Swap, ...] = ()
    servings: float | None = None


@dataclass(frozen=True, slots=True)
class Recipe:
    """A recipe; lines are numbered through all sections, from 1, and after them the lines of variants' swaps."""

    title: str
    sections: tuple[Section, ...]
    servings: float = 1
    yields: RecipeYield = field(default_factory=RecipeYield)
    variants: tuple[Variant, ...] = ()
    net: NetConvention = CONVENTION

    @property
    def lines(self) -> tuple[RecipeLine, ...]:
        """Every line of the sections, in order."""
        return tuple(line for section in self.sections for line in section.lines)

    @property
    def swapped(self) -> tuple[RecipeLine, ...]:
        """The lines that variants bring in, in order."""
        return tuple(swap.by for variant in self.variants for swap in variant.swaps)

    def placed(self) -> Iterator[tuple[str, RecipeLine]]:
        """Every line with the pointer of its place, those of swaps last."""
        for at, section in enumerate(self.sections):
            for row, line in enumerate(section.lines):
                yield f"/sections/{at}/lines/{row}", line
        for at, variant in enumerate(self.variants):
            for row, swap in enumerate(variant.swaps):
                yield f"/variants/{at}/swaps/{row}/by", swap.by


# ---- checks ----------------------------------------------------------------------------------------------------


def checked(recipe: Recipe) -> Recipe:
    """The recipe as it is; InputError with a pointer to the field where it cannot be."""
    if not recipe.title.strip():
        raise InputError("a recipe needs a title", pointer="/title")
    _within(recipe.servings, "servings", "/servings", most=MOST_SERVINGS, least=LEAST_SERVINGS)
    _check_yield(recipe.yields)
    lines = list(recipe.placed())
    if len(lines) > MOST_LINES:
        raise InputError(f"a recipe may have {MOST_LINES:,} lines, not {len(lines):,}", pointer="/sections")
    for pointer, line in lines:
        _check_line(line, pointer)
    for at, variant in enumerate(recipe.variants):
        _check_variant(recipe, variant, f"/variants/{at}")
    return recipe


def worth_keeping(recipe: Recipe) -> Recipe:
    """The recipe as it is; InputError where it cannot be kept: while it is written it may be without a line."""
    if not recipe.lines:
        raise InputError("a recipe without a line is not saved", pointer="/sections")
    names = [variant.name for variant in recipe.variants]
    for at, name in enumerate(names):
        if name in names[:at]:
            raise InputError(f"another variant is called {name!r} already", pointer=f"/variants/{at}/name")
        if means := _meant_otherwise(recipe, recipe.variants[at]):
            raise InputError(f"{name!r} is {means}: call this variant otherwise", pointer=f"/variants/{at}/name")
    return recipe


def _meant_otherwise(recipe: Recipe, variant: Variant) -> str:
    """What a variant's name says of every recipe, where the variant is another; "" where it may be called so."""
    if variant.name == EVERYTHING and variant_lines(recipe, variant) != all_lines(recipe):
        return "the recipe with all that is optional"
    same = not variant.with_ and variant.servings in (None, recipe.servings)
    if variant.name == PLAIN and not (same and variant_lines(recipe, variant) == plain_lines(recipe)):
        return "the recipe without what is optional"
    return ""


def _within(number: float | None, what: str, pointer: str, *, most: float, least: float = 0.0) -> None:
    if number is not None and not (math.isfinite(number) and 0 < number <= most):
        raise InputError(f"{what} must be above 0 and at most {most:,.12g}, not {number:,.12g}", pointer=pointer)
    if number is not None and number < least:
        raise InputError(f"{what} must be at least {least:g}, not {number:g}", pointer=pointer)


def _check_yield(yields: RecipeYield) -> None:
    _within(yields.pieces, "pieces", "/yield/pieces", most=MOST_SERVINGS)
    _within(yields.cooked_grams, "cooked grams", "/yield/cooked_grams", most=MOST_GRAMS)
    _within(yields.factor, "the yield factor", "/yield/factor", most=MOST_FACTOR)
    if yields.cooked_grams is not None and yields.factor is not None:
        raise InputError("give the cooked weight or the yield factor, not both", pointer="/yield/factor")


def _check_line(line: RecipeLine, pointer: str) -> None:
    if not (math.isfinite(line.share_eaten) and 0 <= line.share_eaten <= 1):
        raise InputError(
            f"the share eaten must be from 0 to 1, not {line.share_eaten:g}", pointer=f"{pointer}/share_eaten"
        )
    if line.grams is not None and not (math.isfinite(line.grams) and 0 <= line.grams <= MOST_GRAMS):
        raise InputError(f"grams must be from 0 to {MOST_GRAMS:,}, not {line.grams:,.12g}", pointer=f"{pointer}/grams")


def _check_variant(recipe: Recipe, variant: Variant, pointer: str) -> None:
    if not variant.name.strip():
        raise InputError("a variant needs a name", pointer=f"{pointer}/name")
    _within(variant.servings, "servings", f"{pointer}/servings", most=MOST_SERVINGS, least=LEAST_SERVINGS)
    known = {section.name for section in recipe.sections} | {line.text for line in recipe.lines}
    for field_name, names in (("without", variant.without), ("with", variant.with_)):
        for at, name in enumerate(names):
            if name not in known:
                message = f"variant {variant.name!r}: no section or line is called {name!r}"
                raise InputError(message, pointer=f"{pointer}/{field_name}/{at}")
    _check_swaps(recipe, variant, pointer)


def _check_swaps(recipe: Recipe, variant: Variant, pointer: str) -> None:
    """Each stands for a line of its own; whoever changed that line may not have had the variant in mind."""
    texts, swapped = [line.text for line in recipe.lines], set[str]()
    for at, swap in enumerate(variant.swaps):
        fault = ""
        if swap.line not in texts:
            fault = f"no line is {swap.line!r}"
        elif swap.line in swapped:
            fault = f"{swap.line!r} is swapped already"
        elif texts.count(swap.line) > 1:
            fault = f"{swap.line!r} is more than one line: word them apart"
        if fault:
            raise InputError(f"variant {variant.name!r}: {fault}", pointer=f"{pointer}/swaps/{at}/line")
        swapped.add(swap.line)


# ---- which lines count -----------------------------------------------------------------------------------------


def plain_lines(recipe: Recipe, said_optional: frozenset[int] = frozenset()) -> frozenset[int]:
    """Numbers of the lines of the plain recipe: all but optional ones and those left out.

    `said_optional` are optional by their own text.
    """
    numbers = set()
    for number, (section, line) in enumerate(_in_sections(recipe), 1):
        if not (section.optional or line.optional or line.left_out or number in said_optional):
            numbers.add(number)
    return frozenset(numbers)


def all_lines(recipe: Recipe) -> frozenset[int]:
    """Numbers of the recipe with everything that is optional; lines left out and those of swaps are not in it."""
    return frozenset(number for number, line in enumerate(recipe.lines, 1) if not line.left_out)


def variant_lines(recipe: Recipe, variant: Variant, said_optional: frozenset[int] = frozenset()) -> frozenset[int]:
    """Numbers of the lines that a variant counts; `with_` adds to the plain recipe, `without` takes from it."""
    numbers = set(plain_lines(recipe, said_optional))
    numbers |= _named(recipe, variant.with_)
    numbers -= _named(recipe, variant.without)
    swapped = len(recipe.lines) + sum(len(other.swaps) for other in _before(recipe, variant))
    for place, swap in enumerate(variant.swaps, 1):
        gone = _named(recipe, (swap.line,))
        if numbers & gone:
            numbers = (numbers - gone) | {swapped + place}
    return frozenset(numbers)


def _before(recipe: Recipe, variant: Variant) -> tuple[Variant, ...]:
    return recipe.variants[: next(at for at, one in enumerate(recipe.variants) if one is variant)]


def _named(recipe: Recipe, names: tuple[str, ...]) -> set[int]:
    wanted = set(names)
    return {
        number
        for number, (section, line) in enumerate(_in_sections(recipe), 1)
        if (section.name in wanted or line.text in wanted) and not line.left_out
    }


def _in_sections(recipe: Recipe) -> Iterator[tuple[Section, RecipeLine]]:
    for section in recipe.sections:
        for line in section.lines:
            yield section, line
