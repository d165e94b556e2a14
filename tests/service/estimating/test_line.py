import math
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.estimating.book import LineAndFixings, LineKind
from service.estimating.line import (
    LONG_260_M,
    attachment_points,
    attachments,
    knots,
    lengths_needed,
    line_for,
    line_length,
    long_260s,
)
from service.estimating.paths import Path, Placement, Run, Support, runs, usual_coverage
from tests.service.estimating.test_paths import path_of, paths

placements = st.sampled_from(Placement)
shares = st.floats(min_value=0.01, max_value=1)
coverages = st.none() | shares


def fixings(spool_m: float = 100.0) -> LineAndFixings:
    """Tails of three feet, a tenth for the knots, 0.2 m to a join, held every half metre."""
    return LineAndFixings(
        kind=LineKind.CORD,
        tail_m=0.9144,
        knots_share=0.1,
        price_per_m=Decimal("0.1"),
        length_m=spool_m,
        join_m=0.2,
        spacing_m=0.5,
        clips_per_point=1,
        price_per_clip=Decimal("0.2"),
        bands_per_point=1,
        price_per_band=Decimal("0.1"),
    )


@given(path=paths(), coverage=coverages, placement=placements)
def test_runs_add_up_to_the_covered_length_exactly(
    path: Path, coverage: float | None, placement: Placement
) -> None:
    share = usual_coverage(path, placement) if coverage is None else coverage
    laid = runs(path, coverage, placement)
    covered = math.fsum(run.length_m for run in laid)
    # Each row of several is rounded by itself: to the last digit, and exactly where there is one.
    slack = 1e-12 * covered if path.breaks_m else 0.0
    assert abs(covered - share * path.length_m) <= slack


@given(path=paths(), coverage=coverages, placement=placements)
def test_runs_lie_on_the_path_one_after_another_and_cross_no_break(
    path: Path, coverage: float | None, placement: Placement
) -> None:
    laid, slack = runs(path, coverage, placement), 1e-12 * path.length_m
    assert laid[0].start_m >= 0
    assert laid[-1].end_m <= path.length_m + slack
    assert all(run.length_m > 0 for run in laid)
    assert all(before.end_m <= after.start_m + slack for before, after in pairwise(laid))
    for run in laid:
        assert not any(run.start_m + 1e-6 < at < run.end_m - 1e-6 for at in path.breaks_m)


@given(path=paths(), placement=placements, less=shares, more=shares)
def test_more_coverage_is_never_less_garland(
    path: Path, placement: Placement, less: float, more: float
) -> None:
    less, more = sorted((less, more))
    small, large = (
        math.fsum(run.length_m for run in runs(path, share, placement)) for share in (less, more)
    )
    assert small <= large


@given(path=paths(), coverage=coverages, placement=placements)
def test_only_a_whole_closed_path_is_a_closed_run(
    path: Path, coverage: float | None, placement: Placement
) -> None:
    laid = runs(path, coverage, placement)
    whole = math.fsum(run.length_m for run in laid) == path.length_m
    assert any(run.closed for run in laid) == (path.closed and whole)
    assert not whole or len(laid) == 1 + len(path.breaks_m)


@pytest.mark.parametrize("coverage", [0, -0.5, 1.01, math.nan, math.inf])
def test_a_share_that_cannot_be_is_refused(coverage: float) -> None:
    with pytest.raises(ValueError, match="up to 1"):
        runs(path_of(Support.HOOP, width_m=2), coverage)


def placed(path: Path, placement: Placement, coverage: float | None = None) -> list[float]:
    """Starts and ends, one after another."""
    laid = runs(path, coverage, placement)
    return [position for run in laid for position in (run.start_m, run.end_m)]


def test_each_placement_covers_its_own_part_of_a_square_frame() -> None:
    frame = path_of(Support.SQUARE_FRAME, width_m=2, height_m=4)  # 4 + 2 + 4 = 10 m
    assert placed(frame, Placement.WHOLE) == [0, 10]
    assert placed(frame, Placement.ONE_SIDE) == [0, 5]
    assert placed(frame, Placement.CENTRED, 0.4) == [3, 7]
    # Up one side and across: the far corner is 4 + 2 m along.
    assert placed(frame, Placement.CORNER_TO_CORNER) == pytest.approx([0, 6])
    # 6 m: 4 m from one foot, 2 m from the other, 4 m bare between them.
    assert placed(frame, Placement.ASYMMETRIC, 0.6) == pytest.approx([0, 4, 8, 10])


def test_usual_shares_are_taken_where_none_is_given() -> None:
    frame = path_of(Support.SQUARE_FRAME, width_m=2, height_m=4)
    usual = [usual_coverage(frame, placement) for placement in Placement]
    assert usual == [1, 0.5, 0.5, pytest.approx(0.6), 0.7]
    swag = path_of(Support.SWAG, width_m=3, sag_m=1)
    assert usual_coverage(swag, Placement.CORNER_TO_CORNER) == 1


