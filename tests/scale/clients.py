"""Clients of a shop on several machines: each goes to whichever machine answers, as through a
load balancer, and says the same again until it is taken."""

import asyncio
import itertools
import time
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import httpx

from deploy.machine import Machine, Shared
from tests.scale.judging import Said

# A balancer gives up on a machine after so long and asks the next.
_PATIENCE_S = 1.5
_AGAIN_AFTER_S = 0.2
_LOOK_EVERY_S = 0.1

_ids = itertools.count(1)


@dataclass(kw_only=True)
class Evidence:
    """What was sent and what came of it, as seen from outside."""

    said: dict[int, list[Said]] = field(default_factory=dict)
    forms: dict[str, set[str]] = field(default_factory=dict)  # lead ids by the key that was sent
    quoted_s: list[tuple[float, float]] = field(default_factory=list)  # when it began, how long


class Clients:
    """Telegram chats and website forms."""

    def __init__(self, machines: Sequence[Machine], shared: Shared) -> None:
        self._machines = list(machines)
        self._shared = shared
        self._turn = itertools.count()
        self._http = httpx.AsyncClient(timeout=_PATIENCE_S, trust_env=False)
        self.evidence = Evidence()

    async def aclose(self) -> None:
        """Let go of the connections."""
        await self._http.aclose()

    async def chat(self, chat_id: int, until: float, pause_s: float) -> None:
        """Somebody in Telegram who writes one message after the other, until then."""
        texts = self.evidence.said.setdefault(chat_id, [])
        while time.monotonic() < until:
            said = Said(text=f"message {len(texts) + 1}", began=time.monotonic())
            texts.append(said)
            await self._post_update(chat_id, said.text)
            await asyncio.sleep(pause_s)

    async def forms(self, until: float, pause_s: float) -> None:
        """A website that posts one request after the other, until then."""
        quotes = []
        while time.monotonic() < until:
            quotes.append(asyncio.create_task(self._form()))
            await asyncio.sleep(pause_s)
        await asyncio.gather(*quotes)

    async def ask(self, role: str, path: str) -> Any:
        """What a machine that answers says to a role."""
        headers = {"Authorization": f"Bearer {getattr(self._shared.keys, role)}"}
        answer = await self._insist("GET", [f"{m.service}{path}" for m in self._machines], headers)
        return answer.json()

    async def listed(self) -> list[str]:
        """The id of every request that the owner's list shows."""
        found: list[str] = []
        before = ""
        while True:
            page = await self.ask("owner", f"/v1/leads?limit=100{before}")
            found += [lead["lead_id"] for lead in page["leads"]]
            if page["next"] is None:
                return found
            before = f"&before={page['next']}"

    async def _form(self) -> None:
        key, began = uuid.uuid4().hex, time.monotonic()
        leads = self.evidence.forms.setdefault(key, set())
        headers = {
            "Authorization": f"Bearer {self._shared.keys.bot}",
            "Idempotency-Key": f'"{key}"',
        }
        doors = [f"{machine.service}/v1/leads" for machine in self._machines]
        answer = await self._insist("POST", doors, headers, json=_request(next(_ids)))
        lead = str(answer.json()["lead_id"])
        leads.add(lead)
        while (await self.ask("owner", f"/v1/leads/{lead}"))["state"] == "new":
            await asyncio.sleep(_LOOK_EVERY_S)
        self.evidence.quoted_s.append((began, time.monotonic() - began))

    async def _post_update(self, chat_id: int, text: str) -> None:
        person = {"id": chat_id, "first_name": "Robin"}
        number = next(_ids)
        message = {
            "message_id": number,
            "date": 1_800_000_000,
            "chat": {**person, "type": "private"},
            "from": {**person, "is_bot": False},
            "text": text,
        }
        headers = {"X-Telegram-Bot-Api-Secret-Token": self._shared.hook_secret}
        doors = [bot.hook for machine in self._machines for bot in machine.bots]
        await self._insist("POST", doors, headers, json={"update_id": number, "message": message})

    async def _insist(
        self, method: str, doors: Sequence[str], headers: dict[str, str], **body: Any
    ) -> httpx.Response:
        for turn in self._turn:
            try:
                door = doors[turn % len(doors)]
                answer = await self._http.request(method, door, headers=headers, **body)
                if answer.is_success:
                    return answer
                if answer.is_client_error:
                    raise AssertionError(f"{method} {door}: {answer.status_code} {answer.text}")
            except httpx.TransportError:
                continue
            await asyncio.sleep(_AGAIN_AFTER_S)
        raise AssertionError("the count has no end")


def _request(number: int) -> dict[str, Any]:
    """A request for a garland of its own size."""
    piece = {
        "support": "round_top_frame",
        "width_m": 1.2 + (number % 40) / 100,
        "height_m": 2.1,
        "fullness": "full",
    }
    return {"brief": {"pieces": [piece]}, "client": {"name": "Nora"}}
