"""Tables of the store. Several releases of several datasets live side by side, at most one of each dataset active.

Publishers' texts and codes are stored untouched. A change here needs a new version under migrations/versions and
`SCHEMA_VERSION` in engine.py; a test compares the three.
"""

from __future__ import annotations

from sqlalchemy import Column, ForeignKey, Index, Integer, LargeBinary, String, Table, Text, text
from sqlmodel import Field, SQLModel


def _key(target: str, *, primary: bool = True) -> Column[int]:
    """An integer that refers to `target` and goes when it goes."""
    return Column(Integer, ForeignKey(target, ondelete="CASCADE"), primary_key=primary, nullable=False)


def _number() -> Column[int]:
    """A primary key that the writer gives out itself."""
    return Column(Integer, primary_key=True, autoincrement=False)


def _words(default: str = "") -> Column[str]:
    """Text that rows of an earlier schema lack."""
    return Column(String, nullable=False, server_default=default)


_LOADED = text("loaded <> ''")
_HAS_GTIN = text("gtin <> ''")


class DatasetRelease(SQLModel, table=True):
    """One release; `foods`, `components`, `component_values` and `measures` are its counts.

    loaded     when it was loaded whole; "" while it is being loaded, or where that came to no end: nobody sees it
    activated  orders the releases of a dataset by when each last became the active one and was not rolled back; or 0
    """

    __tablename__ = "dataset_release"
    __table_args__ = (
        Index("one_release", "dataset", "release", unique=True, sqlite_where=_LOADED, postgresql_where=_LOADED),
        Index("one_active", "dataset", unique=True, sqlite_where=text("active"), postgresql_where=text("active")),
    )
    id: int = Field(sa_column=_number())
    dataset: str
    name: str
    release: str
    licence: str
    citation: str
    foods: int
    components: int
    component_values: int
    measures: int
    loaded: str
    active: bool
    carbohydrate_basis: str = Field(sa_column=_words("total"))
    energy_basis: str = Field(sa_column=_words())
    fibre_method: str = Field(sa_column=_words())
    activated: int = Field(sa_column=Column(Integer, nullable=False, server_default="0"))


class ReleaseActivation(SQLModel, table=True):
    """That a release became the active one; `number` orders those of a dataset. What is rolled back is gone."""

    __tablename__ = "release_activation"
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    number: int = Field(sa_column=_number())


class AnsweringRelease(SQLModel, table=True):
    """That a release of a dataset answers from a change on, until the next one does. Nothing is ever taken back.

    change  of the sequence that saves of kitchens are numbered by; 0 for the first of its dataset
    """

    __tablename__ = "answering_release"
    dataset: str = Field(primary_key=True)
    change: int = Field(sa_column=_number())
    release: str


class ComponentRow(SQLModel, table=True):
    """A component; `position` is its place in the release and in each food's `amounts`."""

    __tablename__ = "component"
    __table_args__ = (Index("one_tagname", "release_id", "tagname", unique=True),)
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    position: int = Field(sa_column=_number())
    tagname: str
    number: str
    name: str
    unit: str
    decimals: int


class FoodGroup(SQLModel, table=True):
    """A publisher's food group."""

    __tablename__ = "food_group"
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    code: str = Field(primary_key=True)
    name: str


class Food(SQLModel, table=True):
    """A food entry; `amounts` packs little-endian float64, one a component in order of position, NaN where none.

    It repeats what is plain of `component_value.amount` so that all foods load quickly; `refuse_percent` is null where
    not stated; `linked` are ids of the same food in other datasets, with blanks between; `gtin` has 14 digits.
    """

    __tablename__ = "food"
    __table_args__ = (
        Index("one_code", "release_id", "code", unique=True),
        Index("foods_by_gtin", "gtin", sqlite_where=_HAS_GTIN, postgresql_where=_HAS_GTIN),
    )
    id: int = Field(sa_column=_number())
    release_id: int = Field(sa_column=_key("dataset_release.id", primary=False))
    code: str
    description: str
    short_description: str
    group_code: str
    common_name: str
    scientific_name: str
    manufacturer: str
    refuse_percent: float | None
    refuse_text: str
    protein_factor: float | None
    fat_factor: float | None
    carbohydrate_factor: float | None
    nitrogen_factor: float | None
    amounts: bytes = Field(sa_column=Column(LargeBinary, nullable=False))
    original_name: str = Field(sa_column=_words())
    linked: str = Field(sa_column=_words())
    gtin: str = Field(sa_column=_words())


class HouseholdMeasureRow(SQLModel, table=True):
    """`amount` x `text` weighs `grams` of edible portion."""

    __tablename__ = "household_measure"
    food_id: int = Field(sa_column=_key("food.id"))
    sequence: int = Field(sa_column=_number())
    amount: float
    text: str
    grams: float


