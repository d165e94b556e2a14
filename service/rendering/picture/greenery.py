"""Flowers and greenery: blooms seen from the front, and sprigs with their leaves in pairs."""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from PIL import Image

from service.rendering.picture.stencil import XY, Stencil
from service.rendering.picture.tones import Finish, ramp, shade_of
from service.rendering.picture.view import Spot, View
from service.workshop.scene import Bloom, Sprig

_FINER = 2
_SHADOW = "#2E2A27"

# Rings of petals from the outside in: how many, how far out, how large, all of the bloom's width;
# how light they are.
_RINGS = (
    (7, 0.270, 0.46, 28),
    (6, 0.185, 0.40, 16),
    (5, 0.110, 0.32, 4),
    (3, 0.050, 0.25, -14),
    (1, 0.000, 0.18, -30),
)


def draw_bloom(sheet: Image.Image, view: View, bloom: Bloom) -> None:
    """A flower, seen from the front."""
    spot = view.at(bloom.centre)
    flower, cover = _flower(max(6, round(bloom.diameter_m * spot.scale)), bloom.hex)
    left, top = round(spot.x - flower.width / 2), round(spot.y - flower.height / 2)
    sheet.paste(_SHADOW, (left + 2, top + 3), cover.point(lambda level: level * 60 // 255))
    sheet.paste(flower, (left, top), cover)


@lru_cache(maxsize=64)
def _flower(diameter: int, hex_: str) -> tuple[Image.Image, Image.Image]:
    """Petals in rings that close inwards, each a shallow bowl with a lighter edge."""
    fine = diameter * _FINER
    flower, cover = Image.new("RGB", (fine, fine)), Image.new("L", (fine, fine))
    palette = ramp(hex_, Finish.SATIN)
    for ring, (petals, out, size, lighter) in enumerate(_RINGS):
        petal, shape = _petal(max(3, round(size * fine)), lighter)
        petal.putpalette(palette)
        painted = petal.convert("RGB")
        for number in range(petals):
            turn = 2 * math.pi * (number / petals + 0.13 * ring) - 0.7
            x = fine / 2 + out * fine * math.cos(turn) - shape.width / 2
            y = fine / 2 + out * fine * math.sin(turn) - shape.height / 2
            flower.paste(painted, (round(x), round(y)), shape)
            cover.paste(255, (round(x), round(y)), shape)
    return flower.reduce(_FINER), cover.reduce(_FINER)


@lru_cache(maxsize=64)
def _petal(across: int, lighter: int) -> tuple[Image.Image, Image.Image]:
    """One petal as tones, and its cover: light along its rim, darker where the next one lies."""
    axis = (np.arange(across) + 0.5) / across * 2 - 1
    x, y = np.meshgrid(axis, axis)
    off = np.hypot(x, y)
    tone = 96 + 1.4 * lighter + 96 * np.clip(off, 0, 1) ** 2.6 - 14 * x - 22 * y
    cover = np.clip((1 - off) * across / 2 + 0.5, 0, 1) * 255
    return (
        Image.fromarray(np.clip(tone, 0, 255).astype(np.uint8)),
        Image.fromarray(cover.astype(np.uint8)),
    )


def draw_sprig(sheet: Image.Image, view: View, sprig: Sprig) -> None:
    """A stem that bends down a little, and round leaves in pairs along it."""
    start, tip = view.at(sprig.start), view.at(sprig.end)
    stem = _bent(start, tip)
    leaf = 0.075 * tip.scale
    stencil = Stencil(stem, 2 * leaf, sheet.size)
    if not stencil.visible:
        return
    stencil.line(stem, max(1.2, 0.006 * tip.scale))
    stencil.paint(sheet, shade_of(sprig.hex, 110))
    pairs = max(3, min(7, round(math.dist(start.xy, tip.xy) / (0.8 * leaf))))
    for number in range(pairs):
        at = (number + 0.8) / pairs * (len(stem) - 1)
        for side in (-1, 1):
            _draw_leaf(sheet, stem, min(at, len(stem) - 1.001), side, leaf, sprig.hex)


def _bent(start: Spot, tip: Spot) -> list[XY]:
    droop = 0.10 * math.dist(start.xy, tip.xy)
    shares = [k / 8 for k in range(9)]
    return [
        (
            start.x + (tip.x - start.x) * share,
            start.y + (tip.y - start.y) * share - droop * math.sin(math.pi * share),
        )
        for share in shares
    ]


def _draw_leaf(
    sheet: Image.Image, stem: Sequence[XY], at: float, side: int, leaf: float, hex_: str
) -> None:
    """A leaf in two halves, the upper one in the light; smaller towards the tip."""
    number = int(at)
    (x0, y0), (x1, y1) = stem[number], stem[number + 1]
    share = at - number
    foot = (x0 + (x1 - x0) * share, y0 + (y1 - y0) * share)
    along = math.atan2(y1 - y0, x1 - x0) + side * 0.85
    size = leaf * (1.15 - 0.55 * at / (len(stem) - 1))
    line = [_leaf_at(foot, along, size, k / 6) for k in range(7)]
    for half, level in ((-1, 200), (1, 150)):
        edge = [_leaf_at(foot, along, size, k / 6, half) for k in range(7)]
        stencil = Stencil([*line, *edge], 2, sheet.size)
        stencil.polygon([*line, *reversed(edge)])
        stencil.paint(sheet, shade_of(hex_, level if math.cos(along) * half < 0 else level - 20))


def _leaf_at(foot: XY, along: float, size: float, share: float, half: int = 0) -> XY:
    wide = half * 0.36 * size * math.sin(math.pi * share**0.85)
    return (
        foot[0] + math.cos(along) * size * share - math.sin(along) * wide,
        foot[1] + math.sin(along) * size * share + math.cos(along) * wide,
    )
