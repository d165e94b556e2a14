"""Counting for figures, in SQL, by indexes that hold all that is counted."""

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from sqlalchemy import (
    ColumnElement,
    Connection,
    Float,
    Integer,
    and_,
    cast,
    exists,
    extract,
    func,
    select,
    true,
)

from service.leads.figures import Jobs, Outcome, Outturn
from service.leads.lead import REPLACED, LeadState
from service.storage import tables as t
from service.storage.types import in_cents

_WON = (LeadState.BOOKED, LeadState.DONE)

_BEGINNING = datetime(1970, 1, 1, tzinfo=UTC)


class SqlFigures:
    """`service.leads.figures.Counting` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._sqlite = connection.dialect.name == "sqlite"

    def answers(self, since: datetime | None, until: datetime | None) -> Mapping[int | None, int]:
        c = t.leads.c
        taken = self._seconds(c.answered_at, c.created_at)
        query = (
            select(taken, func.count()).where(*_within(c.created_at, since, until)).group_by(taken)
        )
        return {row[0]: row[1] for row in self._connection.execute(query)}

    def outcomes(self, since: datetime | None, until: datetime | None) -> Sequence[Outcome]:
        c = t.leads.c
        merged = c.merged_into.is_not(None)
        kinds = (c.state, c.lost_because, merged, c.channel, c.source)
        query = (
            select(*kinds, func.count())
            .where(*_within(c.created_at, since, until))
            .group_by(*kinds)
        )
        return [
            Outcome(
                state=LeadState(state),
                lost_because=because,
                merged=bool(is_merged) or because == REPLACED,
                channel=channel,
                source=source,
                count=count,
            )
            for state, because, is_merged, channel, source, count in self._connection.execute(query)
        ]

    def quotes_sent(self, since: datetime | None, until: datetime | None) -> Mapping[str, int]:
        c = t.quotes.c
        query = (
            select(c.kind, func.count())
            .where(c.sent_at.is_not(None), *_within(c.sent_at, since, until))
            .group_by(c.kind)
        )
        return {row[0]: row[1] for row in self._connection.execute(query)}

    def jobs(self, since: datetime | None, until: datetime | None) -> Sequence[Jobs]:
        c = t.quotes.c
        cents = self._cents(c.cost)
        query = (
            select(c.currency, c.before_tax, func.sum(cents), func.count())
            .join_from(t.leads, t.quotes, c.lead_id == t.leads.c.id)
            .where(*_won(since, until), _newest_sent())
            .group_by(c.currency, c.before_tax)
        )
        return [
            Jobs(currency=currency, before_tax=price, cost=Decimal(cost) / 100, count=count)
            for currency, price, cost, count in self._connection.execute(query)
        ]

    def outturns(self, since: datetime | None, until: datetime | None) -> Sequence[Outturn]:
        c, told = t.quotes.c, t.actuals.c
        price, planned, real = map(self._cents, (c.before_tax, c.cost, told.real_cost))
        jobs = t.actuals.join(t.leads, told.lead_id == t.leads.c.id)
        query = (
            select(c.currency, func.sum(price), func.sum(planned), func.sum(real), func.count())
            .select_from(jobs.join(t.quotes, c.lead_id == t.leads.c.id))
            .where(*_won(since, until, read_on=True), _newest_sent())
            .group_by(c.currency)
        )
        return [
            Outturn(
                currency=currency,
                before_tax=Decimal(price) / 100,
                planned_cost=Decimal(planned) / 100,
                real_cost=Decimal(real) / 100,
                count=count,
            )
            for currency, price, planned, real, count in self._connection.execute(query)
        ]

    def hours(self, since: datetime | None, until: datetime | None) -> Mapping[str, float]:
        c = t.quotes.c
        each = func.json_each if self._sqlite else func.json_each_text
        tasks = each(c.hours).table_valued("key", "value")
        query = (
            select(tasks.c.key, func.sum(cast(tasks.c.value, Float)))
            .select_from(t.leads.join(t.quotes, c.lead_id == t.leads.c.id).join(tasks, true()))
            .where(*_won(since, until, read_on=True), _newest_sent())
            .group_by(tasks.c.key)
        )
        return {task: float(hours) for task, hours in self._connection.execute(query)}

    def days(self, since: datetime | None, until: datetime | None) -> Mapping[date, int]:
        # Not in the order of its own index, which lacks the rest.
        day = t.leads.c.event_on.concat("")
        query = select(day, func.count()).where(*_won(since, until)).group_by(day)
        counted = {row[0]: row[1] for row in self._connection.execute(query)}
        return {date.fromisoformat(day): count for day, count in counted.items() if day}

    def _seconds(
        self, later: ColumnElement[Any], earlier: ColumnElement[Any]
    ) -> ColumnElement[Any]:
        if self._sqlite:
            # Times are whole microseconds there.
            return (cast(later, Integer) - cast(earlier, Integer)) // 1_000_000
        return cast(func.floor(extract("epoch", later - earlier)), Integer)

    def _cents(self, money: ColumnElement[Any]) -> ColumnElement[Any]:
        return in_cents(money, sqlite=self._sqlite)


def _within(
    moment: ColumnElement[Any], since: datetime | None, until: datetime | None
) -> list[ColumnElement[bool]]:
    # Always from some moment on, so that the index of moments is used, which has all it takes.
    ends = [moment >= (_BEGINNING if since is None else since)]
    if until is not None:
        ends.append(moment < until)
    return ends


def _won(
    since: datetime | None, until: datetime | None, *, read_on: bool = False
) -> list[ColumnElement[bool]]:
    """Jobs that were won; `read_on` where more of them is needed than the index of moments has."""
    c = t.leads.c
    # Unless their rows are read anyway, not by an index of `state`, which lacks what is counted.
    state = c.state if read_on else c.state.concat("")
    return [state.in_(_WON), *_within(c.created_at, since, until)]


def _newest_sent() -> ColumnElement[bool]:
    c, later = t.quotes.c, t.quotes.alias()
    newer = (later.c.lead_id == c.lead_id, later.c.seq > c.seq, later.c.sent_at.is_not(None))
    return and_(c.sent_at.is_not(None), ~exists().where(*newer))
