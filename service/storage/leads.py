"""Leads and quotes in SQL."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from sqlalchemy import Connection, RowMapping, bindparam, delete, func, insert, select, update

from service.estimating import Brief, Estimate
from service.leads.figures import before_tax, direct_cost
from service.leads.finding import terms_of
from service.leads.lead import (
    Change,
    Client,
    Lead,
    LeadState,
    NotFound,
    PriceLine,
    Quote,
    QuoteKind,
    StaleDecision,
)
from service.storage import tables as t

# So many quotes of one lead may have been sent one after the other.
_SENT_EACH = 4

# The first number a client sees; a shop's first lead need not say that it is the first.
_FIRST_NUMBER = 1000

_CENT = Decimal("0.01")


# Made once: every reply goes through each of them, and to put one together takes as long as to run.
_ONE = select(t.leads).where(t.leads.c.id == bindparam("lead_id"))
_ONE_LOCKED = _ONE.with_for_update()
_SAVE = update(t.leads).where(t.leads.c.id == bindparam("lead_id"))
_ADD = insert(t.leads).returning(t.leads.c.seq)
_ADD_TERMS = insert(t.lead_terms)
_NOTE = insert(t.lead_changes)
_TERMS = select(t.lead_terms.c.term).where(t.lead_terms.c.seq == bindparam("of_lead"))


@cache
def briefs() -> TypeAdapter[Brief]:
    """Briefs as they are kept: JSON."""
    return TypeAdapter(Brief)


@cache
def estimates() -> TypeAdapter[Estimate]:
    """Estimates as they are kept: JSON."""
    return TypeAdapter(Estimate)


def client_json(client: Client) -> dict[str, Any]:
    """A client as it is kept."""
    return {"name": client.name, "email": client.email, "phone": client.phone}


def lead_of(row: RowMapping) -> Lead:
    """A lead from its row."""
    return Lead(
        id=row["id"],
        number=number_of(row["seq"]),
        state=LeadState(row["state"]),
        channel=row["channel"],
        chat_id=row["chat_id"],
        language=row["language"],
        client=Client(**row["client"]),
        brief=briefs().validate_json(row["brief"]),
        created_at=row["created_at"],
        review_reasons=tuple(row["review_reasons"]),
        source=row["source"],
        revision=row["revision"],
        answered_at=row["answered_at"],
        lost_because=row["lost_because"],
        merged_into=row["merged_into"],
        erased_at=row["erased_at"],
    )


def number_of(seq: int) -> str:
    """The number that people call a lead by."""
    return f"G{_FIRST_NUMBER + seq}"


def seq_of(number: str) -> int:
    """What a lead's number stands for; NotFound for one that no lead can have."""
    digits = number.removeprefix("G")
    # Longer ones would not fit the database's whole numbers.
    if not (digits.isascii() and digits.isdigit() and len(digits) <= 9):
        raise NotFound(f"There is no lead numbered {number}.")
    return int(digits) - _FIRST_NUMBER


def _event_on(brief: Brief) -> str | None:
    day = brief.event.date
    return None if day is None else day.isoformat()


