"""Versions of the price book in SQL. The newest row counts."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from sqlalchemy import Connection, Engine, RowMapping, func, insert, select

from service.leads.price_books import FROM_THE_FILE, BookVersion
from service.storage import tables as t
from service.storage.database import note_change_of_book

# Any number, as long as it is ours.
_WRITERS = 7_421_002

_LONGEST_NOTE = 200
_LONGEST_NAME = 80

_C = t.price_books.c
_ABOUT = (_C.version, _C.made_at, _C.made_by, _C.note)


@contextmanager
def writing(engine: Engine, *, waiting: bool = True) -> Iterator[Connection]:
    """One writer of versions at a time, on all machines; what is left well is committed.

    Without `waiting`, OperationalError is raised at once where SQLite has a writer already.
    """
    with engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(select(func.pg_advisory_xact_lock(_WRITERS)))
            yield connection
            connection.commit()
            return
        with _patience(connection, waiting=waiting), connection.begin():
            yield connection


@contextmanager
def _patience(connection: Connection, *, waiting: bool) -> Iterator[None]:
    sqlite = connection.connection.dbapi_connection
    if waiting or sqlite is None:
        yield
        return
    cursor = sqlite.cursor()
    (usual,) = cursor.execute("PRAGMA busy_timeout").fetchone()
    cursor.execute("PRAGMA busy_timeout=0")
    try:
        yield
    finally:
        cursor.execute(f"PRAGMA busy_timeout={usual}")
        cursor.close()


def newest_seq(connection: Connection) -> int:
    """The number of the newest row, 0 where there is none: tells whether there is a new one."""
    return connection.execute(select(func.max(_C.seq))).scalar_one() or 0


def newest(connection: Connection) -> str | None:
    """The name of the version that counts."""
    query = select(_C.version).order_by(_C.seq.desc()).limit(1)
    return connection.execute(query).scalar_one_or_none()


def listed(connection: Connection, limit: int) -> list[BookVersion]:
    """Rows, newest first."""
    rows = connection.execute(select(*_ABOUT).order_by(_C.seq.desc()).limit(limit)).mappings()
    return [_about(row) for row in rows]


def about(connection: Connection, version: str) -> BookVersion | None:
    """The first row of a version."""
    query = select(*_ABOUT).where(_C.version == version).order_by(_C.seq).limit(1)
    row = connection.execute(query).mappings().one_or_none()
    return None if row is None else _about(row)


def text_of(connection: Connection, version: str) -> str | None:
    """The text of a version."""
    query = select(_C.text).where(_C.version == version).limit(1)
    return connection.execute(query).scalar_one_or_none()


def texts(connection: Connection, limit: int) -> Iterator[str]:
    """The texts of the newest rows, newest first."""
    yield from connection.execute(select(_C.text).order_by(_C.seq.desc()).limit(limit)).scalars()


def files(connection: Connection) -> list[str]:
    """The versions that came from the file, newest first."""
    query = select(_C.version).where(_C.made_by == FROM_THE_FILE).order_by(_C.seq.desc())
    return list(connection.execute(query).scalars())


def add(
    connection: Connection, *, version: str, text: str, by: str, note: str, at: datetime
) -> None:
    """A new row, which counts from now on."""
    note_change_of_book(connection)
    connection.execute(
        insert(t.price_books).values(
            version=version,
            text=text,
            made_at=at,
            made_by=by[:_LONGEST_NAME],
            note=note[:_LONGEST_NOTE],
        )
    )


def _about(row: RowMapping) -> BookVersion:
    return BookVersion(
        version=row["version"],
        made_at=row["made_at"],
        made_by=row["made_by"],
        note=row["note"],
    )
