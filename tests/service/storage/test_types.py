"""Money stays exact and times stay aware, on SQLite and PostgreSQL."""

from datetime import UTC, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from sqlalchemy import Column, Engine, Integer, MetaData, Table, insert, select
from sqlalchemy.exc import StatementError

from service.storage.types import Instant, Money

ledger = Table(
    "ledger",
    MetaData(),
    Column("id", Integer, primary_key=True),
    Column("amount", Money),
    Column("at", Instant),
)


@pytest.fixture
def table(engine: Engine) -> Engine:
    ledger.create(engine)
    return engine


def test_money_comes_back_exactly_with_its_cents(table: Engine) -> None:
    amounts = [Decimal("0.10"), Decimal("0.20"), Decimal("999999999999.99"), Decimal("380")]
    with table.begin() as connection:
        connection.execute(insert(ledger), [{"amount": amount} for amount in amounts])
        found = connection.execute(select(ledger.c.amount).order_by(ledger.c.id)).scalars().all()
    assert found == amounts
    assert sum(found[:2]) == Decimal("0.30")
    assert str(found[3]) == "380.00"


def test_fractions_of_a_cent_are_refused(table: Engine) -> None:
    with table.begin() as connection, pytest.raises(StatementError, match="fractions of a cent"):
        connection.execute(insert(ledger).values(amount=Decimal("0.005")))


def test_a_time_is_the_same_moment_afterwards_and_aware(table: Engine) -> None:
    boston = timezone(timedelta(hours=-4))
    moment = datetime(2027, 6, 6, 15, 0, 0, 123456, tzinfo=boston)
    with table.begin() as connection:
        connection.execute(insert(ledger).values(at=moment))
        found = connection.execute(select(ledger.c.at)).scalar_one()
    assert found == moment
    assert found.tzinfo is UTC


def test_a_time_without_a_zone_is_refused(table: Engine) -> None:
    naive = datetime(2027, 6, 6, 15, 0)  # noqa: DTZ001 - that is the point
    with table.begin() as connection, pytest.raises(StatementError, match="without a zone"):
        connection.execute(insert(ledger).values(at=naive))
