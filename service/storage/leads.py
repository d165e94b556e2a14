"""Leads, quotes, links and holds in SQL."""

from collections.abc import Sequence
from datetime import datetime
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from sqlalchemy import Connection, RowMapping, delete, func, insert, or_, select, update
from sqlalchemy.exc import IntegrityError

from service.estimating import Brief, Estimate
from service.leads.lead import (
    Change,
    Client,
    Hold,
    Lead,
    LeadState,
    LinkExpired,
    NotFound,
    Quote,
    QuoteKind,
    Window,
    WindowTaken,
)
from service.storage import tables as t
from service.storage.ids import fresh_id

# The first number a client sees; a shop's first lead need not say that it is the first.
_FIRST_NUMBER = 1000


@cache
def _briefs() -> TypeAdapter[Brief]:
    return TypeAdapter(Brief)


@cache
def _estimates() -> TypeAdapter[Estimate]:
    return TypeAdapter(Estimate)


def _client_json(client: Client) -> dict[str, Any]:
    return {"name": client.name, "email": client.email, "phone": client.phone}


def _lead(row: RowMapping) -> Lead:
    return Lead(
        id=row["id"],
        number=_lead_number(row["seq"]),
        state=LeadState(row["state"]),
        channel=row["channel"],
        chat_id=row["chat_id"],
        language=row["language"],
        client=Client(**row["client"]),
        brief=_briefs().validate_json(row["brief"]),
        created_at=row["created_at"],
        review_reasons=tuple(row["review_reasons"]),
    )


def _lead_number(seq: int) -> str:
    return f"G{_FIRST_NUMBER + seq}"


def _seq(number: str) -> int:
    digits = number.removeprefix("G")
    # Longer ones would not fit the database's whole numbers.
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 9):
        raise NotFound(f"There is no lead numbered {number}.")
    return int(digits) - _FIRST_NUMBER


class SqlLeads:
    """`service.leads.ports.Leads` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, lead: Lead) -> Lead:
        self._connection.execute(
            insert(t.leads).values(
                id=lead.id,
                state=lead.state,
                channel=lead.channel,
                chat_id=lead.chat_id,
                language=lead.language,
                client=_client_json(lead.client),
                brief=_briefs().dump_json(lead.brief).decode(),
                review_reasons=list(lead.review_reasons),
                created_at=lead.created_at,
            )
        )
        return self.get(lead.id)

    def get(self, lead_id: str, *, lock: bool = False) -> Lead:
        query = select(t.leads).where(t.leads.c.id == lead_id)
        row = (
            self._connection.execute(query.with_for_update() if lock else query)
            .mappings()
            .one_or_none()
        )
        if row is None:
            raise NotFound("There is no such lead.")
        return _lead(row)

    def save(self, lead: Lead) -> None:
        self._connection.execute(
            update(t.leads)
            .where(t.leads.c.id == lead.id)
            .values(
                state=lead.state,
                review_reasons=list(lead.review_reasons),
                client=_client_json(lead.client),
            )
        )

    def page(self, *, before: str | None, limit: int, state: LeadState | None) -> list[Lead]:
        query = select(t.leads).order_by(t.leads.c.seq.desc()).limit(limit)
        if before is not None:
            query = query.where(t.leads.c.seq < _seq(before))
        if state is not None:
            query = query.where(t.leads.c.state == state)
        return [_lead(row) for row in self._connection.execute(query).mappings()]

    def of_chat(self, channel: str, chat_id: str) -> list[Lead]:
        query = (
            select(t.leads)
            .where(t.leads.c.channel == channel, t.leads.c.chat_id == chat_id)
            .order_by(t.leads.c.seq.desc())
        )
        return [_lead(row) for row in self._connection.execute(query).mappings()]

    def with_expired_quotes(self, now: datetime) -> list[str]:
        good = select(t.quotes.c.seq).where(
            t.quotes.c.lead_id == t.leads.c.id,
            t.quotes.c.sent_at.is_not(None),
            t.quotes.c.expires_at > now,
        )
        query = select(t.leads.c.id).where(t.leads.c.state == LeadState.QUOTED, ~good.exists())
        return list(self._connection.execute(query).scalars())

    def count_by_state(self) -> dict[LeadState, int]:
        query = select(t.leads.c.state, func.count()).group_by(t.leads.c.state)
        return {LeadState(state): count for state, count in self._connection.execute(query)}

    def note(self, lead_id: str, change: Change) -> None:
        self._connection.execute(
            insert(t.lead_changes).values(
                lead_id=lead_id,
                at=change.at,
                who=change.who,
                what=change.what,
                detail=dict(change.detail),
            )
        )

    def history(self, lead_id: str) -> list[Change]:
        query = (
            select(t.lead_changes)
            .where(t.lead_changes.c.lead_id == lead_id)
            .order_by(t.lead_changes.c.id)
        )
        return [
            Change(at=row["at"], who=row["who"], what=row["what"], detail=row["detail"])
            for row in self._connection.execute(query).mappings()
        ]


def _quote(row: RowMapping) -> Quote:
    return Quote(
        id=row["id"],
        lead_id=row["lead_id"],
        number=row["number"],
        kind=QuoteKind(row["kind"]),
        estimate=_estimates().validate_json(row["estimate"]),
        low=row["low"],
        likely=row["likely"],
        high=row["high"],
        currency=row["currency"],
        deposit=row["deposit"],
        created_at=row["created_at"],
        expires_at=row["expires_at"],
        sent_at=row["sent_at"],
        note=row["note"],
    )


class SqlQuotes:
    """`service.leads.ports.Quotes` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, quote: Quote) -> Quote:
        self._connection.execute(
            insert(t.quotes).values(
                id=quote.id,
                lead_id=quote.lead_id,
                number=self._next_number(quote.lead_id),
                kind=quote.kind,
                estimate=_estimates().dump_json(quote.estimate).decode(),
                low=quote.low,
                likely=quote.likely,
                high=quote.high,
                currency=quote.currency,
                deposit=quote.deposit,
                note=quote.note,
                created_at=quote.created_at,
                expires_at=quote.expires_at,
                sent_at=quote.sent_at,
            )
        )
        return self.get(quote.id)

    def _next_number(self, lead_id: str) -> str:
        seq, made = self._connection.execute(
            select(t.leads.c.seq, func.count(t.quotes.c.id))
            .outerjoin(t.quotes, t.quotes.c.lead_id == t.leads.c.id)
            .where(t.leads.c.id == lead_id)
            .group_by(t.leads.c.seq)
        ).one()
        return f"{_lead_number(seq)}-{made + 1}"

    def get(self, quote_id: str) -> Quote:
        query = select(t.quotes).where(t.quotes.c.id == quote_id)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such quote.")
        return _quote(row)

    def latest(self, lead_id: str, *, sent: bool = False) -> Quote | None:
        query = select(t.quotes).where(t.quotes.c.lead_id == lead_id)
        if sent:
            query = query.where(t.quotes.c.sent_at.is_not(None))
        query = query.order_by(t.quotes.c.seq.desc()).limit(1)
        row = self._connection.execute(query).mappings().one_or_none()
        return None if row is None else _quote(row)

    def mark_sent(self, quote_id: str, at: datetime, expires_at: datetime) -> None:
        self._connection.execute(
            update(t.quotes)
            .where(t.quotes.c.id == quote_id)
            .values(sent_at=at, expires_at=expires_at)
        )


