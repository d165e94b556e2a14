"""Holding, booking, moving and giving back a date, with what it takes of crew and equipment."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from service.estimating import Brief, Event, Setting, Site, Support
from service.leads import booking, days_off, expiring, known_hours, lacking, offering
from service.leads.closing import ClosedTime, ClosingRefused
from service.leads.diary import Lacking
from service.leads.known_hours import Hours
from service.leads.lead import (
    Client,
    Hold,
    HoldState,
    Lead,
    NoLongerFits,
    NotFound,
    WindowTaken,
)
from service.leads.offering import NoneFree, Why
from tests.service.building import PRICE_BOOK, BuiltShop, a_brief, a_piece, build_shop

BOSTON = ZoneInfo("America/New_York")
SUNDAY = date(2027, 6, 6)
FRAME = "round top frame 4 x 7 ft"
NORA = Client(name="Nora", email="nora@rowing.example")
WALL = a_piece(support=Support.WALL, length_m=3.0)
# Some twelve miles north, and twelve miles south of the workshop.
NORTH = Site(setting=Setting.INDOOR, latitude=42.545, longitude=-71.18)
SOUTH = Site(setting=Setting.INDOOR, latitude=42.195, longitude=-71.18)


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


@contextmanager
def shop_with(folder: Path, old: str, new: str) -> Iterator[BuiltShop]:
    """A shop whose price book says something else."""
    text = PRICE_BOOK.read_text(encoding="utf-8")
    assert text.count(old) == 1
    book = folder / "book.yaml"
    book.write_text(text.replace(old, new), encoding="utf-8")
    shop = build_shop(folder, price_book=book)
    yield shop
    shop.engine.dispose()


def a_wall(start: time = time(15), **parts: Any) -> Brief:
    """A garland on a wall: nothing of the shop's own stands there."""
    return a_brief(pieces=(WALL,), event=Event(date=SUNDAY, start_time=start), **parts)


def at(hour: int, minute: int = 0, *, day: date = SUNDAY) -> datetime:
    return datetime.combine(day, time(hour, minute), BOSTON)


def hold(shop: BuiltShop, lead: Lead, starts_at: datetime, **details: Any) -> Hold:
    booking.free_expired(shop.ports)
    with shop.ports.work() as work:
        kept = booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=starts_at,
            client=NORA,
            now=shop.now,
            **details,
        )
        work.commit()
    return kept


def book(shop: BuiltShop, lead: Lead) -> None:
    with shop.ports.work() as work:
        locked = work.leads.get(lead.id, lock=True)
        booking.book(work, shop.ports, locked, paid=Decimal(100), who="owner", now=shop.now)
        work.commit()


def move(shop: BuiltShop, lead: Lead, starts_at: datetime) -> Hold:
    with shop.ports.work() as work:
        kept = booking.move(
            work, shop.ports, lead.id, starts_at=starts_at, who="owner", now=shop.now
        )
        work.commit()
    return kept


def give_back(shop: BuiltShop, lead: Lead, **details: Any) -> None:
    with shop.ports.work() as work:
        locked = work.leads.get(lead.id, lock=True)
        booking.release(work, shop.ports, locked, now=shop.now, **details)
        work.commit()


def starts(shop: BuiltShop, lead: Lead, day: date = SUNDAY) -> list[time]:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        current = shop.price_books.current()
        found = booking.offered(work, lead, quote, current, day=day, now=shop.now)
    return [window.starts_at.astimezone(BOSTON).time() for window in found]


def why(shop: BuiltShop, lead: Lead, day: date = SUNDAY) -> NoneFree | None:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        current = shop.price_books.current()
        return offering.why_none(work, lead, quote, current, day=day, now=shop.now)


def kept_by(shop: BuiltShop, lead: Lead) -> Hold | None:
    with shop.ports.read() as work:
        return work.holds.of_lead(lead.id)


def newest(shop: BuiltShop, lead: Lead) -> Hold:
    with shop.ports.read() as work:
        found = work.holds.newest_of_lead(lead.id)
    assert found is not None
    return found


def last_said(shop: BuiltShop, lead: Lead) -> str:
    with shop.ports.read() as work:
        return work.chats.messages(lead.channel, lead.chat_id)[-1].message.text


