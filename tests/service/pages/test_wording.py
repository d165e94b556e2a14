"""How values are said on pages."""

from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from service.leads import words
from service.pages.templates import blocks, in_customary, miles, rate, spent, trimmed


def test_a_message_falls_into_lines_and_lists() -> None:
    text = "Your ballpark is $265.\nBefore tax.\n\nThat covers:\n• a frame\n• 230 balloons\n\nBye."
    assert blocks(text) == [
        ("lines", ["Your ballpark is $265.", "Before tax."]),
        ("lines", ["That covers:"]),
        ("list", ["a frame", "230 balloons"]),
        ("lines", ["Bye."]),
    ]


@pytest.mark.parametrize(
    ("hours", "said"),
    [(0.0, "0 min"), (0.5, "30 min"), (0.999, "1 h 00 min"), (2.08, "2 h 05 min")],
)
def test_hours_are_said_in_hours_and_minutes(hours: float, said: str) -> None:
    assert spent(hours) == said


@pytest.mark.parametrize(
    ("value", "places", "said"),
    [("0.1250", 4, "0.125"), ("501.320164", 2, "501.32"), ("10.00", 2, "10"), ("0.001", 2, "0")],
)
def test_numbers_lose_only_the_zeros_that_pad_them(value: str, places: int, said: str) -> None:
    assert trimmed(Decimal(value), places) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("4.963 m", "4.963 m (16 ft 3 in)"),
        ("6.4 km", "6.4 km (3.98 miles)"),
        ("39 km/h", "39 km/h (24 mph)"),  # 39 / 1.609344 = 24.2
        ("8.175 m/s", "8.175 m/s (18 mph)"),
        ("3.108 m², 90.9 N", "3.108 m² (33 sq ft), 90.9 N (20 lb of force)"),
        ("0.204 m³", "0.204 m³ (7.2 cu ft)"),
        ("-5 °C", "-5 °C (23 °F)"),
        ("x 0.914 m, y 0.000 m", "x 0.914 m (3 ft), y 0.000 m (0 in)"),
        ("7 duplet, 18 quad", "7 duplet, 18 quad"),
        ("4.928", "4.928"),
    ],
)
def test_what_is_metric_is_explained_in_customary_units_as_well(value: str, said: str) -> None:
    assert in_customary(value) == said


@pytest.mark.parametrize(
    ("metres", "said"),
    [(869.0, "0.54 miles"), (1609.344, "1 mile"), (19_800.0, "12.3 miles"), (2e5, "124 miles")],
)
def test_distances_are_said_as_closely_as_they_matter(metres: float, said: str) -> None:
    assert miles(metres) == said


@pytest.mark.parametrize(
    ("amount", "said"), [("0.1080", "$0.108"), ("26.00", "$26.00"), ("1480.5", "$1,480.50")]
)
def test_rates_carry_their_currency(amount: str, said: str) -> None:
    assert rate(Decimal(amount), "USD") == said


@pytest.mark.parametrize(
    ("hours", "said"), [(48, "2 days"), (24, "1 day"), (36, "36 hours"), (1, "1 hour")]
)
def test_a_time_span_is_said_in_days_where_it_comes_out_even(hours: int, said: str) -> None:
    assert words.lasting(timedelta(hours=hours)) == said


def test_a_moment_is_said_in_its_own_zone() -> None:
    at = datetime(2027, 6, 6, 15, tzinfo=ZoneInfo("America/New_York"))
    assert words.moment(at) == "Sunday, June 6, 2027, 3:00\N{NO-BREAK SPACE}PM"


@pytest.mark.parametrize(
    ("size", "said"), [(5, "small"), (11, "medium"), (18, "large"), (36, "giant")]
)
def test_balloon_sizes_have_words(size: int, said: str) -> None:
    assert words.balloon_size(size) == f"{said} ({size}\u00a0in)"
