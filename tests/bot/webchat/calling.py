"""The web chat's HTTP, as its page and other programs call it."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import httpx

from tests.bot.webchat.memory import MemoryGateway
from tests.bot.webchat.serving import a_client


def with_client(
    act: Callable[[MemoryGateway, httpx.AsyncClient], Awaitable[None]],
) -> MemoryGateway:
    """Act with a client of its own chat; gives what the chat then holds."""
    gateway = MemoryGateway()

    async def scenario() -> None:
        async with a_client(gateway) as client:
            await act(gateway, client)

    asyncio.run(scenario())
    return gateway


def said(text: str, update_id: str = "u1", **more: Any) -> dict[str, Any]:
    return {"update_id": update_id, "kind": "text", "text": text, **more}


def problem_of(response: httpx.Response, status: int) -> dict[str, Any]:
    assert response.status_code == status
    assert response.headers["content-type"] == "application/problem+json"
    problem: dict[str, Any] = response.json()
    assert problem["status"] == status
    return problem
