"""The forms of requests, which are checked by them, and of answers, which the OpenAPI document describes by them.

Answers are not run through these models when they are sent; a test holds them against live answers.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema, field_validator, model_validator

from service.bulk import split_lines
from service.core.nutrients import DEFAULT_COMPONENTS

LINES_LIMIT = 10_000

_Tagnames = {"type": "array", "items": {"type": "string"}}
Tagnames = Annotated[
    list[str],
    BeforeValidator(lambda value: ["all"] if value == "all" else value),
    WithJsonSchema({"anyOf": [{"const": "all"}, _Tagnames]}),
]
Outcome = Literal["resolved", "check", "no_match", "not_food"]


class ResolutionRequest(BaseModel):
    """An ingredient list: either `lines` or `text`, whose lines end at line feeds."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    lines: list[str] | None = Field(None, description="Ingredient lines; at most 10,000 of 1,000 characters.")
    text: str | None = Field(None, description="The ingredient list as one block of text, a line each.")
    servings: float | None = Field(None, gt=0, allow_inf_nan=False, description="Divides the totals; above 0.")
    components: Tagnames | None = Field(
        None, description=f'Tagnames of components, or "all"; by default {", ".join(DEFAULT_COMPONENTS)}.'
    )
    datasets: list[str] | None = Field(
        None, min_length=1, description="Datasets to look in, the preferred one first; by default those in use."
    )

    @field_validator("lines", "text")
    @classmethod
    def limited(cls, given: list[str] | str | None) -> list[str] | str | None:
        """Some lines, and no more than the limit."""
        count = len(split_lines(given) if isinstance(given, str) else given or ())
        if given is not None and not count:
            raise ValueError("there is no line in it")
        if count > LINES_LIMIT:
            raise ValueError(f"at most {LINES_LIMIT:,} lines are read, {count:,} were sent")
        return given

    @model_validator(mode="after")
    def one_source(self) -> ResolutionRequest:
        """Lines or text, not both and not neither."""
        if (self.lines is None) == (self.text is None):
            raise ValueError("give either lines or text")
        return self

    def given_lines(self) -> list[str]:
        """The lines, from whichever field has them."""
        return self.lines if self.lines is not None else split_lines(self.text or "")

    def given_components(self) -> tuple[str, ...]:
        """The components asked for, else the default ones."""
        return DEFAULT_COMPONENTS if self.components is None else tuple(self.components)


# ---- answers ---------------------------------------------------------------------------------------------------


class FoodName(BaseModel):
    id: str = Field(description="<dataset>:<publisher's code>")
    description: str


class CandidateAnswer(FoodName):
    confidence: float


class AmountAnswer(BaseModel):
    low: float
    high: float
    measure: str | None
    size: str | None
    heap: str | None = None
    approximate: bool = False
    package: AmountAnswer | None = None
    plus: AmountAnswer | None = None
    also: AmountAnswer | None = None


class GramsAnswer(BaseModel):
    value: float | None = Field(description="Grams of edible portion; null where unknown.")
    low: float | None
    high: float | None
    rule: str = Field(description="The weighing rule that answered.")
    basis: str = Field(description="The figure that the weight rests on.")


class PartAnswer(BaseModel):
    text: str
    outcome: Outcome
    confidence: float = Field(ge=0, le=1, description="Calibrated: of answers given 0.9, nine in ten are right.")
    food: FoodName | None
    candidates: list[CandidateAnswer]
    amount: AmountAnswer | None
    grams: GramsAnswer | None
    components: dict[str, float | None] = Field(description="Tagname to amount in these grams; null where unknown.")
    optional: bool
    reasons: list[str]


class LineAnswer(BaseModel):
    line: str = Field(description="The line as it was sent.")
    outcome: Outcome = Field(description="The weakest of the parts': resolved, check, no_match, not_food.")
    parts: list[PartAnswer] = Field(description="One for each food that the line names.")
    reasons: list[str]


