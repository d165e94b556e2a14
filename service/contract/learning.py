"""What finished jobs teach, on the wire: lessons, what is in use, decisions, and accuracy."""

import datetime as dt
from decimal import Decimal
from typing import Literal

from pydantic import Field, StrictBool, StrictInt

from service.contract.brief import Wire
from service.contract.figure import Number, Whole


class Lesson(Wire):
    """One subject: what the jobs say of it now, and what is in use.

    Factors are those on the price book's figures. `seen` names what was looked at, for a decision.
    """

    subject: str = Field(description="A task, packing, drive, breakage_11, or spread.")
    text: str = Field(description="The same in words.")
    stands: Literal["offered", "in_use", "left", "too_early", "as_booked"]
    factor: Number
    sd: Number = Field(description="Of the factor's logarithm.")
    jobs: Whole
    in_use: Number
    refused: Number | None = Field(description="The factor that was left alone last.")
    by_support: dict[str, float]
    seen: str


class Calibration(Wire):
    """All lessons of `jobs` finished jobs; `version` names what is in use, null for the book."""

    jobs: Whole
    version: str | None
    newest: Whole = Field(description="The number of the newest decision, 0 before the first.")
    lessons: list[Lesson]


class LessonDecision(Wire):
    """Go by a lesson, leave it, or stop going by it."""

    subject: str = Field(max_length=40)
    verdict: Literal["use", "leave", "stop"]
    seen: str = Field(max_length=40, description="As the lesson had it.")


class TakeBack(Wire):
    """`seen` is the number of the newest decision that was looked at."""

    seen: StrictInt = Field(ge=0, lt=2**31)


class Moved(Wire):
    """A subject's factor before and after; for what was left, `after` is what was offered."""

    subject: str
    before: Number
    after: Number


class Decided(Wire):
    """One decision, and the version that is in use from then on."""

    seq: Whole
    version: str | None
    made_at: dt.datetime
    made_by: str
    verdict: Literal["use", "leave", "stop", "go_back"]
    moves: list[Moved]


class Month(Wire):
    """Jobs done in a month: their likely costs (P50) as told, and real."""

    month: dt.date
    jobs: Whole
    likely: Decimal
    real: Decimal
    within: Whole


class Coverage(Wire):
    """How many real costs fell within P10 to P90, and the Wilson interval (95 %) of the share."""

    jobs: Whole
    within: Whole
    below: Whole
    above: Whole
    share: Number | None
    low: Number
    high: Number
    target: Number


class Losses(Wire):
    """Mean pinball losses of jobs that were quoted with lessons in use; below one, they helped."""

    jobs: Whole
    quoted: Number
    by_book: Number
    ratio: Number | None


class Miss(Wire):
    """A task's real over told time: in the middle, its scatter, and hours off in a job (RMS)."""

    task: str
    jobs: Whole
    factor: Number
    scatter: Number | None
    hours: Number


class Accuracy(Wire):
    """How near estimates came to what finished jobs really cost."""

    currency: str
    enough: StrictBool = Field(description="Whether there are jobs enough to say anything.")
    coverage: Coverage
    unmeasured: Whole = Field(description="Jobs left out: nothing was measured of them.")
    losses: Losses
    months: list[Month]
    misses: list[Miss]