def test_a_hoop_is_covered_from_the_lower_left_on() -> None:
    hoop = path_of(Support.HOOP, width_m=2)
    (run,) = runs(hoop, 0.5, Placement.ONE_SIDE)
    start, end = hoop.at(run.start_m), hoop.at(run.end_m)
    # An eighth round from the lowest point, then half round to the point opposite.
    low, high = 1 - math.sqrt(0.5), 1 + math.sqrt(0.5)
    assert (start.x, start.y) == pytest.approx((low, low))
    assert (end.x, end.y) == pytest.approx((high, high))


@given(coverage=st.floats(0.05, 0.999))
def test_two_runs_on_a_hoop_leave_equal_gaps(coverage: float) -> None:
    hoop = path_of(Support.HOOP, width_m=2)
    long, short = runs(hoop, coverage, Placement.ASYMMETRIC)
    gap = short.start_m - long.end_m
    other = long.start_m + hoop.length_m - short.end_m
    assert gap == pytest.approx(other, abs=1e-9)
    assert long.length_m == pytest.approx(2 * short.length_m)


def test_every_row_of_a_ceiling_is_a_run() -> None:
    ceiling = path_of(Support.CEILING, length_m=5, width_m=2.4)
    assert placed(ceiling, Placement.WHOLE) == [0, 5, 5, 10, 10, 15, 15, 20]
    # Four rows of 5 m, the middle half of each: from 1.25 to 3.75 m along it.
    middles = [start + at for start in (0, 5, 10, 15) for at in (1.25, 3.75)]
    assert placed(ceiling, Placement.CENTRED) == pytest.approx(middles)


def test_each_run_has_its_own_knots_and_tails() -> None:
    two = (Run(start_m=0, length_m=4), Run(start_m=8, length_m=2))
    line = line_for(two, fixings())
    # 4 x 1.1 + 2 x 0.9144 and 2 x 1.1 + 2 x 0.9144
    assert line.length_m == pytest.approx(6.2288 + 4.0288)
    assert (line.lengths, line.joins) == (2, 0)
    assert line.length_m == sum(line_length(run.length_m, fixings()) for run in two)


def test_a_run_longer_than_the_spool_is_joined_and_every_join_takes_line() -> None:
    line = line_for((Run(start_m=0, length_m=10),), fixings(spool_m=5))
    # 10 x 1.1 + 1.8288 = 12.8288; three lengths of 5 m reach 15 - 2 x 0.2 = 14.6, two only 9.8
    assert (line.lengths, line.joins) == (3, 2)
    assert line.length_m == pytest.approx(12.8288 + 2 * 0.2)


@given(line_m=st.floats(0.1, 300), piece_m=st.floats(0.5, 100), join_m=st.floats(0, 0.4))
def test_lengths_reach_and_one_fewer_would_not(
    line_m: float, piece_m: float, join_m: float
) -> None:
    number = lengths_needed(line_m, piece_m=piece_m, join_m=join_m)
    reach = number * piece_m - (number - 1) * join_m
    assert reach >= line_m * (1 - 1e-6)
    assert number == 1 or reach - (piece_m - join_m) < line_m


def test_a_join_must_leave_something_of_a_length() -> None:
    with pytest.raises(ValueError, match="leaves nothing"):
        lengths_needed(3, piece_m=0.2, join_m=0.2)


def test_260s_are_counted_with_the_knots_between_them() -> None:
    assert long_260s(LONG_260_M, join_m=0.1) == 1
    # Four reach 4 x 1.524 - 3 x 0.1 = 5.796 m.
    assert long_260s(5.79, join_m=0.1) == 4
    assert long_260s(5.80, join_m=0.1) == 5


def test_a_knot_is_tied_for_each_cluster_each_join_and_each_end() -> None:
    line = line_for((Run(start_m=0, length_m=10), Run(start_m=12, length_m=1)), fixings(spool_m=5))
    assert (line.lengths, line.joins) == (4, 2)
    assert knots(line, 30) == 30 + 2 + 4


@given(path=paths(), coverage=coverages, placement=placements, spacing=st.floats(0.1, 3))
def test_every_run_is_held_at_its_ends_and_often_enough_between(
    path: Path, coverage: float | None, placement: Placement, spacing: float
) -> None:
    for run in runs(path, coverage, placement):
        points = attachments(run, spacing)
        assert points[0] == run.start_m
        ends = (*points, run.end_m) if run.closed else points
        assert ends[-1] == run.end_m
        slack = 1e-8 * spacing + 1e-12 * path.length_m
        assert all(0 < after - before <= spacing + slack for before, after in pairwise(ends))
        # One point fewer would leave too wide a gap, except at the two that every run has.
        assert len(points) == 2 or run.length_m / (len(ends) - 2) > spacing


@given(length=st.floats(0.2, 100), closed=st.booleans())
def test_points_are_counted_as_they_are_placed(length: float, closed: bool) -> None:
    run = Run(start_m=0, length_m=length, closed=closed)
    held = attachments(run, fixings().spacing_m)
    assert attachment_points(length, fixings(), closed=closed) == len(held)


def test_a_closed_run_is_held_once_where_it_meets_itself() -> None:
    around = Run(start_m=0, length_m=4, closed=True)
    assert attachments(around, 1) == (0, 1, 2, 3)
    assert attachments(Run(start_m=0, length_m=4), 1) == (0, 1, 2, 3, 4)
