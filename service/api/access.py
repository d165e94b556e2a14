"""Who may call what: one API key for each role, compared in constant time."""

import hashlib
import hmac
from collections.abc import Awaitable, Callable
from enum import StrEnum
from http import HTTPStatus
from typing import Any

from fastapi import Request, Security
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer

from service.api.problems import Refusal
from service.contract.estimate import Problem


class Role(StrEnum):
    """The API's callers. The website's key is meant to be seen in a page's source."""

    BOT = "bot"
    WORKER = "worker"
    WEBSITE = "website"
    OWNER = "owner"


class KeyRing:
    """Tells the role of a key. Holds digests only, so that nothing here can print a key."""

    def __init__(self, keys: dict[Role, str]) -> None:
        self._digests = {role: _digest(key) for role, key in keys.items()}

    def role_of(self, key: str) -> Role | None:
        """The role, or None for a key that is not ours. Looks at every key every time."""
        presented = _digest(key)
        found = None
        for role, digest in self._digests.items():
            if hmac.compare_digest(digest, presented):
                found = role
        return found


_bearer = HTTPBearer(auto_error=False, description="An API key of the right role.")


# What every route that asks for a key may answer.
REFUSALS: dict[int | str, dict[str, Any]] = {
    401: {"model": Problem, "description": "The API key is missing or not one of ours."},
    403: {"model": Problem, "description": "The key's role is not meant for this."},
    422: {"model": Problem, "description": "What to correct, field by field."},
}


def allow(*roles: Role) -> Callable[..., Awaitable[Role]]:
    """A dependency that lets these roles pass and returns the caller's."""

    # Not a plain function: that would pay for a thread on every call.
    async def check(
        request: Request,
        credentials: HTTPAuthorizationCredentials | None = Security(_bearer),
    ) -> Role:
        if credentials is None:
            raise Refusal(
                HTTPStatus.UNAUTHORIZED, "Send your API key as “Authorization: Bearer …”."
            )
        ring: KeyRing = request.app.state.key_ring
        role = ring.role_of(credentials.credentials)
        if role is None:
            raise Refusal(HTTPStatus.UNAUTHORIZED, "That API key is not one of this shop's.")
        if role not in roles:
            raise Refusal(HTTPStatus.FORBIDDEN, f"The {role} key is not meant for this.")
        return role

    return check


def _digest(key: str) -> bytes:
    return hashlib.sha256(key.encode()).digest()
