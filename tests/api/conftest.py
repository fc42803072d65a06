"""The API over all of SR28, called without a network."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from typing import Any

import httpx
import pytest
from fastapi import FastAPI

from service.api.app import create_app
from service.settings import Settings
from service.wiring import Catalogue, open_catalogue


class AppClient:
    """Calls an app as an HTTP client does; an error inside the app is answered, not raised."""

    def __init__(self, app: FastAPI) -> None:
        self.transport = httpx.ASGITransport(app, raise_app_exceptions=False)

    def request(self, method: str, path: str, **more: Any) -> httpx.Response:
        async def call() -> httpx.Response:
            async with httpx.AsyncClient(transport=self.transport, base_url="http://gramwright") as client:
                return await client.request(method, path, **more)

        return asyncio.run(call())

    def get(self, path: str, **more: Any) -> httpx.Response:
        return self.request("GET", path, **more)

    def post(self, path: str, **more: Any) -> httpx.Response:
        return self.request("POST", path, **more)


@pytest.fixture(scope="session")
def catalogue(sr28_store: Settings) -> Catalogue:
    return open_catalogue(sr28_store)


@pytest.fixture(scope="session")
def client_of() -> Callable[[Any], AppClient]:
    """A client of the API over any food data."""
    return lambda catalogue: AppClient(create_app(catalogue))


@pytest.fixture(scope="session")
def client(catalogue: Catalogue) -> AppClient:
    return AppClient(create_app(catalogue))
