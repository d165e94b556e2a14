"""Engines: SQLite in WAL mode by default, PostgreSQL by its address."""

from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection, Engine, create_engine, event, func, make_url, select

# Any number, as long as it is ours.
_MIGRATION_LOCK = 7_421_001

MIGRATIONS = Path(__file__).parent / "migrations"

# Writers on SQLite queue for the one write lock; this is how long they wait for it.
_BUSY_TIMEOUT_MS = 10_000


def open_engine(url: str) -> Engine:
    """An engine for SQLite or PostgreSQL (through psycopg)."""
    parsed = make_url(url)
    if parsed.get_backend_name() == "sqlite":
        engine = create_engine(parsed, connect_args={"timeout": _BUSY_TIMEOUT_MS / 1000})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine
    return create_engine(
        parsed.set(drivername="postgresql+psycopg"), pool_pre_ping=True, pool_size=10
    )


def _prepare_sqlite(connection: Any, _record: object) -> None:
    # The driver must not start transactions by itself: `_begin_sqlite` does.
    connection.isolation_level = None
    for pragma in (
        "journal_mode=WAL",
        "synchronous=FULL",
        "foreign_keys=ON",
        # What is erased is overwritten, not only let go.
        "secure_delete=ON",
        f"busy_timeout={_BUSY_TIMEOUT_MS}",
    ):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(connection: Connection) -> None:
    # A reader that later wants to write cannot always be upgraded, so writers say so at once.
    reading = connection.get_execution_options().get("reading", False)
    connection.exec_driver_sql("BEGIN" if reading else "BEGIN IMMEDIATE")


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
