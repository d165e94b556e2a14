"""Posting updates to the bot's webhook, each chat's in order, until they are taken."""

import asyncio
import threading
from functools import partial
from typing import Any

import httpx

from tests.bot_api.world import Hook, World

# What nobody took is posted again, sooner than the real server would.
_PAUSES_S = (0.05, 0.1, 0.2, 0.5)
_LOOK_S = 0.005
_ANSWER_S = 10.0


class Posting:
    """Posts the world's updates wherever its webhook says, while there is one."""

    def __init__(self, world: World, lock: threading.RLock) -> None:
        self._world = world
        self._lock = lock
        self._at_work: dict[int, asyncio.Task[None]] = {}

    async def run(self) -> None:
        """Post until cancelled."""
        async with httpx.AsyncClient(timeout=_ANSWER_S, trust_env=False) as http:
            try:
                while True:
                    self._start(http)
                    await asyncio.sleep(_LOOK_S)
            finally:
                for task in self._at_work.values():
                    task.cancel()
                await asyncio.gather(*self._at_work.values(), return_exceptions=True)

    def _start(self, http: httpx.AsyncClient) -> None:
        with self._lock:
            hook = self._world.hook
            if hook is None:
                return
            for update in [*self._world.updates]:
                chat_id = _chat_of(update)
                if not _allowed(update, hook):
                    self._world.updates.remove(update)
                elif chat_id not in self._at_work and len(self._at_work) < hook.connections:
                    task = asyncio.create_task(self._deliver(http, update))
                    self._at_work[chat_id] = task
                    task.add_done_callback(partial(self._done, chat_id))

    def _done(self, chat_id: int, _: asyncio.Task[None]) -> None:
        self._at_work.pop(chat_id, None)

    async def _deliver(self, http: httpx.AsyncClient, update: dict[str, Any]) -> None:
        tries = 0
        while (hook := self._world.hook) is not None:
            trouble = await _posted(http, hook, update)
            with self._lock:
                hook.last_error = trouble or hook.last_error
                if trouble is None and update in self._world.updates:
                    self._world.updates.remove(update)
                if trouble is None:
                    return
            await asyncio.sleep(_PAUSES_S[min(tries, len(_PAUSES_S) - 1)])
            tries += 1


async def _posted(http: httpx.AsyncClient, hook: Hook, update: dict[str, Any]) -> str | None:
    """None when the update was taken, else what went wrong."""
    secret = {"X-Telegram-Bot-Api-Secret-Token": hook.secret} if hook.secret else {}
    try:
        answer = await http.post(hook.url, json=update, headers=secret)
    except httpx.HTTPError as error:
        return f"Connection failed: {type(error).__name__}"
    return None if answer.is_success else f"Wrong response from the webhook: {answer.status_code}"


def _allowed(update: dict[str, Any], hook: Hook) -> bool:
    return not hook.allowed or any(kind in update for kind in hook.allowed)


def _chat_of(update: dict[str, Any]) -> int:
    content = next(value for key, value in update.items() if key != "update_id")
    message = content.get("message", content)
    return int(message["chat"]["id"])
