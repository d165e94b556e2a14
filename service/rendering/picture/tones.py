"""From how much light falls on a colour to how it looks: 256 steps from deep shadow to full light.

Worked out in OKLab (Björn Ottosson, 2020), where equal steps look equal: a shade that is only
multiplied turns pastels grey.
"""

from dataclasses import dataclass
from enum import Enum
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Finish(Enum):
    """How a balloon's skin takes the light."""

    SATIN = "satin"
    PEARL = "pearl"
    METAL = "metal"


_METALS = {"gold", "silver", "copper", "bronze", "brass", "chrome", "metallic"}
_PEARLS = {"pearl", "pearly", "champagne"}


def finish_of(colour: str) -> Finish:
    """What the plain name of a colour tells of its finish."""
    words = set(colour.lower().split())
    if words & _METALS:
        return Finish.METAL
    return Finish.PEARL if words & _PEARLS else Finish.SATIN


@dataclass(frozen=True, kw_only=True, slots=True)
class _Reach:
    """How far a ramp goes from its colour.

    `shadow` is its lightness there as a share of the colour's own, `light` what the light adds of
    what is left to white; `deepen` and `fade` are what chroma gains and loses on the way.
    """

    shadow: float
    light: float
    deepen: float
    fade: float


_REACH = {
    Finish.SATIN: _Reach(shadow=0.50, light=0.34, deepen=0.30, fade=0.22),
    Finish.PEARL: _Reach(shadow=0.46, light=0.62, deepen=0.30, fade=0.45),
    Finish.METAL: _Reach(shadow=0.46, light=0.86, deepen=0.05, fade=0.55),
}

# Where on the ramp the colour itself lies.
OWN_TONE = 0.70
# White paper is no lighter than that: there has to be something left for the light.
_LIGHTEST = 0.955
# A black that swallowed everything would have no shape.
_DARKEST = 0.21

# Yellow in the shade turns to brown; to the eye a darker yellow alone is olive.
_BROWNS = 0.12

_TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_FROM_LMS, _FROM_LAB = np.linalg.inv(_TO_LMS), np.linalg.inv(_TO_LAB)


def rgb_of(hex_: str) -> Floats:
    """Red, green and blue of `#a3b899`, from 0 to 1."""
    return np.array([int(hex_[at : at + 2], 16) / 255 for at in (1, 3, 5)])


def oklab(rgb: Floats) -> Floats:
    """Lightness from 0 to 1, and the two axes of colour, of sRGB values from 0 to 1."""
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    lab: Floats = np.cbrt(linear @ _TO_LMS.T) @ _TO_LAB.T
    return lab


def srgb(lab: Floats) -> Floats:
    """The sRGB values from 0 to 1 of OKLab colours, cut off where no screen shows them."""
    linear = np.clip((lab @ _FROM_LAB.T) ** 3 @ _FROM_LMS.T, 0.0, 1.0)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


@lru_cache(maxsize=256)
def ramp(hex_: str, finish: Finish) -> bytes:
    """A palette of 256 colours for Pillow: the tone of a pixel is its index."""
    reach, own = _REACH[finish], oklab(rgb_of(hex_))
    own_light = float(np.clip(own[0], _DARKEST, _LIGHTEST))
    light = own_light + (1.0 - own_light) * reach.light
    lightness = _through(own_light * reach.shadow, own_light, light)
    chroma = _through(1 + reach.deepen * own_light, 1.0, 1 - reach.fade)
    shade = _through(_BROWNS, 0.0, 0.0) * max(0.0, own[2])
    lab = np.stack([lightness, own[1] * chroma + shade, own[2] * chroma], axis=1)
    return (srgb(lab) * 255 + 0.5).astype(np.uint8).tobytes()


def shade_of(hex_: str, level: int) -> tuple[int, int, int]:
    """A colour at a tone from 0, deep shadow, to 255, full light."""
    palette = ramp(hex_, Finish.SATIN)
    return palette[3 * level], palette[3 * level + 1], palette[3 * level + 2]


def _through(shadow: float, own: float, light: float) -> Floats:
    """Values for tones from 0 to 1, smooth where they pass the colour's own: a kink there would
    show as a line on every ball."""
    tones = np.linspace(0.0, 1.0, 256)
    below, above = (own - shadow) / OWN_TONE, (light - own) / (1 - OWN_TONE)
    middle = 2 * below * above / (below + above) if below * above > 0 else 0.0
    return np.where(
        tones < OWN_TONE,
        _hermite(tones / OWN_TONE, shadow, own, below * OWN_TONE, middle * OWN_TONE),
        _hermite(
            (tones - OWN_TONE) / (1 - OWN_TONE),
            own,
            light,
            middle * (1 - OWN_TONE),
            above * (1 - OWN_TONE),
        ),
    )


def _hermite(t: Floats, start: float, end: float, rise: float, fall: float) -> Floats:
    """The cubic from `start` to `end` with these slopes there."""
    return (
        (2 * t**3 - 3 * t**2 + 1) * start
        + (t**3 - 2 * t**2 + t) * rise
        + (3 * t**2 - 2 * t**3) * end
        + (t**3 - t**2) * fall
    )
