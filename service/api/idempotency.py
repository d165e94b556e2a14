"""`Idempotency-Key`: the same request sent again gets the same answer, byte for byte.

As the IETF draft "The Idempotency-Key HTTP Header Field" has it: a missing key is 400, a key
that comes with another request is 422, and one whose first request is still being worked on is 409
with Retry-After. The key is a quoted string; a bare one is taken too.
"""

import contextlib
import hashlib
import re
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from http import HTTPStatus
from typing import Any

from fastapi import Request, Response

from service.api.problems import Refusal
from service.leads.ports import Ports, UnitOfWork
from service.leads.repositories import Answered

# In quotes as the draft has it, or bare; without quotes inside.
_KEY = r'("[ !#-~]{1,253}"|[!#-~]([ !#-~]{0,253}[!#-~])?)'

DECLARED: dict[str, Any] = {
    "parameters": [
        {
            "name": "Idempotency-Key",
            "in": "header",
            "required": True,
            "description": "A fresh one for each request, the same one when it is sent again.",
            "schema": {"type": "string", "pattern": f"^{_KEY}$"},
            "example": '"8e03978e-40d5-43e8-bc93-6894a57f9324"',
        }
    ]
}
"""For `openapi_extra` of a route that asks for the key."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Attempt:
    """One request under a key. `fingerprint` is the digest of what it asks for."""

    scope: str
    key: str
    fingerprint: str


async def attempt(request: Request, *, scope: str) -> Attempt:
    """Read the key and the request's fingerprint. Raises Refusal (400) without one good key."""
    given = request.headers.getlist("Idempotency-Key")
    key = given[0].strip() if len(given) == 1 else ""
    if not re.fullmatch(_KEY, key):
        raise Refusal(
            HTTPStatus.BAD_REQUEST,
            'Send one Idempotency-Key header, for example a fresh UUID in quotes: "8e03…". '
            "Send the same key again when you repeat a request whose answer you did not get.",
        )
    asked = hashlib.sha256(await request.body())
    if request.path_params:
        # The same of another lead, or by another chat, is another request.
        asked.update(request.url.path.encode())
    return Attempt(scope=scope, key=key.strip('"'), fingerprint=asked.hexdigest())


def is_repeated(ports: Ports, attempt: Attempt) -> bool:
    """Whether a request under this key has its answer already."""
    with ports.read() as work:
        return work.answers.find(attempt.scope, attempt.key) is not None


# So long a request waits for the first one under its key: it usually has its answer by then.
_PATIENCE_S = 1.0
_RETRY_AFTER = timedelta(seconds=1)

# Of this process. In another one a twin waits for the database's lock, and replays then.
_under_way: dict[tuple[str, str], threading.Event] = {}
_looking = threading.Lock()


def once(ports: Ports, attempt: Attempt, act: Callable[[UnitOfWork], tuple[int, str]]) -> Response:
    """Run `act` and store its answer in one transaction; or replay the stored answer."""
    with _alone(attempt):
        return _once(ports, attempt, act)


@contextlib.contextmanager
def _alone(attempt: Attempt) -> Iterator[None]:
    """Wait for the first request under this key. Raises Refusal (409) where that takes longer."""
    key = attempt.scope, attempt.key
    mine = threading.Event()
    while True:
        with _looking:
            theirs = _under_way.setdefault(key, mine)
        if theirs is mine:
            break
        if not theirs.wait(_PATIENCE_S):
            raise _still_at_work()
    try:
        yield
    finally:
        with _looking:
            del _under_way[key]
        mine.set()


def _still_at_work() -> Refusal:
    detail = "The first request under this key is still being worked on; send it again in a moment."
    return Refusal(HTTPStatus.CONFLICT, detail, retry_after=_RETRY_AFTER)


def _once(ports: Ports, attempt: Attempt, act: Callable[[UnitOfWork], tuple[int, str]]) -> Response:
    with ports.work() as work:
        known = work.answers.find(attempt.scope, attempt.key)
        if known is None:
            status, body = act(work)
            answered = Answered(fingerprint=attempt.fingerprint, status=status, body=body)
            if work.answers.store(attempt.scope, attempt.key, answered, ports.clock()):
                work.commit()
                return _response(answered)
    # A twin of this request was committed first; what `act` did here is rolled back.
    return _replay(ports, attempt)


def _replay(ports: Ports, attempt: Attempt) -> Response:
    with ports.read() as work:
        known = work.answers.find(attempt.scope, attempt.key)
    if known is None:
        raise _still_at_work()
    if known.fingerprint != attempt.fingerprint:
        raise Refusal(
            HTTPStatus.UNPROCESSABLE_ENTITY,
            "That Idempotency-Key was used for another request. Use a fresh key for a new one.",
        )
    return _response(known)


def _response(answered: Answered) -> Response:
    return Response(answered.body, status_code=answered.status, media_type="application/json")
