"""A client of the web chat, as the chat's page is one: what is not taken is sent again, under the
same id, and what is said comes live over server-sent events."""

import asyncio
import contextlib
import json
import time
import uuid
from typing import Any

import httpx

from tests.faults.asking import Asker, connection
from tests.faults.evidence import Shown, Turn
from tests.faults.plan import Client
from tests.faults.wording import in_parts, request_of

Message = dict[str, Any]

_RECONNECT_S = 1.0


class WebClient(Asker):
    """Somebody at the web chat."""

    def __init__(self, client: Client, number: int, chat: str) -> None:
        super().__init__(client, connection(number))
        self._chat = chat
        self._seen: dict[int, Message] = {}
        self._news = asyncio.Event()

    async def run(self) -> None:
        """The whole conversation, until the ballpark has come and its page was read."""
        async with self._http:
            await self._open()
            listening = asyncio.create_task(self._listen())
            try:
                await self._converse()
            finally:
                listening.cancel()
                await asyncio.gather(listening, return_exceptions=True)

    async def _open(self) -> None:
        answer = await self.insist("POST", f"{self._chat}/chat/session")
        self.story.chat_id = answer.cookies["chat"]
        self._http.cookies.clear()
        self._http.headers["Cookie"] = f"chat={self.story.chat_id}"

    async def _converse(self) -> None:
        await self._do("start", kind="start", text=self.client.name)
        said = in_parts(self.client) if self.client.wordy else (request_of(self.client),)
        for text in said:
            await self._do("text", kind="text", text=text)
        button = await self._confirm_button()
        turn = await self._do("confirm", kind="button", text=button["value"], label=button["label"])
        self.story.confirmed = turn.accepted
        ballpark = await self._message("ballpark")
        buttons = ballpark["buttons"]
        await self.look_at_quote(next((b["url"] for b in buttons if b["url"]), None))

    async def _do(self, what: str, **update: str) -> Turn:
        """Send an update until it is taken, and wait until it is answered."""
        body = {"update_id": uuid.uuid4().hex, **update}
        turn = self.begin(what)
        await self.insist("POST", f"{self._chat}/chat/updates", json=body)
        turn.accepted = time.monotonic()
        while not self._answered(what, body["update_id"]):
            await self._more()
        turn.answered = time.monotonic()
        return turn

    def _answered(self, what: str, update_id: str) -> bool:
        """Whether the shop said something after this very update.

        A price may be there before the turn that asked for it is written down: then the turn
        says nothing more.
        """
        if what == "confirm" and any(m["kind"] == "ballpark" for m in self._seen.values()):
            return True
        asked = [s for s, m in self._seen.items() if m["update_id"] == update_id]
        return bool(asked) and any(
            s > asked[0] and m["direction"] == "out" for s, m in self._seen.items()
        )

    async def _confirm_button(self) -> Message:
        readback = await self._message("readback")
        return next(b for b in readback["buttons"] if (b["value"] or "").startswith("confirm"))

    async def _message(self, kind: str) -> Message:
        while True:
            for message in self._seen.values():
                if message["kind"] == kind and message["direction"] == "out":
                    return message
            await self._more()

    async def _more(self) -> None:
        self._news.clear()
        await self._news.wait()

    async def _listen(self) -> None:
        while True:
            with contextlib.suppress(httpx.TransportError):
                after = max(self._seen, default=0)
                url = f"{self._chat}/chat/stream"
                async with self._http.stream(
                    "GET", url, params={"after": after}, timeout=40
                ) as answer:
                    async for line in answer.aiter_lines():
                        if answer.is_success and line.startswith("data: {"):
                            self._take(json.loads(line.removeprefix("data: ")))
            await asyncio.sleep(_RECONNECT_S)

    def _take(self, message: Message) -> None:
        if "seq" not in message:
            return
        seq = int(message["seq"])
        known = self._seen.get(seq)
        if known is not None and known["text"] != message["text"]:
            self.story.odd.append("a message came twice with two texts")
        if known is None and message["kind"] == "ballpark":
            self.read_price("chat", message["text"], time.monotonic())
        self._seen[seq] = message
        self._news.set()

    async def look_back(self) -> None:
        """Open the chat once more when all is over: what stands there is what counts."""
        if self.story.chat_id is None:
            return
        self._http = connection(0)
        headers = {"Cookie": f"chat={self.story.chat_id}"}
        url = f"{self._chat}/chat/messages"
        async with self._http:
            answer = await self.insist("GET", url, params={"after": 0}, headers=headers)
        self.story.shown = [
            Shown(
                key=m["seq"],
                text=m["text"],
                at=0.0,
                update=m["update_id"],
                ours=m["direction"] == "out",
            )
            for m in answer.json()
        ]