class SqlLinks:
    """`service.leads.ports.Links` over a connection."""

    def __init__(self, connection: Connection, clock_now: datetime) -> None:
        self._connection = connection
        self._now = clock_now

    def add(self, *, purpose: str, subject_id: str, expires_at: datetime) -> str:
        link_id = fresh_id()
        self._connection.execute(
            insert(t.links).values(
                id=link_id,
                purpose=purpose,
                subject_id=subject_id,
                created_at=self._now,
                expires_at=expires_at,
            )
        )
        return link_id

    def find(self, link_id: str, *, purpose: str, now: datetime) -> str:
        query = select(t.links).where(t.links.c.id == link_id, t.links.c.purpose == purpose)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such link.")
        if row["revoked_at"] is not None or row["expires_at"] <= now:
            raise LinkExpired("This link is no longer valid.")
        return str(row["subject_id"])

    def of(self, subject_id: str, purpose: str) -> str | None:
        query = (
            select(t.links.c.id)
            .where(t.links.c.subject_id == subject_id, t.links.c.purpose == purpose)
            .order_by(t.links.c.created_at.desc())
            .limit(1)
        )
        return self._connection.execute(query).scalar_one_or_none()


def _hold(row: RowMapping) -> Hold:
    return Hold(
        id=row["id"],
        lead_id=row["lead_id"],
        quote_id=row["quote_id"],
        window=Window(starts_at=row["starts_at"], ends_at=row["ends_at"]),
        expires_at=row["expires_at"],
        client=Client(**row["client"]),
    )


class SqlHolds:
    """`service.leads.ports.Holds`; the primary key of `hold_slots` refuses overlaps."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, hold: Hold, *, slots: Sequence[int], crew: int) -> None:
        try:
            # A savepoint: PostgreSQL would otherwise refuse all that follows a failed insert.
            with self._connection.begin_nested():
                self._connection.execute(
                    insert(t.holds).values(
                        id=hold.id,
                        lead_id=hold.lead_id,
                        quote_id=hold.quote_id,
                        starts_at=hold.window.starts_at,
                        ends_at=hold.window.ends_at,
                        expires_at=hold.expires_at,
                        client=_client_json(hold.client),
                        state="active",
                    )
                )
                # In ascending order, so that two clients cannot wait for one another.
                self._connection.execute(
                    insert(t.hold_slots),
                    [{"slot": slot, "crew": crew, "hold_id": hold.id} for slot in sorted(slots)],
                )
        except IntegrityError:
            raise WindowTaken("That set-up window has just been taken.") from None

    def taken(
        self, slots: Sequence[int], *, crew: int, now: datetime, but: Hold | None = None
    ) -> bool:
        query = (
            select(func.count())
            .select_from(t.hold_slots.join(t.holds))
            .where(
                t.hold_slots.c.crew == crew,
                t.hold_slots.c.slot >= min(slots),
                t.hold_slots.c.slot <= max(slots),
                or_(t.holds.c.state == "booked", t.holds.c.expires_at > now),
                t.holds.c.id != (but.id if but else ""),
            )
        )
        return self._connection.execute(query).scalar_one() > 0

    def of_lead(self, lead_id: str) -> Hold | None:
        query = select(t.holds).where(
            t.holds.c.lead_id == lead_id, t.holds.c.state.in_(("active", "booked"))
        )
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _hold(row)

    def release(self, hold_id: str) -> None:
        self._connection.execute(delete(t.hold_slots).where(t.hold_slots.c.hold_id == hold_id))
        self._connection.execute(
            update(t.holds).where(t.holds.c.id == hold_id).values(state="released")
        )

    def book(self, hold_id: str) -> None:
        self._connection.execute(
            update(t.holds).where(t.holds.c.id == hold_id).values(state="booked")
        )

    def expired(self, now: datetime) -> list[Hold]:
        query = select(t.holds).where(t.holds.c.state == "active", t.holds.c.expires_at <= now)
        return [_hold(row) for row in self._connection.execute(query).mappings()]
