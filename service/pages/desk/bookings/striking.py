"""Striking out an entry that was a mistake: asked about once, on a page of its own."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import balances, paying, words
from service.leads.lead import LeadError, LeadState
from service.leads.owner_words import why_not
from service.pages.desk.access import Confirmed, SignedIn
from service.pages.desk.bookings.page import KINDS, show
from service.pages.visit import go_to

router = APIRouter(prefix="/bookings/{lead_id}/payments/{payment_id}/void")


@router.get("")
def void_page(lead_id: str, payment_id: str, desk: SignedIn) -> Response:
    """What striking it out comes to. Changes nothing."""
    with desk.visit.ports.read() as work:
        payment = work.payments.find(payment_id)
        if payment is None or payment.lead_id != lead_id or payment.voided_at is not None:
            return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such entry to strike out")
        lead = work.leads.get(lead_id)
        quote = paying.quote_of(work, lead_id)
        return desk.show(
            "desk/strike.html",
            lead=lead,
            payment=payment,
            kind=KINDS[payment.kind],
            day=words.day(payment.paid_on),
            after=balances.of_lead(work, lead, quote, without=payment_id),
            booked=lead.state is LeadState.BOOKED,
            path=f"/desk/bookings/{lead_id}",
        )


@router.post("")
def void(lead_id: str, payment_id: str, desk: Confirmed) -> Response:
    """An entry was a mistake."""
    ports = desk.visit.ports
    try:
        with ports.work() as work:
            paying.void(work, ports, lead_id, payment_id, who=desk.who, now=desk.visit.now)
            work.commit()
    except LeadError as error:
        return show(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done=voided&struck={payment_id}")
