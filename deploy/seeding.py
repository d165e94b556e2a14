"""A shop with many requests behind it, stored in bulk."""

import datetime as dt
from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Engine, Table, insert

from deploy.made_up import CALLING, Asked, Maker
from deploy.multiplying import multiply
from service.estimating import PriceBook
from service.leads.finding import terms_of
from service.leads.lead import LeadState
from service.storage import tables as t
from service.storage.leads import briefs, client_json, number_of

_AT_ONCE = 2_000


def fill(engine: Engine, book: PriceBook, *, leads: int, now: dt.datetime, seed: int = 7) -> None:
    """Store so many requests of the last three years in a database that has none.

    Of more than ten thousand, one in so many is made up and the database makes its copies.
    """
    maker = Maker(book, leads, now, seed)
    asked = maker.asked()
    while some := list(islice(asked, _AT_ONCE)):
        with engine.begin() as connection:
            _store(connection, some, maker)
    if maker.times > 1:
        with engine.begin() as connection:
            multiply(connection, times=maker.times, upto=maker.multiplied, step=maker.step)
    if engine.dialect.name == "postgresql":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            # Rows came with numbers of their own.
            newest = "(SELECT max(seq) FROM leads)"
            connection.exec_driver_sql(
                f"SELECT setval(pg_get_serial_sequence('leads', 'seq'), {newest})"
            )
            # As its own housekeeping would do in time.
            connection.exec_driver_sql("VACUUM ANALYZE")


def _store(connection: Connection, asked: Sequence[Asked], maker: Maker) -> None:
    texts = [briefs().dump_json(each.brief).decode() for each in asked]
    _put(
        connection,
        t.leads,
        [_lead_row(one, text, maker) for one, text in zip(asked, texts, strict=True)],
    )
    terms = (
        {"term": term, "seq": each.seq}
        for each in asked
        for term in sorted(terms_of(number_of(each.seq), each.client, each.brief))
    )
    _put(connection, t.lead_terms, list(terms))
    quotes = [
        _quote_row(each, text, maker)
        for each, text in zip(asked, texts, strict=True)
        if each.state is not LeadState.NEW
    ]
    _put(connection, t.quotes, quotes)
    kept = {LeadState.HELD: "active", LeadState.BOOKED: "booked", LeadState.DONE: "booked"}
    holds = [_hold_row(each, kept[each.state], maker.now) for each in asked if each.state in kept]
    _put(connection, t.holds, holds)
    paid = (LeadState.BOOKED, LeadState.DONE)
    _put(connection, t.payments, [_payment_row(each) for each in asked if each.state in paid])
    _put(connection, t.lead_changes, [change for each in asked for change in _changes(each)])
    _put(connection, t.conversations, [_chat_row(each, maker.now) for each in asked])


def _put(connection: Connection, table: Table, rows: Sequence[dict[str, Any]]) -> None:
    if rows:
        connection.execute(insert(table), rows)


def _lead_row(asked: Asked, brief: str, maker: Maker) -> dict[str, Any]:
    day = asked.brief.event.date
    in_review = asked.state is LeadState.REVIEW
    return {
        "seq": asked.seq,
        "id": asked.id,
        "state": asked.state,
        "channel": asked.channel,
        "chat_id": f"chat-{asked.seq}",
        "language": "en",
        "client": client_json(asked.client),
        "brief": brief,
        "review_reasons": ["It is more than 25 miles away."] if in_review else [],
        "created_at": asked.at,
        "source": maker.source(),
        "event_on": day and day.isoformat(),
        "answered_at": asked.answered_at,
        "lost_because": maker.because(asked),
        "standing": asked.state,
        "revision": 0,
    }


def _quote_row(asked: Asked, brief: str, maker: Maker) -> dict[str, Any]:
    price = asked.kind.estimate.price
    return {
        "id": _quote_id(asked),
        "lead_id": asked.id,
        "number": f"{number_of(asked.seq)}-1",
        "kind": "ballpark",
        "brief": brief,
        "estimate": asked.kind.text,
        "low": price.low,
        "likely": price.likely,
        "high": price.high,
        "deposit": price.deposit,
        "currency": price.currency,
        "created_at": asked.at,
        "expires_at": asked.at + maker.book.calendar.quote_valid,
        "sent_at": asked.answered_at,
        "book_version": asked.kind.estimate.price_book_version,
        "cost": asked.kind.estimate.cost.likely,
        "before_tax": price.likely,
        "hours": dict(asked.kind.estimate.hours),
    }


def _quote_id(asked: Asked) -> str:
    return f"q{asked.id}"[:32]


def _hold_row(asked: Asked, state: str, now: dt.datetime) -> dict[str, Any]:
    day = asked.brief.event.date or asked.at.date() + dt.timedelta(days=30)
    starts = dt.datetime.combine(day, dt.time(15), dt.UTC)
    ready, strikes = starts + dt.timedelta(hours=2), starts + dt.timedelta(hours=8)
    drive, strike = dt.timedelta(minutes=30), dt.timedelta(hours=1)
    return {
        "id": asked.id,
        "lead_id": asked.id,
        "quote_id": _quote_id(asked),
        "starts_at": starts,
        "ends_at": ready,
        "expires_at": now + dt.timedelta(hours=1 + asked.seq % 72),
        "client": client_json(asked.client),
        "state": state,
        "leaves_at": starts - drive,
        "free_at": ready,
        "strikes_at": strikes,
        "struck_at": strikes + strike,
        "returns_at": strikes + strike + drive,
        "crew": 0,
        "revision": 1,
        "made_at": asked.at,
        "changed_at": asked.at,
    }


def _payment_row(asked: Asked) -> dict[str, Any]:
    paid = asked.at + dt.timedelta(days=2)
    return {
        "id": asked.id,
        "lead_id": asked.id,
        "kind": "deposit",
        "amount": Decimal(150),
        "currency": asked.kind.estimate.price.currency,
        "paid_on": paid.date().isoformat(),
        "method": "bank transfer",
        "reference": "",
        "recorded_at": paid,
        "recorded_by": "owner",
    }


def _changes(asked: Asked) -> Iterator[dict[str, Any]]:
    yield {"lead_id": asked.id, "at": asked.at, "who": "client", "what": "asked", "detail": {}}
    if asked.answered_at:
        yield {
            "lead_id": asked.id,
            "at": asked.answered_at,
            "who": "garlandry",
            "what": "sent the ballpark",
            "detail": {},
        }


def _chat_row(asked: Asked, now: dt.datetime) -> dict[str, Any]:
    # The hours since they called differ, so that the longest wait comes first.
    hours = asked.from_end if asked.from_end <= CALLING else 0
    return {
        "channel": asked.channel,
        "chat_id": f"chat-{asked.seq}",
        "version": 1,
        "last_seq": 0,
        "state": {},
        "updated_at": asked.at,
        "calls_owner_since": now - dt.timedelta(hours=hours) if hours else None,
        "owner_spoke": False,
    }
