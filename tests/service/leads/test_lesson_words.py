from functools import cache

import pytest

from service.estimating import PriceBook
from service.estimating.calibration import DRIVING, PACKING, SPREAD, Belief, Change, breakage_of
from service.leads.calibrations import Moved, Verdict
from service.leads.lesson_words import (
    factor_said,
    finding,
    moved_said,
    name_of,
    on_supports,
    rests_on,
)
from service.leads.lessons import Lesson
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK


@cache
def book() -> PriceBook:
    return read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book")


def lesson(subject: str, factor: float, **on: float) -> Lesson:
    return Lesson(
        subject=subject,
        learnt=Change(subject=subject, factor=factor, sd=0.05, jobs=9),
        by_support={name: Belief(factor=each, sd=0.05) for name, each in on.items()},
    )


@pytest.mark.parametrize(
    ("subject", "factor", "said"),
    [
        ("sizing_and_inflating", 1.18, "Inflating takes you 18% longer than the book"),
        ("install", 0.77, "Setting up takes you 23% less time than the book"),
        ("tying", 1.004, "Tying takes you as the book says"),
        (DRIVING, 1.2, "Driving takes you 20% longer than the book"),
        (PACKING, 1.08, "Your garlands take 8% more balloons than the recipe counts"),
        (breakage_of(10), 1.5, "Of 100 balloons of 10 in, 3.0 burst; the book says 2.0"),
        (breakage_of(99), 1.5, "Bursting (99 in): 50% more than the book"),
        (
            SPREAD,
            0.8,
            "Your jobs scatter 20% less about their plan than the book reckons with, so that "
            "ranges should be narrower",
        ),
        ("juggling_pins", 1.1, "Juggling pins takes you 10% longer than the book"),
    ],
)
def test_a_lesson_is_said_plainly(subject: str, factor: float, said: str) -> None:
    assert finding(lesson(subject, factor), book()) == said


def test_it_says_how_many_jobs_it_rests_on_and_how_sure_it_is() -> None:
    # 1.18 x e^(±1.96 x 0.05): 1.070 to 1.302.
    expected = "from 9 jobs; most likely +7% to +30% against the book"
    assert rests_on(lesson("tying", 1.18)) == expected


def test_supports_are_told_apart_where_they_differ() -> None:
    seen = lesson("install", 1.1, staircase=1.42, wall=1.05, hoop=0.9)
    assert on_supports(seen) == "hoop 10% less time, wall 5% longer, staircase 42% longer"
    assert on_supports(lesson("install", 1.1, wall=1.05, hoop=1.05)) == ""
    assert on_supports(lesson("install", 1.1)) == ""


@pytest.mark.parametrize(
    ("before", "after", "verdict", "said"),
    [
        (1.0, 1.2, Verdict.USE, "Tying: as the book says → 20% longer than the book"),
        (1.2, 1.0, Verdict.STOP, "Tying: 20% longer than the book → as the book says"),
        (
            1.0,
            1.2,
            Verdict.LEAVE,
            "Tying: 20% longer than the book was offered; it stayed as the book says",
        ),
        (
            1.1,
            1.2,
            Verdict.LEAVE,
            "Tying: 20% longer than the book was offered; it stayed at 10% longer than the book",
        ),
    ],
)
def test_a_decision_says_from_what_to_what(
    before: float, after: float, verdict: Verdict, said: str
) -> None:
    assert moved_said(Moved(subject="tying", before=before, after=after), verdict) == said


def test_every_subject_has_a_name_of_its_own() -> None:
    names = {name_of(each) for each in (PACKING, SPREAD, DRIVING, breakage_of(5), "strike")}
    assert len(names) == 5
    assert factor_said(SPREAD, 1.3) == "30% wider than the book"
