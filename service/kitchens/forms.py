"""The form in which recipes, own foods and standing choices are sent and saved, and the core values they stand for.

Fields with defaults may be left out; a field that is not known is refused. Errors are pydantic's, which the API and
the command turn into pointers.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Annotated, Any, Literal, Self, TypeVar

import orjson
from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from service.core.errors import InputError
from service.core.kitchen import StandingChoice
from service.core.label import OwnFood
from service.core.nutrients import NetConvention
from service.core.recipe import (
    Recipe,
    RecipeLine,
    RecipeYield,
    Section,
    Swap,
    Variant,
    checked,
)

# Items of a list: so many that what is wrong with each of them is still told quickly.
MOST_ITEMS = 5_000


def _kept(text: str) -> str:
    """Text that every database keeps."""
    if "\0" in text:
        raise ValueError("the character NUL cannot be kept")
    return text


Kept = Annotated[str, AfterValidator(_kept)]
Text = Annotated[Kept, Field(max_length=1000)]
Name = Annotated[Kept, Field(max_length=300)]
_FOOD_ID = r"^[a-z][a-z0-9-]*:[^\s:]{1,40}$"
FoodId = Annotated[Kept, Field(pattern=_FOOD_ID)]


class Form(BaseModel):
    """What is common to all: unknown fields are refused, numbers are finite and no text in place of one."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, populate_by_name=True, strict=True)

    def dumped(self) -> dict[str, object]:
        """The form with every default filled in, ready for JSON."""
        return self.model_dump(by_alias=True)

    def json_text(self) -> str:
        """The form as the JSON that is saved."""
        return orjson.dumps(self.dumped()).decode()


class LineForm(Form):
    text: Text
    optional: bool = False
    share_eaten: float = 1.0
    food: FoodId | None = Field(None, description="Overrules the text: `sr28:01001`, `own:3`, `recipe:7`.")
    grams: float | None = Field(None, description="Edible grams that overrule the text.")
    treatment: Name | None = Field(None, description="A cooking treatment, as `GET /treatments` lists them.")
    left_out: bool = Field(False, description="It stays in the list, struck, and counts nowhere.")

    def value(self) -> RecipeLine:
        return RecipeLine(
            self.text, self.optional, self.share_eaten, self.food, self.grams, self.treatment, self.left_out
        )


class SectionForm(Form):
    name: Name = ""
    optional: bool = False
    lines: list[LineForm] = Field([], max_length=MOST_ITEMS)

    def value(self) -> Section:
        return Section(tuple(line.value() for line in self.lines), self.name, self.optional)


class YieldForm(Form):
    pieces: float | None = None
    piece_name: Name | None = None
    cooked_grams: float | None = None
    factor: float | None = None

    def value(self) -> RecipeYield:
        return RecipeYield(self.pieces, self.piece_name, self.cooked_grams, self.factor)


class SwapForm(Form):
    line: Text
    by: LineForm


class VariantForm(Form):
    name: Name
    without: list[Text] = Field([], max_length=MOST_ITEMS)
    with_: list[Text] = Field([], alias="with", max_length=MOST_ITEMS)
    swaps: list[SwapForm] = Field([], max_length=MOST_ITEMS)
    servings: float | None = None

    def value(self) -> Variant:
        swaps = tuple(Swap(swap.line, swap.by.value()) for swap in self.swaps)
        return Variant(self.name, tuple(self.without), tuple(self.with_), swaps, self.servings)


class NetForm(Form):
    polyols: Literal["all", "half", "by name", "none"] = "all"
    allulose: bool = True

    def value(self) -> NetConvention:
        return NetConvention(self.polyols, self.allulose)


class RecipeForm(Form):
    """A recipe as stored and sent."""

    title: Name
    servings: float = 1
    yields: YieldForm = Field(default_factory=YieldForm, alias="yield")
    sections: list[SectionForm] = Field([], max_length=MOST_ITEMS)
    variants: list[VariantForm] = Field([], max_length=50)
    net_carbohydrate: NetForm = Field(default_factory=NetForm)

    def value(self) -> Recipe:
        """The recipe, checked; InputError with a pointer where it cannot be."""
        return checked(
            Recipe(
                self.title, tuple(section.value() for section in self.sections), self.servings, self.yields.value(),
                tuple(variant.value() for variant in self.variants), self.net_carbohydrate.value(),
            )
        )  # fmt: skip

    @classmethod
    def of(cls, recipe: Recipe) -> Self:
        """The form of a recipe that was read from text."""
        sections = [
            SectionForm(name=one.name, optional=one.optional, lines=[_line_form(line) for line in one.lines])
            for one in recipe.sections
        ]
        made = recipe.yields
        yields = YieldForm(
            pieces=made.pieces, piece_name=made.piece_name, cooked_grams=made.cooked_grams, factor=made.factor
        )
        return cls.model_validate(
            {"title": recipe.title, "servings": recipe.servings, "yield": yields, "sections": sections}
        )


def _line_form(line: RecipeLine) -> LineForm:
    return LineForm(text=line.text, optional=line.optional, share_eaten=line.share_eaten, food=line.food,
                    grams=line.grams, treatment=line.treatment, left_out=line.left_out)  # fmt: skip


