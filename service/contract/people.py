"""The wire form of who may sit at the desk, and of the sheets that helpers work from."""

from datetime import datetime
from typing import Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Whole


class Person(Wire):
    """Somebody with an account; invited until a password has been chosen."""

    id: str
    role: Literal["owner", "helper"]
    name: str
    state: Literal["invited", "active", "ended"]
    since: datetime


class NewHelper(Wire):
    """Body of `POST /v1/people`."""

    name: str = Field(min_length=1, max_length=60, description="They sign in with it.")


class Welcome(Wire):
    """The address at which a person chooses a password, once; pass it on to nobody else."""

    person: Person
    url: str
    expires_at: datetime


class Job(Wire):
    """A coming set-up; `booked` unless it may still fall through.

    `strikes_at` is null where nobody comes back to take it down.
    """

    hold_id: str
    lead_id: str
    number: str
    arrives_at: datetime
    ready_at: datetime
    strikes_at: datetime | None
    place: str
    what: str
    booked: StrictBool


class Balloons(Wire):
    """Balloons of one size and colour in a piece, and to spare."""

    size: str
    colour: str
    count: Whole
    spares: Whole


class Item(Wire):
    """Something that is fitted or taken along, and where and how."""

    text: str
    where: str


class Build(Wire):
    """One kind of piece, as it is built."""

    title: str
    garland: str
    clusters: list[str]
    balloons: list[Balloons]
    fitted: list[Item]


class Contact(Wire):
    """Whom to ask for at the place."""

    first_name: str | None
    phone: str | None


class Sheet(Wire):
    """What a set-up takes, without a price; `contact` on the days of the job only."""

    job: Job
    leaves_at: datetime
    where: list[str]
    builds: list[Build]
    floats: list[str]
    sizing: list[str]
    load: list[Item]
    cautions: list[str]
    contact: Contact | None
