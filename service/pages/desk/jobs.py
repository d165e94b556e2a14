"""Coming set-ups, and the sheet of one: for helpers, who see nothing else, and for the owner."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import words
from service.leads.lead import NotFound
from service.leads.people import PersonRole
from service.pages.desk.access import AnyoneIn, Desk
from service.pages.visit import Instead
from service.workshop import set_ups
from service.workshop.set_ups import Job, SetUp, ahead_of
from service.workshop.sheet import Sheet, sheet

router = APIRouter(prefix="/jobs")


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """The set-ups of one day."""

    date: date
    title: str
    jobs: tuple[tuple[Job, str], ...]


@router.get("")
def jobs_page(desk: AnyoneIn, later: str = "") -> Response:
    """Set-ups that are coming, today's first; `later` shows the owner those far ahead too."""
    visit, far = desk.visit, bool(later) and desk.is_owner
    ahead = ahead_of(PersonRole.OWNER if far else PersonRole.HELPER)
    with visit.ports.read() as work:
        found = set_ups.coming(work, visit.book, now=visit.now, ahead=ahead)
    coming = [set_ups.listed(each) for each in found]
    return desk.show("desk/jobs.html", days=tuple(_days(desk, coming)), far=far, more=desk.is_owner)


@router.get("/{hold_id}")
def job_page(hold_id: str, desk: AnyoneIn) -> Response:
    """What one set-up takes. What is over, or was given back, is not shown any more."""
    visit = desk.visit
    found = set_up_of(desk, hold_id)
    told = sheet(found, visit.ports.price_books, now=visit.now)
    return desk.show(
        "desk/job.html",
        sheet=told,
        job=told.job,
        date=_local(desk, told.job.arrives_at).date(),
        day=words.day(_local(desk, told.job.arrives_at).date()),
        times=tuple(_times(desk, told)),
        lead_path=f"/desk/leads/{told.job.lead_id}" if desk.is_owner else None,
    )


def set_up_of(desk: Desk, hold_id: str) -> SetUp:
    """The set-up of an address; where there is none for this reader, a page says so instead."""
    visit = desk.visit
    try:
        with visit.ports.read() as work:
            ahead = ahead_of(desk.person.role)
            return set_ups.find(work, visit.book, hold_id, now=visit.now, ahead=ahead)
    except NotFound as gone:
        raise Instead(
            desk.trouble(
                HTTPStatus.NOT_FOUND,
                "There is no such set-up",
                "It may have been moved or called off. Look at the list again.",
            )
        ) from gone


def _days(desk: Desk, coming: list[Job]) -> Iterator[Day]:
    # What was set up yesterday and is taken down today is work of today.
    today, by_day = desk.visit.now.date(), dict[date, list[Job]]()
    for job in coming:
        by_day.setdefault(max(today, _local(desk, job.arrives_at).date()), []).append(job)
    for day, same in by_day.items():
        said = "Today, " if day == today else ""
        yield Day(
            date=day,
            title=f"{said}{words.day(day)}",
            jobs=tuple((job, _hours(desk, job, day)) for job in same),
        )


def _hours(desk: Desk, job: Job, day: date) -> str:
    """ "arrive 9:00 AM, ready 12:15 PM, take down 7:00 PM"; on another day that is said too."""
    told = _moments(desk, job, day)
    return ", ".join(f"{label.lower()} {said}" for label, said in told if said)


def _times(desk: Desk, sheet: Sheet) -> Iterator[tuple[str, str]]:
    day = _local(desk, sheet.job.arrives_at).date()
    yield "Leave", _told(desk, sheet.leaves_at, day)
    for label, said in _moments(desk, sheet.job, day):
        yield label, said or "nobody has to come back"


def _moments(desk: Desk, job: Job, day: date) -> Iterator[tuple[str, str]]:
    yield "Arrive", _told(desk, job.arrives_at, day)
    yield "Ready", _told(desk, job.ready_at, day)
    assumed = "" if job.end_known else " (assumed: its end is not known)"
    yield "Take down", f"{_told(desk, job.strikes_at, day)}{assumed}" if job.strikes_at else ""


def _told(desk: Desk, moment: datetime, day: date) -> str:
    local = _local(desk, moment)
    other_day = "" if local.date() == day else f"{words.day(local.date())}, "
    return f"{other_day}{words.clock(local.time())}"


def _local(desk: Desk, moment: datetime) -> datetime:
    return moment.astimezone(desk.visit.zone)
