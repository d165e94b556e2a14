from decimal import Decimal

import pytest

from service.estimating import Brief, BriefError, Budget, ColourShare, Piece, Site, Support


def faults_of(error: BriefError) -> dict[str, str]:
    return {problem.field: problem.detail for problem in error.problems}


@pytest.mark.parametrize(
    ("support", "needed"),
    [
        (Support.ROUND_TOP_FRAME, {"width_m", "height_m"}),
        (Support.SQUARE_FRAME, {"width_m", "height_m"}),
        (Support.DOORWAY, {"width_m", "height_m"}),
        (Support.FREESTANDING_ARCH, {"width_m", "height_m"}),
        (Support.HOOP, {"width_m"}),
        (Support.WALL, {"length_m"}),
        (Support.MANTEL, {"length_m"}),
        (Support.TABLE, {"length_m"}),
        (Support.CEILING, {"length_m"}),
        (Support.SWAG, {"width_m", "sag_m"}),
        (Support.STAIRCASE, {"rise_m", "run_m"}),
        (Support.COLUMN, {"height_m"}),
    ],
)
def test_a_support_names_the_measures_that_it_lacks(support: Support, needed: set[str]) -> None:
    with pytest.raises(BriefError) as caught:
        Piece(support=support)
    assert set(faults_of(caught.value)) == needed


def test_nine_hundred_feet_are_refused_with_what_is_allowed_and_what_to_do() -> None:
    with pytest.raises(BriefError) as caught:
        Piece(support=Support.WALL, length_m=900 * 0.3048)
    detail = faults_of(caught.value)["length_m"]
    assert "900 ft" in detail
    assert "30 m" in detail
    assert "Split it" in detail


def test_every_fault_of_a_piece_is_reported_at_once() -> None:
    with pytest.raises(BriefError) as caught:
        Piece(
            support=Support.HOOP,
            width_m=float("nan"),
            count=0,
            coverage=1.5,
            size_class=13,
            sized_m=2.0,
        )
    assert set(faults_of(caught.value)) == {
        "width_m", "count", "coverage", "size_class", "sized_m",
    }  # fmt: skip


def test_a_round_top_must_be_at_least_half_as_high_as_it_is_wide() -> None:
    with pytest.raises(BriefError, match=r"height_m: a round top 3 m wide"):
        Piece(support=Support.ROUND_TOP_FRAME, width_m=3, height_m=1)


def test_shares_that_leave_nothing_for_a_colour_are_refused() -> None:
    wall = Piece(support=Support.WALL, length_m=2)
    palette = (ColourShare(colour="sage", share=1.0), ColourShare(colour="gold"))
    with pytest.raises(BriefError, match="nothing for gold"):
        Brief(pieces=(wall,), palette=palette)


def test_more_garland_than_one_person_can_make_is_refused() -> None:
    with pytest.raises(BriefError, match="300 m"):
        Brief(pieces=(Piece(support=Support.WALL, length_m=20, count=20),))


def test_half_a_position_is_refused() -> None:
    with pytest.raises(BriefError, match="together"):
        Site(latitude=42.0)


def test_a_budget_upside_down_is_refused() -> None:
    with pytest.raises(BriefError, match="swap"):
        Budget(min=Decimal(500), max=Decimal(300))
