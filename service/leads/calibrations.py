"""What the shop goes by besides its price book: lessons of finished jobs, as far as it took them.

The newest version counts and none is ever changed. A quote stays with the one that it was made by.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

from service.estimating import Calibration


class Verdict(StrEnum):
    """To go by a lesson or not, to go by it no longer, or to have all as it was before."""

    USE = "use"
    LEAVE = "leave"
    STOP = "stop"
    GO_BACK = "go_back"


@dataclass(frozen=True, kw_only=True, slots=True)
class Moved:
    """A subject and its factor on the book, before and after.

    For a lesson that was left alone, `after` is what was offered.
    """

    subject: str
    before: float
    after: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Decision:
    """What was decided, and about which subjects."""

    verdict: Verdict
    moves: tuple[Moved, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class CalibrationVersion:
    """One version: what is in use from then on, and the decision that led to it.

    `seq` goes up with every decision; going back to an earlier calibration gives its name again.
    """

    seq: int
    calibration: Calibration
    made_at: datetime
    made_by: str
    decision: Decision


class CalibrationVersions(Protocol):
    """Every version that was made, within a transaction."""

    def newest(self, *, lock: bool = False) -> CalibrationVersion | None:
        """The one that counts; None before the first. `lock` keeps others from making one."""
        ...

    def every(self) -> Sequence[CalibrationVersion]:
        """All of them, newest first."""
        ...

    def add(
        self, calibration: Calibration, decision: Decision, *, by: str, at: datetime
    ) -> CalibrationVersion:
        """Make a calibration the one that counts; it gets its name here."""
        ...


class Calibrations(Protocol):
    """What is in use, for every estimate."""

    def current(self) -> Calibration:
        """The newest. Cheap: ask for it every time."""
        ...

    def of(self, version: str | None) -> Calibration | None:
        """An earlier one by its name, the book's own word for None; None where it is not known."""
        ...
