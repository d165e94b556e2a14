"""How the work falls in time: by the clock, for the crew as it is."""

from collections.abc import Iterable, Mapping, Sequence

from service.estimating.answer import FloatLine, Plan
from service.estimating.book import Labour, SizeClass, Task

BENCH = (
    Task.SIZING_AND_INFLATING,
    Task.TYING,
    Task.CLUSTERING,
    Task.LINE_BUILD,
    Task.FOILS,
    Task.ACCENTS,
)
"""What is done in the workshop, in this order."""

SET_UP = (Task.HELIUM, Task.INSTALL, Task.FINISH)
"""What is done at the site before the event: what floats is filled there, on the day."""

HELIUM_AHEAD_H = 3.0
"""Helium is filled on the day: it looks best in the first three hours ("The science of balloons",
sciences360; cylinder hire pages say the same)."""


def plan(
    spent: Mapping[str, float],
    labour: Labour,
    *,
    sizes: Iterable[SizeClass],
    outdoors: bool,
    car_loads: int,
    one_way_h: float,
    floating: Sequence[FloatLine] = (),
) -> Plan:
    """The plan for person-hours `spent` [h] by task.

    `sizes` are the sizes used, `one_way_h` the drive to the site [h]. By the clock a crew of n
    needs an n-th of its person-hours. What the first balloon lasts is what the shortest-lived
    size lasts in that setting. The crew is there early enough to unload and set up, to fetch what
    did not go into the first car load, and to be ready as long before the event as the shop
    likes; it leaves a drive and the shop's slack before that. What is `floating` is filled at the
    site on the day.
    """
    set_up_h = _by_the_clock(spent, SET_UP, labour)
    further_loads_h = (car_loads - 1) * 2 * one_way_h
    # Half of the time that a load takes is unloading; the rest goes before leaving.
    unloading_h = _by_the_clock(spent, (Task.LOAD,), labour) / 2
    arrive_h = set_up_h + unloading_h + further_loads_h + labour.ready_before.total_seconds() / 3600
    return Plan(
        crew=labour.crew,
        bench_h=_by_the_clock(spent, BENCH, labour),
        ahead_h=min(_keeps_s(size, outdoors=outdoors) for size in sizes) / 3600,
        helium_h=_by_the_clock(spent, (Task.HELIUM,), labour),
        helium_ahead_h=helium_ahead_h(floating) if floating else None,
        set_up_h=set_up_h,
        arrive_before_h=arrive_h,
        leave_before_h=arrive_h + one_way_h + labour.slack.total_seconds() / 3600,
        strike_h=_by_the_clock(spent, (Task.STRIKE,), labour),
    )


def helium_ahead_h(floating: Iterable[FloatLine]) -> float:
    """How long before the event the first helium balloon may be filled [h].

    A few hours at most, and never longer than the shortest-lived of `floating` surely floats.
    """
    return min((HELIUM_AHEAD_H, *(line.float_low_h for line in floating)))


def _by_the_clock(spent: Mapping[str, float], tasks: Iterable[Task], labour: Labour) -> float:
    return sum([spent[task] for task in tasks]) / labour.crew


def _keeps_s(size: SizeClass, *, outdoors: bool) -> float:
    return size.keeps_outdoors_s if outdoors else size.keeps_indoors_s
