"""The wire form of figures: what became of the requests of a period. Money before tax."""

import datetime as dt
from decimal import Decimal

from pydantic import Field

from service.contract.brief import Wire
from service.contract.figure import Number, Whole


class AnswerTimes(Wire):
    """From a request to its first answer; null where nothing was answered."""

    answered: Whole
    unanswered: Whole
    median_s: Number | None
    p90_s: Number | None
    within_5_minutes: Number | None = Field(description="The share of those answered.")


class SourceOf(Wire):
    """Where requests came from."""

    channel: str
    source: str | None
    asked: Whole
    won: Whole


class Outcomes(Wire):
    """How the requests stand; those that another one replaced are only in `replaced`."""

    asked: Whole
    won: Whole
    lost: Whole
    open: Whole
    replaced: Whole
    lost_because: dict[str, int]
    sources: list[SourceOf]


class Margin(Wire):
    """What is left of a price before tax after costs, before overhead."""

    amount: Decimal
    share: Number | None = Field(description="As a part of the price.")


class Jobs(Wire):
    """Jobs that were won, in the shop's currency."""

    count: Whole
    currency: str
    in_other_currencies: Whole
    total: Decimal
    average: Decimal | None
    median: Decimal | None
    planned_cost: Decimal
    planned_margin: Margin
    with_actuals: Whole = Field(description="Of how many it was told what they really took.")
    real_margin: Margin | None = Field(description="Of those; null while there are none.")
    planned_margin_of_those: Margin | None = Field(description="To hold the real one against.")


class Day(Wire):
    """A day with jobs on it."""

    date: dt.date
    jobs: Whole


class Figures(Wire):
    """Of the requests asked from `since` to `until`, both inclusive; null for no end."""

    since: dt.date | None
    until: dt.date | None
    answers: AnswerTimes
    quotes_sent: dict[str, int] = Field(description="By kind, sent within the period.")
    outcomes: Outcomes
    jobs: Jobs
    planned_hours: dict[str, float] = Field(description="Of the jobs won, by task.")
    jobs_by_weekday: list[Whole] = Field(description="Monday first.")
    busiest_days: list[Day]
