"""The wire form of figures: what became of the requests of a period. Money before tax."""

import datetime as dt
from decimal import Decimal

from pydantic import Field

from service.contract.brief import Wire


class AnswerTimes(Wire):
    """From a request to its first answer; null where nothing was answered."""

    answered: int
    unanswered: int
    median_s: float | None
    p90_s: float | None
    within_5_minutes: float | None = Field(description="The share of those answered.")


class SourceOf(Wire):
    """Where requests came from."""

    channel: str
    source: str | None
    asked: int
    won: int


class Outcomes(Wire):
    """How the requests stand; those that another one replaced are only in `replaced`."""

    asked: int
    won: int
    lost: int
    open: int
    replaced: int
    lost_because: dict[str, int]
    sources: list[SourceOf]


class Margin(Wire):
    """What is left of a price before tax after costs, before overhead."""

    amount: Decimal
    share: float | None = Field(description="As a part of the price.")


class Jobs(Wire):
    """Jobs that were won, in the shop's currency."""

    count: int
    currency: str
    in_other_currencies: int
    total: Decimal
    average: Decimal | None
    median: Decimal | None
    planned_cost: Decimal
    planned_margin: Margin
    with_actuals: int = Field(description="Of how many it was told what they really took.")
    real_margin: Margin | None = Field(description="Of those; null while there are none.")
    planned_margin_of_those: Margin | None = Field(description="To hold the real one against.")


class Day(Wire):
    """A day with jobs on it."""

    date: dt.date
    jobs: int


class Figures(Wire):
    """Of the requests asked from `since` to `until`, both inclusive; null for no end."""

    since: dt.date | None
    until: dt.date | None
    answers: AnswerTimes
    quotes_sent: dict[str, int] = Field(description="By kind, sent within the period.")
    outcomes: Outcomes
    jobs: Jobs
    planned_hours: dict[str, float] = Field(description="Of the jobs won, by task.")
    jobs_by_weekday: list[int] = Field(description="Monday first.")
    busiest_days: list[Day]
