"""Balloons lie as they would: pressed on one another a little, round their line, clear of walls."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from service.estimating import (
    Build,
    Fullness,
    Pattern,
    Piece,
    Placement,
    PriceBook,
    Support,
)
from service.workshop.scene import scene_of
from service.workshop.scene.relaxing import Wall
from tests.service.workshop.scene.gauging import Gauge, gauge
from tests.service.workshop.scene.picturing import (
    MEASURES,
    brief_of,
    estimate_of,
    grown_of,
    piece_on,
)

MOST = 0.15
"""Of the smaller diameter two balloons may press into one another."""


@pytest.fixture(
    scope="module",
    params=[(support, fullness) for support in Support for fullness in Fullness],
    ids=lambda made: "-".join(made),
)
def figures(request: pytest.FixtureRequest, book: PriceBook) -> Gauge:
    support, fullness = request.param
    return gauge(grown_of(piece_on(support, fullness=fullness), book))


def test_no_two_balloons_press_too_hard(figures: Gauge) -> None:
    assert figures.within <= MOST
    assert figures.between <= MOST


def test_no_balloon_flies_and_none_is_below_the_floor(figures: Gauge) -> None:
    assert figures.gap < 0.1
    assert figures.lowest_m > -1e-9


def test_a_garland_keeps_near_its_girth_and_hugs_its_line(figures: Gauge) -> None:
    assert 0.8 < figures.usual_reach < 1.1
    # Rows under a ceiling lie closer than they are thick, and give way downward.
    assert figures.far_reach < 1.5


@pytest.mark.parametrize("support", Support)
def test_no_balloon_goes_through_floor_wall_or_ceiling(book: PriceBook, support: Support) -> None:
    piece = grown_of(piece_on(support, fullness=Fullness.LUSH), book)
    walls = piece.stand.walls
    assert any(wall.axis == 1 and not wall.under for wall in walls)
    for wall in walls:
        for spot in piece.spots:
            radius = piece.sized[spot.size_class] / 2
            middle = (spot.x, spot.y, spot.z)[wall.axis]
            kept = wall.at_m - middle if wall.under else middle - wall.at_m
            assert kept >= radius - 1e-9
    behind = [wall for wall in walls if wall.axis == 2]
    assert bool(behind) is (support in _ON_A_WALL)
    assert (Wall(axis=1, at_m=walls[-1].at_m, under=True) in walls) is (support is Support.CEILING)


_ON_A_WALL = {Support.WALL, Support.DOORWAY, Support.MANTEL, Support.TABLE, Support.SWAG}


def test_small_quads_and_large_balloons_are_where_they_are_seen(book: PriceBook) -> None:
    piece = grown_of(piece_on(Support.WALL), book)
    mean = {
        size: sum(s.z for s in spots) / len(spots)
        for size in (5, 10, 18)
        if (spots := [s for s in piece.spots if s.size_class == size])
    }
    assert mean[5] > mean[10]
    assert mean[18] > mean[10]


def test_a_doorway_stays_open_between_its_legs(book: PriceBook) -> None:
    piece = grown_of(piece_on(Support.DOORWAY), book)
    middle = 0.45
    low = [s for s in piece.spots if s.y < 1.5]
    clear = min(abs(s.x - middle) - piece.sized[s.size_class] / 2 for s in low)
    assert clear > 0.12
    assert min(s.x for s in low) < 0 < 0.9 < max(s.x for s in low)


def test_a_hoop_covered_all_round_is_lifted_clear_of_the_floor(book: PriceBook) -> None:
    whole = grown_of(piece_on(Support.HOOP), book)
    open_one = grown_of(piece_on(Support.HOOP, placement=Placement.ASYMMETRIC), book)
    assert whole.stand.lift_m == whole.girth_m / 2 > open_one.stand.lift_m


def test_what_is_bare_stays_bare(book: PriceBook) -> None:
    piece = grown_of(piece_on(Support.SQUARE_FRAME, placement=Placement.ASYMMETRIC), book)
    up_right = [s for s in piece.spots if s.x > 1.0 and s.y > 1.7]
    assert not up_right
    assert len(piece.lines) == 2


pieces = st.builds(
    lambda support, **other: piece_on(support, **other),
    support=st.sampled_from([*MEASURES]),
    count=st.integers(1, 3),
    fullness=st.sampled_from(Fullness),
    build=st.sampled_from([None, Build.ORGANIC, Build.QUADS]),
    placement=st.sampled_from(Placement),
    coverage=st.sampled_from([None, 0.2, 0.6, 1.0]),
    pattern=st.sampled_from(Pattern),
)


@settings(deadline=None, max_examples=25)
@given(piece=pieces, outdoors=st.booleans(), seed=st.integers(0, 2**64 - 1))
def test_any_piece_is_drawn_whole_pressed_gently_and_above_the_floor(
    book: PriceBook, piece: Piece, *, outdoors: bool, seed: int
) -> None:
    brief = brief_of(piece, outdoors=outdoors)
    counted = estimate_of(brief, book)
    drawn = scene_of(brief, counted, book, seed=seed)
    assert len(drawn.balls) == sum(b.count for b in counted.pieces[0].balloons)
    assert min(b.y - b.diameter_m / 2 for b in drawn.balls) > -1e-9
    one = [b for b in drawn.balls if b.copy == 0]
    for i, first in enumerate(one):
        for second in one[i + 1 : i + 6]:
            if first.cluster == second.cluster:
                apart = math.dist((first.x, first.y, first.z), (second.x, second.y, second.z))
                touching = (first.diameter_m + second.diameter_m) / 2
                small = min(first.diameter_m, second.diameter_m)
                assert (touching - apart) / small <= MOST
