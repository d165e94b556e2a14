"""What is used up on a job, and what its tools wear."""

import math
from collections.abc import Iterable, Iterator
from decimal import ROUND_CEILING, Decimal

from service.estimating.answer import Fitting
from service.estimating.book import Consumable, Per

_HUNDREDTH = Decimal("0.01")


def consumables(wanted: Iterable[Consumable], *, pieces: int, balloons: int) -> Iterator[Fitting]:
    """Consumables for the whole job: `count` is what to bring, `cost` is for what is used.

    A roll that serves five jobs is brought whole and paid for by a fifth. What is used is rounded
    up to a hundredth of its unit.
    """
    times = {
        Per.JOB: Decimal(1),
        Per.PIECE: Decimal(pieces),
        Per.HUNDRED_BALLOONS: Decimal(balloons) / 100,
    }
    for each in wanted:
        amount = (each.quantity * times[each.per]).quantize(_HUNDREDTH, ROUND_CEILING)
        if amount:
            yield Fitting(
                code="consumables",
                label=each.label,
                piece=None,
                count=math.ceil(amount),
                unit=each.unit,
                unit_cost=each.price,
                cost=amount * each.price,
                seconds=0.0,
                place="",
                mount="",
            )


def used(fitting: Fitting) -> Decimal:
    """How much of it the cost is for, in its unit: `cost` is exactly this times `unit_cost`."""
    return fitting.cost / fitting.unit_cost if fitting.unit_cost else Decimal(fitting.count)
