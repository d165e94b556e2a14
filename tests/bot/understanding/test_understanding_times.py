"""The event's hours, never the set-up's."""

from datetime import date

import pytest

from bot.understanding import read

REFERENCE = date(2027, 1, 10)


def hours_of(text: str) -> tuple[str | None, str | None]:
    slots = read(text, reference_date=REFERENCE)
    start, end = (
        said.strftime("%H:%M") if said else None for said in (slots.start_time, slots.end_time)
    )
    return start, end


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("3pm", "15:00", None),
        ("at 7 p.m.", "19:00", None),
        ("3:30-6:30pm", "15:30", "18:30"),
        ("11-2pm", "11:00", "14:00"),
        ("8pm to 1am", "20:00", "01:00"),
        ("8pm-midnight", "20:00", "00:00"),
        ("noon to four", "12:00", "16:00"),
        ("from 6:30 until 10", "18:30", "22:00"),
        ("party from 2 to 5", "14:00", "17:00"),
        ("june 6 12-4", "12:00", "16:00"),
        ("15:00-18:00", "15:00", "18:00"),
        ("at half past three", "15:30", None),
        ("5pm start, finish 9", "17:00", "21:00"),
        ("a las 3 de la tarde", "15:00", None),
        ("de 7 a 11 pm", "19:00", "23:00"),
        ("a las 19:30", "19:30", None),
        ("a mediodía", "12:00", None),
    ],
)
def test_hours_are_read_as_people_say_them(text: str, start: str, end: str | None) -> None:
    assert hours_of(text) == (start, end)


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("setup at 1pm, ceremony starts at 4pm", "16:00", None),
        ("we need it ready by 2pm, party starts at 3pm", "15:00", None),
        ("setup can start at 8am and the event is from 11am to 3pm", "11:00", "15:00"),
        ("doors open 5:30pm, program at 6pm, done by 9pm", "18:00", "21:00"),
        ("mass at 11am, party at 1pm", "13:00", None),
    ],
)
def test_hours_of_the_setup_are_set_aside(text: str, start: str, end: str | None) -> None:
    assert hours_of(text) == (start, end)


def test_an_hour_without_am_or_pm_is_to_be_confirmed() -> None:
    slots = read("starts at 3", reference_date=REFERENCE)
    assert slots.start_time is not None
    assert slots.ambiguous == ("start_time",)
    assert read("starts at 3pm", reference_date=REFERENCE).ambiguous == ()


def test_eight_or_nine_alone_stay_open() -> None:
    slots = read("starts at 9", reference_date=REFERENCE)
    assert slots.start_time is None
    assert slots.ambiguous == ("start_time",)


@pytest.mark.parametrize("text", ["at 7 ft", "midnight blue", "6 people", "13 steps", "3-6 ft"])
def test_other_figures_are_no_hours(text: str) -> None:
    assert hours_of(text) == (None, None)


@pytest.mark.parametrize(
    ("text", "start", "end"),
    [
        ("half six in the evening", "18:30", None),
        ("six thirty pm", "18:30", None),
        ("430pm", "16:30", None),
        ("doors at 8am", "08:00", None),
        ("doors 6:30, ceremony at 7pm", "19:00", None),
        ("students arrive at 7:45am", "07:45", None),
        ("from 11:30 to 2:00 at the hall", "11:30", "14:00"),
        ("6pm for 3 hours", "18:00", "21:00"),
        ("it runs from 9 p.m. and concludes at 1 a.m.", "21:00", "01:00"),
        ("party 4 my bday, 1-5pm", "13:00", "17:00"),
        ("saturday night at 8", "20:00", None),
        ("at once", None, None),
        ("a las 4 menos cuarto", "15:45", None),
        ("de 3 a 7 pm", "15:00", "19:00"),
        ("a medio dia", "12:00", None),
        ("llegaron 2 horas tarde", None, None),
        ("opening at 4 thirty", "16:30", None),
        ("a las 6 30 no a las 5", "18:30", None),
        ("starts at 6, 30 guests", "18:00", None),
        ("un aro de 1.50 por favor", None, None),
        ("june 6, turning 13, 4-7, 15 kids", "16:00", "19:00"),
        ("june 6 2 till dark", "14:00", None),
        ("saturday 9 to midnite", "21:00", "00:00"),
        ("mass is 11:15 and the lunch is 1-4", "13:00", "16:00"),
        ("misa a la 1, recepcion de 5 a 11", "17:00", "23:00"),
        ("wedding ceremony at 4, dinner at 6", "16:00", None),
        ("services at 5 and 7", "17:00", None),
        ("june 6, 1230 to 4", "12:30", "16:00"),
        ("june 6 @ 1. 35 women", "13:00", None),
        ("june 6, columns 2 @ 7", None, None),
        ("are u free btw 2 and 6?", "14:00", "18:00"),
        ("grand opening of the shop, opens 5 pm", "17:00", None),
    ],
)
def test_hours_in_the_words_people_use(text: str, start: str | None, end: str | None) -> None:
    slots = read(text, reference_date=date(2027, 1, 10), locale="en-US")
    told = [at.strftime("%H:%M") if at else None for at in (slots.start_time, slots.end_time)]
    assert told == [start, end]
