import datetime as dt
from dataclasses import replace
from decimal import Decimal

import pytest

from service.estimating import (
    Brief,
    ColourShare,
    Event,
    Piece,
    PriceBook,
    Setting,
    Site,
    Support,
    Task,
)
from service.estimating.book import Spread
from service.estimating.calibration import UNCALIBRATED
from service.estimating.costing import Costs, Ledger
from service.estimating.risk import Known, Risk, risk_of
from service.estimating.uncertainty import Z90

WALL = Piece(support=Support.WALL, length_m=3)
FULL = Brief(
    pieces=(WALL,),
    palette=(ColourShare(colour="white"),),
    event=Event(date=dt.date(2027, 6, 8), start_time=dt.time(15)),
    site=Site(setting=Setting.INDOOR, latitude=42.36, longitude=-71.1),
)
BARE = Brief(pieces=(replace(WALL, measures_assumed=True),))

SPREAD = Spread(
    packing=0.10,
    breakage=0.02,
    hours=0.20,
    stairs=0.15,
    prices=0.04,
    travel=0.12,
    measures_assumed=0.25,
    palette_assumed=0.05,
    setting_unknown=0.07,
    date_unknown=0.06,
    distance_unknown=0.45,
)


@pytest.fixture(name="plain")
def _plain(book: PriceBook) -> PriceBook:
    return replace(book, spread=SPREAD, labour=replace(book.labour, wage=Decimal(20)))


def risk(
    brief: Brief,
    book: PriceBook,
    *,
    balloons: int = 0,
    flowers: int = 0,
    driving: int = 0,
    **hours: float,
) -> Risk:
    """Dollars of balloons, flowers and driving, and hours by task."""
    ledger = Ledger(())
    spent = {task.value: hours.get(task.value, 0.0) for task in Task}
    costs = Costs(
        materials=(
            ledger.line("balloons", "balloons", balloons, "balloon", Decimal(1)),
            ledger.line("accents", "flowers", flowers, "stem", Decimal(1)),
        ),
        support=(),
        labour=tuple(ledger.labour(spent, book.labour.wage)),
        driving=(ledger.line("vehicle", "car", driving, "km", Decimal(1)),),
    )
    return risk_of(brief, costs, spent, Known.of(brief), book, UNCALIBRATED)


def test_every_cost_is_in_one_group(plain: PriceBook) -> None:
    found = risk(FULL, plain, balloons=80, flowers=50, driving=30, tying=2.0, drive=1.5)
    # Hours at $20.
    assert {name: amount for name, amount in found.amounts.items() if amount} == {
        "balloons": 80,
        "materials": 50,
        "driving": 30,
        "tying": 40,
        "drive": 30,
    }
    assert set(found.weights) >= set(found.amounts)


def test_the_number_of_balloons_moves_what_is_made_of_balloons(plain: PriceBook) -> None:
    moved = risk(
        FULL, plain, balloons=80, flowers=50, driving=30, tying=2.0, install=1.0, drive=1.0
    )
    packed = {group for group, row in moved.weights.items() if "how tightly it packs" in row}
    # Flowers, the drive and hanging it do not grow with a garland that packs tighter.
    assert packed == {"balloons", "tying"}


def test_one_group_alone_spreads_as_its_own_figures_say(plain: PriceBook) -> None:
    # Balloons by packing 0.10, breakage 0.02 and prices 0.04 at once: 0.1095 in the logarithm.
    scatter = (0.10**2 + 0.02**2 + 0.04**2) ** 0.5
    outcome = risk(FULL, plain, balloons=100).outcome
    assert outcome.likely == pytest.approx(1, rel=1e-6)
    assert outcome.high == pytest.approx(2.718281828 ** (Z90 * scatter), rel=1e-6)
    assert outcome.low == pytest.approx(2.718281828 ** (-Z90 * scatter), rel=1e-6)


def test_on_stairs_putting_up_scatters_more_and_says_so(plain: PriceBook) -> None:
    stairs = Piece(support=Support.STAIRCASE, rise_m=2.5, run_m=3)
    climbing = replace(FULL, pieces=(stairs,))
    level = risk(FULL, plain, install=2.0, tying=2.0)
    steep = risk(climbing, plain, install=2.0, tying=2.0)
    assert steep.weights["tying"] == level.weights["tying"]
    own = level.weights["install"]["install time"]
    assert steep.weights["install"]["install time on stairs"] == pytest.approx(
        (own**2 + 0.15**2) ** 0.5
    )
    assert steep.outcome.high > level.outcome.high
    assert "install time on stairs" in steep.outcome.drivers


def test_everything_that_is_not_known_is_a_doubt_of_the_whole_price(plain: PriceBook) -> None:
    known = Known.of(BARE)
    assert known.doubts(SPREAD) == {
        "size not measured": 0.25,
        "colors not chosen": 0.05,
        "indoors or outdoors": 0.07,
        "date not set": 0.06,
    }
    assert Known.of(FULL).doubts(SPREAD) == {}
    found = risk(BARE, plain, balloons=80, flowers=50, driving=30, tying=2.0, drive=1.0)
    assert all(known.doubts(SPREAD).items() <= row.items() for row in found.weights.values())


def test_an_unknown_place_is_a_doubt_of_the_drive_alone(plain: PriceBook) -> None:
    far = replace(FULL, site=Site(setting=Setting.INDOOR))
    found = risk(far, plain, balloons=80, driving=30, tying=2.0, drive=1.0)
    doubtful = {group for group, row in found.weights.items() if row.get("distance not known")}
    assert doubtful == {"driving", "drive"}


def test_completeness_counts_measures_twice() -> None:
    assert Known.of(FULL).completeness == 1
    assert Known.of(BARE).completeness == 0
    # Palette, setting, date, time and place of seven.
    assert Known.of(replace(FULL, pieces=BARE.pieces)).completeness == pytest.approx(5 / 7)
    assert Known.of(Brief(pieces=(WALL,))).completeness == pytest.approx(2 / 7)


@pytest.mark.parametrize(
    "less",
    [
        replace(FULL, palette=()),
        replace(FULL, event=Event()),
        replace(FULL, site=Site()),
        replace(FULL, pieces=BARE.pieces),
    ],
    ids=["palette", "event", "site", "measures"],
)
def test_a_brief_that_says_less_has_a_wider_range(plain: PriceBook, less: Brief) -> None:
    given = {"balloons": 80, "flowers": 20, "driving": 30, "tying": 2.0, "install": 2.0}
    wide = risk(less, plain, **given).outcome  # type: ignore[arg-type]  # facts by name
    narrow = risk(FULL, plain, **given).outcome  # type: ignore[arg-type]
    assert wide.low < narrow.low
    assert wide.high > narrow.high
    assert Known.of(less).completeness < 1