def test_between_two_jobs_at_one_place_the_shop_has_its_pause_once(shop: BuiltShop) -> None:
    first, second = shop.quoted(a_wall()), shop.quoted(a_wall())
    kept = hold(shop, first, at(9))
    assert kept.window.ends_at == at(10, 15)
    free = starts(shop, second)
    # 10:15 and three quarters of an hour; and as long before 9:00.
    assert min(start for start in free if start > time(9)) == time(11)
    assert max(start for start in free if start < time(9)) == time(7)
    assert hold(shop, second, at(11)).crew == 0


def test_the_drive_from_the_site_before_counts(shop: BuiltShop) -> None:
    north, south = shop.quoted(a_wall(site=NORTH)), shop.quoted(a_wall(site=SOUTH))
    neighbour = shop.quoted(a_wall(site=NORTH))
    kept = hold(shop, north, at(9))
    # Twice the fifteen miles home by road: half of them at 24 an hour, the others at 50.
    drive = timedelta(minutes=56)
    earliest = kept.window.ends_at + timedelta(minutes=45) + drive
    after = [start for start in starts(shop, south) if start > time(9)]
    assert earliest.time() <= after[0] < (earliest + timedelta(minutes=30)).time()
    assert min(start for start in starts(shop, neighbour) if start > time(9)) < after[0]
    # The day begins at seven: too late for the same before nine.
    assert min(starts(shop, south)) == after[0]


def test_to_a_place_that_is_not_known_it_takes_the_longer_way_home(shop: BuiltShop) -> None:
    north = shop.quoted(a_wall(site=NORTH))
    unknown = shop.quoted(a_wall(site=Site(setting=Setting.INDOOR)))
    kept = hold(shop, north, at(9))
    home = kept.stay.returns_at - kept.stay.struck_at
    assert home > timedelta(minutes=35)
    after = min(start for start in starts(shop, unknown) if start > time(9))
    assert at(after.hour, after.minute) >= kept.window.ends_at + timedelta(minutes=45) + home


def test_taking_down_takes_the_crew_too(shop: BuiltShop) -> None:
    first, evening = shop.quoted(a_wall()), shop.quoted(a_wall(time(20, 30)))
    kept = hold(shop, first, at(9))
    # Four hours after three o'clock the guests have gone.
    assert kept.stay.strikes_at == at(19)
    taken = {time(17, 30), time(18, 0), time(18, 30), time(19, 0)}
    assert taken.isdisjoint(starts(shop, evening))
    assert time(17) in starts(shop, evening)
    # One after the other where both are over at once.
    later = hold(shop, shop.quoted(a_wall()), at(12))
    assert later.stay.strikes_at >= kept.stay.struck_at + timedelta(minutes=45)


def test_a_frame_that_is_out_is_not_offered_before_it_is_back(shop: BuiltShop) -> None:
    first, second = shop.quoted(a_brief()), shop.quoted(a_brief())
    kept = hold(shop, first, at(9))
    assert starts(shop, second) == []
    found = why(shop, second)
    assert found is not None
    assert found.why is Why.TAKEN
    (out,) = (short for short in found.shorts if short.lacking is Lacking.EQUIPMENT)
    assert lacking.owner_reason(out) == f"The {FRAME} is out that day."
    with pytest.raises(WindowTaken, match="not free") as refused:
        hold(shop, second, at(13))
    assert FRAME in refused.value.because
    assert FRAME not in str(refused.value)
    # A garland that stands on nothing of the shop's own has room beside it.
    assert time(12) in starts(shop, shop.quoted(a_wall()))
    # The frame is home in the evening; the next morning it can go out again.
    assert kept.stay.returns_at < at(23)
    monday = replace(a_brief(), event=Event(date=SUNDAY + timedelta(1), start_time=time(15)))
    assert starts(shop, shop.quoted(monday), SUNDAY + timedelta(1))


