"""Times at which the shop does not work although its calendar says so."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Protocol
from zoneinfo import ZoneInfo

from service.leads.lead import LeadError

_LONGEST = timedelta(days=366)
_FARTHEST = timedelta(days=4 * 366)
LONGEST_NOTE = 200


@dataclass(frozen=True, kw_only=True, slots=True)
class ClosedTime:
    """From the first to the last day, both included; on each of them from `since` to `until`.

    Without these it is the whole day. Local times at the shop.
    """

    id: str
    first: date
    last: date
    made_at: datetime
    since: time | None = None
    until: time | None = None
    note: str = ""

    def spans(self, zone: ZoneInfo) -> list[tuple[datetime, datetime]]:
        """When it is closed, day by day."""
        return [
            (
                datetime.combine(day, self.since or time.min, zone),
                datetime.combine(day, self.until, zone)
                if self.until
                else datetime.combine(day + timedelta(1), time.min, zone),
            )
            for day in _each(self.first, self.last)
        ]


class ClosedTimes(Protocol):
    """The shop's closed times."""

    def add(self, closed: ClosedTime) -> None:
        """Close these times."""
        ...

    def remove(self, closed_id: str) -> None:
        """Open them again; NotFound where there are none of that id."""
        ...

    def between(self, first: date, last: date) -> list[ClosedTime]:
        """Closed times that touch any of the days, the earliest first."""
        ...

    def since(self, day: date) -> list[ClosedTime]:
        """Closed times that are not over on that day, the earliest first."""
        ...


class ClosingRefused(LeadError):
    """These times cannot be closed; `field` names what to mend."""

    def __init__(self, field: str, text: str) -> None:
        super().__init__(text)
        self.field = field


def check(closed: ClosedTime, *, today: date) -> None:
    """Raises ClosingRefused where the times make no sense."""
    if closed.last < closed.first:
        raise ClosingRefused("last", "The last day is before the first. Swap them.")
    if closed.last < today:
        raise ClosingRefused("last", "Those days have gone by.")
    if closed.last - closed.first > _LONGEST or closed.last - today > _FARTHEST:
        raise ClosingRefused("last", "Close up to a year at once, within the next four years.")
    if any(at is not None and at.tzinfo is not None for at in (closed.since, closed.until)):
        raise ClosingRefused("since", "Give local times, as they are at the shop.")
    if (closed.since is None) != (closed.until is None):
        missing = "until" if closed.until is None else "since"
        raise ClosingRefused(missing, "Give both times, or neither for the whole day.")
    if closed.since is not None and closed.until is not None and closed.until <= closed.since:
        raise ClosingRefused("until", "The day's closed time ends before it begins. Swap them.")
    if len(closed.note) > LONGEST_NOTE:
        raise ClosingRefused("note", f"Keep the note to {LONGEST_NOTE} characters.")


def touches(closed: ClosedTime, times: Sequence[tuple[datetime, datetime]], zone: ZoneInfo) -> bool:
    """Whether any of the times falls into what is closed."""
    spans = closed.spans(zone)
    return any(since < ends and begins < until for since, until in times for begins, ends in spans)


def _each(first: date, last: date) -> list[date]:
    return [first + timedelta(days) for days in range((last - first).days + 1)]
