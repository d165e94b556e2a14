"""What is in use is one for all processes; every decision stays as it was made."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine

from service.estimating import UNCALIBRATED, Calibration
from service.estimating.calibration import Belief, Lessons, Pace
from service.leads.calibrations import CalibrationVersion, Decision, Moved, Verdict
from service.storage.calibrations import CalibrationShelf, SqlCalibrationVersions
from service.storage.database import open_engine
from tests.service.building import empty_database

NOON = datetime(2027, 6, 7, 16, tzinfo=UTC)
USED = Decision(
    verdict=Verdict.USE, moves=(Moved(subject="tying", before=1.0, after=1.1 + 0.1 / 3),)
)


def slow(factor: float) -> Calibration:
    belief = Belief(factor=factor, sd=0.1 / 3)
    pace = Pace(seen=belief, jobs=9, by_support={"wall": belief}, elsewhere=belief, scale=1.0)
    return Calibration(jobs=9, lessons=Lessons(paces={"tying": pace}, common_sd=0.01))


@dataclass
class Process:
    """One process of many over the same database, and its clock."""

    engine: Engine
    tick: float = 0.0

    def __post_init__(self) -> None:
        self.shelf = CalibrationShelf(self.engine, ticks=lambda: self.tick)

    def decide(
        self, calibration: Calibration, decision: Decision = USED, *, at: datetime = NOON
    ) -> CalibrationVersion:
        with self.engine.begin() as connection:
            versions = SqlCalibrationVersions(connection, self.shelf.refresh)
            versions.newest(lock=True)
            return versions.add(calibration, decision, by="owner", at=at)

    def every(self) -> list[CalibrationVersion]:
        with self.engine.connect() as connection:
            return list(SqlCalibrationVersions(connection, lambda: None).every())


@pytest.fixture
def process(tmp_path: Path) -> Iterator[Process]:
    """Over SQLite, where the two databases do not differ."""
    file = tmp_path / "shop.sqlite3"
    file.write_bytes(empty_database())
    engine = open_engine(f"sqlite:///{file}")
    yield Process(engine)
    engine.dispose()


def test_before_the_first_decision_the_book_s_word_stands(process: Process) -> None:
    assert process.shelf.current() == process.shelf.of(None) == UNCALIBRATED
    assert process.shelf.of("1234567890ab") is None
    assert process.every() == []


def test_what_was_accepted_is_kept_to_the_last_digit_and_named(engine: Engine) -> None:
    process = Process(engine)
    made = process.decide(slow(1.2 + 0.1 / 3))
    current = process.shelf.current()
    assert made.calibration == current
    assert replace(current, version=None) == slow(1.2 + 0.1 / 3)
    assert current.version is not None
    assert process.shelf.of(current.version) == current
    (kept,) = process.every()
    assert (kept.decision, kept.made_at, kept.made_by) == (USED, NOON, "owner")


def test_going_back_is_a_version_of_its_own_with_the_earlier_name(process: Process) -> None:
    first = process.decide(slow(1.2))
    second = process.decide(slow(1.3), at=NOON + timedelta(days=1))
    back = Decision(verdict=Verdict.GO_BACK, moves=(Moved(subject="tying", before=1.3, after=1.2),))
    third = process.decide(slow(1.2), back, at=NOON + timedelta(days=2))
    assert third.calibration == first.calibration
    assert second.calibration.version != first.calibration.version
    assert [each.seq for each in process.every()] == [third.seq, second.seq, first.seq]
    assert process.shelf.of(second.calibration.version) == second.calibration


def test_with_nothing_in_use_any_more_the_book_s_word_has_no_name(process: Process) -> None:
    process.decide(slow(1.2))
    stopped = Decision(verdict=Verdict.STOP, moves=(Moved(subject="tying", before=1.2, after=1),))
    assert process.decide(UNCALIBRATED, stopped).calibration is UNCALIBRATED
    assert process.shelf.current() is UNCALIBRATED


def test_other_processes_see_it_within_a_second(process: Process) -> None:
    other = Process(process.engine)
    assert other.shelf.current() == UNCALIBRATED
    made = process.decide(slow(1.2)).calibration
    other.tick = 0.9
    assert other.shelf.current() == UNCALIBRATED
    other.tick = 1.0
    assert other.shelf.current() == made
    # One that it has not seen yet is read when a quote names it.
    later = process.decide(slow(1.4)).calibration
    assert other.shelf.of(later.version) == later
