"""Money that is still due, and money that has to go back."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from fastapi import APIRouter, Response

from service.leads import dues, words
from service.leads.dues import Due
from service.leads.owner_words import who
from service.pages.desk.access import SignedIn
from service.pages.desk.wording import STATES

router = APIRouter()


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """An open account in the list."""

    path: str
    who: str
    number: str
    state: str
    amount: Decimal
    currency: str
    when: str
    overdue: bool


@router.get("/money")
def money_page(desk: SignedIn) -> Response:
    """Open accounts: what has to go back, what is due, by when."""
    visit = desk.visit
    with visit.ports.read() as work:
        found = dues.dues(work, visit.ports, now=visit.now)
    back = [due for due in found if due.account.owed_back]
    owed = [due for due in found if due.account.due]
    return desk.show(
        "desk/money.html",
        back=[_row(due, due.account.owed_back, "to be sent back") for due in back],
        late=[_row(due, due.account.due, f"since {_day(due)}") for due in owed if due.overdue],
        coming=[
            _row(due, due.account.due, f"by {_day(due)}" if due.on else "no date yet")
            for due in owed
            if not due.overdue
        ],
        total=_total(owed),
        currency=visit.shop.currency,
    )


def _row(due: Due, amount: Decimal, when: str) -> Row:
    return Row(
        path=f"/desk/bookings/{due.lead.id}",
        who=who(due.lead),
        number=due.lead.number,
        state=STATES[due.lead.standing],
        amount=amount,
        currency=due.account.currency,
        when=when,
        overdue=due.overdue,
    )


def _day(due: Due) -> str:
    return words.day(due.on) if due.on else ""


def _total(owed: Iterable[Due]) -> Decimal:
    return sum((due.account.due for due in owed), Decimal(0))
