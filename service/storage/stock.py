"""Moves of balloons in SQL, and the price book's stock that is made of them."""

from collections.abc import Mapping, Sequence

from sqlalchemy import ColumnElement, Connection, and_, case, func, insert, select, text

from service.estimating.book import Holding
from service.leads.lead import LeadState
from service.leads.stock import Key, Move, OnHand, Reserved, Why
from service.storage import tables as t
from service.storage.database import note_change_of_book

_M = t.stock_moves.c
_PROMISED = and_(
    _M.why.in_((Why.BOOKED, Why.RETURNED, Why.UNUSED)), t.leads.c.state == LeadState.BOOKED.value
)


class SqlStock:
    """`service.leads.stock.Stock` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def lock(self) -> None:
        # SQLite lets one writer in at a time anyway.
        if self._connection.dialect.name == "postgresql":
            self._connection.execute(text("LOCK TABLE stock_moves IN SHARE ROW EXCLUSIVE MODE"))

    def add(self, moves: Sequence[Move]) -> None:
        if moves:
            note_change_of_book(self._connection)
            self._connection.execute(insert(t.stock_moves), [_row(move) for move in moves])

    def newest(self) -> int:
        return newest_move(self._connection)

    def on_hand(self) -> list[OnHand]:
        free = func.sum(_M.count)
        reserved = func.sum(case((_PROMISED, -_M.count), else_=0))
        query = (
            select(_M.size_class, _M.colour, free.label("free"), reserved.label("reserved"))
            .select_from(t.stock_moves.outerjoin(t.leads, t.leads.c.id == _M.lead_id))
            .group_by(_M.size_class, _M.colour)
            .order_by(_M.size_class, _M.colour)
        )
        return [OnHand(**row) for row in self._connection.execute(query).mappings()]

    def of_lead(self, lead_id: str) -> Mapping[Key, int]:
        return self._summed(-_M.count, _M.lead_id == lead_id)

    def unused_of(self, lead_id: str) -> Mapping[Key, int]:
        return self._summed(_M.count, _M.lead_id == lead_id, _M.why == Why.UNUSED)

    def reserved(self) -> list[Reserved]:
        out = func.sum(-_M.count).label("count")
        leads = t.leads.c
        query = (
            select(_M.lead_id, _M.size_class, _M.colour, out)
            .select_from(t.stock_moves.join(t.leads, leads.id == _M.lead_id))
            .where(_PROMISED)
            .group_by(_M.lead_id, leads.seq, leads.event_on, _M.size_class, _M.colour)
            .having(out > 0)
            .order_by(leads.event_on.is_(None), leads.event_on, leads.seq, _M.size_class, _M.colour)
        )
        return [Reserved(**row) for row in self._connection.execute(query).mappings()]

    def moves(self, *, before: int | None, limit: int) -> list[Move]:
        query = select(t.stock_moves).order_by(_M.id.desc()).limit(limit)
        if before is not None:
            query = query.where(_M.id < before)
        rows = self._connection.execute(query).mappings()
        return [Move(**{**row, "why": Why(row["why"])}) for row in rows]

    def _summed(self, count: ColumnElement[int], *where: ColumnElement[bool]) -> Mapping[Key, int]:
        summed = func.sum(count)
        query = (
            select(_M.size_class, _M.colour, summed)
            .where(*where)
            .group_by(_M.size_class, _M.colour)
            .having(summed != 0)
        )
        rows = self._connection.execute(query)
        return {(size_class, colour): number for size_class, colour, number in rows}


def newest_move(connection: Connection) -> int:
    """The id of the newest move, 0 where there was never one: tells whether stock has changed."""
    return connection.execute(select(func.max(_M.id))).scalar_one() or 0


def stock_on_hand(connection: Connection) -> tuple[Holding, ...] | None:
    """What is free for new jobs, as the price book has it; None where nothing was ever counted."""
    query = (
        select(_M.size_class, _M.colour, func.sum(_M.count))
        .group_by(_M.size_class, _M.colour)
        .order_by(_M.size_class, _M.colour)
    )
    rows = connection.execute(query).all()
    if not rows:
        return None
    return tuple(
        Holding(size_class=size_class, colour=colour, count=count)
        for size_class, colour, count in rows
        if count > 0
    )


def _row(move: Move) -> dict[str, object]:
    return {
        "size_class": move.size_class,
        "colour": move.colour,
        "count": move.count,
        "why": move.why.value,
        "lead_id": move.lead_id,
        "at": move.at,
        "who": move.who,
    }
