"""Balloons: shaded balls in their stock colours, dimmed where neighbours stand in the light."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops

from service.rendering.picture.light import GLOSS, sprite
from service.rendering.picture.occlusion import light_left
from service.rendering.picture.tones import finish_of, ramp
from service.rendering.picture.view import View

# Enough for the soft shades; a ball that is drawn small needs fewer.
_MOST_POINTS, _FEWEST_POINTS, _PIXELS_A_POINT = 14, 5, 5


class Balls:
    """The scene's balloons, ready to be drawn one by one."""

    def __init__(self, view: View) -> None:
        self._balls = view.scene.balls
        self._colours = view.scene.colours
        self._seen = view.of_balls(self._balls)
        self._points = _points(self._seen[:, 2])
        at = np.array([(ball.x, ball.y, ball.z) for ball in self._balls], np.float32)
        radius = np.array([ball.diameter_m / 2 for ball in self._balls], np.float32)
        self._light = light_left(at.reshape(-1, 3), radius, self._points)

    def __iter__(self) -> Iterator[tuple[float, int]]:
        """The depth of each [m], and its number."""
        return ((ball.z, number) for number, ball in enumerate(self._balls))

    def draw(self, sheet: Image.Image, number: int) -> None:
        """Put one on the sheet."""
        ball = self._balls[number]
        x, y, across = self._seen[number]
        diameter = max(3, round(across))
        finish = finish_of(ball.colour)
        maps = sprite(diameter, finish)
        light = self._light_on(number, diameter)
        tone = ImageChops.multiply(maps.tone, light)
        tone.putpalette(ramp(self._colours[ball.colour], finish))
        left, top = round(x - diameter / 2), round(y - diameter / 2)
        sheet.paste(tone.convert("RGB"), (left, top), maps.cover)
        box = (left, top, left + diameter, top + diameter)
        sheet.paste(GLOSS, box, ImageChops.multiply(maps.gloss, light))

    def _light_on(self, number: int, diameter: int) -> Image.Image:
        grid = Image.fromarray(self._light[number])
        return grid.resize((diameter, diameter), Image.Resampling.BICUBIC)


def _points(across: NDArray[np.float64]) -> int:
    """How fine the light on the balls is reckoned, by how large they are drawn."""
    usual = float(np.median(across)) if len(across) else 0.0
    return int(np.clip(usual / _PIXELS_A_POINT, _FEWEST_POINTS, _MOST_POINTS))
