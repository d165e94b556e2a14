"""Calendar files, read as another program reads them."""

from datetime import datetime
from typing import Any

import httpx
import vobject

from tests.whole.visiting import Walk

PARTS = {"make", "setup", "event", "strike"}

Entries = dict[str, Any]
"""Events of a calendar file by the part of the job; what is made in two goes has two."""


def entries_at(address: str, whose: str) -> Entries:
    """What a calendar file says of somebody, by the part of the job."""
    answer = httpx.get(address, timeout=20).raise_for_status()
    calendar = vobject.readOne(answer.text)
    mine = [event for event in calendar.vevent_list if whose in event.uid.value]
    return {event.uid.value.partition("@")[0].removeprefix(f"{whose}-"): event for event in mine}


def standings(entries: Entries) -> set[str]:
    """What the calendar says of how certain they are."""
    return {event.status.value for event in entries.values()}


def day_of(event: Any) -> str:
    starts: datetime = event.dtstart.value
    return starts.date().isoformat()


def check_booked(feed: Entries, own: Entries, walk: Walk) -> None:
    """All parts of the job in the owner's calendar, and the client's day in theirs."""
    assert set(feed) >= PARTS
    assert standings(feed) == standings(own) == {"CONFIRMED"}
    assert feed["setup"].dtstart.value == own["setup"].dtstart.value
    assert day_of(feed["setup"]) == day_of(feed["event"]) == walk.day
    assert own["setup"].summary.value == walk.tongue.set_up
    assert feed["make"].dtend.value <= feed["setup"].dtstart.value
    assert feed["strike"].dtstart.value >= feed["event"].dtstart.value


def check_moved(before: Entries, after: Entries, walk: Walk) -> None:
    """The same entries, changed since, on the other day."""
    assert set(after) >= PARTS & set(before)
    assert standings(after) == {"CONFIRMED"}
    for part in PARTS & set(before):
        assert after[part].uid.value == before[part].uid.value
        assert int(after[part].sequence.value) > int(before[part].sequence.value)
    assert day_of(after["setup"]) == walk.other_day
