"""The shop's own data as tables, read a few hundred rows at a time."""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, RowMapping, Select, Text, cast, func, select

from service.leads.exports import Cell
from service.storage import tables as t
from service.storage.leads import number_of

_AT_ONCE = 500

_NUMBER = "number"
_CLIENT = ("name", "email", "phone")

_COLUMNS = {"client": _CLIENT}
"""What takes more than one column."""


class SqlExports:
    """`service.leads.exports.Exports` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def columns(self, table: str) -> Sequence[str]:
        names = (str(column.key) for column in _QUERIES[table]().selected_columns)
        return [each for name in names for each in _COLUMNS.get(name, (name,))]

    def rows(self, table: str) -> Iterator[Sequence[Cell]]:
        query, options = _QUERIES[table](), {"yield_per": _AT_ONCE}
        found = self._connection.execute(query, execution_options=options).mappings()
        for some in found.partitions():
            yield from map(_cells, some)


def _cells(row: RowMapping) -> Sequence[Cell]:
    found: list[Cell] = []
    for name, value in row.items():
        found += _SAID[name](value) if name in _SAID else (value,)
    return found


def _client(kept: Mapping[str, Any] | str) -> Sequence[Cell]:
    read = json.loads(kept) if isinstance(kept, str) else kept
    return [read.get(name) for name in _CLIENT]


def _number(place: int | None) -> Sequence[Cell]:
    return [None if place is None else number_of(place)]


def _total(hours: Mapping[str, float]) -> Sequence[Cell]:
    return [round(sum(hours.values()), 2)]


def _json(value: Any) -> Sequence[Cell]:
    return [json.dumps(value, ensure_ascii=False) if value else None]


_SAID: Mapping[str, Callable[[Any], Sequence[Cell]]] = {
    _NUMBER: _number,
    "merged_into": _number,
    "client": _client,
    "planned_hours": _total,
    "detail": _json,
    "decision": _json,
    "applied": _json,
    "told": _json,
    "review_reasons": _json,
}


def _of_lead(lead_id: ColumnElement[str], *columns: ColumnElement[Any]) -> Select[Any]:
    """Columns of a table of what belongs to requests, the request's number first."""
    of = t.leads.c.seq.label(_NUMBER)
    return select(of, *columns).outerjoin_from(lead_id.table, t.leads, lead_id == t.leads.c.id)


def _leads() -> Select[Any]:
    c, kept = t.leads.c, t.leads.alias()
    merged_into = select(kept.c.seq).where(kept.c.id == c.merged_into).scalar_subquery()
    return select(
        c.seq.label(_NUMBER),
        c.client,
        *(c.standing.label("state"), c.channel, c.language, c.source),
        c.created_at.label("asked_at"),
        c.answered_at,
        c.event_on.label("event_date"),
        *(c.review_reasons, c.lost_because, c.revision),
        merged_into.label("merged_into"),
        c.erased_at,
        c.brief.label("wanted"),
    ).order_by(c.seq)


def _clients() -> Select[Any]:
    c = t.leads.c
    client = cast(c.client, Text)
    columns: list[ColumnElement[Any]] = [
        client.label("client"),
        func.count().label("requests"),
        func.min(c.created_at).label("first_asked_at"),
        func.max(c.created_at).label("last_asked_at"),
    ]
    people = select(*columns).where(c.erased_at.is_(None)).group_by(client)
    return people.order_by(func.min(c.seq))


def _quotes() -> Select[Any]:
    c = t.quotes.c
    query = _of_lead(
        c.lead_id,
        *(c.number.label("quote"), c.kind, c.low, c.likely, c.high, c.before_tax),
        *(c.deposit, c.currency, c.cost.label("planned_cost"), c.hours.label("planned_hours")),
        *(c.created_at, c.sent_at, c.expires_at, c.note, c.book_version.label("price_book")),
    )
    return query.order_by(c.seq)


