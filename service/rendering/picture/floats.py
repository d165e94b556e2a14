"""Balloons that float on helium, each on its ribbon above a weight."""

import math

from PIL import Image

from service.estimating import FloatKind
from service.rendering.picture.foils import puffed
from service.rendering.picture.light import GLOSS, sprite
from service.rendering.picture.stencil import XY, Stencil
from service.rendering.picture.tones import Finish, ramp, shade_of
from service.rendering.picture.view import Spot, View
from service.workshop.scene import Float, FoilSort

_STRING = "#B9B0A4"
_FOIL_SHAPES = {
    FloatKind.FOIL_HEART: "heart",
    FloatKind.FOIL_STAR: "star",
    FloatKind.FOIL_ROUND: "round",
    FloatKind.FOIL_SHAPE: "round",
}


def draw_float(sheet: Image.Image, view: View, floating: Float) -> None:
    """A helium balloon, upright above its ribbon and weight."""
    spot, weight = view.at(floating.centre), view.at(floating.weight)
    across = max(6, round(floating.diameter_m * spot.scale))
    _draw_string(sheet, (spot.x, spot.y + 0.5 * across), weight)
    shape = _FOIL_SHAPES.get(floating.kind)
    if shape is not None:
        puffed(sheet, spot.xy, (across, across), floating.hex, FoilSort.SHAPE, shape)
        return
    maps = sprite(across, Finish.SATIN)
    # Upright it is a little longer than wide.
    size = (across, round(1.12 * across))
    tone, gloss, cover = (each.resize(size) for each in (maps.tone, maps.gloss, maps.cover))
    tone.putpalette(ramp(floating.hex, Finish.SATIN))
    left, top = round(spot.x - size[0] / 2), round(spot.y - size[1] / 2)
    _draw_neck(sheet, (spot.x, top + size[1]), across, floating.hex)
    sheet.paste(tone.convert("RGB"), (left, top), cover)
    sheet.paste(GLOSS, (left, top, left + size[0], top + size[1]), gloss)


def _draw_neck(sheet: Image.Image, at: XY, across: float, hex_: str) -> None:
    x, y = at
    half = 0.06 * across
    corners = [(x, y - 0.06 * across), (x - half, y + half), (x + half, y + half)]
    stencil = Stencil(corners, 2, sheet.size)
    if stencil.visible:
        stencil.polygon(corners)
        stencil.paint(sheet, shade_of(hex_, 120))


def _draw_string(sheet: Image.Image, top: XY, weight: Spot) -> None:
    shares = [k / 16 for k in range(17)]
    sway = 0.02 * (weight.y - top[1])
    line = [
        (
            top[0] + (weight.x - top[0]) * share + sway * math.sin(2 * math.pi * share),
            top[1] + (weight.y - top[1]) * share,
        )
        for share in shares
    ]
    stencil = Stencil(line, 4, sheet.size)
    if stencil.visible:
        stencil.line(line, max(1.2, 0.005 * weight.scale))
        half = 0.04 * weight.scale
        x, y = weight.xy
        stencil.polygon(
            [(x - half, y), (x + half, y), (x + half * 0.6, y - half), (x - half * 0.6, y - half)]
        )
        stencil.paint(sheet, _STRING)
