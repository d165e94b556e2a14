"""A client on Telegram: the Bot API server hands on what is written, and shows what was sent."""

import asyncio
import re
import time
from collections.abc import Callable

from tests.bot_api import BotApiServer, Sent
from tests.faults.asking import Asker, connection
from tests.faults.evidence import Shown, Turn
from tests.faults.plan import Client
from tests.faults.wording import ballpark_in, in_parts, request_of

_LOOK_EVERY_S = 0.15
_QUOTE = re.compile(r"http://\S+/quotes/\S+")


class TelegramClient(Asker):
    """Somebody at a telephone."""

    def __init__(
        self, client: Client, number: int, api: BotApiServer, service: str, key: str
    ) -> None:
        super().__init__(client, connection(number))
        self._api = api
        self._service = service
        self._key = key
        self._chat = 500_000 + number
        self.story.chat_id = str(self._chat)

    async def run(self) -> None:
        """The whole conversation, until the ballpark has come and its page was read."""
        async with self._http:
            await self._say(f"/start {self.client.name}")
            said = in_parts(self.client) if self.client.wordy else (request_of(self.client),)
            for text in said:
                await self._say(text)
            turn = await self._confirm()
            self.story.confirmed = turn.accepted
            ballpark = await self._find(lambda sent: ballpark_in(sent.text) is not None)
            self.read_price("chat", ballpark.text, time.monotonic())
            found = _QUOTE.search(ballpark.text)
            await self.look_at_quote(found[0] if found else None)

    async def _say(self, text: str) -> Turn:
        return await self._answered(lambda: self._api.say(self._chat, text), "text")

    async def _confirm(self) -> Turn:
        offer = await self._find(lambda sent: _confirm_in(sent) is not None)
        data = _confirm_in(offer) or ""
        return await self._answered(
            lambda: self._api.press(self._chat, offer.message_id, data), "confirm"
        )

    async def _answered(self, act: Callable[[], int], what: str) -> Turn:
        """Act, which the Bot API server takes at once, and wait for what was not said before.

        A late copy of an earlier reply answers nothing; no turn calls for the words of another.
        """
        before = {sent.text for sent in self._api.sent(self._chat)}
        turn = self.begin(what)
        act()
        turn.accepted = time.monotonic()
        while True:
            new = [s for s in self._api.sent(self._chat) if s.text not in before]
            if new:
                turn.answered = new[0].at
                return turn
            await asyncio.sleep(_LOOK_EVERY_S)

    async def _find(self, wanted: Callable[[Sent], bool]) -> Sent:
        while True:
            for sent in self._api.sent(self._chat):
                if wanted(sent):
                    return sent
            await asyncio.sleep(_LOOK_EVERY_S)

    async def look_back(self) -> None:
        """What stands in the chat when all is over, and what the shop knows of the client."""
        self.story.shown = [
            Shown(key=s.message_id, text=s.text, at=s.at) for s in self._api.sent(self._chat)
        ]
        self._http = connection(0)
        url = f"{self._service}/v1/conversations/telegram/{self._chat}/messages"
        async with self._http:
            headers = {"Authorization": f"Bearer {self._key}"}
            answer = await self.insist("GET", url, headers=headers)
        self.story.shown += [
            Shown(key=-m["seq"], text=m["text"], at=0.0, update=m["update_id"], ours=False)
            for m in answer.raise_for_status().json()
            if m["direction"] == "in"
        ]


def _confirm_in(sent: Sent) -> str | None:
    data = (str(button.get("callback_data", "")) for button in sent.buttons)
    return next((one for one in data if one.startswith("confirm")), None)