def test_over_night_a_frame_is_out_until_the_next_morning(shop: BuiltShop) -> None:
    late = a_brief(event=Event(date=SUNDAY, start_time=time(18), end_time=time(23)))
    kept = hold(shop, shop.quoted(late), at(14))
    monday = SUNDAY + timedelta(1)
    assert kept.stay.strikes_at == at(8, day=monday)
    early = shop.quoted(a_brief(event=Event(date=monday, start_time=time(15))))
    free = starts(shop, early, monday)
    assert free
    assert at(free[0].hour, free[0].minute, day=monday) >= kept.stay.returns_at


def test_two_crews_work_side_by_side(tmp_path: Path) -> None:
    with shop_with(tmp_path, "jobs_at_once: 1", "jobs_at_once: 2") as shop:
        leads = [shop.quoted(a_wall()) for _ in range(3)]
        assert [hold(shop, lead, at(9)).crew for lead in leads[:2]] == [0, 1]
        with pytest.raises(WindowTaken):
            hold(shop, leads[2], at(9))


def test_two_of_a_kind_are_promised_twice(tmp_path: Path) -> None:
    old = "height_ft: 7, count: 1, wear: 9.00,  mass_lb: 24"
    with shop_with(tmp_path, old, old.replace("count: 1", "count: 2")) as shop:
        leads = [shop.quoted(a_brief()) for _ in range(3)]
        hold(shop, leads[0], at(7))
        hold(shop, leads[1], at(12))
        assert starts(shop, leads[2]) == []


