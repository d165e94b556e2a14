"""What a pressed button says: at most 64 bytes, such as `answer:1:size:0:hoop:72`.

Each value carries the number of the brief that it belongs to, and a yes also the revision it was
shown with, so that a button pressed late is recognised.
"""

from dataclasses import dataclass
from typing import Literal

Verb = Literal["answer", "skip", "edit", "confirm", "restart", "person"]
_VERBS: dict[str, Verb] = {
    "answer": "answer",
    "skip": "skip",
    "edit": "edit",
    "confirm": "confirm",
    "restart": "restart",
    "person": "person",
}


@dataclass(frozen=True, kw_only=True)
class Pressed:
    """A button's value, read. `number` is None where the button stands for the present brief."""

    verb: Verb
    number: int | None
    rest: tuple[str, ...]


def read_value(value: str) -> Pressed | None:
    """What `value` says; None when it is no value of ours."""
    verb, *rest = value.split(":")
    if verb not in _VERBS:
        return None
    if not rest:
        return Pressed(verb=_VERBS[verb], number=None, rest=())
    number = whole(rest[0])
    if number is None:
        return None
    return Pressed(verb=_VERBS[verb], number=number, rest=tuple(rest[1:]))


def whole(text: str) -> int | None:
    """A small whole number, or None: anybody can send any text as a button's value."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None


def support(number: int, piece: int, name: str, count: int) -> str:
    return f"answer:{number}:support:{piece}:{name}:{count}"


def size(number: int, piece: int, name: str, inches: tuple[int, ...]) -> str:
    return f"answer:{number}:size:{piece}:{name}:{'x'.join(map(str, inches))}"


def count(number: int, piece: int, many: int) -> str:
    return f"answer:{number}:count:{piece}:{many}"


def way(number: int, piece: int, side: str) -> str:
    return f"answer:{number}:way:{piece}:{side}"


def fullness(number: int, name: str) -> str:
    return f"answer:{number}:fullness:{name}"


def setting(number: int, name: str) -> str:
    return f"answer:{number}:setting:{name}"


def skip(number: int, question: str) -> str:
    return f"skip:{number}:{question}"


def edit(number: int, question: str, piece: int = 0) -> str:
    return f"edit:{number}:{question}:{piece}"


def confirm(number: int, revision: int) -> str:
    return f"confirm:{number}:{revision}"


def restart(number: int) -> str:
    return f"restart:{number}"


def person(number: int) -> str:
    return f"person:{number}"
