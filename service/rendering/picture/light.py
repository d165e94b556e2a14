"""How light falls on a ball: maps of tone, gloss and cover, as large as the ball is drawn."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from service.rendering.picture.tones import OWN_TONE, Finish

Floats = NDArray[np.float64]


def _unit(*vector: float) -> Floats:
    given = np.array(vector)
    unit: Floats = given / np.linalg.norm(given)
    return unit


# x right, y up, z to the viewer. A large soft window, high up on the left.
LIGHT = _unit(-0.46, 0.66, 0.60)
GLOSS = (255, 253, 247)
"""What shines on everything: daylight, a touch warm."""

_HALFWAY = _unit(*(LIGHT + np.array([0.0, 0.0, 1.0])))
_ACROSS = _unit(LIGHT[2], 0.0, -LIGHT[0])
_ALONG = np.cross(LIGHT, _ACROSS)


@dataclass(frozen=True, kw_only=True, slots=True)
class Sprite:
    """A ball of one size: `tone` of its skin, `gloss` on it, and `cover`, its edge smoothed."""

    tone: Image.Image
    gloss: Image.Image
    cover: Image.Image


@lru_cache(maxsize=512)
def sprite(diameter: int, finish: Finish) -> Sprite:
    """The maps of a ball that is `diameter` pixels across."""
    normal, cover = _round(diameter)
    tone, gloss = {
        Finish.SATIN: _satin,
        Finish.PEARL: _pearl,
        Finish.METAL: metal_tones,
    }[finish](normal)
    return Sprite(tone=_grey(tone), gloss=_grey(gloss * cover), cover=_grey(cover))


def _round(diameter: int) -> tuple[Floats, Floats]:
    """The outward normals of a ball, one row of (x, y, z) for each pixel, and its cover."""
    radius = diameter / 2
    axis = (np.arange(diameter) + 0.5 - radius) / radius
    x, y = np.meshgrid(axis, -axis)
    off = np.hypot(x, y)
    inward = np.minimum(1.0, 0.999 / np.maximum(off, 1e-9))
    x, y = x * inward, y * inward
    normal = np.stack([x, y, np.sqrt(np.maximum(0.0, 1 - x * x - y * y))], axis=-1)
    return normal, np.clip((1 - off) * radius + 0.5, 0.0, 1.0)


def _satin(normal: Floats) -> tuple[Floats, Floats]:
    """Latex: light wraps round it, a soft window shines on it, and its edge is a little deeper."""
    edge = (1 - normal[..., 2]) ** 3
    tone = _diffuse(normal) - 0.10 * edge + 0.09 * _reflected(normal)
    gloss = 0.40 * _window(normal, size=0.26, soft=0.20) + 0.15 * _sheen(normal, 10)
    return tone, gloss


def _pearl(normal: Floats) -> tuple[Floats, Floats]:
    tone = _diffuse(normal) + 0.16 * _sheen(normal, 4) + 0.10 * _reflected(normal)
    gloss = 0.34 * _window(normal, size=0.20, soft=0.20) + 0.30 * _sheen(normal, 9)
    return tone, gloss


def metal_tones(normal: Floats) -> tuple[Floats, Floats]:
    """Foil and metal: it mirrors a bright room above, a floor below, and a darker belt between."""
    up = 2 * normal[..., 2] * normal[..., 1]
    room = 0.50 + 0.30 * _step(up, -0.25, 0.95) + 0.10 * _step(-up, 0.35, 1.0)
    belt = 0.13 * np.exp(-(((up + 0.22) / 0.42) ** 2))
    tone = 0.42 * _diffuse(normal) + 0.64 * (room - belt) - 0.12 * (1 - normal[..., 2]) ** 3
    gloss = 0.60 * _window(normal, size=0.28, soft=0.26) + 0.24 * _sheen(normal, 7)
    return tone + 0.14 * _reflected(normal), gloss


def _diffuse(normal: Floats) -> Floats:
    facing = normal @ LIGHT
    wrapped: Floats = np.clip((facing + 0.45) / 1.45, 0.0, 1.0)
    return 0.22 + (OWN_TONE - 0.08) * wrapped + 0.10 * (0.5 + 0.5 * normal[..., 1])


def _reflected(normal: Floats) -> Floats:
    """What the surroundings give back to the side away from the light, close to the edge."""
    away = np.clip(-(normal[..., 0] * LIGHT[0] + normal[..., 1] * LIGHT[1]), 0.0, 1.0)
    reflected: Floats = away * (1 - normal[..., 2]) ** 1.6
    return reflected


def _sheen(normal: Floats, power: float) -> Floats:
    sheen: Floats = np.clip(normal @ _HALFWAY, 0.0, 1.0) ** power
    return sheen


def _window(normal: Floats, *, size: float, soft: float) -> Floats:
    """The window's own image: a square with round corners, where the ball mirrors the light."""
    mirrored = 2 * normal[..., 2:] * normal - [0.0, 0.0, 1.0]
    ahead = mirrored @ LIGHT
    off = (np.abs(mirrored @ _ACROSS) ** 3 + np.abs(mirrored @ _ALONG) ** 3) ** (1 / 3)
    off = off / np.maximum(ahead, 1e-3)
    return np.where(ahead > 0, _step(size + soft - off, 0.0, 2 * soft), 0.0)


def _step(value: Floats, low: float, high: float) -> Floats:
    share: Floats = np.clip((value - low) / (high - low), 0.0, 1.0)
    return share * share * (3 - 2 * share)


def _grey(values: Floats) -> Image.Image:
    return Image.fromarray((np.clip(values, 0.0, 1.0) * 255 + 0.5).astype(np.uint8))
