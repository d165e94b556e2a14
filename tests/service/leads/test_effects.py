from dataclasses import dataclass, replace
from typing import cast

from service.estimating import UNCALIBRATED, Build, Calibration, Piece, PriceBook, Support
from service.estimating.calibration import Belief, Lessons, Pace
from service.leads.effects import Trial
from service.leads.price_books import PriceBooks
from tests.service.building import a_brief
from tests.service.leads.test_observing import book, quote


@dataclass(frozen=True)
class OneBook:
    """`PriceBooks` with a single version."""

    only: PriceBook

    def current(self) -> PriceBook:
        return self.only

    def of(self, version: str) -> PriceBook | None:
        return self.only if version == self.only.version else None


def slow_to_set_up() -> Calibration:
    slow = Belief(factor=1.5, sd=0.05)
    pace = Pace(seen=slow, jobs=9, by_support={}, elsewhere=slow, scale=1.0)
    return Calibration(jobs=9, lessons=Lessons(paces={"install": pace}))


def test_a_quote_is_held_against_what_is_on_trial_by_its_own_book_and_day() -> None:
    books = cast("PriceBooks", OneBook(book()))
    (effect,) = Trial([quote()], books, UNCALIBRATED).of(slow_to_set_up())
    assert effect.number == "G1000-1"
    assert effect.before == quote().estimate.price
    assert effect.after.likely > effect.before.likely
    (back,) = Trial([quote()], books, slow_to_set_up()).of(UNCALIBRATED)
    assert (back.before, back.after) == (effect.after, effect.before)


def test_a_quote_that_no_book_can_estimate_any_more_is_left_out() -> None:
    today_s = cast("PriceBooks", OneBook(replace(book(), version="today's")))
    unknown = Piece(support=Support.COLUMN, height_m=1.8, build=Build.QUADS, size_class=36)
    gone = replace(quote(), brief=a_brief(pieces=(unknown,)))
    effects = Trial([gone, quote()], today_s, UNCALIBRATED).of(slow_to_set_up())
    assert [effect.number for effect in effects] == ["G1000-1"]
