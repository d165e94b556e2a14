"""The wire form of long work: a month's documents, a season's prices."""

from datetime import date, datetime
from typing import Literal

from pydantic import Field

from service.contract.brief import Wire
from service.contract.figure import Whole
from service.contract.times import Day

ChoreKind = Literal["documents", "prices"]


class ChoreAsked(Wire):
    """What is to be made, from `first` to `last`, both days included.

    `chore_id` is yours to choose: asked for twice under one, it is made once.
    """

    chore_id: str = Field(pattern=r"^[A-Za-z0-9_-]{8,32}$")
    kind: ChoreKind
    first: Day
    last: Day


class PartDue(Wire):
    """A worker's step for one part, under the lease it was taken with."""

    step_id: str
    fence: Whole


class Chore(Wire):
    """How far a long work is: parts in all, made, and not possible."""

    chore_id: str
    kind: ChoreKind
    first: Day
    last: Day
    made_at: datetime
    ended_at: datetime | None
    stopped_at: datetime | None
    total: Whole
    done: Whole
    failed: Whole


class Part(Wire):
    """One part: of a request or of a day, and what came of it."""

    about: str
    lead_id: str | None
    day: date | None
    state: Literal["owed", "done", "failed"]
    name: str | None = Field(description="The document's file name, in the zip.")
    trouble: str | None
    figures: dict[str, str] | None


class ChoreInFull(Wire):
    """A long work and all its parts in order."""

    chore: Chore
    parts: list[Part]
