"""A shop with many requests behind it, made up from a seed and stored in bulk."""

import datetime as dt
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import islice
from typing import Any

from sqlalchemy import Connection, Engine, Table, insert

from deploy.multiplying import multiply
from service.estimating import (
    Brief,
    ColourShare,
    Estimate,
    Event,
    Fullness,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    estimate,
)
from service.leads.finding import terms_of
from service.leads.lead import Client, LeadState
from service.storage import tables as t
from service.storage.ids import fresh_id
from service.storage.leads import briefs, client_json, estimates, number_of

BACK = dt.timedelta(days=3 * 365)
"""How long ago the first request was made."""

_AT_ONCE = 2_000
_MADE_UP = 10_000

# What the owner has on the table does not grow with the past: it is among the newest of them.
_ON_THE_TABLE = 200
_CALLING = 10

_FIRST = (
    "Ada Ben Cleo Dora Eli Flora Gus Hazel Ivo June Kofi Lena Milo Nora Otis Pia Rosa Sol Uma Vera"
)
_LAST = (
    "Abara Alund Bassi Brook Castell Dimov Eriksen Falk Gantry Hale Ibsen Jarl Kovac Lindqvist "
    "Marsh Navarro Okoro Penn Quist Rask Salas Thorne Ueda Vance Weir Yates Zeller"
)
_PLACES = (
    "boathouse hall",
    "library reading room",
    "lower lock pavilion",
    "band stand",
    "town hall annex",
    "rowing club terrace",
    "harbor museum",
    "chess club",
)
_CODES = ("02472", "02139", "02451", "02458", "02138")
_OCCASIONS = ("anniversary", "grand_opening", "graduation", "retirement", "birthday", "corporate")
_CHANNELS = ("telegram", "webchat", "webchat", "form", "api")
_SOURCES = (None, None, "library-reopening", "spring-regatta", "front-page")
_LOST = ("price", "no answer", "too far", "date taken", "other")
_PIECES = (
    Piece(support=Support.ROUND_TOP_FRAME, width_m=1.2192, height_m=2.1336),
    Piece(support=Support.WALL, length_m=3.5, fullness=Fullness.LUSH),
    Piece(support=Support.COLUMN, height_m=1.9, count=2),
    Piece(support=Support.STAIRCASE, rise_m=2.6, run_m=3.3),
    Piece(support=Support.TABLE, length_m=2.4, fullness=Fullness.AIRY),
)


@dataclass(frozen=True, kw_only=True)
class _Kind:
    brief: Brief
    estimate: Estimate
    text: str


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """A request with everything that was made up about it."""

    seq: int
    from_end: int
    id: str
    state: LeadState
    at: dt.datetime
    answered_at: dt.datetime | None
    channel: str
    client: Client
    brief: Brief
    kind: _Kind


def fill(engine: Engine, book: PriceBook, *, leads: int, now: dt.datetime, seed: int = 7) -> None:
    """Store so many requests of the last three years in a database that has none.

    Of more than ten thousand, one in so many is made up and the database makes its copies.
    """
    maker = _Maker(book, leads, now, seed)
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


