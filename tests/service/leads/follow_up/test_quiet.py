"""Quiet hours, in every zone and over every change of its clocks."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.leads.follow_up.quiet import end_of_quiet

NEW_YORK = ZoneInfo("America/New_York")
ZONES = (
    "America/New_York",
    "America/St_Johns",  # half hours
    "Australia/Lord_Howe",  # clocks move by half an hour
    "America/Santiago",  # they move at midnight
    "Africa/Cairo",
    "Pacific/Apia",  # a whole day was left out
    "Asia/Kathmandu",
    "UTC",
)
MOMENTS = st.datetimes(
    min_value=datetime(2011, 1, 1),  # noqa: DTZ001 - hypothesis adds the zone
    max_value=datetime(2030, 1, 1),  # noqa: DTZ001
    timezones=st.just(UTC),
)
CLOCKS = st.times().map(lambda t: t.replace(second=0, microsecond=0))


def is_quiet(moment: datetime, since: time, until: time, zone: ZoneInfo) -> bool:
    """By the clock on the wall: said anew here, minute by minute of a day."""
    minute = moment.astimezone(zone).hour * 60 + moment.astimezone(zone).minute
    first, last = since.hour * 60 + since.minute, until.hour * 60 + until.minute
    if first == last:
        return False
    return (minute - first) % 1440 < (last - first) % 1440


@given(MOMENTS, CLOCKS, CLOCKS, st.sampled_from(ZONES))
@example(datetime(2027, 3, 14, 6, 59, tzinfo=UTC), time(22), time(2, 30), "America/New_York")
@example(datetime(2027, 11, 7, 5, 45, tzinfo=UTC), time(22), time(1, 30), "America/New_York")
@example(datetime(2027, 11, 7, 6, 10, tzinfo=UTC), time(22), time(1, 30), "America/New_York")
@example(datetime(2011, 12, 30, 9, 59, tzinfo=UTC), time(23), time(9), "Pacific/Apia")
def test_the_end_is_awake_and_everything_before_it_is_quiet(
    moment: datetime, since: time, until: time, name: str
) -> None:
    zone = ZoneInfo(name)
    end = end_of_quiet(moment, since, until, zone)
    assert end >= moment
    assert not is_quiet(end, since, until, zone)
    if not is_quiet(moment, since, until, zone):
        assert end == moment
        return
    # Where the clocks skip the end, it may be as late as what they skip.
    skipped = timedelta(hours=1)
    minutes = max(0, int((end - moment - skipped) / timedelta(minutes=1)))
    for step in range(0, minutes, 7):
        assert is_quiet(moment + timedelta(minutes=step), since, until, zone)


@pytest.mark.parametrize(
    ("local", "end"),
    [
        ("2027-06-05T20:29", "2027-06-05T20:29"),
        ("2027-06-05T20:30", "2027-06-06T09:00"),
        ("2027-06-06T03:00", "2027-06-06T09:00"),
        ("2027-06-06T09:00", "2027-06-06T09:00"),
        ("2027-03-13T23:00", "2027-03-14T09:00"),  # ten hours later by the clock, nine by the sun
        ("2027-11-06T23:00", "2027-11-07T09:00"),
    ],
)
def test_an_evening_waits_for_the_morning(local: str, end: str) -> None:
    moment = datetime.fromisoformat(local).replace(tzinfo=NEW_YORK)
    expected = datetime.fromisoformat(end).replace(tzinfo=NEW_YORK)
    assert end_of_quiet(moment, time(20, 30), time(9), NEW_YORK) == expected


def test_a_night_of_changing_clocks_is_as_long_as_it_is() -> None:
    for day, hours in (("2027-03-13", 11.5), ("2027-06-05", 12.5), ("2027-11-06", 13.5)):
        evening = datetime.fromisoformat(f"{day}T20:30").replace(tzinfo=NEW_YORK).astimezone(UTC)
        end = end_of_quiet(evening, time(20, 30), time(9), NEW_YORK)
        assert (end - evening) == timedelta(hours=hours)


def test_equal_ends_mean_no_quiet_hours_at_all() -> None:
    moment = datetime(2027, 6, 6, 3, tzinfo=NEW_YORK)
    assert end_of_quiet(moment, time(8), time(8), NEW_YORK) == moment
