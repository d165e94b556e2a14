"""What is behind the garland: a calm wall and floor in soft light, and the shadows on them."""

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter

from service.rendering.picture.stencil import XY
from service.rendering.picture.tones import OWN_TONE, Finish, oklab, ramp, rgb_of
from service.rendering.picture.view import View
from service.workshop.scene import Material, Scene

# Tried in this order: the first that every colour of the garland stands out from.
_TINTS = ("#DFD8CE", "#CFD6D9", "#D3D6CC", "#BDB6AD")
Floats = NDArray[np.float64]

_OUTDOORS = "#CBD8DE"
_STANDS_OUT = 0.045
# Colours of fewer balloons than that may be close to the wall.
_LEAST_SHARE = 0.06

_FLOORS = {False: "#CDC4B8", True: "#B4BBA0"}
# Where the floor turns up into the wall, without an edge [m behind z = 0].
_TURN_M = (0.9, 3.2)

# Shadows are soft: they are drawn so many times smaller.
_COARSER = 4
_INK = "#4B453F"
_WALL_SHADE, _FLOOR_SHADE, _SEEN = 84, 105, 3
# Of the way from garland to wall: how far the shadow falls aside and down.
_ASIDE, _DOWN = 0.55, 0.70
_AWAY_M, _NEAR_M = 1.1, 0.2
_FLOOR_FADES_M = 0.32
# What stands on the floor has a shadow at its foot.
_STANDING = (Material.FABRIC, Material.CLOTH, Material.STONE, Material.WOOD)
_UPRIGHT = (*_STANDING, Material.WALL)
_ON_THE_FLOOR_M = 0.02


def tint_of(scene: Scene) -> str:
    """The colour of the wall, which the garland's colours stand out from."""
    if scene.outdoors:
        return _OUTDOORS
    shares = _shares(scene)
    nearest = {tint: _nearest(tint, shares) for tint in _TINTS}
    for tint, distance in nearest.items():
        if distance >= _STANDS_OUT:
            return tint
    return max(nearest, key=lambda tint: nearest[tint])


def _shares(scene: Scene) -> Mapping[str, float]:
    counted: dict[str, int] = {}
    for ball in scene.balls:
        hex_ = scene.colours[ball.colour]
        counted[hex_] = counted.get(hex_, 0) + 1
    return {hex_: count / len(scene.balls) for hex_, count in counted.items()}


def _nearest(tint: str, shares: Mapping[str, float]) -> float:
    wall = oklab(rgb_of(tint))
    apart = (oklab(rgb_of(hex_)) - wall for hex_, share in shares.items() if share >= _LEAST_SHARE)
    return min((math.hypot(*distance) for distance in apart), default=1.0)


@lru_cache(maxsize=8)
def pool(width: int, height: int) -> Image.Image:
    """How light the room is over the sheet, as tones: a soft pool, brightest above on the left."""
    return Image.fromarray((_pool(width, height) * 255 + 0.5).astype(np.uint8))


def _pool(width: int, height: int) -> Floats:
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    away = np.hypot((x - 0.40) * 1.05, (y - 0.34) * 0.95)
    return np.clip(OWN_TONE + 0.13 - 0.27 * away**1.35, 0, 1)


@lru_cache(maxsize=8)
def in_the_room(width: int, height: int, hex_: str) -> Image.Image:
    """One colour all over the sheet in that light. A palette's steps would show as rings."""
    palette = np.frombuffer(ramp(hex_, Finish.SATIN), np.uint8).reshape(256, 3)
    tones, steps = _pool(width, height), np.linspace(0, 1, 256)
    bands = [np.interp(tones, steps, _smooth(palette[:, band])) for band in range(3)]
    return Image.fromarray((np.stack(bands, axis=-1) + 0.5).astype(np.uint8))


def _smooth(band: NDArray[np.uint8]) -> Floats:
    """A band of a palette without its rounding to whole numbers."""
    wide = np.pad(band.astype(float), 8, mode="edge")
    return np.convolve(wide, np.full(17, 1 / 17), mode="valid")


def backdrop(view: View, tint: str) -> Image.Image:
    """The bare room: the wall that turns into the floor."""
    wall = in_the_room(view.width, view.height, tint)
    floor = in_the_room(view.width, view.height, _FLOORS[view.scene.outdoors])
    return Image.composite(floor, wall, _turn(view))


def _turn(view: View) -> Image.Image:
    """How much of what is seen there is floor."""
    near, far = (_floor_at(view, _deepest(view.scene) - away) for away in _TURN_M)
    rows = np.clip((np.arange(view.height) - far) / max(1.0, near - far), 0, 1)
    rows = rows * rows * (3 - 2 * rows) * 255
    column = Image.fromarray(rows.astype(np.uint8)[:, None])
    return column.resize((view.width, view.height))


