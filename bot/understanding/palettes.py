"""The colours that make up a picture."""

from itertools import combinations
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from bot.understanding.shading import difference

Array: TypeAlias = NDArray[np.floating[Any]]

_MOST_PIXELS = 10_000
_CLUSTERS = 14  # more than are wanted: near ones are merged afterwards
# Colours nearer than this are one, CIEDE2000 with lightness counting half: a balloon is lit from
# one side.
_SAME, _LIGHTNESS = 8.0, 2.0
_LEAST_SHARE = 0.02  # what covers less is an edge, or dust
# How much a grey pixel counts beside a vivid one, and the OKLab chroma from which one is vivid:
# nobody sends a picture for the wall behind the balloons.
_GREY, _VIVID = 0.25, 0.05

# Björn Ottosson, "A perceptual color space for image processing", 2020.
_TO_CONES = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_TO_OKLAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_FROM_CONES, _FROM_OKLAB = np.linalg.inv(_TO_CONES), np.linalg.inv(_TO_OKLAB)


def dominant(pixels: Array, *, most: int, seed: int) -> tuple[str, ...]:
    """At most `most` colours of `pixels`, (n, 3) of sRGB from 0 to 255, the most prominent first.

    Prominent is what covers much, vivid colours before greys. Of more than 10,000 pixels some are
    picked with `seed`; the same picture has the same colours.
    """
    if not len(pixels):
        return ()
    rng = np.random.default_rng(seed)
    if len(pixels) > _MOST_PIXELS:
        pixels = pixels[rng.choice(len(pixels), _MOST_PIXELS, replace=False)]
    points = oklab(pixels)
    centres, members = _clustered(points, rng)
    shares = np.bincount(members, _weights(points), minlength=len(centres))
    found = _merged(list(zip(centres, shares / shares.sum(), strict=True)))
    ranked = sorted(found, key=lambda colour: -colour[1])
    return tuple(_hexed(centre) for centre, share in ranked[:most] if share >= _LEAST_SHARE)


def _weights(points: Array) -> Array:
    vivid = np.minimum(np.hypot(points[:, 1], points[:, 2]) / _VIVID, 1.0)
    return np.asarray(_GREY + (1 - _GREY) * vivid)


def _clustered(points: Array, rng: np.random.Generator) -> tuple[Array, NDArray[np.intp]]:
    """k-means: the centres, and for each point the index of its own."""
    from scipy.cluster.vq import kmeans, vq  # 0.5 s to import, for the few who send a picture

    centres, _ = kmeans(points, _apart(points, rng))
    members, _ = vq(points, centres)
    return centres, members


def _apart(points: Array, rng: np.random.Generator) -> Array:
    """Points to begin with, each likelier the further from those before (k-means++)."""
    chosen = [points[rng.integers(len(points))]]
    gaps = np.full(len(points), np.inf)
    while len(chosen) < _CLUSTERS:
        gaps = np.minimum(gaps, ((points - chosen[-1]) ** 2).sum(axis=1))
        if not gaps.any():
            break
        chosen.append(points[rng.choice(len(points), p=gaps / gaps.sum())])
    return np.array(chosen)


_Colour: TypeAlias = tuple[Array, float]  # where in OKLab, and its share of the picture


def _merged(colours: list[_Colour]) -> list[_Colour]:
    """`colours` with those that look alike made one, the nearest first: noise and shadows spread
    each to all sides of what it is."""
    while len(colours) > 1:
        one, other = min(combinations(colours, 2), key=_gap)
        if _gap((one, other)) >= _SAME:
            break
        share = one[1] + other[1]
        centre = (one[0] * one[1] + other[0] * other[1]) / share
        colours = [colour for colour in colours if colour is not one and colour is not other]
        colours.append((centre, share))
    return colours


def _gap(pair: tuple[_Colour, _Colour]) -> float:
    return difference(_hexed(pair[0][0]), _hexed(pair[1][0]), _LIGHTNESS)


def oklab(pixels: Array) -> Array:
    """Lightness from 0 to 1 and the two axes of colour of `pixels`, (n, 3) of sRGB to 255."""
    encoded = np.asarray(pixels, dtype=float) / 255
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.cbrt(linear @ _TO_CONES.T) @ _TO_OKLAB.T)


def _hexed(point: Array) -> str:
    cones = (_FROM_OKLAB @ point) ** 3
    linear = np.clip(_FROM_CONES @ cones, 0, 1)
    encoded = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(float(value) * 255):02x}" for value in encoded)
