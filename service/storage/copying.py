"""A shop's whole data from one database to another, SQLite and PostgreSQL alike."""

import hashlib
import sqlite3
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import psycopg
from sqlalchemy import Connection, Engine, Table, func, insert, select, text
from sqlalchemy.exc import DBAPIError

from service.storage.tables import metadata

# What a database says of a value that it does not take.
_MISFITS = (
    *(psycopg.DataError, psycopg.IntegrityError),
    *(sqlite3.DataError, sqlite3.IntegrityError),
)

_AT_ONCE = 1_000
_DIGEST_BYTES = 16

_LIMITS = ("idle_in_transaction_session_timeout", "statement_timeout", "lock_timeout")

_OTHERS = text(
    "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
    " AND pid <> pg_backend_pid() AND backend_type = 'client backend'"
)


class CannotCopy(Exception):
    """The data did not get over; the target is as it was. The text says why, in words."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Copied:
    """A table that got over: how many rows, and a digest of what they say in whatever order."""

    table: str
    rows: int
    digest: str


def copy_all(
    source: Engine,
    target: Engine,
    *,
    replace: bool = False,
    before_commit: Callable[[], None] = lambda: None,
) -> tuple[Copied, ...]:
    """Copy every table as it stands at one moment into a database that has the same tables.

    What arrived is read again and compared; the whole is one transaction of the target. With
    `replace` what is there goes first. Raises CannotCopy.
    """
    with snapshot_of(source) as reading, target.begin() as writing:
        _take_time(reading)
        _take_time(writing)
        _make_room(writing, replace=replace)
        copied = tuple(_copy(reading, writing, table) for table in metadata.sorted_tables)
        _count_on(writing)
        before_commit()
    return copied


def row_counts(engine: Engine) -> dict[str, int]:
    """Rows by table, all at one moment."""
    with snapshot_of(engine) as connection:
        return {table.name: _count(connection, table) for table in metadata.sorted_tables}


def others_connected(engine: Engine, *, but: int = 0) -> bool:
    """Whether somebody else has this PostgreSQL database open; `but` are connections of our own."""
    with engine.connect() as connection:
        return (connection.scalar(_OTHERS) or 0) > but


@contextmanager
def snapshot_of(engine: Engine) -> Iterator[Connection]:
    """A connection that sees the data as they are when it first looks, whatever others write."""
    options: dict[str, Any] = {"reading": True}
    if engine.dialect.name == "postgresql":
        options |= {"isolation_level": "REPEATABLE READ", "postgresql_readonly": True}
    with engine.connect().execution_options(**options) as connection, connection.begin():
        yield connection


def _take_time(connection: Connection) -> None:
    """Each waits for the other here, longer than any request of the shop's would."""
    if connection.dialect.name == "postgresql":
        for limit in _LIMITS:
            connection.exec_driver_sql(f"SET LOCAL {limit} = 0")


def _make_room(target: Connection, *, replace: bool) -> None:
    full = [table.name for table in metadata.sorted_tables if _any(target, table)]
    if full and not replace:
        raise CannotCopy(f"There are data already, in {', '.join(full[:4])}.")
    for table in reversed(metadata.sorted_tables) if full else ():
        target.execute(table.delete())


def _any(connection: Connection, table: Table) -> bool:
    return connection.execute(select(1).select_from(table).limit(1)).first() is not None


def _count(connection: Connection, table: Table) -> int:
    return connection.scalar(select(func.count()).select_from(table)) or 0


def _copy(source: Connection, target: Connection, table: Table) -> Copied:
    sent = _Tally()
    write = _by_copy if target.dialect.name == "postgresql" else _by_insert
    try:
        write(target, table, sent.watch(_batches(source, table)))
    except DBAPIError as error:
        # The database's own words may hold a row; its class does not.
        raise CannotCopy(_trouble(error, table)) from None
    arrived = _Tally()
    for _ in arrived.watch(_batches(target, table)):
        pass
    if (sent.rows, sent.digest) != (arrived.rows, arrived.digest):
        raise CannotCopy(f"What arrived in {table.name} is not what was sent.")
    return Copied(table=table.name, rows=sent.rows, digest=sent.digest)


def _trouble(error: DBAPIError, table: Table) -> str:
    kind = type(error.orig).__name__
    if isinstance(error.orig, _MISFITS):
        return f"A row of {table.name} does not fit there ({kind})."
    return f"A database gave up at {table.name} ({kind})."


def _batches(connection: Connection, table: Table) -> Iterator[Sequence[Sequence[Any]]]:
    with connection.execute(select(table), execution_options={"yield_per": _AT_ONCE}) as found:
        yield from found.partitions()


class _Tally:
    """Counts rows and adds up their digests, so that their order does not matter."""

    def __init__(self) -> None:
        self.rows = 0
        self._sum = 0

    @property
    def digest(self) -> str:
        return f"{self._sum % (1 << 8 * _DIGEST_BYTES):0{2 * _DIGEST_BYTES}x}"

    def watch(
        self, batches: Iterable[Sequence[Sequence[Any]]]
    ) -> Iterator[Sequence[Sequence[Any]]]:
        for batch in batches:
            for row in batch:
                told = repr(tuple(row)).encode("utf-8", "surrogatepass")
                hashed = hashlib.blake2b(told, digest_size=_DIGEST_BYTES).digest()
                self._sum += int.from_bytes(hashed, "big")
            self.rows += len(batch)
            yield batch


def _by_insert(target: Connection, table: Table, batches: Iterable[Sequence[Any]]) -> None:
    names = [column.name for column in table.columns]
    for batch in batches:
        target.execute(insert(table), [dict(zip(names, row, strict=True)) for row in batch])


def _by_copy(target: Connection, table: Table, batches: Iterable[Sequence[Any]]) -> None:
    """PostgreSQL's own way in, several times as fast as inserting."""
    cursor: Any = target.connection.cursor()
    write = _bound(target, table)
    names = ", ".join(f'"{column.name}"' for column in table.columns)
    try:
        with cursor.copy(f'COPY "{table.name}" ({names}) FROM STDIN') as copy:
            for batch in batches:
                for row in batch:
                    copy.write_row([each(value) for each, value in zip(write, row, strict=True)])
    except target.dialect.loaded_dbapi.Error as error:
        raise DBAPIError(None, None, error) from error
    finally:
        cursor.close()


def _bound(target: Connection, table: Table) -> list[Callable[[Any], Any]]:
    """What makes of each column's value the one that the driver is given."""
    found: list[Callable[[Any], Any]] = []
    for column in table.columns:
        processor = column.type.dialect_impl(target.dialect).bind_processor(target.dialect)
        found.append(processor or (lambda value: value))
    return found


def _count_on(target: Connection) -> None:
    """Rows came with numbers of their own; the next one's must be higher."""
    if target.dialect.name != "postgresql":
        return
    for table in metadata.sorted_tables:
        column = table.autoincrement_column
        if column is not None:
            newest = target.scalar(select(func.max(column)))
            sequence = func.pg_get_serial_sequence(table.name, column.name)
            target.scalar(select(func.setval(sequence, newest or 1, newest is not None)))


def in_words(copied: Iterable[Copied]) -> str:
    """A line for each table that has rows."""
    return "\n".join(f"  {each.table:20} {each.rows:>10,}" for each in copied if each.rows)
