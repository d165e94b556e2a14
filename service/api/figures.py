"""How the shop is doing, for the owner."""

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Query

from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.contract import figures as wire
from service.leads import figures as core

router = APIRouter(tags=["owner"], dependencies=[Depends(allow(Role.OWNER))])


@router.get("/figures")
def read_figures(
    ports: Given,
    since: Annotated[Day | None, Query(alias="from", description="First day of asking.")] = None,
    until: Annotated[Day | None, Query(alias="to", description="Last day of asking.")] = None,
) -> wire.Figures:
    """What became of the requests that were asked in a period."""
    book = ports.price_books.current()
    period = core.Period(since=since, until=until)
    starts, ends = core.ends_of(period, book)
    with ports.read() as work:
        found = core.Figures(work.figures, since=starts, until=ends, currency=book.shop.currency)
        return _figures(found, period)


def _figures(found: core.Figures, period: core.Period) -> wire.Figures:
    return wire.Figures(
        since=period.since,
        until=period.until,
        answers=_answers(found.answers),
        quotes_sent=dict(found.quotes_sent),
        outcomes=_outcomes(found.outcomes),
        jobs=_jobs(found.earned, found.kept, found.currency),
        planned_hours=dict(found.hours),
        jobs_by_weekday=list(found.busiest.by_weekday),
        busiest_days=[wire.Day(date=day, jobs=count) for day, count in found.busiest.days],
    )


def _answers(value: core.AnswerTimes) -> wire.AnswerTimes:
    return wire.AnswerTimes(
        answered=value.answered,
        unanswered=value.unanswered,
        median_s=_seconds(value.median),
        p90_s=_seconds(value.p90),
        within_5_minutes=value.soon_share,
    )


def _seconds(value: timedelta | None) -> float | None:
    return None if value is None else value.total_seconds()


def _outcomes(value: core.Outcomes) -> wire.Outcomes:
    return wire.Outcomes(
        asked=value.asked,
        won=value.won,
        lost=value.lost,
        open=value.still_open,
        replaced=value.replaced,
        lost_because=dict(value.reasons),
        sources=[wire.SourceOf.model_validate(each) for each in value.sources],
    )


def _jobs(value: core.Earned, kept: core.Kept, currency: str) -> wire.Jobs:
    real = wire.Margin(amount=kept.margin, share=kept.margin_share)
    planned = wire.Margin(amount=kept.planned_margin, share=kept.planned_share)
    return wire.Jobs(
        count=value.jobs,
        currency=currency,
        in_other_currencies=value.elsewhere,
        total=value.total,
        average=value.average,
        median=value.median,
        planned_cost=value.cost,
        planned_margin=wire.Margin(amount=value.margin, share=value.margin_share),
        with_actuals=kept.jobs,
        real_margin=real if kept.jobs else None,
        planned_margin_of_those=planned if kept.jobs else None,
    )
