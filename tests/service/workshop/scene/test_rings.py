"""Nested quads against the formulas that the estimate counts them by."""

import math
from itertools import combinations, pairwise

import numpy as np
import pytest

from service.estimating import Build, PriceBook, Support
from service.estimating.clusters import nested_girth, nested_pitch
from service.workshop.scene.grown import Grown
from tests.service.workshop.scene.gauging import gauge
from tests.service.workshop.scene.picturing import grown_of, piece_on


@pytest.fixture(scope="module")
def column(book: PriceBook) -> Grown:
    return grown_of(piece_on(Support.COLUMN), book)


def rings(piece: Grown) -> list[np.ndarray]:
    numbers = sorted({spot.cluster for spot in piece.spots})
    return [
        np.array([(s.x, s.y, s.z) for s in piece.spots if s.cluster == number])
        for number in numbers
    ]


def diameter(piece: Grown) -> float:
    (sized,) = piece.sized.values()
    return sized


def test_each_ring_is_four_touching_balloons_in_a_square(column: Grown) -> None:
    d = diameter(column)
    for ring in rings(column):
        assert len(ring) == 4
        apart = sorted(math.dist(a, b) for a, b in combinations(ring, 2))
        assert apart == pytest.approx([d] * 4 + [math.sqrt(2) * d] * 2)


def test_rings_are_a_pitch_apart_and_turned_by_an_eighth(column: Grown) -> None:
    d = diameter(column)
    for lower, upper in pairwise(rings(column)):
        rise = upper[:, 1].mean() - lower[:, 1].mean()
        assert rise == pytest.approx(nested_pitch(4, d)) == pytest.approx(2**-0.25 * d)
        angles = [math.atan2(z, x) for x, _, z in (*lower, *upper)]
        turn = (angles[4] - angles[0]) % (math.tau / 4)
        assert turn == pytest.approx(math.pi / 4)


def test_each_balloon_touches_two_of_the_next_ring(column: Grown) -> None:
    d = diameter(column)
    for lower, upper in pairwise(rings(column)):
        for balloon in lower:
            nearest = sorted(math.dist(balloon, other) for other in upper)
            assert nearest[:2] == pytest.approx([d, d])


def test_a_column_is_as_thick_as_the_estimate_says(column: Grown) -> None:
    wide = max(s.x for s in column.spots) - min(s.x for s in column.spots) + diameter(column)
    assert wide <= nested_girth(4, diameter(column)) + 1e-9
    assert column.girth_m == pytest.approx(nested_girth(4, diameter(column)))


def test_no_two_balloons_of_a_column_overlap_and_it_stands_on_the_floor(column: Grown) -> None:
    figures = gauge(column)
    assert figures.between < 1e-9
    assert figures.lowest_m >= 0


def test_colours_take_turns_round_each_ring(column: Grown) -> None:
    for number in {spot.cluster for spot in column.spots}:
        round_it = [spot.colour for spot in column.spots if spot.cluster == number]
        most = max(map(round_it.count, round_it))
        side_by_side = sum(a == b for a, b in pairwise([*round_it, round_it[0]]))
        assert side_by_side <= 2 * most - 4 if most > 2 else side_by_side <= 1


def test_round_a_hoop_the_last_ring_nests_in_the_first(book: PriceBook) -> None:
    hoop = grown_of(piece_on(Support.HOOP, build=Build.QUADS), book)
    figures = gauge(hoop)
    assert figures.between <= 0.15
    ends = rings(hoop)
    steps = [math.dist(a.mean(axis=0), b.mean(axis=0)) for a, b in pairwise([*ends, ends[0]])]
    assert max(steps) < 1.1 * min(steps)


@pytest.mark.parametrize("support", [Support.FREESTANDING_ARCH, Support.SQUARE_FRAME])
def test_where_the_line_bends_quads_are_pushed_apart(book: PriceBook, support: Support) -> None:
    figures = gauge(grown_of(piece_on(support, build=Build.QUADS), book))
    assert figures.between <= 0.15
    assert figures.far_reach < 1.2
