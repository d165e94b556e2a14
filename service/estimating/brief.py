"""What the client wants, as frozen values that refuse bad input at birth. Metres."""

import datetime as dt
import math
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from operator import attrgetter

from service.estimating.colouring import Pattern
from service.estimating.errors import BriefError, Faults
from service.estimating.extras import Accent, Floating
from service.estimating.paths import (
    FEWEST_STEPS,
    MEASURES,
    MOST_STEPS,
    Measures,
    Path,
    Placement,
    Run,
    Shape,
    Support,
    kind_of,
    runs,
)
from service.estimating.units import METRES_PER_INCH, SIZE_CLASSES

LONGEST_MEASURE_M = 30.0
"""One person with one car builds up to about 100 ft in one run; more is a talk, not a ballpark."""

LARGEST_SHARE = 1.02
"""Of its nominal diameter: a balloon blown further is pear-shaped. Common practice, no source."""

SHORTEST_MEASURE_M = 0.1
"""Below four inches no balloon fits; such a number is a slip of the unit."""

LONGEST_GARLAND_M = 300.0
"""All pieces of one brief together: weeks of work for one person, and no longer a ballpark."""


class Fullness(StrEnum):
    """How thick the garland is; the price book gives the girth."""

    AIRY = "airy"
    FULL = "full"
    LUSH = "lush"


class Build(StrEnum):
    """Mixed sizes along a line, or nested quads of one sized diameter."""

    ORGANIC = "organic"
    QUADS = "quads"


class Setting(StrEnum):
    """Where it stands."""

    INDOOR = "indoor"
    OUTDOOR = "outdoor"


class Ground(StrEnum):
    """What a foot stands on; friction goes by it."""

    GRASS = "grass"
    PAVING = "paving"
    TIMBER = "timber"
    CARPET = "carpet"


_MEASURED = attrgetter(*MEASURES)


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """One thing to build. Which measures it needs depends on its support.

    Raises BriefError with every fault: a measure missing, out of range or not fitting its support.
    """

    support: Support
    count: int = 1
    fullness: Fullness = Fullness.FULL
    coverage: float | None = None
    placement: Placement = Placement.WHOLE
    pattern: Pattern = Pattern.MIXED
    build: Build | None = None
    size_class: int | None = None
    sized_m: float | None = None
    width_m: float | None = None
    height_m: float | None = None
    length_m: float | None = None
    sag_m: float | None = None
    rise_m: float | None = None
    run_m: float | None = None
    drop_m: float | None = None
    steps: int | None = None
    shape: Shape | None = None
    accents: tuple[Accent, ...] = ()
    measures_assumed: bool = False

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(1 <= self.count <= 50, "count", "give a whole number from 1 to 50")
        share = self.coverage
        faults.check(
            share is None or 0 < share <= 1, "coverage", "give a share above 0 and up to 1"
        )
        faults.check(len(self.accents) <= 20, "accents", "name up to 20 accents for one piece")
        self._check_measures(faults, self.measures)
        self._check_quads(faults)
        faults.raise_as(BriefError)

    @property
    def measures(self) -> Measures:
        """The measures that were given, by name [m]."""
        given = _MEASURED(self)
        return {
            name: value for name, value in zip(MEASURES, given, strict=True) if value is not None
        }

    @property
    def path(self) -> Path:
        """The curve along the support that the garland follows."""
        given = self.measures
        return _path(self.support, self.shape or Shape.CATENARY, (*given,), *given.values())

    @property
    def runs(self) -> tuple[Run, ...]:
        """The stretches of the path that carry garland."""
        return runs(self.path, self.coverage, self.placement)

    @property
    def built_as(self) -> Build:
        """The build asked for; a column is made of quads unless the client says otherwise."""
        usual = Build.QUADS if kind_of(self.support).quads else Build.ORGANIC
        return self.build or usual

    def _check_measures(self, faults: Faults, given: Measures) -> None:
        kind, sound = kind_of(self.support), True
        for name, value in given.items():
            detail = _measure_fault(name, value)
            if detail:
                faults.add(name, detail)
                sound = False
        for name in kind.missing(given):
            faults.add(name, f"a {self.support.words} needs this measure, in metres")
            sound = False
        for name, detail in kind.misfits(given) if sound else ():
            faults.add(name, detail)
        if self.shape is not None and kind.shapes is None:
            faults.add("shape", f"only a freestanding arch has a shape, not a {self.support.words}")

    def _check_quads(self, faults: Faults) -> None:
        if self.size_class is not None and self.size_class not in SIZE_CLASSES:
            allowed = ", ".join(map(str, SIZE_CLASSES))
            faults.add("size_class", f"{self.size_class} is not a size class; use one of {allowed}")
        if self.sized_m is None:
            return
        nominal = (self.size_class or max(SIZE_CLASSES)) * METRES_PER_INCH
        if not 0.05 <= self.sized_m <= nominal * LARGEST_SHARE:
            faults.add("sized_m", f"size between 0.05 m and the nominal {nominal:.3f} m")


# By type too: a whole number makes other digits than the same one with a point.
@lru_cache(maxsize=1024, typed=True)
def _path(support: Support, shape: Shape, names: tuple[str, ...], *values: float) -> Path:
    return kind_of(support).path(dict(zip(names, values, strict=True)), shape)


