"""The owner's price book on the wire: its text, its versions, what a change would do."""

from datetime import datetime
from decimal import Decimal

from pydantic import Field

from service.contract.brief import Wire
from service.contract.figure import Number

LONGEST_TEXT = 1024 * 1024


class PriceBookVersion(Wire):
    """One version: when it was made, by whom and why."""

    version: str
    made_at: datetime
    made_by: str
    note: str


class PriceBookText(PriceBookVersion):
    """A version with its text: YAML, with the owner's comments."""

    text: str


class NewPriceBook(Wire):
    """A whole price book as YAML, and a word on why it changes."""

    text: str = Field(min_length=1, max_length=LONGEST_TEXT)
    note: str = Field(default="", max_length=200)


class JobFigures(Wire):
    """What a job comes to: price and cost, and hours of work in all."""

    price: Decimal
    cost: Decimal
    hours: Number


class TriedJob(Wire):
    """A usual job by the book in use and by the new one."""

    name: str
    before: JobFigures
    after: JobFigures


class ChangedLines(Wire):
    """Lines that went and that came in their place, and what part of the book they are of."""

    where: str
    gone: list[str]
    come: list[str]


class PriceBookPreview(Wire):
    """What a text would change, were it saved."""

    version: str
    currency: str
    jobs: list[TriedJob]
    changed: list[ChangedLines]
