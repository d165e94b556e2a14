from datetime import date, timedelta
from itertools import groupby, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.dialogue import values
from bot.dialogue.messages import Button
from bot.dialogue.pickers import calendar, hours, stepper
from bot.dialogue.supports import SUPPORTS
from bot.wording import load

BOOK = load(None)
ENGLISH, SPANISH = BOOK.in_language("en"), BOOK.in_language("es")
TODAY = date(2026, 11, 25)


def rows(buttons: tuple[Button, ...]) -> list[list[Button]]:
    return [list(row) for _, row in groupby(buttons, key=lambda button: button.row)]


def labels(buttons: tuple[Button, ...]) -> list[list[str]]:
    return [[button.label for button in row] for row in rows(buttons)]


def pressable(buttons: tuple[Button, ...]) -> dict[str, str]:
    return {b.label: b.value for b in buttons if b.value and b.value != values.STILL}


def fits_a_telephone(buttons: tuple[Button, ...]) -> bool:
    laid_out = [button.row for button in buttons]
    return (
        len(buttons) <= 80
        and max(map(len, rows(buttons))) <= 7
        and laid_out == sorted(laid_out, key=lambda row: -1 if row is None else row)
        and all(0 < len(button.label.strip()) <= 64 for button in buttons)
    )


def test_a_month_is_laid_out_by_its_weeks() -> None:
    assert labels(calendar(1, date(2027, 6, 1), today=TODAY, phrases=ENGLISH)) == [
        ["‹ May", "June 2027", "Jul ›"],
        ["Su", "Mo", "Tu", "We", "Th", "Fr", "Sa"],
        ["·", "·", "1", "2", "3", "4", "5"],
        ["6", "7", "8", "9", "10", "11", "12"],
        ["13", "14", "15", "16", "17", "18", "19"],
        ["20", "21", "22", "23", "24", "25", "26"],
        ["27", "28", "29", "30", "·", "·", "·"],
    ]


def test_in_spanish_it_is_spanish() -> None:
    heads = labels(calendar(1, date(2027, 6, 1), today=TODAY, phrases=SPANISH))[:2]
    assert heads == [
        ["‹ May", "Junio de 2027", "Jul ›"],
        ["Do", "Lu", "Ma", "Mi", "Ju", "Vi", "Sa"],
    ]


def test_a_day_answers_and_a_month_is_turned_to() -> None:
    pressed = pressable(calendar(3, date(2027, 6, 1), today=TODAY, phrases=ENGLISH))
    assert pressed["6"] == "answer:3:date:2027-06-06"
    assert pressed["‹ May"] == "page:3:date:2027-05"
    assert pressed["Jul ›"] == "page:3:date:2027-07"


def test_days_before_today_are_gone_and_nothing_leads_back_to_them() -> None:
    shown = calendar(1, TODAY, today=TODAY, phrases=ENGLISH)
    assert labels(shown) == [
        ["·", "November 2026", "Dec ›"],
        ["Su", "Mo", "Tu", "We", "Th", "Fr", "Sa"],
        ["·", "·", "·", "25", "26", "27", "28"],
        ["29", "30", "·", "·", "·", "·", "·"],
    ]
    assert "25" in pressable(shown)


def test_two_years_ahead_it_ends() -> None:
    last = calendar(1, date(2028, 11, 1), today=TODAY, phrases=ENGLISH)
    assert labels(last)[0] == ["‹ Oct", "November 2028", "·"]


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        (date(2020, 1, 1), "November 2026"),
        (date(9999, 12, 31), "November 2028"),
        (date(2027, 1, 31), "January 2027"),
    ],
)
def test_any_month_that_is_asked_for_shows_one_that_can_be_had(asked: date, shown: str) -> None:
    assert labels(calendar(1, asked, today=TODAY, phrases=ENGLISH))[0][1] == shown


@given(st.dates(date(2020, 1, 1), date(2090, 1, 1)), st.integers(0, 24))
def test_every_day_from_today_to_the_end_of_the_month_can_be_pressed_once(
    today: date, ahead: int
) -> None:
    month = (today.replace(day=1) + timedelta(days=31 * ahead)).replace(day=1)
    shown = calendar(999_999, month, today=today, phrases=ENGLISH)
    answers = [b.value for b in shown if b.value and b.value.startswith("answer")]
    days = [date.fromisoformat(value.rsplit(":", 1)[1]) for value in answers]
    assert fits_a_telephone(shown)
    assert days[0] == max(today, days[0].replace(day=1))
    assert all(after - before == timedelta(days=1) for before, after in pairwise(days))
    assert (days[-1] + timedelta(days=1)).day == 1


def test_a_size_is_stepped_by_feet_and_inches_and_taken() -> None:
    shown = stepper(2, 1, "round_top_frame", (48, 84), phrases=ENGLISH)
    steps = ["− 1 ft", "− 1 in", "+ 1 in", "+ 1 ft"]
    assert labels(shown) == [
        ["4 ft wide"],
        steps,
        ["7 ft tall"],
        steps,
        ["Take 4 ft wide × 7 ft tall"],
    ]
    assert [button.value for button in rows(shown)[3]] == [
        "page:2:size:1:48x72",
        "page:2:size:1:48x83",
        "page:2:size:1:48x85",
        "page:2:size:1:48x96",
    ]
    assert shown[-1].value == "answer:2:size:1:round_top_frame:48x84"


def test_a_hoop_goes_by_what_it_is_across() -> None:
    assert labels(stepper(1, 0, "hoop", (66,), phrases=ENGLISH))[0] == ["5 ft 6 in across"]


def test_a_step_stops_at_the_bound_and_there_it_is_still() -> None:
    near = stepper(1, 0, "column", (40,), phrases=ENGLISH)
    assert rows(near)[1][0].value == "page:1:size:0:36"
    there = stepper(1, 0, "column", (36,), phrases=ENGLISH)
    assert [b.value == values.STILL for b in rows(there)[1]] == [True, True, False, False]


def test_a_size_beyond_the_bounds_is_shown_as_it_is_and_only_leads_back() -> None:
    shown = stepper(1, 0, "column", (300,), phrases=ENGLISH)
    assert labels(shown)[0] == ["25 ft tall"]
    assert [b.value for b in rows(shown)[1]] == [
        "page:1:size:0:288",
        "page:1:size:0:299",
        values.STILL,
        values.STILL,
    ]


@pytest.mark.parametrize("support", SUPPORTS)
def test_every_usual_size_of_a_support_can_be_stepped_both_ways(support: str) -> None:
    for size in SUPPORTS[support].usual_in:
        for phrases in (ENGLISH, SPANISH):
            shown = stepper(999_999, 99, support, size, phrases=phrases)
            assert fits_a_telephone(shown)
            assert sum(b.value == values.STILL for b in shown) == len(size)
            assert all(b.value and len(b.value.encode()) <= 64 for b in shown)


def test_what_a_step_leads_to_can_be_read() -> None:
    for button in stepper(1, 0, "wall", (96,), phrases=ENGLISH):
        pressed = values.read_value(button.value or "")
        assert pressed
        if pressed.verb == "page":
            assert values.read_size(pressed.rest[2]) in {(84,), (95,), (97,), (108,)}


def test_hours_go_from_morning_to_evening() -> None:
    shown = hours(4, phrases=ENGLISH)
    assert fits_a_telephone(shown)
    assert labels(shown)[0] == ["9:00 AM", "10:00 AM", "11:00 AM"]
    assert labels(shown)[1][0] == "noon"
    assert pressable(shown)["3:00 PM"] == "answer:4:time:1500"
