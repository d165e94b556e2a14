import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating import Piece, Shape, Support
from service.estimating.paths.curves import Path

measures = st.floats(min_value=0.3, max_value=12)
shapes = st.sampled_from(Shape)


def arch(width: float, height: float, shape: Shape) -> Path:
    return Piece(
        support=Support.FREESTANDING_ARCH, width_m=width, height_m=height, shape=shape
    ).path


def path_along(support: Support) -> Path:
    return Piece(
        support=support, width_m=1.4, height_m=2.2, length_m=3, sag_m=0.4, rise_m=2, run_m=2.5
    ).path


@given(width=measures, height=measures, shape=shapes)
def test_an_arch_is_longer_than_two_straight_lines_and_shorter_than_its_box(
    width: float, height: float, shape: Shape
) -> None:
    length = arch(width, height, shape).length_m
    assert 2 * math.hypot(width / 2, height) <= length * (1 + 1e-12)
    assert length <= (2 * height + width) * (1 + 1e-12)


@given(width=measures, height=measures, shape=shapes, times=st.floats(0.5, 2))
def test_scaling_width_and_height_scales_an_arch(
    width: float, height: float, shape: Shape, times: float
) -> None:
    scaled = arch(width * times, height * times, shape).length_m
    assert scaled == pytest.approx(times * arch(width, height, shape).length_m, rel=1e-9)


@given(span=measures, sag=st.floats(0.001, 3), more=st.floats(0.001, 1))
def test_a_deeper_swag_is_longer(span: float, sag: float, more: float) -> None:
    shallow = Piece(support=Support.SWAG, width_m=span, sag_m=sag).path.length_m
    deep = Piece(support=Support.SWAG, width_m=span, sag_m=sag + more).path.length_m
    assert span < shallow < deep


def test_a_taut_swag_is_as_long_as_its_span() -> None:
    swag = Piece(support=Support.SWAG, width_m=4, sag_m=0.001)
    assert swag.path.length_m == pytest.approx(4, abs=1e-6)


@pytest.mark.parametrize("support", Support)
def test_walking_a_path_covers_its_length(support: Support) -> None:
    path = path_along(support)
    # Chords of a fine walk add up to the length, less the jumps between the rows of a ceiling.
    steps = 4000
    points = [path.at(path.length_m * k / steps) for k in range(steps + 1)]
    chords = [math.dist((p.x, p.y, p.z), (q.x, q.y, q.z)) for p, q in pairwise(points)]
    walked = sum(chord for chord in chords if chord < 0.05)
    assert walked == pytest.approx(path.length_m, rel=1e-3)


def test_an_arch_stands_on_both_feet_and_reaches_its_height() -> None:
    for shape in Shape:
        path = arch(2.0, 2.4, shape)
        start, top, end = (path.at(share * path.length_m) for share in (0, 0.5, 1))
        assert (start.x, start.y) == pytest.approx((0, 0), abs=1e-9)
        assert (top.x, top.y) == pytest.approx((1.0, 2.4), abs=1e-3)
        assert (end.x, end.y) == pytest.approx((2.0, 0), abs=1e-9)


def test_a_wall_without_a_run_goes_up_one_side_and_across() -> None:
    assert Piece(support=Support.WALL, width_m=3, height_m=2).path.length_m == 5


def test_a_ceiling_with_a_width_is_covered_in_rows() -> None:
    # 2.4 m at about 0.6 m a row: 4 rows of 5 m.
    assert Piece(support=Support.CEILING, length_m=5, width_m=2.4).path.length_m == 20
