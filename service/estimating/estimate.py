"""The estimate of a brief: everything worked out, with its cautions, gaps and reasons."""

import datetime as dt

from service.estimating.answer import Driver, Estimate
from service.estimating.assumptions import assumptions
from service.estimating.book import PriceBook
from service.estimating.brief import Brief
from service.estimating.calibration import UNCALIBRATED, Calibration
from service.estimating.cautions import cautions_for
from service.estimating.explanation import explain
from service.estimating.pipeline import work_out
from service.estimating.uncertainty import band


def estimate(
    brief: Brief, book: PriceBook, calibration: Calibration = UNCALIBRATED, *, today: dt.date
) -> Estimate:
    """The estimate of `brief` by `book`, moved by what finished jobs taught, as seen on `today`.

    Deterministic: equal arguments give equal estimates. Raises BriefError for a date that has
    passed and for what the price book does not know.
    """
    workings = work_out(brief, book, calibration, today=today)
    drivers = workings.outcome.drivers.items()
    completeness = workings.known.completeness
    top_m = max(each.made.path.top_m for each in workings.built)
    return Estimate(
        pieces=workings.pieces,
        balloons_total=sum(line.placed for line in workings.spares),
        spares=workings.spares,
        shopping=workings.purchase.shopping,
        fittings=workings.fittings,
        hours=workings.hours,
        plan=workings.plan,
        helium=workings.helium,
        expansion=workings.expansion,
        load=workings.load,
        wind=workings.wind,
        travel=workings.travel,
        cautions=cautions_for(brief, top_m=top_m),
        cost_lines=workings.cost_lines,
        cost=workings.cost,
        price=workings.price,
        drivers=tuple(Driver(name=name, share=round(share, 4)) for name, share in drivers),
        completeness=completeness,
        known_as=band(completeness).words,
        assumptions=assumptions(brief, book, workings.travel, workings.notes),
        explanation=explain(workings, book),
        price_book_version=book.version,
        calibration_version=calibration.version,
    )
