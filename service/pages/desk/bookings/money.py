"""Recording money on a job's page."""

from decimal import Decimal
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import paying
from service.leads.lead import LeadError, LeadState
from service.leads.owner_words import why_not
from service.leads.paying import Doubtful, Entry, NotRecordable
from service.leads.payments import PaymentKind
from service.pages.desk.access import Confirmed, Desk
from service.pages.desk.bookings.page import Entered, seen_in, show
from service.pages.form.days import day_in
from service.pages.posted import Posted, Sent, read_amount
from service.pages.visit import go_to

router = APIRouter(prefix="/bookings/{lead_id}/payments")

_LARGEST = Decimal(1_000_000)
_LONGEST = {"method": 40, "reference": 120}
_FIELDS = ("kind", "amount", "paid_on", "method", "reference", "nonce")
_NONCE_LENGTH = range(16, 33)


@router.post("")
def record(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Record an entry; the same page sent twice records it once."""
    entry, faults = _entry(sent)
    if entry is None:
        return _again(desk, lead_id, sent, faults)
    ports = desk.visit.ports
    try:
        with ports.work() as work:
            before = work.leads.get(lead_id).state
            paying.record(
                work,
                ports,
                lead_id,
                entry,
                seen=seen_in(sent),
                who=desk.who,
                now=desk.visit.now,
                sure=sent.text("sure") == _sure(entry),
            )
            booked = (before, work.leads.get(lead_id).state) == (LeadState.HELD, LeadState.BOOKED)
            work.commit()
    except Doubtful as doubt:
        return _again(desk, lead_id, sent, {"amount": str(doubt)}, asked=_sure(entry))
    except NotRecordable as refused:
        return _again(desk, lead_id, sent, {refused.field: str(refused)})
    except LeadError as error:
        return show(desk, lead_id, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/bookings/{lead_id}?done={'booked' if booked else 'recorded'}")


def _entry(sent: Posted) -> tuple[Entry | None, dict[str, str]]:
    faults: dict[str, str] = {}
    amount, paid_on = read_amount(sent.text("amount")), day_in(sent.text("paid_on"))
    kind = next((each for each in PaymentKind if each == sent.text("kind")), None)
    if kind is None:
        faults["kind"] = "Say what it is."
    if amount is None:
        faults["amount"] = "Write 240.50, or 1,240 with the comma before three digits."
    elif amount > _LARGEST:
        faults["amount"] = "The amount can be at most a million."
    if paid_on is None:
        faults["paid_on"] = "Write the day as month/day/year."
    faults |= sent.too_long(_LONGEST)
    if faults or kind is None or amount is None or paid_on is None:
        return None, faults
    if len(sent.text("nonce")) not in _NONCE_LENGTH:
        return None, {"amount": "This page was not whole. Load it afresh and enter it again."}
    entry = Entry(
        id=sent.text("nonce"),
        kind=kind,
        amount=amount,
        paid_on=paid_on,
        method=sent.text("method"),
        reference=sent.text("reference"),
    )
    return entry, {}


def _sure(entry: Entry) -> str:
    """What a second press confirms: this amount as this kind, and no other."""
    return f"{entry.kind} {entry.amount}"


def _again(
    desk: Desk, lead_id: str, sent: Posted, faults: dict[str, str], *, asked: str = ""
) -> Response:
    values = {name: sent.text(name) for name in _FIELDS}
    entered = Entered(form="pay", values=values, faults=faults, asked=asked)
    return show(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
