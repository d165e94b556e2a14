"""Cost lines: quantity times rate, exactly, each under the code that tax rules go by."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import CostLine, Fitting
from service.estimating.book import Policy, PriceBook, Task
from service.estimating.fitting import used
from service.estimating.shopping import Purchase

_CENT = Decimal("0.01")

LABOUR = "labour"
"""The code of every line of time."""

_TIMES = tuple((task.value, f"{task.value.replace('_', ' ')}: time") for task in Task)

SUPPORT_CODES = frozenset({"wear", "hire", "weights"})
"""What a piece stands on; the rest of the fittings is material."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """Cost lines by what moves them."""

    materials: tuple[CostLine, ...]
    support: tuple[CostLine, ...]
    labour: tuple[CostLine, ...]
    driving: tuple[CostLine, ...]

    @property
    def lines(self) -> tuple[CostLine, ...]:
        """All lines of direct cost."""
        return (*self.materials, *self.support, *self.labour, *self.driving)


class Ledger:
    """Writes cost lines, marking those that `taxed` names."""

    def __init__(self, taxed: Collection[str]) -> None:
        self._taxed = taxed

    def line(
        self,
        code: str,
        label: str,
        quantity: Decimal | int,
        unit: str,
        rate: Decimal,
        *,
        task: str = "",
    ) -> CostLine:
        """quantity × rate; tax rules name it by its code, or one `task` of it as code.task."""
        exact = Decimal(quantity)
        return CostLine(
            code=code,
            label=label,
            quantity=exact,
            unit=unit,
            rate=rate,
            amount=exact * rate,
            taxable=code in self._taxed or f"{code}.{task}" in self._taxed,
        )

    def goods(self, purchase: Purchase, policy: Policy) -> Iterator[CostLine]:
        """Balloons used, and the charged share of what is paid beyond them."""
        used: dict[tuple[int, Decimal], int] = {}
        for (size, colour), number in purchase.used.items():
            group = size, purchase.rates[size, colour]
            used[group] = used.get(group, 0) + number
        for (size, rate), number in sorted(used.items()):
            yield self.line("balloons", f"{size} in balloons, with spares", number, "balloon", rate)
        if purchase.unused_cost and policy.leftovers_charged:
            # Delivery is shared like the leftovers: charged in full, a longer garland that comes
            # free of delivery would be cheaper than a short one.
            label = "left over in the packs, and their delivery: the share that is charged"
            share = policy.leftovers_charged
            yield self.line("leftovers", label, share, "share", purchase.unused_cost)

    def fittings(self, fittings: Iterable[Fitting]) -> Iterator[CostLine]:
        """Fittings, those of one label and price together."""
        counts: dict[tuple[str, str, str, Decimal], Decimal] = {}
        for fitting in fittings:
            key = fitting.code, fitting.label, fitting.unit, fitting.unit_cost
            counts[key] = counts.get(key, Decimal(0)) + used(fitting)
        for (code, label, unit, rate), count in counts.items():
            yield self.line(code, label, count, unit, rate)

    def labour(self, hours: Mapping[str, float], wage: Decimal) -> Iterator[CostLine]:
        """Hours by task at the wage."""
        for task, label in _TIMES:
            if spent := two(hours[task]):
                yield self.line(LABOUR, label, spent, "h", wage, task=task)

    def driving(self, driven_one_way_m: float, trips: int, book: PriceBook) -> Iterator[CostLine]:
        """Kilometres driven, or the zone's fee where the book has zones."""
        zones = book.travel.zones
        if zones:
            reached = (zone for zone in zones if driven_one_way_m <= zone.up_to_m)
            zone = next(reached, zones[-1])
            yield self.line("delivery", "delivery, by zone", trips, "trip", zone.fee)
            return
        km = two(trips * 2 * driven_one_way_m / 1000)
        yield self.line("vehicle", "car", km, "km", book.travel.price_per_km)


def overhead_line(costs: Costs, policy: Policy) -> CostLine:
    """The share of direct cost that keeps the shop going.

    It is taxed as what it is a share of, so that only where every line is taxable is all of it.
    """
    direct = total(costs.lines)
    return CostLine(
        code="overhead",
        label="overhead",
        quantity=direct,
        unit="of cost",
        rate=policy.overhead,
        amount=direct * policy.overhead,
        taxable=bool(costs.lines) and all(line.taxable for line in costs.lines),
    )


def total(lines: Iterable[CostLine]) -> Decimal:
    """Sum of the lines' amounts."""
    return sum([line.amount for line in lines], Decimal(0))


def two(value: float) -> Decimal:
    """A figure to two decimals, as cost lines count hours and kilometres."""
    return Decimal(repr(value)).quantize(_CENT)
