"""The wire form of money: a job's account, entries, cancellations, and what is still due."""

import datetime as dt
from datetime import datetime
from decimal import Decimal
from typing import Literal

from pydantic import ConfigDict, Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Whole
from service.contract.times import Day

PaymentKind = Literal["deposit", "balance", "fee", "refund", "gift"]


class Basis(Wire):
    """What whoever decides was looking at; refused when it has changed since."""

    basis: str = Field(max_length=24, description="The number of the quote in `GET …/payments`.")
    hold: str | None = Field(default=None, max_length=32, description="The id of the hold there.")


class PaymentRequest(Basis):
    """Money that came, or went back. A deposit for a held date books it.

    A `refund` pays back what is owed back; of what goes beyond that the price is due again. A
    `gift` went back too, and lowers the price: nothing is due again.
    """

    model_config = ConfigDict(
        json_schema_extra={
            "examples": [
                {
                    "kind": "deposit",
                    "amount": "165.00",
                    "paid_on": "2027-01-12",
                    "method": "check",
                    "basis": "G1001-1",
                    "hold": "Zk3b0a…",
                }
            ]
        }
    )

    kind: PaymentKind
    amount: Decimal = Field(gt=0, le=1_000_000, decimal_places=2)
    paid_on: Day
    method: str = Field(default="", max_length=40)
    reference: str = Field(default="", max_length=120)
    sure: StrictBool = Field(
        default=False, description="Record it although the amount is not what was to be expected."
    )


class Payment(Wire):
    """An entry; one that was voided counts for nothing."""

    id: str
    kind: PaymentKind
    amount: Decimal
    currency: str
    paid_on: Day
    method: str
    reference: str
    recorded_at: datetime
    recorded_by: str
    voided_at: datetime | None


class Account(Wire):
    """A job's account. Of one that was canceled, `total` is what the shop keeps."""

    lead_id: str
    number: str
    basis: str
    hold: str | None
    currency: str
    price: Decimal
    tax: Decimal
    fees: Decimal
    given: Decimal = Field(description="Given back as gifts; the total is lower by it.")
    total: Decimal
    paid: Decimal
    refunded: Decimal
    due: Decimal
    owed_back: Decimal
    deposit: Decimal
    due_on: dt.date | None
    payments: list[Payment]


class Due(Wire):
    """An open account: what the client owes, or what has to go back to them."""

    lead_id: str
    number: str
    due: Decimal
    owed_back: Decimal
    currency: str
    due_on: dt.date | None
    overdue: StrictBool


class Proposal(Wire):
    """What the shop's rules return today. `share` is the part of the deposit that goes back."""

    days_before: Whole | None
    share: Decimal
    deposit: Decimal
    paid: Decimal
    kept: Decimal
    returned: Decimal


class CancelRequest(Basis):
    """Call a booking off. Without `returned` the shop's rules say what goes back."""

    by: Literal["client", "shop"]
    returned: Decimal | None = Field(default=None, ge=0, le=1_000_000, decimal_places=2)
    reason: str = Field(
        default="", max_length=1000, description="Needed where `returned` is not by the rules."
    )
    text: str = Field(default="", max_length=2000, description="A word to the client.")
