"""Hands, car and roads in the price book. Seconds, metres, cubic metres, Decimal money."""

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from service.estimating.book.balloons import Cluster


class Task(StrEnum):
    """What hours are spent on."""

    SIZING_AND_INFLATING = "sizing_and_inflating"
    TYING = "tying"
    CLUSTERING = "clustering"
    LINE_BUILD = "line_build"
    FOILS = "foils"
    ACCENTS = "accents"
    HELIUM = "helium"
    LOAD = "load"
    DRIVE = "drive"
    INSTALL = "install"
    FINISH = "finish"
    STRIKE = "strike"


@dataclass(frozen=True, kw_only=True, slots=True)
class Labour:
    """Rates of work of one person; wage an hour.

    A balloon takes `sizing_s` at the pump, or `hand_sizing_s` where it is pumped by hand, besides
    its volume at the pump's flow [m3/s]. `pair_speedup` is how much faster two are than one. A
    metre of line takes `line_seconds_per_m` in a mixed garland, less where all of it is quads.
    """

    wage: Decimal
    crew: int
    pair_speedup: float
    sizing_s: float
    hand_sizing_s: float
    pump_m3_s: float
    hand_pump_m3_s: float
    tying_s: float
    seconds_per_cluster: Mapping[Cluster, float]
    line_seconds_per_m: float
    quads_line_seconds_per_m: float
    load_seconds: float
    install_seconds_per_piece: float
    install_seconds_per_m: float
    ladder_factor: float
    ladder_above_m: float
    finish_seconds_per_piece: float
    strike_seconds_per_piece: float
    strike_seconds_per_m: float
    ready_before: dt.timedelta
    slack: dt.timedelta


@dataclass(frozen=True, kw_only=True, slots=True)
class Car:
    """What travels: usable space [m3], space of one bag of balloons [m3], share of it filled."""

    usable_m3: float
    bag_m3: float
    packing_fraction: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Zone:
    """A flat fee up to a road distance [m] one way."""

    up_to_m: float
    fee: Decimal


@dataclass(frozen=True, kw_only=True, slots=True)
class TravelRates:
    """Roads and what driving costs. `zones` empty: every kilometre is charged instead.

    The first `town_m` [m] of a way go at `speed_m_s`, what is beyond at `far_speed_m_s`.
    """

    road_factor: float
    speed_m_s: float
    price_per_km: Decimal
    zones: tuple[Zone, ...]
    area_m: float
    unknown_distance_m: float
    town_m: float = math.inf
    far_speed_m_s: float = math.inf

    def driving_s(self, road_m: float) -> float:
        """How long a way takes by road [s]."""
        near_m = min(road_m, self.town_m)
        return near_m / self.speed_m_s + (road_m - near_m) / self.far_speed_m_s