class MeasureForm(Form):
    amount: Annotated[float, Field(gt=0, le=100_000)] = 1
    measure: Annotated[Kept, Field(min_length=1, max_length=100)]
    grams: Annotated[float, Field(gt=0, le=100_000)]


class OwnFoodForm(Form):
    """A food as its label states it; what the label does not state is left out, not 0."""

    description: Name
    basis: Literal["100 g", "100 ml", "serving"] = "100 g"
    serving_grams: float | None = None
    serving_ml: float | None = None
    grams_per_100_ml: float | None = None
    carbohydrate_basis: Literal["total", "available"] = Field(
        "total", description="`total`: a US label, fibre inside; `available`: an EU or UK label, fibre outside."
    )
    components: dict[str, float] = Field({}, max_length=1000, description="Tagname to amount in the basis.")
    measures: list[MeasureForm] = Field([], max_length=100)

    @property
    def title(self) -> str:
        """What it goes by, as of every form that is saved."""
        return self.description

    def value(self) -> OwnFood:
        """The own food, not yet checked against the components that there are."""
        measures = tuple((one.amount, one.measure, one.grams) for one in self.measures)
        return OwnFood(
            self.description, self.basis, self.serving_grams, self.serving_ml, self.grams_per_100_ml,
            self.carbohydrate_basis, self.components, measures,
        )  # fmt: skip


class ChoiceForm(Form):
    """A standing choice: just one of `food`, `size` and `grams`."""

    phrase: Annotated[Kept, Field(min_length=1, max_length=200)]
    food: FoodId | None = None
    size: Literal["extra small", "small", "medium", "large", "extra large", "jumbo"] | None = None
    grams: Annotated[float, Field(gt=0, le=100_000)] | None = None

    @model_validator(mode="after")
    def _one_ruling(self) -> Self:
        if sum(given is not None for given in (self.food, self.size, self.grams)) != 1:
            raise ValueError("give just one of food, size and grams")
        return self

    def value(self) -> StandingChoice:
        return StandingChoice(self.phrase, self.food, self.size, self.grams)


F = TypeVar("F", bound=Form)


def read_form(form: type[F], text: str | bytes) -> F:
    """A form from JSON text that was saved; InputError with the pointer of the first fault."""
    return check_form(form, orjson.loads(text))


def json_value(text: str | bytes) -> object:
    """A JSON value; InputError with the line where it is none, or where an object has a name twice."""
    try:
        value: object = orjson.loads(text)
    except orjson.JSONDecodeError as error:
        raise InputError(f"it is no JSON: {error}", line=error.lineno) from None
    check_names(text)
    return value


def check_names(text: str | bytes) -> None:
    """InputError where an object of a JSON text has a name twice: all but one value would be lost unseen."""
    text = text if isinstance(text, str) else text.decode()
    if len(_NAME.findall(text)) < 2:
        return
    try:
        _NAMES_ONCE.decode(text)
    except RecursionError:
        raise InputError("the JSON is nested too deeply") from None


def _once(members: Sequence[tuple[str, object]]) -> None:
    [(name, times)] = Counter(name for name, _ in members).most_common(1) or [("", 0)]
    if times > 1:
        raise InputError(f"{name[:60]!r} stands {'twice' if times == 2 else f'{times} times'} in one object")


# The end of a member's name; strings may hold it too. What the values are is read elsewhere.
_NAME = re.compile(r'"\s*:')
_NAMES_ONCE = json.JSONDecoder(object_pairs_hook=_once, parse_int=str, parse_float=str)


def lines_of(body: str) -> Iterator[str]:
    """The texts of every line of a saved recipe, without reading all of its form."""
    recipe = orjson.loads(body)
    for section in recipe["sections"]:
        yield from (line["text"] for line in section["lines"])
    for variant in recipe.get("variants", ()):
        yield from (swap["by"]["text"] for swap in variant.get("swaps", ()))


def check_form(form: type[F], value: object) -> F:
    """A form from a JSON value; InputError with the pointer of the first fault."""
    try:
        return form.model_validate(value)
    except ValidationError as error:
        fault = error.errors(include_url=False, include_context=False)[0]
        pointer = "".join(f"/{key}" for key in fault["loc"])
        raise InputError(f"{pointer or 'the form'}: {fault_text(fault)}", pointer=pointer) from None


def fault_text(fault: Mapping[str, Any]) -> str:
    """What pydantic finds wrong, in words of whoever sent it."""
    if fault["type"] == "model_type":  # pydantic names its own class here
        return "must be a JSON object"
    message = str(fault["msg"]).removeprefix("Value error, ")
    if fault["type"] == "string_pattern_mismatch" and _FOOD_ID in message:
        return f"{str(fault['input'])[:60]!r} is no food id, such as sr28:01001, own:3 or recipe:7"
    if fault["type"] in ("too_long", "too_short") and isinstance(fault["input"], str):
        message = message.replace("item", "character").replace(" after validation", "")
    return message[:1].lower() + message[1:]
