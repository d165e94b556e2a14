"""A finished job against its estimate, line by line: hours, balloons, the way, cost and margin."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum

from service.estimating import Estimate, PriceBook, Task
from service.leads.actuals import Actuals, by_size, planned_by_key, used_by_size
from service.leads.figures import before_tax
from service.leads.lead import Quote
from service.leads.paid import Paid
from service.leads.task_words import time_of

_CENT = Decimal("0.01")
_NOTHING = Decimal(0)
_KM_M = 1000

NOTHING_PAID = Paid(things={}, balloons={})
"""Where nothing was written down as bought for a job."""

_LABOUR, _BALLOONS, _VEHICLE, _OVERHEAD = "labour", "balloons", "vehicle", "overhead"


class Place(StrEnum):
    """Where a real cost fell in what was told before: one in ten comes out below, one above."""

    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """Planned and real; `told` is False where nothing was told and so the plan stands for both."""

    name: str
    planned: float
    real: float
    told: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class CostLine:
    """A line of cost, planned and real, exactly; `told` as with figures."""

    label: str
    planned: Decimal
    real: Decimal
    told: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """What was planned and what it took, overhead left out.

    `hours` [h] of all hands by task, the drive among them; `balloons` and `burst` by size class,
    where the planned `burst` is how many were reckoned with; of balloons that are `shared_out` only
    the number in all is known. `driven` [m] is there and back, `price` before tax, and
    `overhead` the book's share of the planned cost.
    """

    hours: tuple[Figure, ...]
    balloons: tuple[Figure, ...]
    shared_out: bool
    burst: tuple[Figure, ...]
    driven: Figure
    lines: tuple[CostLine, ...]
    low: Decimal
    likely: Decimal
    high: Decimal
    overhead: Decimal
    price: Decimal
    currency: str

    @property
    def planned_cost(self) -> Decimal:
        """What the lines were planned to come to, to the cent."""
        return _cents(sum((line.planned for line in self.lines), _NOTHING))

    @property
    def real_cost(self) -> Decimal:
        """What they came to, to the cent."""
        return _cents(sum((line.real for line in self.lines), _NOTHING))

    @property
    def planned_margin(self) -> Decimal:
        """What was to be left of the price."""
        return self.price - self.planned_cost

    @property
    def real_margin(self) -> Decimal:
        """What is left of it."""
        return self.price - self.real_cost

    @property
    def place(self) -> Place:
        """Where the real cost fell between P10 and P90 of what was told."""
        if self.real_cost < self.low:
            return Place.BELOW
        return Place.WITHIN if self.real_cost <= self.high else Place.ABOVE


def compare(
    quote: Quote,
    book: PriceBook,
    actuals: Actuals,
    *,
    paid: Paid = NOTHING_PAID,
    charged: Decimal | None = None,
) -> Comparison:
    """A job against its quote, at the rates of `book`, by which it was quoted.

    `paid` is what was written down as bought for it. `charged` is what the client pays for it, tax
    as in the quote, where that is not the price.
    """
    estimate = quote.estimate
    price = quote.likely if charged is None else charged
    hours = tuple(_hours(actuals, estimate))
    driven = _driven(actuals, estimate)
    return Comparison(
        hours=hours,
        balloons=tuple(_used(actuals, estimate)),
        shared_out=_shared_out(actuals, estimate),
        burst=tuple(_burst(actuals, estimate)),
        driven=driven,
        lines=(
            *_labour(hours, _rate(estimate, _LABOUR, book.labour.wage)),
            *_goods(actuals, estimate, paid),
            *_driving(driven, estimate, book),
            *(
                CostLine(label=each.what, planned=_NOTHING, real=each.amount, told=True)
                for each in actuals.extras
            ),
        ),
        low=estimate.cost.low,
        likely=estimate.cost.likely,
        high=estimate.cost.high,
        overhead=_overhead(estimate),
        price=before_tax(price, estimate.price),
        currency=quote.currency,
    )


def _hours(actuals: Actuals, estimate: Estimate) -> Iterator[Figure]:
    told = dict(actuals.hours)
    if actuals.drive_h is not None:
        # Everybody rides in the car.
        told[Task.DRIVE.value] = actuals.drive_h * estimate.plan.crew
    for task in Task:
        planned = estimate.hours.get(task.value, 0.0)
        real = told.get(task.value, planned)
        if planned or real:
            yield Figure(name=task.value, planned=planned, real=real, told=task.value in told)


def _used(actuals: Actuals, estimate: Estimate) -> Iterator[Figure]:
    planned = by_size(planned_by_key(estimate))
    used = used_by_size(actuals, estimate)
    for size, taken in planned.items():
        real = taken if used is None else used[size]
        yield Figure(name=str(size), planned=taken, real=real, told=used is not None)


def _shared_out(actuals: Actuals, estimate: Estimate) -> bool:
    unknown = planned_by_key(estimate).keys() - actuals.used_by.keys()
    return actuals.used is not None and bool(unknown)


def _burst(actuals: Actuals, estimate: Estimate) -> Iterator[Figure]:
    reckoned: dict[int, float] = {}
    for line in estimate.spares:
        odds = line.taken * line.breakage
        reckoned[line.size_class] = reckoned.get(line.size_class, 0.0) + odds
    for size, odds in sorted(reckoned.items()):
        burst = actuals.burst.get(size)
        real = odds if burst is None else burst
        yield Figure(name=str(size), planned=odds, real=real, told=burst is not None)


def _driven(actuals: Actuals, estimate: Estimate) -> Figure:
    km = sum(line.quantity for line in estimate.cost_lines if line.code == _VEHICLE)
    # Where driving is not charged by distance, there is no such line.
    far = estimate.load.trips * (estimate.travel.round_trip_m or 0.0)
    planned = float(km) * _KM_M or far
    real = planned if actuals.driven_m is None else actuals.driven_m
    return Figure(name=_VEHICLE, planned=planned, real=real, told=actuals.driven_m is not None)


def _labour(hours: tuple[Figure, ...], wage: Decimal) -> Iterator[CostLine]:
    for each in hours:
        planned, real = (_two(spent) * wage for spent in (each.planned, each.real))
        if planned or real:
            yield CostLine(label=time_of(each.name), planned=planned, real=real, told=each.told)


def _goods(actuals: Actuals, estimate: Estimate, paid: Paid) -> Iterator[CostLine]:
    """Balloons by what was used of them; everything else by what was paid for it, or as planned.

    One line for each label.
    """
    ratios = _ratios(actuals, estimate)
    planned: dict[tuple[str, str], Decimal] = {}
    counts: dict[tuple[str, str], Decimal] = {}
    for line in estimate.cost_lines:
        key = line.code, line.label
        planned[key] = planned.get(key, _NOTHING) + line.amount
        counts[key] = counts.get(key, _NOTHING) + line.quantity
    for (code, label), amount in planned.items():
        if code == _BALLOONS and ratios:
            # A size that stands in for another was not counted by itself.
            ratio = ratios.get(label.split()[0], ratios[""])
            yield CostLine(label=label, planned=amount, real=amount * ratio, told=True)
        elif code not in (_LABOUR, _VEHICLE, _OVERHEAD):
            real = paid.real(label, amount, counts[code, label])
            known = amount if real is None else real
            yield CostLine(label=label, planned=amount, real=known, told=real is not None)


def _ratios(actuals: Actuals, estimate: Estimate) -> Mapping[str, Decimal]:
    """Used over planned by size class as cost lines name it, and of all under ""."""
    used, planned = used_by_size(actuals, estimate), by_size(planned_by_key(estimate))
    if used is None or not sum(planned.values()):
        return {}
    ratios = {str(size): Decimal(used[size]) / taken for size, taken in planned.items() if taken}
    return {**ratios, "": Decimal(sum(used.values())) / sum(planned.values())}


def _driving(driven: Figure, estimate: Estimate, book: PriceBook) -> Iterator[CostLine]:
    if book.travel.zones:
        return  # a fee that does not ask how far it was is one of the goods
    rate = _rate(estimate, _VEHICLE, book.travel.price_per_km)
    planned, real = (_two(metres / _KM_M) * rate for metres in (driven.planned, driven.real))
    if planned or real:
        yield CostLine(label="car", planned=planned, real=real, told=driven.told)


def _overhead(estimate: Estimate) -> Decimal:
    found = (line.amount for line in estimate.cost_lines if line.code == _OVERHEAD)
    return _cents(sum(found, _NOTHING))


def _rate(estimate: Estimate, code: str, by_book: Decimal) -> Decimal:
    """The rate of the estimate's own lines, or the book's where it has none."""
    return next((line.rate for line in estimate.cost_lines if line.code == code), by_book)


def _two(value: float) -> Decimal:
    return Decimal(repr(float(value))).quantize(_CENT)


def _cents(amount: Decimal) -> Decimal:
    return amount.quantize(_CENT, ROUND_HALF_UP)
