"""Days of events: the grammar, and the named days against a library of holidays."""

from datetime import date

import holidays as holidays_of_the_world
import pytest

from bot.understanding import Slots, read
from bot.understanding.holidays import named_in, next_named, nth_weekday

SUNDAY = date(2027, 1, 10)
WEDNESDAY = date(2027, 3, 10)


def day_of(text: str, reference: date = SUNDAY, locale: str | None = "en-US") -> date | None:
    return read(text, reference_date=reference, locale=locale).event_date


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("june 6", date(2027, 6, 6)),
        ("June 6th, 2028", date(2028, 6, 6)),
        ("the 6th of june", date(2027, 6, 6)),
        ("june sixth", date(2027, 6, 6)),
        ("6/6", date(2027, 6, 6)),
        ("06/12/2027", date(2027, 6, 12)),
        ("2027-06-06", date(2027, 6, 6)),
        ("13/6", date(2027, 6, 13)),
        ("tomorrow", date(2027, 1, 11)),
        ("in 3 weeks", date(2027, 1, 31)),
        ("a week from saturday", date(2027, 1, 23)),
        ("this saturday", date(2027, 1, 16)),
        ("saturday the 6th", date(2027, 2, 6)),
        ("first saturday in june", date(2027, 6, 5)),
        ("last friday of february", date(2027, 2, 26)),
        ("day after thanksgiving", date(2027, 11, 26)),
        ("the saturday before easter", date(2027, 3, 27)),
        ("june 5-6", date(2027, 6, 5)),
        ("el 6 de junio", date(2027, 6, 6)),
        ("pasado mañana", date(2027, 1, 12)),
        ("el viernes que viene", date(2027, 1, 15)),
        ("dentro de 15 días", date(2027, 1, 25)),
        ("le 12 juin", date(2027, 6, 12)),
    ],
)
def test_a_day_is_read_as_people_say_it(text: str, expected: date) -> None:
    assert day_of(text) == expected


def test_a_day_without_a_year_is_the_next_one_on_or_after_the_reference() -> None:
    assert day_of("jan 10") == SUNDAY
    assert day_of("jan 9") == date(2028, 1, 9)
    assert day_of("feb 29") == date(2028, 2, 29)


def test_numeric_days_follow_the_locale() -> None:
    assert day_of("wedding 6/7") == date(2027, 6, 7)
    assert day_of("wedding 6/7", locale="en-GB") == date(2027, 7, 6)
    assert day_of("boda el 6/7", locale=None) == date(2027, 7, 6)


def test_next_friday_said_on_a_wednesday_is_next_week_and_to_be_confirmed() -> None:
    slots = read("party next friday", reference_date=WEDNESDAY)
    assert slots.event_date == date(2027, 3, 19)
    assert "event_date" in slots.ambiguous


@pytest.mark.parametrize(
    "text",
    [
        *("june 6 or 7", "sometime in june", "this weekend", "saturday june 7", "june 31"),
        *("can we do June 6 or June 13?", "memorial day weekend"),
    ],
)
def test_what_leaves_a_choice_gives_no_day_and_says_so(text: str) -> None:
    slots = read(text, reference_date=SUNDAY)
    assert slots.event_date is None
    assert "event_date" in slots.ambiguous


@pytest.mark.parametrize("text", ["june 6 2025", "yesterday", "it was last friday", "12/31/26"])
def test_a_day_that_is_over_is_flagged(text: str) -> None:
    slots = read(text, reference_date=SUNDAY)
    assert slots.flags == ("past_date",)
    assert slots.event_date is not None
    assert slots.event_date < SUNDAY


def test_days_that_are_not_the_events_are_set_aside() -> None:
    assert day_of("quote by friday please. event is feb 12") == date(2027, 2, 12)
    assert day_of("rsvp by may 1, wedding is 6/19") == date(2027, 6, 19)
    assert day_of("change june 6 to june 13") == date(2027, 6, 13)
    assert day_of("june 13 not june 6") == date(2027, 6, 13)


def test_the_13th_stays_in_the_month_that_is_known() -> None:
    known = Slots(event_date=date(2027, 6, 6))
    slots = read("move it to the 13th", reference_date=SUNDAY, known=known)
    assert slots.event_date == date(2027, 6, 13)


