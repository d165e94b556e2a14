"""What finished jobs really took, in SQL, and their photos."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

from pydantic import TypeAdapter
from sqlalchemy import Connection, RowMapping, delete, exists, insert, select, update

from service.estimating import Observation
from service.leads.actuals import Actuals, Extra, Finished, JobPhoto
from service.leads.expectations import Told
from service.leads.lead import LeadState
from service.storage import tables as t

_A, _P = t.actuals.c, t.job_photos.c


class SqlFinishedJobs:
    """`service.leads.actuals.FinishedJobs` over a connection."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection

    def of(self, lead_id: str) -> Finished | None:
        query = select(t.actuals).where(_A.lead_id == lead_id)
        row = self._connection.execute(query).mappings().first()
        return None if row is None else _finished(row)

    def save(self, finished: Finished) -> None:
        row = _row(finished)
        this = _A.lead_id == finished.lead_id
        if self._connection.scalar(select(exists().where(this))):
            self._connection.execute(update(t.actuals).where(this).values(**row))
        else:
            self._connection.execute(insert(t.actuals).values(**row))

    def remove(self, lead_id: str) -> None:
        self._connection.execute(delete(t.actuals).where(_A.lead_id == lead_id))

    def since(self, day: date | None) -> list[Finished]:
        query = select(t.actuals).order_by(_A.done_on, _A.lead_id)
        if day is not None:
            query = query.where(_A.done_on >= day.isoformat())
        return [_finished(row) for row in self._connection.execute(query).mappings()]

    def all_observations(self) -> list[Observation]:
        query = select(_A.observation).order_by(_A.done_on, _A.lead_id)
        return [_observations().validate_python(each) for each in self._connection.scalars(query)]

    def untold(self, *, since: date, limit: int) -> list[str]:
        c = t.leads.c
        query = (
            select(c.id)
            .where(
                c.state == LeadState.DONE,
                c.event_on >= since.isoformat(),
                c.erased_at.is_(None),
                ~exists().where(_A.lead_id == c.id),
            )
            .order_by(c.event_on.desc(), c.seq.desc())
            .limit(limit)
        )
        return list(self._connection.scalars(query))

    def photos(self, lead_id: str) -> list[JobPhoto]:
        query = select(t.job_photos).where(_P.lead_id == lead_id).order_by(_P.at, _P.id)
        return [JobPhoto(**row) for row in self._connection.execute(query).mappings()]

    def photo(self, photo_id: str) -> JobPhoto | None:
        query = select(t.job_photos).where(_P.id == photo_id)
        row = self._connection.execute(query).mappings().first()
        return None if row is None else JobPhoto(**row)

    def add_photo(self, photo: JobPhoto) -> None:
        if self._connection.scalar(select(exists().where(_P.id == photo.id))):
            return
        values = {name: getattr(photo, name) for name in ("id", "lead_id", "jpeg", "at", "who")}
        self._connection.execute(insert(t.job_photos).values(**values))

    def drop_photo(self, photo_id: str) -> None:
        self._connection.execute(delete(t.job_photos).where(_P.id == photo_id))


def without_words(took: Mapping[str, Any]) -> dict[str, Any]:
    """What was told, in its stored form, without what says something of somebody."""
    return {**took, "extras": [{**each, "what": ""} for each in took["extras"]]}


@cache
def _observations() -> TypeAdapter[Observation]:
    return TypeAdapter(Observation)


@cache
def _tolds() -> TypeAdapter[Told]:
    return TypeAdapter(Told)


_AS_THEY_ARE = (
    *("lead_id", "quote_id", "went_wrong", "currency", "real_cost"),
    *("entered_at", "changed_at", "who", "revision"),
)


def _row(finished: Finished) -> dict[str, Any]:
    return {
        **{name: getattr(finished, name) for name in _AS_THEY_ARE},
        "done_on": finished.done_on.isoformat(),
        "took": {**_took(finished.actuals), "back": finished.back},
        "observation": _observations().dump_python(finished.observation, mode="json"),
        "told": _tolds().dump_python(finished.told, mode="json"),
    }


def _finished(row: RowMapping) -> Finished:
    return Finished(
        **{name: row[name] for name in _AS_THEY_ARE},
        done_on=date.fromisoformat(row["done_on"]),
        actuals=_actuals(row["took"]),
        back=row["took"]["back"],
        observation=_observations().validate_python(row["observation"]),
        told=_tolds().validate_python(row["told"]),
    )


def _took(actuals: Actuals) -> dict[str, Any]:
    return {
        "hours": dict(actuals.hours),
        "drive_h": actuals.drive_h,
        "driven_m": actuals.driven_m,
        "used": actuals.used,
        "used_by": [[size, name, count] for (size, name), count in actuals.used_by.items()],
        "burst": [[size, count] for size, count in actuals.burst.items()],
        "extras": [{"what": each.what, "amount": str(each.amount)} for each in actuals.extras],
        "as_planned": actuals.as_planned,
    }


def _actuals(took: Mapping[str, Any]) -> Actuals:
    return Actuals(
        hours=took["hours"],
        drive_h=took["drive_h"],
        driven_m=took["driven_m"],
        used=took["used"],
        used_by={(size, name): count for size, name, count in took["used_by"]},
        burst=dict(took["burst"]),
        extras=tuple(
            Extra(what=each["what"], amount=Decimal(each["amount"])) for each in took["extras"]
        ),
        as_planned=took.get("as_planned", False),
    )
