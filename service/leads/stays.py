"""The whole stay of a job: off from the workshop, set up, taken down, equipment back."""

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import Brief, Estimate, Event, PriceBook, Site, geodesic_m
from service.leads.lead import Hold, Stay, Window
from service.leads.shop_time import zone_of

SLOT = timedelta(minutes=15)

_LASTS = timedelta(hours=4)
"""How long a party is taken to last where its end is not known. Common practice, no source."""

_NONE = timedelta(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """What a job asks of the calendar.

    `drive` is one way, `slack` what is kept free on it. On site the crew unloads, sets up and
    fetches further car loads. `strike` is zero where nobody comes back. Before, it takes the
    `bench`, so long before the event that it `keeps` at most, and `loading` the car. `kit` counts
    the shop's own equipment that it stands on, by label.
    """

    event: Event
    position: tuple[float, float] | None
    drive: timedelta
    slack: timedelta
    on_site: timedelta
    strike: timedelta
    comes_back: bool
    bench: timedelta
    loading: timedelta
    keeps: timedelta
    kit: Mapping[str, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Keeps:
    """What a job takes: quarter-hours since 1970 of its crew, and units while they are out."""

    slots: Sequence[int]
    units: Sequence[tuple[str, int]] = ()
    out: Sequence[int] = ()


def job_of(brief: Brief, estimate: Estimate, book: PriceBook) -> Job:
    """What the estimate's plan comes to, up to whole quarters of an hour on site."""
    plan, labour = estimate.plan, book.labour
    drive_h = estimate.travel.drive_hours / estimate.load.trips / 2
    further_h = (estimate.load.car_loads - 1) * 2 * drive_h
    # Half of it at the workshop, half of it on site.
    loading_h = estimate.hours.get("load", 0.0) / plan.crew / 2
    back = comes_back(estimate)
    return Job(
        event=brief.event,
        position=position_of(brief.site),
        drive=timedelta(hours=drive_h),
        slack=labour.slack,
        on_site=max(SLOT, _whole(timedelta(hours=plan.set_up_h + loading_h + further_h))),
        strike=max(SLOT, _whole(timedelta(hours=plan.strike_h))) if back else _NONE,
        comes_back=back,
        bench=_whole(timedelta(hours=plan.bench_h)),
        loading=timedelta(hours=loading_h),
        keeps=timedelta(hours=plan.ahead_h),
        kit=kit_of(estimate, book),
    )


def comes_back(estimate: Estimate) -> bool:
    """Whether the crew comes back after the event, to take down or to fetch what is the shop's."""
    return estimate.load.trips > estimate.load.car_loads


def position_of(site: Site) -> tuple[float, float] | None:
    """Where it is, in degrees of latitude and longitude, as far as it is known."""
    if site.latitude is None or site.longitude is None:
        return None
    return site.latitude, site.longitude


def kit_of(estimate: Estimate, book: PriceBook) -> Mapping[str, int]:
    """How many of each of the shop's own frames, stands and covers the estimate counts on."""
    covers = {cover.label for cover in book.fittings.covers}
    counted: Counter[str] = Counter()
    for fitting in estimate.fittings:
        if fitting.code == "wear" or (fitting.code == "covers" and fitting.label in covers):
            counted[fitting.label] += fitting.count
    return counted


def owned(book: PriceBook) -> Mapping[str, int]:
    """How many units the shop has of each frame, stand and cover."""
    units: Counter[str] = Counter()
    for item in book.fittings.hardware:
        units[item.label] += item.count
    for cover in book.fittings.covers:
        units[cover.label] += cover.count
    return units


def over_at(event: Event, day: date, ready_at: datetime, book: PriceBook) -> datetime:
    """When the guests of that day have gone, as far as it is known; never before all is ready."""
    zone = zone_of(book)
    starts = ready_at + book.labour.ready_before
    if event.start_time is not None:
        starts = max(starts, datetime.combine(day, event.start_time, zone))
    if event.end_time is None:
        return starts.astimezone(dt.UTC) + _LASTS
    ends = datetime.combine(day, event.end_time, zone)
    # A party that ends at one in the morning ends the next day.
    return ends if ends > starts else datetime.combine(day + timedelta(1), event.end_time, zone)


def agreed_strike(event: Event, hold: Hold, book: PriceBook) -> datetime | None:
    """When a client can be told that it is taken down.

    None where nobody comes back, and while the end of the event is not known, or is known only
    since the time was kept and does not go with it.
    """
    window, stay = hold.window, hold.stay
    if event.end_time is None or stay.strikes_at == stay.struck_at:
        return None
    day = window.starts_at.astimezone(zone_of(book)).date()
    over = over_at(event, day, window.ends_at, book)
    return stay.strikes_at if stay.strikes_at >= over else None


def stay_of(job: Job, window: Window, strikes_at: datetime) -> Stay:
    """The stay around a set-up window, with the strike beginning then."""
    if not job.comes_back:
        strikes_at = window.ends_at
    struck_at = strikes_at + job.strike
    return Stay(
        leaves_at=window.starts_at - job.slack - job.drive,
        free_at=window.ends_at,
        strikes_at=strikes_at,
        struck_at=struck_at,
        returns_at=struck_at + job.drive,
    )


def keeps(window: Window, stay: Stay, units: Iterable[tuple[str, int]]) -> Keeps:
    """The quarters of an hour that the crew works, and all of them until the equipment is back."""
    return Keeps(
        slots=(
            *slots(window.starts_at, window.ends_at),
            *slots(stay.strikes_at, stay.struck_at),
        ),
        units=tuple(units),
        out=slots(stay.leaves_at, stay.returns_at),
    )


def slots(since: datetime, until: datetime) -> range:
    """The quarters of an hour since 1970 that a time touches; none for no time at all."""
    if since == until:
        return range(0)
    first = math.floor(since.timestamp() / SLOT.total_seconds())
    return range(first, math.ceil(until.timestamp() / SLOT.total_seconds()))


def days(since: datetime, until: datetime, zone: ZoneInfo) -> list[date]:
    """The shop's days that a time touches, in order."""
    first, last = since.astimezone(zone).date(), until.astimezone(zone).date()
    return [first + timedelta(each) for each in range((last - first).days + 1)]


def drive_between(
    here: tuple[float, float] | None,
    there: tuple[float, float] | None,
    *,
    home: tuple[timedelta, timedelta],
    book: PriceBook,
) -> timedelta:
    """How long the crew drives from one site to another, by road as far as the road factor tells.

    Where one of them is unknown, it is the longer of their drives to the workshop, `home`.
    """
    if here is None or there is None:
        return max(home)
    road_m = geodesic_m(*here, *there) * book.travel.road_factor
    return timedelta(seconds=book.travel.driving_s(road_m))


def _whole(time: timedelta) -> timedelta:
    # A hair less before rounding up, so that what fits exactly is not given one more.
    return SLOT * math.ceil(time / SLOT - 1e-9)
