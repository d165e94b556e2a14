from itertools import pairwise

import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from bot.understanding.palettes import dominant
from bot.understanding.shading import difference
from tests.bot.understanding.photos.drawing import balloons, pixels_of

SPRING = {"#a9b79a": 16, "#f1cfc8": 11, "#c9a24b": 6}
REGATTA = {"#1c2a4a": 14, "#a9d3ee": 9, "#c91f2b": 4}
PARTY = {"#e8327c": 14, "#f58220": 10, "#0f7c82": 7, "#f8d12e": 5}


def near(found: str, drawn: str) -> float:
    return Color(found).delta_e(drawn, method="2000")


@pytest.mark.parametrize("drawn", [SPRING, REGATTA, PARTY])
@pytest.mark.parametrize("noise", [0.0, 4.0])
def test_the_colours_drawn_are_found_in_the_order_of_their_area(
    drawn: dict[str, int], noise: float
) -> None:
    found = dominant(pixels_of(balloons(drawn, noise=noise)), most=5, seed=0)
    in_colour = [colour for colour in found if near(colour, "#e9e5df") > 3]
    assert len(in_colour) == len(drawn)
    assert all(near(one, other) < 2 for one, other in zip(in_colour, drawn, strict=True))


@pytest.mark.parametrize("drawn", [SPRING, REGATTA, PARTY])
def test_balloons_lit_from_one_side_before_a_wall_in_half_shadow_keep_their_colours(
    drawn: dict[str, int],
) -> None:
    image = balloons(drawn, noise=5, shade=0.3, wall_shade=0.3)
    found = dominant(pixels_of(image), most=5, seed=0)
    for colour in drawn:
        assert min(difference(colour, one, 2.0) for one in found) < 8


def test_a_grey_wall_counts_less_than_the_balloons_before_it_and_is_not_lost() -> None:
    balloon, wall = np.tile([36.0, 105, 184], (300, 1)), np.tile([200.0, 198, 196], (800, 1))
    found = dominant(np.concatenate([balloon, wall]), most=5, seed=0)
    assert found == ("#2469b8", "#c8c6c4")


def test_whites_and_greys_are_found_though_they_have_no_colour() -> None:
    drawn = {"#fdfdfb": 9, "#9c9fa3": 7}
    found = dominant(pixels_of(balloons(drawn, wall="#17171a")), most=5, seed=0)
    assert len(found) == 3
    assert all(min(near(one, colour) for one in found) < 2 for colour in (*drawn, "#17171a"))


def test_a_run_from_one_colour_to_another_shows_both_ends() -> None:
    run = np.linspace([245.0, 155, 187], [107.0, 58, 151], 20_000)
    found = dominant(run, most=5, seed=0)
    assert min(near(colour, "#f59bbb") for colour in found) < 12
    assert min(near(colour, "#6b3a97") for colour in found) < 12


@pytest.mark.parametrize("most", [1, 2, 5])
def test_no_more_are_found_than_wanted_and_none_twice(most: int) -> None:
    found = dominant(pixels_of(balloons(PARTY, noise=12, shade=0.5)), most=most, seed=0)
    assert len(found) == most
    assert all(difference(one, other, 2.0) >= 8 for one, other in pairwise(found))


def test_the_same_pixels_have_the_same_colours() -> None:
    pixels = pixels_of(balloons(PARTY, noise=10, shade=0.4))
    assert dominant(pixels, most=5, seed=3) == dominant(pixels.copy(), most=5, seed=3)


def test_nothing_has_no_colour_and_one_pixel_has_its_own() -> None:
    assert dominant(np.empty((0, 3)), most=5, seed=0) == ()
    assert dominant(np.array([[201.0, 31, 43]]), most=5, seed=0) == ("#c91f2b",)


@given(st.lists(st.tuples(*[st.integers(0, 255)] * 3), min_size=1, max_size=40), st.integers(1, 6))
def test_any_pixels_give_some_colours(pixels: list[tuple[int, int, int]], most: int) -> None:
    found = dominant(np.array(pixels, dtype=float), most=most, seed=0)
    assert 1 <= len(found) <= most
    assert all(Color(colour).in_gamut("srgb") for colour in found)