def test_a_holiday_party_is_not_said_to_be_on_the_holiday() -> None:
    assert day_of("garland for our christmas party") is None
    assert day_of("garland for christmas eve") == date(2027, 12, 24)


@pytest.mark.parametrize("year", range(2024, 2040))
def test_named_days_agree_with_a_library_of_holidays(year: int) -> None:
    library = holidays_of_the_world.country_holidays(
        "US", categories=("public", "unofficial"), years=[year]
    )
    names = {
        "new years day": "New Year's Day",
        "valentines day": "Valentine's Day",
        "st patricks day": "Saint Patrick's Day",
        "good friday": "Good Friday",
        "easter": "Easter Sunday",
        "mothers day": "Mother's Day",
        "memorial day": "Memorial Day",
        "juneteenth": "Juneteenth National Independence Day",
        "fathers day": "Father's Day",
        "independence day": "Independence Day",
        "labor day": "Labor Day",
        "halloween": "Halloween",
        "veterans day": "Veterans Day",
        "thanksgiving": "Thanksgiving Day",
        "christmas eve": "Christmas Eve",
        "christmas": "Christmas Day",
        "new years eve": "New Year's Eve",
    }
    for ours, theirs in names.items():
        assert theirs in library.get_list(named_in(ours, year, "en-US")), ours


def test_mothers_day_is_the_tenth_of_may_in_mexico() -> None:
    assert next_named("dia de las madres", SUNDAY, "es-MX") == date(2027, 5, 10)
    assert next_named("dia de las madres", SUNDAY, "es-US") == date(2027, 5, 9)


def test_a_month_without_a_fifth_saturday_has_none() -> None:
    assert nth_weekday(2027, 2, 5, 5) is None
    assert nth_weekday(2027, 1, 5, 5) == date(2027, 1, 30)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("a week from friday", "2027-01-22"),
        ("exactly 3 weeks from today", "2027-01-31"),
        ("saturday of next week", "2027-01-16"),
        ("bday sat, arch", "2027-01-16"),
        ("we sat down to plan", None),
        ("the last day of march", "2027-03-31"),
        ("3rd saturday of august", "2027-08-21"),
        ("october twenty third", "2027-10-23"),
        ("the 12th of next month", "2027-02-12"),
        ("thanksgiving dinner", "2027-11-25"),
        ("halloween party", None),
        ("christmas eve party", "2027-12-24"),
        ("set up on june 5, party june 6", "2027-06-06"),
        ("scratch october 3, we're going with october 17", "2027-10-17"),
        ("saturday the 16th. Hoop, 180cm", "2027-01-16"),
        ("de hoy en ocho", "2027-01-17"),
        ("el 12 del mes que viene", "2027-02-12"),
        ("el treinta y uno de octubre", "2027-10-31"),
        ("24 de octubre. 3 mesas", "2027-10-24"),
        ("no va a ser el 20, es el 27 de junio", "2027-06-27"),
        ("10 октября", "2027-10-10"),
        ("super bowl sunday watch party", "2027-02-14"),
        ("arch for st paddys", "2027-03-17"),
        ("el lunes de pascua", "2027-03-29"),
        ("happy thanksgiving! price of an arch?", None),
        ("halloween bash, the 31st", "2027-10-31"),
        ("mother's day brunch sunday", "2027-05-09"),
        ("halloween decor but the party is friday", "2027-01-15"),
        ("its me from yesterday, the arch again", None),
        ("viernes 18 jun 13 hrs", "2027-06-18"),
        ("bautizo en el templo de santo domingo", None),
        ("the thing i ordered for july 4th", "2027-07-04"),
        ("never mind the 13th, do the 20th", "2027-01-20"),
        ("friendsgiving sat before thanksgiving", "2027-11-20"),
        ("el sábado antes de navidad", "2027-12-18"),
        ("june 5 to set up, wedding is saturday the 12th", "2027-06-12"),
        ("due date's july 30 so we picked june 27", "2027-06-27"),
        ("we said june 6 but its june 13", "2027-06-13"),
    ],
)
def test_a_day_in_the_words_people_use(text: str, day: str | None) -> None:
    found = read(text, reference_date=date(2027, 1, 10), locale="en-US").event_date
    assert (found.isoformat() if found else None) == day
