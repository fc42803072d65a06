"""The forms of requests, which are checked by them, and of answers, which the OpenAPI document describes by them.

Answers are not run through these models when they are sent; a test holds them against live answers.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    RootModel,
    WithJsonSchema,
    field_validator,
    model_validator,
)

from service.bulk import split_lines
from service.core.analyse import By
from service.core.nutrients import DEFAULT_COMPONENTS
from service.kitchens import forms

LINES_LIMIT = 10_000
MOST_DATASETS = 100
_TOO_MANY = f"at most {LINES_LIMIT:,} lines are read, {{:,}} were sent"

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
        None,
        max_length=1000,
        description=f'Tagnames of components, or "all"; by default {", ".join(DEFAULT_COMPONENTS)}.',
    )
    datasets: list[str] | None = Field(
        None,
        min_length=1,
        max_length=MOST_DATASETS,
        description="Datasets to look in, the preferred one first; by default those in use.",
    )
    kitchen: bool = Field(True, description="Whether own foods, saved recipes and standing choices come first.")

    @field_validator("lines", mode="before")
    @classmethod
    def not_too_many(cls, given: object) -> object:
        """So many lines that what is wrong with each of them is still told quickly."""
        if isinstance(given, list) and len(given) > LINES_LIMIT:
            raise ValueError(_TOO_MANY.format(len(given)))
        return given

    @field_validator("lines", "text")
    @classmethod
    def limited(cls, given: list[str] | str | None) -> list[str] | str | None:
        """Some lines, and no more than the limit."""
        count = len(split_lines(given) if isinstance(given, str) else given or ())
        if given is not None and not count:
            raise ValueError("there is no line in it")
        if count > LINES_LIMIT:
            raise ValueError(_TOO_MANY.format(count))
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
    less: AmountAnswer | None = None
    also: AmountAnswer | None = None


class GramsAnswer(BaseModel):
    value: float | None = Field(description="Grams of edible portion; null where unknown.")
    low: float | None = Field(
        description="Null where unknown. Of a share of a saved recipe in which not all has a weight it is a lower "
        "bound, while `value` and `high` are null."
    )
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
    borrowed: dict[str, str] = Field(
        {},
        description="Tagname to the id of the entry that lends this component: the food's own table gives it for no "
        "food, and its publisher says that both are the same food. Left out where nothing is borrowed.",
    )
    derived: dict[str, str] = Field(
        {},
        description="Tagname to the formula of a component that the publisher does not give, worked out from what it "
        "gives for 100 g, as total carbohydrate from available carbohydrate and fibre. Left out where nothing is.",
    )
    optional: bool
    by: By = Field(description="Who chose the food, where it was not found in the tables.")
    reasons: list[str]


class LineAnswer(BaseModel):
    line: str = Field(description="The line as it was sent.")
    outcome: Outcome = Field(
        description="The weakest of the parts': resolved, check, no_match, not_food; check where the tables have "
        "an entry for some of them and none for others, which are not counted."
    )
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


class DoubtAnswer(BaseModel):
    kind: str
    text: str


class FoodAnswer(FoundFood):
    basis: str
    refuse: Refuse
    energy_factors: EnergyFactors = Field(description="kcal per gram that the publisher used.")
    nitrogen_factor: float | None
    measures: list[MeasureAnswer]
    components: dict[str, ValueAnswer]
    net_carbohydrate: FoodNet
    langual: list[CodeAnswer] = []
    footnotes: list[str] = []
    original_name: str = Field("", description="The publisher's name in its own language, where there is one.")
    linked: list[str] = Field(
        [],
        description="Ids of the same food in other datasets, by the publisher's statement; not those that name and "
        "figures tell apart from it.",
    )
    gtin: str = Field("", description="The number in the bar code of a packaged food, of 14 digits.")
    doubts: list[DoubtAnswer] = Field([], description="What does not add up in the publisher's figures.")
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
    carbohydrate_basis: Literal["total", "available"] = Field(
        description="`total`: by difference, fibre inside; `available`: fibre outside."
    )
    energy_basis: str = Field(description="The factors that the publisher's energy rests on.")
    fibre_method: str


class DatasetsAnswer(BaseModel):
    datasets: list[DatasetAnswer]


class StoredReleaseAnswer(DatasetAnswer):
    active: bool = Field(description="Whether it is the release that answers.")


class ReleasesAnswer(BaseModel):
    releases: list[StoredReleaseAnswer]


class NamedFood(BaseModel):
    id: str
    description: str


class FoodPairAnswer(BaseModel):
    old: NamedFood
    new: NamedFood


class GivenAmount(BaseModel):
    value: float | None = Field(description="Per 100 g; null where it is not given.")
    limit: float | None = Field(description="The amount that it is below, where the release says only that.")


class ValueChangeAnswer(BaseModel):
    food: NamedFood
    tagname: str
    unit: str
    old: GivenAmount
    new: GivenAmount


class WeighedMeasure(BaseModel):
    amount: float
    measure: str
    grams: float


class MeasureChangeAnswer(BaseModel):
    food: NamedFood
    old: WeighedMeasure | None
    new: WeighedMeasure | None


class HealthAnswer(BaseModel):
    status: Literal["ok"]


class ReadyAnswer(BaseModel):
    status: Literal["ready"]
    datasets: list[str]


class ProblemError(BaseModel):
    pointer: str | None = Field(None, description="RFC 6901 pointer of the field or parameter.")
    line: int | None = Field(None, description="Line of the body, from 1.")
    detail: str


class UserAnswer(BaseModel):
    id: str
    title: str


class Problem(BaseModel):
    """Problem details (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    instance: str
    errors: list[ProblemError] | None = None
    current_revision: int | None = Field(None, description="With 412: the revision that now stands.")
    users: list[UserAnswer] | None = Field(None, description="With 409: the recipes that use it.")


# ---- kitchens --------------------------------------------------------------------------------------------------


class SavedAnswer(BaseModel):
    id: str = Field(description="`recipe:<n>`, `own:<n>` or `choice:<n>`; of the first two, also the id as a food.")
    revision: int = Field(description="What If-Match names; the ETag.")
    saved: str = Field(description="RFC 3339 time in UTC.")


class ListedRecipe(SavedAnswer):
    title: str


class RecipesAnswer(BaseModel):
    recipes: list[ListedRecipe]


class OwnFoodsAnswer(BaseModel):
    own_foods: list[ListedRecipe]


class RecipeAnswer(SavedAnswer, forms.RecipeForm):
    pass


class BoundsAnswer(BaseModel):
    low: float | None
    high: float | None


Compared = Annotated[
    dict[str, float | None], Field(description="Energy, macronutrients and net carbohydrate of one serving.")
]

ComparedBounds = Annotated[
    dict[str, BoundsAnswer],
    Field(description="The bounds of each figure: where it is not known, it is no less than `low`; null is no bound."),
]


class BeforeAndAfter(BaseModel):
    before: Compared | None = Field(description="Null where it cannot be worked out.")
    before_bounds: ComparedBounds | None
    after: Compared | None
    after_bounds: ComparedBounds | None


class ChangedVariantAnswer(BeforeAndAfter):
    name: str = Field(examples=["with everything"])


class ChangedAnswer(BeforeAndAfter, UserAnswer):
    variants: list[ChangedVariantAnswer] = Field(
        description="Further ways to serve it whose figures change; `before` and `after` are of the plain recipe."
    )


Successor = Annotated[
    str | None, Field(description="The id of the same food in `new` where its code changed, by the publisher's link.")
]


class ChoiceChangeAnswer(BaseModel):
    phrase: str
    food: str
    old: str | None = Field(description="Description of the food; null where the release lacks it.")
    new: str | None
    successor: Successor


class LostLine(BaseModel):
    line: str = Field(examples=["20 g butter"])
    food: str = Field(
        description="The entry that was chosen for the line, or that a standing choice names for it.",
        examples=["sr28:01001"],
    )
    successor: Successor


class ImpactOnRecipe(ChangedAnswer):
    lost: list[LostLine] = Field(
        description="Lines whose entry `new` lacks: `after` is without them until they have another food."
    )


class ImpactAnswer(BaseModel):
    active: str | None = Field(
        description="The release that answers now, which the old figures are by. Null where the dataset is not in use, "
        "so that nothing changes by it."
    )
    recipes: list[ImpactOnRecipe]
    choices: list[ChoiceChangeAnswer]


class ComparisonCounts(BaseModel):
    recipes_changed: int
    standing_choices_changed: int
    foods_added: int
    foods_dropped: int
    foods_renamed: int
    codes_changed: int
    components_added: int
    components_dropped: int
    values_changed: int
    measures_changed: int


class ComparisonAnswer(BaseModel):
    old: DatasetAnswer
    new: DatasetAnswer
    counts: ComparisonCounts
    added: list[NamedFood]
    dropped: list[NamedFood]
    renamed: list[FoodPairAnswer]
    recoded: list[FoodPairAnswer] = Field(description="The same food under another code, by the publisher's link.")
    components_added: list[ComponentAnswer]
    components_dropped: list[ComponentAnswer]
    values_changed: list[ValueChangeAnswer] = Field(description="By more than half of the last place printed.")
    measures_changed: list[MeasureChangeAnswer]
    impact: ImpactAnswer = Field(description="What would change in the kitchen if `new` were the active release.")


class SavedRecipeAnswer(RecipeAnswer):
    notes: list[str] = Field(description="What was assumed while the recipe was read.")
    changed: list[ChangedAnswer] = Field(description="Recipes that use it and now come to other figures.")


class RevisionAnswer(BaseModel):
    revision: int
    saved: str
    title: str
    deleted: bool
    change: int = Field(description="The kitchen's change that it was, for `at`.")


class RevisionsAnswer(BaseModel):
    id: str
    revisions: list[RevisionAnswer]


class UsersAnswer(BaseModel):
    id: str
    users: list[UserAnswer] = Field(description="Recipes that use it, directly or through others, the nearest first.")


class OriginAnswer(BaseModel):
    """What the same figures can be worked out from again."""

    recipe: str | None = Field(description="Null for a recipe that is not saved.")
    revision: int | None
    change: int = Field(description="The state of the kitchen: read with `at` it gives the same figures again.")
    vocabulary: str = Field(description="Version of the hand-kept tables.")
    releases: list[str]


class SpreadAnswer(BaseModel):
    value: float
    low: float
    high: float | None


class WeightAnswer(BaseModel):
    raw: SpreadAnswer
    cooked: SpreadAnswer
    basis: str = Field(description="What the cooked weight rests on.")
    notes: list[str]


class RecipeNetAnswer(TotalAnswer):
    formula: str


class RatioAnswer(BaseModel):
    value: float | None
    low: float | None
    high: float | None
    remark: str | None = Field(description="Why it is null.")


class KetogenicRatioAnswer(BaseModel):
    on_total: RatioAnswer
    on_net: RatioAnswer
    formula: str


class FiguresAnswer(BaseModel):
    grams: TotalAnswer
    components: dict[str, TotalAnswer]
    net_carbohydrate: RecipeNetAnswer
    ketogenic_ratio: KetogenicRatioAnswer
    energy_shares: dict[str, float] | None = Field(description="Shares of 1 by general factors; null where unknown.")


class PortionsAnswer(BaseModel):
    servings: float
    weight: WeightAnswer
    whole: FiguresAnswer
    per_serving: FiguresAnswer
    per_piece: FiguresAnswer | None = Field(description="Null where the recipe states no pieces.")
    per_100g: FiguresAnswer | None = Field(description="Null where the weight is not known.")


class VariantAnswer(PortionsAnswer):
    name: str
    lines: list[int] = Field(description="Numbers of the lines that it counts.")
    difference_per_serving: Compared
    difference_bounds: dict[str, BoundsAnswer] = Field(
        description="Bounds of the difference: lines that both have alike cancel, null where there is no bound."
    )


class IngredientAnswer(BaseModel):
    food: FoodName | None
    within: list[str] = Field(description="Titles of the sub-recipes that it is in, the outermost first.")
    grams: SpreadAnswer | None
    notes: list[str]


class RecipeLineAnswer(LineAnswer):
    number: int
    counted: bool = Field(description="Whether the plain recipe counts it.")
    optional: bool
    ingredients: list[IngredientAnswer] = Field(description="Of a sub-recipe, or of a line that is cooked.")


class CautionAnswer(BaseModel):
    kind: str
    text: str
    source: str
    lines: list[int]


class ContributorAnswer(BaseModel):
    line: int
    text: str
    cause: Literal["weight", "cooking", "table value"]
    share: float


class RangeAnswer(BaseModel):
    standard: float = Field(description="Standard uncertainty (JCGM 100:2008) of what is known, per serving.")
    low: float = Field(description="Lower end of the 95 % range.")
    high: float
    contributors: list[ContributorAnswer]
    assumed_in: list[int] = Field(
        description="Lines with a table value whose publisher gives no standard error: 10 % of it is taken, 20 % where "
        "it is from a label or its source tells nothing."
    )


class TraceAnswer(IngredientAnswer):
    line: int
    text: str
    per_100g: float | None
    amount: float | None = Field(description="In the whole dish.")
    source: CodeAnswer | None
    derivation: CodeAnswer | None


class BroughtAnswer(BaseModel):
    """What some lines bring to a plain serving."""

    lines: list[int]
    listed: SpreadAnswer = Field(
        description="Grams of the whole recipe as the lines give them, of what has a weight: a saved recipe weighs "
        "what is taken of it as it is served, and what of a line is not eaten is in it."
    )
    raw: SpreadAnswer = Field(description="Edible grams of the whole recipe, of what has a weight.")
    unweighed: list[int] = Field(description="Lines with a food whose weight is not known.")
    components: dict[str, TotalAnswer]
    net_carbohydrate: TotalAnswer
    ketogenic_ratio: BroughtRatioAnswer
    shares: dict[str, float | None] = Field(description="Shares of 1 of everything; null where not known in full.")


class BroughtRatioAnswer(BaseModel):
    on_total: RatioAnswer
    on_net: RatioAnswer


class SectionAnswer(BroughtAnswer):
    name: str
    optional: bool


class LedgerAnswer(BaseModel):
    recipe: forms.RecipeForm = Field(description="The recipe as it was read.")
    lines: list[BroughtAnswer]
    sections: list[SectionAnswer]
    optional: BroughtAnswer
    everything: BroughtAnswer
    listed: dict[str, SpreadAnswer] = Field(
        description="Grams of the whole recipe as the lines give them, by the name of the way to serve it."
    )
    uncertainty: dict[str, dict[str, RangeAnswer]] = Field(description="By the name of the way to serve it.")


class NutritionAnswer(PortionsAnswer):
    title: str
    origin: OriginAnswer
    coverage: CoverageAnswer
    lines: list[RecipeLineAnswer]
    variants: list[VariantAnswer]
    cautions: list[CautionAnswer]
    releases: list[ReleaseName]
    notes: list[str]
    uncertainty: dict[str, RangeAnswer]
    trace: dict[str, list[TraceAnswer]] | None = Field(None, description="Of the figures that `trace` names.")
    ledger: LedgerAnswer | None = Field(None, description="Of a preview that asks for it.")


class FindingAnswer(BaseModel):
    pointer: str = Field(description="RFC 6901 pointer of the field to look at.")
    text: str


class KitchenFoodAnswer(FoodAnswer):
    revision: int
    saved: str


class OwnFoodAnswer(KitchenFoodAnswer):
    form: forms.OwnFoodForm = Field(description="The label as it was sent, with defaults filled in.")
    findings: list[FindingAnswer] = Field(description="What on the label does not add up; it was saved as it is.")


class SavedOwnFoodAnswer(OwnFoodAnswer):
    changed: list[ChangedAnswer] = Field(description="Recipes that use it and now come to other figures.")


class RecipeFoodAnswer(KitchenFoodAnswer):
    """A saved recipe as a food, per 100 g as made."""

    origin: OriginAnswer


class AnyFoodAnswer(RootModel[OwnFoodAnswer | RecipeFoodAnswer | FoodAnswer]):
    """An own food, a saved recipe as a food, or an entry of the tables."""


class ChoiceAnswer(SavedAnswer, forms.ChoiceForm):
    pass


class ChoicesAnswer(BaseModel):
    choices: list[ChoiceAnswer]
    lost: list[str] = Field(description="Ids of choices whose food is in no table in use.")


class ChangedByChoice(BaseModel):
    changed: list[ChangedAnswer] = Field(description="Recipes that come to other figures by it.")


class OneChoiceAnswer(ChoiceAnswer, ChangedByChoice):
    pass


class DeletedChoiceAnswer(ChangedByChoice):
    id: str


class ImportedChoicesAnswer(ChangedByChoice):
    choices: list[ChoiceAnswer]
    lost: list[str] = Field(description="Ids of those of them whose food is in no table in use.")


class SavedChoiceAnswer(RootModel[OneChoiceAnswer | ImportedChoicesAnswer]):
    """One, or those of a CSV file."""


class TreatmentAnswer(BaseModel):
    name: str
    also: list[str] = Field(description="Other spellings that are understood.")
    leaves: str = Field(description="What of a food is eaten after it.")
    retention: list[str] = Field(description="Methods of the retention table, tried in this order.")
    yields: list[str] = Field(description="Methods of the table of cooking yields, tried in this order.")
    alcohol: str | None = Field(description="The method that says how much ethanol stays; null where no time is said.")
    source: str


class TreatmentsAnswer(BaseModel):
    treatments: list[TreatmentAnswer]


class PanelRowAnswer(BaseModel):
    tagname: str
    name: str
    amount: str = Field(description="As a label prints it, rounded by its rules.")
    daily_value: str = Field(description="Percent of the daily value as printed, empty where there is none.")
    indent: int
    state: Literal["known", "at least", "not known"]


class DeclarationRowAnswer(BaseModel):
    name: str
    per_100g: str | None = Field(description="Null where the weight is not known.")
    per_portion: str
    indent: int
    state: Literal["known", "at least", "not known"]


class PanelAnswer(BaseModel):
    """What a label prints, as data; net carbohydrate is no row of any."""

    title: str
    variant: str
    rules: Literal["us", "eu"]
    servings: str
    serving_size: str
    rows: list[PanelRowAnswer | DeclarationRowAnswer]
    notes: list[str]
    cautions: list[CautionAnswer]
    origin: OriginAnswer
