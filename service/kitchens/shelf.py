"""Where kitchens are kept: opens books, saves what is sent, and says what a save changes elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass
from functools import partial

from service.core.analyse import Resolver
from service.core.cautions import Caution, cautions
from service.core.errors import InputError, InUseError, NotFoundError, StoreAwayError
from service.core.figures import Figures
from service.core.kitchen import RECIPE_PREFIX, called, may_mean, words_of
from service.core.label import checked as checked_label
from service.core.recipe import Recipe, worth_keeping
from service.kitchens.book import Book, Worked
from service.kitchens.forms import ChoiceForm, OwnFoodForm, RecipeForm, lines_of, read_form
from service.store import kitchen as store
from service.store.kitchen import DEFAULT_KITCHEN, Document, Kind, Listed
from service.store.read import holding
from service.tables.cautions import load_caution_tables
from service.tables.cooking import load_cooking_tables
from service.tables.label_components import load_label_components
from service.tables.pantry import PANTRY
from service.tables.seasonings import load_seasonings
from service.wiring import Catalogue

# Books kept open, the oldest goes first; one holds the lines and dishes of a kitchen that were worked out lately.
KEPT_BOOKS = 16
MOST_CHANGED = 100


@dataclass(frozen=True, slots=True, eq=False)
class ChangedVariant:
    """A further way to serve a recipe: the figures of one serving before and after, None where it has none."""

    name: str
    before: Figures | None
    after: Figures | None


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """A recipe whose figures a save changed: those of one serving before and after, None where it has none now.

    variants  the further ways to serve it that changed, perhaps while the plain recipe stays as it was
    lost  its lines whose entry, chosen for them or by a standing choice, a release lacks, as (line, food): the figures
          after are without them
    """

    food_id: str
    title: str
    before: Figures | None
    after: Figures | None
    variants: tuple[ChangedVariant, ...] = ()
    lost: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Saved:
    """What was saved, worked out where it is a recipe, and the recipes that it changed."""

    document: Document
    worked: Worked | None = None
    changed: tuple[Changed, ...] = ()


class Shelf:
    """The kitchens of one store, for one of them where none is named; not for several threads at once."""

    def __init__(self, catalogue: Catalogue, kitchen: str = DEFAULT_KITCHEN) -> None:
        self.catalogue, self._engine, self.kitchen = catalogue, catalogue.engine, kitchen
        self._books: dict[tuple[str, tuple[str, ...], int | None], tuple[int, Book]] = {}
        self.cooking, self._label_components = load_cooking_tables(), load_label_components()
        self._caution_tables = load_caution_tables()

    def of(self, kitchen: str) -> Shelf:
        """The same shelf for another kitchen, with the same books open."""
        if kitchen == self.kitchen:
            return self
        found = copy(self)
        found.kitchen = kitchen
        return found

    def book(
        self, kitchen: str | None = None, *, datasets: Sequence[str] | None = None, at: int | None = None,
        on_away: Callable[[int], None] = lambda change: None,
    ) -> Book:  # fmt: skip
        """The kitchen's book as it stands, or as it stood at a change; NotFoundError for a change yet to come.

        While the database is away it is the one of before, and `on_away` is told the change that it stands at: another
        process may have saved since.
        """
        kitchen = kitchen or self.kitchen
        resolver = self._resolver(kitchen, datasets, at)
        key = (kitchen, tuple(release.dataset for release in resolver.table.releases), at)
        read_at, found = self._books.get(key, (-1, None))
        try:
            state = self._state(kitchen, at)
        except StoreAwayError:
            if found is None or found.resolver is not resolver:
                raise
            on_away(found.change)
            return found
        if found is not None and read_at != state and at is None:
            if found.change == store.last_change(self._engine, kitchen):  # only other kitchens saved
                read_at, self._books[key] = state, (state, found)
        if found is not None and found.resolver is not resolver:  # other releases answer now: the old ones may go
            self._books.clear()
        if found is None or found.resolver is not resolver or read_at != state:
            if len(self._books) >= KEPT_BOOKS:
                del self._books[next(iter(self._books))]
            found = self._opened(kitchen, at=at, resolver=resolver)
            self._books[key] = state, found
        return found

    def _resolver(self, kitchen: str, datasets: Sequence[str] | None, at: int | None) -> Resolver:
        """The resolver of now; of a past state of the kitchen, that of the releases that answered then."""
        if at is None:
            return self.catalogue.resolver(datasets)
        return self.catalogue.past_resolver(datasets, store.releases_at(self._engine, kitchen, at))

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
            base.dish, base.whole, tables=self._caution_tables, net=worked.recipe.net, served=worked.ingredients,
            servings=base.servings,
        )  # fmt: skip

    # ---- recipes -------------------------------------------------------------------------------------------

    def save_recipe(
        self,
        form: RecipeForm,
        kitchen: str | None = None,
        *,
        number: int | None = None,
        expected: int | None = None,
        request: str = "",
    ) -> Saved:
        """Save a recipe; InputError where it cannot be, ConflictError where it was saved in between.

        `request`: the client's name for the saving of a new one, which is then done once.
        """
        kitchen = kitchen or self.kitchen
        recipe = worth_keeping(form.value())
        if number is None:
            book = self.book(kitchen)
            worked = book.work(recipe)
        else:
            food_id = f"{RECIPE_PREFIX}{number}"
            store.get(self._engine, kitchen, "recipe", number)
            book = self._opened(kitchen, drafts={food_id: recipe})
            worked = book.work_saved(food_id)
        before = store.last_change(self._engine, kitchen)
        document = store.save(
            self._engine, kitchen, "recipe", title=form.title, body=form.json_text(), uses=worked.uses, number=number,
            expected=expected, releases=stored_in(book.resolver), request=request,
        )  # fmt: skip
        names = [(name,) for name in called(form.title)]
        return Saved(document, worked, self.changed_by(document.food_id, kitchen, before=before, names=names))

    def changed_by(
        self, food_id: str = "", kitchen: str | None = None, *, before: int, names: Iterable[tuple[str, ...]] = ()
    ) -> tuple[Changed, ...]:
        """The recipes that use a food, directly or through others, whose figures are not what they were.

        Those too that have not used it yet, but of which a line holds all words of one of `names`, and now means it.
        """
        kitchen = kitchen or self.kitchen
        users = [user for user in self.users(food_id, kitchen, names=names) if user != food_id]
        if not users:
            return ()
        old, new = self._opened(kitchen, at=before), self.book(kitchen)
        found = []
        for user in users:
            change = change_between(old, new, user, new.recipe(user).title)
            if change.before is None or change.after is None or moved(change):
                found.append(change)
        return tuple(found[:MOST_CHANGED])

    def users(
        self, food_id: str, kitchen: str | None = None, *, names: Iterable[tuple[str, ...]] = ()
    ) -> tuple[str, ...]:
        """Ids of the recipes that use a food, directly or through other recipes, in order of distance.

        With `names`, those too of which a line may mean all phrases of one of them; food_id "" is none.
        """
        kitchen = kitchen or self.kitchen
        named = sorted({number for name in names for number in self._naming(name, kitchen)})
        found = {f"{RECIPE_PREFIX}{number}": None for number in named}
        found.pop(food_id, None)
        waiting = [*filter(None, (food_id,)), *found]
        while waiting:
            for listed in store.listing(self._engine, kitchen, "recipe", using=waiting.pop(0), limit=10_000):
                user = f"{RECIPE_PREFIX}{listed.number}"
                if user not in found and user != food_id:
                    found[user] = None
                    waiting.append(user)
        return tuple(found)

    def _naming(self, name: tuple[str, ...], kitchen: str) -> Iterator[int]:
        """Numbers of the recipes a line of which may mean a name: few, however many share words with it."""
        for words in set(_stems(name)) | self._heads(name, kitchen):
            for number, body in store.naming(self._engine, kitchen, words):
                if any(all(may_mean(line, one) for one in name) for line in lines_of(body)):
                    yield number

    def _heads(self, name: tuple[str, ...], kitchen: str) -> set[tuple[str, ...]]:
        """The last word of a recipe's title, where "the dressing" means it, or no longer means another."""
        words = words_of(" ".join(name[-1:]))
        if not words or not words[-1].isalpha():
            return set()
        titled = self.book(kitchen).kitchen.titled
        ends = [words[start:] for start in range(len(words)) if start or len(words) == 1]
        return {(_stem(words[-1]),)} if any(1 <= titled(end) <= 2 for end in ends) else set()

    def _phrases(self, phrase: str, *, food: bool) -> tuple[str, ...]:
        """What a line must name for a standing choice to rule it: of a size or weight the food, else the measure."""
        if food:
            return (phrase,)
        parts = self.catalogue.resolver().read(phrase).parts
        tokens = parts[0].phrases[0].tokens if parts and parts[0].phrases else ()
        return tuple(tokens) or tuple(phrase.split()[-1:])

    # ---- own foods and choices -----------------------------------------------------------------------------

    def save_own(
        self,
        form: OwnFoodForm,
        kitchen: str | None = None,
        *,
        number: int | None = None,
        expected: int | None = None,
        request: str = "",
    ) -> Saved:
        """Save an own food; InputError with a pointer where a label value cannot be. `request` as of `save_recipe`."""
        kitchen = kitchen or self.kitchen
        checked_label(form.value(), self.book(kitchen).components)
        before = store.last_change(self._engine, kitchen)
        document = store.save(
            self._engine, kitchen, "own", title=form.description, body=form.json_text(), number=number,
            expected=expected, request=request,
        )  # fmt: skip
        changed = self.changed_by(document.food_id, kitchen, before=before, names=[(form.description,)])
        return Saved(document, None, changed)

    def save_choice(
        self,
        form: ChoiceForm,
        kitchen: str | None = None,
        *,
        number: int | None = None,
        expected: int | None = None,
    ) -> Saved:
        """Save a standing choice; one of the same phrase is replaced. NotFoundError for a food that is not there."""
        kitchen = kitchen or self.kitchen
        if form.food is not None:
            book = self.book(kitchen)
            book.resolver.known(form.food, book.kitchen)
        if number is None:
            number = self._choices_by_words(kitchen).get(words_of(form.phrase))
        before = store.last_change(self._engine, kitchen)
        names = self._ruled_by([form], [] if number is None else [self.document("choice", number, kitchen)])
        document = self._saved_choice(form, kitchen, number, expected)
        return Saved(document, None, self.changed_by(kitchen=kitchen, before=before, names=names))

    def save_choices(
        self, forms: Sequence[ChoiceForm], kitchen: str | None = None
    ) -> tuple[tuple[Document, ...], tuple[Changed, ...]]:
        """Save many as `save_choice` does, and what they change together; where a food is not there, none is saved.

        What was exported comes in again, though it is lost: a choice that stands as it is sent is left so, and one
        whose food only a release has that does not answer is saved.
        """
        kitchen = kitchen or self.kitchen
        standing = self._lost_as_sent(forms, kitchen)
        before = store.last_change(self._engine, kitchen)
        numbers, saved = self._choices_by_words(kitchen), []
        words_sent = {words_of(form.phrase) for form in forms}
        replaced = [one for one in self.documents("choice", kitchen) if words_of(one.title) in words_sent]
        names = self._ruled_by(forms, replaced)
        for form in forms:
            words = words_of(form.phrase)
            as_sent = standing.get((form.phrase, form.food))
            saved.append(as_sent or self._saved_choice(form, kitchen, numbers.get(words)))
            numbers[words] = saved[-1].number
        return tuple(saved), self.changed_by(kitchen=kitchen, before=before, names=names)

    def _lost_as_sent(self, forms: Sequence[ChoiceForm], kitchen: str) -> dict[tuple[str, str | None], Document]:
        """By phrase and food, lost choices that stand as they are sent; NotFoundError where another's food is gone."""
        book = self.book(kitchen)
        lost = {(words_of(one.title), read_form(ChoiceForm, one.body).food): one for one in self.lost_choices(kitchen)}
        found = {}
        for place, form in enumerate(forms):
            try:
                if form.food is not None:
                    book.resolver.known(form.food, book.kitchen)
            except NotFoundError as error:
                if (stands := lost.get((words_of(form.phrase), form.food))) is not None:
                    found[form.phrase, form.food] = stands
                elif not holding(self._engine, str(form.food)):
                    raise NotFoundError(f"{form.phrase!r}: {error}", pointer=f"/{place}/food") from None
        return found

    def delete_choice(self, number: int, kitchen: str | None = None, *, expected: int | None = None) -> Saved:
        """Delete a standing choice, and what that changes; NotFoundError and ConflictError as of `delete`."""
        kitchen = kitchen or self.kitchen
        before = store.last_change(self._engine, kitchen)
        names = self._ruled_by([], [self.document("choice", number, kitchen)])
        document = self.delete("choice", number, kitchen, expected=expected)
        return Saved(document, None, self.changed_by(kitchen=kitchen, before=before, names=names))

    def _ruled_by(self, forms: Iterable[ChoiceForm], saved: Iterable[Document]) -> set[tuple[str, ...]]:
        """What lines name that standing choices rule."""
        every = [*forms, *(read_form(ChoiceForm, one.body) for one in saved)]
        return {self._phrases(one.phrase, food=one.food is not None) for one in every}

    def _saved_choice(
        self, form: ChoiceForm, kitchen: str, number: int | None, expected: int | None = None
    ) -> Document:
        return store.save(
            self._engine, kitchen, "choice", title=form.phrase, body=form.json_text(), number=number,
            expected=expected, uses=[form.food] if form.food else [],
        )  # fmt: skip

    def _choices_by_words(self, kitchen: str) -> dict[tuple[str, ...], int]:
        return {words_of(one.title): one.number for one in store.all_of(self._engine, kitchen, "choice")}

    def lost_choices(self, kitchen: str | None = None) -> tuple[Document, ...]:
        """Standing choices whose food is in no table that is in use."""
        kitchen = kitchen or self.kitchen
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
        self, kind: Kind, number: int, kitchen: str | None = None, *, revision: int | None = None
    ) -> Document:
        """A saved document, its latest revision or another; NotFoundError where there is none."""
        kitchen = kitchen or self.kitchen
        return store.get(self._engine, kitchen, kind, number, revision=revision)

    def documents(self, kind: Kind, kitchen: str | None = None) -> list[Document]:
        """Every document of a kind."""
        kitchen = kitchen or self.kitchen
        return store.all_of(self._engine, kitchen, kind)

    def revisions(self, kind: Kind, number: int, kitchen: str | None = None) -> list[Document]:
        """Every revision of a document, the first one first; NotFoundError where there never was one."""
        kitchen = kitchen or self.kitchen
        return store.revisions(self._engine, kitchen, kind, number)

    def listing(
        self, kind: Kind, kitchen: str | None = None, *, search: str = "", using: str = "", limit: int = 20,
        offset: int = 0,
    ) -> list[Listed]:  # fmt: skip
        """Documents by title, those whose title has every word of `search` and that name the food `using`."""
        kitchen = kitchen or self.kitchen
        return store.listing(self._engine, kitchen, kind, search=search, using=using, limit=limit, offset=offset)

    def delete(
        self, kind: Kind, number: int, kitchen: str | None = None, *, expected: int | None = None
    ) -> Document:
        """Delete a document; InUseError names the recipes that use it, and then nothing is deleted."""
        kitchen = kitchen or self.kitchen
        food_id = f"{kind}:{number}"
        if kind != "choice":
            self._check_unnamed(food_id, store.get(self._engine, kitchen, kind, number).title, kitchen)
        return store.delete(self._engine, kitchen, kind, number, expected=expected)

    def _check_unnamed(self, food_id: str, title: str, kitchen: str) -> None:
        """No recipe that was saved before it names what is to be deleted."""
        book, users = self.book(kitchen), []
        for user in self.users("", kitchen, names=[(name,) for name in called(title)]):
            try:
                if user != food_id and food_id in book.work_saved(user).uses:
                    users.append((user, book.recipe(user).title))
            except InputError:  # it cannot be worked out, so that it counts nothing
                continue
        if users:
            names = ", ".join(repr(name) for _, name in users[:5])
            raise InUseError(f"it is used by {names}", users=tuple(users))