class ComponentValueRow(SQLModel, table=True):
    """One published value per 100 g; `component` is the component's position in the food's release.

    `qualifier` is "" for a plain figure, else one of importers.release.QUALIFIERS: the value is unknown, with a bound.
    """

    __tablename__ = "component_value"
    __table_args__ = ({"sqlite_with_rowid": False},)
    food_id: int = Field(sa_column=_key("food.id"))
    component: int = Field(sa_column=_number())
    amount: float
    samples: int
    standard_error: float | None
    source: str
    derivation: str
    qualifier: str = Field(sa_column=_words())


class SourceText(SQLModel, table=True):
    """What a source code means."""

    __tablename__ = "source_text"
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    code: str = Field(primary_key=True)
    text: str


class DerivationText(SQLModel, table=True):
    """What a derivation code means."""

    __tablename__ = "derivation_text"
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    code: str = Field(primary_key=True)
    text: str


class LangualTerm(SQLModel, table=True):
    """A LanguaL code and its term."""

    __tablename__ = "langual_term"
    release_id: int = Field(sa_column=_key("dataset_release.id"))
    code: str = Field(primary_key=True)
    text: str


class FoodLangual(SQLModel, table=True):
    """A LanguaL code of a food."""

    __tablename__ = "food_langual"
    food_id: int = Field(sa_column=_key("food.id"))
    code: str = Field(primary_key=True)


class FootnoteRow(SQLModel, table=True):
    """A footnote of a food; `position` orders a food's footnotes as published."""

    __tablename__ = "footnote"
    food_id: int = Field(sa_column=_key("food.id"))
    position: int = Field(sa_column=_number())
    number: str
    kind: str
    component: str
    text: str


class KitchenDocument(SQLModel, table=True):
    """One revision of something that a kitchen saved; nothing is ever changed but `latest`.

    change    counts every save of every kitchen, and every AnsweringRelease but the first of a dataset, so that a past
              state of a kitchen can be read again
    kind      "recipe", "own" or "choice"; number: its own, given once within kitchen and kind
    folded    the title as searches compare it;  body: the document as JSON
    """

    __tablename__ = "kitchen_document"
    __table_args__ = (
        Index("one_revision", "kitchen", "kind", "number", "revision", unique=True),
        Index("latest_documents", "kitchen", "kind", "latest", "folded"),
    )
    change: int = Field(sa_column=Column(Integer, primary_key=True, autoincrement=True))
    kitchen: str
    kind: str
    number: int
    revision: int
    saved: str
    latest: bool
    deleted: bool
    title: str
    folded: str
    body: str = Field(sa_column=Column(Text, nullable=False))


class KitchenUse(SQLModel, table=True):
    """A food id that one revision of a document names: the latest one by the names and choices as they stand now."""

    __tablename__ = "kitchen_use"
    __table_args__ = (Index("uses_of_food", "food_id"),)
    change: int = Field(sa_column=_key("kitchen_document.change"))
    food_id: str = Field(primary_key=True)


class KitchenRelease(SQLModel, table=True):
    """The release of a dataset that one revision of a recipe was worked out with when it was saved."""

    __tablename__ = "kitchen_release"
    __table_args__ = (Index("revisions_of_release", "dataset", "release"),)
    change: int = Field(sa_column=_key("kitchen_document.change"))
    dataset: str = Field(primary_key=True)
    release: str


class KitchenRequest(SQLModel, table=True):
    """The name that a client gave to the request by which a document was first saved."""

    __tablename__ = "kitchen_request"
    __table_args__ = (Index("one_request", "kitchen", "kind", "request", unique=True),)
    change: int = Field(sa_column=_key("kitchen_document.change"))
    kitchen: str
    kind: str
    request: str


class ApiKey(SQLModel, table=True):
    """A key that lets an application in; of its secret there is only a salted hash.

    number    orders keys;  id: the part of a key that is no secret
    scopes    words with blanks between;  quota, burst: requests a minute and at once, null for the server's setting
    revision  grows whenever the row changes;  revoked: when, "" while the key is good
    """

    __tablename__ = "api_key"
    __table_args__ = (Index("one_key", "id", unique=True),)
    number: int = Field(sa_column=Column(Integer, primary_key=True, autoincrement=True))
    id: str
    kitchen: str
    name: str
    scopes: str
    hash: str
    quota: int | None
    burst: int | None
    created: str
    revoked: str
    revision: int


def table(model: type[SQLModel]) -> Table:
    """The SQLAlchemy table of a model."""
    found: Table = SQLModel.metadata.tables[str(model.__tablename__)]
    return found
