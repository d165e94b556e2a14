"""How long each task at the bench takes: the same minutes on the build sheet and by the clock."""

import math
from collections.abc import Iterator
from datetime import timedelta
from itertools import accumulate, pairwise

from service.estimating import BENCH, Estimate, Task
from service.leads.stays import SLOT

FIVE_MINUTES = timedelta(minutes=5)


def kept_for(estimate: Estimate) -> timedelta:
    """What the calendar keeps for making it: whole slots."""
    return math.ceil(timedelta(hours=estimate.plan.bench_h) / SLOT) * SLOT


def shared_out(estimate: Estimate, whole: timedelta) -> Iterator[tuple[Task, timedelta, timedelta]]:
    """From and to when, in time at the bench, each task goes on, to five minutes.

    Each has of the `whole` by its hours; what comes to nothing is left out.
    """
    hours = [estimate.hours.get(task, 0.0) for task in BENCH]
    if not (all_h := sum(hours)):
        return
    marks = [_to_five(whole * (done / all_h)) for done in accumulate(hours, initial=0.0)]
    for task, (since, until) in zip(BENCH, pairwise(marks), strict=True):
        if since < until:
            yield task, since, until


def _to_five(span: timedelta) -> timedelta:
    return round(span / FIVE_MINUTES) * FIVE_MINUTES
