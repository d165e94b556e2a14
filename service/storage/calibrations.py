"""What the shop goes by besides its price book, in SQL: the newest row counts, none is changed."""

import hashlib
import json
import threading
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Engine, RowMapping, func, insert, select
from sqlalchemy.exc import SQLAlchemyError

from service.estimating import UNCALIBRATED, Calibration
from service.estimating.calibration import lessons_of, plain
from service.leads.calibrations import CalibrationVersion, Decision, Moved, Verdict
from service.leads.lead import NotFound
from service.storage import tables as t
from service.storage.database import beside

# What other processes have changed is seen this soon.
_LOOK_EVERY_S = 1.0

# Any number, as long as it is ours.
_WRITERS = 7_421_003

_LONGEST_NAME = 80
_DIGITS = 12

_C = t.calibrations.c
_NEWEST = select(t.calibrations).order_by(_C.seq.desc()).limit(1)


class SqlCalibrationVersions:
    """`service.leads.calibrations.CalibrationVersions` over a connection."""

    def __init__(self, connection: Connection, changed: Callable[[], object]) -> None:
        self._connection = connection
        self._changed = changed

    def newest(self, *, lock: bool = False) -> CalibrationVersion | None:
        # SQLite has one writer at a time anyway.
        if lock and self._connection.dialect.name == "postgresql":
            self._connection.execute(select(func.pg_advisory_xact_lock(_WRITERS)))
        row = self._connection.execute(_NEWEST).mappings().one_or_none()
        return None if row is None else _version(row)

    def every(self) -> Sequence[CalibrationVersion]:
        query = select(t.calibrations).order_by(_C.seq.desc())
        return [_version(row) for row in self._connection.execute(query).mappings()]

    def add(
        self, calibration: Calibration, decision: Decision, *, by: str, at: datetime
    ) -> CalibrationVersion:
        applied = plain(calibration.lessons)
        self._connection.execute(
            insert(t.calibrations).values(
                version=_name_of(calibration),
                made_at=at,
                made_by=by[:_LONGEST_NAME],
                decision=_decision_json(decision),
                jobs=calibration.jobs,
                applied=applied,
            )
        )
        self._changed()
        return _version(self._connection.execute(_NEWEST).mappings().one())


class CalibrationShelf:
    """`service.leads.calibrations.Calibrations` for one process of many."""

    def __init__(self, engine: Engine, *, ticks: Callable[[], float] = time.monotonic) -> None:
        self._side = beside(engine)
        self._ticks = ticks
        self._looking = threading.Lock()
        self._of = lru_cache(maxsize=16)(self._read)
        self._current, self._seen = UNCALIBRATED, 0
        self._look_at = ticks()

    def current(self) -> Calibration:
        if self._ticks() >= self._look_at:
            self._look()
        return self._current

    def of(self, version: str | None) -> Calibration | None:
        if version is None:
            return UNCALIBRATED
        current = self.current()
        if version == current.version:
            return current
        try:
            return self._of(version)
        except NotFound:
            return None

    def refresh(self) -> None:
        """There is a newer one: look again when somebody asks."""
        self._look_at = 0.0

    def _look(self) -> None:
        """See what has changed. While one thread looks, the others go on with what they know."""
        if not self._looking.acquire(blocking=False):
            return
        try:
            # Before anything is read: a change meanwhile asks for one more look.
            self._look_at = self._ticks() + _LOOK_EVERY_S
            with self._reading() as connection:
                newest = connection.execute(select(func.max(_C.seq))).scalar_one() or 0
                if newest != self._seen:
                    row = connection.execute(_NEWEST).mappings().one()
                    self._current, self._seen = _calibration(row), newest
        except SQLAlchemyError:
            # Whoever needs the database will say so; what is in use is known.
            return
        finally:
            self._looking.release()

    def _read(self, version: str) -> Calibration:
        query = select(t.calibrations).where(_C.version == version).limit(1)
        with self._reading() as connection:
            row = connection.execute(query).mappings().one_or_none()
        if row is None:
            raise NotFound("There is no such calibration.")
        return _calibration(row)

    def _reading(self) -> Any:
        return self._side.execution_options(reading=True).connect()


def _name_of(calibration: Calibration) -> str:
    text = json.dumps([calibration.jobs, plain(calibration.lessons)], sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:_DIGITS]


def _version(row: RowMapping) -> CalibrationVersion:
    return CalibrationVersion(
        seq=row["seq"],
        calibration=_calibration(row),
        made_at=row["made_at"],
        made_by=row["made_by"],
        decision=_decision(row["decision"]),
    )


def _calibration(row: RowMapping) -> Calibration:
    lessons = lessons_of(row["applied"])
    if lessons == UNCALIBRATED.lessons:
        return UNCALIBRATED
    return Calibration(jobs=row["jobs"], lessons=lessons, version=row["version"])


def _decision_json(decision: Decision) -> dict[str, Any]:
    moves = [
        {"subject": each.subject, "before": each.before, "after": each.after}
        for each in decision.moves
    ]
    return {"verdict": decision.verdict.value, "moves": moves}


def _decision(kept: dict[str, Any]) -> Decision:
    moves = tuple(Moved(**each) for each in kept["moves"])
    return Decision(verdict=Verdict(kept["verdict"]), moves=moves)
