"""Opening a booking link, picking a time, giving it back."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import booking, cancelling, known_hours, terms
from service.leads.lead import LeadState, MoveRefused, WindowTaken
from service.leads.limits import HOLDS, WINDOWS, keep_to
from service.leads.speech import msg
from service.pages.bookings import entered as entering
from service.pages.bookings.entered import Entered
from service.pages.bookings.keeping import REASONS, canceled_page, held_page
from service.pages.bookings.opened import Asked, Job, open_job, terms_to_accept
from service.pages.bookings.picking import Picking, picking_page, wanted_day
from service.pages.newer import newer_than
from service.pages.posted import Posted, Sent
from service.pages.visit import Visit, Visiting, go_to

router = APIRouter()

_CLOSED: Mapping[LeadState, str] = {
    LeadState.DECLINED: msg("We had to say no to this one, so there is nothing to book here."),
    LeadState.LAPSED: msg("This price has run out. Write to us and you'll have a fresh one."),
    LeadState.BOOKED: msg("This is booked already. To change it, please write or call."),
    LeadState.DONE: msg("This job is done. We hope it was a lovely day!"),
    LeadState.REVIEW: msg("We are looking at this once more. You'll hear from us."),
}
_NOT_YET = msg("Set-up times can be picked as soon as the price is out.")


@router.get("/bookings/{token}")
def booking_page(
    token: str, visit: Visiting, day: str = "", change: str = "", free: str = ""
) -> Response:
    """The hold, or set-up times to pick from. Changes nothing."""
    with visit.ports.read() as work:
        job = open_job(work, visit, token)
        if job.hold is not None and not (change and job.may_pick):
            return held_page(job, job.hold)
        if not job.may_pick:
            return _closed_page(job)
        keep_to(visit.ports.limits, WINDOWS, job.lead.id)
        wanted, trouble = wanted_day(job, day)
        if wanted is None and trouble is None and job.hold is not None:
            wanted = job.local(job.hold.window.starts_at).date()
        picking = Picking(day=wanted, trouble=trouble, given_back=bool(free))
        return picking_page(job, picking, terms_to_accept(job))


@router.post("/bookings/{token}")
def hold_window(token: str, visit: Visiting, sent: Sent) -> Response:
    """Keep the picked time. A second press finds the same hold."""
    with visit.ports.read() as work:
        job = open_job(work, visit, token)
        if not job.may_pick:
            return _closed_page(job)
        asked = terms_to_accept(job)
        entered = entering.read(sent, job, asked)
        if entered.faults or entered.starts_at is None:
            return _again(job, sent, entered, asked, HTTPStatus.UNPROCESSABLE_ENTITY)
    keep_to(visit.ports.limits, HOLDS, job.lead.id)
    booking.free_expired(visit.ports)
    try:
        _place(token, visit, entered, entered.starts_at)
    except WindowTaken as taken:
        with visit.ports.read() as work:
            job = open_job(work, visit, token)
            said = job.visit.words.text(str(taken))
            return _again(job, sent, entered, asked, HTTPStatus.CONFLICT, trouble=said)
    except MoveRefused:
        with visit.ports.read() as work:
            return _closed_page(open_job(work, visit, token))
    return go_to(visit.at(f"/bookings/{token}"))


@router.post("/bookings/{token}/give-back")
def give_back(token: str, visit: Visiting, sent: Sent) -> Response:
    """The client no longer needs the time that is kept. A second press changes nothing."""
    with visit.ports.work() as work:
        job = open_job(work, visit, token)
        lead = work.leads.get(job.lead.id, lock=True)
        if lead.state is LeadState.HELD:
            because = sent.text("why")
            booking.release(
                work,
                visit.ports,
                lead,
                now=visit.now,
                because=because if because in REASONS else None,
            )
            work.commit()
        elif lead.state is not LeadState.QUOTED:
            return _closed_page(job)
    return go_to(visit.at(f"/bookings/{token}?free=1"))


def _place(token: str, visit: Visit, entered: Entered, starts_at: datetime) -> None:
    with visit.ports.work() as work:
        job = open_job(work, visit, token)
        asked = terms_to_accept(job)
        news = known_hours.take_in(work, job.lead.id, entered.hours, now=visit.now)
        booking.place_hold(
            work,
            visit.ports,
            job.lead.id,
            starts_at=starts_at,
            client=entered.client,
            another_day=entered.instead,
            afresh=news,
            now=visit.now,
        )
        if asked is not None:
            language = job.visit.words.language
            terms.accept(work, visit.ports, job.lead, language=language, now=visit.now)
        work.commit()


def _again(
    job: Job,
    sent: Posted,
    entered: Entered,
    asked: Asked | None,
    status: HTTPStatus,
    *,
    trouble: str | None = None,
) -> Response:
    wanted, _ = wanted_day(job, sent.text("day"))
    brief = known_hours.with_them(job.lead.brief, entered.hours)
    lead = replace(job.lead, brief=brief)
    picking = Picking(
        day=wanted,
        sent=sent,
        faults=entered.faults,
        trouble=trouble,
        taken=status is HTTPStatus.CONFLICT,
        status=status,
    )
    return picking_page(replace(job, lead=lead), picking, asked)


def _closed_page(job: Job) -> Response:
    newer = newer_than(job.work, job.visit.ports, job.lead)
    if newer is not None:
        return job.visit.show(
            "replaced.html", status=HTTPStatus.CONFLICT, quote=job.quote, newer=newer
        )
    off = cancelling.cancelled(job.work, job.lead.id)
    if off is not None:
        return canceled_page(job, off)
    text = _CLOSED.get(job.lead.state, _NOT_YET)
    return job.visit.trouble(HTTPStatus.CONFLICT, msg("Nothing to pick here now"), text)
