"""What the bot tells those who watch it."""

import asyncio
from collections.abc import Awaitable, Callable

import httpx
import pytest
from starlette.applications import Starlette

from bot.health import Health
from bot.metrics import Figures


class Service:
    """A service that answers, or does not; counts how often it is asked."""

    def __init__(self, *, answers: bool = True) -> None:
        self.asked = 0
        self._answers = answers

    async def is_there(self) -> bool:
        self.asked += 1
        return self._answers


def _ask(
    ask: Callable[[httpx.AsyncClient], Awaitable[httpx.Response]],
    *,
    service: Service | None = None,
    telegram: str = "off",
    stops: bool = False,
    key: str | None = "a key",
) -> httpx.Response:
    async def whole() -> httpx.Response:
        stopping, figures = asyncio.Event(), Figures()
        figures.start(["webchat"])
        if stops:
            stopping.set()
        health = Health(
            figures,
            service_answers=(service or Service()).is_there,
            telegram=lambda: telegram,
            stopping=stopping,
            metrics_key=key,
        )
        transport = httpx.ASGITransport(Starlette(routes=health.routes()))
        async with httpx.AsyncClient(transport=transport, base_url="http://bot") as client:
            return await ask(client)

    return asyncio.run(whole())


@pytest.mark.parametrize(
    ("answers", "telegram", "stops", "status", "said"),
    [
        (True, "off", False, 200, "ready"),
        (True, "receiving", False, 200, "ready"),
        (True, "away", False, 200, "degraded"),
        (True, "refused", False, 200, "degraded"),
        (False, "receiving", False, 503, "not ready"),
        (True, "receiving", True, 503, "draining"),
    ],
)
def test_it_is_ready_where_it_can_commit_what_comes(
    answers: bool, telegram: str, stops: bool, status: int, said: str
) -> None:
    answer = _ask(
        lambda client: client.get("/readyz"),
        service=Service(answers=answers),
        telegram=telegram,
        stops=stops,
    )
    assert (answer.status_code, answer.json()["status"]) == (status, said)
    assert answer.json()["telegram"] == telegram


def test_the_service_is_not_asked_for_each_who_asks() -> None:
    service = Service()

    async def often(client: httpx.AsyncClient) -> httpx.Response:
        return [await client.get("/readyz") for _ in range(5)][-1]

    _ask(often, service=service)
    assert service.asked == 1


@pytest.mark.parametrize("given", ["", "Bearer", "Bearer another", "Bearer schlüssel"])
def test_figures_are_not_shown_without_their_key(given: str) -> None:
    headers = {b"Authorization": given.encode()}
    answer = _ask(lambda client: client.get("/metrics", headers=headers))
    assert answer.status_code == 404


def test_without_a_key_there_are_no_figures() -> None:
    headers = {"Authorization": "Bearer None"}
    assert _ask(lambda client: client.get("/metrics", headers=headers), key=None).is_client_error


def test_with_the_key_all_figures_are_there_from_the_start() -> None:
    headers = {"Authorization": "Bearer a key"}
    text = _ask(lambda client: client.get("/metrics", headers=headers)).text
    assert 'garlandry_bot_updates_total{channel="webchat"} 0.0' in text
    assert "garlandry_bot_service_up 1.0" in text
    assert "garlandry_bot_telegram_up 1.0" in text
