"""The calendar at the desk: a week or a day as strips, and a list."""

from datetime import date, datetime, timedelta
from typing import Any, Literal

from babel import Locale
from fastapi import APIRouter, Response

from service.leads import agenda, conflicts, words
from service.leads.agenda import Job, Part
from service.leads.conflicts import Conflict
from service.leads.owner_words import summary_of, who
from service.leads.shop_time import midnight
from service.pages.desk.access import Desk, SignedIn
from service.pages.desk.strips import axis_of, day_of, in_order, path_of, place_of, state_of
from service.pages.form.days import day_in

router = APIRouter()

View = Literal["week", "day", "list"]

_DAYS: dict[str, int] = {"week": 7, "day": 1, "list": 60}


@router.get("/calendar")
def calendar_page(desk: SignedIn, on: str = "", view: str = "week") -> Response:
    """The calendar around a day; today where the address names none."""
    shown: View = view if view in ("day", "list") else "week"  # type: ignore[assignment]
    today = desk.visit.now.astimezone(desk.visit.zone).date()
    first = _first(day_in(on) or today, shown, desk.visit.book.shop.locale)
    days = [first + timedelta(each) for each in range(_DAYS[shown])]
    visit = desk.visit
    since, until = (midnight(each, visit.book) for each in (first, days[-1] + timedelta(1)))
    with visit.ports.read() as work:
        jobs = agenda.jobs(work, visit.book, since, until, visit.now)
        closed = work.closed.between(first, days[-1])
        wrong = conflicts.among(jobs, visit.book, closed)
    return desk.show(
        f"desk/calendar_{'list' if shown == 'list' else 'strips'}.html",
        view=shown,
        on=(day_in(on) or today),
        today=today,
        first=first,
        title=_title(first, days[-1], shown),
        before=first - timedelta(_DAYS[shown]),
        after=first + timedelta(_DAYS[shown]),
        conflicts=[_conflict(each, jobs) for each in wrong],
        **(_listed(desk, jobs, closed, wrong, since, until) if shown == "list" else {}),
        **(_strips(desk, jobs, closed, days, today) if shown != "list" else {}),
    )


def _first(on: date, view: View, locale: str) -> date:
    """Weeks begin on the day on which they do where the shop is."""
    if view != "week":
        return on
    begins = Locale.parse(locale, sep="-").first_week_day
    return on - timedelta((on.weekday() - begins) % 7)


def _title(first: date, last: date, view: View) -> str:
    if view == "day":
        return words.day(first)
    return f"{first:%B} {first.day} to {last:%B} {last.day}, {last.year}"


def _strips(
    desk: Desk, jobs: list[Job], closed: list[Any], days: list[date], today: date
) -> dict[str, Any]:
    zone = desk.visit.zone
    axis = axis_of(jobs, days, zone)
    now = desk.visit.now.astimezone(zone)
    minutes = (now.hour - axis.first) * 60 + now.minute
    return {
        "axis": axis,
        "now": minutes if 0 <= minutes < axis.length else None,
        "days": [
            day_of(day, jobs, closed, desk.visit.book, axis=axis, today=today) for day in days
        ],
        "order": [
            {"when": when, "what": what, "who": who(job.lead), "path": path_of(job)}
            for when, what, job in in_order(days[0], jobs, zone)
        ]
        if len(days) == 1
        else [],
    }


def _listed(
    desk: Desk,
    jobs: list[Job],
    closed: list[Any],
    wrong: list[Conflict],
    since: datetime,
    until: datetime,
) -> dict[str, Any]:
    troubled = {lead_id for each in wrong for lead_id in each.lead_ids}
    rows = [
        _row(desk, job, troubled=job.lead.id in troubled)
        for job in jobs
        if since <= job.hold.window.starts_at < until
    ]
    return {
        "rows": rows,
        "closed": [
            {
                "when": words.day(each.first)
                + (f" to {words.day(each.last)}" if each.last > each.first else ""),
                "note": each.note,
            }
            for each in closed
        ],
    }


def _row(desk: Desk, job: Job, *, troubled: bool) -> dict[str, Any]:
    zone = desk.visit.zone
    starts = job.hold.window.starts_at.astimezone(zone)
    made = job.first(Part.MAKE)
    return {
        "path": path_of(job),
        "who": who(job.lead),
        "number": job.lead.number,
        "what": summary_of(job.lead.brief),
        "place": place_of(job),
        "when": words.moment(starts),
        "ready": words.clock(job.hold.window.ends_at, zone),
        "make": made and words.moment(made.starts_at.astimezone(zone)),
        "booked": job.booked,
        "state": state_of(job, zone),
        "troubled": troubled,
    }


def _conflict(conflict: Conflict, jobs: list[Job]) -> dict[str, Any]:
    of = {job.lead.id: job for job in jobs}
    about = [of[lead_id] for lead_id in conflict.lead_ids]
    return {
        "text": conflict.text,
        "about": [(path_of(job), job.lead.number) for job in about],
    }
