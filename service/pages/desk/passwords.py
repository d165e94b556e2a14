"""Passwords: what will do as one, hashes, and comparing, one at a time and always as slowly."""

import threading
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error, InvalidHashError

from service.pages.posted import Posted

SHORTEST, LONGEST = 12, 256

_hasher = PasswordHasher()

# Each takes 64 MB of memory while it is hashed.
_one_at_a_time = threading.Lock()


def hashed(password: str) -> str:
    """What is stored of a password."""
    with _one_at_a_time:
        return _hasher.hash(password)


def fits(password_hash: str | None, password: str) -> bool:
    """Whether it is the password. Without a hash it is not, which takes just as long to say."""
    compared = password_hash or _of_nobody()
    with _one_at_a_time:
        try:
            same = _hasher.verify(compared, password[:LONGEST])
        except (Argon2Error, InvalidHashError):
            return False
    return same and password_hash is not None


def fault_of(sent: Posted) -> str | None:
    """Why a form's new password, typed twice, will not do."""
    password = sent.raw("password")
    if len(password) < SHORTEST:
        return f"Make it at least {SHORTEST} characters; a short sentence is easy to remember."
    if len(password) > LONGEST:
        return f"Keep it to {LONGEST} characters, please."
    if password != sent.raw("again"):
        return "The two passwords differ. Please type them once more."
    return None


@cache
def _of_nobody() -> str:
    return _hasher.hash("a password that nobody has")
