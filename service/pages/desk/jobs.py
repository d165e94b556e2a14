"""Coming set-ups, and the sheet of one: for helpers, who see nothing else, and for the owner."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import jobs, words
from service.leads.jobs import Job, Sheet
from service.leads.lead import NotFound
from service.pages.desk.access import AnyoneIn, Desk

router = APIRouter(prefix="/jobs")


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """The set-ups of one day."""

    title: str
    jobs: tuple[tuple[Job, str], ...]


@router.get("")
def jobs_page(desk: AnyoneIn) -> Response:
    """Set-ups that are coming, today's first."""
    visit = desk.visit
    with visit.ports.read() as work:
        coming = jobs.coming(work, visit.book, now=visit.now)
    return desk.show("desk/jobs.html", days=tuple(_days(desk, coming)))


@router.get("/{hold_id}")
def job_page(hold_id: str, desk: AnyoneIn) -> Response:
    """What one set-up takes. What is over, or was given back, is not shown any more."""
    visit = desk.visit
    try:
        with visit.ports.read() as work:
            sheet = jobs.sheet(work, visit.book, hold_id, now=visit.now)
    except NotFound:
        return desk.trouble(
            HTTPStatus.NOT_FOUND,
            "There is no such set-up",
            "It may have been moved or called off. Look at the list again.",
        )
    return desk.show(
        "desk/job.html",
        sheet=sheet,
        job=sheet.job,
        day=words.day(_local(desk, sheet.job.arrives_at).date()),
        times=tuple(_times(desk, sheet)),
        lead_path=f"/desk/leads/{sheet.job.lead_id}" if desk.is_owner else None,
    )


def _days(desk: Desk, coming: list[Job]) -> Iterator[Day]:
    by_day: dict[object, list[Job]] = {}
    for job in coming:
        by_day.setdefault(_local(desk, job.arrives_at).date(), []).append(job)
    for same in by_day.values():
        day = _local(desk, same[0].arrives_at).date()
        today = "Today, " if day == desk.visit.now.date() else ""
        yield Day(
            title=f"{today}{words.day(day)}",
            jobs=tuple((job, _hours(desk, job)) for job in same),
        )


def _hours(desk: Desk, job: Job) -> str:
    arrive, ready = _clock(desk, job.arrives_at), _clock(desk, job.ready_at)
    return f"arrive {arrive}, ready {ready}"


def _times(desk: Desk, sheet: Sheet) -> Iterator[tuple[str, str]]:
    day = _local(desk, sheet.job.arrives_at).date()
    moments = (
        ("Leave", sheet.leaves_at),
        ("Arrive", sheet.job.arrives_at),
        ("Ready", sheet.job.ready_at),
        ("Take down", sheet.strikes_at),
    )
    for label, moment in moments:
        if moment is None:
            yield label, "nobody has to come back"
            continue
        local = _local(desk, moment)
        other_day = "" if local.date() == day else f"{words.day(local.date())}, "
        yield label, f"{other_day}{words.clock(local.time())}"


def _local(desk: Desk, moment: datetime) -> datetime:
    return moment.astimezone(desk.visit.zone)


def _clock(desk: Desk, moment: datetime) -> str:
    return words.clock(_local(desk, moment).time())