def _deepest(scene: Scene) -> float:
    """Where the rearmost row stands [m], which is on the floor too."""
    return min((ball.z for ball in scene.balls), default=0.0) if scene.ranked else 0.0


def _floor_at(view: View, z: float) -> float:
    """The row of the sheet where the floor at depth `z` is seen."""
    eye = view.scene.eye
    return view.floor - eye.y * (1 - eye.z / (eye.z - z)) * view.scale


def cast_at_feet(sheet: Image.Image, view: View) -> None:
    """The shadows on the floor along what stands on it."""
    shade = _Shade(view)
    for panel in view.scene.panels:
        foot = [view.at(corner).xy for corner in panel.corners if corner.y < _ON_THE_FLOOR_M]
        if panel.material in _STANDING and len(foot) > 1:
            shade.line(foot, 0.10 * view.scale, _FLOOR_SHADE)
    shade.cast(sheet, soft=0.045 * view.scale)


def cast_shadows(sheet: Image.Image, view: View) -> None:
    """The garland's shadow on what is behind it, and on the floor under it."""
    if not view.scene.balls:
        return
    seen = view.of_balls(view.scene.balls)
    if view.scene.ranked:
        _on_wall_behind(sheet, view, seen)
    elif (gap := _gap(view.scene)) is not None:
        _on_wall(sheet, view, seen, gap)
    _on_floor(sheet, view, seen)


def _on_wall(sheet: Image.Image, view: View, seen: Floats, gap: float) -> None:
    shade, away = _Shade(view), gap * view.scale
    for x, y, across in seen:
        shade.oval((x + _ASIDE * away, y + _DOWN * away), across / 2, across / 2, _WALL_SHADE)
    soft = 0.03 * view.scale + 0.16 * away
    shade.cast(sheet, soft=soft, where=ImageChops.invert(_turn(view)))


def _on_wall_behind(sheet: Image.Image, view: View, seen: Floats) -> None:
    """Of several rows only what hangs on the wall has its shadow there."""
    walls = [each.depth_m for each in view.scene.panels if each.material is Material.WALL]
    if walls:
        wall = max(walls)
        near = [ball.z - wall < _AWAY_M for ball in view.scene.balls]
        _on_wall(sheet, view, seen[near], _NEAR_M)


def _on_floor(sheet: Image.Image, view: View, seen: Floats) -> None:
    eye, shade = view.scene.eye, _Shade(view)
    for ball, (x, _y, across) in zip(view.scene.balls, seen, strict=True):
        under = max(0.0, ball.y - ball.diameter_m / 2)
        depth = round(_FLOOR_SHADE * math.exp(-under / _FLOOR_FADES_M))
        if depth > _SEEN:
            flat = eye.y * eye.z / (eye.z - ball.z) ** 2 * view.scale * ball.diameter_m / 2
            at = x + 0.1 * across, _floor_at(view, ball.z)
            shade.oval(at, across * 0.55, flat, depth)
    shade.cast(sheet, soft=0.045 * view.scale)


def _gap(scene: Scene) -> float | None:
    """How far behind the garland its shadow falls [m]; None where it has none to fall on."""
    if any(panel.material is Material.CEILING for panel in scene.panels):
        return None
    backs = [panel.depth_m for panel in scene.panels if panel.material in _UPRIGHT]
    middle = sum(ball.z for ball in scene.balls) / len(scene.balls)
    near = [middle - back for back in backs if back < middle]
    if near:
        return min(_AWAY_M, max(0.12, min(near)))
    return None if scene.outdoors else _AWAY_M


class _Shade:
    """Shadows being collected; where they overlap, the deepest counts."""

    def __init__(self, view: View) -> None:
        size = (-(-view.width // _COARSER), -(-view.height // _COARSER))
        self._mask = Image.new("L", size)
        self._draw = ImageDraw.Draw(self._mask)
        self._ovals: list[tuple[int, XY, float, float]] = []

    def oval(self, at: XY, across: float, upright: float, depth: int) -> None:
        self._ovals.append((depth, at, across, upright))

    def line(self, points: Sequence[XY], width: float, depth: int) -> None:
        coarse = [(x / _COARSER, y / _COARSER) for x, y in points]
        self._draw.line(coarse, fill=depth, width=max(1, round(width / _COARSER)))

    def cast(self, sheet: Image.Image, soft: float, where: Image.Image | None = None) -> None:
        for depth, (x, y), across, upright in sorted(self._ovals):
            box = (x - across, y - upright, x + across, y + upright)
            self._draw.ellipse([side / _COARSER for side in box], fill=depth)
        blurred = self._mask.filter(ImageFilter.GaussianBlur(soft / _COARSER))
        mask = blurred.resize(sheet.size, Image.Resampling.BILINEAR)
        sheet.paste(_INK, (0, 0), ImageChops.multiply(mask, where) if where else mask)
