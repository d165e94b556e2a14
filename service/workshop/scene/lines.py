"""The line that a stretch of garland is tied to, as it is drawn: the path, or beside it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.estimating import Path, Point, Run

if TYPE_CHECKING:
    from service.workshop.scene.relaxing import Floats

TO_THE_VIEWER = Point(x=0.0, y=0.0, z=1.0)

_STEP_M = 0.04
_ASIDE_M = 0.15
"""So far before and behind a place its direction is taken: at a corner clusters fan out."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Tie:
    """A place on the line, and directions from it of length 1.

    `forward` goes along the line, `seen` to those who look at it, and `outward` across both,
    which in an arch is away from its opening.
    """

    at: Floats
    forward: Floats
    seen: Floats
    outward: Floats

    def round(self, angle: float, reach_m: float, shift_m: float = 0.0) -> Floats:
        """A place `reach_m` off the line: at 0 where it is seen, at a right angle outward."""
        across = math.cos(angle) * self.seen + math.sin(angle) * self.outward
        return self.at + reach_m * across + shift_m * self.forward


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One run's line: its corners, and how far along the run [m] each of them is."""

    run: Run
    corners: Floats
    walked_m: Floats
    seen: Floats

    def ties(self, places_m: Sequence[float]) -> list[Tie]:
        """The line at places along the path [m] that are within its run."""
        import numpy as np

        places = np.asarray(places_m)
        here = self._at(places)
        ways = self._at(places + _ASIDE_M) - self._at(places - _ASIDE_M)
        forward = ways / np.maximum(np.linalg.norm(ways, axis=1), 1e-9)[:, None]
        outward = np.cross(self.seen, forward)
        return [
            Tie(at=at, forward=way, seen=self.seen, outward=out)
            for at, way, out in zip(here, forward, outward, strict=True)
        ]

    def _at(self, places: Floats) -> Floats:
        import numpy as np

        along = places - self.run.start_m
        # Round a closed line it goes on from its start; an open one ends where it ends.
        held = along % self.run.length_m if self.run.closed else along
        return np.stack([np.interp(held, self.walked_m, axis) for axis in self.corners.T], axis=1)


def line_of(path: Path, run: Run, seen: Point, aside_m: float) -> Line:
    """The line of `run`, everywhere `aside_m` outward of `path`; a longer way is walked evenly."""
    import numpy as np

    number = max(8, math.ceil(run.length_m / _STEP_M))
    points = (path.at(run.start_m + run.length_m * i / number) for i in range(number + 1))
    on_path = np.array([(point.x, point.y, point.z) for point in points])
    towards = np.array((seen.x, seen.y, seen.z))
    ways = np.diff(on_path, axis=0)
    ways /= np.maximum(np.linalg.norm(ways, axis=1), 1e-9)[:, None]
    outward = np.cross(towards, np.concatenate([ways, ways[-1:]]))
    corners = on_path + aside_m * outward
    walked = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(corners, axis=0), axis=1))])
    return Line(
        run=run, corners=corners, walked_m=walked * (run.length_m / walked[-1]), seen=towards
    )
