"""What a job costs its client, what has been paid of it, and what is still due, to the cent."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from service.leads.lead import Change, Quote
from service.leads.payments import Payment, PaymentKind

_CENT = Decimal("0.01")
_NOTHING = Decimal(0)

BACK = frozenset({PaymentKind.REFUND, PaymentKind.GIFT})
"""Kinds of entries that say money went back."""

FEE = "fee"
"""The detail of a change that charged one."""

CANCELED = "canceled the booking"
KEPT = "kept"
"""The change that called a job off, and its detail: the amount that the shop keeps."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Account:
    """A job's account, in `currency`.

    `price` is what was agreed; `tax` comes on top of it and is zero where it is in it; `fees` were
    charged for changes, and `given` back as gifts, which lower the price. `paid` counts all that
    came, `refunded` all that went back, gifts too. Of a job that was canceled, `total` is what the
    shop keeps. Either `due` or `owed_back` is zero.
    """

    currency: str
    price: Decimal
    tax: Decimal
    fees: Decimal
    given: Decimal
    total: Decimal
    paid: Decimal
    refunded: Decimal

    @property
    def due(self) -> Decimal:
        """What the client still has to pay."""
        return max(_NOTHING, self.total - self.paid + self.refunded)

    @property
    def owed_back(self) -> Decimal:
        """What the shop still has to return."""
        return max(_NOTHING, self.paid - self.refunded - self.total)


def account(quote: Quote, payments: Sequence[Payment], *, fees: Decimal = _NOTHING) -> Account:
    """The account of a job at the price that was quoted: the likely one of a ballpark."""
    tax, gifts = tax_on(quote), given(payments)
    return Account(
        currency=quote.currency,
        price=quote.likely,
        tax=tax,
        fees=fees,
        given=gifts,
        total=quote.likely + tax + fees - gifts,
        paid=paid(payments),
        refunded=refunded(payments),
    )


def called_off(
    quote: Quote, payments: Sequence[Payment], *, kept: Decimal, since: datetime | None = None
) -> Account:
    """The account of a job that was canceled, of which the shop keeps so much.

    Gifts from before `since`, when it was called off, lowered the price that is no more.
    """
    gifts = given(each for each in payments if since is None or each.recorded_at > since)
    return Account(
        currency=quote.currency,
        price=_NOTHING,
        tax=_NOTHING,
        fees=_NOTHING,
        given=gifts,
        total=kept - gifts,
        paid=paid(payments),
        refunded=refunded(payments),
    )


def fees_charged(history: Iterable[Change]) -> Decimal:
    """The fees that a job's history says were charged."""
    return sum((Decimal(str(each.detail[FEE])) for each in history if FEE in each.detail), _NOTHING)


def calling_off(history: Sequence[Change]) -> Change | None:
    """The change that called a job off, if its history has one."""
    return next((each for each in reversed(history) if each.what == CANCELED), None)


def missing_deposit(quote: Quote, so_far: Account) -> Decimal:
    """How much of the deposit has not come yet."""
    kept = so_far.paid - so_far.refunded + so_far.given
    return max(_NOTHING, quote.deposit - kept)


def tax_on(quote: Quote) -> Decimal:
    """Sales tax that comes on top of the quoted price."""
    price = quote.estimate.price
    if price.tax_included:
        return _NOTHING
    due = quote.likely * price.tax_rate * price.taxable_share
    return due.quantize(_CENT, ROUND_HALF_UP)


def paid(payments: Iterable[Payment]) -> Decimal:
    """All that came, without what was voided."""
    return _sum(each for each in payments if each.kind not in BACK)


def refunded(payments: Iterable[Payment]) -> Decimal:
    """All that went back, without what was voided."""
    return _sum(each for each in payments if each.kind in BACK)


def given(payments: Iterable[Payment]) -> Decimal:
    """What went back and lowers the price, without what was voided."""
    return _sum(each for each in payments if each.kind is PaymentKind.GIFT)


def _sum(payments: Iterable[Payment]) -> Decimal:
    return sum((each.amount for each in payments if each.voided_at is None), _NOTHING)
