"""Short answers, read in the light of the question."""

from datetime import date, time
from decimal import Decimal

import pytest

from bot.understanding import ANSWERS, Slots, Structure, read_answer

REFERENCE = date(2027, 1, 10)
FOOT = 0.3048
KNOWN = Slots(event_date=date(2027, 6, 6), structures=(Structure(kind="arch_frame"),))


def answered(slot: str, text: str, known: Slots | None = KNOWN) -> Slots:
    return read_answer(slot, text, reference_date=REFERENCE, known=known)


@pytest.mark.parametrize(
    "text", ["4 by 7", "4x7", "4 and 7", "4, 7", "4 wide 7 tall", "7 tall by 4 wide"]
)
def test_two_bare_figures_are_width_by_height_in_feet(text: str) -> None:
    (piece,) = answered("size", text).structures
    assert piece.kind == "arch_frame"
    assert piece.width_m == pytest.approx(4 * FOOT)
    assert piece.height_m == pytest.approx(7 * FOOT)


def test_a_lone_figure_is_in_feet_and_no_hour() -> None:
    slots = answered("size", "about 6")
    assert slots.structures[0].width_m == pytest.approx(6 * FOOT)
    assert slots.start_time is None


def test_a_size_that_is_not_settled_stays_open() -> None:
    slots = answered("size", "6-7 ft")
    assert not slots.structures[0].measured
    assert "structures" in slots.ambiguous


@pytest.mark.parametrize("text", ["13", "the 13th", "13th", "el 13", "june 13", "6/13"])
def test_a_bare_day_is_in_the_month_that_is_known(text: str) -> None:
    assert answered("date", text).event_date == date(2027, 6, 13)


def test_a_short_weekday_answers_a_question_about_the_day() -> None:
    assert answered("date", "sat").event_date == date(2027, 1, 16)


def test_a_bare_hour_is_an_hour() -> None:
    assert answered("time", "3").start_time == time(15)
    assert answered("time", "3-6").end_time == time(18)
    assert answered("time", "las 5").start_time == time(17)


def test_a_bare_amount_is_the_most_to_spend() -> None:
    assert answered("budget", "300").budget_max == Decimal(300)
    assert answered("budget", "200-300").budget_min == Decimal(200)


def test_colours_that_are_also_other_things_count_when_colours_were_asked() -> None:
    assert answered("colours", "rose and wine").colours == ("rose", "wine")


@pytest.mark.parametrize(
    ("text", "place", "code"),
    [
        ("cambridge 02139", "cambridge", "02139"),
        ("02139", None, "02139"),
        ("the rowing club", "rowing club", None),
        ("in somerville", "somerville", None),
        ("idk yet", None, None),
    ],
)
def test_any_words_are_a_place_when_the_place_was_asked(
    text: str, place: str | None, code: str | None
) -> None:
    slots = answered("place", text)
    assert (slots.place, slots.postal_code) == (place, code)


@pytest.mark.parametrize(
    ("text", "setting"),
    [
        ("yes indoors", "indoor"),
        ("in", "indoor"),
        ("out", "outdoor"),
        ("afuera", "outdoor"),
        ("in or out idk", None),
    ],
)
def test_in_and_out_answer_a_question_about_the_setting(text: str, setting: str | None) -> None:
    assert answered("setting", text).setting == setting


def test_a_shape_answers_a_question_about_the_support() -> None:
    assert answered("support", "the round one", None).structures[0].kind == "hoop"
    assert answered("support", "a square one", None).structures[0].kind == "arch_frame"


@pytest.mark.parametrize("slot", ANSWERS)
def test_not_sure_answers_nothing(slot: str) -> None:
    slots = answered(slot, "not sure")
    assert slots == Slots(lang="en", intent=slots.intent)


def test_an_unknown_question_is_refused() -> None:
    with pytest.raises(ValueError, match="shoe size"):
        answered("shoe size", "9")


@pytest.mark.parametrize("text", ["june", "maybe in june", "sometime in june"])
def test_a_month_alone_is_a_month_and_no_day(text: str) -> None:
    slots = answered("date", text, None)
    assert (slots.event_date, slots.event_month) == (None, date(2027, 6, 1))


def test_a_day_is_in_the_month_that_was_said_alone() -> None:
    known = Slots(event_month=date(2027, 6, 1))
    assert answered("date", "6", known).event_date == date(2027, 6, 6)


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("budget -$50", None),
        ("about $300", None),
        ("gracias", None),
        ("Thanks!", None),
        ("june 6", None),
        ("we are 40 guests", None),
        ("maybe", None),
        ("a birthday", None),
        ("en interior en 02139", None),
        ("Springfield, june 6", "Springfield"),
        ("in Quincy, thanks", "Quincy"),
        ("the rowing club at 3pm", "rowing club"),
        ("it's outdoors at our club", "club"),
        ("12 Main Street, Quincy", "12 Main Street, Quincy"),
        ("St. Mary's Hall, Cambridge", "St. Mary's Hall, Cambridge"),
        ("is that price final?", None),
        ("¿ese precio es final?", None),
        ("what's the total", None),
        ("¿cuánto es el total?", None),
        ("¿puedo pagar en dos partes?", None),
        ("can it be at the library", "library"),
        ("¿puede ser en la biblioteca de Lynn?", "biblioteca de Lynn"),
        ("the old mill. is that far?", "old mill"),
    ],
)
def test_what_means_something_else_is_no_place(text: str, place: str | None) -> None:
    assert answered("place", text).place == place


@pytest.mark.parametrize(
    ("text", "count"), [("two", 2), ("4 columns", 4), ("a pair", 2), ("just one please", 1)]
)
def test_how_many_is_read_as_a_count(text: str, count: int) -> None:
    assert answered("count", text).structures[0].count == count


def test_a_length_is_no_count() -> None:
    assert answered("count", "6 ft", None).structures[0].count == 1


def test_a_width_of_something_unnamed_stays_a_width() -> None:
    (piece,) = answered("size", "10 ft wide", None).structures
    assert (piece.length_m, piece.height_m) == (None, None)
    assert piece.width_m == pytest.approx(10 * FOOT)
