"""Column types that keep money exact and times aware on every database."""

from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import ColumnElement, DateTime, Dialect, Integer, Numeric, String, cast, func
from sqlalchemy.types import TypeDecorator, TypeEngine

_CENT = Decimal("0.01")


class Money(TypeDecorator[Decimal]):
    """A Decimal with two places. SQLite has no exact decimal type, so text keeps it there."""

    impl = String(20)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        if dialect.name == "sqlite":
            return dialect.type_descriptor(String(20))
        return dialect.type_descriptor(Numeric(14, 2))

    def process_bind_param(self, value: Decimal | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        cents = value.quantize(_CENT)
        if cents != value:
            raise ValueError(f"{value} has fractions of a cent; round it where its rule is known")
        return str(cents) if dialect.name == "sqlite" else cents

    def process_result_value(self, value: Any, dialect: Dialect) -> Decimal | None:
        return None if value is None else Decimal(value)


def in_cents(money: ColumnElement[Any], *, sqlite: bool) -> ColumnElement[int]:
    """An amount as SQL reckons with it."""
    if sqlite:
        # Money is text with two decimals there: without the point it counts cents.
        return cast(func.replace(cast(money, String), ".", ""), Integer)
    return cast(cast(money, Numeric(14, 2)) * 100, Integer)


class Plain(TypeDecorator[str]):
    """Text that is sorted and compared by its bytes, as SQLite does everywhere."""

    impl = String
    cache_ok = True

    def __init__(self, length: int) -> None:
        super().__init__(length)
        self._length = length

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        collation = "C" if dialect.name == "postgresql" else None
        return dialect.type_descriptor(String(self._length, collation=collation))


class Instant(TypeDecorator[datetime]):
    """An aware time, kept in UTC. Naive times are refused.

    SQLite forgets zones, so there it is whole microseconds since 1970: exact, and sorted
    as numbers are.
    """

    impl = DateTime(timezone=True)
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> TypeEngine[Any]:
        if dialect.name == "sqlite":
            return dialect.type_descriptor(Integer())
        return dialect.type_descriptor(DateTime(timezone=True))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> Any:
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError("a time without a zone cannot be stored")
        if dialect.name == "sqlite":
            return round(value.timestamp() * 1_000_000)
        return value.astimezone(UTC)

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        if dialect.name == "sqlite":
            return datetime.fromtimestamp(value / 1_000_000, tz=UTC)
        return value.astimezone(UTC)  # type: ignore[no-any-return]
