"""The hand-kept tables and the resolver over the real SR28, built once."""

import pytest

from service.core.amount import MeasureWords
from service.core.analyse import Resolver, Tables
from service.core.food import FoodTable
from service.core.vocabulary import Vocabulary
from service.tables import load_tables


@pytest.fixture(scope="session")
def tables() -> Tables:
    return load_tables()


@pytest.fixture(scope="session")
def vocabulary(resolver: Resolver) -> Vocabulary:
    return resolver.vocabulary


@pytest.fixture(scope="session")
def measure_words(tables: Tables) -> MeasureWords:
    return tables.measures


@pytest.fixture(scope="session")
def resolver(sr28_table: FoodTable, tables: Tables) -> Resolver:
    return Resolver(sr28_table, tables)
