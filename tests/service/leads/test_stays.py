"""The whole stay of a job, as its estimate plans it."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    Estimate,
    Event,
    Piece,
    Site,
    Support,
    estimate,
)
from service.leads import stays
from service.leads.lead import Window
from service.leads.stays import SLOT
from service.storage.price_book import PriceBookFile
from tests.service.building import PRICE_BOOK, a_brief, a_piece

BOOK = PriceBookFile(PRICE_BOOK).current()
BOSTON = ZoneInfo("America/New_York")
SUNDAY = date(2027, 6, 6)
# Twenty-six miles from the workshop, as the crow flies.
FAR_SITE = Site(setting=a_brief().site.setting, latitude=42.37, longitude=-70.67)
WALL = a_piece(support=Support.WALL, length_m=3.0)
READY = datetime(2027, 6, 6, 10, 0, tzinfo=BOSTON)


@cache
def estimated(brief: Brief) -> Estimate:
    return estimate(brief, BOOK, today=date(2027, 1, 10))


def job_of(brief: Brief) -> stays.Job:
    return stays.job_of(brief, estimated(brief), BOOK)


def hours(time_: timedelta) -> float:
    return time_ / timedelta(hours=1)


def test_time_on_site_and_the_drive_are_those_of_the_plan() -> None:
    brief = a_brief(site=FAR_SITE)
    planned, job = estimated(brief).plan, job_of(brief)
    ready_before = hours(BOOK.labour.ready_before)
    assert 0 <= hours(job.on_site) - (planned.arrive_before_h - ready_before) < hours(SLOT)
    away = planned.leave_before_h - planned.arrive_before_h
    assert hours(job.drive + job.slack) == pytest.approx(away)
    assert hours(job.drive) > 0.5
    assert 0 <= hours(job.strike) - planned.strike_h < hours(SLOT)


def test_further_car_loads_are_fetched_while_the_crew_is_on_site() -> None:
    small = a_brief(site=FAR_SITE, pieces=(WALL,))
    large = a_brief(site=FAR_SITE, pieces=(a_piece(support=Support.WALL, length_m=25.0, count=2),))
    loads = estimated(large).load.car_loads
    assert loads > 1
    fetching = (loads - 1) * 2 * job_of(large).drive
    working = estimated(large).plan.set_up_h
    assert hours(job_of(large).on_site) >= working + hours(fetching)
    assert job_of(small).drive == job_of(large).drive


def test_equipment_is_what_the_shop_owns_and_the_estimate_counts_on() -> None:
    covered = replace(a_piece(), accents=(Accent(kind=AccentKind.FABRIC_COVER),))
    columns = Piece(support=Support.COLUMN, height_m=1.8, count=2)
    kit = job_of(a_brief(pieces=(covered, columns))).kit
    assert kit["round top frame 4 x 7 ft"] == 1
    assert kit["column stand"] == 2
    assert sum(kit[cover.label] for cover in BOOK.fittings.covers if cover.label in kit) == 1
    assert stays.owned(BOOK)["column stand"] == 4
    # What has to be hired is nobody's to promise.
    wide = Piece(support=Support.HOOP, width_m=2.6)
    assert job_of(a_brief(pieces=(wide, WALL))).kit == {}


def test_nobody_comes_back_for_what_the_client_keeps() -> None:
    kept = job_of(a_brief(pieces=(WALL,), client_keeps=True))
    assert (kept.comes_back, kept.strike) == (False, timedelta(0))
    # A frame has to be fetched all the same.
    assert job_of(a_brief(client_keeps=True)).comes_back
    window = Window(starts_at=READY - kept.on_site, ends_at=READY)
    stay = stays.stay_of(kept, window, READY + timedelta(hours=9))
    assert stay.strikes_at == stay.struck_at == READY
    assert stay.returns_at == READY + kept.drive


@pytest.mark.parametrize(
    ("event", "over"),
    [
        (Event(start_time=time(15), end_time=time(18)), datetime(2027, 6, 6, 18, 0, tzinfo=BOSTON)),
        (Event(start_time=time(15)), datetime(2027, 6, 6, 19, 0, tzinfo=BOSTON)),
        (Event(start_time=time(19), end_time=time(1)), datetime(2027, 6, 7, 1, 0, tzinfo=BOSTON)),
        (Event(end_time=time(17)), datetime(2027, 6, 6, 17, 0, tzinfo=BOSTON)),
        # Half an hour after all is ready, and four hours on.
        (Event(), datetime(2027, 6, 6, 14, 30, tzinfo=BOSTON)),
        # Said to be over before it can have begun: in the night, then.
        (Event(end_time=time(9)), datetime(2027, 6, 7, 9, 0, tzinfo=BOSTON)),
    ],
)
def test_the_guests_have_gone_when_it_is_known_or_four_hours_on(
    event: Event, over: datetime
) -> None:
    assert stays.over_at(event, SUNDAY, READY, BOOK) == over


def test_the_stay_goes_from_the_workshop_and_back() -> None:
    job = job_of(a_brief(site=FAR_SITE))
    window = Window(starts_at=READY - job.on_site, ends_at=READY)
    strikes_at = datetime(2027, 6, 6, 19, 0, tzinfo=BOSTON)
    stay = stays.stay_of(job, window, strikes_at)
    assert window.starts_at - stay.leaves_at == job.drive + job.slack
    assert stay.free_at == READY
    assert stay.struck_at - stay.strikes_at == job.strike
    assert stay.returns_at - stay.struck_at == job.drive
    kept = stays.keeps(window, stay, [("round top frame 4 x 7 ft", 0)])
    working = (job.on_site + job.strike) / SLOT
    assert len(kept.slots) == working
    # Out from before it leaves until after it is back, and the whole time between.
    assert kept.out[0] * 900 <= stay.leaves_at.timestamp()
    assert (kept.out[-1] + 1) * 900 >= stay.returns_at.timestamp()
    assert len(kept.out) == kept.out[-1] - kept.out[0] + 1


def test_drives_between_sites_go_by_road_or_by_way_of_the_workshop() -> None:
    near, far = (42.3701, -71.1827), (42.37, -70.67)
    home = timedelta(minutes=5), timedelta(minutes=70)
    between = stays.drive_between(near, far, home=home, book=BOOK)
    assert between == pytest.approx(job_of(a_brief(site=FAR_SITE)).drive, rel=0.01)
    for here, there in ((None, far), (near, None), (None, None)):
        assert stays.drive_between(here, there, home=home, book=BOOK) == home[1]


def test_slots_are_quarters_of_an_hour_and_none_for_no_time() -> None:
    at = datetime(2027, 6, 6, 9, 0, tzinfo=UTC)
    assert len(stays.slots(at, at + timedelta(minutes=31))) == 3
    assert len(stays.slots(at, at)) == 0
