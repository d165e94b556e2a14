"""Set-up windows that the hours of a day leave."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import Calendar, Event, OpenHours
from service.leads import windows
from service.leads.closing import ClosedTime
from service.leads.lead import Window
from service.leads.stays import Job

BOSTON = ZoneInfo("America/New_York")
NOW = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
SUNDAY = date(2027, 6, 6)
HALF_AN_HOUR = timedelta(minutes=30)


def hours(
    *closed: ClosedTime,
    notice: timedelta = timedelta(days=2),
    access_from: time | None = None,
    access_until: time | None = None,
) -> windows.Openings:
    calendar = Calendar(
        opening={6: OpenHours(opens=time(8), closes=time(18))},
        buffer=timedelta(minutes=45),
        hold=timedelta(days=2),
        quote_valid=timedelta(days=14),
        notice=notice,
        jobs_at_once=1,
    )
    return windows.Openings(
        calendar=calendar,
        zone=BOSTON,
        closed=closed,
        access_from=access_from,
        access_until=access_until,
    )


def a_job(start: time | None = None, *, lasts: float = 2.0) -> Job:
    return Job(
        event=Event(date=SUNDAY, start_time=start),
        position=None,
        drive=timedelta(minutes=20),
        slack=timedelta(minutes=20),
        on_site=timedelta(hours=lasts),
        strike=timedelta(minutes=30),
        comes_back=True,
        bench=timedelta(hours=2),
        loading=timedelta(minutes=10),
        keeps=timedelta(hours=12),
        kit={},
    )


def closed(since: time | None = None, until: time | None = None) -> ClosedTime:
    return ClosedTime(id="c", first=SUNDAY, last=SUNDAY, since=since, until=until, made_at=NOW)


def offered(
    day: date,
    job: Job,
    openings: windows.Openings | None = None,
    *,
    earliest: datetime = NOW,
) -> list[tuple[time, time]]:
    found = windows.candidates(
        day, job, openings or hours(), ready_before=HALF_AN_HOUR, earliest=earliest
    )
    return [(w.starts_at.time(), w.ends_at.time()) for w in found]


def test_the_set_up_is_ready_as_long_before_the_guests_as_the_shop_likes() -> None:
    found = offered(SUNDAY, a_job(time(15)))
    assert found[0] == (time(8), time(10))
    # 15:00 − 0:30 − 2:00
    assert found[-1] == (time(12, 30), time(14, 30))


def test_without_a_start_the_whole_day_is_on_offer() -> None:
    assert offered(SUNDAY, a_job())[-1] == (time(16), time(18))


def test_a_closed_weekday_has_none() -> None:
    assert offered(SUNDAY + timedelta(days=1), a_job()) == []


def test_an_event_before_the_shop_can_be_ready_has_none() -> None:
    assert offered(SUNDAY, a_job(time(10))) == []


def test_nothing_begins_sooner_than_it_can() -> None:
    two_o_clock = datetime(2027, 6, 6, 14, 0, tzinfo=BOSTON)
    assert offered(SUNDAY, a_job(), earliest=two_o_clock)[0] == (time(14), time(16))


def test_a_day_off_has_none_and_a_closed_hour_none_that_touch_it() -> None:
    assert offered(SUNDAY, a_job(), hours(closed())) == []
    found = offered(SUNDAY, a_job(), hours(closed(time(11), time(13))))
    assert found[0] == (time(8), time(10))
    assert (time(9), time(11)) in found
    assert (time(13), time(15)) in found
    assert all(ends <= time(11) or starts >= time(13) for starts, ends in found)


def test_the_venue_lets_in_when_it_does() -> None:
    found = offered(SUNDAY, a_job(), hours(access_from=time(9, 15), access_until=time(14)))
    assert found[0] == (time(9, 15), time(11, 15))
    assert found[-1] == (time(11, 45), time(13, 45))
    assert offered(SUNDAY, a_job(), hours(access_from=time(17))) == []


def test_the_day_the_clocks_change_keeps_local_times_and_real_lengths() -> None:
    # On 14 March 2027 at 2 am clocks in Boston go forward; windows later that day are normal.
    found = windows.candidates(
        date(2027, 3, 14), a_job(time(12)), hours(), ready_before=HALF_AN_HOUR, earliest=NOW
    )
    assert found[0].starts_at == datetime(2027, 3, 14, 12, 0, tzinfo=UTC)
    assert found[0].ends_at - found[0].starts_at == timedelta(hours=2)


def first_strike(over: datetime, openings: windows.Openings) -> datetime:
    return next(windows.strikes(a_job(), openings, over)).astimezone(BOSTON)


@pytest.mark.parametrize(
    ("over", "begins"),
    [
        (datetime(2027, 6, 6, 16, 10, tzinfo=BOSTON), datetime(2027, 6, 6, 16, 15, tzinfo=BOSTON)),
        (datetime(2027, 6, 6, 17, 30, tzinfo=BOSTON), datetime(2027, 6, 6, 17, 30, tzinfo=BOSTON)),
        # Half an hour's work does not fit before 18:00 any more: the next day that is open.
        (datetime(2027, 6, 6, 17, 31, tzinfo=BOSTON), datetime(2027, 6, 13, 8, 0, tzinfo=BOSTON)),
        (datetime(2027, 6, 7, 1, 0, tzinfo=BOSTON), datetime(2027, 6, 13, 8, 0, tzinfo=BOSTON)),
    ],
)
def test_taking_down_begins_when_the_guests_have_gone_within_the_hours(
    over: datetime, begins: datetime
) -> None:
    assert first_strike(over, hours()) == begins


def test_taking_down_keeps_to_the_venues_hours_and_to_days_off() -> None:
    over = datetime(2027, 6, 6, 12, 0, tzinfo=BOSTON)
    assert first_strike(over, hours(access_from=time(14))).time() == time(14)
    evening = hours(closed(time(12), time(17)))
    assert first_strike(over, evening).time() == time(17)


def test_an_agreed_start_stands_whatever_notice_it_leaves() -> None:
    start = datetime(2027, 6, 6, 9, 10, tzinfo=BOSTON)
    found = windows.agreed_window(
        start, SUNDAY, a_job(time(15)), hours(), ready_before=HALF_AN_HOUR
    )
    assert found is not None
    assert found.ends_at == datetime(2027, 6, 6, 11, 10, tzinfo=BOSTON)
    for job in (a_job(time(11)), a_job(time(15), lasts=6), a_job(lasts=9)):
        assert windows.agreed_window(start, SUNDAY, job, hours(), ready_before=HALF_AN_HOUR) is None


@pytest.mark.parametrize(
    ("hour", "event", "made"),
    [
        # Off at 7:20, and from three in the morning on it keeps: the shop opens at eight.
        (8, 15, False),
        # Off at 9:20: an hour and twenty minutes of the two.
        (10, 15, False),
        (11, 15, True),
        # From seven the evening before, when the shop is closed already.
        (9, 7, False),
    ],
)
def test_what_keeps_for_half_a_day_is_made_within_the_hours_that_are_left(
    hour: int, event: int, made: bool
) -> None:
    window = Window(
        starts_at=datetime(2027, 6, 6, hour, tzinfo=BOSTON),
        ends_at=datetime(2027, 6, 6, hour + 2, tzinfo=BOSTON),
    )
    at = datetime(2027, 6, 6, event, tzinfo=BOSTON)
    assert windows.can_be_made(a_job(), hours(), window, at, NOW) is made
    # What keeps for a week is made the Sunday before.
    week = replace(a_job(), keeps=timedelta(days=7))
    assert windows.can_be_made(week, hours(), window, at, NOW)


def test_the_car_is_loaded_and_nothing_is_made_before_now() -> None:
    at = datetime(2027, 6, 6, 15, tzinfo=BOSTON)
    window = Window(starts_at=at - timedelta(hours=4), ends_at=at - timedelta(hours=2))
    # Off at 10:20: two hours and twenty minutes, of which ten are for loading the car.
    assert windows.can_be_made(a_job(), hours(), window, at, NOW)
    longer = replace(a_job(), loading=timedelta(minutes=30))
    assert not windows.can_be_made(longer, hours(), window, at, NOW)
    # In whole quarters of an hour, as it is planned: 8:00 to 10:10, and from 8:15 on no more.
    eight = datetime(2027, 6, 6, 8, tzinfo=BOSTON)
    assert windows.can_be_made(a_job(), hours(), window, at, eight)
    assert not windows.can_be_made(a_job(), hours(), window, at, eight + timedelta(minutes=1))


times = st.times().map(lambda at: at.replace(second=0, microsecond=0))


@given(pair=st.tuples(times, times).filter(lambda pair: pair[0] < pair[1]))
@settings(max_examples=40)
def test_whatever_is_closed_no_window_touches_it(pair: tuple[time, time]) -> None:
    since, until = pair
    openings = hours(closed(since, until))
    spans = openings.on(SUNDAY)
    assert all(before[1] <= after[0] for before, after in pairwise(spans))
    for starts, ends in offered(SUNDAY, a_job(), openings):
        assert ends <= since or starts >= until
