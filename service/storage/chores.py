"""Long work and its parts in SQL."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import (
    Connection,
    RowMapping,
    Select,
    case,
    delete,
    exists,
    func,
    insert,
    select,
    update,
)
from sqlalchemy.exc import IntegrityError

from service.leads.chores import About, Chore, ChoreKind, Made, Part, PartState, Progress
from service.leads.lead import LeadState, NotFound
from service.leads.steps import StepKind
from service.storage import tables as t

# A request that may still come to something, and has a price that could be another one.
_OPEN = (LeadState.REVIEW, LeadState.QUOTED, LeadState.HELD)

_PLAIN = ("id", "chore_id", "n", "lead_id", "name", "trouble", "figures")


class SqlChores:
    """`service.leads.chores.Chores`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def add(self, chore: Chore, parts: Iterable[Part]) -> bool:
        try:
            with self._connection.begin_nested():
                self._connection.execute(insert(t.chores).values(_chore_row(chore)))
        except IntegrityError:
            return False
        self._connection.execute(insert(t.chore_parts), [_part_row(part) for part in parts])
        return True

    def get(self, chore_id: str, *, lock: bool = False) -> Chore:
        if lock:
            self._connection.execute(
                select(t.chores.c.id).where(t.chores.c.id == chore_id).with_for_update()
            )
        found = self._chores(_with_progress().where(t.chores.c.id == chore_id))
        if not found:
            raise NotFound("There is no such work.")
        return found[0]

    def newest(self, *, limit: int) -> list[Chore]:
        c = t.chores.c
        return self._chores(_with_progress().order_by(c.made_at.desc(), c.id).limit(limit))

    def stop(self, chore_id: str, at: datetime) -> None:
        self._mark(chore_id, stopped_at=at)

    def end(self, chore_id: str, at: datetime) -> None:
        self._mark(chore_id, ended_at=at)

    def part(self, part_id: str) -> Part:
        row = self._connection.execute(_parts().where(t.chore_parts.c.id == part_id))
        found = row.mappings().one_or_none()
        if found is None:
            raise NotFound("There is no such part.")
        return _part(found)

    def parts(self, chore_id: str) -> list[Part]:
        c = t.chore_parts.c
        rows = self._connection.execute(_parts().where(c.chore_id == chore_id).order_by(c.n))
        return [_part(row) for row in rows.mappings()]

    def close(self, part_id: str, made: Made) -> None:
        self._connection.execute(
            update(t.chore_parts)
            .where(t.chore_parts.c.id == part_id)
            .values(
                state=PartState.FAILED if made.trouble else PartState.DONE,
                name=made.name,
                document=made.document,
                figures=dict(made.figures) if made.figures is not None else None,
                trouble=made.trouble,
            )
        )

    def documents(self, chore_id: str) -> Iterator[tuple[str, bytes]]:
        c = t.chore_parts.c
        query = select(c.n).where(c.chore_id == chore_id, c.document.is_not(None)).order_by(c.n)
        for n in self._connection.execute(query).scalars().all():
            one = select(c.name, c.document).where(c.chore_id == chore_id, c.n == n)
            name, document = self._connection.execute(one).one()
            yield str(name), bytes(document)

    def open_requests(self, first: date, last: date) -> list[str]:
        c = t.leads.c
        query = (
            select(c.id)
            .where(c.state.in_(_OPEN), c.event_on.between(first.isoformat(), last.isoformat()))
            .order_by(c.event_on, c.seq)
        )
        return list(self._connection.execute(query).scalars())

    def erased_since(self, moment: datetime) -> bool:
        query = select(exists().where(t.leads.c.erased_at >= moment))
        return bool(self._connection.scalar(query))

    def forget(self, before: datetime) -> None:
        old = select(t.chores.c.id).where(t.chores.c.made_at < before)
        of_old = select(t.chore_parts.c.id).where(t.chore_parts.c.chore_id.in_(old))
        steps = t.steps.c
        for gone in (
            delete(t.steps).where(steps.kind == StepKind.CHORE, steps.subject_id.in_(of_old)),
            delete(t.chore_parts).where(t.chore_parts.c.chore_id.in_(old)),
            delete(t.chores).where(t.chores.c.made_at < before),
        ):
            self._connection.execute(gone)

    def _mark(self, chore_id: str, **values: datetime) -> None:
        self._connection.execute(update(t.chores).where(t.chores.c.id == chore_id).values(values))

    def _chores(self, query: Select[Any]) -> list[Chore]:
        return [_chore(row) for row in self._connection.execute(query).mappings()]


def forget_documents_of(connection: Connection, lead_id: str) -> None:
    """Nothing that was made for a request stays, nor anything that is about several: a day's sheet
    or a list may tell of it, and can be made again."""
    # Whoever stores a part has locked its chore: what is being made now is seen to be in vain.
    connection.execute(select(t.chores.c.id).order_by(t.chores.c.id).with_for_update())
    c = t.chore_parts.c
    connection.execute(
        update(t.chore_parts)
        .where((c.lead_id == lead_id) | c.lead_id.is_(None))
        .values(document=None, figures=None, name=None)
    )


def _with_progress() -> Select[Any]:
    c = t.chore_parts.c

    def counted(state: PartState) -> Any:
        return func.coalesce(func.sum(case((c.state == state, 1), else_=0)), 0)

    counts = (
        select(
            c.chore_id,
            counted(PartState.DONE).label("done"),
            counted(PartState.FAILED).label("failed"),
        )
        .group_by(c.chore_id)
        .subquery()
    )
    return select(t.chores, counts.c.done, counts.c.failed).join(
        counts, counts.c.chore_id == t.chores.c.id
    )


def _parts() -> Select[Any]:
    # Without its document, which may be long.
    c = t.chore_parts.c
    return select(*(c[name] for name in _PLAIN), c.about, c.day, c.state)


def _chore_row(chore: Chore) -> dict[str, Any]:
    asked = {"first": chore.first.isoformat(), "last": chore.last.isoformat()}
    return {
        "id": chore.id,
        "kind": chore.kind,
        "asked": asked,
        "total": chore.progress.total,
        "made_at": chore.made_at,
        "who": chore.who,
    }


def _part_row(part: Part) -> dict[str, Any]:
    return {
        "chore_id": part.chore_id,
        "n": part.n,
        "id": part.id,
        "about": part.about,
        "day": part.day.isoformat() if part.day else None,
        "lead_id": part.lead_id,
        "state": part.state,
    }


def _chore(row: RowMapping) -> Chore:
    return Chore(
        id=row["id"],
        kind=ChoreKind(row["kind"]),
        first=date.fromisoformat(row["asked"]["first"]),
        last=date.fromisoformat(row["asked"]["last"]),
        made_at=row["made_at"],
        who=row["who"],
        progress=Progress(total=row["total"], done=row["done"], failed=row["failed"]),
        ended_at=row["ended_at"],
        stopped_at=row["stopped_at"],
    )


def _part(row: RowMapping) -> Part:
    return Part(
        about=About(row["about"]),
        state=PartState(row["state"]),
        day=date.fromisoformat(row["day"]) if row["day"] else None,
        **{name: row[name] for name in _PLAIN},
    )
