"""The owner's way from what a job costs to the price, as lines that can be followed."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from service.estimating import Charge, CostLine, Estimate, Policy, PriceBook
from service.leads import words
from service.leads.task_words import line_name
from service.pages.templates import rate, trimmed

# The unit of lines that charge a part of an amount, which is their rate.
_PART = "share"


@dataclass(frozen=True, kw_only=True, slots=True)
class CostRow:
    """A cost line in words: what for, how much of it, and at which rate."""

    label: str
    quantity: str
    each: str
    amount: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """A step from cost to price; `total` where it says how far the sum has come."""

    label: str
    amount: Decimal
    total: bool = False


def cost_rows(estimate: Estimate) -> tuple[CostRow, ...]:
    """The lines of direct cost."""
    currency = estimate.price.currency
    return tuple(_row(line, currency) for line in _direct(estimate))


def steps_to_price(estimate: Estimate, book: PriceBook, *, day: date | None) -> tuple[Step, ...]:
    """From the direct cost to the likely price of a job on `day`; the steps add up to it exactly.

    A share that the estimate was not made with is not shown: where the price book has changed
    since, only the cost and the price remain.
    """
    direct = _sum(estimate, frozenset())
    cost = Step(label="What it costs you, before overhead", amount=direct, total=True)
    price = Step(label="Likely price", amount=estimate.price.likely, total=True)
    if estimate.price_book_version != book.version:
        return cost, price
    steps = [*_asked(estimate, book.policy)]
    before = sum((step.amount for step in steps), direct)
    steps += (
        Step(label=f"{name[:1].upper()}{name[1:]}, {_percent(share)}", amount=before * share)
        for name, share in _surcharges(estimate, book.policy, day).items()
    )
    steps += _taxed(estimate, sum((step.amount for step in steps), direct))
    reached = sum((step.amount for step in steps), direct)
    steps.append(
        Step(
            label=_last(book.policy, estimate.price.currency),
            amount=estimate.price.likely - reached,
        )
    )
    return cost, *(step for step in steps if step.amount), price


def _asked(estimate: Estimate, policy: Policy) -> Iterator[Step]:
    currency = estimate.price.currency
    if policy.charge is Charge.MARKUP:
        direct = _sum(estimate, frozenset())
        overhead = direct * policy.overhead
        yield Step(label=f"Overhead, {_percent(policy.overhead)}", amount=overhead)
        label = f"Mark-up, {_percent(policy.markup)} on cost and overhead"
        yield Step(label=label, amount=(direct + overhead) * policy.markup)
        return
    other = _sum(estimate, frozenset({"labour"}))
    label = f"Overhead, {_percent(policy.overhead)} on all but your time"
    yield Step(label=label, amount=other * policy.overhead)
    hours = Decimal(repr(math.fsum(estimate.hours.values()))).quantize(Decimal("0.01"))
    wages = _sum(estimate, frozenset()) - other
    target = words.money(policy.hourly_target, currency)
    label = f"{trimmed(hours, 2)} hours at {target} instead of their cost"
    yield Step(label=label, amount=hours * policy.hourly_target - wages)


def _surcharges(estimate: Estimate, policy: Policy, day: date | None) -> Mapping[str, Decimal]:
    """The shares that the estimate says it was made with, by their names."""
    shares = {"weekend": policy.weekend_share, "short notice": policy.rush_share}
    # Asked for one day only: the holidays of all years are worked out when they are listed.
    holiday = policy.holidays.get(day) if day is not None else None
    if holiday is not None:
        shares[holiday] = policy.holiday_share
    said = next((r.inputs for r in estimate.explanation if r.figure == "price.likely"), {})
    return {name: shares[name] for name in said if name in shares}


def _taxed(estimate: Estimate, before: Decimal) -> Iterator[Step]:
    price = estimate.price
    if price.tax_included:
        part = price.taxable_share
        on = "" if part == 1 else f" on the {_percent(part)} of it that is taxed"
        label = f"Sales tax, {_percent(price.tax_rate)}{on}"
        yield Step(label=label, amount=before * price.tax_rate * part)


def _last(policy: Policy, currency: str) -> str:
    least, step = (words.money(amount, currency) for amount in (policy.minimum, policy.rounding))
    return f"To the middle of the range, at least {least}, in steps of {step}"


def _row(line: CostLine, currency: str) -> CostRow:
    quantity, unit, each = words.cost(line)
    if line.unit == _PART:
        much, at = _percent(quantity), f"of\N{NO-BREAK SPACE}{words.money(each, currency)}"
    else:
        much, at = f"{trimmed(quantity, 2)} {unit}", rate(each, currency)
    return CostRow(label=line_name(line), quantity=much, each=at, amount=line.amount)


def _direct(estimate: Estimate) -> tuple[CostLine, ...]:
    return tuple(line for line in estimate.cost_lines if line.code != "overhead")


def _sum(estimate: Estimate, without: frozenset[str]) -> Decimal:
    found = (line.amount for line in _direct(estimate) if line.code not in without)
    return sum(found, Decimal(0))


def _percent(share: Decimal) -> str:
    return f"{trimmed(share * 100, 2)}%"
