"""Calendars as files, read back by a parser that knows nothing of ours."""

import datetime as dt
import zoneinfo
from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import count
from zoneinfo import ZoneInfo

import vobject
from hypothesis import given, settings
from hypothesis import strategies as st
from vobject.base import Component

from service.leads.feed_entries import CalendarEntry
from service.rendering import ics
from service.rendering.ics import Sheet

NEW_YORK = ZoneInfo("America/New_York")
NOON = datetime(2027, 6, 6, 16, tzinfo=dt.UTC)
_NUMBERS = count(1)
ZONES = sorted(zoneinfo.available_timezones())


def an_entry(starts_at: datetime = NOON, **parts: object) -> CalendarEntry:
    entry = CalendarEntry(
        uid="abc-setup@garlandry",
        sequence=0,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(minutes=75),
        summary="Set up: Nora",
        description="",
        location="",
        status="CONFIRMED",
        busy=True,
        made_at=NOON - timedelta(days=9),
        changed_at=NOON - timedelta(days=8),
        url="https://garlands.example/desk/bookings/abc",
    )
    return replace(entry, **parts)  # type: ignore[arg-type]


def written(entries: Iterable[CalendarEntry], zone: ZoneInfo = NEW_YORK) -> str:
    shop = "Harbor Lane Balloons"
    address = "mailto:hello@harborlane.example"
    sheet = Sheet(name=shop, zone=zone, entries=entries, by=shop, address=address)
    return ics.written(sheet).decode()


def parsed(text: str) -> Component:
    return vobject.readOne(text)


def instants(text: str, zone: ZoneInfo) -> list[tuple[datetime, datetime]]:
    """When each entry begins and ends, by nothing but the rules in the file itself.

    Under its usual name the parser would take the zone's rules from elsewhere, and under one that
    it has met before those that it met then.
    """
    unknown = f"Shop {next(_NUMBERS)}"
    text = text.replace(f"TZID:{zone.key}", f"TZID:{unknown}")
    text = text.replace(f"TZID={zone.key}", f"TZID={unknown}")
    events = parsed(text).vevent_list
    return [(_utc(event.dtstart.value), _utc(event.dtend.value)) for event in events]


def _utc(moment: datetime) -> datetime:
    assert moment.tzinfo is not None
    return moment.astimezone(dt.UTC)


@st.composite
def around_changes(draw: st.DrawFn) -> tuple[ZoneInfo, list[datetime]]:
    """A zone, and times around the days on which its clock is changed."""
    zone = ZoneInfo(draw(st.sampled_from(ZONES)))
    year = draw(st.integers(2024, 2035))
    begins = datetime(year, 1, 1, tzinfo=dt.UTC)
    days = [begins + timedelta(days=day) for day in range(366)]
    changes = [
        day
        for day in days
        if day.astimezone(zone).utcoffset() != (day + timedelta(1)).astimezone(zone).utcoffset()
    ]
    day = draw(st.sampled_from(changes or days))
    minutes = draw(st.lists(st.integers(-24 * 4, 48 * 4), min_size=1, max_size=12))
    return zone, [day + timedelta(minutes=15 * each) for each in minutes]


@settings(max_examples=50)
@given(around_changes())
def test_the_times_of_a_file_are_ours_in_every_zone_and_around_every_change_of_its_clock(
    case: tuple[ZoneInfo, list[datetime]],
) -> None:
    zone, times = case
    entries = [an_entry(each) for each in times]
    expected = [(entry.starts_at, entry.ends_at) for entry in entries]
    assert instants(written(entries, zone), zone) == expected


def test_a_time_that_the_clock_shows_twice_is_told_in_utc_and_others_by_the_shops_clock() -> None:
    twice = datetime(2027, 11, 7, 5, 30, tzinfo=dt.UTC)
    text = written([an_entry(), an_entry(twice)])
    assert "DTSTART;TZID=America/New_York:20270606T120000" in text
    assert "DTSTART:20271107T053000Z" in text
    assert instants(text, NEW_YORK)[1][0] == twice


def test_a_zone_without_changes_still_says_its_rules() -> None:
    zone = ZoneInfo("Asia/Kolkata")
    text = written([an_entry()], zone)
    assert instants(text, zone) == [(NOON, NOON + timedelta(minutes=75))]


def test_a_calendar_of_nothing_is_one_all_the_same() -> None:
    calendar = parsed(written([]))
    assert calendar.name == "VCALENDAR"
    assert list(calendar.components()) == []


def test_any_words_come_back_as_they_were() -> None:
    words = "Nora, Åse; the “club” \\ river\nleave at 8:20 🎈, " + "ö" * 200
    text = written([an_entry(summary=words.replace("\n", " "), description=words)])
    (event,) = parsed(text).vevent_list
    assert event.description.value == words
    assert event.summary.value == words.replace("\n", " ")
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))


def test_what_is_parsed_and_written_again_is_parsed_the_same() -> None:
    entries = [
        an_entry(uid=f"{status}@garlandry", status=status)
        for status in ("TENTATIVE", "CONFIRMED", "CANCELLED")
    ]
    once = parsed(written(entries))
    again = parsed(once.serialize())
    assert once.serialize() == again.serialize()
    for one, other in zip(once.vevent_list, again.vevent_list, strict=True):
        assert {name: [line.value for line in one.contents[name]] for name in one.contents} == {
            name: [line.value for line in other.contents[name]] for name in other.contents
        }


def test_the_file_says_how_it_is_to_be_read_and_raises_no_alarm() -> None:
    calendar = parsed(written([an_entry(sequence=3, busy=False)]))
    assert calendar.version.value == "2.0"
    assert calendar.method.value == "PUBLISH"
    assert calendar.refresh_interval.value == "PT1H"
    (event,) = calendar.vevent_list
    assert event.sequence.value == "3"
    assert event.transp.value == "TRANSPARENT"
    assert event.last_modified.value == event.dtstamp.value == NOON - timedelta(days=8)
    assert event.organizer.value == "mailto:hello@harborlane.example"
    assert event.organizer.cn_param == "Harbor Lane Balloons"
    assert "valarm" not in event.contents


def test_the_same_entries_are_the_same_bytes() -> None:
    assert written([an_entry(), an_entry(NOON + timedelta(1))]) == written(
        [an_entry(), an_entry(NOON + timedelta(1))]
    )
