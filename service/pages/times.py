"""Set-up times as a client picks them: by the part of the day."""

from dataclasses import dataclass
from datetime import time

from service.leads.lead import Window
from service.leads.speech import msg
from service.pages.visit import Visit

_NOON, _LATE = time(12), time(17)
_MORNING, _AFTERNOON, _EVENING = msg("Morning"), msg("Afternoon"), msg("Evening")


@dataclass(frozen=True, kw_only=True, slots=True)
class Choice:
    """A set-up time to pick: its value in the form, and how it is said."""

    value: str
    arrive: str
    ready: str


def by_part_of_day(free: list[Window], visit: Visit) -> tuple[tuple[str, list[Choice]], ...]:
    """Set-up times under the part of the day that they begin in, without empty parts."""
    parts: dict[str, list[Choice]] = {_MORNING: [], _AFTERNOON: [], _EVENING: []}
    for window in free:
        starts = window.starts_at.astimezone(visit.zone)
        choice = Choice(
            value=starts.isoformat(),
            arrive=visit.words.clock(starts.time()),
            ready=visit.words.clock(window.ends_at, visit.zone),
        )
        parts[_part_of_day(starts.time())].append(choice)
    return tuple((visit.words.say(part), choices) for part, choices in parts.items() if choices)


def _part_of_day(at: time) -> str:
    if at < _NOON:
        return _MORNING
    return _AFTERNOON if at < _LATE else _EVENING
