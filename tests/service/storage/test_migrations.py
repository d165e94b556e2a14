"""The migrations make exactly the tables that the code expects, on every database."""

from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Engine, inspect

from service.storage.database import migrate
from service.storage.tables import metadata


def test_migrated_tables_are_those_in_the_code(engine: Engine) -> None:
    with engine.connect() as connection:
        differences = compare_metadata(MigrationContext.configure(connection), metadata)
    assert differences == []


def test_migrating_twice_changes_nothing(engine: Engine) -> None:
    before = set(inspect(engine).get_table_names())
    migrate(engine)
    assert set(inspect(engine).get_table_names()) == before
    assert {"leads", "quotes", "steps", "inbox"} <= before
