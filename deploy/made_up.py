"""Requests of the last three years, made up from a seed, one after the other."""

import datetime as dt
import random
from collections.abc import Iterator
from dataclasses import dataclass, replace

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
from service.leads.lead import Client, LeadState
from service.storage.ids import fresh_id
from service.storage.leads import estimates

BACK = dt.timedelta(days=3 * 365)
"""How long ago the first request was made."""

_MADE_UP = 10_000

# What the owner has on the table does not grow with the past: it is among the newest of them.
_ON_THE_TABLE = 200
CALLING = 10

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
class Kind:
    brief: Brief
    estimate: Estimate
    text: str


@dataclass(frozen=True, kw_only=True)
class Asked:
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
    kind: Kind


class Maker:
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

    def asked(self) -> Iterator[Asked]:
        """One after the other, the oldest first."""
        begun = self.now - BACK
        singles = range(max(0, self.multiplied) + 1, self._leads + 1)
        for seq in (*range(self.times, self.multiplied + 1, self.times), *singles):
            yield self._one(seq, begun + self.step * (seq - 1), self._leads - seq + 1)

    def _one(self, seq: int, at: dt.datetime, from_end: int) -> Asked:
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
        return Asked(
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

    def because(self, asked: Asked) -> str | None:
        """Why it was lost, if it was."""
        lost = asked.state in (LeadState.DECLINED, LeadState.LAPSED)
        return self._random.choice(_LOST) if lost else None

    def source(self) -> str | None:
        """A campaign, or none."""
        return self._random.choice(_SOURCES)


def _kind(piece: Piece, book: PriceBook, today: dt.date) -> Kind:
    palette = tuple(ColourShare(colour=colour.name) for colour in book.colours[:3])
    brief = Brief(pieces=(piece,), palette=palette)
    found = estimate(brief, book, today=today)
    return Kind(brief=brief, estimate=found, text=estimates().dump_json(found).decode())
