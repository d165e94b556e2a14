"""How soon the bot's next question stands in the browser while many clients chat at once."""

import asyncio
import contextlib
import json
import os
import random
import statistics
import tempfile
import time
import uuid
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import httpx

from deploy.stack import ANY_PORTS, Stack

CLIENTS, CONVERSATIONS, SEED = 100, 2, 11
PAUSE_S = (1.0, 5.0)
"""What a person takes to read and to type a short answer; quick ones at that."""

_SAYS = (
    "hi",
    "how much for balloons on a hoop, for our club's 50th anniversary?",
    "6 ft",
    "june 12",
    "the boathouse in 02139",
    "indoors",
    "navy and white",
    "at 3 pm",
    "yes",
)


class _Client:
    """Somebody with the chat page open."""

    def __init__(self, http: httpx.AsyncClient) -> None:
        self._http = http
        self._heard: asyncio.Queue[float] = asyncio.Queue()

    async def chat(self, chances: random.Random) -> list[float]:
        """Seconds from sending to seeing the answer, for each thing said."""
        (await self._http.post("/chat/session")).raise_for_status()
        listening = asyncio.create_task(self._listen())
        taken = []
        try:
            for text in _SAYS:
                await asyncio.sleep(chances.uniform(*PAUSE_S))
                while not self._heard.empty():  # a second message of the last answer
                    self._heard.get_nowait()
                begun = time.perf_counter()
                await self._say(text)
                taken.append(await asyncio.wait_for(self._heard.get(), 30) - begun)
        finally:
            listening.cancel()
        return taken

    async def _say(self, text: str) -> None:
        update = {"update_id": uuid.uuid4().hex, "kind": "text", "text": text}
        while True:  # as a browser does where a connection that was kept has just been closed
            with contextlib.suppress(httpx.TransportError):
                (await self._http.post("/chat/updates", json=update)).raise_for_status()
                return

    async def _listen(self) -> None:
        after = 0
        while True:
            with contextlib.suppress(httpx.TransportError):
                async with self._http.stream("GET", f"/chat/stream?after={after}") as stream:
                    async for message in _events(stream):
                        after = message["seq"]
                        self._hear(message)
            await asyncio.sleep(2.0)  # as long as the server asks a page to wait

    def _hear(self, message: dict[str, Any]) -> None:
        # A price that is quicker than "working it out" is the answer to the yes.
        if message["direction"] == "out":
            self._heard.put_nowait(time.perf_counter())


async def _events(stream: httpx.Response) -> AsyncIterator[dict[str, Any]]:
    async for line in stream.aiter_lines():
        if line.startswith("data:"):
            yield json.loads(line.removeprefix("data:"))


async def _measure(folder: Path) -> list[float]:
    settings = {"PATH": os.environ["PATH"], "GARLANDRY_REFERENCE_DATE": "2027-01-10"}
    stack = Stack(folder, settings, print, ANY_PORTS)
    await stack.start()
    try:
        taken: list[float] = []
        for number in range(CONVERSATIONS):
            seeds = range(number * CLIENTS, (number + 1) * CLIENTS)
            for seconds in await asyncio.gather(*(_chat(stack, seed) for seed in seeds)):
                taken += seconds
        return taken
    finally:
        await stack.stop()


async def _chat(stack: Stack, seed: int) -> list[float]:
    async with httpx.AsyncClient(base_url=stack.chat.local, timeout=60) as http:
        return await _Client(http).chat(random.Random(SEED + seed))


def main() -> None:
    """Print how long the answers took."""
    with tempfile.TemporaryDirectory() as folder:
        taken = sorted(asyncio.run(_measure(Path(folder))))
    cuts = statistics.quantiles(taken, n=100)
    print(
        f"{CLIENTS} clients chatting at once, {len(taken)} messages, {PAUSE_S[0]:g} to"
        f" {PAUSE_S[1]:g} s between an answer and the next message: answers stand in the browser"
        f" after {cuts[49] * 1000:.0f} ms (median), {cuts[94] * 1000:.0f} ms (p95),"
        f" {cuts[98] * 1000:.0f} ms (p99), {taken[-1] * 1000:.0f} ms (longest)"
    )


if __name__ == "__main__":
    main()
