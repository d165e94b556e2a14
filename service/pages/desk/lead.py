"""One request at the desk: everything known about it, and the owner's decision."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import booking, handling, wording, words
from service.leads.lead import (
    Change,
    Lead,
    LeadError,
    LeadState,
    NotFound,
    StaleDecision,
)
from service.leads.owner_words import CHANNELS, price_of, why_not
from service.leads.ports import UnitOfWork
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.conversation import ANSWERED, Chat, talk_of
from service.pages.desk.costs import cost_rows, steps_to_price
from service.pages.desk.making import made_of
from service.pages.desk.pricing import is_far_off, question, read_price
from service.pages.desk.wording import MOST_STUCK, WHAT, WHO, state_of
from service.pages.newer import newer_than
from service.pages.posted import Posted, Sent
from service.pages.quotes import piece_views
from service.pages.visit import go_to

router = APIRouter()

_LONGEST_TEXT = 2000

_DONE = {
    "sent": "The firm price is on its way to the client.",
    "declined": "The client has been told, kindly.",
    "booked": "The date is booked, and the client has been told.",
    "answered": ANSWERED,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A line of the history."""

    at: str
    text: str
    details: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Entered:
    """What was typed into the decision forms, and what is wrong with it."""

    price: str = ""
    reason: str = ""
    text: str = ""
    kind_no: str | None = None
    sure: Decimal | None = None
    faults: dict[str, str] | None = None


@router.get("/leads/{lead_id}")
def lead_page(lead_id: str, desk: SignedIn, done: str = "") -> Response:
    """The request. `done` names the decision that has just been taken."""
    return _page(desk, lead_id, notice=_DONE.get(done))


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
        return _page(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return _decided(
        desk, lead_id, "sent", lambda work: _send(work, desk, lead_id, sent, price=price)
    )


@router.post("/leads/{lead_id}/decline")
def decline(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Say no, kindly."""
    text = sent.text("text")
    if len(text) > _LONGEST_TEXT:
        said = f"Keep it to {_LONGEST_TEXT:,} characters; it has {len(text):,} now."
        entered = Entered(kind_no=text, faults={"kind_no": said})
        return _page(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    return _decided(
        desk,
        lead_id,
        "declined",
        lambda work: handling.decline(
            work, desk.visit.ports, lead_id=lead_id, text=text or None, now=desk.visit.now
        ),
    )


@router.post("/leads/{lead_id}/deposit")
def record_deposit(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """The deposit is in: the held date is booked."""
    return _decided(desk, lead_id, "booked", lambda work: _book(work, desk, lead_id, sent))


def _book(work: UnitOfWork, desk: Desk, lead_id: str, sent: Posted) -> Lead:
    lead = work.leads.get(lead_id, lock=True)
    hold = work.holds.of_lead(lead_id)
    quote = work.quotes.latest(lead_id)
    seen = sent.text("hold"), sent.text("basis")
    if lead.state is LeadState.HELD and seen != (hold and hold.id, quote and quote.number):
        raise StaleDecision("The held time or the price has changed in the meantime. Look again.")
    return booking.record_deposit(work, desk.visit.ports, lead_id, now=desk.visit.now)


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
        now=desk.visit.now,
    )


def _decided(desk: Desk, lead_id: str, done: str, decide: Callable[[UnitOfWork], Lead]) -> Response:
    try:
        with desk.visit.ports.work() as work:
            decide(work)
            work.commit()
    except LeadError as error:
        return _page(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}?done={done}")


def _page(
    desk: Desk,
    lead_id: str,
    *,
    notice: str | None = None,
    trouble: str | None = None,
    entered: Entered | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    visit = desk.visit
    with visit.ports.read() as work:
        try:
            lead = work.leads.get(lead_id)
        except NotFound:
            return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such request")
        quote = work.quotes.latest(lead.id)
        hold = work.holds.of_lead(lead.id)
        newer = newer_than(work, visit.ports, lead)
        chat_leads = work.leads.of_chat(lead.channel, lead.chat_id)
        return desk.show(
            "desk/lead.html",
            status=status,
            lead=lead,
            state=state_of(lead, newer),
            newer=newer,
            channel=CHANNELS.get(lead.channel, lead.channel),
            asked=words.moment(lead.created_at.astimezone(visit.zone)),
            quote=quote,
            price=price_of(quote) if quote else None,
            estimate=quote.estimate if quote else None,
            pieces=piece_views(lead.brief.pieces, quote.estimate, visit.book) if quote else (),
            costs=cost_rows(quote.estimate) if quote else (),
            steps=steps_to_price(quote.estimate, visit.book) if quote else (),
            made=made_of(quote.estimate, lead.brief, hold.window if hold else None, visit.zone)
            if quote
            else None,
            conditions=words.conditions(lead.brief.site),
            expires=words.day(quote.expires_at.astimezone(visit.zone).date()) if quote else None,
            hold_id=hold and hold.id,
            hold=hold and words.moment(hold.window.starts_at.astimezone(visit.zone)),
            hold_until=hold and words.moment(hold.expires_at.astimezone(visit.zone)),
            others=[other for other in chat_leads if other.id != lead.id],
            history=[_entry(desk, work, change) for change in work.leads.history(lead.id)],
            can_send=quote is not None and newer is None and lead.can_become(LeadState.QUOTED),
            can_decline=newer is None and lead.can_become(LeadState.DECLINED),
            kind_no=wording.declined(
                visit.book, text=None, words=visit.ports.wording.in_language(lead.language)
            ).text,
            entered=entered or Entered(),
            faults=(entered.faults if entered else None) or {},
            stuck=_why_stuck(work, lead),
            notice=notice,
            trouble=trouble,
            **talk_of(desk, work, Chat(channel=lead.channel, chat_id=lead.chat_id)),
        )


def _why_stuck(work: UnitOfWork, lead: Lead) -> str | None:
    dead = (step for step in work.outbox.dead(limit=MOST_STUCK) if step.subject_id == lead.id)
    step = next(dead, None)
    return None if step is None else step.last_error or "no reason was given"


def _entry(desk: Desk, work: UnitOfWork, change: Change) -> Entry:
    details = [
        text
        for key, value in change.detail.items()
        for text in _detail(desk, work, key, value)
        if text
    ]
    return Entry(
        at=words.moment(change.at.astimezone(desk.visit.zone)),
        text=f"{WHO.get(change.who, change.who)} {WHAT.get(change.what, change.what)}",
        details=tuple(details),
    )


def _detail(desk: Desk, work: UnitOfWork, key: str, value: object) -> tuple[str, ...]:
    if isinstance(value, list):
        return tuple(str(item) for item in value)
    if key == "by":
        return (work.leads.get(str(value)).number,)
    if key == "price":
        return (words.money(Decimal(str(value)), desk.visit.shop.currency),)
    if key == "starts_at":
        starts_at = datetime.fromisoformat(str(value)).astimezone(desk.visit.zone)
        return (f"arriving {words.moment(starts_at)}",)
    return (str(value),)
