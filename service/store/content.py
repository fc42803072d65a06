"""What a release in the store holds, as one digest: equal where two releases answer alike, whatever they are called.

It is taken of the rows themselves, so that releases of any age have one and no importer need know of it. What a release
is called, its licence and its citation do not count.
"""

from __future__ import annotations

import hashlib

from sqlalchemy import Connection, text

# Rows that are fetched at once.
_MANY = 10_000
_FOOD = "f.release_id = :release"
_OF_FOOD = f"JOIN food f ON f.id = one.food_id WHERE {_FOOD} ORDER BY f.id"
_ROWS = (
    "SELECT carbohydrate_basis, energy_basis, fibre_method FROM dataset_release WHERE id = :release",
    """SELECT position, tagname, number, name, unit, decimals FROM component
       WHERE release_id = :release ORDER BY position""",
    "SELECT code, name FROM food_group WHERE release_id = :release ORDER BY code",
    "SELECT code, text FROM source_text WHERE release_id = :release ORDER BY code",
    "SELECT code, text FROM derivation_text WHERE release_id = :release ORDER BY code",
    "SELECT code, text FROM langual_term WHERE release_id = :release ORDER BY code",
    f"""SELECT f.code, f.description, f.short_description, f.group_code, f.common_name, f.scientific_name,
        f.manufacturer, f.refuse_percent, f.refuse_text, f.protein_factor, f.fat_factor, f.carbohydrate_factor,
        f.nitrogen_factor, f.original_name, f.linked, f.gtin FROM food f WHERE {_FOOD} ORDER BY f.id""",
    f"SELECT f.code, one.sequence, one.amount, one.text, one.grams FROM household_measure one {_OF_FOOD}, one.sequence",
    f"SELECT f.code, one.code FROM food_langual one {_OF_FOOD}, one.code",
    f"""SELECT f.code, one.position, one.number, one.kind, one.component, one.text FROM footnote one
        {_OF_FOOD}, one.position""",
    f"""SELECT f.code, one.component, one.amount, one.samples, one.standard_error, one.source, one.derivation,
        one.qualifier FROM component_value one {_OF_FOOD}, one.component""",
)


def content_digest(connection: Connection, release_id: int) -> str:
    """SHA-256 of what a release holds, in hexadecimal digits."""
    digest = hashlib.sha256()
    for query in _ROWS:
        digest.update(b"\n")
        for row in connection.execute(text(query), {"release": release_id}, execution_options={"yield_per": _MANY}):
            digest.update(repr(tuple(row)).encode())
    return digest.hexdigest()
