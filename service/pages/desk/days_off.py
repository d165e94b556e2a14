"""Days on which the shop does not work: closing them, and opening them again."""

from dataclasses import dataclass
from datetime import date, datetime
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import days_off, words
from service.leads.closing import LONGEST_NOTE, ClosedTime, ClosingRefused
from service.leads.lead import Hold, HoldState, NotFound
from service.leads.owner_words import who
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.form.days import read_day, time_of_day
from service.pages.posted import Posted, Refusals, Sent
from service.pages.visit import go_to

router = APIRouter()

_DONE = {
    "closed": "These times are closed now: no set-up is offered there.",
    "open": "Those times are open again.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Kept:
    """A job that stays where days are closed."""

    path: str
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """Closed times in words, with the jobs that are kept in them."""

    id: str
    text: str
    note: str
    kept: tuple[Kept, ...]


@router.get("/days-off")
def days_off_page(desk: SignedIn, done: str = "") -> Response:
    """What is closed from today on, and a form to close more."""
    return _page(desk, notice=_DONE.get(done))


@router.post("/days-off")
def close_days(desk: Confirmed, sent: Sent) -> Response:
    """Close days, or a time on each of them."""
    refusals = Refusals(desk.visit.words)
    closed = _read(desk, sent, refusals)
    if closed is not None and not refusals.faults:
        try:
            with desk.visit.ports.work() as work:
                days_off.close(work, desk.visit.ports, closed)
                work.commit()
            return go_to("/desk/days-off?done=closed")
        except ClosingRefused as error:
            refusals.refuse(error.field, str(error))
    return _page(desk, sent=sent, refusals=refusals, status=HTTPStatus.UNPROCESSABLE_ENTITY)


@router.post("/days-off/{closed_id}/open")
def open_again(closed_id: str, desk: Confirmed) -> Response:
    """Open days again. A second press finds them open."""
    with desk.visit.ports.work() as work:
        try:
            work.closed.remove(closed_id)
        except NotFound:
            return go_to("/desk/days-off?done=open")
        work.commit()
    return go_to("/desk/days-off?done=open")


def _read(desk: Desk, sent: Posted, refusals: Refusals) -> ClosedTime | None:
    first = _day(sent, "first", refusals)
    last = _day(sent, "last", refusals) if sent.text("last") else first
    since, until = (time_of_day(sent, field, refusals) for field in ("since", "until"))
    if first is None or last is None:
        return None
    return ClosedTime(
        id=desk.visit.ports.new_id(),
        first=first,
        last=last,
        since=since,
        until=until,
        note=sent.text("note"),
        made_at=desk.visit.now,
    )


def _day(sent: Posted, field: str, refusals: Refusals) -> date | None:
    try:
        return read_day(sent.text(field))
    except ValueError:
        refusals.refuse(field, "Pick a day, or write it as month/day/year.")
        return None


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    sent: Posted | None = None,
    refusals: Refusals | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        rows = [_row(desk, work, closed) for closed in work.closed.since(visit.now.date())]
    names = ("first", "last", "since", "until", "note")
    return desk.show(
        "desk/days_off.html",
        status=status,
        rows=rows,
        notice=notice,
        values={name: sent.text(name) if sent else "" for name in names},
        faults={fault.field: fault.text for fault in refusals.faults} if refusals else {},
        today=visit.now.date(),
        longest=LONGEST_NOTE,
    )


def _row(desk: Desk, work: UnitOfWork, closed: ClosedTime) -> Row:
    found = days_off.kept_in(work, desk.visit.ports, closed, now=desk.visit.now)
    return Row(
        id=closed.id,
        text=_said(closed),
        note=closed.note,
        kept=tuple(_kept(desk, work, hold) for hold in found),
    )


def _said(closed: ClosedTime) -> str:
    days = words.day(closed.first)
    if closed.last != closed.first:
        days = f"{days} to {words.day(closed.last)}"
    if closed.since is None or closed.until is None:
        return days
    return f"{days}, {words.clock(closed.since)} to {words.clock(closed.until)}"


def _kept(desk: Desk, work: UnitOfWork, hold: Hold) -> Kept:
    lead = work.leads.get(hold.lead_id)
    state = "booked" if hold.state is HoldState.BOOKED else "held, no deposit yet"
    when = _when(hold.window.starts_at, desk)
    return Kept(
        path=f"/desk/bookings/{lead.id}", text=f"{lead.number}, {who(lead)}: {when} ({state})"
    )


def _when(moment: datetime, desk: Desk) -> str:
    return words.moment(moment.astimezone(desk.visit.zone))