class TotalAnswer(BaseModel):
    value: float | None = Field(description="Null where a line lacks it: then `low` is a lower bound.")
    low: float
    high: float | None
    unit: str
    known: float = Field(description="Sum of what is known, equal to `value` where everything is.")
    unknown_in: list[int] = Field(description="Numbers of the lines, from 1, that lack it.")


class NetAnswer(TotalAnswer):
    formula: str
    clamped_in: list[int] = Field(description="Lines of foods with more fibre than carbohydrate: net is 0 there.")


class TotalsAnswer(BaseModel):
    components: dict[str, TotalAnswer]
    net_carbohydrate: NetAnswer


class LinesCoverage(BaseModel):
    given: int
    food: int = Field(description="Lines that name food.")
    counted: int
    share: float | None


class GramsCoverage(BaseModel):
    stated: float | None = Field(description="Null where a line that does not count has no known weight.")
    counted: float
    share: float | None


class CoverageAnswer(BaseModel):
    lines: LinesCoverage
    grams: GramsCoverage
    no_match: list[int]
    no_weight: list[int]
    to_check: list[int] = Field(description="Counted, but somebody should look at them.")
    optional: list[int]
    notes: list[str]


class ReleaseName(BaseModel):
    dataset: str
    name: str
    release: str
    licence: str
    citation: str


class ResolutionAnswer(BaseModel):
    servings: float | None
    whole: TotalsAnswer
    per_serving: TotalsAnswer | None
    coverage: CoverageAnswer
    lines: list[LineAnswer]
    releases: list[ReleaseName]


class FoundFood(FoodName):
    group: str
    common_name: str
    scientific_name: str


class FoodSearchAnswer(BaseModel):
    search: str
    foods: list[FoundFood]
    releases: list[ReleaseName]


class Refuse(BaseModel):
    percent: float = Field(description="Percent of the as-purchased weight that is not eaten.")
    text: str


class EnergyFactors(BaseModel):
    protein: float | None
    fat: float | None
    carbohydrate: float | None


class MeasureAnswer(BaseModel):
    amount: float
    measure: str
    grams: float = Field(description="Grams of edible portion of `amount` of the measure.")


class CodeAnswer(BaseModel):
    code: str
    text: str


class ValueAnswer(BaseModel):
    value: float | None = Field(description="Per 100 g; null, with `reason`, where the publisher gives none.")
    name: str
    unit: str
    samples: int | None = Field(None, description="0: calculated or imputed.")
    standard_error: float | None = None
    source: CodeAnswer | None = None
    derivation: CodeAnswer | None = None
    reason: str | None = None


class FoodNet(BaseModel):
    value: float | None
    unit: str
    formula: str
    reason: str | None


class FoodAnswer(FoundFood):
    basis: str
    refuse: Refuse
    energy_factors: EnergyFactors = Field(description="kcal per gram that the publisher used.")
    nitrogen_factor: float | None
    measures: list[MeasureAnswer]
    components: dict[str, ValueAnswer]
    net_carbohydrate: FoodNet
    langual: list[CodeAnswer]
    footnotes: list[str]
    releases: list[ReleaseName]


class ComponentAnswer(BaseModel):
    tagname: str
    number: str
    name: str
    unit: str
    decimals: int


class ComponentsAnswer(BaseModel):
    components: list[ComponentAnswer]
    releases: list[ReleaseName]


class DatasetAnswer(ReleaseName):
    foods: int
    components: int
    values: int
    measures: int
    loaded: str


class DatasetsAnswer(BaseModel):
    datasets: list[DatasetAnswer]


class HealthAnswer(BaseModel):
    status: Literal["ok"]


class ReadyAnswer(BaseModel):
    status: Literal["ready"]
    datasets: list[str]


class ProblemError(BaseModel):
    pointer: str | None = Field(None, description="RFC 6901 pointer of the field or parameter.")
    line: int | None = Field(None, description="Line of the body, from 1.")
    detail: str


class Problem(BaseModel):
    """Problem details (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    instance: str
    errors: list[ProblemError] | None = None