class _Maker:
    def __init__(self, book: PriceBook, leads: int, now: dt.datetime, seed: int) -> None:
        self._random = random.Random(seed)
        self._leads = leads
        self.times = max(1, leads // _MADE_UP)
        # The newest are each their own.
        self.multiplied = (leads - _ON_THE_TABLE) // self.times * self.times
        self.step = BACK / leads
        self.now = now
        self.book = book
        self._kinds = [_kind(piece, book, now.date()) for piece in _PIECES]

    def asked(self) -> Iterator[_Asked]:
        """One after the other, the oldest first."""
        begun = self.now - BACK
        singles = range(max(0, self.multiplied) + 1, self._leads + 1)
        for seq in (*range(self.times, self.multiplied + 1, self.times), *singles):
            yield self._one(seq, begun + self.step * (seq - 1), self._leads - seq + 1)

    def _one(self, seq: int, at: dt.datetime, from_end: int) -> _Asked:
        draw = self._random
        day = at.date() + dt.timedelta(days=draw.randint(10, 200))
        kind = draw.choice(self._kinds)
        event = Event(occasion=draw.choice(_OCCASIONS), date=None if draw.random() < 0.08 else day)
        site = Site(
            setting=Setting.INDOOR,
            place=draw.choice(_PLACES),
            postal_code=draw.choice(_CODES),
        )
        state = self._state(day, from_end)
        waits = state in (LeadState.NEW, LeadState.REVIEW)
        seconds = draw.choice((2, 3, 3, 4, 5, 240, 7_200))
        return _Asked(
            seq=seq,
            from_end=from_end,
            id=fresh_id(),
            state=state,
            at=at,
            answered_at=None if waits else at + dt.timedelta(seconds=seconds),
            channel=draw.choice(_CHANNELS),
            client=self._client(seq),
            brief=replace(kind.brief, event=event, site=site),
            kind=kind,
        )

    def _state(self, day: dt.date, from_end: int) -> LeadState:
        if from_end <= _ON_THE_TABLE:
            table = {0: LeadState.HELD, 1: LeadState.REVIEW, 2: LeadState.NEW}
            return table.get(from_end % 7, LeadState.QUOTED)
        ends = LeadState.BOOKED if day > self.now.date() else LeadState.DONE
        chances = {
            ends: 0.3,
            LeadState.LAPSED: 0.45,
            LeadState.DECLINED: 0.2,
            LeadState.QUOTED: 0.05,
        }
        return self._random.choices(list(chances), list(chances.values()))[0]

    def _client(self, seq: int) -> Client:
        first, last = (self._random.choice(names.split()) for names in (_FIRST, _LAST))
        return Client(
            name=f"{first} {last}",
            email=f"{first}.{last}{seq}@mail.example".lower(),
            phone=f"+1 617 {200 + seq // 10_000} {seq % 10_000:04}",
        )

    def because(self, asked: _Asked) -> str | None:
        """Why it was lost, if it was."""
        lost = asked.state in (LeadState.DECLINED, LeadState.LAPSED)
        return self._random.choice(_LOST) if lost else None

    def source(self) -> str | None:
        """A campaign, or none."""
        return self._random.choice(_SOURCES)


def _kind(piece: Piece, book: PriceBook, today: dt.date) -> _Kind:
    palette = tuple(ColourShare(colour=colour.name) for colour in book.colours[:3])
    brief = Brief(pieces=(piece,), palette=palette)
    found = estimate(brief, book, today=today)
    return _Kind(brief=brief, estimate=found, text=estimates().dump_json(found).decode())


def _store(connection: Connection, asked: Sequence[_Asked], maker: _Maker) -> None:
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


def _lead_row(asked: _Asked, brief: str, maker: _Maker) -> dict[str, Any]:
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


def _quote_row(asked: _Asked, brief: str, maker: _Maker) -> dict[str, Any]:
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


def _quote_id(asked: _Asked) -> str:
    return f"q{asked.id}"[:32]


def _hold_row(asked: _Asked, state: str, now: dt.datetime) -> dict[str, Any]:
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


def _payment_row(asked: _Asked) -> dict[str, Any]:
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


def _changes(asked: _Asked) -> Iterator[dict[str, Any]]:
    yield {"lead_id": asked.id, "at": asked.at, "who": "client", "what": "asked", "detail": {}}
    if asked.answered_at:
        yield {
            "lead_id": asked.id,
            "at": asked.answered_at,
            "who": "garlandry",
            "what": "sent the ballpark",
            "detail": {},
        }


def _chat_row(asked: _Asked, now: dt.datetime) -> dict[str, Any]:
    # The hours since they called differ, so that the longest wait comes first.
    hours = asked.from_end if asked.from_end <= _CALLING else 0
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
