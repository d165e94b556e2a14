"""One request at the desk: everything known about it, and the owner's decisions."""

from collections.abc import Callable
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Query, Response

from service.leads import handling
from service.leads.lead import Lead, LeadError, LostBecause
from service.leads.owner_words import why_not
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.conversation import ANSWERED
from service.pages.desk.lead_page import Entered, show_lead
from service.pages.desk.pricing import is_far_off, question, read_price
from service.pages.desk.wording import BECAUSE
from service.pages.posted import Posted, Sent, too_long
from service.pages.visit import go_to

router = APIRouter()

_LONGEST_TEXT = 2000
_LONGEST_REASON = 1000

_DONE = {
    "sent": "The firm price is on its way to the client.",
    "declined": "The client has been told, kindly.",
    "answered": ANSWERED,
    "changed": "The brief is stored, with a new price that only you see: send it when it is right.",
    "noted": "Your note is kept.",
    "merged": "The two are one now.",
}


@router.get("/leads/{lead_id}")
def lead_page(
    lead_id: str,
    desk: SignedIn,
    done: str = "",
    ask: Annotated[list[str] | None, Query(max_length=40)] = None,
) -> Response:
    """The request. `done` names the decision just taken, `ask` what to ask the client about."""
    return show_lead(desk, lead_id, notice=_DONE.get(done), ask=ask or ())


@router.post("/leads/{lead_id}/send")
def send_as_is(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Confirm the likely price as it stands."""
    return _decided(desk, lead_id, "sent", lambda work: _send(work, desk, lead_id, sent))


@router.post("/leads/{lead_id}/price")
def send_changed(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Change the price, say why, and send it."""
    price, faults = read_price(sent)
    sure = None
    if price is not None and not faults and sent.text("sure") != str(price):
        doubt = _doubt(desk, lead_id, price)
        if doubt is not None:
            faults, sure = {"price": doubt}, price
    if price is None or faults:
        entered = Entered(
            price=sent.text("price"),
            reason=sent.text("reason"),
            text=sent.text("text"),
            sure=sure,
            faults=faults,
        )
        return show_lead(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return _decided(
        desk, lead_id, "sent", lambda work: _send(work, desk, lead_id, sent, price=price)
    )


@router.post("/leads/{lead_id}/decline")
def decline(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Say no, kindly, and for the record why."""
    text, why, because = sent.text("text"), sent.text("why"), sent.text("because")
    limits = {"kind_no": too_long(text, _LONGEST_TEXT), "why": too_long(why, _LONGEST_REASON)}
    faults = {field: fault for field, fault in limits.items() if fault}
    if because not in set(BECAUSE):
        faults["because"] = "Choose what comes closest; the client doesn't see it."
    if faults:
        entered = Entered(kind_no=text, because=because, why=why, faults=faults)
        return show_lead(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return _decided(
        desk,
        lead_id,
        "declined",
        lambda work: handling.decline(
            work,
            desk.visit.ports,
            lead_id=lead_id,
            text=text or None,
            because=LostBecause(because),
            reason=why,
            basis_number=sent.text("basis"),
            who=desk.who,
            now=desk.visit.now,
        ),
    )


def _doubt(desk: Desk, lead_id: str, price: Decimal) -> str | None:
    """A question where the price is far from what was estimated."""
    with desk.visit.ports.read() as work:
        quote = work.quotes.latest(lead_id)
    if quote is None or not is_far_off(price, quote.estimate):
        return None
    return question(price, quote.estimate)


def _send(
    work: UnitOfWork, desk: Desk, lead_id: str, sent: Posted, *, price: Decimal | None = None
) -> Lead:
    return handling.send_firm(
        work,
        desk.visit.ports,
        lead_id=lead_id,
        # An empty basis fits no quote, so that a page without an estimate decides nothing.
        basis_number=sent.text("basis"),
        price=price,
        reason=sent.text("reason") or None,
        text=sent.text("text") or None,
        who=desk.who,
        now=desk.visit.now,
    )


def _decided(desk: Desk, lead_id: str, done: str, decide: Callable[[UnitOfWork], Lead]) -> Response:
    try:
        with desk.visit.ports.work() as work:
            decide(work)
            work.commit()
    except LeadError as error:
        return show_lead(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}?done={done}")
