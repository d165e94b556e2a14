"""Pieces stand beside one another, with their dimensions clear of them."""

from collections import defaultdict
from itertools import combinations, pairwise

import pytest

from service.estimating import Piece, PriceBook, Support
from service.workshop.scene import Direction, Material, Scene, scene_of
from tests.service.workshop.scene.picturing import (
    FRAME,
    MEASURES,
    brief_of,
    estimate_of,
    piece_on,
)


def scene(book: PriceBook, *pieces: Piece, outdoors: bool = False) -> Scene:
    brief = brief_of(*pieces, outdoors=outdoors)
    return scene_of(brief, estimate_of(brief, book), book, seed=1)


def sides(drawn: Scene) -> dict[tuple[int, int], tuple[float, float]]:
    """How far to the left and the right the balloons of each copy come."""
    reach: defaultdict[tuple[int, int], list[float]] = defaultdict(list)
    for ball in drawn.balls:
        half = ball.diameter_m / 2
        reach[ball.piece, ball.copy] += [ball.x - half, ball.x + half]
    return {key: (min(x), max(x)) for key, x in reach.items()}


def test_pieces_stand_in_the_order_of_the_brief_and_do_not_meet(book: PriceBook) -> None:
    drawn = scene(book, piece_on(Support.HOOP), piece_on(Support.TABLE))
    reach = sides(drawn)
    assert all(right < left for (_, right), (left, _) in pairwise([reach[0, 0], reach[1, 0]]))


LONG_WALL = Piece(support=Support.WALL, length_m=2.0)
FOUR = (piece_on(Support.COLUMN), LONG_WALL, piece_on(Support.HOOP), piece_on(Support.TABLE))
MANY = FOUR * 5


@pytest.mark.parametrize(
    "pieces",
    [
        MANY,
        (piece_on(Support.COLUMN, count=2), LONG_WALL),
        (piece_on(Support.FREESTANDING_ARCH, count=3),),
        (FRAME, piece_on(Support.HOOP, count=2), piece_on(Support.TABLE)),
    ],
)
def test_no_piece_hides_another_where_they_stand_in_rows(
    book: PriceBook, pieces: tuple[Piece, ...]
) -> None:
    drawn = scene(book, *pieces)
    assert drawn.ranked
    boxes = seen_boxes(drawn)
    for (_, one), (_, other) in combinations(boxes.items(), 2):
        apart = one[2] < other[0] or other[2] < one[0] or one[3] < other[1] or other[3] < one[1]
        assert apart


def seen_boxes(drawn: Scene) -> dict[tuple[int, int], tuple[float, float, float, float]]:
    """Left, bottom, right and top of each copy's balloons as they are seen."""
    reach: defaultdict[tuple[int, int], list[tuple[float, float, float]]] = defaultdict(list)
    for ball in drawn.balls:
        at = drawn.seen(ball.centre)
        reach[ball.piece, ball.copy].append((at.u, at.v, at.scale * ball.diameter_m / 2))
    return {
        key: (
            min(u - r for u, _, r in each),
            min(v - r for _, v, r in each),
            max(u + r for u, _, r in each),
            max(v + r for _, v, r in each),
        )
        for key, each in reach.items()
    }


def test_twenty_pieces_fill_the_picture_and_each_size_is_measured_once(book: PriceBook) -> None:
    drawn = scene(book, *MANY)
    assert 0.9 < drawn.window.width_m / drawn.window.height_m < 1.8
    assert len(drawn.measures) == len(FOUR)


def test_where_many_differ_nothing_is_measured(book: PriceBook) -> None:
    sizes = (1.2, 1.3, 1.4, 1.5, 1.6, 1.7, 1.8)
    drawn = scene(book, *(piece_on(Support.COLUMN, height_m=high) for high in sizes))
    assert drawn.measures == ()