def _measure_fault(name: str, value: float) -> str | None:
    if name == "steps":
        fits = FEWEST_STEPS <= value <= MOST_STEPS and value == int(value)
        return None if fits else f"give a whole number of steps from {FEWEST_STEPS} to {MOST_STEPS}"
    shortest = 0.001 if name == "sag_m" else SHORTEST_MEASURE_M
    if not math.isfinite(value) or value < shortest:
        return f"give a measure of at least {shortest:g} m"
    if value > LONGEST_MEASURE_M:
        return (
            f"{value:g} m ({value / 0.3048:.0f} ft) is more than one piece can be: up to"
            f" {LONGEST_MEASURE_M:g} m (about 100 ft) is allowed. Split it into several pieces,"
            " or check the unit"
        )
    return None


@dataclass(frozen=True, kw_only=True, slots=True)
class ColourShare:
    """A colour by its plain name; `share` of the balloons, None where the client gave none."""

    colour: str
    share: float | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(bool(self.colour.strip()), "colour", "name a color")
        share_fits = self.share is None or 0 < self.share <= 1
        faults.check(share_fits, "share", "give a share above 0 and up to 1")
        faults.raise_as(BriefError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """The occasion and its times, local to the shop's time zone. Times are the event's."""

    occasion: str | None = None
    date: dt.date | None = None
    start_time: dt.time | None = None
    end_time: dt.time | None = None
    guests: int | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(self.guests is None or self.guests >= 0, "guests", "give a number from 0 up")
        faults.raise_as(BriefError)


_WEATHER = (
    ("elevation_m", -430, 5000, "m above the sea"),
    ("temperature_c", -30, 55, "degrees Celsius"),
    ("gust_m_s", 0, 60, "m/s"),
    ("beaufort", 0, 12, "on the Beaufort scale"),
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Site:
    """Where it goes up; latitude and longitude in degrees, both or neither.

    The venue lets the shop in from `access_from` to `access_until`, local times of day.

    Elevation above the sea [m], air while it is up [degrees C], and the wind to reckon with, as
    a gust [m/s] or a mean wind on the Beaufort scale.
    """

    setting: Setting | None = None
    place: str | None = None
    postal_code: str | None = None
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None
    temperature_c: float | None = None
    gust_m_s: float | None = None
    beaufort: int | None = None
    ground: Ground | None = None
    access_from: dt.time | None = None
    access_until: dt.time | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        for field_name, least, most, unit in _WEATHER:
            value = getattr(self, field_name)
            fits = value is None or least <= value <= most
            faults.check(fits, field_name, f"give a number from {least} to {most} {unit}")
        paired = (self.latitude is None) == (self.longitude is None)
        faults.check(paired, "latitude", "give latitude and longitude together, or neither")
        for name, most in (("latitude", 90), ("longitude", 180)):
            degrees = getattr(self, name)
            fits = degrees is None or abs(degrees) <= most
            faults.check(fits, name, f"give degrees from -{most} to {most}")
        for name in ("access_from", "access_until"):
            at = getattr(self, name)
            faults.check(at is None or at.tzinfo is None, name, "give a local time of day")
        if self.access_from is not None and self.access_until is not None:
            later = self.access_from.replace(tzinfo=None) < self.access_until.replace(tzinfo=None)
            faults.check(later, "access_until", "give a time that is later than the first")
        faults.raise_as(BriefError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Budget:
    """What the client would like to spend, in the shop's currency."""

    min: Decimal | None = None
    max: Decimal | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        for name in ("min", "max"):
            amount = getattr(self, name)
            faults.check(amount is None or amount >= 0, name, "give an amount from 0 up")
        if self.min is not None and self.max is not None and self.min > self.max:
            faults.add("min", "the lower figure is above the upper one; swap them")
        faults.raise_as(BriefError)


@dataclass(frozen=True, kw_only=True, slots=True)
class Brief:
    """Everything the client said. Unknown stays None or empty; nothing is guessed here.

    `client_keeps` says that the balloons stay with the client and are not struck.
    """

    pieces: tuple[Piece, ...]
    palette: tuple[ColourShare, ...] = ()
    event: Event = field(default_factory=Event)
    site: Site = field(default_factory=Site)
    budget: Budget | None = None
    foils: tuple[str, ...] = ()
    floating: tuple[Floating, ...] = ()
    client_keeps: bool | None = None
    notes: str | None = None

    def __post_init__(self) -> None:
        faults = Faults()
        faults.check(len(self.floating) <= 20, "floating", "name up to 20 kinds of helium balloon")
        faults.check(1 <= len(self.pieces) <= 20, "pieces", "give from 1 to 20 pieces")
        faults.check(len(self.palette) <= 12, "palette", "name up to 12 colors")
        said = sum(c.share for c in self.palette if c.share is not None)
        faults.check(said <= 1.0001, "palette", f"the shares add up to {said:.0%}; keep to 100%")
        unsaid = [c.colour for c in self.palette if c.share is None]
        if unsaid and said > 0.9999:
            detail = f"the shares leave nothing for {', '.join(unsaid)}; lower them"
            faults.add("palette", detail)
        total = sum(run.length_m * p.count for p in self.pieces for run in p.runs)
        if total > LONGEST_GARLAND_M:
            faults.add(
                "pieces",
                f"all pieces together come to {total:.0f} m of garland; up to"
                f" {LONGEST_GARLAND_M:.0f} m can be estimated at once. Ask for less, or split it",
            )
        faults.raise_as(BriefError)