class SqlLeads:
    """`service.leads.repositories.Leads` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        # By the ids of those that were read under their lock: what their words come from.
        self._indexed: dict[str, tuple[Client, Brief]] = {}

    def add(self, lead: Lead) -> Lead:
        row = {
            "id": lead.id,
            "state": lead.state,
            "channel": lead.channel,
            "chat_id": lead.chat_id,
            "language": lead.language,
            "client": client_json(lead.client),
            "brief": briefs().dump_json(lead.brief).decode(),
            "review_reasons": list(lead.review_reasons),
            "created_at": lead.created_at,
            "source": lead.source,
            "event_on": _event_on(lead.brief),
            "standing": lead.standing,
            "revision": 0,
        }
        seq = self._connection.execute(_ADD, row).scalar_one()
        created_at = lead.created_at.astimezone(UTC)
        stored = replace(lead, number=number_of(seq), created_at=created_at, revision=0)
        self._add_terms(seq, terms_of(stored.number, stored.client, stored.brief))
        return stored

    def get(self, lead_id: str, *, lock: bool = False) -> Lead:
        query = _ONE_LOCKED if lock else _ONE
        row = self._connection.execute(query, {"lead_id": lead_id}).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such lead.")
        lead = lead_of(row)
        if lock:
            self._indexed[lead.id] = lead.client, lead.brief
        return lead

    def save(self, lead: Lead) -> None:
        changed = {
            "state": lead.state,
            "review_reasons": list(lead.review_reasons),
            "client": client_json(lead.client),
            "lost_because": lead.lost_because,
            "merged_into": lead.merged_into,
            "standing": lead.standing,
        }
        self._connection.execute(_SAVE, {"lead_id": lead.id, **changed})
        # To compare is quicker than to look up.
        if self._indexed.pop(lead.id, None) != (lead.client, lead.brief):
            self._index(lead)

    def save_brief(self, lead: Lead) -> Lead:
        changed = self._connection.execute(
            update(t.leads)
            .where(t.leads.c.id == lead.id, t.leads.c.revision == lead.revision)
            .values(
                brief=briefs().dump_json(lead.brief).decode(),
                client=client_json(lead.client),
                event_on=_event_on(lead.brief),
                revision=lead.revision + 1,
            )
        )
        if changed.rowcount != 1:
            raise StaleDecision("What is wanted was changed in the meantime. Look again.")
        stored = self.get(lead.id)
        self._index(stored)
        return stored

    def answered(self, channel: str, chat_id: str, *, at: datetime) -> None:
        c = t.leads.c
        self._connection.execute(
            update(t.leads)
            .where(c.channel == channel, c.chat_id == chat_id, c.answered_at.is_(None))
            .values(answered_at=at)
        )

    def _index(self, lead: Lead) -> None:
        """The words by which it is found, as they are now."""
        seq = seq_of(lead.number)
        terms = terms_of(lead.number, lead.client, lead.brief)
        of_lead = t.lead_terms.c.seq == seq
        known = set(self._connection.scalars(_TERMS, {"of_lead": seq}))
        if gone := known - terms:
            self._connection.execute(
                delete(t.lead_terms).where(of_lead, t.lead_terms.c.term.in_(gone))
            )
        if fresh := terms - known:
            self._add_terms(seq, fresh)

    def _add_terms(self, seq: int, terms: Iterable[str]) -> None:
        rows = [{"term": term, "seq": seq} for term in sorted(terms)]
        self._connection.execute(_ADD_TERMS, rows)

    def page(self, *, before: str | None, limit: int, state: LeadState | None) -> list[Lead]:
        query = select(t.leads).order_by(t.leads.c.seq.desc()).limit(limit)
        if before is not None:
            query = query.where(t.leads.c.seq < seq_of(before))
        if state is not None:
            query = query.where(t.leads.c.state == state)
        return [lead_of(row) for row in self._connection.execute(query).mappings()]

    def of_chat(self, channel: str, chat_id: str) -> list[Lead]:
        query = (
            select(t.leads)
            .where(t.leads.c.channel == channel, t.leads.c.chat_id == chat_id)
            .order_by(t.leads.c.seq.desc())
        )
        return [lead_of(row) for row in self._connection.execute(query).mappings()]

    def with_expired_quotes(
        self, now: datetime, *, among: Sequence[str] | None = None
    ) -> list[str]:
        good = select(t.quotes.c.seq).where(
            t.quotes.c.lead_id == t.leads.c.id,
            t.quotes.c.sent_at.is_not(None),
            t.quotes.c.expires_at > now,
        )
        query = select(t.leads.c.id).where(t.leads.c.state == LeadState.QUOTED, ~good.exists())
        if among is not None:
            query = query.where(t.leads.c.id.in_(among))
        return list(self._connection.execute(query).scalars())

    def count_by_state(self) -> dict[LeadState, int]:
        query = select(t.leads.c.state, func.count()).group_by(t.leads.c.state)
        return {LeadState(state): count for state, count in self._connection.execute(query)}

    def note(self, lead_id: str, change: Change) -> None:
        row = {"at": change.at, "who": change.who, "what": change.what}
        detail = dict(change.detail)
        self._connection.execute(_NOTE, {"lead_id": lead_id, **row, "detail": detail})

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
        brief=briefs().validate_json(row["brief"]),
        estimate=estimates().validate_json(row["estimate"]),
        low=row["low"],
        likely=row["likely"],
        high=row["high"],
        currency=row["currency"],
        deposit=row["deposit"],
        created_at=row["created_at"],
        expires_at=row["expires_at"],
        sent_at=row["sent_at"],
        note=row["note"],
        lines=_lines_of(row["lines"]),
    )


def _lines_of(kept: list[dict[str, Any]] | None) -> tuple[PriceLine, ...] | None:
    if kept is None:
        return None
    return tuple(
        PriceLine(
            label=line["label"],
            amount=Decimal(line["amount"]),
            was=None if line["was"] is None else Decimal(line["was"]),
        )
        for line in kept
    )


def _lines_json(lines: tuple[PriceLine, ...] | None) -> list[dict[str, Any]] | None:
    if lines is None:
        return None
    return [
        {
            "label": line.label,
            "amount": str(line.amount),
            "was": None if line.was is None else str(line.was),
        }
        for line in lines
    ]


def _as_kept(quote: Quote, number: str) -> Quote:
    """The quote as it will be read again: to the cent, its times in UTC."""
    return replace(
        quote,
        number=number,
        low=quote.low.quantize(_CENT),
        likely=quote.likely.quantize(_CENT),
        high=quote.high.quantize(_CENT),
        deposit=quote.deposit.quantize(_CENT),
        created_at=quote.created_at.astimezone(UTC),
        expires_at=quote.expires_at.astimezone(UTC),
        sent_at=quote.sent_at and quote.sent_at.astimezone(UTC),
    )


# What was erased with a client's data leaves its figures, and can be read no more.
_READABLE = t.quotes.c.estimate != ""

_OF_LEAD = select(t.quotes).where(t.quotes.c.lead_id == bindparam("of_lead"), _READABLE)
_LATEST = _OF_LEAD.order_by(t.quotes.c.seq.desc()).limit(1)
_LATEST_SENT = _LATEST.where(t.quotes.c.sent_at.is_not(None))
_MADE = (
    select(t.leads.c.seq, func.count(t.quotes.c.id))
    .outerjoin(t.quotes, t.quotes.c.lead_id == t.leads.c.id)
    .where(t.leads.c.id == bindparam("of_lead"))
    .group_by(t.leads.c.seq)
)
_ADD_QUOTE = insert(t.quotes)
_ANSWERED = update(t.leads).where(
    t.leads.c.id == bindparam("of_lead"), t.leads.c.answered_at.is_(None)
)


class SqlQuotes:
    """`service.leads.repositories.Quotes` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, quote: Quote) -> Quote:
        kept = _as_kept(quote, self._next_number(quote.lead_id))
        row = {
            "id": kept.id,
            "lead_id": kept.lead_id,
            "number": kept.number,
            "kind": kept.kind,
            "brief": briefs().dump_json(kept.brief).decode(),
            "estimate": estimates().dump_json(kept.estimate).decode(),
            "low": quote.low,
            "likely": quote.likely,
            "high": quote.high,
            "currency": kept.currency,
            "deposit": quote.deposit,
            "note": kept.note,
            "created_at": kept.created_at,
            "expires_at": kept.expires_at,
            "sent_at": kept.sent_at,
            "lines": _lines_json(kept.lines),
            "book_version": kept.estimate.price_book_version,
            "calibration": kept.calibration,
            "cost": direct_cost(kept.estimate),
            "before_tax": before_tax(kept.likely, kept.estimate.price),
            "hours": dict(kept.estimate.hours),
        }
        self._connection.execute(_ADD_QUOTE, row)
        if kept.sent_at is not None:
            self._first_answer(kept.lead_id, kept.sent_at)
        return kept

    def _next_number(self, lead_id: str) -> str:
        seq, made = self._connection.execute(_MADE, {"of_lead": lead_id}).one()
        return f"{number_of(seq)}-{made + 1}"

    def get(self, quote_id: str) -> Quote:
        query = select(t.quotes).where(t.quotes.c.id == quote_id, _READABLE)
        row = self._connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such quote.")
        return _quote(row)

    def of_lead(self, lead_id: str) -> list[Quote]:
        of_lead = select(t.quotes).where(t.quotes.c.lead_id == lead_id, _READABLE)
        query = of_lead.order_by(t.quotes.c.seq)
        return [_quote(row) for row in self._connection.execute(query).mappings()]

    def latest(self, lead_id: str, *, sent: bool = False) -> Quote | None:
        query = _LATEST_SENT if sent else _LATEST
        row = self._connection.execute(query, {"of_lead": lead_id}).mappings().one_or_none()
        return None if row is None else _quote(row)

    def newest(self, limit: int) -> list[Quote]:
        c = t.quotes.c
        sent = select(c.seq, c.lead_id).where(c.sent_at.is_not(None), _READABLE)
        last = sent.order_by(c.seq.desc()).limit(_SENT_EACH * limit)
        # Of each lead the last one: a dictionary keeps what comes first in its place.
        by_lead: dict[str, int] = {}
        for seq, lead_id in self._connection.execute(last):
            by_lead.setdefault(lead_id, seq)
        query = select(t.quotes).where(c.seq.in_(list(by_lead.values())[:limit]))
        rows = self._connection.execute(query.order_by(c.seq.desc())).mappings()
        return [_quote(row) for row in rows]

    def mark_sent(self, quote_id: str, at: datetime, expires_at: datetime) -> None:
        lead_id = self._connection.execute(
            update(t.quotes)
            .where(t.quotes.c.id == quote_id)
            .values(sent_at=at, expires_at=expires_at)
            .returning(t.quotes.c.lead_id)
        ).scalar_one()
        self._first_answer(lead_id, at)

    def _first_answer(self, lead_id: str, at: datetime) -> None:
        self._connection.execute(_ANSWERED, {"of_lead": lead_id, "answered_at": at})
