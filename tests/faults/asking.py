"""What all clients share: a line to write down what they do, and a stubborn connection."""

import asyncio
import contextlib
import re
import time
from typing import Any

import httpx

from tests.faults.evidence import Story, Turn
from tests.faults.plan import Client
from tests.faults.wording import ballpark_in

# As the chat's page does after a failure: a second, two, and so on.
_PAUSES_S = (0.5, 1.0, 2.0, 3.0)
# The client's network drops before the answer is there, and the client sends again.
_LOST_AFTER_S = 0.03

_HEAD = re.compile(
    r'class="price">.*?</span> \$([\d,]+) to \$([\d,]+)</h1>\s*<p class="lead">Most likely around'
    r" \$([\d,]+)"
)


class Asker:
    """A client at work: what it does goes into `story`."""

    def __init__(self, client: Client, http: httpx.AsyncClient) -> None:
        self.client = client
        self.story = Story(client=client.name, channel=client.channel)
        self._http = http
        self._acts = 0

    async def insist(self, method: str, url: str, **how: Any) -> httpx.Response:
        """Send until there is an answer that is not "later"; the client may lose the first."""
        loses = self._acts in self.client.loses and method == "POST"
        self._acts += method == "POST"
        if loses:
            with contextlib.suppress(httpx.TransportError):
                await self._http.request(method, url, **{**how, "timeout": _LOST_AFTER_S})
        tries = 0
        while True:
            with contextlib.suppress(httpx.TransportError):
                answer = await self._http.request(method, url, **how)
                if answer.status_code == 429:
                    await asyncio.sleep(float(answer.headers.get("Retry-After", "1")))
                elif answer.status_code < 500 and answer.status_code != 408:
                    return answer
            await asyncio.sleep(_PAUSES_S[min(tries, len(_PAUSES_S) - 1)])
            tries += 1

    def begin(self, what: str) -> Turn:
        """A turn begins now."""
        turn = Turn(what=what, sent=time.monotonic())
        self.story.turns.append(turn)
        return turn

    async def look_at_quote(self, url: str | None) -> None:
        """Follow the link to a quote, and read what its page says."""
        if url is None:
            self.story.odd.append("a ballpark has no link to its quote")
            return
        page = await self.insist("GET", url)
        if amounts := amounts_on_page(page.text):
            self.story.price("quote page", amounts)
        else:
            self.story.odd.append(f"the quote's page shows no price ({page.status_code})")

    def read_price(self, place: str, text: str, at: float) -> bool:
        """Note a ballpark where there is one."""
        amounts = ballpark_in(text)
        if amounts is None:
            return False
        self.story.price(place, amounts)
        if self.story.priced is None:
            self.story.priced = at
        return True


def amounts_on_page(text: str) -> tuple[int, ...] | None:
    """Low, high and likely at the head of a quote's page."""
    head = _HEAD.search(text)
    return None if head is None else tuple(int(one.replace(",", "")) for one in head.groups())


def connection(number: int) -> httpx.AsyncClient:
    """A connection from an address of its own: each client sits at another one of loopback."""
    transport = httpx.AsyncHTTPTransport(
        verify=False, local_address=f"127.1.{number // 250}.{number % 250 + 1}"
    )
    return httpx.AsyncClient(transport=transport, timeout=20)
