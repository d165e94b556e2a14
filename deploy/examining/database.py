"""The database: whether it is whole, current, in time, and whether what is owed gets done."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from sqlalchemy import Engine, func, select
from sqlalchemy.exc import SQLAlchemyError

from deploy.examining.finding import Finding, note, well, wrong
from service.clock import shop_clock
from service.config import Settings
from service.leads.steps import StepState
from service.storage.backing_up import damage_of, known_revisions, revision_of
from service.storage.database import open_engine
from service.storage.outbox import SqlOutbox

_LATE_S = 60.0
_SKEW_S = 5.0


def database(settings: Settings) -> Iterator[Finding]:
    """All that can be said of it, the worst first and nothing after that."""
    engine = open_engine(settings.database)
    try:
        yield from _looked_at(engine, settings)
    except SQLAlchemyError as error:
        yield wrong(
            f"The database does not answer ({type(error).__name__}).",
            means="Nobody gets an answer, and nothing new can be kept.",
            do="Start PostgreSQL, and see whether DATABASE_URL is right."
            if engine.dialect.name == "postgresql"
            else "See whether the data folder can be read.",
        )
    finally:
        engine.dispose()


def _looked_at(engine: Engine, settings: Settings) -> Iterator[Finding]:
    if engine.dialect.name == "sqlite":
        place = Path(str(engine.url.database))
        if not place.exists():
            yield note("There is no database yet.", do="deploy/run makes one.")
            return
        if trouble := damage_of(place):
            yield wrong(
                f"The database file is damaged ({trouble}).",
                means="Requests, dates or payments may be lost, more with every hour.",
                do="Stop the shop, copy the file aside, and bring back the newest backup:"
                " deploy/restore FILE --replace.",
            )
            return
    revision = revision_of(engine)
    if revision not in known_revisions():
        yield wrong(
            "The database belongs to a newer Garlandry." if revision else "The database is empty.",
            means="The shop cannot go on with it.",
            do="Install the newer version again." if revision else "deploy/run makes its tables.",
        )
        return
    if revision != known_revisions()[0]:
        yield wrong(
            "The database's tables are older than this version.",
            means="Parts of the shop fail.",
            do="Start the shop again, which brings them up to date.",
        )
        return
    yield well(f"Database {'file is whole' if settings.database_url is None else 'answers'}")
    yield from _clock(engine)
    yield from _steps(engine, settings)


def _clock(engine: Engine) -> Iterator[Finding]:
    """PostgreSQL may be on another machine; SQLite has no clock of its own."""
    if engine.dialect.name != "postgresql":
        return
    with engine.connect() as connection:
        theirs: datetime = connection.scalar(select(func.clock_timestamp()))  # type: ignore[assignment]
    yield skew(theirs, "the database's")


def skew(theirs: datetime, whose: str) -> Finding:
    """How far another machine's clock is from ours."""
    apart = abs((theirs - datetime.now(UTC)).total_seconds())
    if apart < _SKEW_S:
        return well(f"This machine's clock agrees with {whose}")
    return wrong(
        f"This machine's clock is {apart:,.0f} seconds apart from {whose}.",
        means="Holds run out and reminders go out at the wrong time.",
        do="Have both machines set their clocks by the network (timedatectl set-ntp true).",
    )


def _steps(engine: Engine, settings: Settings) -> Iterator[Finding]:
    now = shop_clock(settings.reference_date, ZoneInfo("UTC"))()
    with engine.execution_options(reading=True).connect() as connection:
        outbox = SqlOutbox(connection, lambda _: None)
        owed, doubtful = outbox.ages(now), outbox.unclear(now)
    dead = sum(each.count for each in owed if each.state is StepState.DEAD)
    late = [e for e in owed if e.state is StepState.OWED and e.oldest_s > _LATE_S]
    if late:
        oldest = max(each.oldest_s for each in late)
        yield wrong(
            f"{_things(sum(each.count for each in late))} owed, the oldest for"
            f" {oldest / 60:,.0f} minutes.",
            means="Clients wait for prices, messages or reminders. Nothing is lost.",
            do="Start the shop, or see below whether its workers run.",
        )
    if dead:
        yield wrong(
            f"{_things(dead)} given up.",
            means="Somebody may wait for an answer that does not come by itself.",
            do="Look at them at the desk, where each says why, and try again or answer yourself.",
        )
    if doubtful.owed:
        yield note(
            f"{_messages(doubtful.owed)} may or may not have reached Telegram.",
            means="Each is tried again a few times; a client may read one twice.",
        )
    if not late and not dead:
        yield well("Nothing is owed for long, nothing was given up")


def _messages(count: int) -> str:
    return "One message" if count == 1 else f"{count:,} messages"


def _things(count: int) -> str:
    return "One thing is" if count == 1 else f"{count:,} things are"
