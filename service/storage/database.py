"""Engines: SQLite in WAL mode by default, PostgreSQL by its address."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from weakref import WeakKeyDictionary

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, Pool, create_engine, event, func, make_url, select

# Any number, as long as it is ours.
_MIGRATION_LOCK = 7_421_001

MIGRATIONS = Path(__file__).parent / "migrations"

# Writers on SQLite queue for the one write lock; this is how long they wait for it.
_BUSY_TIMEOUT_MS = 10_000

# So much (16 MB) is written ahead before somebody's commit has to bring it in: many of its pages
# are written again and again meanwhile, and it takes longer than the commit.
_PAGES_AHEAD = 4000

# Writers of one process go one after the other, by the pool that they share.
_turns: WeakKeyDictionary[Pool, threading.Lock] = WeakKeyDictionary()
_LONGEST_TURN_S = 60

_CONNECTIONS = 10

# A machine that is cut off, or dies, says no goodbye. What its transactions had locked is let go
# of within seconds, so that the others go on; and it notices by itself that nobody answers.
_PATIENCE = {
    "connect_timeout": "5",
    "keepalives_idle": "3",
    "keepalives_interval": "1",
    "keepalives_count": "3",
    "tcp_user_timeout": "6000",
    "options": "-c idle_in_transaction_session_timeout=6000"
    " -c tcp_keepalives_idle=3 -c tcp_keepalives_interval=1 -c tcp_keepalives_count=3"
    " -c tcp_user_timeout=6000",
}


def open_engine(url: str, *, connections: int = _CONNECTIONS) -> Engine:
    """An engine for SQLite or PostgreSQL (through psycopg) that keeps so many connections."""
    engine = _engine(url, connections)
    event.listen(engine, "begin", _forget_note)
    return engine


def _engine(url: str, connections: int) -> Engine:
    parsed = make_url(url)
    if parsed.get_backend_name() == "sqlite":
        engine = create_engine(
            parsed,
            connect_args={"timeout": _BUSY_TIMEOUT_MS / 1000},
            hide_parameters=True,
            pool_size=connections,
        )
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    return create_engine(
        parsed.set(drivername="postgresql+psycopg"),
        connect_args={**_PATIENCE, **parsed.query},
        pool_pre_ping=True,
        hide_parameters=True,
        pool_size=connections,
    )


def beside(engine: Engine) -> Engine:
    """An engine over the same database with a connection of its own.

    For what is read while the caller is in a transaction: it must not wait for the pool, in
    which everybody else may be waiting for the caller. It is disposed of with the other.
    """
    url = engine.url.set(drivername=engine.url.get_backend_name())
    side = open_engine(url.render_as_string(hide_password=False), connections=1)
    event.listen(engine, "engine_disposed", lambda _: side.dispose())
    return side


@contextmanager
def turn_to_write(engine: Engine) -> Iterator[None]:
    """On SQLite, wait for the others of this process that write; there is one write lock.

    Its own way of waiting is to try again and again, in no order, and to give up in the end;
    besides, whoever waits here has no connection yet that another might need.
    """
    if engine.dialect.name != "sqlite":
        yield
        return
    turn = _turns.setdefault(engine.pool, threading.Lock())
    if not turn.acquire(timeout=_LONGEST_TURN_S):
        raise TimeoutError("others were writing all the time")
    try:
        yield
    finally:
        turn.release()


def _prepare_sqlite(connection: Any, _record: object) -> None:
    # The driver must not start transactions by itself: `_begin_sqlite` does.
    connection.isolation_level = None
    for pragma in (
        "journal_mode=WAL",
        "synchronous=FULL",
        f"wal_autocheckpoint={_PAGES_AHEAD}",
        "foreign_keys=ON",
        # What is erased is overwritten, not only let go.
        "secure_delete=ON",
        f"busy_timeout={_BUSY_TIMEOUT_MS}",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    # A reader that later wants to write cannot always be upgraded, so writers say so at once.
    if options.get("reading", False):
        connection.exec_driver_sql("BEGIN")
        return
    synchronous = "NORMAL" if options.get("passing", False) else "FULL"
    if connection.info.get(_SYNCHRONOUS, "FULL") != synchronous:
        connection.exec_driver_sql(f"PRAGMA synchronous={synchronous}")
        connection.info[_SYNCHRONOUS] = synchronous
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def note_change_of_book(connection: Connection) -> None:
    """What is written here changes the price book, or its stock, once it is committed."""
    connection.info[_BOOK_CHANGED] = True


def is_change_of_book(connection: Connection) -> bool:
    """Whether that was noted in this transaction."""
    return _BOOK_CHANGED in connection.info


def _forget_note(connection: Connection) -> None:
    connection.info.pop(_BOOK_CHANGED, None)


_BOOK_CHANGED = "the price book changes"
_SYNCHRONOUS = "how sure it is that a commit is on the disk"


def migrate(engine: Engine) -> None:
    """Bring the tables up to date."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":
            # Of several machines that start together one migrates and the others wait. SQLite's
            # own write lock does the same.
            connection.execute(select(func.pg_advisory_xact_lock(_MIGRATION_LOCK)))
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
