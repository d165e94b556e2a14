"""Ribbons that hang from a garland."""

import math
from collections.abc import Sequence

import numpy as np
from PIL import Image

from service.rendering.picture.stencil import Ink, Stencil
from service.rendering.picture.tones import oklab, rgb_of, shade_of
from service.rendering.picture.view import Spot, View
from service.workshop.scene import Streamer

# A hanging ribbon turns over so often, in radians.
_TURN_A_METRE = 9.0
# Its line is drawn so finely, and shaded in parts of so many places.
_FINELY, _FOLD = 8, 4
# Tones of its edge, front and back. A dark one shines: nothing else would show it on dark balloons.
_USUAL, _DARK = (96, 198, 162), (40, 255, 226)
_DARK_BELOW = 0.45


def draw_streamer(sheet: Image.Image, view: View, streamer: Streamer) -> None:
    """A ribbon that turns as it hangs: narrower where it shows its edge, and darker at the back."""
    spots = _smooth([view.at(point) for point in streamer.points])
    width = max(3.0, streamer.width_m * spots[0].scale)
    turns = [math.cos(_TURN_A_METRE * (spot.y - spots[0].y) / spot.scale) for spot in spots]
    halves = [width / 2 * (0.55 + 0.45 * abs(turn)) for turn in turns]
    edge, front, back = _DARK if oklab(rgb_of(streamer.hex))[0] < _DARK_BELOW else _USUAL
    _draw_band(sheet, spots, [half + 1.0 for half in halves], shade_of(streamer.hex, edge))
    _draw_band(sheet, spots, halves, shade_of(streamer.hex, front))
    for first in range(0, len(spots) - 1, _FOLD):
        part = slice(first, first + _FOLD + 1)
        if sum(turns[part]) < 0:
            _draw_band(sheet, spots[part], halves[part], shade_of(streamer.hex, back))


def _draw_band(
    sheet: Image.Image, spots: Sequence[Spot], halves: Sequence[float], ink: Ink
) -> None:
    sides = [
        [(spot.x + side * half, spot.y) for spot, half in zip(spots, halves, strict=True)]
        for side in (-1, 1)
    ]
    outline = [*sides[0], *reversed(sides[1])]
    stencil = Stencil(outline, 1, sheet.size)
    if stencil.visible:
        stencil.polygon(outline)
        stencil.paint(sheet, ink)


def _smooth(spots: Sequence[Spot]) -> list[Spot]:
    """More places along the same line."""
    ends = range(len(spots))
    fine = np.linspace(0, len(spots) - 1, _FINELY * len(spots))
    x, y = (np.interp(fine, ends, [at[k] for at in (s.xy for s in spots)]) for k in (0, 1))
    return [Spot(x=a, y=b, scale=spots[0].scale) for a, b in zip(x, y, strict=True)]
