"""Looking up what a turn needs besides the words: a photo's colours, a location's town."""

import asyncio
import hashlib
import logging
import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from bot.dialogue.messages import Found, Incoming, MessageKind, News, Wanted
from bot.gateway import Channel, Gateway, ServiceUnavailable
from bot.photos import Reduced, reduce

_log = logging.getLogger(__name__)

_LOOK_LIMIT_S = 20.0
# Decoding takes memory and a processor: a crowd of photos waits for its turn.
_DECODED_AT_ONCE = 2

# What tells how far a request is, and what is said when one is sent.
_SENT: MessageKind = "working"
_NEWS: frozenset[MessageKind] = frozenset({"ballpark", "review", "firm", "note"})

_DEGREES = re.compile(r"(-?\d{1,2}(?:\.\d+)?),\s*(-?\d{1,3}(?:\.\d+)?)")


class PhotoGone(Exception):
    """The photo cannot be had any more, or is not for us; `reason` says why, for the log."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


class PhotoSource(Protocol):
    """Where a channel keeps the photos that were sent through it."""

    async def fetch(self, ref: str) -> bytes:
        """The photo that `Incoming.photo` names. Raises PhotoGone."""
        ...


@dataclass(frozen=True, kw_only=True)
class Looked:
    """What was found; `photo_id` names the photo that is now kept with the conversation."""

    found: Found = field(default_factory=Found)
    photo_id: str | None = None


class Finder:
    """Looks things up. A channel without a source of photos kept its photo before the update,
    under the name that the update gives.

    What cannot be found is left out: no update is lost for it. `ServiceUnavailable` leaves every
    call, since then the turn could not be stored either.
    """

    def __init__(self, gateway: Gateway, photos: Mapping[Channel, PhotoSource]) -> None:
        self._gateway = gateway
        self._photos = photos
        self._decoding = asyncio.Semaphore(_DECODED_AT_ONCE)

    async def look(self, channel: Channel, chat_id: str, incoming: Incoming) -> Looked:
        """Everything that `incoming` points to."""
        try:
            async with asyncio.timeout(_LOOK_LIMIT_S):
                if incoming.kind == "photo" and incoming.photo:
                    return await self._photo(channel, chat_id, incoming.photo)
                if incoming.kind == "location":
                    return Looked(found=await self._place(incoming.text))
        except ServiceUnavailable:
            raise
        except Exception as error:
            # Only the kind of error is logged: its text may quote what the client sent.
            _log.warning("%s: nothing found for a %s", type(error).__name__, incoming.kind)
        return Looked()

    async def look_up(
        self, channel: Channel, chat_id: str, wants: Wanted | News, found: Found
    ) -> Found:
        """`found` with what a turn wants before it can be taken."""
        if isinstance(wants, Wanted):
            offers = await self._gateway.options(wants.brief, wants.budget)
            return replace(found, offers=tuple(offers))
        said = await self._gateway.messages(channel, chat_id)
        kinds = [one.kind for one in said if one.direction == "out"]
        sent = max((at for at, kind in enumerate(kinds) if kind == _SENT), default=0)
        return replace(found, news=tuple(kind for kind in kinds[sent:] if kind in _NEWS))

    async def _photo(self, channel: Channel, chat_id: str, ref: str) -> Looked:
        source = self._photos.get(channel)
        if source is None:
            data = await self._gateway.photo(ref, channel, chat_id)
            if data is None:
                raise PhotoGone("it was not kept")
            return Looked(found=_colours(await self._reduced(data)), photo_id=ref)
        reduced = await self._reduced(await source.fetch(ref))
        photo_id = _name(channel, chat_id, ref)
        await self._gateway.keep_photo(photo_id, channel, chat_id, reduced.jpeg)
        return Looked(found=_colours(reduced), photo_id=photo_id)

    async def _reduced(self, data: bytes) -> Reduced:
        async with self._decoding:
            return await asyncio.to_thread(reduce, data)

    async def _place(self, text: str) -> Found:
        degrees = _DEGREES.fullmatch(text.strip())
        if degrees is None or abs(float(degrees[1])) > 90 or abs(float(degrees[2])) > 180:
            return Found()
        place = await self._gateway.nearest_place(float(degrees[1]), float(degrees[2]))
        return Found() if place is None else Found(postal_code=place[0], town=place[1])


def _colours(reduced: Reduced) -> Found:
    return Found(colours=reduced.colours)


def _name(channel: Channel, chat_id: str, ref: str) -> str:
    """The same photo of the same chat has the same name, however often its turn is taken."""
    return hashlib.sha256(f"{channel}:{chat_id}:{ref}".encode()).hexdigest()
