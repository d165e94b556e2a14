"""How fast one chat may go on: some at once, then one every so often."""

import time
from collections import OrderedDict
from collections.abc import Callable

# Beyond this many chats the one that was quiet the longest is forgotten: it starts afresh.
_CHATS_MOST = 10_000


class Pace:
    """Lets `at_once` through and then one every `every_s` seconds, for each chat by itself."""

    def __init__(
        self, *, at_once: int, every_s: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._every_s = every_s
        self._ahead_s = (at_once - 1) * every_s
        self._clock = clock
        # When each chat will have paid for all that it did; the quiet ones first.
        self._paid_at: OrderedDict[str, float] = OrderedDict()

    def wait_s(self, chat_id: str) -> float:
        """Zero: go ahead, and it counts. Else the seconds until it would be let through."""
        now = self._clock()
        paid_at = max(self._paid_at.get(chat_id, now), now)
        if paid_at - now > self._ahead_s:
            return paid_at - now - self._ahead_s
        self._paid_at[chat_id] = paid_at + self._every_s
        self._paid_at.move_to_end(chat_id)
        if len(self._paid_at) > _CHATS_MOST:
            self._paid_at.popitem(last=False)
        return 0.0
