"""Those who fill in the website's form, and websites that post requests themselves. Both send the
same once more until they are answered."""

import asyncio
import re
import time
from html import unescape

import httpx

from tests.faults.asking import Asker, connection
from tests.faults.plan import Client

_HIDDEN = re.compile(r'<input type="hidden" name="(\w+)" value="([^"]*)">')
_QUOTE = re.compile(r'href="(http[^"]*/quotes/[^"]+)"')
# Whoever is faster is taken for a machine.
_FILLING_IN_S = 3.2
_LOOK_EVERY_S = 1.0


class FormClient(Asker):
    """Somebody at the website's form, without scripts."""

    def __init__(self, client: Client, number: int, service: str) -> None:
        super().__init__(client, connection(number))
        self._service = service

    async def run(self) -> None:
        """Fill in, send until taken, and read the request's page until the ballpark is there."""
        async with self._http:
            source = {"source": self.client.name}
            page = await self.insist("GET", f"{self._service}/form", params=source)
            fields = {k: unescape(v) for k, v in _HIDDEN.findall(page.text)}
            await asyncio.sleep(_FILLING_IN_S)
            turn = self.begin("form")
            path = await self._send(fields | self._filled())
            turn.accepted = self.story.confirmed = time.monotonic()
            text = await self._followed(f"{self._service}{path}")
            turn.answered = time.monotonic()
            found = _QUOTE.search(text)
            await self.look_at_quote(unescape(found[1]) if found else None)

    async def _send(self, fields: dict[str, object]) -> str:
        while True:
            answer = await self.insist("POST", f"{self._service}/form", data=fields)
            if answer.status_code == 303:
                path = answer.headers["Location"]
                self.story.receipts.add(path)
                if 0 in self.client.loses:  # pressed twice
                    again = await self.insist("POST", f"{self._service}/form", data=fields)
                    self.story.receipts.add(again.headers.get("Location", "none"))
                return str(path)
            if answer.status_code != 409:
                self.story.odd.append(f"the form was answered with {answer.status_code}")
            await asyncio.sleep(1.0)

    async def _followed(self, url: str) -> str:
        while True:
            page = await self.insist("GET", url)
            if self.read_price("request page", page.text, time.monotonic()):
                return page.text
            await asyncio.sleep(_LOOK_EVERY_S)

    def _filled(self) -> dict[str, object]:
        client = self.client
        return {
            "p1-support": "round_top_frame",
            "p1-width-ft": str(client.width_ft),
            "p1-height-ft": str(client.height_ft),
            "fullness": "full",
            "colour": list(client.palette),
            "date": f"2027-06-{client.day:02}",
            "time": "15:00",
            "place": "hall",
            "postal_code": "02139",
            "setting": "indoor",
            "name": "Nora",
            "email": f"{client.name}@rowing.example",
        }

    async def look_back(self) -> None:
        """Its page was read already."""


class ApiClient(Asker):
    """A website that posts its visitors' requests under a key of its own each."""

    def __init__(self, client: Client, number: int, service: str, key: str) -> None:
        super().__init__(client, connection(number))
        self._service = service
        self._key = key

    async def run(self) -> None:
        """Post until taken, and ask until the ballpark is there."""
        async with self._http:
            self._http.headers["Authorization"] = f"Bearer {self._key}"
            turn = self.begin("post")
            lead_id = await self._post()
            turn.accepted = self.story.confirmed = time.monotonic()
            quote = await self._quote(f"{self._service}/v1/leads/{lead_id}")
            turn.answered = self.story.priced = time.monotonic()
            self.story.price("api status", price_of(quote))
            await self.look_at_quote(quote["url"])

    async def _post(self) -> str:
        lead_id = ""
        for _ in range(2 if 1 in self.client.loses else 1):
            answer = await self._sent()
            while answer.status_code == 409:  # a twin of it is being worked on
                await asyncio.sleep(0.5)
                answer = await self._sent()
            answer.raise_for_status()
            lead_id = str(answer.json()["lead_id"])
            self.story.receipts.add(lead_id)
        return lead_id

    async def _sent(self) -> httpx.Response:
        return await self.insist(
            "POST",
            f"{self._service}/v1/leads",
            json={"brief": self._brief(), "source": self.client.name},
            headers={"Idempotency-Key": f'"{self.client.name}"'},
        )

    async def _quote(self, url: str) -> dict[str, str]:
        while True:
            answer = await self.insist("GET", url)
            if quote := answer.json().get("quote"):
                return dict(quote)
            await asyncio.sleep(_LOOK_EVERY_S)

    def _brief(self) -> dict[str, object]:
        client = self.client
        size = {"width_m": client.width_ft * 0.3048, "height_m": client.height_ft * 0.3048}
        return {
            "pieces": [{"support": "round_top_frame", **size}],
            "palette": list(client.palette),
            "event": {"date": f"2027-06-{client.day:02}", "start_time": "15:00"},
            "site": {"setting": "indoor", "place": "hall", "postal_code": "02139"},
        }

    async def look_back(self) -> None:
        """The API's own answers are read in one go."""


def price_of(price: dict[str, str]) -> tuple[int, ...]:
    """Low, high and likely as the wire tells them."""
    return tuple(round(float(price[name])) for name in ("low", "high", "likely"))
