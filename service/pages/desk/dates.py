"""Days as addresses give them."""

from contextlib import suppress
from datetime import date


def day_in(text: str) -> date | None:
    """The day that an ISO date of these times names; None for any other text."""
    with suppress(ValueError):
        day = date.fromisoformat(text)
        # The calendar's ends cannot be moved between zones.
        return day if 2000 <= day.year < 3000 else None
    return None
