from dataclasses import dataclass, replace
from functools import cache
from typing import cast

import pytest

from service.estimating import Hours, Observation, Packing, PriceBook, Taken
from service.leads.price_books import PriceBooks
from service.leads.rebasing import rebased
from service.storage.price_book import read_price_book
from tests.service.building import PRICE_BOOK


@cache
def old() -> PriceBook:
    return replace(read_price_book(PRICE_BOOK.read_text(encoding="utf-8"), "book"), version="old")


@dataclass(frozen=True)
class TwoBooks:
    """`PriceBooks` of which only the versions count."""

    now: PriceBook

    def current(self) -> PriceBook:
        return self.now

    def of(self, version: str) -> PriceBook | None:
        return {"old": old(), self.now.version: self.now}.get(version)


def seen_now(observation: Observation, now: PriceBook) -> Observation:
    (moved,) = rebased([observation], cast("PriceBooks", TwoBooks(now)))
    return moved


def noted(book: str) -> Observation:
    return Observation(
        job="one",
        supports=frozenset({"wall"}),
        hours={
            "tying": Hours(planned_h=1.0, actual_h=1.2),
            "strike": Hours(planned_h=0.5, actual_h=0.6),
        },
        drive=Hours(planned_h=0.8, actual_h=0.9),
        packing=Packing(planned=200, used=210),
        balloons={10: Taken(taken=120, burst=3)},
        book=book,
    )


def test_a_rate_that_the_owner_has_put_right_leaves_nothing_to_learn() -> None:
    # Tying was found to take 1.2 times the book's time, and so the book says it now.
    slower = replace(old(), labour=replace(old().labour, tying_s=1.2 * old().labour.tying_s))
    moved = seen_now(noted("old"), replace(slower, version="new"))
    assert moved.hours["tying"].planned_h == pytest.approx(1.2)
    assert moved.hours["tying"].log_ratio == pytest.approx(0.0)
    assert moved.hours["strike"] == noted("old").hours["strike"]
    assert (moved.drive, moved.packing, moved.balloons) == (
        noted("old").drive,
        noted("old").packing,
        noted("old").balloons,
    )


def test_a_slower_car_moves_the_drive_and_nothing_else() -> None:
    travel = old().travel
    slower = replace(travel, speed_m_s=travel.speed_m_s / 2, far_speed_m_s=travel.far_speed_m_s / 2)
    moved = seen_now(noted("old"), replace(old(), travel=slower, version="slower car"))
    assert moved.drive is not None
    assert moved.drive.planned_h == pytest.approx(1.6)
    assert replace(moved, drive=noted("old").drive) == noted("old")


def test_a_recipe_that_counts_more_balloons_moves_packing_and_the_hours_they_take() -> None:
    recipe = old().recipe
    thicker = {
        name: replace(look, girth_m=1.2 * look.girth_m) for name, look in recipe.looks.items()
    }
    fuller = replace(old(), recipe=replace(recipe, looks=thicker), version="fuller")
    moved = seen_now(noted("old"), fuller)
    assert moved.packing is not None
    assert moved.packing.planned > 200
    assert moved.hours["tying"].planned_h == pytest.approx(moved.packing.planned / 200, abs=0.01)


@pytest.mark.parametrize("book", ["new", "a version that is gone"])
def test_jobs_of_the_book_in_use_or_of_one_that_is_gone_stay(book: str) -> None:
    assert seen_now(noted(book), replace(old(), version="new")) == noted(book)


def test_a_dearer_hour_moves_no_time() -> None:
    dearer = replace(old(), labour=replace(old().labour, wage=2 * old().labour.wage), version="d")
    assert seen_now(noted("old"), dearer) == noted("old")