def _bookings() -> Select[Any]:
    c = t.holds.c
    query = _of_lead(
        c.lead_id,
        *(c.state, c.client, c.leaves_at, c.starts_at.label("set_up_from")),
        *(c.ends_at.label("set_up_until"), c.strikes_at, c.returns_at, c.crew),
        *(c.expires_at, c.revision, c.made_at, c.changed_at),
    )
    return query.order_by(c.made_at, c.id)


def _actuals() -> Select[Any]:
    c, quote = t.actuals.c, t.quotes.alias()
    planned = quote.c.id == c.quote_id
    query = _of_lead(
        c.lead_id,
        *(c.done_on, quote.c.number.label("quote"), quote.c.before_tax, c.currency),
        *(quote.c.cost.label("planned_cost"), c.real_cost),
        *(quote.c.hours.label("planned_hours"), c.took.label("told"), c.went_wrong),
        *(c.entered_at, c.changed_at, c.who, c.revision),
    )
    return query.outerjoin(quote, planned).order_by(c.done_on, c.lead_id)


def _payments() -> Select[Any]:
    c = t.payments.c
    query = _of_lead(
        c.lead_id,
        *(c.kind, c.amount, c.currency, c.paid_on, c.method, c.reference),
        *(c.recorded_at, c.recorded_by, c.voided_at),
    )
    return query.order_by(c.recorded_at, c.id)


def _history() -> Select[Any]:
    c = t.lead_changes.c
    return _of_lead(c.lead_id, c.at, c.who, c.what, c.detail).order_by(c.id)


def _notes() -> Select[Any]:
    c = t.lead_notes.c
    return _of_lead(c.lead_id, c.at, c.who, c.text).order_by(c.id)


def _messages() -> Select[Any]:
    m, c = t.messages.c, t.conversations.c
    # Not the chat's own name: who has that of a web chat can speak in it.
    query = select(m.conversation_id.label("conversation"), c.channel, m.seq, m.at, m.direction)
    query = query.add_columns(m.kind, m.text).join_from(t.messages, t.conversations)
    return query.order_by(m.conversation_id, m.seq)


def _reminders() -> Select[Any]:
    c = t.reminders.c
    query = _of_lead(c.lead_id, c.kind, c.basis, c.state, c.due_at, c.made_at, c.closed_at)
    return query.order_by(c.made_at, c.id)


def _stock() -> Select[Any]:
    c = t.stock_moves.c
    query = _of_lead(c.lead_id, c.size_class, c.colour, c.count, c.why, c.at, c.who)
    return query.order_by(c.id)


def _purchases() -> Select[Any]:
    """A row for each job that something was bought for, and one where it was for none."""
    c, of = t.purchases.c, t.purchase_jobs.c
    query = select(
        t.leads.c.seq.label(_NUMBER),
        *(c.id.label("purchase"), c.supplier, c.item, c.packs, c.cost, c.currency),
        *(of.count.label("for_this_job"), c.bought_at, c.who, c.undone_at),
    )
    query = query.outerjoin_from(t.purchases, t.purchase_jobs, of.purchase_id == c.id)
    query = query.outerjoin(t.leads, of.lead_id == t.leads.c.id)
    return query.order_by(c.bought_at, c.id, t.leads.c.seq)


def _price_books() -> Select[Any]:
    c = t.price_books.c
    return select(c.version, c.made_at, c.made_by, c.note, c.text).order_by(c.seq)


def _calibrations() -> Select[Any]:
    c = t.calibrations.c
    columns = (c.version, c.made_at, c.made_by, c.decision, c.jobs, c.applied)
    return select(*columns).order_by(c.seq)


_QUERIES: Mapping[str, Callable[[], Select[Any]]] = {
    "leads": _leads,
    "clients": _clients,
    "quotes": _quotes,
    "bookings": _bookings,
    "actuals": _actuals,
    "payments": _payments,
    "history": _history,
    "notes": _notes,
    "messages": _messages,
    "reminders": _reminders,
    "stock": _stock,
    "purchases": _purchases,
    "price-books": _price_books,
    "calibrations": _calibrations,
}
