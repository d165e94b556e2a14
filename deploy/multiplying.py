"""Many requests out of few: the database itself makes the copies, table by table.

A copy stands just before its original, in number and in time, and has a number, an address, a
phone and a chat of its own, so that each is found by what it alone is found by. Its quote has no
estimate to speak of: lists and figures never read one, and a million take thirty gigabytes.
"""

import datetime as dt
from collections.abc import Mapping
from typing import Any

from sqlalchemy import (
    JSON,
    Column,
    ColumnElement,
    Connection,
    DateTime,
    Integer,
    Interval,
    MetaData,
    Select,
    String,
    Table,
    Text,
    case,
    cast,
    func,
    insert,
    literal,
    not_,
    select,
    type_coerce,
)

from service.storage import tables as t
from service.storage.leads import number_of
from service.storage.types import Instant

_FIRST_NUMBER = int(number_of(0)[1:])
_CACHE_KB = 1_000_000
_TABLES = (
    t.leads,
    t.lead_terms,
    t.quotes,
    t.holds,
    t.payments,
    t.lead_changes,
    t.conversations,
)

Expression = ColumnElement[Any]

# A list of its own: to look for them among all that there are by then would take far longer.
_originals = Table(
    "originals",
    MetaData(),
    Column("seq", Integer, primary_key=True),
    *(Column(name, String) for name in ("id", "channel", "chat_id")),
    prefixes=["TEMPORARY"],
)


def multiply(connection: Connection, *, times: int, upto: int, step: dt.timedelta) -> None:
    """Make of every request whose number divides by `times`, up to `upto`, as many as `times`.

    `step` is how far each was asked before the next one.
    """
    sqlite = connection.dialect.name == "sqlite"
    rows_by_table = _Copying(sqlite, times, step).tables()
    indexes = [index for table, _ in rows_by_table for index in table.indexes]
    if sqlite:
        connection.exec_driver_sql(f"PRAGMA cache_size = -{_CACHE_KB}")
    # An index is made from what is there many times faster than it is kept up row by row.
    for index in indexes:
        index.drop(connection)
    _originals.create(connection)
    found = select(*(t.leads.c[column.name] for column in _originals.columns))
    found = found.where(t.leads.c.seq % times == 0, t.leads.c.seq <= upto)
    connection.execute(insert(_originals).from_select(_originals.columns.keys(), found))
    for table, rows in rows_by_table:
        names = [column.name for column in rows.selected_columns]
        connection.execute(insert(table).from_select(names, rows))
    for index in indexes:
        index.create(connection)
    _originals.drop(connection)


class _Copying:
    def __init__(self, sqlite: bool, times: int, step: dt.timedelta) -> None:
        self._sqlite, self._step = sqlite, step
        start = select(literal(1).label("back")).cte("copies", recursive=True)
        more = select(start.c.back + 1).where(start.c.back < times - 1)
        self._copies = start.union_all(more)
        self._back = self._copies.c.back
        self._old = _originals.c.seq
        self._new = self._old - self._back
        self._id = _originals.c.id + "." + _text(self._back)

    def tables(self) -> list[tuple[Table, Select[Any]]]:
        """New rows by table, in an order that every reference holds in."""
        leads, terms, talks = t.leads.c, t.lead_terms.c, t.conversations.c
        number, chat = "G" + _text(self._new + _FIRST_NUMBER), "chat-" + _text(self._new)
        lead = {"id": self._id, "seq": self._new, "client": self._client(leads.client)}
        term = {"seq": self._new, "term": self._term()}
        quote = {"id": "q" + self._id, "number": number + "-1", "estimate": literal("{}")}
        hold = {"id": self._id, "quote_id": "q" + self._id}
        same_chat = (talks.channel == _originals.c.channel) & (
            talks.chat_id == _originals.c.chat_id
        )
        each = (
            self._copied(t.leads, lead | {"chat_id": chat}, leads.seq == self._old).order_by("seq"),
            # In the order of its key, so that the table grows at one place after another.
            self._copied(t.lead_terms, term, terms.seq == self._old).order_by("term", "seq"),
            self._of_lead(t.quotes, quote),
            self._of_lead(t.holds, hold | {"client": self._client(t.holds.c.client)}),
            self._of_lead(t.payments, {"id": self._id}),
            self._of_lead(t.lead_changes, {}),
            self._copied(t.conversations, {"chat_id": chat}, same_chat),
        )
        return list(zip(_TABLES, each, strict=True))

    def _of_lead(self, table: Table, own: Mapping[str, Expression]) -> Select[Any]:
        same_lead = table.c.lead_id == _originals.c.id
        return self._copied(table, {**own, "lead_id": self._id}, same_lead)

    def _copied(
        self, table: Table, own: Mapping[str, Expression], of_original: Expression
    ) -> Select[Any]:
        """The rows of every original's, once for each copy."""
        columns = [c for c in table.columns if c.name in own or c.autoincrement is not True]
        values = [self._moved(column, own).label(column.name) for column in columns]
        query = select(*values).select_from(_originals).join(table, of_original)
        return query.join(self._copies, literal(True))

    def _moved(self, column: Any, own: Mapping[str, Expression]) -> Expression:
        if column.name in own:
            return own[column.name]
        if not isinstance(column.type, Instant):
            return type_coerce(column, column.type)
        if self._sqlite:
            microseconds = self._step // dt.timedelta(microseconds=1)
            return type_coerce(column, Integer) - self._back * microseconds
        return type_coerce(column, DateTime(True)) - self._back * literal(self._step, Interval)

    def _client(self, client: Expression) -> Expression:
        text: Expression = cast(client, Text)
        for old, new in (
            (_text(self._old) + "@", _text(self._new) + "@"),
            (spoken_phone(self._old), spoken_phone(self._new)),
        ):
            text = func.replace(text, old, new)
        return text if self._sqlite else cast(text, JSON)

    def _term(self) -> Expression:
        term, old, new = t.lead_terms.c.term, self._old, self._new
        worded = term.endswith(_text(old)) & not_(term.between("0", ":"))
        return case(
            (term == "g" + _text(old + _FIRST_NUMBER), "g" + _text(new + _FIRST_NUMBER)),
            (term == _digits(old), _digits(new)),
            (term == _last_four(old), _last_four(new)),
            (worded, func.replace(term, _text(old), _text(new))),
            else_=term,
        )


def spoken_phone(seq: Expression) -> Expression:
    """As `deploy.seeding` makes them up."""
    return "+1 617 " + _text(200 + seq // 10_000) + " " + _last_four(seq)


def _digits(seq: Expression) -> Expression:
    return "1617" + _text(200 + seq // 10_000) + _last_four(seq)


def _last_four(seq: Expression) -> Expression:
    return func.substr(_text(10_000 + seq % 10_000), 2)


def _text(number: Expression) -> Expression:
    return cast(number, String)
