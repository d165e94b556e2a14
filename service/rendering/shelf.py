"""Files that were made lately, at hand; what is not is made one at a time, and few wait for it."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock

RETRY_AFTER_S = 3
"""When whoever was sent away may ask again."""


class Busy(Exception):
    """Too many wait already. Asked for again in a moment, it is made."""

    def __init__(self) -> None:
        super().__init__("Too much is being drawn just now. Please try again in a moment.")


class Shelf:
    """The last `most` files. At most `waiting` threads make one or wait for it.

    Drawing takes the processor for itself: several at once would be done no sooner, and the
    threads that wait are lacking for pages that take no time at all.
    """

    def __init__(self, *, most: int, waiting: int) -> None:
        self._most = most
        self._places = waiting
        self._kept: OrderedDict[Hashable, bytes] = OrderedDict()
        self._looking = Lock()
        self._making = Lock()

    def get(self, key: Hashable, make: Callable[[], bytes]) -> bytes:
        """The file of that key, made if it is not at hand. Raises Busy, and what `make` raises."""
        with self._looking:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            if not self._places:
                raise Busy
            self._places -= 1
        try:
            with self._making:
                return self._made(key, make)
        finally:
            with self._looking:
                self._places += 1

    def _made(self, key: Hashable, make: Callable[[], bytes]) -> bytes:
        with self._looking:
            if key in self._kept:  # somebody else has asked for the same meanwhile
                return self._kept[key]
        made = make()
        with self._looking:
            self._kept[key] = made
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made
