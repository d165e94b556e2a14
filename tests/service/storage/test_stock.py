"""Moves of balloons, on SQLite and PostgreSQL."""

import threading
from collections.abc import Callable
from dataclasses import replace

from service.estimating.book import Holding
from service.leads import stocking
from service.leads.lead import Lead, LeadState
from service.leads.stock import Move, OnHand, Reserved, Why
from service.storage.price_book import read_price_book
from service.storage.stock import newest_move, stock_on_hand
from tests.service.building import PRICE_BOOK
from tests.service.storage.conftest import NOON, Shop


def a_move(
    count: int, why: Why = Why.COUNTED, lead: Lead | None = None, colour: str = "navy"
) -> Move:
    return Move(
        size_class=11,
        colour="navy",
        count=count,
        why=why,
        at=NOON,
        who="owner",
        lead_id=lead.id if lead else None,
    )


def store(shop: Shop, *moves: Move) -> None:
    with shop.work() as work:
        work.stock.add(moves)
        work.commit()


def become(shop: Shop, lead: Lead, state: LeadState) -> None:
    with shop.work() as work:
        work.leads.save(replace(lead, state=state))
        work.commit()


def test_nothing_is_on_hand_until_something_was_counted(shop: Shop) -> None:
    with shop.engine.connect() as connection:
        assert stock_on_hand(connection) is None
        assert newest_move(connection) == 0
    store(shop, a_move(0))
    with shop.engine.connect() as connection:
        assert stock_on_hand(connection) == ()
        assert newest_move(connection) > 0


def test_promises_are_reserved_while_a_job_is_booked_and_used_up_when_it_is_done(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    store(shop, a_move(40), a_move(-30, Why.BOOKED, lead), a_move(4, Why.RETURNED, lead))
    expected = {
        LeadState.HELD: (14, 0, []),
        LeadState.BOOKED: (14, 26, [("navy", 26)]),
        LeadState.DONE: (14, 0, []),
    }
    for state, (free, reserved, promised) in expected.items():
        become(shop, lead, state)
        with shop.read() as work:
            assert work.stock.on_hand() == [
                OnHand(size_class=11, colour="navy", free=free, reserved=reserved)
            ]
            assert [(each.colour, each.count) for each in work.stock.reserved()] == promised
            assert work.stock.of_lead(lead.id) == {(11, "navy"): 26}
    with shop.engine.connect() as connection:
        assert stock_on_hand(connection) == (Holding(size_class=11, colour="navy", count=14),)


def test_what_was_all_given_back_is_promised_to_nobody(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    lead = a_lead()
    become(shop, lead, LeadState.BOOKED)
    store(shop, a_move(-9, Why.BOOKED, lead), a_move(9, Why.RETURNED, lead))
    with shop.read() as work:
        assert work.stock.reserved() == []
        assert work.stock.of_lead(lead.id) == {}


def test_what_was_promised_beyond_the_shelf_is_short_and_not_in_the_book(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, second = a_lead(), a_lead()
    for lead in (first, second):
        become(shop, lead, LeadState.BOOKED)
        store(shop, a_move(-8, Why.BOOKED, lead))
    store(shop, a_move(12))
    with shop.read() as work:
        (each,) = work.stock.on_hand()
        assert (each.free, each.reserved, each.on_shelf, each.short) == (-4, 16, 12, 4)
        assert work.stock.reserved() == [
            Reserved(lead_id=lead.id, size_class=11, colour="navy", count=8)
            for lead in (first, second)
        ]
    with shop.engine.connect() as connection:
        assert stock_on_hand(connection) == ()


def test_moves_run_newest_first_and_go_on_where_they_ended(shop: Shop) -> None:
    store(shop, *(a_move(number) for number in range(1, 6)))
    with shop.read() as work:
        first = work.stock.moves(before=None, limit=2)
        rest = work.stock.moves(before=first[-1].id, limit=9)
        assert work.stock.newest() == first[0].id
    assert [move.count for move in first + rest] == [5, 4, 3, 2, 1]
    assert rest[-1] == replace(a_move(1), id=rest[-1].id)


def test_shops_that_start_together_take_the_first_count_over_once(shop: Shop) -> None:
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book.yaml")

    def start() -> None:
        with shop.work() as work:
            stocking.take_over(work.stock, book, now=NOON)
            work.commit()

    at_once(start, start, start)
    with shop.engine.connect() as connection:
        held = stock_on_hand(connection)
    assert held is not None
    assert {(h.size_class, h.colour): h.count for h in held} == dict(book.stock_of)


def test_counts_at_the_same_time_do_not_add_up(shop: Shop) -> None:
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book.yaml")
    store(shop, a_move(5))

    def count() -> None:
        with shop.work() as work:
            stocking.count(work, book, {(11, "navy"): 30}, who="owner", now=NOON)
            work.commit()

    at_once(count, count)
    with shop.read() as work:
        (each,) = work.stock.on_hand()
    assert each.free == 30


def at_once(*tasks: Callable[[], None]) -> None:
    threads = [threading.Thread(target=task) for task in tasks]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
