"""Set-up windows on offer."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Calendar, OpenHours
from service.leads import windows

BOSTON = ZoneInfo("America/New_York")
NOW = datetime(2027, 1, 10, 17, 0, tzinfo=UTC)
SUNDAY = date(2027, 6, 6)


def _calendar(*, notice: timedelta = timedelta(days=2)) -> Calendar:
    return Calendar(
        opening={6: OpenHours(opens=time(8), closes=time(18))},
        buffer=timedelta(minutes=30),
        hold=timedelta(days=2),
        quote_valid=timedelta(days=14),
        notice=notice,
        jobs_at_once=1,
    )


def _offered(
    day: date, start: time | None, *, hours: float = 2.0, now: datetime = NOW
) -> list[tuple[time, time]]:
    found = windows.candidates(
        day,
        event_start=start,
        needed=windows.on_site({"install": hours}),
        calendar=_calendar(),
        zone=BOSTON,
        now=now,
    )
    return [(w.starts_at.time(), w.ends_at.time()) for w in found]


def test_the_set_up_is_ready_half_an_hour_before_the_guests() -> None:
    offered = _offered(SUNDAY, time(15))
    assert offered[0] == (time(8), time(10))
    # 15:00 − 0:30 − 2:00
    assert offered[-1] == (time(12, 30), time(14, 30))


def test_without_a_start_the_whole_day_is_on_offer() -> None:
    assert _offered(SUNDAY, None)[-1] == (time(16), time(18))


def test_a_closed_day_has_none() -> None:
    assert _offered(SUNDAY + timedelta(days=1), None) == []


def test_an_event_before_the_shop_can_be_ready_has_none() -> None:
    assert _offered(SUNDAY, time(10)) == []


def test_notice_is_kept() -> None:
    two_days_before = datetime(2027, 6, 4, 14, 0, tzinfo=BOSTON)
    assert _offered(SUNDAY, None, now=two_days_before)[0] == (time(14), time(16))


def test_time_on_site_is_rounded_up_to_quarters_of_an_hour() -> None:
    assert windows.on_site({"install": 1.1, "finish": 0.25, "drive": 9}) == timedelta(minutes=90)
    assert windows.on_site({}) == timedelta(minutes=15)


def test_the_day_the_clocks_change_keeps_local_times_and_real_lengths() -> None:
    # On 14 March 2027 at 2 am clocks in Boston go forward; windows later that day are normal.
    found = windows.candidates(
        date(2027, 3, 14),
        event_start=time(12),
        needed=timedelta(hours=2),
        calendar=_calendar(),
        zone=BOSTON,
        now=NOW,
    )
    assert found[0].starts_at == datetime(2027, 3, 14, 12, 0, tzinfo=UTC)
    assert found[0].ends_at - found[0].starts_at == timedelta(hours=2)


def test_slots_cover_the_window_and_its_buffer() -> None:
    (window, *_rest) = windows.candidates(
        SUNDAY,
        event_start=time(12),
        needed=timedelta(hours=2),
        calendar=_calendar(),
        zone=BOSTON,
        now=NOW,
    )
    kept = windows.slots(window, timedelta(minutes=30))
    # 0:30 + 2:00 + 0:30 in quarters of an hour
    assert len(kept) == 12
    assert kept.start * 900 == window.starts_at.timestamp() - 1800
