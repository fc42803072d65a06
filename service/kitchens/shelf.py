"""Where kitchens are kept: opens books, saves what is sent, and says what a save changes elsewhere."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from service.core.analyse import Resolver
from service.core.cautions import Caution, cautions
from service.core.errors import InputError, InUseError, NotFoundError
from service.core.figures import Figures
from service.core.kitchen import RECIPE_PREFIX, words_of
from service.core.label import checked as checked_label
from service.core.recipe import Recipe
from service.kitchens.book import Book, Worked
from service.kitchens.forms import ChoiceForm, OwnFoodForm, RecipeForm, read_form
from service.store import kitchen as store
from service.store.kitchen import Document, Kind, Listed
from service.tables.cautions import load_caution_tables
from service.tables.cooking import load_cooking_tables
from service.tables.label_components import load_label_components
from service.tables.seasonings import load_seasonings
from service.wiring import Catalogue

DEFAULT_KITCHEN = "default"
# Books kept open, the oldest goes first; one holds the lines and dishes of a kitchen that were worked out lately.
KEPT_BOOKS = 16
MOST_CHANGED = 100


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """A recipe whose figures a save changed: those of one serving before and after, None where it has none now."""

    food_id: str
    title: str
    before: Figures | None
    after: Figures | None


@dataclass(frozen=True, slots=True, eq=False)
class Saved:
    """What was saved, worked out where it is a recipe, and the recipes that it changed."""

    document: Document
    worked: Worked | None = None
    changed: tuple[Changed, ...] = ()


class Shelf:
    """The kitchens of one store; not for several threads at once."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.catalogue, self._engine = catalogue, catalogue.engine
        self._books: dict[tuple[str, tuple[str, ...], int | None], tuple[int, Book]] = {}
        self.cooking, self._label_components = load_cooking_tables(), load_label_components()
        self._caution_tables = load_caution_tables()

    def book(
        self, kitchen: str = DEFAULT_KITCHEN, *, datasets: Sequence[str] | None = None, at: int | None = None
    ) -> Book:
        """The kitchen's book as it stands, or as it stood at a change; NotFoundError for a change yet to come."""
        resolver = self.catalogue.resolver(datasets)
        key = (kitchen, tuple(release.dataset for release in resolver.table.releases), at)
        state = self._state(kitchen, at)
        read_at, found = self._books.get(key, (-1, None))
        if found is not None and found.resolver is not resolver:  # other releases answer now: the old ones may go
            self._books.clear()
        if found is None or found.resolver is not resolver or read_at != state:
            if len(self._books) >= KEPT_BOOKS:
                del self._books[next(iter(self._books))]
            found = self._opened(kitchen, datasets, at=at)
            self._books[key] = state, found
        return found

    def _state(self, kitchen: str, at: int | None) -> int:
        """What a book's content follows from: the change itself, or the last save of any kitchen."""
        if at is None:
            return store.latest_change(self._engine)
        last = store.last_change(self._engine, kitchen)
        if at > last:
            raise NotFoundError(f"the last change of the kitchen is {last}: there is no change {at} yet", pointer="/at")
        return at

    def _opened(
        self, kitchen: str, datasets: Sequence[str] | None = None, *, at: int | None = None,
        drafts: Mapping[str, Recipe] | None = None, resolver: Resolver | None = None,
    ) -> Book:  # fmt: skip
        resolver = resolver or self.catalogue.resolver(datasets)
        details = partial(self.catalogue.details, table=resolver.table)
        book = partial(
            Book, self._engine, kitchen, resolver, cooking=self.cooking, seasonings=load_seasonings(),
            label_components=self._label_components, details=details, at=at, drafts=drafts,
        )  # fmt: skip
        found = book()
        while at is None and found.change != store.last_change(self._engine, kitchen):
            found = book()  # somebody saved while it was read
        return found

    def candidate_book(self, kitchen: str, resolver: Resolver) -> Book:
        """The kitchen's book as it would stand if another resolver answered."""
        return self._opened(kitchen, resolver=resolver)

    def cautions(self, worked: Worked) -> tuple[Caution, ...]:
        """The cautions of a recipe: on the figures of the plain one, on the foods of every line that may be served."""
        base = worked.base.portions
        return cautions(
            base.dish, base.whole, tables=self._caution_tables, net=worked.recipe.net, served=worked.ingredients
        )

    # ---- recipes -------------------------------------------------------------------------------------------

    def save_recipe(
        self,
        form: RecipeForm,
        kitchen: str = DEFAULT_KITCHEN,
        *,
        number: int | None = None,
        expected: int | None = None,
    ) -> Saved:
        """Save a recipe; InputError where it cannot be, ConflictError where it was saved in between."""
        recipe = form.value()
        if number is None:
            worked = self.book(kitchen).work(recipe)
        else:
            food_id = f"{RECIPE_PREFIX}{number}"
            store.get(self._engine, kitchen, "recipe", number)
            worked = self._opened(kitchen, drafts={food_id: recipe}).work_saved(food_id)
        before = store.last_change(self._engine, kitchen)
        document = store.save(
            self._engine, kitchen, "recipe", title=form.title, body=form.json_text(), uses=worked.uses, number=number,
            expected=expected,
        )  # fmt: skip
        return Saved(document, worked, self.changed_by(document.food_id, kitchen, before=before, name=form.title))

    def changed_by(
        self, food_id: str, kitchen: str = DEFAULT_KITCHEN, *, before: int, name: str = ""
    ) -> tuple[Changed, ...]:
        """The recipes that use a food, directly or through others, whose figures are not what they were.

        Those too that have not used it yet, but whose lines hold its `name`, which now means it.
        """
        users = [user for user in self.users(food_id, kitchen, name=name) if user != food_id]
        if not users:
            return ()
        old, new = self._opened(kitchen, at=before), self.book(kitchen)
        found = []
        for user in users:
            one, other = per_serving(old, user), per_serving(new, user)
            if one is None or other is None or one.components != other.components:
                found.append(Changed(user, new.recipe(user).title, one, other))
        return tuple(found[:MOST_CHANGED])

    def users(self, food_id: str, kitchen: str = DEFAULT_KITCHEN, *, name: str = "") -> tuple[str, ...]:
        """Ids of the recipes that use a food, directly or through other recipes, in order of distance.

        With its `name`, those too in whose text it occurs.
        """
        named = store.naming(self._engine, kitchen, words_of(name)) if words_of(name) else []
        found = {f"{RECIPE_PREFIX}{number}": None for number in named}
        found.pop(food_id, None)
        waiting = [food_id, *found]
        while waiting:
            for listed in store.listing(self._engine, kitchen, "recipe", using=waiting.pop(0), limit=10_000):
                user = f"{RECIPE_PREFIX}{listed.number}"
                if user not in found and user != food_id:
                    found[user] = None
                    waiting.append(user)
        return tuple(found)

    # ---- own foods and choices -----------------------------------------------------------------------------

    def save_own(
        self,
        form: OwnFoodForm,
        kitchen: str = DEFAULT_KITCHEN,
        *,
        number: int | None = None,
        expected: int | None = None,
    ) -> Saved:
        """Save an own food; InputError with a pointer where a label value cannot be."""
        checked_label(form.value(), self.book(kitchen).components)
        before = store.last_change(self._engine, kitchen)
        document = store.save(
            self._engine, kitchen, "own", title=form.description, body=form.json_text(), number=number,
            expected=expected,
        )  # fmt: skip
        changed = self.changed_by(document.food_id, kitchen, before=before, name=form.description)
        return Saved(document, None, changed)

    def save_choice(
        self,
        form: ChoiceForm,
        kitchen: str = DEFAULT_KITCHEN,
        *,
        number: int | None = None,
        expected: int | None = None,
    ) -> Saved:
        """Save a standing choice; one of the same phrase is replaced. NotFoundError for a food that is not there."""
        if form.food is not None:
            book = self.book(kitchen)
            book.resolver.known(form.food, book.kitchen)
        if number is None:
            number = self._choices_by_words(kitchen).get(words_of(form.phrase))
        return Saved(self._saved_choice(form, kitchen, number, expected))

    def save_choices(self, forms: Sequence[ChoiceForm], kitchen: str = DEFAULT_KITCHEN) -> tuple[Document, ...]:
        """Save many as `save_choice` does; where one names a food that is not there, none is saved."""
        book = self.book(kitchen)
        for place, form in enumerate(forms):
            try:
                if form.food is not None:
                    book.resolver.known(form.food, book.kitchen)
            except NotFoundError as error:
                raise NotFoundError(f"{form.phrase!r}: {error}", pointer=f"/{place}/food") from None
        numbers, saved = self._choices_by_words(kitchen), []
        for form in forms:
            words = words_of(form.phrase)
            saved.append(self._saved_choice(form, kitchen, numbers.get(words)))
            numbers[words] = saved[-1].number
        return tuple(saved)

    def _saved_choice(
        self, form: ChoiceForm, kitchen: str, number: int | None, expected: int | None = None
    ) -> Document:
        return store.save(
            self._engine, kitchen, "choice", title=form.phrase, body=form.json_text(), number=number,
            expected=expected, uses=[form.food] if form.food else [],
        )  # fmt: skip

    def _choices_by_words(self, kitchen: str) -> dict[tuple[str, ...], int]:
        return {words_of(one.title): one.number for one in store.all_of(self._engine, kitchen, "choice")}

    def lost_choices(self, kitchen: str = DEFAULT_KITCHEN) -> tuple[Document, ...]:
        """Standing choices whose food is in no table that is in use."""
        book = self.book(kitchen)
        lost = []
        for document in store.all_of(self._engine, kitchen, "choice"):
            food = read_form(ChoiceForm, document.body).food
            try:
                if food is not None:
                    book.resolver.known(food, book.kitchen)
            except NotFoundError:
                lost.append(document)
        return tuple(lost)

    # ---- of every kind -------------------------------------------------------------------------------------

    def document(
        self, kind: Kind, number: int, kitchen: str = DEFAULT_KITCHEN, *, revision: int | None = None
    ) -> Document:
        """A saved document, its latest revision or another; NotFoundError where there is none."""
        return store.get(self._engine, kitchen, kind, number, revision=revision)

    def documents(self, kind: Kind, kitchen: str = DEFAULT_KITCHEN) -> list[Document]:
        """Every document of a kind."""
        return store.all_of(self._engine, kitchen, kind)

    def revisions(self, kind: Kind, number: int, kitchen: str = DEFAULT_KITCHEN) -> list[Document]:
        """Every revision of a document, the first one first; NotFoundError where there never was one."""
        found = store.revisions(self._engine, kitchen, kind, number)
        if not found:
            raise NotFoundError(f"there is no {store.CALLED[kind]} {number}", pointer="/id")
        return found

    def listing(
        self, kind: Kind, kitchen: str = DEFAULT_KITCHEN, *, search: str = "", using: str = "", limit: int = 20,
        offset: int = 0,
    ) -> list[Listed]:  # fmt: skip
        """Documents by title, those whose title has every word of `search` and that name the food `using`."""
        return store.listing(self._engine, kitchen, kind, search=search, using=using, limit=limit, offset=offset)

    def delete(
        self, kind: Kind, number: int, kitchen: str = DEFAULT_KITCHEN, *, expected: int | None = None
    ) -> Document:
        """Delete a document; InUseError names the recipes that use it, and then nothing is deleted."""
        food_id = f"{kind}:{number}"
        if kind != "choice":
            self._check_unnamed(food_id, store.get(self._engine, kitchen, kind, number).title, kitchen)
        return store.delete(self._engine, kitchen, kind, number, expected=expected)

    def _check_unnamed(self, food_id: str, title: str, kitchen: str) -> None:
        """No recipe that was saved before it names what is to be deleted."""
        book, users = self.book(kitchen), []
        for number in store.naming(self._engine, kitchen, words_of(title)) if words_of(title) else ():
            user = f"{RECIPE_PREFIX}{number}"
            try:
                if user != food_id and food_id in book.work_saved(user).uses:
                    users.append((user, book.recipe(user).title))
            except InputError:  # it cannot be worked out, so that it counts nothing
                continue
        if users:
            names = ", ".join(repr(name) for _, name in users[:5])
            raise InUseError(f"it is used by {names}", users=tuple(users))


def per_serving(book: Book, food_id: str) -> Figures | None:
    """The figures of one serving of a saved recipe, None where it cannot be worked out."""
    try:
        return book.work_saved(food_id).base.portions.per_serving
    except InputError:  # it cannot be worked out, which its own page says
        return None
