"""Requests made up in one thread, answered in process."""

import asyncio
from collections.abc import Mapping
from typing import Any, Self

import httpx

from tests.fuzz.shop import Full
from tests.service.building import PUBLIC_URL


class Asker:
    """A client of the whole application, with its start and its end around."""

    def __init__(self, shop: Full) -> None:
        self._runner = asyncio.Runner()
        transport = httpx.ASGITransport(app=shop.served.app, raise_app_exceptions=False)
        self._client = httpx.AsyncClient(transport=transport, base_url=PUBLIC_URL)
        self._life = shop.served.app.router.lifespan_context(shop.served.app)

    def __enter__(self) -> Self:
        self._runner.run(self._life.__aenter__())
        return self

    def __exit__(self, *_: object) -> None:
        self._runner.run(self._client.aclose())
        self._runner.run(self._life.__aexit__(None, None, None))
        self._runner.close()

    def ask(
        self, method: str, path: str, headers: Mapping[str, str] | None = None, **more: Any
    ) -> httpx.Response:
        """One request; what it sets as cookies is forgotten."""
        answer = self._runner.run(self._client.request(method, path, headers=headers, **more))
        self._client.cookies.clear()
        return answer
