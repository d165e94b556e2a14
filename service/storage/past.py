"""Past requests with their first prices, streamed from SQL."""

from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal

from sqlalchemy import Connection, Row, RowMapping, Select, func, select

from service.leads.lead import LeadState
from service.leads.past import PastRequest
from service.storage import tables as t
from service.storage.leads import briefs, estimates, number_of

_L, _Q = t.leads.c, t.quotes.c

# Estimates are some 40 kB each: few of them are in memory at once.
_AT_ONCE = 25


class SqlPast:
    """`service.leads.past.Past` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def requests(self, since: datetime, *, limit: int) -> Iterator[PastRequest]:
        first = _first_quotes(since, limit)
        later = self._later_prices(first)
        query = (
            select(
                _L.id,
                _L.seq,
                _L.client,
                _L.state,
                _L.lost_because,
                _L.created_at,
                _L.revision,
                _Q.brief,
                _Q.estimate,
                _Q.likely,
            )
            .select_from(t.leads.join(t.quotes, _Q.lead_id == _L.id))
            .where(_Q.seq.in_(first))
            .order_by(_L.seq.desc())
            .execution_options(yield_per=_AT_ONCE)
        )
        for row in self._connection.execute(query).mappings():
            yield _request(row, later.get(row["id"], []))

    def _later_prices(self, first: Select[int]) -> dict[str, list[Row[str, Decimal, bool]]]:
        """What clients were sent, by lead."""
        of_them = select(_Q.lead_id).where(_Q.seq.in_(first))
        query = (
            select(_Q.lead_id, _Q.likely, _Q.lines.is_not(None))
            .where(_Q.lead_id.in_(of_them), _Q.sent_at.is_not(None))
            .order_by(_Q.seq)
        )
        found: dict[str, list[Row[str, Decimal, bool]]] = {}
        for row in self._connection.execute(query):
            found.setdefault(row[0], []).append(row)
        return found


def _first_quotes(since: datetime, limit: int) -> Select[int]:
    """The first quote of each of the newest leads that have one."""
    number = func.min(_Q.seq)
    newest = (
        select(number)
        .select_from(t.leads.join(t.quotes, _Q.lead_id == _L.id))
        .where(_L.created_at >= since, _L.erased_at.is_(None))
        .group_by(_L.seq)
        .order_by(_L.seq.desc())
        .limit(limit)
    )
    # PostgreSQL and SQLite both want a limited query inside IN to be a table of its own.
    kept = newest.subquery()
    return select(kept.c[0])


def _request(row: RowMapping, sent: list[Row[str, Decimal, bool]]) -> PastRequest:
    return PastRequest(
        lead_id=row["id"],
        number=number_of(row["seq"]),
        client=row["client"]["name"],
        state=LeadState(row["state"]),
        lost_because=row["lost_because"],
        came_at=row["created_at"],
        brief=briefs().validate_json(row["brief"]),
        estimate=estimates().validate_json(row["estimate"]),
        likely=row["likely"],
        sent=tuple(likely for _, likely, _ in sent),
        edited=row["revision"] > 0 or any(by_hand for _, _, by_hand in sent),
    )
