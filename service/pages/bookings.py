"""The booking page: set-up times that are really free, and holding one of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import booking, handling, windows
from service.leads.lead import (
    Client,
    Hold,
    Lead,
    LeadState,
    MoveRefused,
    NotFound,
    Quote,
    Window,
    WindowTaken,
)
from service.leads.ports import UnitOfWork
from service.leads.speech import msg
from service.pages.form.days import read_day
from service.pages.newer import newer_than
from service.pages.posted import Fault, Posted, Sent
from service.pages.reaching import read_client
from service.pages.times import by_part_of_day
from service.pages.visit import Visit, Visiting, go_to, path_of

router = APIRouter()

_FARTHEST = timedelta(days=3 * 366)

_CLOSED: Mapping[LeadState, str] = {
    LeadState.DECLINED: msg("We had to say no to this one, so there is nothing to book here."),
    LeadState.LAPSED: msg("This price has run out. Write to us and you'll have a fresh one."),
    LeadState.BOOKED: msg("This is booked already. To change it, please write or call."),
    LeadState.DONE: msg("This job is done. We hope it was a lovely day!"),
    LeadState.REVIEW: msg("We are looking at this once more. You'll hear from us."),
}
_NOT_YET = msg("Set-up times can be picked as soon as the price is out.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """What a booking link opens, within one unit of work."""

    work: UnitOfWork
    visit: Visit
    token: str
    lead: Lead
    quote: Quote
    hold: Hold | None


@router.get("/bookings/{token}")
def booking_page(token: str, visit: Visiting, day: str = "", change: str = "") -> Response:
    """The hold, or set-up times to pick from. Changes nothing."""
    with visit.ports.read() as work:
        job = _open(work, visit, token)
        if job.hold is not None and not change:
            return _held_page(job, job.hold)
        if not _may_pick(job.lead):
            return _closed_page(job)
        wanted, trouble = _wanted_day(job, day)
        if wanted is None and trouble is None and job.hold is not None:
            wanted = _day_of(job, job.hold)
        return _picking_page(job, wanted, trouble=trouble)


@router.post("/bookings/{token}")
def hold_window(token: str, visit: Visiting, sent: Sent) -> Response:
    """Keep the picked time. A second press finds the same hold."""
    with visit.ports.read() as work:
        visit = _open(work, visit, token).visit
    client, faults = read_client(sent, visit.shop, visit.words)
    starts_at = _starts_at(sent)
    if starts_at is None:
        missing = visit.words.say("Pick a set-up time first.")
        faults = (Fault(field="starts_at", text=missing), *faults)
    if starts_at is None or faults:
        return _to_correct(token, visit, sent, faults)
    booking.free_expired(visit.ports)
    try:
        _place(token, visit, starts_at, client)
    except WindowTaken as taken:
        return _taken_page(token, visit, sent, str(taken))
    except MoveRefused:
        with visit.ports.read() as work:
            return _closed_page(_open(work, visit, token))
    return go_to(visit.at(f"/bookings/{token}"))


def _open(work: UnitOfWork, visit: Visit, token: str) -> Job:
    lead = handling.lead_of_link(work, visit.ports, token, purpose=handling.BOOKING_LINK)
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    hold = work.holds.of_lead(lead.id)
    visit = visit.speaking(lead.language)
    return Job(work=work, visit=visit, token=token, lead=lead, quote=quote, hold=hold)


def _place(token: str, visit: Visit, starts_at: datetime, client: Client) -> None:
    with visit.ports.work() as work:
        job = _open(work, visit, token)
        booking.place_hold(
            work, visit.ports, job.lead.id, starts_at=starts_at, client=client, now=visit.now
        )
        work.commit()


def _to_correct(token: str, visit: Visit, sent: Posted, faults: tuple[Fault, ...]) -> Response:
    with visit.ports.read() as work:
        job = _open(work, visit, token)
        wanted, _ = _wanted_day(job, sent.text("day"))
        return _picking_page(
            job, wanted, sent=sent, faults=faults, status=HTTPStatus.UNPROCESSABLE_ENTITY
        )


def _taken_page(token: str, visit: Visit, sent: Posted, trouble: str) -> Response:
    with visit.ports.read() as work:
        job = _open(work, visit, token)
        wanted, _ = _wanted_day(job, sent.text("day"))
        return _picking_page(
            job,
            wanted,
            sent=sent,
            trouble=job.visit.words.text(trouble),
            status=HTTPStatus.CONFLICT,
        )


def _held_page(job: Job, hold: Hold) -> Response:
    visit = job.visit
    return visit.show(
        "held.html",
        lead=job.lead,
        quote=job.quote,
        booked=job.lead.state in (LeadState.BOOKED, LeadState.DONE),
        starts=hold.window.starts_at.astimezone(visit.zone),
        ends=hold.window.ends_at.astimezone(visit.zone),
        until=visit.words.moment(hold.expires_at.astimezone(visit.zone)),
        over=hold.expires_at <= visit.now,
        quote_path=_quote_path(job),
        change_path=f"/bookings/{job.token}?change=1",
    )


def _closed_page(job: Job) -> Response:
    newer = newer_than(job.work, job.visit.ports, job.lead)
    if newer is not None:
        return job.visit.show(
            "replaced.html", status=HTTPStatus.CONFLICT, quote=job.quote, newer=newer
        )
    text = _CLOSED.get(job.lead.state, _NOT_YET)
    return job.visit.trouble(HTTPStatus.CONFLICT, msg("Nothing to pick here now"), text)


def _picking_page(
    job: Job,
    wanted: date | None,
    *,
    sent: Posted | None = None,
    faults: tuple[Fault, ...] = (),
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    kept = _kept(job, wanted)
    # The client's own time stands among the others, so that it can be stayed with.
    mine = {kept.window} if kept else set()
    others = set(_free(job, wanted) if wanted else ()) - mine
    offered = sorted(others | mine, key=lambda window: window.starts_at)
    client = job.lead.client
    known = {"name": client.name, "email": client.email, "phone": client.phone}
    visit = job.visit
    return visit.show(
        "booking.html",
        status=status,
        lead=job.lead,
        quote=job.quote,
        day=wanted,
        fixed=job.lead.brief.event.date is not None,
        times=by_part_of_day(offered, visit) if others else (),
        none_free=_why_none(job, wanted, kept) if wanted and not others else None,
        kept=kept and kept.window.starts_at.astimezone(visit.zone).isoformat(),
        values={name: sent.text(name) if sent else (known[name] or "") for name in known},
        picked=sent.text("starts_at") if sent else None,
        faults={fault.field: fault.text for fault in faults},
        trouble=trouble,
        changing=job.hold is not None,
        until=visit.words.moment(_until(job).astimezone(visit.zone)),
        earliest=visit.now.date(),
        latest=visit.now.date() + _FARTHEST,
        quote_path=_quote_path(job),
        path=f"/bookings/{job.token}",
    )


def _wanted_day(job: Job, asked: str) -> tuple[date | None, str | None]:
    """The day of the event, or the day asked for where the event has none; and what is wrong."""
    if job.lead.brief.event.date is not None:
        return job.lead.brief.event.date, None
    if not asked:
        return None, None
    try:
        day = read_day(asked)
    except ValueError:
        return None, job.visit.words.say("Write the day as month/day/year, please.")
    if not job.visit.now.date() <= day <= job.visit.now.date() + _FARTHEST:
        return None, job.visit.words.say(
            "Pick a day that is still to come, within the next three years."
        )
    return day, None


def _free(job: Job, day: date) -> list[Window]:
    return booking.offered(
        job.work, job.lead, job.quote, job.visit.book, day=day, now=job.visit.now
    )


def _kept(job: Job, day: date | None) -> Hold | None:
    """The client's own hold, if it is for that day and has not run out."""
    hold = job.hold
    if hold is None or hold.expires_at <= job.visit.now or _day_of(job, hold) != day:
        return None
    return hold


