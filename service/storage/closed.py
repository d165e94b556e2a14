"""The shop's closed times in SQL."""

from datetime import date, time
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, bindparam, delete, insert, select

from service.leads.closing import ClosedTime
from service.leads.lead import NotFound
from service.storage import tables as t

_TIME = "%H:%M"

_c = t.closed_times.c
_ALL = select(t.closed_times).order_by(_c.first, _c.since, _c.id)
# Every reply asks it.
_BETWEEN = _ALL.where(_c.first <= bindparam("last_day"), _c.last >= bindparam("first_day"))
_SINCE = _ALL.where(_c.last >= bindparam("day"))


class SqlClosedTimes:
    """`service.leads.closing.ClosedTimes`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, closed: ClosedTime) -> None:
        self._connection.execute(
            insert(t.closed_times).values(
                id=closed.id,
                first=closed.first.isoformat(),
                last=closed.last.isoformat(),
                since=closed.since and closed.since.strftime(_TIME),
                until=closed.until and closed.until.strftime(_TIME),
                note=closed.note,
                made_at=closed.made_at,
            )
        )

    def remove(self, closed_id: str) -> None:
        gone = self._connection.execute(
            delete(t.closed_times).where(t.closed_times.c.id == closed_id)
        )
        if gone.rowcount == 0:
            raise NotFound("Those days are open already.")

    def between(self, first: date, last: date) -> list[ClosedTime]:
        return self._found(_BETWEEN, first_day=first.isoformat(), last_day=last.isoformat())

    def since(self, day: date) -> list[ClosedTime]:
        return self._found(_SINCE, day=day.isoformat())

    def _found(self, query: Select[Any], **days: str) -> list[ClosedTime]:
        return [_closed(row) for row in self._connection.execute(query, days).mappings()]


def _closed(row: RowMapping) -> ClosedTime:
    return ClosedTime(
        id=row["id"],
        first=date.fromisoformat(row["first"]),
        last=date.fromisoformat(row["last"]),
        since=row["since"] and time.fromisoformat(row["since"]),
        until=row["until"] and time.fromisoformat(row["until"]),
        note=row["note"],
        made_at=row["made_at"],
    )
