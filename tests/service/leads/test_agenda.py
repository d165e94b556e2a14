"""When jobs are made, and what in the calendar cannot be as it stands."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import PriceBook
from service.leads import agenda, booking, conflicts, expiring, forgetting, stays
from service.leads.agenda import Block, Job, Part
from service.leads.closing import ClosedTime
from service.leads.conflicts import Clash, Conflict
from service.leads.lead import Hold, Lead
from tests.service.building import BuiltShop, build_shop
from tests.service.leads.keeping_dates import SUNDAY, a_wall, at, booked, held, hold_of, on

SATURDAY = SUNDAY - timedelta(days=1)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def jobs(shop: BuiltShop, since: date = SUNDAY, until: date = SUNDAY) -> list[Job]:
    book = shop.price_books.current()
    with shop.ports.read() as work:
        return agenda.jobs(
            work, book, at(0, day=since), at(0, day=until + timedelta(days=1)), shop.now
        )


def parts(job: Job, part: Part) -> list[tuple[datetime, datetime]]:
    return [(b.starts_at, b.ends_at) for b in job.blocks if b.part is part]


def a_closed_time(day: date, since: time | None = None, until: time | None = None) -> ClosedTime:
    return ClosedTime(
        id=f"{day}", first=day, last=day, since=since, until=until, note="a fair", made_at=at(9)
    )


def close(shop: BuiltShop, closed: ClosedTime) -> None:
    with shop.ports.work() as work:
        work.closed.add(closed)
        work.commit()


def among(shop: BuiltShop, found: list[Job], book: PriceBook | None = None) -> list[Conflict]:
    with shop.ports.read() as work:
        closed = work.closed.between(SUNDAY - timedelta(days=9), SUNDAY + timedelta(days=9))
    return conflicts.among(found, book or shop.price_books.current(), closed)


def spent(job: Job) -> timedelta:
    return sum((ends - starts for starts, ends in parts(job, Part.MAKE)), timedelta(0))


def needed(shop: BuiltShop, lead: Lead) -> timedelta:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id)
    assert quote is not None
    quarters = -(-timedelta(hours=quote.estimate.plan.bench_h) // stays.SLOT)
    return quarters * stays.SLOT


def test_a_job_goes_from_the_bench_to_the_strike(shop: BuiltShop) -> None:
    lead = booked(shop)
    (job,) = jobs(shop)
    stay = hold_of(shop, lead).stay
    assert parts(job, Part.LEAVE) == [(stay.leaves_at, at(9))]
    assert parts(job, Part.SET_UP) == [(at(9), stay.free_at)]
    assert parts(job, Part.EVENT) == [(at(15), at(19))]
    assert parts(job, Part.STRIKE) == [(stay.strikes_at, stay.struck_at)]
    assert spent(job) == needed(shop, lead)
    assert job.unmade == timedelta(0)


def test_an_event_whose_hour_nobody_knows_is_not_given_one(shop: BuiltShop) -> None:
    booked(shop, on(SUNDAY, None))
    (job,) = jobs(shop)
    assert parts(job, Part.EVENT) == []
    assert parts(job, Part.SET_UP)[0][0] == at(9)


def test_what_is_made_keeps_until_the_event_and_is_done_in_the_shops_hours(
    shop: BuiltShop,
) -> None:
    booked(shop)
    (job,) = jobs(shop)
    made = sorted(parts(job, Part.MAKE))
    # On Sundays the shop opens at seven, and the rest was made on Saturday until it closed at nine.
    assert made[-1][0] == at(7)
    assert made[-1][1] <= job.hold.stay.leaves_at
    assert made[0][1] == at(21, day=SATURDAY)
    assert made[0][0] >= job.keeps_from
    assert jobs(shop, SATURDAY, SATURDAY) == [job]


def test_a_closed_eve_moves_the_making_and_what_does_not_fit_is_told(shop: BuiltShop) -> None:
    lead = booked(shop)
    close(shop, a_closed_time(SATURDAY))
    (job,) = jobs(shop)
    friday = SATURDAY - timedelta(days=1)
    assert next(ends for _, ends in parts(job, Part.MAKE)) == at(21, day=friday)
    assert job.unmade == timedelta(0)
    close(shop, a_closed_time(friday))
    (job,) = jobs(shop)
    assert all(starts >= at(7) for starts, _ in parts(job, Part.MAKE))
    assert job.unmade == needed(shop, lead) - spent(job) > timedelta(0)
    (told,) = among(shop, [job])
    assert told.kind is Clash.MAKING
    assert told.lead_ids == (lead.id,)
    assert "of making do not fit" in told.text


def test_a_hold_that_has_run_out_is_no_job_any_more(shop: BuiltShop) -> None:
    lead = held(shop)
    assert [job.booked for job in jobs(shop)] == [False]
    shop.now = hold_of(shop, lead).expires_at
    assert jobs(shop) == []


def test_two_jobs_of_one_day_share_the_bench(shop: BuiltShop) -> None:
    booked(shop)
    booked(shop, a_wall(start=time(19)), starts_at=at(11, 30))
    found = jobs(shop)
    made = sorted(span for job in found for span in parts(job, Part.MAKE))
    assert all(one[1] <= other[0] for one, other in pairwise(made))
    away = [span for job in found for span in agenda.away(job.hold)]
    assert not [m for m in made for a in away if m[0] < a[1] and a[0] < m[1]]
    assert among(shop, found) == []


def test_nobody_is_at_the_bench_while_the_car_is_loaded(shop: BuiltShop) -> None:
    booked(shop)
    booked(shop, a_wall(start=time(19)), starts_at=at(11, 30))
    one, other = jobs(shop)
    with shop.ports.read() as work:
        estimate = work.quotes.get(one.hold.quote_id).estimate
    leaves = one.hold.stay.leaves_at
    loads_from = leaves - timedelta(hours=estimate.hours["load"] / estimate.plan.crew / 2)
    assert loads_from < leaves
    made = [*parts(one, Part.MAKE), *parts(other, Part.MAKE)]
    assert not [span for span in made if span[0] < leaves and loads_from < span[1]]


def test_a_crew_in_two_places_and_a_set_up_after_the_guests_are_told(shop: BuiltShop) -> None:
    first, second = booked(shop), booked(shop, a_wall(start=time(19)), starts_at=at(11, 30))
    one, other = jobs(shop)
    beside = _moved(other, by=timedelta(hours=-2))
    (told,) = [c for c in among(shop, [one, beside]) if c.kind is Clash.CREW]
    assert set(told.lead_ids) == {first.id, second.id}
    late = _moved(one, by=timedelta(hours=6))
    told_late = [c for c in among(shop, [late]) if c.kind is Clash.LATE]
    assert [c.lead_ids for c in told_late] == [(first.id,)]
    assert "after its event begins" in told_late[0].text


def test_a_booking_inside_closed_time_is_told_with_its_note(shop: BuiltShop) -> None:
    lead = booked(shop)
    close(shop, a_closed_time(SUNDAY, time(8), time(12)))
    (told,) = [c for c in among(shop, jobs(shop)) if c.kind is Clash.CLOSED]
    assert told.lead_ids == (lead.id,)
    assert "(a fair)" in told.text
    with shop.ports.work() as work:
        work.closed.remove(f"{SUNDAY}")
        work.commit()
    assert [c for c in among(shop, jobs(shop)) if c.kind is Clash.CLOSED] == []


def test_equipment_that_there_is_too_little_of_is_told(shop: BuiltShop) -> None:
    booked(shop)
    (job,) = jobs(shop)
    ((label, count),) = job.kit.items()
    twice = [job, replace(job, lead=replace(job.lead, id="another", number="G9999"))]
    have = stays.owned(shop.price_books.current())[label]
    assert have == count
    told = [c for c in among(shop, twice) if c.kind is Clash.EQUIPMENT]
    assert told
    assert f"{2 * count} × {label} promised at once, and you have {have}" in told[0].text
    day_after = _moved(twice[1], by=timedelta(days=1))
    assert [c for c in among(shop, [job, day_after]) if c.kind is Clash.EQUIPMENT] == []


def _moved(job: Job, *, by: timedelta) -> Job:
    """The job at another time than it can really be held."""
    hold, stay = job.hold, job.hold.stay
    window = replace(
        hold.window, starts_at=hold.window.starts_at + by, ends_at=hold.window.ends_at + by
    )
    names = ("leaves_at", "free_at", "strikes_at", "struck_at", "returns_at")
    stay = replace(stay, **{name: getattr(stay, name) + by for name in names})
    moved = {Part.LEAVE, Part.SET_UP, Part.STRIKE}
    blocks = tuple(
        replace(b, starts_at=b.starts_at + by, ends_at=b.ends_at + by) if b.part in moved else b
        for b in job.blocks
    )
    return replace(job, hold=replace(hold, window=window, stay=stay), blocks=blocks)


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> tuple[Job, PriceBook]:
    """A job, and the book that it is planned by."""
    shop = build_shop(tmp_path_factory.mktemp("shop"))
    booked(shop, on(SUNDAY))
    (job,) = jobs(shop)
    shop.engine.dispose()
    return job, shop.price_books.current()


@settings(max_examples=50)
@given(data=st.data())
def test_the_bench_is_never_used_twice_nor_too_early_nor_too_late(
    template: tuple[Job, PriceBook], data: st.DataObject
) -> None:
    job, book = template
    wanted = [
        _wanted(job, number, *case)
        for number, case in enumerate(
            data.draw(
                st.lists(
                    st.tuples(st.integers(0, 96), st.integers(1, 40), st.integers(0, 48)),
                    min_size=1,
                    max_size=5,
                )
            )
        )
    ]
    planned = agenda.plan(wanted, book, [])
    made = sorted(
        (b.starts_at, b.ends_at) for job in planned for b in job.blocks if b.part is Part.MAKE
    )
    assert all(one[1] <= other[0] for one, other in pairwise(made))
    for (_, bench), done in zip(wanted, planned, strict=True):
        spans = parts(done, Part.MAKE)
        spent = sum((ends - starts for starts, ends in spans), timedelta(0))
        assert spent + done.unmade == bench.takes
        assert all(bench.keeps_from <= starts and ends <= bench.until for starts, ends in spans)


def _wanted(job: Job, number: int, later: int, takes: int, keeps: int) -> tuple[Job, agenda.Bench]:
    """A job that leaves so many quarters of an hour later, with other balloons to make."""
    by = later * stays.SLOT
    moved = _moved(job, by=by)
    hold: Hold = replace(moved.hold, id=f"hold {number}")
    until = hold.stay.leaves_at
    bench = agenda.Bench(
        takes=takes * stays.SLOT, keeps_from=until - keeps * timedelta(hours=1), until=until
    )
    blocks: tuple[Block, ...] = tuple(b for b in moved.blocks if b.part is not Part.MAKE)
    return replace(moved, hold=hold, blocks=blocks), bench


def test_the_earliest_event_of_the_spring_change_is_where_the_clock_says(shop: BuiltShop) -> None:
    # On this day Boston's clock goes from two to three: three hours before seven it is still EST.
    day = date(2027, 3, 14)
    booked(shop, a_wall(day, time(12)), starts_at=at(8, day=day))
    (job,) = jobs(shop, day, day)
    assert parts(job, Part.SET_UP)[0][0] == datetime(2027, 3, 14, 12, tzinfo=UTC)
    assert all(starts < ends for starts, ends in parts(job, Part.MAKE))


def test_what_an_erased_client_had_is_in_no_calendar_any_more(shop: BuiltShop) -> None:
    given_back = held(shop)
    with shop.ports.work() as work:
        booking.release(work, shop.ports, work.leads.get(given_back.id, lock=True), now=shop.now)
        work.commit()
    over = booked(shop)
    shop.now = at(12, day=SUNDAY + timedelta(days=9))
    expiring.finish_over(shop.ports)
    with shop.ports.work() as work:
        for lead in (given_back, over):
            forgetting.erase(work, lead.id, now=shop.now)
        work.commit()
    assert jobs(shop) == []
    long_ago = at(0, day=date(2027, 1, 1))
    with shop.ports.read() as work:
        assert agenda.called_off(work, shop.price_books.current(), long_ago) == []
