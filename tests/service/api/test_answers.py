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


class Counter:
    """Has answers, in what holds on that day by the book, and counts how many were worked out."""

    def __init__(self, book: PriceBook) -> None:
        self.answers, self.worked, self.read = RecentAnswers(), 0, 0
        self.go_by(book)

    def go_by(self, book: PriceBook, known: Calibration = UNCALIBRATED, day: dt.date = DAY) -> None:
        self.answers.going_by(book, known, day)

    def ask(self, brief: Brief, *, words: str | None = None, whole: bool = True) -> bytes:
        def read() -> Brief:
            self.read += 1
            return brief

        def work_out(wanted: Brief) -> dict[bool, bytes]:
            assert wanted == brief
            self.worked += 1
            return {True: b"%d whole" % self.worked, False: b"%d part" % self.worked}

        body = (words or repr(brief)).encode()
        return self.answers.give(body, read, work_out, whole=whole)


def test_the_same_question_is_read_and_worked_out_once(book: PriceBook) -> None:
    counter = Counter(book)
    assert [counter.ask(wall(3)) for _ in range(3)] == [b"1 whole"] * 3
    assert counter.read == 1


def test_the_same_brief_in_other_words_is_worked_out_once(book: PriceBook) -> None:
    counter = Counter(book)
    assert [counter.ask(wall(3), words=words) for words in ("one", "other", "other")] == [
        b"1 whole"
    ] * 3
    assert counter.read == 2


def test_another_brief_is_another_question(book: PriceBook) -> None:
    counter = Counter(book)
    assert counter.ask(wall(3)) != counter.ask(wall(3.5))


def test_another_book_calibration_or_day_makes_it_another_question(book: PriceBook) -> None:
    counter = Counter(book)
    counter.ask(wall(3))
    for holds in (
        (replace(book, version="changed"), UNCALIBRATED, DAY),
        (book, UNCALIBRATED, DAY + dt.timedelta(days=1)),
        (book, Calibration(jobs=1, version="learnt"), DAY),
    ):
        counter.go_by(*holds)
        counter.ask(wall(3))
        counter.go_by(*holds)
        counter.ask(wall(3))
    assert counter.worked == 4


def test_what_anybody_may_see_is_kept_apart_from_the_whole_that_was_worked_out_with_it(
    book: PriceBook,
) -> None:
    counter = Counter(book)
    assert counter.ask(wall(3)) == b"1 whole"
    assert counter.ask(wall(3), whole=False) == b"1 part"
    assert counter.ask(wall(3)) == b"1 whole"


def test_only_the_latest_are_kept(book: PriceBook) -> None:
    counter = Counter(book)
    for number in range(2 * MOST + 1):
        counter.ask(wall(1 + number / 100))
    counter.ask(wall(1 + 2 * MOST / 100))
    assert counter.worked == 2 * MOST + 1
    counter.ask(wall(1))
    assert counter.worked == 2 * MOST + 2


def test_equal_requests_get_equal_bytes_and_others_do_not(service: Service) -> None:
    client = service.client("website")
    first = client.post("/v1/estimates", json=CANONICAL)
    again = client.post("/v1/estimates", json=CANONICAL)
    assert first.content == again.content
    other = client.post("/v1/estimates", json={**CANONICAL, "palette": ["navy"]})
    assert other.content != first.content
