"""Names are found the same whichever was looked for first: they are read when their head is first asked for."""

from __future__ import annotations

from service.core.vocabulary import Vocabulary
from service.tables import load_tables


def prepared(*, backwards: bool) -> Vocabulary:
    tables = load_tables()
    vocabulary = Vocabulary(tables.words, tables.names, titles=tables.titles, plain_words=tables.plain_words)
    for head in sorted(vocabulary._waiting, reverse=backwards):
        vocabulary._prepare(head)
    return vocabulary


def test_names_are_listed_the_same_in_any_order_of_asking():
    """ "all spice" is the word "allspice", and waited under "spice": what came first was said of both."""
    one, other = prepared(backwards=False), prepared(backwards=True)
    assert one._names == other._names
    assert one._by_words == other._by_words


def test_every_name_waits_under_the_head_that_it_is_looked_for_by():
    tables = load_tables()
    vocabulary = Vocabulary(tables.words, tables.names, titles=tables.titles, plain_words=tables.plain_words)
    waiting = [(head, name) for head, names in vocabulary._waiting.items() for name in names]
    elsewhere = [
        name.form
        for head, name in waiting
        if vocabulary.key_words(name.form)[-1:] != (head,)
    ]
    assert elsewhere == []
