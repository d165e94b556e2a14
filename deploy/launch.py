"""The process that starts the others and stops them: what `deploy/run` becomes."""

import asyncio
import contextlib
import os
import signal
import sys
import tempfile
from collections.abc import Coroutine
from pathlib import Path
from typing import Any

import httpx

from deploy.once import Refused, converse
from deploy.options import Outcome, read_options
from deploy.stack import ANY_PORTS, ROOT, CannotStart, Stack, one_start_at_a_time, only_one

# A message tried out must touch neither the shop's data nor its real bot: of all settings, only
# those that shape the answer count.
_FOR_ONCE = ("GARLANDRY_PRICE_BOOK", "GARLANDRY_REFERENCE_DATE")
_ELSEWHERE = ("DATABASE_URL", "REDIS_URL")


def main() -> int:
    """Read the command line and do what it says."""
    options = read_options()
    settings = {
        name: value
        for name, value in os.environ.items()
        if value or not name.startswith("GARLANDRY_")
    }
    if options.reference_date:
        settings["GARLANDRY_REFERENCE_DATE"] = options.reference_date.isoformat()
    try:
        if options.once is None:
            return asyncio.run(_until_signal(_serve(settings)))
        return asyncio.run(_until_signal(_once(settings, options.once)))
    except CannotStart as trouble:
        print(f"deploy/run: {trouble}", file=sys.stderr)
        return 1
    except asyncio.CancelledError:  # a second Ctrl-C: the children end with this process
        return 1


async def _until_signal(work: Coroutine[Any, Any, int]) -> int:
    """Run `work`, cancelled by Ctrl-C or SIGTERM so that it can tidy up."""
    task = asyncio.ensure_future(work)
    loop = asyncio.get_running_loop()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        loop.add_signal_handler(number, task.cancel)
    return await task


async def _serve(settings: dict[str, str]) -> int:
    data = Path(settings.get("GARLANDRY_DATA") or ROOT / ".garlandry").resolve()
    data.mkdir(mode=0o700, parents=True, exist_ok=True)
    with only_one(data):
        try:
            await _start_and_stay(data, settings)
        except asyncio.CancelledError:
            _tell("stopped")
    return 0


async def _start_and_stay(data: Path, settings: dict[str, str]) -> None:
    async with contextlib.AsyncExitStack() as starting:
        await starting.enter_async_context(one_start_at_a_time())
        stack = Stack(data, settings, _tell)
        try:
            await stack.start()
            await starting.aclose()
            _tell(_addresses(stack))
            if link := await stack.welcome():
                _tell(f"Sign up for the desk, once, with   {link}")
            await asyncio.Event().wait()
        finally:
            _tell("stopping …")
            await stack.stop()


async def _once(settings: dict[str, str], message: str) -> int:
    settings = {name: value for name, value in settings.items() if _counts_for_once(name)}
    with tempfile.TemporaryDirectory(prefix="garlandry-once-") as folder:
        stack = Stack(Path(folder), settings, lambda _line: None, ANY_PORTS)
        try:
            await stack.start()
            return await converse(stack.chat.local, message, _tell)
        except asyncio.CancelledError:
            _tell("stopped")
            return Outcome.FAILED
        except Refused as refusal:
            raise CannotStart(f"The chat did not take the message. {refusal}") from None
        except (httpx.HTTPError, TimeoutError) as error:
            missing = f"The reply did not come ({type(error).__name__})."
            raise CannotStart(f"{missing}\n{stack.troubled_logs()}") from None
        finally:
            await stack.stop()


def _counts_for_once(name: str) -> bool:
    return name in _FOR_ONCE or not (name.startswith("GARLANDRY_") or name in _ELSEWHERE)


def _addresses(stack: Stack) -> str:
    service = stack.service.public
    return "\n".join(
        (
            f"Chat with clients   {stack.chat.public}/",
            f"Website form        {service}/form",
            f"Your desk           {service}/desk",
            f"API                 {service}/docs",
            f"Logs                {stack.logs}",
            "Stop with Ctrl-C.",
        )
    )


def _tell(line: str) -> None:
    print(line, flush=True)


if __name__ == "__main__":
    sys.exit(main())
