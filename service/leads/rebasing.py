"""Old jobs against today's price book: what was planned then, as it would be planned now.

The owner may set a rate right in the book itself. Then jobs from before must not teach the same a
second time. How hours moved from one book to the other is read off one job that has a bit of
everything; where pieces of another kind moved by another factor, it is only near.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial

from service.estimating import (
    Accent,
    AccentKind,
    Brief,
    BriefError,
    ColourShare,
    Estimate,
    Floating,
    FloatKind,
    Hours,
    Observation,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    Task,
    estimate,
)
from service.leads.price_books import PriceBooks

_DAY = dt.date(2027, 6, 8)
_NORTH = 0.1

_DRIVE = Task.DRIVE.value
_BALLOONS = "balloons"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Named:
    """A price book that is told by its version, and read only if need be: that takes a while."""

    version: str
    read: Callable[[], PriceBook | None] = field(compare=False)


def rebased(observations: Iterable[Observation], books: PriceBooks) -> tuple[Observation, ...]:
    """The observations with planned figures as the current book would have them.

    A book that can be read no more is taken to have planned as the current one does.
    """
    now = _Named(version=books.current().version, read=books.current)
    return tuple(
        _moved(each, _Named(version=each.book, read=partial(books.of, each.book)), now)
        for each in observations
    )


def _moved(observation: Observation, then: _Named, now: _Named) -> Observation:
    if then.version == now.version:
        return observation
    before, after = _planned(then), _planned(now)
    by = {name: after[name] / was for name, was in before.items() if was and after.get(name)}
    if all(factor == 1.0 for factor in by.values()):
        return observation
    drive, packing = observation.drive, observation.packing
    return replace(
        observation,
        hours={task: _times(hours, by.get(task, 1.0)) for task, hours in observation.hours.items()},
        drive=_times(drive, by.get(_DRIVE, 1.0)) if drive else None,
        packing=replace(packing, planned=round(packing.planned * by.get(_BALLOONS, 1.0)) or 1)
        if packing
        else None,
    )


def _times(hours: Hours, factor: float) -> Hours:
    return replace(hours, planned_h=hours.planned_h * factor)


@lru_cache(maxsize=256)
def _planned(named: _Named) -> Mapping[str, float]:
    """Hours by task, the drive by the clock, and balloons of the job with a bit of everything."""
    book = named.read()
    if book is None:
        return {}
    try:
        answer = estimate(_a_bit_of_everything(book), book, today=_DAY)
    except BriefError:
        return {}
    return {
        **answer.hours,
        _DRIVE: answer.hours[_DRIVE] / answer.plan.crew,
        _BALLOONS: float(_placed(answer)),
    }


def _placed(answer: Estimate) -> int:
    return sum(line.placed for line in answer.spares)


def _a_bit_of_everything(book: PriceBook) -> Brief:
    return Brief(
        pieces=(
            Piece(
                support=Support.ROUND_TOP_FRAME,
                width_m=1.2,
                height_m=2.1,
                accents=(Accent(kind=AccentKind.FLOWERS, count=12),),
            ),
            Piece(support=Support.WALL, length_m=4.0),
            Piece(support=Support.STAIRCASE, rise_m=2.6, run_m=3.3),
            Piece(support=Support.COLUMN, height_m=1.8, count=2),
        ),
        palette=(ColourShare(colour=book.colours[0].name),),
        site=Site(
            setting=Setting.INDOOR,
            latitude=book.shop.latitude + (_NORTH if book.shop.latitude < 0 else -_NORTH),
            longitude=book.shop.longitude,
        ),
        foils=("5",),
        floating=(Floating(kind=FloatKind.FOIL_ROUND, size_class=18, count=6),),
    )
