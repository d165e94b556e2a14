"""A shop's database as one SQLite file, from either database and back into either."""

import os
import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from pathlib import Path

from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, select

from service.storage import tables as t
from service.storage.copying import copy_all, others_connected, row_counts
from service.storage.database import MIGRATIONS, migrate, open_engine

_WAIT_S = 30.0
# What belongs to a SQLite database while it is open, or after a crash.
_BESIDE = ("-wal", "-shm", "-journal")


class CannotBackUp(Exception):
    """The database cannot be copied or replaced as it is. The text says why, in words."""


def snapshot(engine: Engine, path: Path) -> None:
    """Write the database as it stands at one moment to a new private file, while others write.

    Raises CannotBackUp where the database is damaged or its tables are not this version's.
    """
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600))
    if engine.dialect.name == "sqlite":
        _copy_file(Path(str(engine.url.database)), path)
    else:
        _copy_rows(engine, path)
    if trouble := damage_of(path):
        raise CannotBackUp(f"The database is damaged ({trouble}).")


def damage_of(path: Path) -> str | None:
    """What SQLite finds wrong with a database file; None when nothing is."""
    try:
        with closing(_open(path)) as connection:
            (found,) = connection.execute("PRAGMA quick_check(1)").fetchone()
    except sqlite3.DatabaseError as error:
        return str(error)
    return None if found == "ok" else str(found)


def revision_of(engine: Engine) -> str | None:
    """Which migration the tables are at; None where there are none."""
    with engine.execution_options(reading=True).connect() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def known_revisions() -> tuple[str, ...]:
    """The migrations that this version has, newest first."""
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    return tuple(each.revision for each in ScriptDirectory.from_config(config).walk_revisions())


def counted(path: Path) -> tuple[str | None, dict[str, int], dict[str, str]]:
    """Of a snapshot: its migration, its rows by table, and the states of erased requests by id.

    Rows and requests only where the tables are this version's.
    """
    engine = open_engine(f"sqlite:///{path}")
    try:
        revision = revision_of(engine)
        if revision != known_revisions()[0]:
            return revision, {}, {}
        return revision, row_counts(engine), dict(erased_in(engine))
    finally:
        engine.dispose()
        settle(path)


def erased_in(engine: Engine) -> Mapping[str, str]:
    """The states of all erased requests by their ids, which say nothing of anybody."""
    query = select(t.leads.c.id, t.leads.c.state).where(t.leads.c.erased_at.is_not(None))
    with engine.execution_options(reading=True).connect() as connection:
        return {row.id: row.state for row in connection.execute(query)}


def stopped_in(engine: Engine) -> set[tuple[str, str]]:
    """Chats in which a client said "stop"."""
    c = t.conversations.c
    query = select(c.channel, c.chat_id).where(c.stopped_at.is_not(None))
    with engine.execution_options(reading=True).connect() as connection:
        return {(row.channel, row.chat_id) for row in connection.execute(query)}


def settle(path: Path) -> None:
    """Put all of a SQLite database into its one file.

    Raises CannotBackUp while anybody has it open.
    """
    try:
        with closing(_open(path, wait_s=1.0)) as connection:
            connection.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.OperationalError as error:
        raise CannotBackUp(f"Somebody has {path} open ({error}).") from None


def put_in_place(snapshot_file: Path, target: Engine, aside: str) -> Path | None:
    """Make a snapshot the database; where the one before is kept, on SQLite, if there was one.

    Raises CannotBackUp while others have the database open.
    """
    if target.dialect.name == "sqlite":
        target.dispose()
        return _swap(snapshot_file, Path(str(target.url.database)), aside)
    if others_connected(target):
        raise CannotBackUp("Others are connected to the database.")
    migrate(target)
    source = open_engine(f"sqlite:///{snapshot_file}")
    try:
        copy_all(source, target, replace=True)
    finally:
        source.dispose()
    return None


def _swap(new: Path, place: Path, aside: str) -> Path | None:
    kept = None
    if place.exists():
        if damage_of(place) is None:
            settle(place)
        elif _is_open(place):
            raise CannotBackUp(f"Somebody has {place} open.")
        kept = place.with_name(f"{place.name}.{aside}")
        for end in ("", *_BESIDE):
            if (part := Path(f"{place}{end}")).exists():
                part.chmod(0o600)
                part.rename(f"{kept}{end}")
    new.rename(place)
    return kept


def _is_open(path: Path) -> bool:
    """Whether a process of this user has a file open, where the system tells: no lock on a damaged
    database can be asked for."""
    for link in Path("/proc").glob("[0-9]*/fd/*"):
        with suppress(OSError):
            if link.samefile(path):
                return True
    return False


def _copy_file(source: Path, path: Path) -> None:
    if not source.exists():
        raise CannotBackUp(f"There is no database at {source}.")
    try:
        with closing(_open(source)) as live, closing(_open(path)) as copy:
            # All pages in one step: a reader's lock, which in WAL mode keeps no writer waiting.
            live.backup(copy, pages=-1)
            copy.execute("PRAGMA journal_mode=DELETE")
    except sqlite3.DatabaseError as error:
        if error.sqlite_errorcode == sqlite3.SQLITE_FULL:
            raise CannotBackUp(
                "The disk is full. Make room, or put it on another one: deploy/backup --to FILE."
            ) from None
        raise CannotBackUp(f"The database cannot be read ({error}).") from None


def _copy_rows(engine: Engine, path: Path) -> None:
    if revision_of(engine) != known_revisions()[0]:
        raise CannotBackUp("The database's tables are not those of this version: start it once.")
    copy = open_engine(f"sqlite:///{path}")
    try:
        migrate(copy)
        copy_all(engine, copy)
    finally:
        copy.dispose()
    settle(path)


def _open(path: Path, *, wait_s: float = _WAIT_S) -> sqlite3.Connection:
    return sqlite3.connect(path, timeout=wait_s, isolation_level=None)
