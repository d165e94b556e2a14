"""The price that the owner's policy makes of the costs. Exact decimal money."""

import datetime as dt
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from service.estimating.answer import CostLine, Price
from service.estimating.book import Charge, Policy, TaxRule
from service.estimating.brief import Brief
from service.estimating.costing import LABOUR, Costs, total, two

_CENT = Decimal("0.01")
_SHARE = Decimal("0.0001")
_WEEKEND = (5, 6)


@dataclass(frozen=True, kw_only=True, slots=True)
class Tax:
    """The sales tax that this place and this brief call for: rate, and codes that bear it."""

    rate: Decimal
    taxed: frozenset[str]


def tax_for(brief: Brief, policy: Policy, *, home: str = "") -> Tax:
    """The rule with the longest fitting prefix of the site's postal code.

    Where that is not known, it is taken to be the shop's own, `home`: most jobs are near. Balloons
    that the client keeps are sold; what is taken back and thrown away is a service. A brief that
    does not say which is taken as struck: that is what the hours are counted for.
    """
    rule = _rule(brief.site.postal_code or home, policy.tax)
    return Tax(rate=rule.rate, taxed=rule.when_kept if brief.client_keeps else rule.when_taken_back)


def _rule(postal_code: str, rules: Iterable[TaxRule]) -> TaxRule:
    plain = _plain(postal_code)
    fitting = (rule for rule in rules if plain.startswith(_plain(rule.postal_prefix)))
    return max(fitting, key=lambda rule: len(_plain(rule.postal_prefix)))


def _plain(postal_code: str) -> str:
    # "K1A 0B1", "k1a0b1" and "K1A-0B1" are one place.
    return "".join(sign for sign in postal_code.upper() if sign.isalnum())


def asked(costs: Costs, hours: Mapping[str, float], policy: Policy) -> Decimal:
    """The price before dates, minimum, tax and rounding, by mark-up or by hourly target."""
    with_overhead = 1 + policy.overhead
    if policy.charge is Charge.MARKUP:
        return total(costs.lines) * with_overhead * (1 + policy.markup)
    other = total(costs.lines) - total(costs.labour)
    return other * with_overhead + two(math.fsum(hours.values())) * policy.hourly_target


def taxable_share(costs: Costs, hours: Mapping[str, float], policy: Policy) -> Decimal:
    """The part of a price that is taxed: what the taxable lines alone would be asked for, over all.

    Overhead and mark-up are taxed as what they are on. An hour at a target is a larger part of
    the price than its wage is of the cost, and is taxed as that.
    """
    taxed = Costs(
        materials=_taxable(costs.materials),
        support=_taxable(costs.support),
        labour=_taxable(costs.labour),
        driving=_taxable(costs.driving),
    )
    taxed_h = sum((line.quantity for line in taxed.labour), Decimal(0))
    whole = asked(costs, hours, policy)
    part = asked(taxed, {LABOUR: float(taxed_h)}, policy)
    return min(Decimal(1), part / whole).quantize(_SHARE) if whole else Decimal(0)


def _taxable(lines: Iterable[CostLine]) -> tuple[CostLine, ...]:
    return tuple(line for line in lines if line.taxable)


def surcharges(date: dt.date | None, today: dt.date, policy: Policy) -> Mapping[str, Decimal]:
    """Shares added for short notice, a weekend, a holiday by its name; none without a date.

    A holiday that falls on a weekend bears the greater of the two, not both.
    """
    if date is None:
        return {}
    added: dict[str, Decimal] = {}
    if (date - today).days < policy.rush_days:
        added["short notice"] = policy.rush_share
    weekend = policy.weekend_share if date.weekday() in _WEEKEND else Decimal(0)
    holiday = policy.holidays.get(date)
    if holiday and policy.holiday_share >= weekend:
        added[holiday] = policy.holiday_share
    elif weekend:
        added["weekend"] = weekend
    return {name: share for name, share in added.items() if share}


def price_range(
    amount: Decimal,
    levels: Iterable[Decimal],
    policy: Policy,
    currency: str,
    *,
    tax_rate: Decimal,
    taxable_share: Decimal,
) -> Price:
    """Low, likely and high of `amount` at the `levels` of its outcome, as charged.

    Tax if included, at least the minimum, rounded outwards. The minimum is what the shop gets:
    tax comes on top of it, or is added to it where prices include tax. A minimum charge or coarse
    rounding can make the three meet; then each is a step above the last. The deposit is a share of
    the likely price as quoted.
    """
    step, due = policy.rounding, tax_rate * taxable_share
    factor = 1 + due if policy.tax_included else Decimal(1)
    floor = _to_step(policy.minimum * factor, step, ROUND_CEILING)
    low, likely, high = (amount * level * factor for level in levels)
    low = max(floor, _to_step(low, step, ROUND_FLOOR))
    likely = max(_to_step(likely, step, ROUND_HALF_UP), low + step)
    high = max(_to_step(high, step, ROUND_CEILING), likely + step)
    deposit = _to_step(likely * policy.deposit_share, policy.deposit_rounding, ROUND_CEILING)
    untaxed = likely / factor
    return Price(
        low=low.quantize(_CENT),
        likely=likely.quantize(_CENT),
        high=high.quantize(_CENT),
        currency=currency,
        tax_included=policy.tax_included,
        deposit=min(deposit, likely).quantize(_CENT),
        tax_rate=tax_rate,
        taxable_share=taxable_share,
        tax=(untaxed * due).quantize(_CENT, ROUND_HALF_UP),
    )


def _to_step(amount: Decimal, step: Decimal, rounding: str) -> Decimal:
    return (amount / step).to_integral_value(rounding) * step
