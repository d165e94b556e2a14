"""Photos that clients sent, fetched from the Bot API server."""

import asyncio

import httpx
from telegram import Bot
from telegram.error import BadRequest, TelegramError

from bot.telegram.incoming import PHOTO_MOST_BYTES
from bot.turns import PhotoGone

_PAUSES_S = (0.5, 2.0)
_TIMEOUT = httpx.Timeout(5.0)


class TelegramPhotos:
    """A `PhotoSource` whose refs are file ids of `bot`'s."""

    def __init__(self, bot: Bot) -> None:
        self._bot = bot

    async def fetch(self, ref: str) -> bytes:
        """The photo as it was sent, at most 10 MB. Raises PhotoGone."""
        for pause_s in _PAUSES_S:
            try:
                return await self._fetch(ref)
            except (httpx.TransportError, TelegramError):
                await asyncio.sleep(pause_s)
        try:
            return await self._fetch(ref)
        except (httpx.TransportError, TelegramError) as error:
            raise PhotoGone(f"Telegram does not answer ({type(error).__name__})") from None

    async def _fetch(self, ref: str) -> bytes:
        try:
            file = await self._bot.get_file(ref)
        except BadRequest:
            raise PhotoGone("Telegram does not have it any more") from None
        async with (
            httpx.AsyncClient(timeout=_TIMEOUT) as http,
            http.stream("GET", file.file_path or "") as answer,
        ):
            if answer.is_client_error:
                raise PhotoGone("Telegram does not hand it out any more")
            if not answer.is_success:
                raise httpx.RemoteProtocolError("no success")
            return await _bounded(answer)


async def _bounded(answer: httpx.Response) -> bytes:
    data = bytearray()
    async for chunk in answer.aiter_bytes():
        data += chunk
        if len(data) > PHOTO_MOST_BYTES:
            raise PhotoGone("it is too large")
    return bytes(data)
