"""Stopping in order: nothing new is begun, and what is in hand is finished."""

import asyncio
from collections.abc import Coroutine
from contextlib import suppress
from typing import Any, TypeVar

_T = TypeVar("_T")


async def until(work: asyncio.Future[Any], stopping: asyncio.Event) -> None:
    """Return when `work` is done or somebody asks to stop; the work itself goes on."""
    asked = asyncio.create_task(stopping.wait())
    try:
        await asyncio.wait({work, asked}, return_when=asyncio.FIRST_COMPLETED)
    finally:
        asked.cancel()


async def unless_asked(stopping: asyncio.Event, work: Coroutine[Any, Any, _T]) -> _T | None:
    """What comes of `work`; None, and no more of it, as soon as somebody asks to stop."""
    task = asyncio.ensure_future(work)
    try:
        await until(task, stopping)
        return task.result() if task.done() else None
    finally:
        task.cancel()


async def pause(seconds: float, stopping: asyncio.Event) -> None:
    """Wait so long, or until somebody asks to stop."""
    with suppress(TimeoutError):
        async with asyncio.timeout(seconds):
            await stopping.wait()
