"""A shop that packs tighter than its recipe takes more balloons along; the recipe's plan stands."""

import datetime as dt
from dataclasses import replace

import pytest

from service.estimating import Brief, ColourShare, Estimate, Piece, PriceBook, Support, estimate
from service.estimating.calibration import Belief, Calibration, Lessons
from service.estimating.calibration.lessons import Ratio
from service.estimating.rehearsal import rehearsal

TODAY = dt.date(2027, 1, 10)
WALL = Brief(
    pieces=(Piece(support=Support.WALL, length_m=4.0),),
    palette=tuple(ColourShare(colour=name) for name in ("sage", "cream", "gold")),
)


def packing(factor: float) -> Calibration:
    ratio = Ratio(belief=Belief(factor=factor, sd=0.0), jobs=9)
    return Calibration(jobs=9, lessons=replace(Lessons(), packing=ratio), version="packs")


def taken(answer: Estimate) -> int:
    return sum(line.taken for line in answer.spares)


def test_so_many_more_are_taken_and_paid_for_and_the_pieces_stay_as_they_are(
    book: PriceBook,
) -> None:
    plain = estimate(WALL, book, today=TODAY)
    tighter = estimate(WALL, book, packing(1.1), today=TODAY)
    assert tighter.balloons_total == plain.balloons_total
    assert tighter.pieces[0].cluster_types == plain.pieces[0].cluster_types
    assert taken(tighter) / taken(plain) == pytest.approx(1.1, abs=0.015)
    assert tighter.cost.likely > plain.cost.likely
    assert tighter.hours == plain.hours
    for line in tighter.spares:
        assert line.enough >= book.policy.service_level
    counted = sum(count.spares for piece in tighter.pieces for count in piece.balloons)
    assert counted == taken(tighter) - tighter.balloons_total


def test_one_that_packs_looser_still_lays_the_recipe_s_clusters(book: PriceBook) -> None:
    plain, looser = (
        estimate(WALL, book, known, today=TODAY) for known in (packing(1.0), packing(0.9))
    )
    assert looser == plain


def test_it_says_so_and_names_the_calibration(book: PriceBook) -> None:
    answer = estimate(WALL, book, packing(1.1), today=TODAY)
    (spares,) = (each for each in answer.explanation if each.figure == "spares")
    assert spares.inputs["packs tighter, the shop's own record"] == "count × 1.1000"
    assert answer.calibration_version == "packs"
    assert estimate(WALL, book, today=TODAY).calibration_version is None


def test_what_is_rehearsed_takes_as_many(book: PriceBook) -> None:
    plain = rehearsal(WALL, book, today=TODAY).garland_balloons
    tighter = rehearsal(WALL, book, packing(1.1), today=TODAY).garland_balloons
    assert tighter == round(1.1 * plain)
