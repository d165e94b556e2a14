"""What can be seen of the bot: its messages, its calls, and what it told the server of itself."""

import copy
import threading
import time
from collections.abc import Callable

from tests.bot_api.world import Call, Rows, Sent, World


class Views:
    """The test's eyes on the world."""

    _world: World
    _lock: threading.RLock

    @property
    def calls(self) -> list[Call]:
        """Every call the bot made, oldest first."""
        with self._lock:
            return list(self._world.calls)

    def calls_of(self, method: str) -> list[Call]:
        """The calls of one method."""
        return [call for call in self.calls if call.method == method]

    @property
    def refused(self) -> list[Call]:
        """The calls that were answered with a 4xx."""
        return [call for call in self.calls if 400 <= call.status < 500]

    def sent(self, chat_id: int) -> list[Sent]:
        """The bot's messages in a chat, as they read now."""
        with self._lock:
            return copy.deepcopy(self._world.of_chat.get(chat_id, []))

    @property
    def all_sent(self) -> list[Sent]:
        """The bot's messages in all chats, in the order in which they were sent."""
        with self._lock:
            return list(self._world.messages.values())

    def keys(self, chat_id: int) -> Rows:
        """The reply keyboard that a chat shows, [] for the letters."""
        with self._lock:
            return copy.deepcopy(self._world.keys.get(chat_id, []))

    def commands(self, chat_id: int, language: str) -> list[str]:
        """The commands that somebody with this language is offered in a private chat."""
        return list(self.described_commands(chat_id, language))

    def described_commands(self, chat_id: int, language: str) -> dict[str, str]:
        """The same with their descriptions."""
        with self._lock:
            for who in (f"chat {chat_id}", "all_private_chats", "default"):
                for code in (language, ""):
                    if listed := self._world.commands.get((who, code)):
                        return {one["command"]: one["description"] for one in listed}
        return {}

    def about(self, what: str, language: str) -> str:
        """The `description` or `short_description` that somebody with this language reads."""
        with self._lock:
            about = self._world.about
            return about.get((what, language)) or about.get((what, ""), "")

    @property
    def hook(self) -> str | None:
        """The address of the webhook, if there is one."""
        with self._lock:
            return self._world.hook.url if self._world.hook else None

    @property
    def hook_trouble(self) -> str | None:
        """What last went wrong at the webhook."""
        with self._lock:
            return self._world.hook.last_error if self._world.hook else None

    @property
    def unconfirmed(self) -> list[int]:
        """Ids of the updates that the bot has not confirmed, by an offset or a 200."""
        with self._lock:
            return [int(update["update_id"]) for update in self._world.updates]

    @property
    def latest_update(self) -> int | None:
        """Id of the newest update, None before the first."""
        with self._lock:
            return max(self._world.past, default=None)

    def wait_for_sent(self, chat_id: int, count: int, timeout_s: float = 10) -> list[Sent]:
        """Wait until the chat holds `count` messages of the bot."""
        wait(lambda: len(self.sent(chat_id)) >= count, timeout_s, f"{count} messages arrive")
        return self.sent(chat_id)

    def wait_for_calls(self, method: str, count: int, timeout_s: float = 10) -> list[Call]:
        """Wait until `method` was called `count` times."""
        wait(lambda: len(self.calls_of(method)) >= count, timeout_s, f"{count} calls of {method}")
        return self.calls_of(method)


def wait(done: Callable[[], bool], timeout_s: float, what: str) -> None:
    """Wait until `done`. Raises AssertionError after `timeout_s`."""
    deadline = time.monotonic() + timeout_s
    while not done():
        if time.monotonic() > deadline:
            raise AssertionError(f"waited {timeout_s} s in vain until {what}")
        time.sleep(0.005)
