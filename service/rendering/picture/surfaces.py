"""Panels, and rods: what the garland hangs on and stands before."""

import math
from collections.abc import Mapping
from itertools import pairwise

import numpy as np
from PIL import Image, ImageChops

from service.estimating import Point
from service.rendering.picture.backdrop import in_the_room, pool
from service.rendering.picture.light import LIGHT
from service.rendering.picture.stencil import Stencil
from service.rendering.picture.tones import Finish, ramp
from service.rendering.picture.view import View
from service.workshop.scene import Material, Panel, Rod

_HEX: Mapping[Material, str] = {
    Material.METAL: "#A7A39D",
    Material.WOOD: "#B08A63",
    Material.CORD: "#D8CFC0",
    Material.FABRIC: "#EFE8DC",
    Material.CLOTH: "#F2EDE4",
    Material.TRIM: "#F1ECE4",
    Material.CEILING: "#EFEBE5",
    Material.DARK: "#57504B",
    Material.STONE: "#B7B0A6",
}
# How much lighter a face is that looks at the lamp, in tones.
_FACING = 58
# A face towards the viewer takes this share of the lamp.
_FRONT = float(LIGHT[2])

# Folds of a cloth, in tones about a level.
_LEVEL, _FOLD_DEPTH = 128, 14

# A round rod: its dark side, and the light along it.
_DARK_SIDE, _LIGHT_SIDE = 96, 196


def draw_panel(sheet: Image.Image, view: View, panel: Panel, tint: str) -> None:
    """Fill the panel in its material, lighter where it faces the lamp."""
    corners = [view.at(corner).xy for corner in panel.corners]
    stencil = Stencil(corners, 1, sheet.size)
    if not stencil.visible:
        return
    stencil.polygon(corners)
    box = (stencil.left, stencil.top)
    area = (*box, box[0] + stencil.width, box[1] + stencil.height)
    brighter = round(_FACING * (_towards_lamp(panel.corners) - _FRONT))
    colour = panel.hex or _HEX.get(panel.material, tint)
    if panel.material is Material.WALL:
        stencil.paint(sheet, in_the_room(*sheet.size, colour).crop(area))
        return
    tone = pool(*sheet.size).crop(area).point(lambda level: level + brighter)
    if panel.material is Material.CLOTH:
        tone = ImageChops.add(tone, _folds(tone.size), offset=-_LEVEL)
    tone.putpalette(ramp(colour, Finish.SATIN))
    stencil.paint(sheet, tone.convert("RGB"))


def _folds(size: tuple[int, int]) -> Image.Image:
    """Tones to be added to a cloth that hangs: it falls in soft folds, deeper lower down."""
    across = np.arange(size[0]) / size[0] * 2 * math.pi
    folds = np.sin(11 * across) + 0.5 * np.sin(7 * across + 1)
    down = np.linspace(0.15, 1, size[1])[:, None]
    return Image.fromarray((_LEVEL + _FOLD_DEPTH * folds * down).astype(np.uint8))


def _towards_lamp(corners: tuple[Point, ...]) -> float:
    first, second, third = (np.array([p.x, p.y, p.z]) for p in corners[:3])
    normal = np.cross(second - first, third - first)
    length = float(np.linalg.norm(normal))
    if not length:
        return _FRONT
    normal = normal / length
    towards = normal if normal[2] > 0.01 or (abs(normal[2]) <= 0.01 and normal[1] > 0) else -normal
    return float(towards @ LIGHT)


def rod_parts(rod: Rod) -> list[tuple[float, tuple[Point, Point]]]:
    """The straight parts of a rod, each with its own depth: the garland winds about them."""
    return [((a.z + b.z) / 2, (a, b)) for a, b in pairwise(rod.points)]


def draw_rod(sheet: Image.Image, view: View, rod: Rod, part: tuple[Point, Point]) -> None:
    """A straight part of a rod, round and lit from above on the left."""
    start, end = (view.at(point) for point in part)
    width = max(1.5, rod.thickness_m * start.scale)
    palette = ramp(_HEX.get(rod.material, _HEX[Material.METAL]), Finish.SATIN)
    for share, aside, tone in ((1.0, 0.0, _DARK_SIDE), (0.55, -0.16, _LIGHT_SIDE)):
        moved = width * aside
        line = [(spot.x + moved, spot.y + moved) for spot in (start, end)]
        stencil = Stencil(line, width, sheet.size)
        if stencil.visible:
            stencil.line(line, width * share)
            stencil.paint(sheet, (*palette[3 * tone : 3 * tone + 3],))
