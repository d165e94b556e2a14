"""What a job takes to make, for the owner: times, fittings, spares, helium, wind, sizing."""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from service.estimating import (
    Brief,
    Estimate,
    Event,
    Expansion,
    Helium,
    Reason,
    SizedFor,
    SpareLine,
    Wind,
)
from service.leads import words
from service.leads.lead import Window
from service.pages.templates import spent
from service.workshop.fitted import Item, items_of

_FIVE_MINUTES = timedelta(minutes=5)
_MOST_DRIVERS = 3
_TIED = "\N{NO-BREAK SPACE}"

_ABOUT = {
    figure: title
    for title, figures in (
        ("all pieces", ("pieces", "balloons_total", "spares")),
        ("what is bought", ("shopping", "fittings", "helium")),
        ("heat and height", ("expansion",)),
        ("wind", ("wind",)),
        ("hours and the way", ("hours", "plan", "load", "travel")),
    )
    for figure in figures
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Fact:
    """One thing to know, under a label."""

    label: str
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Group:
    """What one piece takes, or the whole job."""

    title: str
    items: tuple[Item, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Blown:
    """Wind on one piece in people's units: what it faces, needs, is given, and when it falls."""

    piece: str
    faces: str
    needs: str
    has: str
    comes_down: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Sized:
    """How one size of balloon is blown up at home to be right at the site."""

    size: str
    at_home: str
    there: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Made:
    """What a job takes; parts that it does not have are empty."""

    doubts: str
    times: tuple[Fact, ...]
    fitted: tuple[Group, ...]
    spares: str
    floats: tuple[str, ...]
    gusts: str
    blown: tuple[Blown, ...]
    grows: str
    sized: tuple[Sized, ...]
    reasons: Mapping[str, tuple[Reason, ...]]


def made_of(estimate: Estimate, brief: Brief, window: Window | None, zone: ZoneInfo) -> Made:
    """What the job of `brief` takes, its times in `zone`.

    A `window` that the client has picked says when to arrive; clock times are told where the
    event's start is known.
    """
    wind, expansion = estimate.wind, estimate.expansion
    return Made(
        doubts=_doubts(estimate),
        times=tuple(_times(estimate, brief.event, window, zone)),
        fitted=_fitted(estimate, brief),
        spares=_spares(estimate.spares),
        floats=_floats(estimate.helium, brief) if estimate.helium.needed else (),
        gusts=_gusts(wind) if wind else "",
        blown=_blown(wind, brief) if wind else (),
        grows=_grows(expansion) if expansion else "",
        sized=tuple(map(_sized, expansion.sized)) if expansion else (),
        reasons=_reasons(estimate, brief),
    )


def _times(
    estimate: Estimate, event: Event, window: Window | None, zone: ZoneInfo
) -> Iterator[Fact]:
    plan = estimate.plan
    start = _start(event, zone)
    arrive = window.starts_at if window else _before(start, plan.arrive_before_h)
    leave = _before(arrive, plan.leave_before_h - plan.arrive_before_h)
    made = _before(start, plan.ahead_h)
    people = "one person" if plan.crew == 1 else f"{plan.crew} people"
    said = _Said(day=event.date, zone=zone)
    bench = f"{spent(plan.bench_h)} at the bench for {people}"
    yield Fact(label="Make", text=f"{said.from_(made, plan.ahead_h)}, {bench}")
    if plan.helium_ahead_h is not None:
        filled = said.from_(_before(start, plan.helium_ahead_h), plan.helium_ahead_h)
        yield Fact(label="Fill helium", text=f"{filled}, {spent(plan.helium_h)}")
    yield Fact(label="Leave", text=said.at(leave, plan.leave_before_h))
    set_up = f"{spent(plan.set_up_h)} to set up"
    yield Fact(label="Arrive", text=f"{said.at(arrive, plan.arrive_before_h)}, {set_up}")
    if plan.strike_h:
        yield Fact(label="Take down", text=spent(plan.strike_h))


def _start(event: Event, zone: ZoneInfo) -> datetime | None:
    if event.date is None or event.start_time is None:
        return None
    return datetime.combine(event.date, event.start_time, zone)


def _before(moment: datetime | None, hours: float) -> datetime | None:
    # Hours that pass, whatever the clocks are set to in between.
    return moment and moment.astimezone(UTC) - timedelta(hours=hours)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Said:
    """How moments are told: by the clock on the event's own day, with their date on another."""

    day: date | None
    zone: ZoneInfo

    def from_(self, moment: datetime | None, ahead_h: float) -> str:
        """Not before `moment`; made no sooner than it keeps."""
        if moment is None:
            return f"at most {spent(ahead_h)} before it starts"
        late = moment + _FIVE_MINUTES - timedelta(microseconds=1)
        return f"from {self._told(_to_five_minutes(late))} on"

    def at(self, moment: datetime | None, ahead_h: float) -> str:
        """At `moment`; no later than it takes."""
        if moment is None:
            return f"{spent(ahead_h)} before it starts"
        return self._told(_to_five_minutes(moment))

    def _told(self, moment: datetime) -> str:
        local = moment.astimezone(self.zone)
        at = words.clock(local.time()).replace(" ", _TIED)
        return at if local.date() == self.day else f"{words.day(local.date())}, {at}"


def _to_five_minutes(moment: datetime) -> datetime:
    return moment.replace(minute=moment.minute - moment.minute % 5, second=0, microsecond=0)


def _fitted(estimate: Estimate, brief: Brief) -> tuple[Group, ...]:
    titles = [(index, _title(index, brief)) for index in range(len(brief.pieces))]
    groups = (
        Group(
            title=title,
            items=tuple(items_of(each for each in estimate.fittings if each.piece == index)),
        )
        for index, title in (*titles, (None, "for the whole job"))
    )
    return tuple(group for group in groups if group.items)


def _title(index: int, brief: Brief) -> str:
    return f"Piece {index + 1}: {words.piece_name(brief.pieces[index])}"


def _spares(lines: tuple[SpareLine, ...]) -> str:
    """ "Spares: 4 × gold 5 in, 2 × navy 18 in", each with the odds that they are enough."""
    said = ", ".join(
        f"{line.taken - line.placed}{_TIED}×{_TIED}{line.colour} {line.size_class}{_TIED}in"
        for line in lines
        if line.taken > line.placed
    )
    if not said:
        return "No spares are needed."
    # Rounded down: odds of 99.96% are not a certainty.
    odds = math.floor(min(line.enough for line in lines) * 1000) / 10
    return f"Spares to take along: {said}. Each is enough in {odds:g}% of such jobs or more."


def _floats(helium: Helium, brief: Brief) -> tuple[str, ...]:
    """What floats and for how long, and the gas to get."""
    lines = [
        f"{words.floating(wanted)}: up for {line.float_low_h:.0f} to {line.float_high_h:.0f} hours,"
        f" at least {words.pounds(line.weight_kg)} of weight on each"
        for wanted, line in zip(brief.floating, helium.balloons, strict=True)
    ]
    gas = f"{words.cubic_feet(helium.volume_m3)} of helium"
    got = words.listed(f"{line.count} × {line.label}" for line in helium.cylinders)
    return (*lines, f"{gas}, out of {got}")


def _gusts(wind: Wind) -> str:
    """At which gusts to watch and to act."""
    return (
        f"Reckoned with gusts of {words.mph(wind.gust_m_s)}. Watch it from gusts of"
        f" {words.mph(wind.watch_at_m_s)}, take it down at {words.mph(wind.act_at_m_s)}."
    )


def _blown(wind: Wind, brief: Brief) -> tuple[Blown, ...]:
    """Wind on each piece that stands outdoors."""
    return tuple(
        Blown(
            piece=_title(each.piece, brief),
            faces=f"{words.square_feet(each.area_m2)}, {words.pounds_of_force(each.force_n)} at"
            f" {words.feet(each.acts_at_m)}",
            needs=words.pounds(max(each.against_tipping_kg, each.against_sliding_kg)),
            has=words.pounds(each.ballast_kg) if each.ballast_kg else "none",
            comes_down=words.mph(each.comes_down_at_m_s),
        )
        for each in wind.pieces
    )


def _grows(expansion: Expansion) -> str:
    """How much the way to the site changes a balloon."""
    change = expansion.diameter_ratio - 1
    verb = "grow" if change > 0 else "shrink"
    return f"On the way there balloons {verb} by {abs(change):.1%} across. Set the sizing box to:"


def _sized(line: SizedFor) -> Sized:
    return Sized(
        size=words.balloon_size(line.size_class),
        at_home=words.inches(line.in_workshop_m),
        there=words.inches(line.at_site_m),
    )


def _reasons(estimate: Estimate, brief: Brief) -> Mapping[str, tuple[Reason, ...]]:
    """The reasons by what they are about, in their order."""
    grouped: dict[str, tuple[Reason, ...]] = {}
    for reason in estimate.explanation:
        piece = re.match(r"pieces\[(\d+)\]", reason.figure)
        about = _ABOUT.get(re.split(r"[.\[]", reason.figure)[0], "money")
        title = _title(int(piece[1]), brief) if piece else about
        grouped[title] = (*grouped.get(title, ()), reason)
    return grouped


def _doubts(estimate: Estimate) -> str:
    """How much the brief tells, and what most of the spread comes from."""
    known = f"The brief gives {estimate.completeness:.0%} of what moves the price:"
    said = f"{known} {estimate.known_as}."
    named, reached = [], 0.0
    for driver in estimate.drivers[:_MOST_DRIVERS]:
        named.append(f"{driver.name} ({driver.share:.0%})")
        reached += driver.share
        if reached > 0.5:
            return f"{said} Most of the spread is {words.listed(named)}."
    return f"{said} The largest parts of the spread are {words.listed(named)}." if named else said
