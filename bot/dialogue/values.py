"""What a pressed button says: at most 64 bytes, such as `answer:1:size:0:hoop:72`.

Each value carries the number of the brief that it belongs to, and a yes also the revision it was
shown with, so that a button pressed late is recognised.
"""

from dataclasses import dataclass
from datetime import date, time

STILL = "still"
REMIND = "remind"
OPTIONS = "options"

_VERBS = frozenset(
    {
        "answer",
        "skip",
        "edit",
        "confirm",
        "restart",
        "person",
        "page",
        "back",
        "cancel",
        "resume",
        "changes",
        "other",
        "status",
        OPTIONS,
        REMIND,
        STILL,
    }
)


@dataclass(frozen=True, kw_only=True)
class Pressed:
    """A button's value, read. `number` is None where the button stands for the present brief."""

    verb: str
    number: int | None = None
    rest: tuple[str, ...] = ()


def read_value(value: str) -> Pressed | None:
    """What `value` says; None when it is no value of ours."""
    verb, *rest = value.split(":")
    if verb == "language":
        return Pressed(verb=verb, rest=tuple(rest[:1]))
    if verb not in _VERBS:
        return None
    if not rest:
        return Pressed(verb=verb)
    number = whole(rest[0])
    if number is None:
        return None
    return Pressed(verb=verb, number=number, rest=tuple(rest[1:]))


def whole(text: str) -> int | None:
    """A small whole number, or None: anybody can send any text as a button's value."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 6 else None


def read_day(token: str) -> date | None:
    """The day of "2027-06-06"; None for anything else."""
    try:
        return date.fromisoformat(token)
    except ValueError:
        return None


def read_month(token: str) -> date | None:
    """The first day of the month of "2027-06"; None for anything else."""
    return read_day(f"{token}-01")


def read_hour(token: str) -> time | None:
    """The time of day of "1530"; None for anything else."""
    if len(token) != 4 or whole(token) is None or int(token[:2]) > 23 or int(token[2:]) > 59:
        return None
    return time(int(token[:2]), int(token[2:]))


def read_size(token: str) -> tuple[int, ...]:
    """The inches of a size button's "48x84"; () for anything else."""
    numbers = [whole(part) for part in token.split("x")]
    return tuple(number for number in numbers if number is not None and number <= 1200)


def support(number: int, piece: int, name: str, count: int) -> str:
    return f"answer:{number}:support:{piece}:{name}:{count}"


def size(number: int, piece: int, name: str, inches: tuple[int, ...]) -> str:
    return f"answer:{number}:size:{piece}:{name}:{_inches(inches)}"


def stepped(number: int, piece: int, inches: tuple[int, ...]) -> str:
    return f"page:{number}:size:{piece}:{_inches(inches)}"


def count(number: int, piece: int, many: int) -> str:
    return f"answer:{number}:count:{piece}:{many}"


def way(number: int, piece: int, side: str) -> str:
    return f"answer:{number}:way:{piece}:{side}"


def look(number: int, what: str, piece: int, name: str) -> str:
    """One of a piece's looks: `what` is placement or pattern."""
    return f"answer:{number}:{what}:{piece}:{name}"


def fullness(number: int, name: str) -> str:
    return f"answer:{number}:fullness:{name}"


def setting(number: int, name: str) -> str:
    return f"answer:{number}:setting:{name}"


def day(number: int, when: date) -> str:
    return f"answer:{number}:date:{when.isoformat()}"


def month(number: int, when: date) -> str:
    return f"page:{number}:date:{when:%Y-%m}"


def hour(number: int, when: time) -> str:
    return f"answer:{number}:time:{when:%H%M}"


def end(number: int, when: time) -> str:
    return f"answer:{number}:end:{when:%H%M}"


def floating(number: int, many: int) -> str:
    return f"answer:{number}:floating:{many}"


def shade(number: int, colour: int, stock: int) -> str:
    """For the brief's colour with this index, the one of the shop's with that index."""
    return f"answer:{number}:shade:{colour}:{stock}"


def palette(number: int, offered: int) -> str:
    return f"answer:{number}:palette:{offered}"


def offer(number: int, index: int) -> str:
    return f"answer:{number}:offer:{index}"


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


def back(number: int) -> str:
    return f"back:{number}"


def cancel(number: int) -> str:
    return f"cancel:{number}"


def resume(number: int) -> str:
    return f"resume:{number}"


def changes(number: int) -> str:
    return f"changes:{number}"


def close_changes(number: int) -> str:
    return f"changes:{number}:close"


def status(number: int) -> str:
    return f"status:{number}"


def other(number: int) -> str:
    return f"other:{number}"


def language(code: str) -> str:
    return f"language:{code}"


def _inches(inches: tuple[int, ...]) -> str:
    return "x".join(map(str, inches))
