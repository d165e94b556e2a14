"""Balloons for booked jobs, counting, buying; and the price book's stock made of it."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from service.estimating import ColourShare, Estimate, StockLine
from service.estimating.book import Holding
from service.leads import booking, handling, stocking
from service.leads.lead import Client, Lead, LeadState, StaleDecision
from service.leads.ports import UnitOfWork
from service.leads.stock import Key, OnHand, Why
from service.leads.stocking import StockRefused
from tests.service.building import NOON, BuiltShop, a_brief, build_shop

NAVY, WHITE = (10, "navy"), (10, "white")


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[BuiltShop]:
    built = build_shop(tmp_path)
    yield built
    built.engine.dispose()


@pytest.fixture
def work(shop: BuiltShop) -> Iterator[UnitOfWork]:
    with shop.ports.work() as work:
        yield work


def a_job(shop: BuiltShop, work: UnitOfWork) -> Lead:
    """A booked job; within the transaction, which the test never commits."""
    brief = a_brief(palette=tuple(ColourShare(colour=name) for name in ("navy", "white")))
    taken = handling.take_lead(
        work,
        lead_id=shop.ports.new_id(),
        client=Client(),
        brief=brief,
        channel="form",
        chat_id=None,
        language="en",
        now=NOON,
    )
    lead = replace(taken, state=LeadState.BOOKED)
    work.leads.save(lead)
    return lead


def taking(estimate: Estimate, **counts: int) -> Estimate:
    """The estimate as if it took so many 10-inch balloons of these colours from stock."""
    lines = tuple(StockLine(size_class=10, colour=name, count=n) for name, n in counts.items())
    return replace(estimate, shopping=replace(estimate.shopping, from_stock=lines))


def there(work: UnitOfWork, shop: BuiltShop, key: Key) -> OnHand:
    book = shop.price_books.current()
    return next(e for e in stocking.on_hand(work, book) if (e.size_class, e.colour) == key)


def test_the_first_count_is_the_price_book_s_and_is_taken_over_once(
    shop: BuiltShop, work: UnitOfWork
) -> None:
    book = shop.price_books.current()
    held = {(e.size_class, e.colour): e.free for e in work.stock.on_hand()}
    assert held == dict(book.stock_of)
    assert {move.who for move in work.stock.moves(before=None, limit=50)} == {stocking.BY_BOOK}
    assert not stocking.take_over(work.stock, book, now=NOON)


def test_booking_takes_out_what_the_estimate_takes_from_stock_and_twice_is_once(
    shop: BuiltShop, work: UnitOfWork
) -> None:
    lead = a_job(shop, work)
    answer = shop.estimate(lead.brief)
    assert answer.shopping.from_stock, "the demo shop has some navy and white"
    for _ in range(2):
        assert stocking.take_out(work, lead, answer, who="owner", now=NOON) == ()
    expected = {(e.size_class, e.colour): e.count for e in answer.shopping.from_stock}
    assert work.stock.of_lead(lead.id) == expected
    (told,) = [c for c in work.leads.history(lead.id) if c.what == "took balloons from stock"]
    assert told.detail == {
        "balloons": [stocking.said(n, size, name) for (size, name), n in sorted(expected.items())]
    }


def test_another_estimate_makes_good_the_difference(shop: BuiltShop, work: UnitOfWork) -> None:
    lead = a_job(shop, work)
    answer = shop.estimate(lead.brief)
    stocking.take_out(work, lead, taking(answer, navy=5, white=9), who="owner", now=NOON)
    without_white = shop.estimate(a_brief(palette=(ColourShare(colour="navy"),)))
    stocking.take_out(work, lead, taking(without_white, navy=7), who="owner", now=NOON)
    assert work.stock.of_lead(lead.id) == {NAVY: 7}
    assert there(work, shop, WHITE).reserved == 0


def test_what_a_job_has_it_keeps_as_long_as_it_needs_it(shop: BuiltShop, work: UnitOfWork) -> None:
    # A new price is worked out by what is free then: what the job has is not among it.
    lead = a_job(shop, work)
    answer = shop.estimate(lead.brief)
    needed = next(s.taken for s in answer.spares if (s.size_class, s.colour) == WHITE)
    stocking.take_out(work, lead, taking(answer, white=9), who="owner", now=NOON)
    stocking.set_aside(work, lead, {WHITE: needed, NAVY: 3}, who="owner", now=NOON)
    for _ in range(2):
        stocking.take_out(work, lead, taking(answer), who="owner", now=NOON)
    assert work.stock.of_lead(lead.id) == {WHITE: needed, NAVY: 3}
    stocking.set_aside(work, lead, {NAVY: -2}, who="owner", now=NOON)
    assert work.stock.of_lead(lead.id) == {WHITE: needed, NAVY: 1}


def test_cancelling_gives_everything_back_once(shop: BuiltShop, work: UnitOfWork) -> None:
    lead, before = a_job(shop, work), work.stock.on_hand()
    stocking.take_out(work, lead, shop.estimate(lead.brief), who="owner", now=NOON)
    assert work.stock.on_hand() != before
    stocking.give_back(work, lead, who="owner", now=NOON)
    moves = work.stock.newest()
    stocking.give_back(work, lead, who="owner", now=NOON)
    assert work.stock.on_hand() == before
    assert work.stock.newest() == moves


def test_what_two_jobs_both_wanted_is_short_and_can_be_bought(
    shop: BuiltShop, work: UnitOfWork
) -> None:
    book = shop.price_books.current()
    first, second = a_job(shop, work), a_job(shop, work)
    wanted = taking(shop.estimate(first.brief), navy=12)
    assert stocking.take_out(work, first, wanted, who="owner", now=NOON) == ()
    (short,) = stocking.take_out(work, second, wanted, who="owner", now=NOON)
    assert work.leads.history(second.id)[-1].detail["short"] == ["short: 12 navy (10 in)"]
    assert (short.size_class, short.colour, short.short) == (10, "navy", 12)
    assert there(work, shop, NAVY).on_shelf == 12
    to_buy = stocking.to_buy(work.stock.on_hand(), book)
    assert to_buy is not None
    assert sum(line.packs * line.pack_size for line in to_buy.lines) >= 12
    assert {line.colour for line in to_buy.lines} == {"navy"}
    seen = work.stock.newest()
    stocking.bring_in(work, book, NAVY, 100, seen=seen, who="owner", now=NOON)
    assert stocking.to_buy(work.stock.on_hand(), book) is None
    assert there(work, shop, NAVY).free == 88


def test_a_count_is_of_the_shelf_with_what_is_promised_on_it(
    shop: BuiltShop, work: UnitOfWork
) -> None:
    lead, book = a_job(shop, work), shop.price_books.current()
    wanted = taking(shop.estimate(lead.brief), navy=10)
    stocking.take_out(work, lead, wanted, who="owner", now=NOON)
    counted = {NAVY: 11, (5, "gold"): 7}
    assert stocking.count(work, book, counted, who="owner", now=NOON) == 2
    assert stocking.count(work, book, counted, who="owner", now=NOON) == 0
    found = there(work, shop, NAVY)
    assert (found.on_shelf, found.reserved, found.free) == (11, 10, 1)


def test_what_is_written_down_twice_counts_once(shop: BuiltShop, work: UnitOfWork) -> None:
    book, seen = shop.price_books.current(), work.stock.newest()
    stocking.use_up(work, book, WHITE, 4, seen=seen, who="owner", now=NOON)
    with pytest.raises(StaleDecision):
        stocking.use_up(work, book, WHITE, 4, seen=seen, who="owner", now=NOON)
    assert there(work, shop, WHITE).free == 30
    assert work.stock.moves(before=None, limit=1)[0].why is Why.USED


@pytest.mark.parametrize(
    ("key", "number"),
    [((10, "navy"), 13), ((10, "navy"), 0), ((10, "plaid"), 1), ((7, "navy"), 1)],
)
def test_what_cannot_be_on_the_shelf_is_refused(
    shop: BuiltShop, work: UnitOfWork, key: Key, number: int
) -> None:
    book, seen = shop.price_books.current(), work.stock.newest()
    with pytest.raises(StockRefused):
        stocking.use_up(work, book, key, number, seen=seen, who="owner", now=NOON)
    assert work.stock.newest() == seen


def test_a_colour_by_another_name_is_the_same_balloons(shop: BuiltShop, work: UnitOfWork) -> None:
    book = shop.price_books.current()
    renamed = replace(
        book,
        colours=tuple(
            replace(c, name="midnight", aliases=(*c.aliases, "navy")) if c.name == "navy" else c
            for c in book.colours
        ),
    )
    stocking.count(work, renamed, {(10, "midnight"): 20}, who="owner", now=NOON)
    found = [e for e in stocking.on_hand(work, renamed) if e.colour == "midnight"]
    assert [(e.size_class, e.free) for e in found] == [(10, 20)]


def test_the_book_has_what_is_free_and_ignores_what_it_does_not_know(shop: BuiltShop) -> None:
    book = shop.price_books.current()
    held = (
        Holding(size_class=10, colour="navy", count=3),
        Holding(size_class=10, colour="plaid", count=9),
        Holding(size_class=7, colour="navy", count=9),
    )
    stocked = stocking.with_stock(book, held)
    assert dict(stocked.stock_of) == {NAVY: 3}
    assert stocked.version == book.version
    assert stocking.with_stock(book, None) is book
    assert stocking.with_stock(stocked, held) is stocked


def test_a_booked_date_takes_balloons_out_and_giving_it_back_returns_them(shop: BuiltShop) -> None:
    book, brief = shop.price_books.current(), a_brief(palette=(ColourShare(colour="navy"),))
    lead, before = shop.quoted(brief), dict(book.stock_of)
    with shop.ports.work() as work:
        quote = work.quotes.latest(lead.id, sent=True)
        assert quote is not None
        assert brief.event.date is not None
        offers = booking.offered(work, lead, quote, book, day=brief.event.date, now=shop.now)
        booking.place_hold(
            work,
            shop.ports,
            lead.id,
            starts_at=offers[0].starts_at,
            client=Client(name="Nora", email="nora@rowing.example"),
            now=shop.now,
        )
        work.commit()
    assert dict(shop.price_books.current().stock_of) == before
    with shop.ports.work() as work:
        held = work.leads.get(lead.id, lock=True)
        booking.book(work, shop.ports, held, paid=quote.deposit, who="owner", now=shop.now)
        work.commit()
    taken = {(e.size_class, e.colour): e.count for e in quote.estimate.shopping.from_stock}
    assert taken
    left = {key: count - taken.get(key, 0) for key, count in before.items()}
    assert dict(shop.price_books.current().stock_of) == {k: n for k, n in left.items() if n}
    with shop.ports.work() as work:
        booked = work.leads.get(lead.id, lock=True)
        booking.release(work, shop.ports, booked, now=shop.now)
        work.commit()
    assert dict(shop.price_books.current().stock_of) == before
