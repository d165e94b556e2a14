"""Several workers of one machine: forked from a process that has loaded all, kept running."""

import ctypes
import logging
import multiprocessing
import os
import signal
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from types import FrameType

from workers import queues

_log = logging.getLogger(__name__)

_STOPS = (signal.SIGTERM, signal.SIGINT)
# One that dies is started again at once; one that keeps dying waits longer each time.
_PAUSES_S = (0.0, 0.5, 1.0, 2.0, 5.0, 10.0)
_STEADY_S = 10.0
_LOOKS_EVERY_S = 0.2
# A job may take so long before its worker ends by itself.
_DRAINS_WITHIN_S = 75.0

Work = Callable[[str, int], None]

_PR_SET_PDEATHSIG = 1
# Loaded here, because a forked child must not load anything.
_libc = ctypes.CDLL(None) if sys.platform == "linux" else None


def sizes_in(words: list[str]) -> dict[str, int]:
    """How many workers each queue gets: `replies=2 chores=1`. Raises ValueError."""
    sizes: dict[str, int] = {}
    for word in words:
        queue, _, number = word.partition("=")
        if queue not in queues.NAMES or queue in sizes or not number.isdigit():
            raise ValueError(
                f"{word}: say QUEUE=NUMBER, each queue once: {', '.join(queues.NAMES)}"
            )
        sizes[queue] = int(number)
    return sizes


@dataclass
class _Place:
    """One worker's place in the pool, and who holds it now."""

    queue: str
    number: int
    process: BaseProcess | None = None
    began: float = 0.0
    deaths_in_a_row: int = 0
    not_before: float = 0.0

    @property
    def is_empty(self) -> bool:
        return self.process is None or not self.process.is_alive()


class Pool:
    """Runs `work(queue, number)` in a process for each place until SIGTERM or SIGINT.

    Each process has one queue: with two, RQ can lose a job (see `queues`).
    """

    def __init__(self, sizes: Mapping[str, int], work: Work) -> None:
        self._places = [
            _Place(queue, number) for queue, size in sizes.items() for number in range(size)
        ]
        self._work = work
        self._stopping = False
        self._forking = multiprocessing.get_context("fork")

    def run(self) -> None:
        """Keep every place filled; on a signal, have all end what they are at, and return."""
        before = {number: signal.signal(number, self._stop) for number in _STOPS}
        try:
            while not self._stopping:
                for place in self._places:
                    self._look_after(place)
                time.sleep(_LOOKS_EVERY_S)
            self._drain()
        finally:
            for number, handler in before.items():
                signal.signal(number, handler)

    def _stop(self, number: int, frame: FrameType | None) -> None:  # noqa: ARG002
        self._stopping = True

    def _look_after(self, place: _Place) -> None:
        now = time.monotonic()
        if not place.is_empty:
            return
        if place.process is not None:
            self._bury(place, now)
        if now >= place.not_before:
            place.process = self._forking.Process(target=self._in_child, args=(place,))
            place.began = now
            place.process.start()

    def _bury(self, place: _Place, now: float) -> None:
        assert place.process is not None  # noqa: S101  asked by the caller
        lived = now - place.began
        place.deaths_in_a_row = 1 if lived > _STEADY_S else place.deaths_in_a_row + 1
        pause_s = _PAUSES_S[min(place.deaths_in_a_row, len(_PAUSES_S)) - 1]
        place.not_before = now + pause_s
        _log.warning(
            "a worker of %s ended by itself (%s), started again in %g s",
            place.queue, place.process.exitcode, pause_s,
        )  # fmt: skip
        place.process.close()
        place.process = None

    def _in_child(self, place: _Place) -> None:
        for number in _STOPS:
            signal.signal(number, signal.SIG_DFL)
        # A group of its own: Ctrl-C would reach a worker twice, from the terminal and from here,
        # and the second time cuts it off.
        os.setpgrp()
        if _libc is not None:
            _libc.prctl(_PR_SET_PDEATHSIG, signal.SIGTERM)
        self._work(place.queue, place.number)

    def _drain(self) -> None:
        """Ask all to end, wait for what they are at, and end those that do not come to an end."""
        waited_for = [place.process for place in self._places if place.process is not None]
        for process in waited_for:
            process.terminate()
        deadline = time.monotonic() + _DRAINS_WITHIN_S
        for process in waited_for:
            process.join(max(0.0, deadline - time.monotonic()))
            if process.is_alive():
                process.kill()
                process.join()
