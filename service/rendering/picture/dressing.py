"""What dresses a garland: blooms, sprigs, streamers, signs, and balloons that float on helium."""

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from PIL import Image, ImageDraw

from service.estimating import FloatKind
from service.rendering.picture.foils import puffed
from service.rendering.picture.lettering import fitted
from service.rendering.picture.light import sprite
from service.rendering.picture.stencil import XY, Ink, Stencil
from service.rendering.picture.tones import Finish, ramp
from service.rendering.picture.view import Spot, View
from service.workshop.scene import Bloom, Float, FoilSort, Sign, Sprig, Streamer

_GLOSS = (255, 253, 247)
_FINER = 2
_BOARD, _BOARD_EDGE, _LETTERS = "#FBF7EF", "#C9B48A", "#4A433C"
_SHADOW, _SHADOW_DEPTH = "#2E2A27", 70
_STRING = "#B9B0A4"
# A hanging ribbon turns over so often, in radians.
_TURN_A_METRE = 9.0
# The line of a ribbon is drawn so finely, and shaded in parts of so many places.
_FINELY, _FOLD = 8, 4

# Rings of petals from the outside in: how many, how far out, how large, all of the bloom's width;
# how light they are.
_RINGS = (
    (7, 0.270, 0.46, 28),
    (6, 0.185, 0.40, 16),
    (5, 0.110, 0.32, 4),
    (3, 0.050, 0.25, -14),
    (1, 0.000, 0.18, -30),
)
_FOIL_SHAPES = {
    FloatKind.FOIL_HEART: "heart",
    FloatKind.FOIL_STAR: "star",
    FloatKind.FOIL_ROUND: "round",
    FloatKind.FOIL_SHAPE: "round",
}


def _tone(hex_: str, level: int) -> Ink:
    """A colour at a tone from 0, deep shadow, to 255, full light."""
    palette = ramp(hex_, Finish.SATIN)
    return palette[3 * level], palette[3 * level + 1], palette[3 * level + 2]


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
    stencil.paint(sheet, _tone(sprig.hex, 110))
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
        stencil.paint(sheet, _tone(hex_, level if math.cos(along) * half < 0 else level - 20))


def _leaf_at(foot: XY, along: float, size: float, share: float, half: int = 0) -> XY:
    wide = half * 0.36 * size * math.sin(math.pi * share**0.85)
    return (
        foot[0] + math.cos(along) * size * share - math.sin(along) * wide,
        foot[1] + math.sin(along) * size * share + math.cos(along) * wide,
    )


def draw_streamer(sheet: Image.Image, view: View, streamer: Streamer) -> None:
    """A ribbon that turns as it hangs: narrower where it shows its edge, and darker at the back."""
    spots = _smooth([view.at(point) for point in streamer.points])
    width = max(3.0, streamer.width_m * spots[0].scale)
    turns = [math.cos(_TURN_A_METRE * (spot.y - spots[0].y) / spot.scale) for spot in spots]
    halves = [width / 2 * (0.55 + 0.45 * abs(turn)) for turn in turns]
    _draw_band(sheet, spots, [half + 0.8 for half in halves], _tone(streamer.hex, 96))
    _draw_band(sheet, spots, halves, _tone(streamer.hex, 198))
    for first in range(0, len(spots) - 1, _FOLD):
        part = slice(first, first + _FOLD + 1)
        if sum(turns[part]) < 0:
            _draw_band(sheet, spots[part], halves[part], _tone(streamer.hex, 162))


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


def draw_sign(sheet: Image.Image, view: View, sign: Sign) -> None:
    """A pale board with its words, or with a flourish where the client has not said which."""
    spot = view.at(sign.centre)
    half = sign.width_m * spot.scale / 2, sign.height_m * spot.scale / 2
    radius = 0.16 * half[1]
    cast_board(sheet, _box(spot, half, 0), radius)
    for inset, thick, ink in ((0.0, 0.0, _BOARD), (0.10, 0.028, _BOARD_EDGE)):
        box = _box(spot, half, inset * half[1])
        stencil = Stencil([box[:2], box[2:]], 2, sheet.size)
        if not stencil.visible:
            return
        if thick:
            stencil.frame(box, radius * 0.7, max(1.0, thick * half[1]))
        else:
            stencil.board(box, radius)
        stencil.paint(sheet, ink)
    if sign.words:
        _letter(ImageDraw.Draw(sheet), spot, sign.words, (1.66 * half[0], 1.5 * half[1]))
    else:
        _flourish(sheet, spot, 2 * half[0])


def _box(spot: Spot, half: tuple[float, float], inset: float) -> tuple[float, float, float, float]:
    across, upright = half[0] - inset, half[1] - inset
    return spot.x - across, spot.y - upright, spot.x + across, spot.y + upright


def cast_board(sheet: Image.Image, box: tuple[float, float, float, float], radius: float) -> None:
    """The soft shadow of a board that hangs before the garland."""
    soft = max(2.0, 0.6 * radius)
    moved = (box[0] + 0.4 * soft, box[1] + soft, box[2] + 0.4 * soft, box[3] + soft)
    stencil = Stencil([moved[:2], moved[2:]], 3 * soft, sheet.size)
    if stencil.visible:
        stencil.board(moved, radius)
        stencil.paint(sheet, _SHADOW, soft=soft, depth=_SHADOW_DEPTH)


def _letter(draw: ImageDraw.ImageDraw, spot: Spot, words: str, room: tuple[float, float]) -> None:
    lines, font = fitted(words, room)
    draw.multiline_text(
        spot.xy,
        "\n".join(lines),
        fill=_LETTERS,
        font=font,
        anchor="mm",
        align="center",
        spacing=0.3 * font.size,
    )


def _flourish(sheet: Image.Image, spot: Spot, wide: float) -> None:
    shares = [k / 24 for k in range(25)]
    wave = [
        (
            spot.x + (share - 0.5) * wide * 0.5,
            spot.y + wide * 0.035 * math.sin(4 * math.pi * share) * math.sin(math.pi * share),
        )
        for share in shares
    ]
    stencil = Stencil(wave, 4, sheet.size)
    stencil.line(wave, max(1.5, wide * 0.012))
    stencil.paint(sheet, _BOARD_EDGE)


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
    # Upright it is a little longer than wide, and narrower towards its neck.
    size = (across, round(1.12 * across))
    tone, gloss, cover = (each.resize(size) for each in (maps.tone, maps.gloss, maps.cover))
    tone.putpalette(ramp(floating.hex, Finish.SATIN))
    left, top = round(spot.x - size[0] / 2), round(spot.y - size[1] / 2)
    _draw_neck(sheet, (spot.x, top + size[1]), across, floating.hex)
    sheet.paste(tone.convert("RGB"), (left, top), cover)
    sheet.paste(_GLOSS, (left, top, left + size[0], top + size[1]), gloss)


def _draw_neck(sheet: Image.Image, at: XY, across: float, hex_: str) -> None:
    x, y = at
    half = 0.06 * across
    corners = [(x, y - 0.06 * across), (x - half, y + half), (x + half, y + half)]
    stencil = Stencil(corners, 2, sheet.size)
    if stencil.visible:
        stencil.polygon(corners)
        stencil.paint(sheet, _tone(hex_, 120))


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
