"""Who may call what: one API key for each role, compared in constant time."""

import hashlib
import hmac
from collections.abc import Awaitable, Callable, Collection
from enum import StrEnum
from http import HTTPStatus

from fastapi import Request
from fastapi.security import HTTPBearer

from service.api.problems import Refusal


class Role(StrEnum):
    """The API's callers. The website's key is meant to be seen in a page's source."""

    BOT = "bot"
    WORKER = "worker"
    WEBSITE = "website"
    OWNER = "owner"
    METRICS = "metrics"


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


class _Allowed(HTTPBearer):
    """One dependency for key and role: each more that a route has, every request pays for."""

    def __init__(self, roles: Collection[Role]) -> None:
        super().__init__(
            auto_error=False,
            scheme_name=HTTPBearer.__name__,
            description="An API key of the right role.",
        )
        self._roles = roles

    # Not a plain function: that would pay for a thread on every call.
    async def __call__(self, request: Request) -> Role:  # type: ignore[override]  # the role of it
        credentials = await super().__call__(request)
        if credentials is None:
            raise Refusal(
                HTTPStatus.UNAUTHORIZED, "Send your API key as “Authorization: Bearer …”."
            )
        ring: KeyRing = request.app.state.key_ring
        role = ring.role_of(credentials.credentials)
        if role is None:
            raise Refusal(HTTPStatus.UNAUTHORIZED, "That API key is not one of this shop's.")
        if role not in self._roles:
            raise Refusal(HTTPStatus.FORBIDDEN, f"The {role} key is not meant for this.")
        return role


def allow(*roles: Role) -> Callable[..., Awaitable[Role]]:
    """A dependency that lets these roles pass and returns the caller's."""
    return _Allowed(roles)


def _digest(key: str) -> bytes:
    return hashlib.sha256(key.encode()).digest()
