"""The wire form of what the owner does with a lead: brief, notes, history, questions, mergers."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from pydantic import ConfigDict, Field, StrictInt

from service.contract.brief import Brief, Wire
from service.contract.estimate import Estimate
from service.contract.figure import Whole
from service.contract.leads import Client


class BriefChange(Wire):
    """Body of `PUT /v1/leads/{id}/brief`: the whole brief as it is to be."""

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "revision": 0,
                    "brief": {
                        "pieces": [{"support": "hoop", "width_m": 1.8288}],
                        "palette": ["navy", "white"],
                        "event": {"date": "2027-06-12", "start_time": "14:00"},
                        "site": {"setting": "indoor", "postal_code": "02139"},
                    },
                }
            ]
        }
    )

    revision: StrictInt = Field(
        ge=0, description="The lead's, as last read; refused once it is older."
    )
    brief: Brief
    client: Client | None = Field(default=None, description="Null leaves the client as it is.")


class EstimatePreview(Wire):
    """What a brief would come to, and what it changes of the lead's own; nothing is stored."""

    estimate: Estimate
    changes: list[str]
    revision: Whole = Field(description="The lead's by now.")


class NoteText(Wire):
    """A note to keep."""

    text: str = Field(min_length=1, max_length=4000)


class Note(Wire):
    """What somebody of the shop wrote down; clients never see it."""

    at: datetime
    who: str
    text: str


class Change(Wire):
    """One entry of a lead's history."""

    at: datetime
    who: str
    what: str
    detail: dict[str, Any] = Field(
        description="`changes` and `lines` say what was before and is now; `by` is a lead's id."
    )


class Line(Wire):
    """A line of a price; `was` is what it came to before the owner changed it."""

    label: str
    amount: Decimal
    was: Decimal | None


class Lines(Wire):
    """The lines of the newest price, sent or not. A decision on them names `basis`."""

    basis: str
    currency: str
    total: Decimal
    lines: list[Line]


class Question(Wire):
    """What could be asked about a gap of the brief, in English and in the client's language."""

    about: str
    english: str
    text: str


class Questions(Wire):
    """Questions, and the last message that there is: an answer names it as `seen`."""

    seen: Whole
    questions: list[Question]


class Ask(Wire):
    """The owner's own words to the client."""

    text: str = Field(min_length=1, max_length=2000)
    seen: StrictInt = Field(
        ge=0, description="The last message that was read; refused once more has been said."
    )


class Asked(Wire):
    """The words are on their way; `seq` is their place in the conversation."""

    seq: Whole


class Twin(Wire):
    """A lead that may be the same request, and why it looks so."""

    lead_id: str
    number: str
    because: str
    seen: str


class Twins(Wire):
    """What may be the same; `seen` says how this lead stands."""

    seen: str
    likely: list[Twin]


class MergeRequest(Wire):
    """The other lead becomes a part of this one. Both `seen` as `GET …/twins` gave them."""

    other_id: str = Field(max_length=32)
    seen: str = Field(max_length=80)
    other_seen: str = Field(max_length=80)
