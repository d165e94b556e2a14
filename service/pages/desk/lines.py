"""The lines of a price at the desk: each can be changed, taken out or added; the total follows."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import handling, price_lines
from service.leads.lead import Lead, LeadError, LeadState, PriceLine, Quote
from service.leads.owner_words import why_not
from service.leads.price_books import book_of
from service.leads.price_lines import LARGEST_PRICE, LONGEST_LABEL, MOST_LINES, total_of
from service.leads.words import ENGLISH
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.pricing import LONGEST, is_far_off, question
from service.pages.newer import newer_than
from service.pages.posted import Posted, Sent, read_amount, too_long
from service.pages.visit import go_to

router = APIRouter()

_ROOM_FOR_MORE = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A line of the form as it was typed, under the number that its fields have."""

    number: int
    label: str
    amount: str
    out: bool
    was: Decimal | None


@dataclass(frozen=True, kw_only=True, slots=True)
class _Opened:
    """What the form is about: the request, its newest price, and the lines that this has now."""

    lead: Lead
    quote: Quote
    lines: tuple[PriceLine, ...]


@router.get("/leads/{lead_id}/lines")
def lines_page(lead_id: str, desk: SignedIn) -> Response:
    """The form, filled in with the lines as they are."""
    opened = _open(desk, lead_id)
    return opened if isinstance(opened, Response) else _form(desk, opened, _filled(opened))


@router.post("/leads/{lead_id}/lines/total")
def add_up(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """What the lines come to, without sending anything: for those without script."""
    opened = _open(desk, lead_id)
    if isinstance(opened, Response):
        return opened
    _, faults = _read(sent)
    faults.pop("reason", None)
    return _form(desk, opened, sent, faults=faults)


@router.post("/leads/{lead_id}/lines")
def send_lines(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Send the price with these lines."""
    opened = _open(desk, lead_id)
    if isinstance(opened, Response):
        return opened
    lines, faults = _read(sent)
    total = total_of(lines)
    sure = None
    doubtful = not faults and is_far_off(total, opened.quote.estimate)
    if doubtful and sent.text("sure") != str(total):
        faults, sure = {"total": question(total, opened.quote.estimate)}, total
    if faults:
        unfit = HTTPStatus.UNPROCESSABLE_ENTITY
        return _form(desk, opened, sent, faults=faults, sure=sure, status=unfit)
    return _sent(desk, opened, sent, lines)


def _sent(desk: Desk, opened: _Opened, sent: Posted, lines: tuple[PriceLine, ...]) -> Response:
    lead_id = opened.lead.id
    try:
        with desk.visit.ports.work() as work:
            handling.send_firm(
                work,
                desk.visit.ports,
                lead_id=lead_id,
                basis_number=sent.text("basis"),
                price=None,
                lines=lines,
                reason=sent.text("reason"),
                text=sent.text("text") or None,
                who=desk.who,
                now=desk.visit.now,
            )
            work.commit()
    except LeadError as error:
        return _form(desk, opened, sent, trouble=why_not(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/leads/{lead_id}?done=sent")


def _open(desk: Desk, lead_id: str) -> _Opened | Response:
    ports = desk.visit.ports
    with ports.read() as work:
        lead = desk.lead(work, lead_id)
        quote = work.quotes.latest(lead_id)
        sendable = lead.can_become(LeadState.QUOTED) or lead.state is LeadState.BOOKED
        if quote is None or not sendable or newer_than(work, ports, lead):
            return desk.trouble(HTTPStatus.CONFLICT, "There is no price to send for this request")
    lines = price_lines.lines_of(quote, desk.visit.shop.owner)
    return _Opened(lead=lead, quote=quote, lines=lines)


def _filled(opened: _Opened) -> Posted:
    fields = {"basis": opened.quote.number}
    for number, line in enumerate(opened.lines, 1):
        fields |= {f"l{number}-label": line.label, f"l{number}-amount": f"{line.amount:f}"}
    return Posted({name: (text,) for name, text in fields.items()})


def _read(sent: Posted) -> tuple[tuple[PriceLine, ...], dict[str, str]]:
    """The lines, and by field what has to be corrected before they can be sent."""
    faults: dict[str, str] = {}
    lines = []
    for number in range(1, MOST_LINES + 1):
        line = _line(sent, number, faults)
        if line is not None:
            lines.append(line)
    if not faults and len({line.label for line in lines}) < len(lines):
        faults["total"] = "Two lines have the same name: put them together, or call them apart."
    if not faults and not 0 < total_of(lines) <= LARGEST_PRICE:
        faults["total"] = "The price has to be above zero and at most a million."
    if not sent.text("reason"):
        faults["reason"] = "Say why, for your own record; the client doesn't see it."
    return tuple(lines), faults | sent.too_long(LONGEST)


def _line(sent: Posted, number: int, faults: dict[str, str]) -> PriceLine | None:
    at = f"l{number}"
    label, typed = " ".join(sent.text(f"{at}-label").split()), sent.text(f"{at}-amount")
    if sent.text(f"{at}-out") or not (label or typed):
        return None
    amount = _amount(typed)
    if amount is None:
        faults[f"{at}-amount"] = "Write 40, 40.50 or -20."
    if not label:
        faults[f"{at}-label"] = "Say what it is for, as the client should read it."
    elif fault := too_long(label, LONGEST_LABEL):
        faults[f"{at}-label"] = fault
    return None if amount is None else PriceLine(label=label, amount=amount)


def _amount(text: str) -> Decimal | None:
    """An amount of money, below zero for what is taken off."""
    plain = text.replace("\N{MINUS SIGN}", "-")
    if not plain.startswith("-"):
        return read_amount(plain)
    amount = read_amount(plain.removeprefix("-").strip())
    return None if amount is None else -amount


def _rows(sent: Posted, opened: _Opened) -> list[Row]:
    """Every line that was typed or that the price has, and room for more."""
    basis = {line.label: line.was for line in opened.lines}
    typed = [n for n in range(1, MOST_LINES + 1) if sent.text(f"l{n}-label")]
    last = max(typed, default=0)
    return [
        Row(
            number=number,
            label=sent.text(f"l{number}-label"),
            amount=sent.text(f"l{number}-amount"),
            out=bool(sent.text(f"l{number}-out")),
            was=basis.get(sent.text(f"l{number}-label")),
        )
        for number in range(1, min(last + _ROOM_FOR_MORE, MOST_LINES) + 1)
    ]


def _form(
    desk: Desk,
    opened: _Opened,
    sent: Posted,
    *,
    faults: Mapping[str, str] | None = None,
    sure: Decimal | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    lines, _ = _read(sent)
    total = max(total_of(lines), Decimal(0))
    book = book_of(desk.visit.ports.price_books, opened.quote)
    return desk.show(
        "desk/lines.html",
        status=status,
        lead=opened.lead,
        quote=opened.quote,
        basis=sent.text("basis"),
        rows=_rows(sent, opened),
        total=total,
        tax=ENGLISH.tax(opened.quote.estimate.price, total),
        deposit=handling.deposit_of(total, book),
        sent=sent,
        faults=faults or {},
        sure=sure,
        trouble=trouble,
    )
