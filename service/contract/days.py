"""The wire form of run sheets, load lists, and what is known of a place."""

import datetime as dt
from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Whole
from service.contract.people import Item


class Step(Wire):
    """Something that is done at a time; what takes no time ends when it begins.

    `crew` counts from 1, and is null where one crew does everything.
    """

    kind: Literal[
        "inflate",
        "cluster",
        "dress",
        "load",
        "drive",
        "unload",
        "fetch",
        "set_up",
        "helium",
        "finish",
        "pictures",
        "guests",
        "strike",
        "home",
    ]
    starts_at: datetime
    ends_at: datetime
    text: str
    notes: list[str]
    numbers: list[str] = Field(description="The requests that it is done for.")
    crew: Whole | None


class Person(Wire):
    """Somebody to ask for; null where it is not known."""

    name: str | None
    phone: str | None


class Place(Wire):
    """Where it is and how to get in; empty where nobody has said."""

    title: str
    address: str
    map_url: str | None
    parking: str
    access: str
    notes: str
    more: list[str]


class Stop(Wire):
    """A job that somebody drives to that day; `due` is what is still to be paid, if anything."""

    lead_id: str
    hold_id: str
    number: str
    booked: StrictBool
    does: list[Literal["set up", "take down"]]
    what: str
    place: Place
    client: Person | None
    at_place: Person | None
    promised: list[str]
    made: list[str] = Field(description="When it is made, by day.")
    load: str
    mind: list[str]
    weather: str | None
    unknown: list[str] = Field(description="What has to be asked.")
    due: str | None
    currency: str


class DayCaution(Wire):
    """Something to mind, and the requests that it is about."""

    text: str
    numbers: list[str]


class RunSheet(Wire):
    """A day by the clock, place by place; `wrong` is what cannot be as it stands."""

    day: dt.date
    wrong: list[str]
    steps: list[Step]
    stops: list[Stop]
    cautions: list[DayCaution]


class Group(Wire):
    """Things that go into the car together."""

    title: str
    items: list[Item]


class CarLoad(Wire):
    """The bags of balloons that go into the car at once."""

    number: Whole
    bags: list[Item]


class LoadList(Wire):
    """What goes into the car: `things` with the first load, the bags of each load on top."""

    number: str
    place: str
    leaves_at: datetime
    bags: Whole
    things: list[Group]
    loads: list[CarLoad]
    notes: list[str]


class SiteNotes(Wire):
    """What is known of a place, beside what the brief says."""

    address: Annotated[str, Field(max_length=300)] = ""
    parking: Annotated[str, Field(max_length=500)] = ""
    access: Annotated[str, Field(max_length=500, description="The way in.")] = ""
    contact: Annotated[str, Field(max_length=120, description="Whom to ask for there.")] = ""
    phone: Annotated[str, Field(max_length=40)] = ""
    notes: Annotated[str, Field(max_length=2000)] = ""


class KnownPlace(SiteNotes):
    """The notes as they stand; send `seen` back with a change."""

    seen: str
    who: str | None
    changed_at: datetime | None


class SiteChange(SiteNotes):
    """Body of `PUT /v1/leads/{lead_id}/site-notes`; `seen` as the notes were read with."""

    seen: str = Field(max_length=64)
