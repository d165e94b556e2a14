"""Balloons keep the stock's colours and their shape, and stand out from the wall."""

import math

import numpy as np
import pytest

from service.leads.words import ENGLISH
from service.rendering import picture
from service.rendering.picture.backdrop import tint_of
from service.rendering.picture.light import sprite
from service.rendering.picture.tones import Finish, finish_of, oklab, ramp, rgb_of
from tests.service.rendering.picture.boarding import HEXES, a_ball, a_scene, pixels

# As far apart as two shades of one colour's name.
_ALIKE = 0.09


def shaded(colour: str) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    """The lit pixels of one balloon in OKLab."""
    finish = finish_of(colour)
    maps = sprite(80, finish)
    palette = np.frombuffer(ramp(HEXES[colour], finish), np.uint8).reshape(256, 3) / 255
    inside = np.asarray(maps.cover) == 255
    return oklab(palette[np.asarray(maps.tone)[inside]])


@pytest.mark.parametrize("colour", HEXES)
def test_a_balloon_has_its_stock_colour(colour: str) -> None:
    found = np.median(shaded(colour), axis=0)
    assert math.dist(found, oklab(rgb_of(HEXES[colour]))) < _ALIKE


@pytest.mark.parametrize("colour", ["white", "cream", "black", "navy", "forest green"])
def test_a_balloon_has_a_light_side_and_a_dark_one(colour: str) -> None:
    lightness = shaded(colour)[:, 0]
    dark, light = np.quantile(lightness, [0.02, 0.98])
    assert light - dark > 0.08


@pytest.mark.parametrize(
    ("colour", "finish"),
    [
        ("rose gold", Finish.METAL),
        ("chrome green", Finish.METAL),
        ("pearl white", Finish.PEARL),
        ("marigold", Finish.SATIN),
        ("dusty rose", Finish.SATIN),
    ],
)
def test_a_name_tells_the_finish(colour: str, finish: Finish) -> None:
    assert finish_of(colour) is finish


@pytest.mark.parametrize(
    "palette", [["white"], ["cream", "sand"], ["blush"], ["silver", "grey"], ["black"]]
)
def test_the_wall_is_one_that_the_colours_stand_out_from(palette: list[str]) -> None:
    wall = oklab(rgb_of(tint_of(a_scene([a_ball(0, 1, colour) for colour in palette]))))
    assert all(math.dist(wall, oklab(rgb_of(HEXES[each]))) > 0.04 for each in palette)


def test_a_balloon_behind_others_lies_in_their_shade() -> None:
    def lightness(*others: float) -> float:
        balls = [a_ball(0, 1.5, "white", z=-0.15)]
        balls += [a_ball(x, 1.6, "white", z=0.05) for x in others]
        drawn = pixels(picture.jpeg(a_scene(balls), words=ENGLISH, width=480))
        return float(drawn[176:188, 236:244].mean())

    assert lightness(-0.2, 0.2) < lightness() - 0.03
