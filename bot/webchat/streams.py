"""Messages as they come: server-sent events, one stream for each open page."""

import asyncio
import logging
from collections import Counter
from collections.abc import AsyncIterator, Coroutine
from http import HTTPStatus
from typing import Any, TypeVar

from starlette.responses import Response, StreamingResponse
from starlette.types import Message, Send

from bot.gateway import Gateway, ServiceRefused, ServiceUnavailable
from bot.webchat.outgoing import as_event
from bot.webchat.problems import Refusal

_log = logging.getLogger(__name__)
_T = TypeVar("_T")

# Proxies and browsers give up a silent connection after 30 s and more; the page takes a stream
# that is silent for longer than two of these for dead.
_HEARTBEAT_S = 15.0
_HEARTBEAT = "event: alive\ndata: still here\n\n"
_SERVICE_PAUSE_S = 1.0
# A page that reads nothing for so long is gone or stuck: it connects again when it is back.
_READS_WITHIN_S = 30.0
# As many as a browser opens to one address at once.
_OF_ONE_CHAT_MOST = 6
_RETRY_AFTER_S = 5.0


class Streams:
    """The live streams of all chats."""

    def __init__(self, gateway: Gateway) -> None:
        self._gateway = gateway
        self._closing = asyncio.Event()
        self._open: Counter[str] = Counter()

    def close(self) -> None:
        """End all of them; their pages connect again when somebody answers."""
        self._closing.set()

    def open(self, chat_id: str, after: int) -> Response:
        """What `chat_id` has beyond `after`, and then what comes."""
        if self._open[chat_id] >= _OF_ONE_CHAT_MOST:
            raise Refusal(
                HTTPStatus.TOO_MANY_REQUESTS,
                "This chat is open in too many places.",
                retry_after_s=_RETRY_AFTER_S,
            )
        return _Stream(
            self._counted(chat_id, after),
            media_type="text/event-stream",
            headers={"Cache-Control": "no-store", "X-Accel-Buffering": "no"},
        )

    async def _counted(self, chat_id: str, after: int) -> AsyncIterator[str]:
        self._open[chat_id] += 1
        try:
            async for event in self._events(chat_id, after):
                yield event
        finally:
            self._open[chat_id] -= 1
            if not self._open[chat_id]:
                del self._open[chat_id]

    async def _events(self, chat_id: str, after: int) -> AsyncIterator[str]:
        yield "retry: 2000\n\n"
        while not self._closing.is_set():
            try:
                shown = await self._unless_closing(
                    self._gateway.messages("webchat", chat_id, after, _HEARTBEAT_S)
                )
            except (ServiceUnavailable, ServiceRefused):
                await self._unless_closing(asyncio.sleep(_SERVICE_PAUSE_S))
                shown = None
            for message in shown or ():
                yield as_event(message, chat_id)
                after = message.seq
            if not shown and not self._closing.is_set():
                yield _HEARTBEAT

    async def _unless_closing(self, call: Coroutine[Any, Any, _T]) -> _T | None:
        """What `call` answers, or None as soon as the streams close."""
        work = asyncio.create_task(call)
        closing = asyncio.create_task(self._closing.wait())
        try:
            await asyncio.wait({work, closing}, return_when=asyncio.FIRST_COMPLETED)
            return await work if work.done() else None
        finally:
            work.cancel()
            closing.cancel()


class _Stream(StreamingResponse):
    """Waits for its reader, but not for ever; what was not read is not made up in advance."""

    async def stream_response(self, send: Send) -> None:
        async def send_in_time(message: Message) -> None:
            async with asyncio.timeout(_READS_WITHIN_S):
                await send(message)

        try:
            await super().stream_response(send_in_time)
        except TimeoutError:
            _log.info("a stream that nobody reads is given up")
