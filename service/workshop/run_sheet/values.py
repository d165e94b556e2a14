"""A day's run sheet as values: what happens by the clock, and what is to be known of each job."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum


class StepKind(StrEnum):
    """What is done."""

    INFLATE = "inflate"
    CLUSTER = "cluster"
    DRESS = "dress"
    LOAD = "load"
    DRIVE = "drive"
    UNLOAD = "unload"
    FETCH = "fetch"
    SET_UP = "set_up"
    HELIUM = "helium"
    FINISH = "finish"
    PICTURES = "pictures"
    GUESTS = "guests"
    STRIKE = "strike"
    HOME = "home"


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """Something that is done at a time, for the jobs of these numbers, by a crew.

    Times are the shop's. A step that takes no time ends when it begins. `crew` is None where one
    crew does everything, and for what no crew does.
    """

    kind: StepKind
    starts_at: datetime
    ends_at: datetime
    text: str
    numbers: tuple[str, ...]
    notes: tuple[str, ...] = ()
    crew: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Person:
    """Somebody to ask for; either may be unknown."""

    name: str | None
    phone: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where it is and how to get in. What nobody has said is empty; `more` is what else is known.

    `map_url` is None where there is nothing to look for.
    """

    title: str
    address: str
    map_url: str | None
    parking: str
    access: str
    notes: str
    more: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop:
    """A job that somebody drives to that day.

    `client` is None where a helper is not told yet, and `at_place` likewise. `due` is what is still
    to be paid, in `currency`; None where nothing is, and for helpers. `unknown` says what has to be
    asked.
    """

    lead_id: str
    hold_id: str
    number: str
    booked: bool
    does: tuple[str, ...]
    what: str
    place: Place
    client: Person | None
    at_place: Person | None
    promised: tuple[str, ...]
    made: tuple[str, ...]
    load: str
    mind: tuple[str, ...]
    weather: str | None
    unknown: tuple[str, ...]
    due: Decimal | None
    currency: str


@dataclass(frozen=True, kw_only=True, slots=True)
class DayCaution:
    """Something to mind; `numbers` are the jobs that it is about."""

    text: str
    numbers: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class RunSheet:
    """A day: what does not fit, what happens one after the other, the places, what to mind."""

    day: date
    wrong: tuple[str, ...]
    steps: tuple[Step, ...]
    stops: tuple[Stop, ...]
    cautions: tuple[DayCaution, ...]

    def next_at(self, now: datetime) -> Step | None:
        """What is under way or comes next; None once everything is done."""
        return next((step for step in self.steps if step.ends_at >= now), None)
