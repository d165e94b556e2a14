"""Money that came and went for a job, as values; and what is kept of it."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Protocol


class PaymentKind(StrEnum):
    """What an entry is: money that came, or that went back.

    A refund pays back what was paid too much, and is owed again otherwise; a gift lowers the price.
    """

    DEPOSIT = "deposit"
    BALANCE = "balance"
    FEE = "fee"
    REFUND = "refund"
    GIFT = "gift"


@dataclass(frozen=True, kw_only=True, slots=True)
class Payment:
    """An entry of a job's account; the amount is never negative.

    A mistaken entry is voided and stays; it counts for nothing.
    """

    id: str
    lead_id: str
    kind: PaymentKind
    amount: Decimal
    currency: str
    paid_on: date
    method: str
    reference: str
    recorded_at: datetime
    recorded_by: str
    voided_at: datetime | None = None


class Payments(Protocol):
    """Entries of all accounts."""

    def add(self, payment: Payment) -> None:
        """Store an entry."""
        ...

    def find(self, payment_id: str) -> Payment | None:
        """One entry."""
        ...

    def of_lead(self, lead_id: str) -> list[Payment]:
        """A job's entries, in the order in which they were recorded."""
        ...

    def void(self, payment_id: str, now: datetime) -> None:
        """The entry was a mistake."""
        ...

    def to_settle(self, *, since: date, until: date | None = None) -> list[str]:
        """Ids of jobs whose account may be open.

        Those that are booked; those done, with an event on or after `since`, of which something
        else was paid than the price; and those that came to nothing although money was paid: these
        first, then those with the latest event. None of them has an event after `until`.
        """
        ...
