"""A job as it can be rehearsed: the estimate's own amounts, hours and widths, for simulation."""

import datetime as dt
from collections.abc import Iterable, Mapping

from service.estimating.answer import SpareLine
from service.estimating.book import PriceBook, Task
from service.estimating.brief import Brief
from service.estimating.calibration import DRIVING, PACKING, UNCALIBRATED, Calibration
from service.estimating.pipeline import work_out
from service.estimating.simulation import Batch, Plan


def rehearsal(
    brief: Brief, book: PriceBook, calibration: Calibration = UNCALIBRATED, *, today: dt.date
) -> Plan:
    """What simulation draws from: the medians of the estimate and what moves them.

    Raises BriefError as `estimate` does.
    """
    workings = work_out(brief, book, calibration, today=today)
    weights, hours = workings.risk.weights, workings.hours
    packing = {"how tightly it packs": calibration.packing_width(book.spread.packing)}
    return Plan(
        amounts=workings.risk.amounts,
        hours={task: h for task, h in hours.items() if h and task != Task.DRIVE},
        weights={**weights, DRIVING: weights.get(Task.DRIVE.value, {}), PACKING: packing},
        supports=frozenset(piece.support.value for piece in brief.pieces),
        drive_h=hours[Task.DRIVE.value],
        garland_balloons=round(
            sum(line.placed for line in workings.spares) * calibration.packing.factor
        ),
        balloons=_batches(workings.spares),
    )


def _batches(spares: Iterable[SpareLine]) -> Mapping[int, Batch]:
    batches: dict[int, Batch] = {}
    for line in spares:
        before = batches.get(line.size_class)
        taken = line.taken + (before.taken if before else 0)
        batches[line.size_class] = Batch(taken=taken, breakage=line.breakage)
    return batches
