"""Where kitchens are kept: opens books, saves what is sent, and says what a save changes elsewhere."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from copy import copy
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

from service.core.analyse import Resolver
from service.core.cautions import Caution, cautions
from service.core.errors import (
    CircleError,
    InputError,
    InUseError,
    NotFoundError,
    OvertakenError,
    StoreAwayError,
    StoreError,
)
from service.core.figures import Figures
from service.core.kitchen import RECIPE_PREFIX, called, may_mean, words_of
from service.core.label import checked as checked_label
from service.core.recipe import worth_keeping
from service.kitchens.book import NO_DRAFTS, Book, Worked
from service.kitchens.forms import ChoiceForm, Form, OwnFoodForm, RecipeForm, lines_of, read_form
from service.store import changes
from service.store import kitchen as store
from service.store.kitchen import DEFAULT_KITCHEN, Document, Kind, Listed
from service.store.read import holding
from service.tables.cautions import load_caution_tables
from service.tables.cooking import load_cooking_tables
from service.tables.label_components import load_label_components
from service.tables.pantry import PANTRY
from service.tables.seasonings import load_seasonings
from service.wiring import Catalogue

# Books kept open, the one not asked for longest goes first; each holds the lines and dishes of a kitchen that were
# worked out lately.
KEPT_BOOKS = 16
MOST_CHANGED = 100
# Of each round of saves one gets through, so that so many processes may save at once; each works recipes out anew, or
# reads the kitchen anew.
MOST_ATTEMPTS = 10
T = TypeVar("T")
# What a book was read by: the last change of any kitchen, and that since which its releases answer.
_State = tuple[int, int]
# Which book it is: its kitchen, its datasets, and the change where it is a past one.
_Key = tuple[str, tuple[str, ...], int | None]


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


@dataclass(frozen=True, slots=True, eq=False)
class _Reach:
    """What a save was prepared to bring about; `worked` is the recipe that is saved, if it is one."""

    worked: Worked | None
    resolver: Resolver
    changed: tuple[Changed, ...]
    stored: store.Reach

    def saved(self, document: Document) -> Saved:
        """The document with what came of it: nothing, where an earlier, equal request had saved it already."""
        earlier = self.stored.seen is not None and document.change <= self.stored.seen
        return Saved(document, self.worked, () if earlier else self.changed)


class Shelf:
    """The kitchens of one store, for one of them where none is named; not for several threads at once."""

    def __init__(self, catalogue: Catalogue, kitchen: str = DEFAULT_KITCHEN) -> None:
        self.catalogue, self._engine, self.kitchen = catalogue, catalogue.engine, kitchen
        self._books: dict[_Key, tuple[_State, Book]] = {}
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

        A change stands for the releases that answered too: NotFoundError where one of them is gone. Of an activation
        that the catalogue has not taken up, the book is as of before.

        While the database is away it is the one of before, and `on_away` is told the change that it stands at: another
        process may have saved since.
        """
        kitchen = kitchen or self.kitchen
        resolver, since = self._answering(datasets, at)
        key = (kitchen, tuple(release.dataset for release in resolver.table.releases), at)
        read_at, found = self._books.get(key, (None, None))
        if found is not None and found.resolver is not resolver:
            self._let_go(found.resolver, every=at is None and not datasets)
            found = None
        try:
            state = self._state(kitchen, at), since
            if found is not None and (read_at == state or found.change == self._stands(kitchen, since, at)):
                return self._keep(key, state, found)  # only other kitchens saved
        except StoreAwayError:
            if found is None:
                raise
            on_away(found.change)
            return found
        if at is None and changes.switched_between(self._engine, since, store.last_save(self._engine, kitchen)):
            self.catalogue.catch_up()  # what was saved since stands beside the releases of then
            resolver, since = self._answering(datasets, at)
        return self._keep(key, (state[0], since), self._opened(kitchen, resolver, since, at=at))

    def _keep(self, key: _Key, read_at: _State, book: Book) -> Book:
        self._books.pop(key, None)  # the last one is the one that was asked for last
        if len(self._books) >= KEPT_BOOKS:
            del self._books[next(iter(self._books))]
        self._books[key] = read_at, book
        return book

    def _let_go(self, resolver: Resolver, *, every: bool) -> None:
        """Books whose tables another resolver took the place of: their memory is free again.

        every  other releases answer now, so that no book is of use; else only the tables of some change, or of some
               choice of datasets, were read anew
        """
        for key in [key for key, (_, book) in self._books.items() if every or book.resolver is resolver]:
            del self._books[key]

    def _answering(self, datasets: Sequence[str] | None, at: int | None) -> tuple[Resolver, int]:
        """The resolver of now, or that of the releases that answered as of a change; and since when they do."""
        if at is None:
            return self.catalogue.answering(datasets)
        return self.catalogue.past_resolver(datasets, changes.releases_at(self._engine, at)), at

    def _state(self, kitchen: str, at: int | None) -> int:
        """What a book's content follows from: the change itself, or the last one of any kitchen."""
        if at is None:
            return changes.latest_change(self._engine)
        last = store.last_change(self._engine, kitchen)
        if at > last:
            raise NotFoundError(f"the last change of the kitchen is {last}: there is no change {at} yet", pointer="/at")
        return at

    def _stands(self, kitchen: str, since: int, at: int | None = None) -> int:
        """The change as of which a kitchen stands, where releases answer since a change that may not be the last."""
        return max(store.last_save(self._engine, kitchen), since) if at is None else at

    def _opened(
        self, kitchen: str, resolver: Resolver, since: int, *, at: int | None = None,
        drafts: Mapping[str, Form | None] = NO_DRAFTS,
    ) -> Book:  # fmt: skip
        details = partial(self.catalogue.details, table=resolver.table)
        book = partial(
            Book, self._engine, kitchen, resolver, cooking=self.cooking, seasonings=load_seasonings(),
            label_components=self._label_components, details=details, at=at, drafts=drafts,
        )  # fmt: skip
        for _ in range(MOST_ATTEMPTS):
            found = book(change=self._stands(kitchen, since, at))
            if found.change == self._stands(kitchen, since, at):  # else somebody saved while it was read
                return found
        busy = "others kept saving in the same kitchen while it was read: try again"
        raise StoreError(busy, busy)

    def candidate_book(self, kitchen: str, resolver: Resolver) -> Book:
        """The kitchen's book as it would stand if another resolver answered."""
        return self._opened(kitchen, resolver, self.catalogue.answering()[1])

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
        worth_keeping(form.value())
        if number is not None:
            store.get(self._engine, kitchen, "recipe", number)

        def attempt(seen: int) -> Saved:
            food_id, old = self._place(kitchen, "recipe", number)
            names = [(name,) for title in (form.title, *old) for name in called(title)]
            reach = self._reach(kitchen, seen, {food_id: form}, names)
            assert reach.worked is not None
            document = store.save(
                self._engine, kitchen, "recipe", title=form.title, body=form.json_text(), uses=reach.worked.uses,
                number=number, expected=expected, releases=stored_in(reach.resolver), request=request,
                reach=reach.stored,
            )  # fmt: skip
            return reach.saved(document)

        return self._settled(attempt, kitchen)

    def _settled(self, attempt: Callable[[int], T], kitchen: str) -> T:
        """What an attempt saves that saw the kitchen as of a change; where somebody saved since, it looks again.

        StoreError where others saved in between each time.
        """
        for _ in range(MOST_ATTEMPTS):
            with suppress(OvertakenError):
                return attempt(store.last_change(self._engine, kitchen))
        busy = "others kept saving in the same kitchen: nothing was saved, try again"
        raise StoreError(busy, busy)

    def _place(self, kitchen: str, kind: Kind, number: int | None) -> tuple[str, list[str]]:
        """The id of what is to be saved, and the title that it has now, if it is there."""
        if number is None:
            return f"{kind}:{store.next_number(self._engine, kitchen, kind)}", []
        return f"{kind}:{number}", [store.get(self._engine, kitchen, kind, number).title]

    def _reach(
        self, kitchen: str, seen: int, drafts: Mapping[str, Form | None], names: Iterable[tuple[str, ...]], *,
        pointer: str = "",
    ) -> _Reach:  # fmt: skip
        """What comes of saving drafts: what they and the recipes that they reach come to, and use, once they stand.

        Reached are recipes that use one of them, directly or through others, and those of which a line holds all words
        of one of `names`, old names and new ones. CircleError with `pointer` where one would come to use itself.
        """
        self.catalogue.catch_up()  # what is saved names the releases that answer, of every worker alike
        old = self.book(kitchen)
        new = self._opened(kitchen, old.resolver, old.change, drafts=drafts)
        worked = [new.work_saved(food_id) for food_id, form in drafts.items() if isinstance(form, RecipeForm)]
        changed, uses = list[Changed](), dict[int, frozenset[str]]()
        foods = [food_id for food_id in drafts if not food_id.startswith("choice:")]
        for user in self.users(*foods, kitchen=kitchen, names=names, book=new):
            before, after = _every_serving(old, user), _NOT_SERVED
            try:
                made = new.work_saved(user)
                uses[int(user.removeprefix(RECIPE_PREFIX))], after = made.uses, _servings_of(made)
            except CircleError as error:
                if before[0] is not None:
                    raise CircleError(str(error), pointer=pointer) from None
                continue
            except InputError:  # it cannot be worked out, which its own page says
                pass
            change = _change(user, new.recipe(user).title, before, after)
            if change.before is None or change.after is None or moved(change):
                changed.append(change)
        listed = tuple(changed[:MOST_CHANGED])
        return _Reach(worked[0] if worked else None, new.resolver, listed, store.Reach(seen, uses))

    def users(
        self, *food_ids: str, kitchen: str | None = None, names: Iterable[tuple[str, ...]] = (),
        book: Book | None = None,
    ) -> tuple[str, ...]:  # fmt: skip
        """Ids of the recipes that use one of these foods, directly or through other recipes, in order of distance.

        With `names`, those too of which a line may mean all phrases of one of them, in this book's kitchen.
        """
        kitchen = kitchen or self.kitchen
        named = sorted({number for name in names for number in self._naming(name, kitchen, book)})
        found = {f"{RECIPE_PREFIX}{number}": None for number in named}
        for food_id in food_ids:
            found.pop(food_id, None)
        near = [*food_ids, *found]
        while near:
            users = [f"{RECIPE_PREFIX}{number}" for number in store.users(self._engine, kitchen, near)]
            near = [user for user in users if user not in found and user not in food_ids]
            found |= dict.fromkeys(near)
        return tuple(found)

    def _naming(self, name: tuple[str, ...], kitchen: str, book: Book | None) -> Iterator[int]:
        """Numbers of the recipes a line of which may mean a name: few, however many share words with it."""
        for words in set(_stems(name)) | _heads(name, book or self.book(kitchen)):
            for number, body in store.naming(self._engine, kitchen, words):
                if any(all(may_mean(line, one) for one in name) for line in lines_of(body)):
                    yield number

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

        def attempt(seen: int) -> Saved:
            food_id, old = self._place(kitchen, "own", number)
            reach = self._reach(kitchen, seen, {food_id: form}, [(name,) for name in (form.description, *old)])
            document = store.save(
                self._engine, kitchen, "own", title=form.description, body=form.json_text(), number=number,
                expected=expected, request=request, reach=reach.stored,
            )  # fmt: skip
            return reach.saved(document)

        return self._settled(attempt, kitchen)

    def save_choice(
        self,
        form: ChoiceForm,
        kitchen: str | None = None,
        *,
        number: int | None = None,
        expected: int | None = None,
    ) -> Saved:
        """Save a standing choice; one of the same phrase is replaced. NotFoundError for a food that is not there.

        InputError where the phrase of choice `number` would be that of another one: nobody could tell which rules it.
        """
        kitchen = kitchen or self.kitchen
        if form.food is not None:
            self.book(kitchen).check_there(form.food)

        def attempt(seen: int) -> Saved:
            ruling = self._choices_by_words(kitchen).get(words_of(form.phrase))
            if number is not None and ruling not in (None, number):
                raise InputError(f"choice:{ruling} rules {form.phrase!r} already", pointer="/phrase")
            place = ruling if number is None else number
            food_id, _ = self._place(kitchen, "choice", place)
            names = self._ruled_by([form], [] if place is None else [self.document("choice", place, kitchen)])
            reach = self._reach(kitchen, seen, {food_id: form}, names, pointer="/food")
            document = store.save(
                self._engine, kitchen, "choice", title=form.phrase, body=form.json_text(), number=place,
                expected=expected, uses=_used_by(form), reach=reach.stored,
            )  # fmt: skip
            return reach.saved(document)

        return self._settled(attempt, kitchen)

    def save_choices(
        self, forms: Sequence[ChoiceForm], kitchen: str | None = None
    ) -> tuple[tuple[Document, ...], tuple[Changed, ...]]:
        """Save many as `save_choice` does, and what they change together; where a food is not there, none is saved.

        What was exported comes in again, though it is lost: a choice that stands as it is sent is left so, and one
        whose food only a release has that does not answer is saved.
        """
        kitchen = kitchen or self.kitchen
        return self._settled(partial(self._save_choices, forms, kitchen), kitchen)

    def _save_choices(
        self, forms: Sequence[ChoiceForm], kitchen: str, seen: int
    ) -> tuple[tuple[Document, ...], tuple[Changed, ...]]:
        standing = self._lost_as_sent(forms, kitchen)
        kept = [standing.get((form.phrase, form.food)) for form in forms]
        forms = [form for form, stands in zip(forms, kept, strict=True) if stands is None]
        numbers, free = self._choices_by_words(kitchen), store.next_number(self._engine, kitchen, "choice")
        words_sent = {words_of(form.phrase) for form in forms}
        replaced = [one for one in self.documents("choice", kitchen) if words_of(one.title) in words_sent]
        placed: list[tuple[int, ChoiceForm]] = []
        for form in forms:
            number = numbers.setdefault(words_of(form.phrase), free)
            free += number == free
            placed.append((number, form))
        drafts = {f"choice:{number}": form for number, form in placed}
        reach = self._reach(kitchen, seen, drafts, self._ruled_by(forms, replaced))
        rows = [(number, form.phrase, form.json_text(), _used_by(form)) for number, form in placed]
        saved = iter(store.save_choices(self._engine, kitchen, rows, reach.stored))
        return tuple(stands or next(saved) for stands in kept), reach.changed

    def _lost_as_sent(self, forms: Sequence[ChoiceForm], kitchen: str) -> dict[tuple[str, str | None], Document]:
        """By phrase and food, lost choices that stand as they are sent; NotFoundError where another's food is gone."""
        book = self.book(kitchen)
        lost = {(words_of(one.title), read_form(ChoiceForm, one.body).food): one for one in self.lost_choices(kitchen)}
        found = {}
        for place, form in enumerate(forms):
            try:
                if form.food is not None:
                    book.check_there(form.food)
            except NotFoundError as error:
                if (stands := lost.get((words_of(form.phrase), form.food))) is not None:
                    found[form.phrase, form.food] = stands
                elif not holding(self._engine, str(form.food)):
                    raise NotFoundError(f"{form.phrase!r}: {error}", pointer=f"/{place}/food") from None
        return found

    def delete_choice(self, number: int, kitchen: str | None = None, *, expected: int | None = None) -> Saved:
        """Delete a standing choice, and what that changes; NotFoundError and ConflictError as of `delete`."""
        return self._deleted("choice", number, kitchen or self.kitchen, expected)

    def _ruled_by(self, forms: Iterable[ChoiceForm], saved: Iterable[Document]) -> set[tuple[str, ...]]:
        """What lines name that standing choices rule."""
        every = [*forms, *(read_form(ChoiceForm, one.body) for one in saved)]
        return {self._phrases(one.phrase, food=one.food is not None) for one in every}

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
                    book.check_there(food)
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
        return self._deleted(kind, number, kitchen or self.kitchen, expected).document

    def _deleted(self, kind: Kind, number: int, kitchen: str, expected: int | None) -> Saved:
        def attempt(seen: int) -> Saved:
            old = store.get(self._engine, kitchen, kind, number)
            if kind != "choice":
                self._check_unnamed(old.food_id, old.title, kitchen)
            names = self._ruled_by([], [old]) if kind == "choice" else [(name,) for name in called(old.title)]
            reach = self._reach(kitchen, seen, {old.food_id: None}, names)
            return reach.saved(store.delete(self._engine, kitchen, kind, number, expected=expected, reach=reach.stored))

        return self._settled(attempt, kitchen)

    def _check_unnamed(self, food_id: str, title: str, kitchen: str) -> None:
        """No recipe that was saved before it names what is to be deleted."""
        book, users = self.book(kitchen), []
        for user in self.users(kitchen=kitchen, names=[(name,) for name in called(title)]):
            try:
                if user != food_id and food_id in book.work_saved(user).uses:
                    users.append((user, book.recipe(user).title))
            except InputError:  # it cannot be worked out, so that it counts nothing
                continue
        if users:
            names = ", ".join(repr(name) for _, name in users[:5])
            raise InUseError(f"it is used by {names}", users=tuple(users))


