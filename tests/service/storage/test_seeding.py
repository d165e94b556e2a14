"""A shop that was filled with copies: each is a request of its own, on SQLite and PostgreSQL."""

import pytest
from sqlalchemy import func, inspect, select

from deploy import made_up, seeding
from service.leads.finding import Wanted, words_of
from service.storage import tables as t
from service.storage.leads import number_of
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK
from tests.service.storage.conftest import NOON, Shop

LEADS, MADE_UP = 320, 50


@pytest.fixture
def filled(shop: Shop, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setattr(made_up, "_MADE_UP", MADE_UP)
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    seeding.fill(shop.engine, book, leads=LEADS, now=NOON)
    return shop


def found_by(shop: Shop, typed: str) -> list[str]:
    with shop.read() as work:
        found = work.listing.find(Wanted(words=words_of(typed)), after=None, limit=50)
    return [row.lead.number for row in found.rows]


def test_each_copy_is_a_request_of_its_own(filled: Shop) -> None:
    # One shop is filled for all three: that takes longer than everything that is asked of it.
    there_are_as_many_as_asked_for(filled)
    a_copy_is_found_by_what_it_alone_has(filled, 6 * 20 - 3)
    the_indices_are_there_again(filled)


def there_are_as_many_as_asked_for(filled: Shop) -> None:
    with filled.engine.connect() as connection:
        seqs = connection.scalars(select(t.leads.c.seq).order_by(t.leads.c.seq)).all()
        assert list(seqs) == list(range(1, LEADS + 1))
        times = connection.scalars(select(t.leads.c.created_at).order_by(t.leads.c.seq)).all()
        assert list(times) == sorted(set(times))
        quotes = connection.scalar(select(func.count()).select_from(t.quotes))
        waiting = connection.scalar(select(func.count()).where(t.leads.c.state == "new"))
        assert quotes == LEADS - (waiting or 0)


def a_copy_is_found_by_what_it_alone_has(filled: Shop, copy: int) -> None:
    number = number_of(copy)
    assert found_by(filled, number) == [number]
    assert found_by(filled, f"617 200 {copy:04}") == [number]
    with filled.read() as work:
        (row,) = work.listing.find(Wanted(words=words_of(number)), after=None, limit=2).rows
    email = row.lead.client.email or ""
    assert email.endswith(f"{copy}@mail.example")
    assert found_by(filled, email.split("@")[0].split(".")[1]) == [number]
    assert row.price is not None
    assert row.price.number == f"{number}-1"


def the_indices_are_there_again(filled: Shop) -> None:
    known = inspect(filled.engine)
    for table in (t.leads, t.lead_terms, t.quotes, t.holds, t.payments, t.lead_changes):
        kept = {index["name"] for index in known.get_indexes(table.name)}
        assert {index.name for index in table.indexes} <= kept
