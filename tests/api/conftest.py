"""The API over all of SR28, called without a network."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from sqlalchemy import delete

from service.api.app import create_app
from service.settings import Settings
from service.store.engine import writing
from service.store.schema import KitchenDocument, KitchenUse, table
from service.wiring import Catalogue, open_catalogue

BASE = "http://gramwright"


class AppClient:
    """Calls an app as an HTTP client does; an error inside the app is answered, not raised."""

    def __init__(self, app: FastAPI) -> None:
        self.transport = httpx.ASGITransport(app, raise_app_exceptions=False)

    def request(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def call() -> httpx.Response:
            plain = {"Accept-Encoding": "identity"}
            async with httpx.AsyncClient(transport=self.transport, base_url=BASE, headers=plain) as client:
                return await client.request(method, path, **more)

        return asyncio.run(call())

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.request("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self.request("POST", path, **more)


@pytest.fixture(scope="session")
def catalogue(kitchen_store: Settings) -> Iterator[Catalogue]:
    """The food data over a copy of the store, whose kitchens are empty."""
    catalogue = open_catalogue(kitchen_store)
    empty_kitchens(catalogue)
    yield catalogue
    catalogue.engine.dispose()


def empty_kitchens(catalogue: Catalogue) -> None:
    """Forget whatever kitchens hold; changes are counted from 1 again."""
    with writing(catalogue.engine) as connection:
        for model in (KitchenUse, KitchenDocument):
            connection.execute(delete(table(model)))
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql("ALTER SEQUENCE kitchen_document_change_seq RESTART")


class KitchenClient(AppClient):
    """A client with short forms for what a kitchen is asked for."""

    def save(self, path: str, body: Any) -> Any:
        """Post JSON that is to be saved; what was answered."""
        answer = self.post(path, json=body)
        assert answer.status_code == 201, answer.text
        return answer.json()

    def put(self, path: str, body: Any, *, seen: str = "*") -> httpx.Response:
        return self.request("PUT", path, json=body, headers={"If-Match": seen})

    def delete(self, path: str, *, seen: str = "*") -> httpx.Response:
        return self.request("DELETE", path, headers={"If-Match": seen})

    def nutrition(self, recipe: str, **query: Any) -> Any:
        """What a recipe comes to."""
        answer = self.get(f"/v1/recipes/{recipe}/nutrition", params=query)
        assert answer.status_code == 200, answer.text
        return answer.json()


@pytest.fixture(scope="session")
def client_of() -> Callable[[Any], AppClient]:
    """A client of the API over any food data."""
    return lambda catalogue: AppClient(create_app(catalogue))


@pytest.fixture(scope="session")
def client(catalogue: Catalogue) -> AppClient:
    return AppClient(create_app(catalogue))


@pytest.fixture
def kitchen(catalogue: Catalogue) -> Iterator[KitchenClient]:
    """A client of an app whose kitchen is empty, and is emptied again after the test."""
    empty_kitchens(catalogue)
    yield KitchenClient(create_app(catalogue))
    empty_kitchens(catalogue)
