"""Every table can be taken out, on SQLite and PostgreSQL; nothing personal of who was erased."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import insert, update

from deploy.seeding import fill
from service.leads.exports import TABLES, Cell
from service.leads.lead import Change, Client, Lead, LeadState
from service.storage import tables as t
from service.storage.database import migrate, open_engine
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK
from tests.service.storage.conftest import NOON, Shop


def taken_out(shop: Shop, table: str) -> list[dict[str, Cell]]:
    with shop.read() as work:
        columns = work.exports.columns(table)
        return [dict(zip(columns, row, strict=True)) for row in work.exports.rows(table)]


def test_requests_and_what_belongs_to_them_come_by_their_numbers(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, second = a_lead(), a_lead()
    with shop.work() as work:
        work.leads.save(
            replace(
                first,
                state=LeadState.LAPSED,
                client=Client(name="=Nora", phone="+1 617 555 0110"),
                merged_into=second.id,
            )
        )
        work.leads.note(second.id, Change(at=NOON, who="owner", what="looked", detail={"a": "é"}))
        work.commit()
    lapsed, other = taken_out(shop, "leads")
    assert (lapsed["number"], lapsed["merged_into"]) == (first.number, second.number)
    assert (lapsed["name"], lapsed["phone"]) == ("=Nora", "+1 617 555 0110")
    assert (other["state"], other["asked_at"], other["merged_into"]) == ("new", NOON, None)
    assert taken_out(shop, "history") == [
        {
            "number": second.number,
            "at": NOON,
            "who": "owner",
            "what": "looked",
            "detail": '{"a": "é"}',
        }
    ]


def test_a_client_stands_once_and_one_who_was_erased_not_at_all(
    shop: Shop, a_lead: Callable[[], Lead]
) -> None:
    first, _second, erased = a_lead(), a_lead(), a_lead()
    with shop.engine.begin() as connection:
        connection.execute(
            update(t.leads).where(t.leads.c.id == erased.id).values(erased_at=NOON, client={})
        )
    (person,) = taken_out(shop, "clients")
    assert (person["name"], person["requests"]) == (first.client.name, 2)
    assert person["first_asked_at"] == NOON
    assert taken_out(shop, "leads")[2]["name"] is None


def test_stock_that_belongs_to_no_request_is_there_too(shop: Shop) -> None:
    with shop.engine.begin() as connection:
        row = {"size_class": 11, "colour": "sage", "count": -5, "why": "used", "at": NOON}
        connection.execute(insert(t.stock_moves).values(**row, who="owner"))
    (move,) = taken_out(shop, "stock")
    assert (move["number"], move["colour"], move["count"]) == (None, "sage", -5)


@pytest.mark.parametrize("table", TABLES)
def test_every_table_of_a_busy_shop_can_be_read(table: str, seeded: Shop) -> None:
    rows = taken_out(seeded, table)
    if table in ("quotes", "payments"):
        assert all(isinstance(row.get("amount", row.get("likely")), Decimal) for row in rows)
        assert all(row["currency"] == "USD" for row in rows)
    if table in ("leads", "quotes", "payments", "bookings", "history", "clients"):
        assert len(rows) > 20


@pytest.fixture(scope="module")
def seeded(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    engine = open_engine(f"sqlite:///{tmp_path_factory.mktemp('busy') / 'shop.sqlite'}")
    migrate(engine)
    book = read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), PRICE_BOOK.name)
    fill(engine, book, leads=300, now=NOON - timedelta(hours=1))
    return Shop(engine)
