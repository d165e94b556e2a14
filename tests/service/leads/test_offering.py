"""What clients are offered, and what the owner may take beyond it: notice, making, the end."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path

import pytest

from service.estimating import Brief, Event, Setting, Site
from service.leads import agenda, booking, known_hours, offering
from service.leads.known_hours import Hours
from service.leads.lead import Hold, Lead, Quote, Window, WindowTaken
from service.leads.offering import Broken, OwnersWindow, Why
from tests.service.building import BuiltShop, a_brief, build_shop
from tests.service.leads.keeping_dates import BOSTON, NORA, SUNDAY, a_wall, at, hold_of

TUESDAY = date(2027, 1, 12)
TODAY = date(2027, 1, 10)
LAWN = Site(setting=Setting.OUTDOOR, postal_code="02472")


@pytest.fixture
def shop(tmp_path: Path) -> BuiltShop:
    return build_shop(tmp_path)


def quote_of(shop: BuiltShop, lead: Lead) -> Quote:
    with shop.ports.read() as work:
        quote = work.quotes.latest(lead.id, sent=True)
    assert quote is not None
    return quote


def offered(shop: BuiltShop, lead: Lead, day: date) -> list[Window]:
    quote, book = quote_of(shop, lead), shop.price_books.current()
    with shop.ports.read() as work:
        return booking.offered(work, lead, quote, book, day=day, now=shop.now)


def open_to_owner(shop: BuiltShop, lead: Lead, day: date) -> list[OwnersWindow]:
    quote, book = quote_of(shop, lead), shop.price_books.current()
    with shop.ports.read() as work:
        return offering.open_to_owner(work, lead, quote, book, day=day, now=shop.now)


def why(shop: BuiltShop, lead: Lead, day: date) -> Why | None:
    quote, book = quote_of(shop, lead), shop.price_books.current()
    with shop.ports.read() as work:
        none = offering.why_none(work, lead, quote, book, day=day, now=shop.now)
    return none.why if none else None


def hold(shop: BuiltShop, lead: Lead, starts_at: datetime, *, who: str = "client") -> Hold:
    with shop.ports.work() as work:
        kept = booking.place_hold(
            work, shop.ports, lead.id, starts_at=starts_at, client=NORA, who=who, now=shop.now
        )
        work.commit()
    return kept


def unmade(shop: BuiltShop, lead: Lead) -> timedelta:
    with shop.ports.read() as work:
        job = agenda.of_lead(work, shop.price_books.current(), shop.lead(lead.id), shop.now)
    assert job is not None
    return job.unmade


def firm(shop: BuiltShop, brief: Brief) -> Lead:
    lead = shop.quoted(brief)
    shop.send_firm(lead)
    return shop.lead(lead.id)


def outdoors(start: time = time(15)) -> Brief:
    return a_brief(site=LAWN, event=Event(date=SUNDAY, start_time=start))


def test_a_firm_price_opens_its_day_whatever_notice_the_shop_needs(shop: BuiltShop) -> None:
    lead = firm(shop, a_wall(TUESDAY, time(11)))
    free = offered(shop, lead, TUESDAY)
    assert free
    kept = hold(shop, lead, free[0].starts_at)
    assert unmade(shop, lead) == timedelta(0)
    # The evening two days on would be after the event.
    assert kept.expires_at == free[0].starts_at
    # Another day of the same price is as far ahead as for anybody.
    other = firm(shop, a_wall(date(2027, 1, 13), time(11)))
    assert why(shop, other, TODAY + timedelta(1)) is Why.NOTICE


def test_what_is_for_today_has_to_be_made_and_driven_first(shop: BuiltShop) -> None:
    lead = firm(shop, a_wall(TODAY, time(20)))
    free = offered(shop, lead, TODAY)
    plan = quote_of(shop, lead).estimate.plan
    assert free
    assert free[0].starts_at >= shop.now + timedelta(hours=plan.bench_h)
    assert free[0].starts_at < shop.now + timedelta(hours=plan.bench_h + 2)
    hold(shop, lead, free[0].starts_at)
    assert unmade(shop, lead) == timedelta(0)


def test_the_owner_may_hold_what_is_sooner_than_the_notice(shop: BuiltShop) -> None:
    shop.now = datetime(2027, 5, 26, 9, tzinfo=BOSTON)
    lead = shop.quoted(a_wall())
    shop.now += timedelta(days=10)
    assert (offered(shop, lead, SUNDAY), why(shop, lead, SUNDAY)) == ([], Why.NOTICE)
    open_ = open_to_owner(shop, lead, SUNDAY)
    assert {each.broken for each in open_} == {(Broken.NOTICE,)}
    with pytest.raises(WindowTaken):
        hold(shop, lead, open_[0].window.starts_at)
    kept = hold(shop, lead, open_[0].window.starts_at, who="owner")
    assert kept.window == open_[0].window


def test_outdoors_only_times_are_offered_for_which_all_can_be_made(shop: BuiltShop) -> None:
    lead = firm(shop, outdoors())
    free, open_ = offered(shop, lead, SUNDAY), open_to_owner(shop, lead, SUNDAY)
    early = [each.window for each in open_ if Broken.MAKING in each.broken]
    assert early
    assert free == [each.window for each in open_ if not each.broken]
    with pytest.raises(WindowTaken):
        hold(shop, lead, early[-1].starts_at)
    hold(shop, lead, free[0].starts_at)
    assert unmade(shop, lead) == timedelta(0)
    # What the calendar says of the last of those that are left out.
    hold(shop, lead, early[-1].starts_at, who="owner")
    assert unmade(shop, lead) > timedelta(0)


def test_where_making_fits_before_none_of_the_times_that_is_why(shop: BuiltShop) -> None:
    lead = firm(shop, outdoors(time(9, 30)))
    assert offered(shop, lead, SUNDAY) == []
    assert why(shop, lead, SUNDAY) is Why.MAKING
    assert open_to_owner(shop, lead, SUNDAY)


def test_of_the_next_free_times_outdoors_the_latest_come(shop: BuiltShop) -> None:
    lead = firm(shop, outdoors())
    book = shop.price_books.current()
    with shop.ports.read() as work:
        found = booking.next_free(
            work, lead, quote_of(shop, lead), book, after=SUNDAY, now=shop.now, most=2
        )
    assert found == offered(shop, lead, SUNDAY)[-2:]


def test_taking_down_follows_the_end_that_the_client_names_later(shop: BuiltShop) -> None:
    lead = shop.quoted(a_brief())
    first = hold(shop, lead, at(9))
    assert first.stay.strikes_at == at(19)
    ends = Hours(event_ends=time(17, 30))
    with shop.ports.work() as work:
        assert known_hours.take_in(work, lead.id, ends, now=shop.now)
        assert not known_hours.take_in(work, lead.id, ends, now=shop.now)
        again = booking.place_hold(
            work, shop.ports, lead.id, starts_at=at(9), client=NORA, afresh=True, now=shop.now
        )
        work.commit()
    assert (again.window, again.expires_at) == (first.window, first.expires_at)
    assert hold_of(shop, lead).stay.strikes_at == at(17, 30)
    assert shop.lead(lead.id).brief == replace(
        lead.brief, event=replace(lead.brief.event, end_time=time(17, 30))
    )
