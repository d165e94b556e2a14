"""While machines are brought up to date one after the other, old code writes into new tables."""

import datetime as dt
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal
from typing import Any

import pytest
from alembic import command
from alembic.config import Config
from sqlalchemy import (
    JSON,
    Boolean,
    Column,
    Date,
    DateTime,
    Engine,
    Float,
    Integer,
    LargeBinary,
    MetaData,
    Numeric,
    Table,
    insert,
    inspect,
    select,
    text,
    update,
)

from service.storage.database import MIGRATIONS, migrate, open_engine

# The tables that the code of the last release knows.
LAST_RELEASE = "0005"

AT = dt.datetime(2027, 1, 10, 12, tzinfo=dt.UTC)
# What a column may hold, where its type alone does not tell.
FITTING = {"state": "owed", "kind": "quote"}


def migrated_to(engine: Engine, revision: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    with engine.begin() as connection:
        config.attributes["connection"] = connection
        command.upgrade(config, revision)


@pytest.fixture
def empty(database_url: str) -> Any:
    made = open_engine(database_url)
    yield made
    made.dispose()


def known_then(engine: Engine) -> MetaData:
    """The tables as the last release knows them."""
    found = MetaData()
    found.reflect(engine)
    found.remove(found.tables["alembic_version"])
    return found


def old_row(table: Table, number: int) -> dict[str, Any]:
    """A row as the old code writes it: every column that it knows, and no other."""
    return {column.name: _value(column, number) for column in table.columns}


def _value(column: Column[Any], number: int) -> Any:
    kinds: list[tuple[type, Any]] = [
        (Boolean, False),
        (Integer, number),
        (Float, number),
        (Numeric, Decimal(number)),
        (DateTime, AT + dt.timedelta(days=number)),
        (Date, AT.date() + dt.timedelta(days=number)),
        (JSON, {}),
        (LargeBinary, b"x"),
    ]
    for kind, value in kinds:
        if isinstance(column.type, kind):
            return value
    return FITTING.get(column.name, f"x{number}")


def test_what_the_last_release_writes_and_reads_still_fits(empty: Engine) -> None:
    migrated_to(empty, LAST_RELEASE)
    tables = known_then(empty).sorted_tables
    assert len(tables) > 20
    with empty.begin() as connection:
        for table in tables:
            connection.execute(insert(table).values(old_row(table, 1)))
    migrate(empty)

    with empty.begin() as connection:
        for table in tables:
            connection.execute(insert(table).values(old_row(table, 2)))
            # Old code names its columns when it reads: none of them may be gone.
            assert len(connection.execute(select(*table.columns)).all()) == 2, table.name
    with empty.begin() as connection:
        for table in tables:
            free = [c for c in table.columns if not (c.primary_key or c.foreign_keys or c.unique)]
            same = {column.name: old_row(table, 2)[column.name] for column in free}
            keys = [key == old_row(table, 2)[key.name] for key in table.primary_key.columns]
            if same:
                assert connection.execute(update(table).where(*keys).values(same)).rowcount == 1


def test_processes_that_start_at_once_migrate_once(database_url: str) -> None:
    def start(_: int) -> None:
        engine = open_engine(database_url)
        try:
            migrate(engine)
        finally:
            engine.dispose()

    with ThreadPoolExecutor(4) as at_once:
        list(at_once.map(start, range(4)))
    engine = open_engine(database_url)
    with engine.connect() as connection:
        versions = connection.execute(text("SELECT version_num FROM alembic_version")).all()
    assert len(versions) == 1
    assert "steps" in inspect(engine).get_table_names()
    engine.dispose()
