"""What comes onto the sheet: every balloon, the nearer before the farther, shadows, measures."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import ImageDraw
from scipy import ndimage

from service.estimating import Point
from service.leads.words import ENGLISH
from service.rendering import picture
from service.rendering.picture.view import view_of
from service.workshop.scene import Ball, Direction, Foil, FoilSort, Measure, Scene, scene_of
from tests.service.building import a_brief
from tests.service.rendering.picture.boarding import BOOK, a_ball, a_scene, pixels, the_estimate

WIDTH = 480
MIDDLE = Point(x=0.0, y=1.5)


def drawn(scene: Scene) -> NDArray[np.float64]:
    return pixels(picture.jpeg(scene, words=ENGLISH, width=WIDTH))


def in_the_middle(scene: Scene) -> float:
    """How light it is at the point that the eye looks at."""
    view = view_of(scene, WIDTH, picture.height_of(WIDTH))
    at = view.at(MIDDLE)
    return float(drawn(scene)[round(at.y) - 1 : round(at.y) + 2, round(at.x)].mean())


def test_as_many_balloons_are_on_the_sheet_as_the_estimate_counts() -> None:
    counted = sum(line.count for piece in the_estimate().pieces for line in piece.balloons)
    balls = scene_of(a_brief(), the_estimate(), BOOK, seed=7).balls
    columns = 20
    assert len(balls) <= columns * 15
    # Each in a place of its own, all dark, so that they can be told apart.
    apart = [
        replace(
            ball,
            x=-1.8 + 3.6 * (number % columns) / (columns - 1),
            y=0.15 + 0.19 * (number // columns),
            z=0.0,
            diameter_m=0.12,
            colour="navy",
        )
        for number, ball in enumerate(balls)
    ]
    spots, _ = ndimage.label(drawn(a_scene(apart)).mean(axis=2) < 0.4)
    # A balloon has some 150 pixels; what is in its gloss has a few.
    assert (np.bincount(spots.ravel())[1:] > 40).sum() == counted


@pytest.mark.parametrize(("near", "far"), [("navy", "white"), ("white", "navy")])
@pytest.mark.parametrize("nearest_first", [True, False])
def test_the_nearer_of_two_balloons_hides_the_farther(
    near: str, far: str, *, nearest_first: bool
) -> None:
    balls = [a_ball(0, 1.5, near, z=0.5), a_ball(0, 1.5, far, z=0.0)]
    light = in_the_middle(a_scene(balls if nearest_first else balls[::-1]))
    assert light > 0.6 if near == "white" else light < 0.4


@pytest.mark.parametrize(("depth_m", "seen"), [(0.4, True), (-0.4, False)])
def test_a_foil_hides_the_balloon_behind_it_and_not_the_one_before_it(
    depth_m: float, *, seen: bool
) -> None:
    foil = Foil(
        sort=FoilSort.SHAPE,
        text="heart",
        centre=Point(x=0.0, y=1.5, z=depth_m),
        width_m=0.5,
        height_m=0.5,
        hex="#E8C873",
    )
    light = in_the_middle(a_scene([a_ball(0, 1.5, "navy")], foils=(foil,)))
    assert (light > 0.4) is seen


def test_a_balloon_casts_a_soft_shadow_on_the_wall() -> None:
    def wall_about(balls: list[Ball]) -> NDArray[np.float64]:
        light: NDArray[np.float64] = drawn(a_scene(balls)).mean(axis=2)
        return light[100:260, 160:320]

    # The same colours in both, as the wall goes by them; the balloon there is 30 pixels across.
    there, away = (wall_about([a_ball(x, 1.5, "white")]) for x in (0.0, -1.6))
    y, x = np.mgrid[-80:80, -80:80]
    beside = np.hypot(x, y) > 22
    shadow = np.where(beside, away - there, 0.0)
    assert shadow.max() > 0.03
    # It has no edge: it deepens little by little.
    steps = np.abs(np.diff(ndimage.uniform_filter(shadow, 3), axis=1))[:, 110:]
    assert steps.max() < shadow.max() / 4


@pytest.mark.parametrize(
    ("metres", "said"), [(2.1336, "7′"), (2.2098, "7′ 3″"), (0.2032, "8″"), (1.8, "1.80 m")]
)
def test_a_dimension_says_how_long_it_is(
    metres: float, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    write = ImageDraw.ImageDraw.text

    def heard(self: ImageDraw.ImageDraw, xy: Any, text: str, *args: Any, **kwargs: Any) -> None:
        told.append(text)
        write(self, xy, text, *args, **kwargs)

    monkeypatch.setattr(ImageDraw.ImageDraw, "text", heard)
    ends = Point(x=0.0, y=0.5), Point(x=0.0, y=0.5 + metres)
    line = Measure(direction=Direction.HEIGHT, start=ends[0], end=ends[1], metres=metres)
    drawn(a_scene(measures=(line,)))
    assert told == [said]
