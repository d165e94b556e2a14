"""What a changed price book does to prices: a few usual jobs, reckoned with the old and the new."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, time, timedelta
from decimal import Decimal
from typing import Any

from service.estimating import (
    Brief,
    Calibration,
    ColourShare,
    Event,
    Ground,
    Piece,
    PriceBook,
    Setting,
    Shop,
    Site,
    Support,
    estimate,
)

_AHEAD = timedelta(days=60)
_SATURDAY = 5

# Some eight miles up the road from the shop.
_NORTH = 0.11

_FOOT = 0.3048


@dataclass(frozen=True, kw_only=True, slots=True)
class Figures:
    """What a job comes to: price and cost, and hours of work in all."""

    price: Decimal
    cost: Decimal
    hours: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Tried:
    """A usual job before and after."""

    name: str
    before: Figures
    after: Figures


def tried_out(
    old: PriceBook, new: PriceBook, calibration: Calibration, *, today: date
) -> tuple[Tried, ...]:
    """Five usual jobs by both books, two months from now and a few miles from the shop."""
    return tuple(
        Tried(
            name=name,
            before=_figures(brief, old, calibration, today),
            after=_figures(brief, new, calibration, today),
        )
        for name, brief in usual_jobs(old.shop, today).items()
    )


def usual_jobs(shop: Shop, today: date) -> Mapping[str, Brief]:
    """Jobs of different kinds by what they are called."""
    return dict(_jobs(shop, today + _AHEAD))


def _jobs(shop: Shop, day: date) -> Iterator[tuple[str, Brief]]:
    saturday = day + timedelta(days=(_SATURDAY - day.weekday()) % 7)
    weekday = saturday + timedelta(days=4)
    indoors = _site(shop, Setting.INDOOR)
    yield (
        "Round frame, 4 × 7 ft, indoors on a Saturday",
        _brief(_piece(Support.ROUND_TOP_FRAME, width=4, height=7), saturday, indoors),
    )
    yield (
        "Wall garland, 20 ft, indoors on a weekday",
        _brief(_piece(Support.WALL, length=20), weekday, indoors),
    )
    yield (
        "Arch, 8 × 7 ft, outdoors on grass",
        _brief(
            _piece(Support.FREESTANDING_ARCH, width=8, height=7),
            saturday,
            _site(shop, Setting.OUTDOOR),
        ),
    )
    yield (
        "Two columns, 6 ft, on a weekday",
        _brief(_piece(Support.COLUMN, height=6, count=2), weekday, indoors),
    )
    yield (
        "Staircase with a foil 50, on a Saturday",
        _brief(_piece(Support.STAIRCASE, rise=8, run=10), saturday, indoors, foils=("50",)),
    )


def _piece(support: Support, *, count: int = 1, **feet: float) -> Piece:
    measures: dict[str, Any] = {f"{name}_m": number * _FOOT for name, number in feet.items()}
    return Piece(support=support, count=count, **measures)


def _site(shop: Shop, setting: Setting) -> Site:
    north = _NORTH if shop.latitude < 0 else -_NORTH
    return Site(
        setting=setting,
        latitude=shop.latitude + north,
        longitude=shop.longitude,
        ground=Ground.GRASS if setting is Setting.OUTDOOR else None,
    )


def _brief(piece: Piece, day: date, site: Site, *, foils: tuple[str, ...] = ()) -> Brief:
    return Brief(
        pieces=(piece,),
        palette=tuple(ColourShare(colour=name) for name in ("white", "navy", "gold")),
        event=Event(date=day, start_time=time(15), end_time=time(19)),
        site=site,
        foils=foils,
    )


def _figures(brief: Brief, book: PriceBook, calibration: Calibration, today: date) -> Figures:
    found = estimate(brief, book, calibration, today=today)
    return Figures(
        price=found.price.likely,
        cost=found.cost.likely,
        hours=sum(found.hours.values()),
    )
