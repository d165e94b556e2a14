"""How values are said on pages."""

from datetime import datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from service.leads import words
from service.pages.templates import blocks, named, spent, trimmed


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
    assert named("pieces[1].path_length_m") == "piece 2, path length in m"
    assert named("hours") == "hours"


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
