import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from service.api.answers import MOST, RecentAnswers
from service.estimating import UNCALIBRATED, Brief, Calibration, Piece, PriceBook, Support
from service.storage.price_book import read_price_book
from tests.service.api.conftest import CANONICAL, Service

DAY = dt.date(2027, 1, 10)


@pytest.fixture(scope="module")
def book() -> PriceBook:
    path = Path("deploy/price_book.yaml")
    return read_price_book(path.read_text(encoding="utf-8"), path.name)


def wall(length_m: float) -> Brief:
    return Brief(pieces=(Piece(support=Support.WALL, length_m=length_m),))


class Worked:
    """Counts how often an answer had to be worked out."""

    def __init__(self) -> None:
        self.times = 0

    def __call__(self) -> bytes:
        self.times += 1
        return b"%d" % self.times


def test_the_same_question_is_worked_out_once(book: PriceBook) -> None:
    answers, worked = RecentAnswers(), Worked()
    for _ in range(3):
        assert answers.give(wall(3), book, UNCALIBRATED, DAY, worked) == b"1"


def test_another_brief_book_calibration_or_day_is_another_question(book: PriceBook) -> None:
    answers, worked = RecentAnswers(), Worked()
    answers.give(wall(3), book, UNCALIBRATED, DAY, worked)
    answers.give(wall(3.5), book, UNCALIBRATED, DAY, worked)
    answers.give(wall(3), replace(book, version="changed"), UNCALIBRATED, DAY, worked)
    answers.give(wall(3), book, UNCALIBRATED, DAY + dt.timedelta(days=1), worked)
    answers.give(wall(3), book, Calibration(jobs=1, version="learnt"), DAY, worked)
    assert worked.times == 5


def test_what_anybody_may_see_is_kept_apart_from_the_whole(book: PriceBook) -> None:
    answers, worked = RecentAnswers(), Worked()
    assert answers.give(wall(3), book, UNCALIBRATED, DAY, worked) == b"1"
    assert answers.give(wall(3), book, UNCALIBRATED, DAY, worked, whole=False) == b"2"
    assert answers.give(wall(3), book, UNCALIBRATED, DAY, worked) == b"1"


def test_only_the_latest_are_kept(book: PriceBook) -> None:
    answers, worked = RecentAnswers(), Worked()
    for number in range(MOST + 1):
        answers.give(wall(1 + number / 100), book, UNCALIBRATED, DAY, worked)
    answers.give(wall(1 + MOST / 100), book, UNCALIBRATED, DAY, worked)
    assert worked.times == MOST + 1
    answers.give(wall(1), book, UNCALIBRATED, DAY, worked)
    assert worked.times == MOST + 2


def test_equal_requests_get_equal_bytes_and_others_do_not(service: Service) -> None:
    client = service.client("website")
    first = client.post("/v1/estimates", json=CANONICAL)
    again = client.post("/v1/estimates", json=CANONICAL)
    assert first.content == again.content
    other = client.post("/v1/estimates", json={**CANONICAL, "palette": ["navy"]})
    assert other.content != first.content
