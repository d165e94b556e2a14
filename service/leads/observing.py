"""What is learnt from a finished job: planned by the price book alone, against what was told."""

from collections.abc import Iterator, Mapping

from service.estimating import (
    BriefError,
    Estimate,
    Hours,
    Observation,
    Packing,
    PriceBook,
    Taken,
    Task,
    estimate,
)
from service.leads.actuals import Actuals, used_by_size
from service.leads.expectations import Range, Told
from service.leads.lead import Quote
from service.leads.shop_time import today_at

_DRIVE = Task.DRIVE.value


def observation(quote: Quote, book: PriceBook, actuals: Actuals) -> Observation:
    """What the job teaches; what was not told is left out. `book` is the one it was quoted by.

    Planned is what that book says without any lesson: what was learnt is not learnt again.
    """
    supports = frozenset(piece.support.value for piece in quote.brief.pieces)
    planned = by_book(quote, book)
    if planned is None:
        return Observation(job=quote.lead_id, supports=supports, hours={}, book=book.version)
    return Observation(
        job=quote.lead_id,
        supports=supports,
        hours=dict(_hours(planned, actuals)),
        drive=_drive(planned, actuals),
        packing=_packing(planned, actuals),
        balloons=dict(_broken(planned, actuals)),
        book=book.version,
    )


def told(quote: Quote, book: PriceBook) -> Told:
    """What was said of the job's cost and hours, and what the book alone would have said."""
    quoted, planned = _range(quote.estimate), by_book(quote, book)
    return Told(
        quoted=quoted,
        by_book=quoted if planned is None else _range(planned),
        hours=dict(_told_hours(quote.estimate)),
        calibration=quote.calibration,
    )


def by_book(quote: Quote, book: PriceBook) -> Estimate | None:
    """The estimate of the quote's day by the book alone.

    None where this book cannot make one, which may be if the quote's own can be read no more.
    """
    if quote.calibration is None and quote.book_version == book.version:
        return quote.estimate
    try:
        return estimate(quote.brief, book, today=today_at(quote.created_at, book))
    except BriefError:
        return None


def _hours(planned: Estimate, actuals: Actuals) -> Iterator[tuple[str, Hours]]:
    for task, spent in actuals.hours.items():
        # A task that was not planned, or left out, says nothing of how fast it is done.
        if spent > 0 and planned.hours.get(task, 0.0) > 0:
            yield task, Hours(planned_h=planned.hours[task], actual_h=spent)


def _drive(planned: Estimate, actuals: Actuals) -> Hours | None:
    by_clock = planned.hours.get(_DRIVE, 0.0) / planned.plan.crew
    if not actuals.drive_h or not by_clock:
        return None
    return Hours(planned_h=by_clock, actual_h=actuals.drive_h)


def _packing(planned: Estimate, actuals: Actuals) -> Packing | None:
    placed = sum(line.placed for line in planned.spares)
    if actuals.used is None or not placed:
        return None
    burst = _reckoned(planned) | dict(actuals.burst)
    used = round(actuals.used - sum(burst.values()))
    return Packing(planned=placed, used=used) if used > 0 else None


def _reckoned(planned: Estimate) -> dict[int, float]:
    """Balloons that the book expects to burst, by size class."""
    burst: dict[int, float] = {}
    for line in planned.spares:
        burst[line.size_class] = burst.get(line.size_class, 0.0) + line.placed * line.breakage
    return burst


def _broken(planned: Estimate, actuals: Actuals) -> Iterator[tuple[int, Taken]]:
    used, placed = used_by_size(actuals, planned), _placed(planned)
    for size, burst in actuals.burst.items():
        blown_up = placed.get(size, 0) + burst if used is None else used.get(size, 0)
        if blown_up > 0 and burst <= blown_up:
            yield size, Taken(taken=blown_up, burst=burst)


def _placed(planned: Estimate) -> Mapping[int, int]:
    placed: dict[int, int] = {}
    for line in planned.spares:
        placed[line.size_class] = placed.get(line.size_class, 0) + line.placed
    return placed


def _range(answer: Estimate) -> Range:
    cost = answer.cost
    return Range(low=cost.low, likely=cost.likely, high=cost.high)


def _told_hours(answer: Estimate) -> Iterator[tuple[str, float]]:
    for task, spent in answer.hours.items():
        if spent:
            yield task, spent / answer.plan.crew if task == _DRIVE else spent
