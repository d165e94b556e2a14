"""The wire form of set-up times, holds and closed times."""

import datetime as dt
from datetime import datetime
from decimal import Decimal
from typing import Literal

from pydantic import ConfigDict, Field, StrictBool, field_validator, model_validator

from service.contract.brief import Wire
from service.contract.figure import Whole
from service.contract.times import Day, LocalTime, Moment


class Window(Wire):
    """A set-up window that is free."""

    starts_at: datetime
    ends_at: datetime


def _in_our_times(value: datetime) -> datetime:
    # The calendar's ends cannot be moved between zones.
    if not 2000 <= value.year < 3000:
        raise ValueError("give a day within the next years")
    return value


class HoldRequest(Wire):
    """Which window, and how to reach the client about it."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "starts_at": "2027-06-06T09:00:00-04:00",
                    "name": "Nora",
                    "email": "nora@rowing.example",
                }
            ]
        }
    )

    starts_at: Moment
    name: str = Field(min_length=1, max_length=120)
    phone: str | None = Field(default=None, max_length=32)
    email: str | None = Field(default=None, max_length=254, pattern=r"^[^@\s]+@[^@\s]+\.[^@\s]+$")
    another_day: StrictBool = Field(
        default=False,
        description="The event itself may move to that day, where the price stays the same.",
    )
    accepted_terms: str | None = Field(
        default=None,
        max_length=16,
        description="The version of the terms that the client has read and agreed to.",
    )

    @model_validator(mode="after")
    def _reachable(self) -> "HoldRequest":
        if not (self.phone or self.email):
            raise ValueError("give a phone number or an email address: one of the two is enough")
        return self

    @field_validator("starts_at")
    @classmethod
    def _sound(cls, value: datetime) -> datetime:
        return _in_our_times(value)


class Hold(Wire):
    """A window kept for the client until it expires or the deposit is recorded."""

    starts_at: datetime
    ends_at: datetime
    expires_at: datetime
    deposit: Decimal
    currency: str


class Terms(Wire):
    """What a client agrees to; `version` comes back with the hold. Empty where there is nothing."""

    version: str
    language: str
    terms: str
    weather: str = Field(description="For what stands outdoors; empty otherwise.")


class GiveBack(Wire):
    """The client no longer needs the window that is held."""

    because: str | None = Field(default=None, max_length=200)


class OwnersWindow(Window):
    """A window that the owner may hold, and the shop's own rules that it breaks.

    `notice`: it is sooner than the notice that the shop needs. `making`: the hours before it have
    no room for making everything while the balloons last.
    """

    breaks: list[Literal["notice", "making"]]


class FreeWindows(Wire):
    """Windows of a day; where there are none for clients, why, for the owner; and the next ones."""

    day: dt.date
    windows: list[OwnersWindow]
    why_none: list[str]
    next_free: list[Window]


class OwnerHoldRequest(Wire):
    """The window that the owner holds for a client."""

    starts_at: Moment

    @field_validator("starts_at")
    @classmethod
    def _sound(cls, value: datetime) -> datetime:
        return _in_our_times(value)


class MoveRequest(OwnerHoldRequest):
    """Another window for a held or booked date, and by which of the shop's rules it is moved.

    At a client's own wish a booked date costs what the price book asks for it that late: see `fees`
    in the account. The shop's own wish and the weather cost nothing.
    """

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"starts_at": "2027-06-12T10:00:00-04:00"},
                {
                    "starts_at": "2027-06-12T10:00:00-04:00",
                    "waive_fee": True,
                    "reason": "their hall flooded",
                },
                {
                    "starts_at": "2027-06-12T10:00:00-04:00",
                    "why": "weather",
                    "reason": "gusts of 30 mph in the forecast",
                },
            ]
        }
    )

    why: Literal["client", "shop", "weather"] = Field(
        default="client",
        description="`weather` is for what stands outdoors; the client then reads the clause of "
        "the terms about it.",
    )
    waive_fee: StrictBool = Field(
        default=False, description="Ask no fee where the price book does."
    )
    reason: str = Field(
        default="",
        max_length=1000,
        description="Needed with `waive_fee` and for the weather; kept in the request's history.",
    )

    @model_validator(mode="after")
    def _reasoned(self) -> "MoveRequest":
        if (self.waive_fee or self.why == "weather") and not self.reason.strip():
            raise ValueError("say the reason why no fee is asked")
        return self


class Stay(Wire):
    """A whole job by the clock: the workshop left and reached again, set up, taken down."""

    leaves_at: datetime
    arrives_at: datetime
    ready_at: datetime
    strikes_at: datetime
    struck_at: datetime
    returns_at: datetime


class Date(Wire):
    """What is kept for a lead; `revision` goes up with every change of date or standing."""

    id: str
    state: Literal["active", "booked", "moved", "released"]
    revision: Whole
    crew: Whole
    stay: Stay
    expires_at: datetime | None = Field(description="Null once it is booked.")


class ClosedTimeRequest(Wire):
    """Days to close, first and last included; the whole day where no times are given."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"first": "2027-07-05", "last": "2027-07-16", "note": "away"},
                {"first": "2027-06-12", "last": "2027-06-12", "since": "12:00", "until": "15:00"},
            ]
        }
    )

    first: Day
    last: Day
    since: LocalTime | None = None
    until: LocalTime | None = None
    note: str = Field(default="", max_length=200)


class ClosedTime(ClosedTimeRequest):
    """Days that are closed, and which jobs are kept there all the same, by their leads' numbers."""

    id: str
    kept: list[str]
