"""How values are said on pages."""

from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from service.leads import words
from service.pages.templates import blocks, in_feet, miles, named, rate, spent, trimmed


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


def test_figures_have_names_for_people() -> None:
    assert named("pieces[1].path_length_m") == "piece 2, path length"
    assert named("hours") == "hours"


@pytest.mark.parametrize(
    ("value", "figure", "said"),
    [
        ("4.963", "pieces[0].path_length_m", "4.963 m (16 ft 3 in)"),
        ("1.2192", "width_m", "1.2192 m (4 ft)"),
        ("0.241 m", "d", "0.241 m (9 in)"),
        ("6.4 km", "road one way", "6.4 km (3.98 miles)"),
        ("39 km/h", "speed", "39 km/h"),
        ("7 duplet, 18 quad", "pieces[0].clusters", "7 duplet, 18 quad"),
        ("4.928", "base per m", "4.928"),
    ],
)
def test_lengths_are_explained_in_feet_as_well(value: str, figure: str, said: str) -> None:
    assert in_feet(value, figure) == said


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
    assert words.moment(at) == "Sunday, June 6, 2027, 3:00 PM"


@pytest.mark.parametrize(
    ("size", "said"), [(5, "small"), (11, "medium"), (18, "large"), (36, "giant")]
)
def test_balloon_sizes_have_words(size: int, said: str) -> None:
    assert words.balloon_size(size) == f"{said} ({size}\u00a0in)"
