"""Supports, their measures and their usual sizes."""

from typing import get_args

import pytest

from bot.dialogue.draft import Piece
from bot.dialogue.supports import (
    SUPPORTS,
    missing_measures,
    rebuilt,
    rise_and_run,
    size_choices,
    sized,
    stairs,
    usual,
)
from service.contract.brief import SupportName
from tests.bot.dialogue.talking import Talk


def test_every_support_of_the_wire_is_known() -> None:
    assert set(SUPPORTS) == set(get_args(SupportName))


@pytest.mark.parametrize("support", SUPPORTS)
def test_a_usual_size_completes_any_piece_and_says_that_it_was_assumed(support: str) -> None:
    piece = usual(Piece(support=support))
    assert missing_measures(piece) == ()
    assert piece.assumed


def test_a_usual_size_keeps_the_measure_that_the_client_gave() -> None:
    piece = usual(Piece(support="round_top_frame", height_m=2.5))
    assert (piece.width_m, piece.height_m, piece.assumed) == (1.2192, 2.5, True)


def test_choices_hold_on_to_a_known_measure() -> None:
    choices = size_choices(Piece(support="round_top_frame", height_m=2.4384))
    assert {height for _, height in choices} == {96}
    assert len(choices) == len(set(choices))


def test_a_pressed_size_keeps_a_metric_measure_exactly() -> None:
    piece = Piece(support="round_top_frame", height_m=2.1)  # shown as 83 in
    assert sized(piece, (48, 83)).height_m == 2.1


def test_stairs_of_a_run_and_a_rise_slope_as_pythagoras_says() -> None:
    assert stairs(4.0, 3.0) == {"width_m": 4.0, "height_m": 3.0, "length_m": 5.0}


def test_stairs_of_one_side_take_the_usual_slope() -> None:
    for run, rise in ((4.0, None), (None, 3.1)):
        told = stairs(run, rise)
        assert (told["width_m"], told["height_m"]) == (None, None)
        usual_rise, usual_run = rise_and_run(told["length_m"] or 0)
        assert usual_run == pytest.approx(4.0)
        assert usual_rise == pytest.approx(3.1)


def test_another_support_keeps_only_the_measures_it_takes() -> None:
    piece = rebuilt(Piece(length_m=3.0, count=3), "table")
    assert (piece.support, piece.length_m, piece.count) == ("table", 3.0, 3)
    assert rebuilt(Piece(length_m=3.0), "column").length_m is None


def test_stairs_keep_the_length_along_their_slope() -> None:
    rise, run = rise_and_run(4.0)
    assert (rise**2 + run**2) ** 0.5 == pytest.approx(4.0)
    assert rise / run == pytest.approx(7.75 / 10)


@pytest.mark.parametrize(
    ("named", "size"),
    [
        ("a round frame", "4 ft wide and 7 ft tall"),
        ("un marco redondo", "4 pies de ancho por 7 de alto"),
    ],
)
def test_a_hoop_that_turns_out_taller_than_wide_is_a_frame_round_at_its_top(
    named: str, size: str
) -> None:
    (piece,) = Talk().say(named, size).state.draft.pieces
    assert piece.support == "round_top_frame"
    assert (piece.width_m, piece.height_m) == pytest.approx((1.2192, 2.1336))
