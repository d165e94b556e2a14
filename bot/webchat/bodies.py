"""Reading what a request sends, with a bound on its bytes and on the time they take."""

import asyncio

from starlette.requests import Request


class TooLarge(Exception):
    """More bytes than may be sent."""


class TooSlow(Exception):
    """The bytes did not all come in time."""


async def body_of(request: Request, *, most: int, within_s: float) -> bytes:
    """The body, of `most` bytes. Raises TooLarge and TooSlow; keeps no more than it may."""
    declared = request.headers.get("content-length", "0")
    if declared.isascii() and declared.isdigit() and int(declared[:18]) > most:
        raise TooLarge
    body = bytearray()
    try:
        async with asyncio.timeout(within_s):
            async for chunk in request.stream():
                body += chunk
                if len(body) > most:
                    raise TooLarge
    except TimeoutError:
        raise TooSlow from None
    return bytes(body)