def _used_by(choice: ChoiceForm) -> list[str]:
    return [choice.food] if choice.food else []


def _heads(name: tuple[str, ...], book: Book) -> set[tuple[str, ...]]:
    """The last word of a recipe's title, where "the dressing" means it, or no longer means another."""
    words = words_of(" ".join(name[-1:]))
    if not words or not words[-1].isalpha():
        return set()
    titled = book.kitchen.titled
    ends = [words[start:] for start in range(len(words)) if start or len(words) == 1]
    return {(_stem(words[-1]),)} if any(1 <= titled(end) <= 2 for end in ends) else set()


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


# The figures of one serving of the plain recipe, and of each further way to serve it by name.
_Servings = tuple[Figures | None, Mapping[str, Figures]]
_NOT_SERVED: _Servings = (None, {})


def _every_serving(book: Book, food_id: str) -> _Servings:
    try:
        return _servings_of(book.work_saved(food_id))
    except InputError:  # it cannot be worked out, which its own page says
        return _NOT_SERVED


def _servings_of(worked: Worked) -> _Servings:
    return worked.base.portions.per_serving, {one.name: one.portions.per_serving for one in worked.variants}


def change_between(old: Book, new: Book, food_id: str, title: str) -> Changed:
    """The figures of a recipe in two books."""
    return _change(food_id, title, _every_serving(old, food_id), _every_serving(new, food_id))


def _change(food_id: str, title: str, old: _Servings, new: _Servings) -> Changed:
    (before, ways), (after, other) = old, new
    variants = (ChangedVariant(name, ways.get(name), other.get(name)) for name in {**ways, **other})
    return Changed(food_id, title, before, after, tuple(one for one in variants if not _same(one.before, one.after)))


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
