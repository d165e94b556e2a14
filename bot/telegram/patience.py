"""Waiting out trouble at Telegram's end, and saying what it is."""

import asyncio
import logging
from collections.abc import Awaitable, Callable, Sequence
from datetime import timedelta
from itertools import chain, repeat

from telegram.error import BadRequest, Conflict, InvalidToken, NetworkError, RetryAfter

from bot.gateway import ServiceRefused, ServiceUnavailable

_log = logging.getLogger(__name__)

PAUSES_S = (0.5, 1.0, 2.0, 4.0, 8.0, 16.0, 30.0)


def growing(pauses_s: Sequence[float]) -> chain[float]:
    """The waits after failures in a row, in seconds; the last repeats."""
    return chain(pauses_s, repeat(pauses_s[-1]))


async def persist(step: Callable[[], Awaitable[object]], pauses_s: Sequence[float]) -> None:
    """Make `step` succeed, with growing waits. Only a refused token ends it."""
    for failures, pause_s in enumerate(growing(pauses_s)):
        try:
            await step()
        except InvalidToken:
            raise
        except Exception as error:
            wait_s = _asked_pause_s(error) or pause_s
            _log.warning("Telegram: %s. Trying again in %g s", _trouble(error), wait_s)
            await asyncio.sleep(wait_s)
        else:
            if failures:
                _log.info("Telegram: receiving again")
            return


def tell_refused_token() -> None:
    """Say in the log what ends receiving for good."""
    _log.error(
        "Telegram: the token is refused, so nothing is received from Telegram. "
        "Check GARLANDRY_TELEGRAM_TOKEN and start again"
    )


def _asked_pause_s(error: Exception) -> float | None:
    if not isinstance(error, RetryAfter):
        return None
    asked = error.retry_after
    return asked.total_seconds() if isinstance(asked, timedelta) else float(asked)


def _trouble(error: Exception) -> str:
    # Only kinds are told: an error's own text may quote the token or what a client wrote.
    match error:
        case Conflict():
            return (
                "another program receives this bot's messages. "
                "Stop it, or use a bot of its own for each"
            )
        case RetryAfter():
            return "the server asks for a pause"
        case BadRequest() if "webhook" in error.message.lower():
            return "the webhook's address is refused. Check GARLANDRY_TELEGRAM_WEBHOOK_URL"
        case NetworkError():
            return f"the server cannot be reached ({type(error).__name__})"
        case ServiceUnavailable():
            return "the service does not answer, so messages wait at Telegram"
        case ServiceRefused():
            return f"the service refused an update ({error}), so it waits at Telegram"
        case _:
            return f"an unexpected {type(error).__name__}"