def test_dimensions_of_a_frame_say_that_they_are_the_frames(book: PriceBook) -> None:
    drawn = scene(book, FRAME, piece_on(Support.TABLE))
    of_frame = {line.metres for line in drawn.measures if line.frame}
    assert of_frame == set(MEASURES[Support.ROUND_TOP_FRAME].values())


def test_columns_stand_on_either_side(book: PriceBook) -> None:
    reach = sides(scene(book, FRAME, piece_on(Support.COLUMN, count=2)))
    assert reach[1, 0][1] < reach[0, 0][0]
    assert reach[0, 0][1] < reach[1, 1][0]


def test_many_columns_stand_in_ranks_and_are_looked_at_from_higher_up(book: PriceBook) -> None:
    one, many = (scene(book, piece_on(Support.COLUMN, count=count)) for count in (1, 40))
    depths = {round(ball.z) for ball in many.balls}
    assert len(depths) > 3
    assert many.eye.y > one.eye.y
    assert many.window.width_m < 14
    assert len(many.balls) == 40 * len(one.balls)


def test_the_eye_is_low_under_a_ceiling(book: PriceBook) -> None:
    drawn = scene(book, piece_on(Support.CEILING))
    assert drawn.eye.y < scene(book, FRAME).eye.y
    (ceiling,) = [p for p in drawn.panels if p.material is Material.CEILING]
    assert max(ball.y + ball.diameter_m / 2 for ball in drawn.balls) <= ceiling.corners[0].y


@pytest.mark.parametrize("support", Support)
def test_dimensions_say_what_the_client_gave(book: PriceBook, support: Support) -> None:
    drawn = scene(book, piece_on(support, count=2 if support is Support.COLUMN else 1))
    said = sorted(line.metres for line in drawn.measures)
    assert said == pytest.approx(sorted(MEASURES[support].values()))


def test_a_measure_is_as_long_as_it_says(book: PriceBook) -> None:
    for line in scene(book, FRAME, piece_on(Support.STAIRCASE)).measures:
        length = (
            (line.end.x - line.start.x) ** 2
            + (line.end.y - line.start.y) ** 2
            + (line.end.z - line.start.z) ** 2
        ) ** 0.5
        assert length == pytest.approx(line.metres)


def test_upright_dimensions_are_clear_of_garland_and_foils(book: PriceBook) -> None:
    brief = brief_of(FRAME, foils=("1", "0", "0", "star", "heart"))
    drawn = scene_of(brief, estimate_of(brief, book), book, seed=1)
    (height,) = [line for line in drawn.measures if line.direction is Direction.HEIGHT]
    leftmost = min(
        *(ball.x - ball.diameter_m / 2 for ball in drawn.balls),
        *(foil.centre.x - foil.width_m / 2 for foil in drawn.foils),
    )
    assert height.start.x < leftmost - 0.2


def test_what_needs_a_wall_shares_one_and_the_others_stand_before_it(book: PriceBook) -> None:
    drawn = scene(book, piece_on(Support.MANTEL), piece_on(Support.DOORWAY), FRAME)
    (wall,) = [panel for panel in drawn.panels if panel.material is Material.WALL]
    z = wall.corners[0].z
    assert all(ball.z - ball.diameter_m / 2 > z - 1e-9 for ball in drawn.balls)
    (door, fire) = sorted(
        (p.corners[0].z for p in drawn.panels if p.material is Material.DARK),
    )
    assert door == pytest.approx(z + 0.005)
    assert fire > z


@pytest.mark.parametrize("outdoors", [False, True])
def test_a_swag_hangs_from_a_rail_indoors_and_from_a_beam_outdoors(
    book: PriceBook, *, outdoors: bool
) -> None:
    drawn = scene(book, piece_on(Support.SWAG), outdoors=outdoors)
    made_of = {rod.material for rod in drawn.rods}
    assert (Material.WOOD in made_of) is outdoors
    assert (Material.TRIM in made_of) is not outdoors
    assert any(p.material is Material.WALL for p in drawn.panels) is not outdoors
