"""How near estimates come: real costs against what was told, month by month and task by task."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from fastapi import APIRouter, Response

from service.leads import lesson_words, words
from service.leads.accuracy import ENOUGH, TARGET, Accuracy, Balloons, Miss, Month, accuracy
from service.pages.desk.access import Desk, SignedIn
from service.pages.templates import spent
from service.rendering.charts import Bar, pairs

router = APIRouter(prefix="/accuracy")

_KEPT = "private, max-age=60"

_MOST_MONTHS = 12
"""So many of the latest months are listed: a phone's page holds no more bars."""


@dataclass(frozen=True, kw_only=True, slots=True)
class MonthRow:
    """One month: what its jobs were likely to cost, and what they did."""

    month: str
    likely: str
    real: str
    within: str


@dataclass(frozen=True, kw_only=True, slots=True)
class MissRow:
    """One task, as it went against what was quoted."""

    task: str
    jobs: int
    off: str
    scatter: str
    hours: str


@router.get("")
def accuracy_page(desk: SignedIn) -> Response:
    """All of it in words and tables."""
    found = _found(desk)
    return desk.show(
        "desk/accuracy.html",
        jobs=found.coverage.jobs,
        enough=found.enough,
        least=ENOUGH,
        target=_percent(TARGET),
        coverage=_coverage(found),
        losses=_losses(found),
        months=[_month(each, found) for each in _latest(found)],
        misses=[_miss(each) for each in found.misses],
        balloons=list(_balloons(found.balloons)),
        elsewhere=found.elsewhere,
        unmeasured=found.unmeasured,
    )


@router.get("/months.svg")
def months_chart(desk: SignedIn) -> Response:
    """Likely and real costs by month as a picture."""
    found = _found(desk)
    drawn = [
        (
            Bar(
                label=_month_said(each),
                value=float(each.likely),
                said=f"likely {_whole(each.likely, found)}",
            ),
            Bar(label="", value=float(each.real), said=f"real {_whole(each.real, found)}"),
        )
        for each in _latest(found)
    ]
    return Response(
        pairs(drawn),
        media_type="image/svg+xml",
        headers={"Cache-Control": _KEPT, "X-Content-Type-Options": "nosniff"},
    )


def _found(desk: Desk) -> Accuracy:
    with desk.visit.ports.read() as work:
        finished = work.actuals.since(None)
    return accuracy(finished, currency=desk.visit.shop.currency)


def _latest(found: Accuracy) -> Sequence[Month]:
    return found.months[-_MOST_MONTHS:]


def _coverage(found: Accuracy) -> str:
    """ "31 of 40 real costs fell within their range (78%), 5 below, 4 above. …"."""
    seen = found.coverage
    if not seen.jobs:
        return ""
    share, low, high = (_percent(each) for each in (seen.share or 0.0, seen.low, seen.high))
    said = (
        f"{seen.within} of {seen.jobs} real costs fell within their range ({share}), "
        f"{seen.below} below and {seen.above} above. It is meant to be {_percent(TARGET)}"
    )
    if not found.enough:
        return f"{said}; so few jobs cannot tell: it may be anything from {low} to {high}."
    if seen.as_meant:
        return f"{said}; so many jobs allow for anything from {low} to {high}, so that is as meant."
    way = "too narrow" if seen.high < TARGET else "wider than they need to be"
    return f"{said}; with {low} to {high} allowed for, your ranges are {way}."


def _losses(found: Accuracy) -> str:
    losses = found.losses
    if losses.ratio is None:
        return "No finished job was quoted with anything that your jobs taught yet."
    off = _percent(abs(1 - losses.ratio))
    way = "nearer to" if losses.ratio < 1 else "further from"
    jobs = f"{losses.jobs} {'job' if losses.jobs == 1 else 'jobs'}"
    said = (
        f"In {jobs} quoted with what your jobs taught, the ranges were {off} {way} the real costs "
        f"than your price book's alone (pinball loss at P10, P50 and P90: {losses.ratio:.2f} of "
        "the book's)."
    )
    return said if losses.sure else f"{said} That may still be chance."


def _month(month: Month, found: Accuracy) -> MonthRow:
    return MonthRow(
        month=_month_said(month),
        likely=_whole(month.likely, found),
        real=_whole(month.real, found),
        within=f"{month.within} of {month.jobs}",
    )


def _whole(amount: Decimal, found: Accuracy) -> str:
    return words.money(amount.quantize(Decimal(1)), found.currency)


def _month_said(month: Month) -> str:
    return f"{month.month:%b %Y}"


def _miss(miss: Miss) -> MissRow:
    percent = round(100 * abs(miss.factor - 1))
    way = "longer" if miss.factor > 1 else "less time"
    return MissRow(
        task=lesson_words.name_of(miss.task),
        jobs=miss.jobs,
        off=f"{percent}% {way}" if percent else "as told",
        scatter="" if miss.scatter is None else f"±{round(100 * miss.scatter)}%",
        hours=spent(miss.hours),
    )


def _balloons(seen: Balloons) -> Iterator[str]:
    if seen.factor is not None:
        percent = round(100 * abs(seen.factor - 1))
        way = "more" if seen.factor > 1 else "fewer"
        said = f"{percent}% {way} balloons than" if percent else "as many balloons as"
        took = f"Your garlands took {said} the recipe counts"
        yield _told_by(seen.packed, "how many balloons they used", took)
    if seen.taken:
        burst = f"Of {seen.taken:,} balloons blown up, {seen.burst:,} burst ({_fine(seen)})"
        yield _told_by(seen.counted, "how many balloons burst", burst)


def _told_by(jobs: int, what: str, said: str) -> str:
    """What so many jobs say, or that they are too few to say it."""
    if jobs < ENOUGH:
        known = f"Only {jobs} {'job has' if jobs == 1 else 'jobs have'} told"
        return f"{known} {what}: {ENOUGH} are needed before that says something of your work."
    return f"{said}, from {jobs} jobs."


def _fine(seen: Balloons) -> str:
    return f"{100 * seen.burst / seen.taken:.1f}%"


def _percent(share: float) -> str:
    return f"{round(100 * share)}%"
