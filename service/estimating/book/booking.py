"""What holds once a date is booked: paying, cancelling, moving, the weather, the terms."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class CancelStep:
    """Canceled at least so many days before the event, this share of the deposit goes back."""

    days_before: int
    share: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class BookingRules:
    """The shop's rules for a booked date; texts by language, shares as fractions of one.

    `pay_to` says where money can be sent. The rest of the price is due `balance_days_before` the
    event. `cancelling` has its earliest step first; later than all of them nothing goes back.
    Moving a date is free until `moving_free_days` before the event and costs `moving_fee` after.
    """

    pay_to: Mapping[str, str] = field(default_factory=dict)
    balance_days_before: int = 0
    cancelling: tuple[CancelStep, ...] = ()
    moving_free_days: int = 0
    moving_fee: Decimal = Decimal(0)
    weather: Mapping[str, str] = field(default_factory=dict)
    terms: Mapping[str, str] = field(default_factory=dict)

    def returned_share(self, days_before: int) -> Decimal:
        """The share of the deposit that goes back so many days before the event."""
        fitting = (step.share for step in self.cancelling if days_before >= step.days_before)
        return next(fitting, Decimal(0))

    def fee_to_move(self, days_before: int) -> Decimal:
        """What moving the date costs so many days before the event."""
        return Decimal(0) if days_before >= self.moving_free_days else self.moving_fee