def _day_of(job: Job, hold: Hold) -> date:
    return hold.window.starts_at.astimezone(job.visit.zone).date()


def _until(job: Job) -> datetime:
    """When a time picked now runs out; picking another one does not move it."""
    if job.hold is not None and job.hold.expires_at > job.visit.now:
        return job.hold.expires_at
    return booking.hold_until(job.visit.book, job.visit.now)


def _why_none(job: Job, day: date, kept: Hold | None) -> str:
    words, zone = job.visit.words, job.visit.zone
    if kept is not None:
        return words.say(
            "No other time is free that day. Your %(time)s stays kept for you.",
            time=words.clock(kept.window.starts_at, zone),
        )
    calendar = job.visit.book.calendar
    if day.weekday() not in calendar.opening:
        return words.say("We don't set up on a %(weekday)s.", weekday=words.weekday(day))
    possible = windows.candidates(
        day,
        event_start=job.lead.brief.event.start_time,
        needed=windows.on_site(job.quote.estimate.hours),
        calendar=calendar,
        zone=zone,
        # As if it were long before, so that only the hours of the day count.
        now=datetime.combine(day, time(0), zone) - calendar.notice,
    )
    if not possible:
        return words.say(
            "Setting up takes longer than our hours on that day leave before your event."
        )
    if possible[-1].starts_at < job.visit.now + calendar.notice:
        return words.say(
            "We need %(time)s to get ready, and that day is sooner.",
            time=words.lasting(calendar.notice),
        )
    return words.say("All set-up times on that day are taken.")


def _starts_at(sent: Posted) -> datetime | None:
    try:
        starts_at = datetime.fromisoformat(sent.text("starts_at"))
    except ValueError:
        return None
    # The first and the last years of the calendar cannot be moved between zones.
    sound = starts_at.tzinfo is not None and 2000 <= starts_at.year <= 3000
    return starts_at if sound else None


def _may_pick(lead: Lead) -> bool:
    return lead.state in (LeadState.QUOTED, LeadState.HELD)


def _quote_path(job: Job) -> str:
    url, _ = handling.links(job.work, job.visit.ports, job.lead.id)
    return path_of(url)
