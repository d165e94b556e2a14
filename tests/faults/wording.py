"""What clients write, and what they read out of an answer."""

import re

from tests.faults.plan import Client

_AMOUNT = re.compile(r"\$([\d,]+)")
_BALLPARK = "ballpark is"


def request_of(client: Client) -> str:
    """All of it in one message."""
    return (
        f"hi how much for a garland on a {client.width_ft} ft wide {client.height_ft} ft tall arch"
        f" frame, {', '.join(client.palette)}, june {client.day} at 3pm, indoors at a hall in 02139"
    )


def in_parts(client: Client) -> tuple[str, ...]:
    """The same, one thing after the other."""
    size = f"{client.width_ft} ft wide {client.height_ft} ft tall arch frame"
    return (
        f"a garland on a {size}, please",
        f"june {client.day} at 3pm",
        "it's indoors at a hall in 02139",
        " and ".join(client.palette),
    )


def ballpark_in(text: str) -> tuple[int, ...] | None:
    """Low, high and likely of "Your ballpark is $325 to $445, most likely around $380"."""
    _, found, rest = text.partition(_BALLPARK)
    if not found:
        return None
    amounts = tuple(int(one.replace(",", "")) for one in _AMOUNT.findall(rest)[:3])
    return amounts if len(amounts) == 3 else None
