"""From a brief to everything that is worked out on the way to its estimate."""

import datetime as dt
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.estimating.answer import (
    Assumption,
    Cost,
    Fitting,
    Load,
    Plan,
    Price,
    SpareLine,
    Travel,
)
from service.estimating.book import PriceBook, SizeClass, Task
from service.estimating.brief import LARGEST_SHARE, Brief, Build, Piece, Setting
from service.estimating.building import Built, build, piece_estimates, pooled, spares_for
from service.estimating.calibration import Calibration
from service.estimating.costing import SUPPORT_CODES, Costs, Ledger, overhead_line, total
from service.estimating.errors import BriefError, FieldProblem
from service.estimating.explanation import Workings
from service.estimating.feasibility import doubts
from service.estimating.fitting import Fitted, Garland, fit
from service.estimating.floating import Floated, float_all
from service.estimating.footing import Footing, footing
from service.estimating.heat import expansion
from service.estimating.hours import Work, hours
from service.estimating.logistics import comes_back, driven_one_way_m, load, travel
from service.estimating.palette import order, shares
from service.estimating.plan import plan
from service.estimating.price import (
    Tax,
    asked,
    price_range,
    surcharges,
    tax_for,
    taxable_share,
)
from service.estimating.risk import Known, risk_of
from service.estimating.shopping import Purchase, shop_for
from service.estimating.units import METRES_PER_INCH

_CENT = Decimal("0.01")


@dataclass(frozen=True, kw_only=True, slots=True)
class _Job:
    """The job as it is made and moved, before any money but the shopping's.

    Its colours are those that can be bought: as the client `said` them, and `ranked` by share.
    """

    said: tuple[str, ...]
    ranked: tuple[str, ...]
    built: tuple[Built, ...]
    spares: tuple[SpareLine, ...]
    purchase: Purchase
    fitted: Fitted
    floated: Floated
    stood: Footing
    cargo: Load
    way: Travel
    hours: Mapping[str, float]

    @property
    def fittings(self) -> tuple[Fitting, ...]:
        return (*self.fitted.fittings, *self.floated.fittings, *self.stood.fittings)


def work_out(
    brief: Brief, book: PriceBook, calibration: Calibration, *, today: dt.date
) -> Workings:
    """Everything that the estimate of `brief` says and is explained from.

    Raises BriefError for a date that has passed and for what the price book does not know.
    """
    _refuse(brief, book, today)
    job = _job(brief, book, calibration)
    tax = tax_for(brief, book.policy, home=book.shop.postal_code)
    known = Known.of(brief)
    costs = _costs(job, Ledger(tax.taxed), book)
    risk = risk_of(brief, costs, job.hours, known, book, calibration)
    chances = risk.outcome
    levels = tuple(_exact(q) for q in (chances.low, chances.likely, chances.high))
    added = surcharges(brief.event.date, today, book.policy)
    planned = _plan(brief, job, book)
    return Workings(
        brief=brief,
        built=job.built,
        pieces=piece_estimates(job.built, job.spares, job.said, job.ranked, book),
        spares=job.spares,
        purchase=job.purchase,
        fittings=job.fittings,
        notes=(*job.fitted.notes, *_doubts(brief, job, planned, book, today)),
        hours=job.hours,
        plan=planned,
        helium=job.floated.helium,
        expansion=expansion(brief.site, _sized_at_site(job.built), book.workshop),
        load=job.cargo,
        wind=job.stood.wind,
        travel=job.way,
        cost_lines=(*costs.lines, overhead_line(costs, book.policy)),
        cost=_cost(costs, levels),
        surcharges=added,
        tax=tax,
        risk=risk,
        outcome=chances,
        price=_price(costs, job.hours, levels, added, tax, book),
        known=known,
        calibration=calibration,
    )


def _refuse(brief: Brief, book: PriceBook, today: dt.date) -> None:
    problems = [
        problem
        for index, piece in enumerate(brief.pieces)
        for problem in _unknown_size(f"pieces[{index}]", piece, book)
    ]
    date = brief.event.date
    if date is not None and date < today:
        detail = f"{date.isoformat()} has passed; give a day from {today.isoformat()} on"
        problems.append(FieldProblem(field="event.date", detail=detail))
    if problems:
        raise BriefError(tuple(problems))


def _job(brief: Brief, book: PriceBook, calibration: Calibration) -> _Job:
    palette, said = shares(brief, book), order(brief, book)
    built = build(brief, palette, book, outdoors=brief.site.setting is Setting.OUTDOOR)
    odds = {s.size_class: calibration.breakage(s.size_class, s.breakage) for s in book.sizes}
    spares = spares_for(
        pooled(built), odds, book.policy.service_level, packing=calibration.packing.factor
    )
    fitted = fit(brief, [_garland(each) for each in built], book.fittings)
    floated = float_all(brief.floating, brief.site, book, colours=said)
    cargo = load(_air(built), book.car, comes_back=comes_back(brief))
    way = travel(brief.site, book.shop, book.travel, cargo.trips)
    by_book = _hours(brief, built, fitted, floated, cargo, way, book)
    return _Job(
        said=said,
        ranked=(*palette,),
        built=built,
        spares=spares,
        purchase=shop_for({(line.size_class, line.colour): line.taken for line in spares}, book),
        fitted=fitted,
        floated=floated,
        stood=footing(brief, [each.made for each in built], fitted.uses, book),
        cargo=cargo,
        way=way,
        hours=_as_the_shop_works(by_book, brief, calibration),
    )


