"""Cost lines and the price that the owner's policy makes of them. Exact decimal money."""

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

from service.estimating.answer import CostLine, Price
from service.estimating.book import Charge, Policy, PriceBook, Task
from service.estimating.foils import FoilCount
from service.estimating.hardware import Use
from service.estimating.shopping import Purchase

_CENT = Decimal("0.01")
_WEEKEND = (5, 6)


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """Cost lines by what moves them."""

    materials: tuple[CostLine, ...]
    support: tuple[CostLine, ...]
    labour: tuple[CostLine, ...]
    driving: tuple[CostLine, ...]

    @property
    def groups(self) -> Mapping[str, tuple[CostLine, ...]]:
        """The lines by group."""
        return {
            "materials": self.materials,
            "support": self.support,
            "labour": self.labour,
            "driving": self.driving,
        }

    @property
    def lines(self) -> tuple[CostLine, ...]:
        """All lines of direct cost."""
        return tuple(line for group in self.groups.values() for line in group)


def total(lines: Iterable[CostLine]) -> Decimal:
    """Sum of the lines' amounts."""
    return sum((line.amount for line in lines), Decimal(0))


def balloon_lines(purchase: Purchase, policy: Policy) -> Iterator[CostLine]:
    """The balloons used, by size and rate, and the charged share of what is left in the packs."""
    used: dict[tuple[int, Decimal], int] = {}
    for (size, colour), number in purchase.used.items():
        group = size, purchase.rates[size, colour]
        used[group] = used.get(group, 0) + number
    for (size, rate), number in sorted(used.items()):
        yield _line("balloons", f"{size} in balloons, with spares", number, "balloon", rate)
    if purchase.leftover_cost and policy.leftovers_charged:
        label = "left over in the packs: the share that is charged"
        share = policy.leftovers_charged
        yield _line("leftovers", label, share, "share", purchase.leftover_cost)


def fixing_lines(line_m: float, points: int, book: PriceBook) -> Iterator[CostLine]:
    """Line and fixings."""
    yield _line("line", "garland line", _two(line_m), "m", book.line.price_per_m)
    yield _line("fixings", "clips and ties", points, "point", book.line.price_per_fixing)


def foil_lines(foils: Iterable[FoilCount]) -> Iterator[CostLine]:
    """Foils by sort."""
    for foil in foils:
        yield _line("foils", f"foil {foil.sort}, air-filled", foil.count, "foil", foil.kind.price)


def support_lines(uses: Iterable[Use], book: PriceBook) -> Iterator[CostLine]:
    """Wear of owned frames and stands, hire of what the shop does not own."""
    for use in uses:
        if use.own and use.at_hand:
            yield _line("wear", f"{use.own.label}: wear", use.at_hand, "use", use.own.wear)
        if use.hired:
            support = use.piece.support
            yield _line("hire", f"{support.words}: hire", use.hired, "piece", book.hire_of(support))


def labour_lines(hours: Mapping[str, float], book: PriceBook) -> Iterator[CostLine]:
    """Hours by task at the wage."""
    for task in Task:
        if hours[task.value] > 0:
            label = f"{task.value.replace('_', ' ')}: time"
            yield _line("labour", label, _two(hours[task.value]), "h", book.labour.wage)


def driving_lines(driven_one_way_m: float, trips: int, book: PriceBook) -> Iterator[CostLine]:
    """Kilometres driven, or the zone's fee where the book has zones."""
    zones = book.travel.zones
    if zones:
        reached = (zone for zone in zones if driven_one_way_m <= zone.up_to_m)
        zone = next(reached, zones[-1])
        yield _line("delivery", "delivery, by zone", trips, "trip", zone.fee)
        return
    km = _two(trips * 2 * driven_one_way_m / 1000)
    yield _line("vehicle", "car", km, "km", book.travel.price_per_km)


def overhead_line(costs: Costs, policy: Policy) -> CostLine:
    """The share of direct cost that keeps the shop going."""
    return _line("overhead", "overhead", total(costs.lines), "of cost", policy.overhead)


def asked(costs: Costs, hours: Mapping[str, float], policy: Policy) -> Decimal:
    """The price before dates, minimum, tax and rounding, by mark-up or by hourly target."""
    with_overhead = 1 + policy.overhead
    if policy.charge is Charge.MARKUP:
        return total(costs.lines) * with_overhead * (1 + policy.markup)
    other = total(costs.lines) - total(costs.labour)
    return other * with_overhead + _two(math.fsum(hours.values())) * policy.hourly_target


def surcharge(date: dt.date | None, today: dt.date, policy: Policy) -> Decimal:
    """Factor for a short notice and for a weekend; one where the date is not known."""
    factor = Decimal(1)
    if date is not None and (date - today).days < policy.rush_days:
        factor += policy.rush_share
    if date is not None and date.weekday() in _WEEKEND:
        factor += policy.weekend_share
    return factor


def price_range(amounts: tuple[Decimal, Decimal, Decimal], policy: Policy, currency: str) -> Price:
    """Low, likely and high as charged: tax if included, at least the minimum, rounded outwards.

    A minimum charge or coarse rounding can make them meet; then each is a step above the last.
    """
    tax = 1 + policy.tax_rate if policy.tax_included else Decimal(1)
    floor = _to_step(policy.minimum * tax, policy.rounding, ROUND_CEILING)
    step = policy.rounding
    low, likely, high = (amount * tax for amount in amounts)
    low = max(floor, _to_step(low, step, ROUND_FLOOR))
    likely = max(_to_step(likely, step, ROUND_HALF_UP), low + step)
    high = max(_to_step(high, step, ROUND_CEILING), likely + step)
    deposit = _to_step(likely * policy.deposit_share, policy.deposit_rounding, ROUND_CEILING)
    return Price(
        low=low.quantize(_CENT),
        likely=likely.quantize(_CENT),
        high=high.quantize(_CENT),
        currency=currency,
        tax_included=policy.tax_included,
        deposit=min(deposit, likely).quantize(_CENT),
        tax_rate=policy.tax_rate,
    )


def _line(code: str, label: str, quantity: Decimal | int, unit: str, rate: Decimal) -> CostLine:
    exact = Decimal(quantity)
    return CostLine(
        code=code, label=label, quantity=exact, unit=unit, rate=rate, amount=exact * rate
    )


def _two(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(_CENT)


def _to_step(amount: Decimal, step: Decimal, rounding: str) -> Decimal:
    return (amount / step).to_integral_value(rounding) * step
