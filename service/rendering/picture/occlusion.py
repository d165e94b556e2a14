"""How much light reaches each ball past its neighbours: what makes a garland look deep.

For spheres both parts are closed forms: a sphere of radius r at distance d takes (r / d)^2 of the
light that comes from its side, weighed by how much the surface faces it (Inigo Quilez, "Sphere
ambient occlusion", 2007, from the form factor of a sphere); and past the lamp it throws a shadow
that softens with the way.
"""

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from service.rendering.picture.light import LIGHT

Floats = NDArray[np.float32]

# Farther than so many of its radii a neighbour takes less than a twentieth.
_REACH = 2.2
# No crevice is black: balloons shine through, and on one another.
_TAKEN, _SHADED = 0.60, 0.50
# Near the floor little light comes from below.
_FLOOR_M = 0.30


def light_left(at: Floats, radius: Floats, points: int) -> NDArray[np.uint8]:
    """For each ball the light left on its visible side, 255 where nothing is in its way.

    A grid of `points` by `points` over each ball, as rows. `at` are centres [m] with y up from the
    floor, `radius` [m].
    """
    normals = _normals(points)
    lamp = LIGHT.astype(np.float32)
    left = np.empty((len(at), points, points), np.uint8)
    for number, apart, others in _neighbourhoods(at, radius):
        own = radius[number]
        to = apart[None] - normals[:, None] * own
        open_ = _open(to, normals, others, lamp) * _above_floor(at[number], own, normals)
        left[number] = np.clip(open_ * 255, 0, 255).reshape(points, points)
    return left


def _neighbourhoods(at: Floats, radius: Floats) -> Iterator[tuple[int, Floats, Floats]]:
    """Each ball's number, the way to each of its neighbours, and their radii."""
    order = np.argsort(at[:, 0], kind="stable")
    sorted_at, sorted_radius = at[order], radius[order]
    widest = _REACH * radius.max(initial=0)
    # Only a stretch from left to right is looked at: all of it would take n squared.
    first = np.searchsorted(sorted_at[:, 0], sorted_at[:, 0] - sorted_radius - widest)
    last = np.searchsorted(sorted_at[:, 0], sorted_at[:, 0] + sorted_radius + widest)
    for place, number in enumerate(order):
        stretch = slice(first[place], last[place])
        apart = sorted_at[stretch] - sorted_at[place]
        reach = sorted_radius[place] + _REACH * sorted_radius[stretch]
        near = np.einsum("ij,ij->i", apart, apart) < reach**2
        near[place - first[place]] = False
        yield int(number), apart[near], sorted_radius[stretch][near]


def _open(to: Floats, normals: Floats, radius: Floats, lamp: Floats) -> Floats:
    far2 = np.einsum("pnk,pnk->pn", to, to)
    facing = np.einsum("pnk,pk->pn", to, normals) / np.sqrt(far2)
    taken = np.clip(facing * 0.9 + 0.1, 0, 1) * np.minimum(radius**2 / np.maximum(far2, 1e-6), 1)
    around = np.prod(1 - _TAKEN * taken, axis=1)
    way = to @ lamp
    beside = np.sqrt(np.maximum(far2 - way * way, 0)) - radius
    soft = 0.60 * np.maximum(way, 0) + 0.02
    clear = np.clip(beside / soft + 0.5, 0, 1)
    passes = np.where(way > 0, clear * clear * (3 - 2 * clear), 1)
    lit = np.prod(1 - _SHADED * (1 - passes), axis=1)
    open_: Floats = 0.58 * around + 0.42 * lit * np.sqrt(around)
    return open_


def _above_floor(centre: Floats, own: np.float32, normals: Floats) -> Floats:
    height = np.maximum(centre[1] + own * normals[:, 1], 0)
    down = np.maximum(-normals[:, 1], 0)
    share: Floats = 1 - 0.35 * down * np.exp(-height / _FLOOR_M)
    return share


@lru_cache(maxsize=16)
def _normals(points: int) -> Floats:
    axis = (np.arange(points) + 0.5) / points * 2 - 1
    x, y = np.meshgrid(axis, -axis)
    off = np.hypot(x, y)
    inward = np.minimum(1, 0.98 / np.maximum(off, 1e-9))
    x, y = x * inward, y * inward
    normals = np.stack([x, y, np.sqrt(1 - x * x - y * y)], axis=-1)
    return normals.reshape(-1, 3).astype(np.float32)
