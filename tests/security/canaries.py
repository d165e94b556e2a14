"""Made-up secrets and people, and an ear that hears all that a process would log."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from typing import Literal

from service.contract import log_lines

TOKEN = "7700112233:AAcanaryTokenOfTheBot-x_9"
KEY = "canary-api-key-Zq81"
NAME = "Imke Canaria"
PHONE = "+1 617 555 0142"
EMAIL = "imke.canaria@rowing.example"
WORDS = "the canary sings at the boathouse"
PLACE = "14 Canary Wharf Lane"

CANARIES = (TOKEN, KEY, NAME, PHONE, EMAIL, WORDS, PLACE)


_OF_SERVERS = "uvicorn.error"


class Heard(StringIO):
    """All that was logged."""

    def canaries(self) -> list[str]:
        """Those of the made-up things that are in it."""
        return [each for each in CANARIES if each in self.getvalue()]


@contextmanager
def heard(process: str, style: Literal["json", "text"] = "json") -> Iterator[Heard]:
    """Everything at DEBUG, as the process' own set-up would write it."""
    root, log = logging.getLogger(), Heard()
    before = root.handlers[:], root.level
    root.handlers.clear()
    levels = {name: logging.getLogger(name).level for name in (*_quietened(), _OF_SERVERS)}
    # A quiet server in this process left it quiet for all that come after.
    logging.getLogger(_OF_SERVERS).setLevel(logging.NOTSET)
    with _stderr(log):
        log_lines.log_to_stderr(process, style, "DEBUG")
    try:
        yield log
    finally:
        root.handlers[:], level = before[0], before[1]
        root.setLevel(level)
        for name, each in levels.items():
            logging.getLogger(name).setLevel(each)


def _quietened() -> tuple[str, ...]:
    return (*log_lines._INDISCREET, *log_lines._NEVER_HEARD)


@contextmanager
def _stderr(log: Heard) -> Iterator[None]:
    import sys

    before, sys.stderr = sys.stderr, log
    try:
        yield
    finally:
        sys.stderr = before
