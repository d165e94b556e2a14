"""What was told of a job and may be a slip of the thumb: it is asked about once."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from service.estimating import Estimate, Task
from service.leads.actuals import Actuals, Extra, by_size, planned_by_key
from service.leads.figures import direct_cost

# So many times what was planned, or a part of it so small, may be a slip of the thumb, unless it
# is less than so much.
_FAR = 3
_MUCH = 5
_TRIFLE_H = 1.0
_TRIFLE_M = 16_000.0
_TRIFLE_BALLOONS = 20
_TRIFLE_BURST = 5
_MILE_M = 1609.344

_Told = tuple[str, float, float]
"""A field, what was planned, and what was told."""


def far_off(actuals: Actuals, estimate: Estimate) -> Mapping[str, str]:
    """Questions about what is far off its plan, by field as in `wrong_with`.

    That is over three times what was planned or less than a third, and not by a trifle. A typed 0
    is no slip: that was not done at all.
    """
    return {
        **dict(_asked(_far_hours(actuals, estimate), _TRIFLE_H, _in_hours)),
        **dict(_asked(_far_driven(actuals, estimate), _TRIFLE_M, _in_miles)),
        **dict(_asked(_far_used(actuals, estimate), _TRIFLE_BALLOONS, _whole)),
        **dict(_far_burst(actuals, estimate)),
        **dict(_far_extras(actuals.extras, estimate)),
    }


def _asked(
    told: Iterable[_Told], trifle: float, say: Callable[[float], str]
) -> Iterator[tuple[str, str]]:
    for name, planned, real in told:
        beyond = real > _FAR * planned or planned > _FAR * real
        # What was not planned is not far off anything, unless it is much.
        least = trifle if planned else _MUCH * trifle
        if real and beyond and abs(real - planned) > least:
            yield name, f"Planned {say(planned)}, told {say(real)}: is it so?"


def _far_hours(actuals: Actuals, estimate: Estimate) -> Iterator[_Told]:
    hours = estimate.hours
    for task, spent in actuals.hours.items():
        yield f"hours.{task}", hours.get(task, 0.0), spent
    by_clock = hours.get(Task.DRIVE.value, 0.0) / estimate.plan.crew
    yield "drive_h", by_clock, actuals.drive_h or 0.0


def _far_driven(actuals: Actuals, estimate: Estimate) -> Iterator[_Told]:
    planned = estimate.load.trips * (estimate.travel.round_trip_m or 0.0)
    yield "driven", planned, actuals.driven_m or 0.0


def _far_used(actuals: Actuals, estimate: Estimate) -> Iterator[_Told]:
    planned = planned_by_key(estimate)
    yield "used", sum(planned.values()), actuals.used or 0
    for (size, name), count in actuals.used_by.items():
        yield f"used.{size}.{name}", planned.get((size, name), 0), count


def _far_burst(actuals: Actuals, estimate: Estimate) -> Iterator[tuple[str, str]]:
    planned = by_size(planned_by_key(estimate))
    for size, burst in actuals.burst.items():
        taken = planned.get(size, 0)
        if burst * _FAR > taken and burst > _TRIFLE_BURST:
            yield f"burst.{size}", f"Planned {taken:,} in all, told {burst:,} burst: is it so?"


def _far_extras(extras: Sequence[Extra], estimate: Estimate) -> Iterator[tuple[str, str]]:
    planned = direct_cost(estimate)
    for place, extra in enumerate(extras):
        if extra.amount > planned:
            yield f"extras.{place}", "That is more than all of the job was to cost: is it so?"


def _in_hours(hours: float) -> str:
    whole, minutes = divmod(round(hours * 60), 60)
    return f"{whole}:{minutes:02d} h"


def _in_miles(metres: float) -> str:
    return f"{metres / _MILE_M:,.0f} mi"


def _whole(count: float) -> str:
    return f"{count:,.0f}"
