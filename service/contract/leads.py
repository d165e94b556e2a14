"""The wire form of leads, quotes, holds and of the steps that workers take."""

from datetime import datetime
from decimal import Decimal
from typing import Literal

from pydantic import ConfigDict, Field, StrictBool, model_validator

from service.contract.brief import Brief, Wire
from service.contract.estimate import Channel, Estimate
from service.contract.figure import Number, Whole

LostBecause = Literal[
    "too far",
    "date taken",
    "too small",
    "too big",
    "not our work",
    "price",
    "no answer",
    "client cancelled",
    "other",
]
LeadState = Literal["new", "review", "quoted", "held", "booked", "done", "declined", "lapsed"]


class Client(Wire):
    """Who asks. A chat's client needs no more than the chat."""

    name: str | None = Field(default=None, max_length=120)
    email: str | None = Field(default=None, max_length=254, pattern=r"^[^@\s]+@[^@\s]+\.[^@\s]+$")
    phone: str | None = Field(default=None, max_length=32)


class LeadRequest(Wire):
    """Body of `POST /v1/leads`. A chat's lead names its chat, so that the reply finds it."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "brief": {
                        "pieces": [{"support": "column", "count": 2, "height_m": 1.83}],
                        "palette": ["navy", {"colour": "white", "share": 0.25}],
                        "event": {"occasion": "anniversary", "date": "2027-06-06"},
                        "site": {"setting": "indoor", "postal_code": "02139"},
                        "foils": ["5", "0"],
                    },
                    "client": {"name": "Nora", "email": "nora@rowing.example"},
                }
            ]
        }
    )

    brief: Brief
    client: Client = Field(default_factory=Client)
    channel: Channel = "api"
    chat_id: str | None = Field(default=None, max_length=128)
    language: Literal["en", "es"] = "en"
    revises: StrictBool = Field(
        default=False, description="It takes the place of this chat's request before it."
    )
    source: str | None = Field(
        default=None, max_length=64, description="The campaign or page that led the client here."
    )

    @model_validator(mode="after")
    def _chats_are_named(self) -> "LeadRequest":
        if self.channel in ("telegram", "webchat") and not self.chat_id:
            raise ValueError("a lead from a chat names its chat_id")
        return self


class LeadReceipt(Wire):
    """The lead is committed and its ballpark is owed. `status_url` answers how far it is."""

    lead_id: str
    number: str
    state: LeadState
    status_url: str


class Quote(Wire):
    """An estimate sent to a client, frozen."""

    number: str
    kind: Literal["ballpark", "firm"]
    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    expires_at: datetime
    url: str
    booking_url: str


class LeadStatus(Wire):
    """What the website may know of a lead: how far it is, and the ballpark once it is out."""

    lead_id: str
    number: str
    state: LeadState
    quote: Quote | None


class Lead(LeadStatus):
    """A whole lead, for bot, worker and owner."""

    channel: Channel
    chat_id: str
    language: Literal["en", "es"]
    client: Client
    source: str | None
    brief: Brief
    review_reasons: list[str]
    created_at: datetime
    estimate: Estimate | None
    basis: str | None = Field(
        default=None, description="The number of the newest quote, sent or not: decisions name it."
    )
    revision: Whole = Field(default=0, description="Goes up with every change of the brief.")
    lost_because: str | None = None
    merged_into: str | None = Field(default=None, description="The lead that it is a part of.")


class QuoteRequest(Wire):
    """A worker's finished step: the estimate of a lead, under the lease it was made with."""

    step_id: str
    fence: Whole
    estimate: Estimate


class StepOutcome(Wire):
    """What became of the lead whose step a worker has finished."""

    lead_id: str
    number: str
    state: LeadState


class Quoted(StepOutcome):
    """The same of a step that was taken and finished in one call; `attempt` counts from 1."""

    attempt: Whole


class ReviewRequest(Wire):
    """A worker's finished step where no estimate could be made: the owner must look."""

    step_id: str
    fence: Whole
    reasons: list[str] = Field(min_length=1, max_length=20)


class PriceLine(Wire):
    """A line of a price as the client reads it; below zero for what is taken off."""

    label: str = Field(min_length=1, max_length=80)
    amount: Decimal = Field(ge=-1_000_000, le=1_000_000, decimal_places=2)


class Decision(Wire):
    """What the owner decides on a lead. `price` is the firm price, tax as the price book says.

    With `lines` the price is their sum, and a `reason` is needed.
    """

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {"action": "send", "basis": "G1001-1", "price": "420", "reason": "stairs"},
                {
                    "action": "send",
                    "basis": "G1001-1",
                    "lines": [
                        {"label": "Building it beforehand", "amount": "180"},
                        {"label": "Early access on Sunday", "amount": "40"},
                    ],
                    "reason": "they open late",
                },
                {"action": "decline", "basis": "G1001-1", "because": "date taken"},
                {"action": "deposit"},
            ]
        }
    )

    action: Literal["send", "decline", "deposit"] = Field(
        description="`deposit`: it has come, so the held date is booked."
    )
    basis: str | None = Field(
        default=None, description="The quote this answers; refused when there is a newer one."
    )
    price: Decimal | None = Field(default=None, gt=0, le=1_000_000, decimal_places=2)
    lines: list[PriceLine] | None = Field(default=None, min_length=1, max_length=20)
    reason: str | None = Field(
        default=None, max_length=1000, description="Why, for the record; no client sees it."
    )
    because: LostBecause = Field(default="other", description="Why it is declined, for figures.")
    text: str | None = Field(default=None, max_length=2000, description="A word to the client.")

    @model_validator(mode="after")
    def _lines_make_a_price(self) -> "Decision":
        if self.lines is None:
            return self
        if self.price is not None:
            raise ValueError("give the price or its lines, not both")
        if not self.reason:
            raise ValueError("say why the lines were changed")
        if len({line.label for line in self.lines}) < len(self.lines):
            raise ValueError("two lines have the same name")
        if not 0 < sum(line.amount for line in self.lines) <= 1_000_000:
            raise ValueError("the lines have to come to a price above zero and up to a million")
        return self


class Lease(Wire):
    """The right to take a step, until `expires_at`; `fence` must come with the outcome."""

    step_id: str
    kind: Literal["quote", "deliver", "remind", "chore"]
    subject_id: str
    fence: Whole
    attempt: Whole
    expires_at: datetime
    maybe_done: StrictBool = Field(
        description="An earlier attempt was cut off after it may have reached the outside."
    )
    brief: Brief | None = Field(
        default=None,
        description="What is to be estimated, where the step is to quote a lead. Workers of this"
        " release have that done in one call.",
    )


class StepFailure(Wire):
    """What went wrong with a step, without personal data, and whether trying again can help."""

    fence: Whole
    error: str = Field(max_length=500)
    retry: StrictBool
    unclear: StrictBool = Field(
        default=False, description="The outside did not answer: it may have happened."
    )
    retry_after_s: Number | None = Field(default=None, ge=0, le=86_400)
    attempted: StrictBool = Field(
        default=True,
        description="False for a pause that was asked for before anything was sent: then it is"
        " due after exactly `retry_after_s`, and no attempt is used up.",
    )


class StepDone(Wire):
    """The step's effect on the outside is confirmed."""

    fence: Whole


class Swept(Wire):
    """How many owed steps were handed to the queue again."""

    queued: Whole
