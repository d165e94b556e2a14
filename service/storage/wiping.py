"""What a database file still shows of rows that are gone, made unreadable."""

import logging
from collections.abc import Sequence
from typing import Any

from sqlalchemy import Engine

log = logging.getLogger(__name__)

# Where a client's words and addresses have stood.
_TABLES = (
    *("leads", "lead_terms", "lead_changes", "lead_notes", "quotes", "holds", "payments"),
    *("conversations", "messages", "photos", "inbox", "steps", "answers"),
)


def wipe(engine: Engine) -> None:
    """Rewrite what held the erased rows, so that no byte of them is left in the data files.

    On SQLite deleted content is overwritten as it is deleted (`secure_delete`); here the pages
    that were rewritten since, and the write-ahead log, follow. On PostgreSQL the tables are
    rewritten; its own write-ahead log and backups keep what they hold until it recycles them.
    """
    with engine.connect() as connection:
        # Outside any transaction, which SQLAlchemy would open.
        driver: Any = connection.connection.driver_connection
        fault = engine.dialect.loaded_dbapi.Error
        if engine.dialect.name == "sqlite":
            checkpoint = "PRAGMA wal_checkpoint(TRUNCATE)"
            _run(driver, (checkpoint, "VACUUM", checkpoint), fault)
            return
        driver.autocommit = True
        try:
            _run(driver, [f"VACUUM (FULL) {table}" for table in _TABLES], fault)
        finally:
            driver.autocommit = False


def _run(driver: Any, statements: Sequence[str], fault: type[Exception]) -> None:
    for statement in statements:
        try:
            driver.execute(statement)
        except fault as error:
            # Erased it is all the same; the next erasing wipes this one's traces too.
            log.warning("%s has to wait: %s", statement, type(error).__name__)