def test_a_hold_that_is_moved_keeps_its_time_to_think_and_counts_on(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    first = hold(shop, lead, at(9))
    assert (first.revision, first.state) == (0, HoldState.ACTIVE)
    shop.now += timedelta(hours=5)
    second = hold(shop, lead, at(12))
    assert second.expires_at == first.expires_at
    assert (second.revision, second.made_at) == (1, shop.now)
    book(shop, lead)
    assert newest(shop, lead).state is HoldState.BOOKED
    assert newest(shop, lead).revision == 2
    moved = move(shop, lead, at(10))
    assert (moved.revision, moved.state) == (3, HoldState.BOOKED)
    with shop.ports.read() as work:
        changed = work.holds.changed(shop.now - timedelta(hours=1))
    assert [each.id for each in changed] == [moved.id]


def test_a_date_that_is_given_back_is_free_and_the_next_one_counts_on(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    hold(shop, lead, at(9))
    give_back(shop, lead, because="the price")
    assert shop.lead(lead.id).state == "quoted"
    assert kept_by(shop, lead) is None
    assert (newest(shop, lead).state, newest(shop, lead).revision) == (HoldState.RELEASED, 1)
    assert "no longer held for you" in last_said(shop, lead)
    hold(shop, other, at(9))
    give_back(shop, other)
    assert hold(shop, lead, at(9)).revision == 2


def test_a_hold_that_runs_out_frees_crew_and_frame(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_brief()), shop.quoted(a_brief())
    hold(shop, lead, at(9))
    shop.now += timedelta(days=3)
    assert time(9) in starts(shop, other)
    hold(shop, other, at(9))
    assert shop.lead(lead.id).state == "quoted"
    assert newest(shop, lead).revision == 1


def test_a_booked_job_is_done_when_all_is_home_again(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_brief()), shop.quoted(a_wall())
    kept = hold(shop, lead, at(9))
    book(shop, lead)
    hold(shop, other, at(12))
    shop.now = kept.stay.returns_at - timedelta(minutes=1)
    assert expiring.finish_over(shop.ports) == 0
    shop.now += timedelta(minutes=1)
    assert [expiring.finish_over(shop.ports) for _ in range(2)] == [1, 0]
    assert shop.lead(lead.id).state == "done"
    # What was never paid for is not done, only over.
    assert shop.lead(other.id).state == "held"
    with shop.ports.read() as work:
        assert work.leads.history(lead.id)[-1].what == "the day is over"
    found = kept_by(shop, lead)
    assert found is not None
    assert found.revision == kept.revision + 1


def test_what_keeps_for_half_a_day_is_not_offered_at_dawn(shop: BuiltShop) -> None:
    site = Site(setting=Setting.OUTDOOR, postal_code="02472")
    outdoors, indoors = shop.quoted(a_brief(site=site)), shop.quoted(a_brief())
    with shop.ports.work() as work:
        quote = work.quotes.latest(outdoors.id)
        assert quote is not None
        work.quotes.mark_sent(quote.id, shop.now, quote.expires_at)
        work.commit()
    # From three in the morning on it keeps for the party at three, and the shop opens at seven.
    assert quote.estimate.plan.ahead_h == 12
    made = timedelta(hours=quote.estimate.plan.bench_h)
    first = starts(shop, outdoors)[0]
    assert at(first.hour, first.minute) >= at(7) + made
    assert starts(shop, indoors)[0] == time(7)


def test_the_owner_moves_a_booked_date_to_another_day(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    hold(shop, lead, at(9))
    book(shop, lead)
    saturday = SUNDAY + timedelta(6)
    moved = move(shop, lead, at(10, day=saturday))
    assert moved.window.starts_at == at(10, day=saturday)
    assert shop.lead(lead.id).brief.event.date == saturday
    assert "Saturday, June 12, 2027" in last_said(shop, lead)
    assert starts(shop, shop.quoted(a_brief()))


def test_what_is_in_the_way_of_a_move_is_said(shop: BuiltShop) -> None:
    mine, other = shop.quoted(a_wall()), shop.quoted(a_wall())
    hold(shop, mine, at(8))
    hold(shop, other, at(12))
    for hour, because in ((12, "Another job"), (3, "The hours of that day")):
        with pytest.raises(WindowTaken) as refused:
            move(shop, mine, at(hour))
        assert because in refused.value.because
    with pytest.raises(NotFound):
        move(shop, shop.quoted(a_wall()), at(9))


def test_a_client_may_move_the_event_to_a_day_of_the_same_price(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    saturday, monday = SUNDAY + timedelta(6), SUNDAY + timedelta(1)
    for details in ({}, {"another_day": False}):
        with pytest.raises(WindowTaken, match="not the day of your event"):
            hold(shop, lead, at(10, day=saturday), **details)
    # A Monday bears no weekend share: the price would be another one.
    with pytest.raises(WindowTaken):
        hold(shop, lead, at(10, day=monday), another_day=True)
    hold(shop, lead, at(10, day=saturday), another_day=True)
    assert shop.lead(lead.id).brief.event.date == saturday


def test_the_next_free_times_are_of_that_day_or_of_the_next_ones(shop: BuiltShop) -> None:
    first, second = shop.quoted(a_brief()), shop.quoted(a_wall())
    hold(shop, first, at(9))

    def after(lead: Lead) -> list[datetime]:
        with shop.ports.read() as work:
            quote = work.quotes.latest(lead.id, sent=True)
            assert quote is not None
            current = shop.price_books.current()
            found = booking.next_free(work, lead, quote, current, after=SUNDAY, now=shop.now)
        return [window.starts_at.astimezone(BOSTON) for window in found]

    assert {moment.date() for moment in after(second)} == {SUNDAY}
    others = after(shop.quoted(a_brief()))
    assert others[0] == at(6, day=SUNDAY + timedelta(6))
    assert {moment.weekday() for moment in others} == {5, 6}
    assert len(others) == 6


def test_a_new_price_leaves_the_date_as_it_is(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    kept = hold(shop, lead, at(9))
    shop.send_firm(lead, Decimal(500), reason="stairs")
    after = kept_by(shop, lead)
    assert after is not None
    assert replace(after, quote_id=kept.quote_id) == kept
    assert after.quote_id != kept.quote_id


def grown(shop: BuiltShop, lead: Lead, brief: Brief) -> Hold | None:
    """What is kept once the lead's quote is for another brief."""
    with shop.ports.work() as work:
        locked = work.leads.get(lead.id, lock=True)
        before = work.quotes.latest(lead.id)
        assert before is not None
        quote = work.quotes.add(
            replace(
                before,
                id=shop.ports.new_id(),
                number="",
                brief=brief,
                estimate=shop.estimate(brief),
                sent_at=shop.now,
            )
        )
        kept = booking.refit(work, shop.ports, locked, quote, who="owner", now=shop.now)
        work.commit()
    return kept


def test_a_larger_garland_is_kept_more_time_at_the_same_start(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_wall()), shop.quoted(a_wall())
    before = hold(shop, lead, at(9))
    assert time(11) in starts(shop, other)
    after = grown(shop, lead, replace(a_wall(), pieces=(replace(WALL, count=2),)))
    assert after is not None
    assert after.window.starts_at == before.window.starts_at
    assert after.window.ends_at > before.window.ends_at
    assert after.revision == 1
    assert time(11) not in starts(shop, other)


def test_a_garland_that_outgrows_its_time_is_refused_and_all_stays(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_wall()), shop.quoted(a_wall())
    before = hold(shop, lead, at(9))
    hold(shop, other, at(11))
    framed = replace(a_wall(), pieces=(a_piece(),))
    for brief, because in (
        (replace(a_wall(), pieces=(replace(WALL, count=3),)), "Another job takes that time"),
        (replace(a_wall(), event=Event(date=SUNDAY, start_time=time(10))), "The hours of that day"),
    ):
        with pytest.raises(NoLongerFits, match=because):
            grown(shop, lead, brief)
    assert kept_by(shop, lead) == before
    give_back(shop, other)
    third = shop.quoted(a_brief())
    hold(shop, third, at(13))
    with pytest.raises(NoLongerFits, match=f"The {FRAME} is out"):
        grown(shop, lead, framed)


def test_the_venues_hours_narrow_what_is_offered(shop: BuiltShop) -> None:
    lead = shop.quoted(a_wall())
    with shop.ports.work() as work:
        let_in = Hours(access_from=time(10), access_until=time(12, 15))
        known_hours.take_in(work, lead.id, let_in, now=shop.now)
        work.commit()
    found = starts(shop, shop.lead(lead.id))
    assert (found[0], found[-1]) == (time(10), time(11))
    # Taking down waits for the venue as well: its hours of the next day.
    assert hold(shop, lead, at(10)).stay.strikes_at == at(10, day=SUNDAY + timedelta(1))


def closing(first: date, **details: Any) -> ClosedTime:
    last = details.pop("last", first)
    now = datetime(2027, 1, 10, 17, tzinfo=UTC)
    return ClosedTime(id="", first=first, last=last, made_at=now, **details)


def close(shop: BuiltShop, closed: ClosedTime) -> tuple[ClosedTime, list[Hold]]:
    with shop.ports.work() as work:
        stands, kept = days_off.close(work, shop.ports, replace(closed, id=shop.ports.new_id()))
        work.commit()
    return stands, list(kept)


def test_days_off_are_not_offered_and_name_what_is_kept_there(shop: BuiltShop) -> None:
    lead, other = shop.quoted(a_wall()), shop.quoted(a_wall())
    kept = hold(shop, lead, at(9))
    stands, there = close(shop, closing(SUNDAY - timedelta(1), last=SUNDAY, note="away"))
    assert there == [kept]
    assert starts(shop, other) == []
    found = why(shop, other)
    assert found is not None
    assert found.why is Why.CLOSED
    # Closing them twice closes them once; opened again, they are open.
    assert close(shop, closing(SUNDAY - timedelta(1), last=SUNDAY, note="away"))[0] == stands
    with shop.ports.work() as work:
        work.closed.remove(stands.id)
        work.commit()
    assert starts(shop, other)
    with shop.ports.work() as work, pytest.raises(NotFound):
        work.closed.remove(stands.id)


@pytest.mark.parametrize(
    ("closed", "field"),
    [
        (closing(SUNDAY, last=SUNDAY - timedelta(1)), "last"),
        (closing(date(2026, 12, 24)), "last"),
        (closing(SUNDAY, last=SUNDAY + timedelta(400)), "last"),
        (closing(SUNDAY, since=time(9)), "until"),
        (closing(SUNDAY, until=time(9)), "since"),
        (closing(SUNDAY, since=time(12), until=time(9)), "until"),
        (closing(SUNDAY, since=time(9, tzinfo=UTC), until=time(12)), "since"),
        (closing(SUNDAY, note="x" * 201), "note"),
    ],
)
def test_times_that_make_no_sense_cannot_be_closed(
    closed: ClosedTime, field: str, shop: BuiltShop
) -> None:
    with pytest.raises(ClosingRefused) as refused:
        close(shop, closed)
    assert refused.value.field == field