def _stems(name: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """What lines have of a name's words, as written and folded, in any number: "leaf" and "leaves" begin with "lea"."""
    whole = " ".join(name)
    for words in {words_of(whole), tuple(whole.lower().split())}:
        if stems := {_stem(word) for word in words if word.isalpha()}:
            yield tuple(sorted(stems))


def _stem(word: str) -> str:
    return word.removesuffix("e").rstrip("fy")


def per_serving(book: Book, food_id: str) -> Figures | None:
    """The figures of one serving of a saved recipe, None where it cannot be worked out."""
    return _every_serving(book, food_id)[0]


def _every_serving(book: Book, food_id: str) -> tuple[Figures | None, dict[str, Figures]]:
    """The figures of one serving of the plain recipe, and of each further way to serve it by name."""
    try:
        worked = book.work_saved(food_id)
    except InputError:  # it cannot be worked out, which its own page says
        return None, {}
    return worked.base.portions.per_serving, {one.name: one.portions.per_serving for one in worked.variants}


def change_between(old: Book, new: Book, food_id: str, title: str) -> Changed:
    """The figures of a recipe in two books."""
    (before, ways), (after, other) = _every_serving(old, food_id), _every_serving(new, food_id)
    variants = (ChangedVariant(name, ways.get(name), other.get(name)) for name in {**ways, **other})
    changed = tuple(one for one in variants if not _same(one.before, one.after))
    return Changed(food_id, title, before, after, changed)


def moved(change: Changed) -> bool:
    """Whether some figure is another one, of the plain recipe or of a further way to serve it."""
    return bool(change.variants) or not _same(change.before, change.after)


def _same(before: Figures | None, after: Figures | None) -> bool:
    """Whether figures are the same; components that only one release has are no change of a figure."""
    if before is None or after is None:
        return before is after
    one, other = ({total.tagname: total for total in found.components} for found in (before, after))
    return all(one[tagname] == other[tagname] for tagname in one.keys() & other.keys())


def stored_in(resolver: Resolver) -> dict[str, str]:
    """By dataset, the releases of the store that a resolver answers from; the pantry comes with the installation."""
    return {one.dataset: one.release for one in resolver.table.releases if one.dataset != PANTRY}
