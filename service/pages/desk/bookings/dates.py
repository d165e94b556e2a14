"""Holding, changing, giving back and canceling a date on a job's page."""

from decimal import Decimal
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import booking, cancelling, paying
from service.leads.cancelling import Cancellation, ReasonNeeded, TooMuchBack, Why, Wish
from service.leads.lead import LeadError, LeadState, MoveRefused
from service.leads.owner_words import why_not
from service.pages.desk.access import Confirmed, Desk
from service.pages.desk.bookings.page import Asked, Entered, seen_in, show
from service.pages.form.days import moment_in
from service.pages.posted import Posted, Sent, read_amount
from service.pages.visit import go_to

router = APIRouter(prefix="/bookings/{lead_id}")

_LONGEST = {"reason": 1000, "text": 2000}


@router.post("/date")
def change_date(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Move the date to the time that was picked."""
    asked = Asked(day=sent.text("day"), why=sent.text("why"))
    starts_at, fee = moment_in(sent.text("starts_at")), read_amount(sent.text("fee") or "0")
    if starts_at is None or fee is None or asked.why not in tuple(Why):
        entered = Entered(form="date", faults={"starts_at": "Pick a time first."})
        unprocessable = HTTPStatus.UNPROCESSABLE_ENTITY
        return show(desk, lead_id, asked=asked, entered=entered, status=unprocessable)
    booking.free_expired(desk.visit.ports)
    try:
        with desk.visit.ports.work() as work:
            cancelling.move(
                work,
                desk.visit.ports,
                lead_id,
                starts_at=starts_at,
                why=Why(asked.why),
                fee=fee,
                seen=seen_in(sent),
                who=desk.who,
                now=desk.visit.now,
            )
            work.commit()
    except LeadError as error:
        return show(desk, lead_id, asked=asked, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done=moved")


@router.post("/hold")
def hold(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Hold the time that was picked for the client. A second press finds it held."""
    asked, ports = Asked(day=sent.text("day")), desk.visit.ports
    starts_at, now = moment_in(sent.text("starts_at")), desk.visit.now
    if starts_at is None:
        entered = Entered(form="hold", faults={"starts_at": "Pick a time first."})
        unprocessable = HTTPStatus.UNPROCESSABLE_ENTITY
        return show(desk, lead_id, asked=asked, entered=entered, status=unprocessable)
    booking.free_expired(ports)
    try:
        with ports.work() as work:
            lead = work.leads.get(lead_id, lock=True)
            booking.place_hold(
                work,
                ports,
                lead_id,
                starts_at=starts_at,
                client=lead.client,
                who=desk.who,
                now=now,
            )
            work.commit()
    except LeadError as error:
        return show(desk, lead_id, asked=asked, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done=held")


@router.post("/release")
def release(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Give a held date back."""
    ports, now = desk.visit.ports, desk.visit.now
    try:
        with ports.work() as work:
            lead = work.leads.get(lead_id, lock=True)
            if lead.state is not LeadState.HELD:
                raise MoveRefused(lead.state, LeadState.QUOTED)
            paying.refuse_stale(work, lead, paying.quote_of(work, lead_id), seen_in(sent))
            booking.release(work, ports, lead, now=now, who=desk.who)
            work.commit()
    except LeadError as error:
        return show(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done=released")


@router.post("/cancel")
def cancel(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Call the booking off."""
    decided, faults = _decided(sent)
    if decided is None:
        return _cancel_again(desk, lead_id, sent, faults)
    try:
        with desk.visit.ports.work() as work:
            cancelling.cancel(
                work,
                desk.visit.ports,
                lead_id,
                decided,
                seen=seen_in(sent),
                who=desk.who,
                now=desk.visit.now,
            )
            work.commit()
    except ReasonNeeded as needed:
        return _cancel_again(desk, lead_id, sent, {"reason": str(needed)})
    except TooMuchBack as much:
        return _cancel_again(desk, lead_id, sent, {"returned": str(much)})
    except LeadError as error:
        return show(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done=canceled")


def _decided(sent: Posted) -> tuple[Cancellation | None, dict[str, str]]:
    faults: dict[str, str] = {}
    returned = read_amount(sent.text("returned"))
    if returned is None:
        faults["returned"] = "Write 240.50, or 0 for nothing."
    faults |= sent.too_long(_LONGEST)
    by = next((each for each in Wish if each == sent.text("by")), None)
    if by is None or returned is None or faults:
        return None, faults
    cents = returned.quantize(Decimal("0.01"))
    return (
        Cancellation(by=by, returned=cents, reason=sent.text("reason"), text=sent.text("text")),
        {},
    )


def _cancel_again(desk: Desk, lead_id: str, sent: Posted, faults: dict[str, str]) -> Response:
    values = {name: sent.text(name) for name in ("returned", "reason", "text")}
    entered = Entered(form="cancel", values=values, faults=faults)
    asked = Asked(cancel=sent.text("by"))
    unprocessable = HTTPStatus.UNPROCESSABLE_ENTITY
    return show(desk, lead_id, asked=asked, entered=entered, status=unprocessable)
