"""Entries about hands, car and roads."""

from typing import Annotated

from pydantic import Field

from service.estimating import book as core
from service.storage.price_book.fields import (
    CUBIC_FOOT,
    FOOT,
    LITRE_PER_MINUTE,
    MILE,
    MILE_PER_HOUR,
    ClusterName,
    Entry,
    Money,
    NotNegative,
    Positive,
    Rate,
    each_of,
    minutes,
    per_metre,
)


class LabourEntry(Entry):
    """Rates of work of one person."""

    wage: Money
    crew: int = Field(ge=1, le=50)
    pair_speedup: float = Field(ge=1, le=2)
    sizing_seconds: Positive
    hand_sizing_seconds: Positive
    pump_litres_per_minute: Positive
    hand_pump_litres_per_minute: Positive
    tied_per_hour: Positive
    seconds_per_cluster: Annotated[dict[ClusterName, NotNegative], each_of(core.Cluster)]
    line_minutes_per_ft: NotNegative
    quads_line_minutes_per_ft: NotNegative
    load_minutes: NotNegative
    install_minutes_per_piece: NotNegative
    install_minutes_per_ft: NotNegative
    ladder_factor: float = Field(ge=1, le=10)
    ladder_above_ft: Positive
    finish_minutes_per_piece: NotNegative
    strike_minutes_per_piece: NotNegative
    strike_minutes_per_ft: NotNegative
    ready_before_minutes: NotNegative
    slack_minutes: NotNegative

    def value(self) -> core.Labour:
        """As the core has it."""
        per_m = 60 / FOOT
        return core.Labour(
            wage=self.wage,
            crew=self.crew,
            pair_speedup=self.pair_speedup,
            sizing_s=self.sizing_seconds,
            hand_sizing_s=self.hand_sizing_seconds,
            pump_m3_s=self.pump_litres_per_minute * LITRE_PER_MINUTE,
            hand_pump_m3_s=self.hand_pump_litres_per_minute * LITRE_PER_MINUTE,
            tying_s=3600 / self.tied_per_hour,
            seconds_per_cluster=self.seconds_per_cluster,
            line_seconds_per_m=self.line_minutes_per_ft * per_m,
            quads_line_seconds_per_m=self.quads_line_minutes_per_ft * per_m,
            load_seconds=self.load_minutes * 60,
            install_seconds_per_piece=self.install_minutes_per_piece * 60,
            install_seconds_per_m=self.install_minutes_per_ft * per_m,
            ladder_factor=self.ladder_factor,
            ladder_above_m=self.ladder_above_ft * FOOT,
            finish_seconds_per_piece=self.finish_minutes_per_piece * 60,
            strike_seconds_per_piece=self.strike_minutes_per_piece * 60,
            strike_seconds_per_m=self.strike_minutes_per_ft * per_m,
            ready_before=minutes(self.ready_before_minutes),
            slack=minutes(self.slack_minutes),
        )


class CarEntry(Entry):
    """What travels."""

    usable_ft3: Positive
    bag_ft3: Positive
    packing_fraction: float = Field(gt=0, le=0.8)

    def value(self) -> core.Car:
        """As the core has it."""
        return core.Car(
            usable_m3=self.usable_ft3 * CUBIC_FOOT,
            bag_m3=self.bag_ft3 * CUBIC_FOOT,
            packing_fraction=self.packing_fraction,
        )


class ZoneEntry(Entry):
    """A flat fee up to a distance."""

    up_to_miles: Positive
    fee: Money

    def value(self) -> core.Zone:
        """As the core has it."""
        return core.Zone(up_to_m=self.up_to_miles * MILE, fee=self.fee)


class TravelEntry(Entry):
    """Roads and what driving costs."""

    road_factor: float = Field(ge=1, le=3)
    speed_mph: Positive
    price_per_mile: Rate
    zones: list[ZoneEntry]
    area_miles: Positive
    unknown_miles: Positive
    town_miles: Positive = 1000.0
    far_speed_mph: Positive = 50.0

    def value(self) -> core.TravelRates:
        """As the core has it, the zones from near to far."""
        zones = sorted((zone.value() for zone in self.zones), key=lambda zone: zone.up_to_m)
        return core.TravelRates(
            road_factor=self.road_factor,
            speed_m_s=self.speed_mph * MILE_PER_HOUR,
            price_per_km=per_metre(self.price_per_mile, MILE / 1000),
            zones=tuple(zones),
            area_m=self.area_miles * MILE,
            unknown_distance_m=self.unknown_miles * MILE,
            town_m=self.town_miles * MILE,
            far_speed_m_s=self.far_speed_mph * MILE_PER_HOUR,
        )