def _unknown_size(at: str, piece: Piece, book: PriceBook) -> Iterator[FieldProblem]:
    size = piece.size_class or book.recipe.quads_size
    if book.size(size) is None:
        known = ", ".join(str(entry.size_class) for entry in book.sizes)
        detail = f"the shop does not stock {size} in balloons; it has {known} in"
        yield FieldProblem(field=f"{at}.size_class", detail=detail)
    most = size * METRES_PER_INCH * LARGEST_SHARE
    if piece.built_as is Build.QUADS and piece.sized_m and piece.sized_m > most:
        detail = f"a balloon of {size} in is sized to at most {most:.3f} m; give less"
        yield FieldProblem(field=f"{at}.sized_m", detail=detail)


def _garland(each: Built) -> Garland:
    return Garland(
        path=each.made.path,
        runs=each.made.runs,
        line_m=each.line.length_m,
        line_lengths=each.line.lengths,
        line_joins=each.line.joins,
        points=len(each.attachments_m),
        balloons=sum(each.made.sizes.values()),
    )


def _air(built: Sequence[Built]) -> float:
    return math.fsum(each.piece.count * each.made.volume_m3 for each in built)


def _sized_at_site(built: Sequence[Built]) -> Sequence[tuple[int, float]]:
    return sorted({(size, each.made.sized[size]) for each in built for size in each.made.sizes})


def _sizes_used(spares: Sequence[SpareLine], book: PriceBook) -> tuple[SizeClass, ...]:
    used = {line.size_class for line in spares}
    return tuple(size for size in book.sizes if size.size_class in used)


def _hours(
    brief: Brief,
    built: Sequence[Built],
    fitted: Fitted,
    floated: Floated,
    cargo: Load,
    way: Travel,
    book: PriceBook,
) -> Mapping[str, float]:
    standing = {use.index for use in fitted.uses}
    return hours(
        [
            Work(
                count=each.piece.count,
                garland_m=each.made.garland_length_m,
                top_m=each.made.path.top_m,
                sizes=each.made.sizes,
                sized=each.made.sized,
                clusters=each.made.clusters,
                on_hardware=index in standing,
                quads=each.piece.built_as is Build.QUADS,
            )
            for index, each in enumerate(built)
        ],
        fitted.fittings,
        book.labour,
        by_hand=frozenset(size.size_class for size in book.sizes if size.by_hand),
        car_loads=cargo.car_loads,
        drive_hours=way.drive_hours,
        helium_s=floated.seconds,
        strikes=not brief.client_keeps,
    )


def _as_the_shop_works(
    by_book: Mapping[str, float], brief: Brief, calibration: Calibration
) -> Mapping[str, float]:
    if not calibration.jobs:
        return by_book
    supports = {piece.support.value for piece in brief.pieces}
    pace = {task: calibration.pace(task, supports) for task in by_book if task != Task.DRIVE}
    pace[Task.DRIVE.value] = calibration.driving
    return {task: spent * pace[task].factor for task, spent in by_book.items()}


def _plan(brief: Brief, job: _Job, book: PriceBook) -> Plan:
    return plan(
        job.hours,
        book.labour,
        sizes=_sizes_used(job.spares, book),
        outdoors=brief.site.setting is Setting.OUTDOOR,
        car_loads=job.cargo.car_loads,
        one_way_h=book.travel.driving_s(driven_one_way_m(job.way, book.travel)) / 3600,
        floating=job.floated.helium.balloons,
    )


def _doubts(
    brief: Brief, job: _Job, planned: Plan, book: PriceBook, today: dt.date
) -> tuple[Assumption, ...]:
    return doubts(
        brief,
        book,
        orders=job.purchase.shopping.orders,
        spares=job.spares,
        hours=job.hours,
        plan=planned,
        today=today,
    )


def _costs(job: _Job, ledger: Ledger, book: PriceBook) -> Costs:
    support = [each for each in job.fittings if each.code in SUPPORT_CODES]
    material = [each for each in job.fittings if each.code not in SUPPORT_CODES]
    one_way_m = driven_one_way_m(job.way, book.travel)
    return Costs(
        materials=(*ledger.goods(job.purchase, book.policy), *ledger.fittings(material)),
        support=tuple(ledger.fittings(support)),
        labour=tuple(ledger.labour(job.hours, book.labour.wage)),
        driving=tuple(ledger.driving(one_way_m, job.cargo.trips, book)),
    )


def _price(
    costs: Costs,
    hours: Mapping[str, float],
    levels: tuple[Decimal, ...],
    added: Mapping[str, Decimal],
    tax: Tax,
    book: PriceBook,
) -> Price:
    return price_range(
        asked(costs, hours, book.policy) * (1 + sum(added.values(), Decimal(0))),
        levels,
        book.policy,
        book.shop.currency,
        tax_rate=tax.rate,
        taxable_share=taxable_share(costs, hours, book.policy),
    )


def _cost(costs: Costs, levels: tuple[Decimal, ...]) -> Cost:
    direct = total(costs.lines)
    low, likely, high = ((direct * level).quantize(_CENT) for level in levels)
    return Cost(low=low, likely=likely, high=high)


def _exact(quantile: float) -> Decimal:
    return Decimal(repr(round(quantile, 6)))
