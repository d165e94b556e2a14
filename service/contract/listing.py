"""The wire form of the list of leads, and of what needs the owner now."""

import datetime as dt
from decimal import Decimal
from typing import Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.estimate import Channel
from service.contract.figure import Whole
from service.contract.leads import Client, LeadState


class ListedPrice(Wire):
    """The newest quote of a lead; null `sent_at` while it waits for the owner."""

    number: str
    kind: Literal["ballpark", "firm"]
    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    sent_at: dt.datetime | None
    expires_at: dt.datetime


class ListedLead(Wire):
    """A lead as lists show it; `GET /v1/leads/{lead_id}` says all of it."""

    lead_id: str
    number: str
    state: LeadState
    channel: Channel
    client: Client
    source: str | None
    created_at: dt.datetime
    answered_at: dt.datetime | None
    event_date: dt.date | None
    place: str | None
    wanted: str = Field(description="The pieces and what floats, in one line of English.")
    review_reasons: list[str]
    lost_because: str | None
    price: ListedPrice | None
    replaced_by: str | None = Field(description="The number of the lead that took its place.")


class LeadPage(Wire):
    """Leads, newest first, or by event day where that is asked for; pass `next` as `before`."""

    leads: list[ListedLead]
    next: str | None


class ClientCall(Wire):
    """A client who asks for the owner, and the words that called."""

    conversation_id: Whole
    channel: Channel
    chat_id: str
    since: dt.datetime
    words: str
    leads: list[str] = Field(description="Numbers of the client's leads, newest first.")


class HeldDate(Wire):
    """A date that is held without a deposit, until it runs out."""

    lead: ListedLead
    starts_at: dt.datetime
    ends_at: dt.datetime
    expires_at: dt.datetime


class StuckStep(Wire):
    """A step that was given up (`dead`), or may have reached the client without our knowing.

    `POST /v1/steps/{step_id}/again` tries one that was given up once more,
    `POST /v1/steps/{step_id}/away` puts it away. `lead_id` and `number` name the request that it is
    about, for a message the newest of its chat's; `channel` and `chat_id` a message's chat.
    """

    step_id: str
    kind: Literal["quote", "deliver", "remind", "chore"]
    state: Literal["owed", "dead"]
    subject_id: str
    fence: Whole = Field(description="Pass it on as `seen` when you put it away.")
    attempts: Whole
    error: str | None
    reason: str = Field(description="The error in the owner's words.")
    maybe_done: StrictBool
    lead_id: str | None
    number: str | None
    channel: Channel | None
    chat_id: str | None


class StuckPage(Wire):
    """Steps that were given up or are in doubt, newest first; pass `next` as `before`."""

    steps: list[StuckStep]
    next: Whole | None


class PutAway(Wire):
    """A step needs nothing more: its message did arrive, or it is not wanted any more.

    `seen` is the `fence` of the step that was looked at: where it was tried since, it is refused.
    """

    verdict: Literal["arrived", "unwanted"]
    seen: Whole


class Overdue(Wire):
    """Money that should have come, or has to go back: one of the amounts is zero."""

    lead_id: str
    number: str
    client: Client
    due: Decimal
    owed_back: Decimal
    currency: str
    since: dt.date | None = Field(description="When it was due; null for what goes back.")


class Needs(Wire):
    """What needs the owner now: each kind in the order in which to look at it."""

    calls: list[ClientCall]
    waiting: list[ListedLead]
    held_dates: list[HeldDate]
    unanswered_quotes: list[ListedLead]
    overdue: list[Overdue]
    more_overdue: StrictBool
    untold_jobs: list[ListedLead]
    more_untold_jobs: StrictBool = Field(description="`GET /v1/leads?untold=true` has all of them.")
    stuck_steps: list[StuckStep]
    steps_in_doubt: list[StuckStep] = Field(
        description="They will be tried again, though they may have reached the client already."
    )
    more_stuck_steps: StrictBool = Field(description="`GET /v1/steps/stuck` has all of them.")
