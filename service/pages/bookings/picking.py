"""The page on which a set-up time is picked."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from http import HTTPStatus

from fastapi import Response

from service.estimating import Setting
from service.leads import booking
from service.leads.lead import Hold, Window
from service.leads.offering import HORIZON, Why, why_none
from service.leads.speech import msg
from service.leads.stays import comes_back
from service.pages.bookings.offer import offer_of
from service.pages.bookings.opened import Asked, Job
from service.pages.form.days import read_day
from service.pages.posted import Fault, Posted
from service.pages.times import by_part_of_day

_SEVERAL = 2

_WHY_NONE = {
    Why.CLOSED: msg("We are closed that day."),
    Why.VENUE: msg("Setting up takes longer than the venue lets us in before your event."),
    Why.TOO_LONG: msg(
        "Setting up takes longer than our hours on that day leave before your event."
    ),
    Why.MAKING: msg("Before those times we can't make it all so that it is still fresh for you."),
    Why.TAKEN: msg("All set-up times on that day are taken."),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Picking:
    """How the page is shown: for which day, and what came of an attempt before."""

    day: date | None
    sent: Posted | None = None
    faults: tuple[Fault, ...] = ()
    trouble: str | None = None
    taken: bool = False
    given_back: bool = False
    status: HTTPStatus = HTTPStatus.OK


def picking_page(job: Job, picking: Picking, asked: Asked | None) -> Response:
    """The times of the day, the client's own among them; or why there are none, and others."""
    visit, day = job.visit, picking.day
    kept = _kept(job, day)
    # The client's own time stands among the others, so that it can be stayed with.
    mine = {kept.window} if kept else set()
    others = set(_free(job, day) if day else ()) - mine
    offered = sorted(others | mine, key=lambda window: window.starts_at)
    instead = _instead(job, day) if day and (picking.taken or not others) and not kept else []
    sent = picking.sent
    return visit.show(
        "booking.html",
        status=picking.status,
        lead=job.lead,
        quote=job.quote,
        offer=offer_of(job),
        day=day,
        fixed=job.fixed_day is not None,
        times=by_part_of_day(offered, visit) if others else (),
        none_free=_why_none(job, day, kept) if day and not others else None,
        instead=[_button(job, window, day) for window in instead],
        same_day=any(job.local(window.starts_at).date() == day for window in instead),
        kept=kept and job.local(kept.window.starts_at).isoformat(),
        values=_values(job, sent),
        one_press=picking.taken,
        picked=(sent.text("instead") or sent.text("starts_at")) if sent else None,
        asked=asked,
        accepted=bool(sent and asked and sent.text("accept") == asked.version),
        faults={fault.field: fault.text for fault in picking.faults},
        trouble=picking.trouble,
        given_back=picking.given_back,
        changing=job.hold is not None,
        comes_back=comes_back(job.quote.estimate),
        freshest=_freshest(job, offered),
        # A time that is kept runs out before anybody comes.
        until=visit.words.moment(job.local(min((job.until, *(w.starts_at for w in offered))))),
        earliest=visit.now.date(),
        latest=visit.now.date() + HORIZON,
        quote_path=job.quote_path,
        path=job.path,
    )


def wanted_day(job: Job, asked: str) -> tuple[date | None, str | None]:
    """The day of the event, or the day asked for where the event has none; and what is wrong."""
    if job.fixed_day is not None:
        return job.fixed_day, None
    if not asked:
        return None, None
    try:
        day = read_day(asked)
    except ValueError:
        return None, job.visit.words.say("Write the day as month/day/year, please.")
    if not job.visit.now.date() <= day <= job.visit.now.date() + HORIZON:
        return None, job.visit.words.say(
            "Pick a day that is still to come, within the next three years."
        )
    return day, None


@dataclass(frozen=True, kw_only=True, slots=True)
class Button:
    """A time to take with one press."""

    value: str
    label: str


def _button(job: Job, window: Window, day: date | None) -> Button:
    starts = job.local(window.starts_at)
    words = job.visit.words
    label = words.clock(starts.time()) if starts.date() == day else words.moment(starts)
    return Button(value=starts.isoformat(), label=label)


def _free(job: Job, day: date) -> list[Window]:
    return booking.offered(
        job.work, job.lead, job.quote, job.visit.book, day=day, now=job.visit.now
    )


def _instead(job: Job, day: date) -> Sequence[Window]:
    return booking.next_free(
        job.work, job.lead, job.quote, job.visit.book, after=day, now=job.visit.now
    )


def _freshest(job: Job, offered: list[Window]) -> str | None:
    """Outdoors the latest of several times, as the form has it."""
    if job.quote.brief.site.setting is not Setting.OUTDOOR or len(offered) < _SEVERAL:
        return None
    return job.local(offered[-1].starts_at).isoformat()


def _kept(job: Job, day: date | None) -> Hold | None:
    """The client's own hold, if it is for that day and has not run out."""
    hold = job.hold
    if hold is None or hold.expires_at <= job.visit.now:
        return None
    return hold if job.local(hold.window.starts_at).date() == day else None


def _values(job: Job, sent: Posted | None) -> dict[str, str]:
    client, site, ends = job.lead.client, job.lead.brief.site, job.lead.brief.event.end_time
    if sent is not None:
        names = ("name", "email", "phone", "ends", "access_from", "access_until")
        return {name: sent.text(name) for name in names}
    return {
        "name": client.name or "",
        "email": client.email or "",
        "phone": client.phone or "",
        "ends": f"{ends:%H:%M}" if ends else "",
        "access_from": f"{site.access_from:%H:%M}" if site.access_from else "",
        "access_until": f"{site.access_until:%H:%M}" if site.access_until else "",
    }


def _why_none(job: Job, day: date, kept: Hold | None) -> str:
    words, book = job.visit.words, job.visit.book
    if kept is not None:
        return words.say(
            "No other time is free that day. Your %(time)s stays kept for you.",
            time=words.clock(kept.window.starts_at, job.visit.zone),
        )
    found = why_none(job.work, job.lead, job.quote, book, day=day, now=job.visit.now)
    why = found.why if found else Why.TAKEN
    if why is Why.WEEKDAY:
        return words.say("We don't set up on a %(weekday)s.", weekday=words.weekday(day))
    if why is Why.NOTICE:
        notice = words.lasting(book.calendar.notice)
        return words.say("We need %(time)s to get ready, and that day is sooner.", time=notice)
    return words.say(_WHY_NONE[why])
