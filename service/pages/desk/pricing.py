"""The price that the owner types: what it says, and whether it can be meant."""

from decimal import Decimal

from service.estimating import Estimate
from service.leads import words
from service.pages.posted import Posted, read_amount

_LARGEST = Decimal(1_000_000)
LONGEST = {"reason": 1000, "text": 2000}
"""How many characters the words beside a price may have, by field."""

# Below half of the lowest or above twice the highest estimate, a slip of the hand is likelier
# than a decision.
_HALF, _TWICE = Decimal("0.5"), Decimal(2)


def read_price(sent: Posted) -> tuple[Decimal | None, dict[str, str]]:
    """The price, and by field what has to be corrected before it can be sent."""
    faults: dict[str, str] = {}
    price = read_amount(sent.text("price"))
    if price is None:
        faults["price"] = "Write 480.50, or 1,480 with the comma before three digits."
    elif not 0 < price <= _LARGEST:
        faults["price"] = "The price has to be above zero and at most a million."
    if not sent.text("reason"):
        faults["reason"] = "Say why, for your own record; the client doesn't see it."
    return price, faults | sent.too_long(LONGEST)


def is_far_off(price: Decimal, estimate: Estimate) -> bool:
    """Whether the price lies so far from the estimate that it wants a second press."""
    return price < estimate.price.low * _HALF or price > estimate.price.high * _TWICE


def question(price: Decimal, estimate: Estimate) -> str:
    """ "This is 102 times the estimate. Send it all the same?" """
    likely = estimate.price.likely
    said = words.money(likely, estimate.price.currency)
    times = price / likely
    if times < 1:
        return f"This is {times:.0%} of the estimate of {said}. Send it all the same?"
    often = f"{times:.0f}" if times >= 10 else f"{times:.1f}".removesuffix(".0")
    return f"This is {often} times the estimate of {said}. Send it all the same?"
