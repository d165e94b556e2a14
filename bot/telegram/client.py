"""A client of the Bot API that does not tell its token to the logs."""

import logging
import os

from telegram import Bot

# The library's own way to opt into durations as timedelta; without it, it warns at each 429.
os.environ.setdefault("PTB_TIMEDELTA", "true")


def open_bot(token: str, api: str) -> Bot:
    """A bot for `token` at the Bot API server `api`, such as `https://api.telegram.org`."""
    _silence()
    base = f"{api.rstrip('/')}"
    return Bot(token, base_url=f"{base}/bot", base_file_url=f"{base}/file/bot")


def _silence() -> None:
    """Quiet the loggers that write a request's address: the token is part of it."""
    for name in ("httpx", "httpcore", "telegram"):
        logging.getLogger(name).setLevel(logging.WARNING)
    # Above DEBUG it has one message only, and that one quotes what clients wrote.
    logging.getLogger("telegram.Bot").setLevel(logging.CRITICAL + 1)
