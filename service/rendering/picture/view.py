"""Where the things of a scene come to lie on the sheet, in pixels."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from service.estimating import Point
from service.workshop.scene import Ball, Scene

# Of the sheet's height: left free above for air, and below for the line of small print.
_ABOVE, _BELOW, _BESIDE = 0.035, 0.065, 0.03


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """A place on the sheet [px from its top left], and how many pixels a metre has there."""

    x: float
    y: float
    scale: float

    @property
    def xy(self) -> tuple[float, float]:
        """The place alone."""
        return self.x, self.y


@dataclass(frozen=True, kw_only=True, slots=True)
class View:
    """A scene on a sheet of `width` by `height` pixels.

    `scale` is pixels to the metre in the plane z = 0, `left` and `floor` the pixels of its u = 0
    and v = 0.
    """

    scene: Scene
    width: int
    height: int
    scale: float
    left: float
    floor: float

    def at(self, point: Point) -> Spot:
        """Where a point of the scene is seen."""
        seen = self.scene.seen(point)
        return Spot(
            x=self.left + seen.u * self.scale,
            y=self.floor - seen.v * self.scale,
            scale=seen.scale * self.scale,
        )

    def of_balls(self, balls: Sequence[Ball]) -> NDArray[np.float64]:
        """For each ball its middle and its diameter on the sheet: x, y, diameter [px]."""
        eye = self.scene.eye
        at = np.array([(ball.x, ball.y, ball.z, ball.diameter_m) for ball in balls]).reshape(-1, 4)
        nearer = eye.z / (eye.z - at[:, 2])
        u, v = eye.x + (at[:, 0] - eye.x) * nearer, eye.y + (at[:, 1] - eye.y) * nearer
        x, y = self.left + u * self.scale, self.floor - v * self.scale
        return np.stack([x, y, at[:, 3] * nearer * self.scale], axis=1)


def view_of(scene: Scene, width: int, height: int) -> View:
    """The scene's window as large as it fits, in the middle, low rather than high."""
    window = scene.window
    room = height * (1 - _ABOVE - _BELOW)
    scale = min(width * (1 - 2 * _BESIDE) / window.width_m, room / window.height_m)
    spare = room - window.height_m * scale
    bottom = height * (1 - _BELOW) - 0.42 * spare
    middle = (window.left + window.right) / 2
    return View(
        scene=scene,
        width=width,
        height=height,
        scale=scale,
        left=width / 2 - middle * scale,
        floor=bottom + window.bottom * scale,
    )
