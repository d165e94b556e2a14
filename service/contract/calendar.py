"""The wire form of the calendar and of the feeds that can be subscribed to."""

import datetime as dt
from datetime import datetime
from typing import Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Number, Whole
from service.contract.times import LocalTime


class Block(Wire):
    """A part of a job; `open_end` where its end is no more than taken for one.

    Where nobody has said when the event ends, taking down follows an `assumed_over`.
    """

    part: Literal["make", "leave", "setup", "event", "strike"]
    starts_at: datetime
    ends_at: datetime
    open_end: StrictBool
    assumed_over: datetime | None


class Job(Wire):
    """A held or booked job; `held_until` is null once it is booked."""

    lead_id: str
    number: str
    booked: StrictBool
    held_until: datetime | None
    crew: Whole
    revision: Whole
    blocks: list[Block]
    unmade_h: Number = Field(description="Hours of making that do not fit before leaving.")
    kit: dict[str, int] = Field(description="The shop's own equipment that it takes, by label.")


class Conflict(Wire):
    """Something that cannot be as it stands."""

    kind: Literal["crew", "making", "equipment", "closed", "late"]
    at: datetime
    lead_ids: list[str]
    text: str


class Closed(Wire):
    """Days, first and last included, on which the shop is closed; all day without times."""

    first: dt.date
    last: dt.date
    since: LocalTime | None
    until: LocalTime | None
    note: str


class Calendar(Wire):
    """What falls between two days, both included."""

    jobs: list[Job]
    closed: list[Closed]
    conflicts: list[Conflict]


class Feed(Wire):
    """A feed in use. Its address is known to whoever made it alone."""

    id: str
    role: Literal["owner", "helper"]
    name: str
    made_at: datetime


class FeedRequest(Wire):
    """A new feed: whose it is, and what it reads."""

    role: Literal["owner", "helper"]
    name: str = Field(min_length=1, max_length=80)


class NewFeed(Feed):
    """A feed that was just made; `url` is told this once."""

    url: str
