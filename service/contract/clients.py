"""What is kept of a client."""

from datetime import datetime

from pydantic import Field

from service.contract.brief import Wire
from service.contract.figure import Whole


class Consent(Wire):
    """What a client agreed to, in which wording, and when."""

    lead_id: str
    what: str
    version: str = Field(description="Of the notice, a digest of its text.")
    channel: str
    at: datetime


class Kept(Wire):
    """What is kept of the client who sent a request."""

    requests: list[str] = Field(description="Numbers of every request of the same client.")
    messages: Whole
    photos: Whole
    quotes: Whole
    payments: Whole
    consents: list[Consent]


class Erased(Wire):
    """What was erased."""

    requests: Whole = Field(description="How many requests it was about.")
