"""Photos of a chat: taken in small, and shown to that chat alone."""

import asyncio
import hashlib
import re
from base64 import urlsafe_b64encode
from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from bot.dialogue.phrases import Phrases
from bot.gateway import Gateway, ServiceRefused, ServiceUnavailable
from bot.photos import NotAPhoto, Reduced, reduce
from bot.webchat.bodies import TooLarge, TooSlow, body_of
from bot.webchat.incoming import PHOTO_ID, too_slow
from bot.webchat.problems import Refusal

MEGABYTES_MOST = 12
_BYTES_MOST = MEGABYTES_MOST * 1_000_000
# A large photo over a slow telephone.
_WITHIN_S = 180.0
# Each holds its bytes in memory until it is made small, which takes the processor.
_AT_ONCE_MOST = 8
_REDUCED_AT_ONCE = 2

_WORDS = {
    "too_large": "page.photo.too_large",
    "too_many_pixels": "page.photo.too_big",
    "no_picture": "page.photo.unreadable",
    "broken": "page.photo.unreadable",
}
_SHOWN = {
    # Its id stands for its content.
    "Cache-Control": "private, max-age=31536000, immutable",
    "Content-Disposition": "inline",
}


class Pictures:
    """Takes photos and shows them. Nothing of what was sent is kept but the small picture."""

    def __init__(self, gateway: Gateway) -> None:
        self._gateway = gateway
        self._under_way = 0
        self._reducing = asyncio.Semaphore(_REDUCED_AT_ONCE)

    async def take(self, request: Request, chat_id: str, phrases: Phrases) -> Response:
        """Keep the photo in the request's body; the answer names it for the update."""
        if not request.headers.get("content-type", "").startswith("image/"):
            raise Refusal(HTTPStatus.UNSUPPORTED_MEDIA_TYPE, phrases.say("page.photo.unreadable"))
        if self._under_way >= _AT_ONCE_MOST:
            raise _busy(phrases)
        self._under_way += 1
        try:
            photo_id = await self._keep(request, chat_id, phrases)
        finally:
            self._under_way -= 1
        return JSONResponse({"photo": photo_id}, status_code=HTTPStatus.CREATED)

    async def _keep(self, request: Request, chat_id: str, phrases: Phrases) -> str:
        reduced = await self._reduced(request, phrases)
        photo_id = _id_of(chat_id, reduced.jpeg)
        try:
            await self._gateway.keep_photo(photo_id, "webchat", chat_id, reduced.jpeg)
        except ServiceRefused as error:
            if error.problem.status == HTTPStatus.CONFLICT:
                raise Refusal(HTTPStatus.CONFLICT, phrases.say("page.photo.enough")) from error
            raise _busy(phrases) from error
        except ServiceUnavailable as error:
            raise _busy(phrases) from error
        return photo_id

    async def _reduced(self, request: Request, phrases: Phrases) -> Reduced:
        try:
            sent = await body_of(request, most=_BYTES_MOST, within_s=_WITHIN_S)
            async with self._reducing:
                return await asyncio.to_thread(reduce, sent)
        except TooLarge:
            raise _unfit("too_large", phrases) from None
        except TooSlow:
            raise too_slow(phrases) from None
        except NotAPhoto as error:
            raise _unfit(error.reason, phrases) from None

    async def show(self, request: Request, chat_id: str, phrases: Phrases) -> Response:
        """The photo that the address names, if this chat sent it."""
        photo_id = request.path_params["photo"]
        known = re.fullmatch(PHOTO_ID, photo_id)
        try:
            jpeg = await self._gateway.photo(photo_id, "webchat", chat_id) if known else None
        except ServiceUnavailable as error:
            raise _busy(phrases) from error
        if jpeg is None:
            raise Refusal(HTTPStatus.NOT_FOUND, "This chat has no such photo.")
        return Response(jpeg, media_type="image/jpeg", headers=_SHOWN)


def _id_of(chat_id: str, jpeg: bytes) -> str:
    """The same photo in the same chat is the same; nobody else can tell what it would be."""
    digest = hashlib.sha256(chat_id.encode() + b"\n" + jpeg).digest()
    return urlsafe_b64encode(digest).decode().rstrip("=")


def _unfit(reason: str, phrases: Phrases) -> Refusal:
    large = reason == "too_large"
    status = HTTPStatus.REQUEST_ENTITY_TOO_LARGE if large else HTTPStatus.UNSUPPORTED_MEDIA_TYPE
    values = {"most": MEGABYTES_MOST} if large else {}
    return Refusal(status, phrases.say(_WORDS[reason], **values))


def _busy(phrases: Phrases) -> Refusal:
    return Refusal(HTTPStatus.SERVICE_UNAVAILABLE, phrases.say("page.photo.busy"))
