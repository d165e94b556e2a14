"""Whether the database can be read and written, and whether its tables are ours."""

import sqlite3
from functools import cached_property

from alembic.script import ScriptDirectory
from sqlalchemy import Engine, column, event, select, table, update
from sqlalchemy.exc import DBAPIError, SQLAlchemyError

from service.leads.vitals import Database
from service.storage.database import MIGRATIONS, beside

# Whoever asks wants to know now; others who write take milliseconds.
_PATIENCE_MS = 200
_POSTGRES_LIMITS = (
    f"SET LOCAL lock_timeout = {_PATIENCE_MS}",
    f"SET LOCAL statement_timeout = {_PATIENCE_MS * 5}",
)

_VERSION = table("alembic_version", column("version_num"))


class DatabaseCheck:
    """Looks through a connection of its own, so that it waits for no other reader or writer."""

    def __init__(self, engine: Engine) -> None:
        self._engine = beside(engine)
        if engine.dialect.name == "sqlite":
            event.listen(self._engine, "connect", _be_quick)

    def __call__(self) -> Database:
        """Try it, by a write that changes nothing: a full disk still reads well."""
        try:
            revision = self._revision()
        except SQLAlchemyError:
            return Database.DOWN
        # Tables that are newer than this program are made to go with it.
        if revision != self._scripts.get_current_head() and revision in self._known:
            return Database.BEHIND
        return Database.WRITABLE if self._writes() else Database.READ_ONLY

    def schema(self) -> str:
        """The newest migration that this program knows."""
        return str(self._scripts.get_current_head())

    @cached_property
    def _scripts(self) -> ScriptDirectory:
        return ScriptDirectory(str(MIGRATIONS))

    @cached_property
    def _known(self) -> frozenset[str]:
        return frozenset(script.revision for script in self._scripts.walk_revisions())

    def _revision(self) -> str | None:
        with self._engine.execution_options(reading=True).connect() as connection:
            if connection.dialect.name == "postgresql":
                for limit in _POSTGRES_LIMITS:
                    connection.exec_driver_sql(limit)
            revision: str | None = connection.scalar(select(_VERSION.c.version_num))
            return revision

    def _writes(self) -> bool:
        try:
            with self._engine.begin() as connection:
                if connection.dialect.name == "postgresql":
                    for limit in _POSTGRES_LIMITS:
                        connection.exec_driver_sql(limit)
                connection.execute(update(_VERSION).values(version_num=_VERSION.c.version_num))
        except DBAPIError as error:
            return _is_busy(error)
        except SQLAlchemyError:
            return False
        return True


def _be_quick(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute(f"PRAGMA busy_timeout={_PATIENCE_MS}")


def _is_busy(error: DBAPIError) -> bool:
    """Somebody else is writing just now: so it can be done."""
    if isinstance(error.orig, sqlite3.OperationalError):
        return error.orig.sqlite_errorcode == sqlite3.SQLITE_BUSY
    return getattr(error.orig, "sqlstate", None) == _LOCK_NOT_AVAILABLE


_LOCK_NOT_AVAILABLE = "55P03"
