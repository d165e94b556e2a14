"""Colours as the eye sees them: how different two are, and what mixing and tinting make of them.

Colours are sRGB as `#rrggbb`. coloraide takes 0.15 s to import, so it is fetched when first used.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coloraide import Color


@dataclass(frozen=True, kw_only=True)
class Tint:
    """A change of colour in OKLab: the lightness goes `by` of the way `towards` another, 0 black
    and 1 white, `chroma` multiplies how colourful it is, and `warmth` shifts it to yellow."""

    towards: float = 1.0
    by: float = 0.0
    chroma: float = 1.0
    warmth: float = 0.0


# Common practice, no source: what the words do to a colour, by eye.
TINTS: Mapping[str, Tint] = {
    **dict.fromkeys(("light", "lighter", "lite"), Tint(towards=0.95, by=0.5, chroma=0.65)),
    **dict.fromkeys(("pale", "whisper", "sheer"), Tint(towards=0.96, by=0.65, chroma=0.5)),
    **dict.fromkeys(("soft", "baby"), Tint(towards=0.93, by=0.5, chroma=0.6)),
    **dict.fromkeys(("icy", "ice"), Tint(towards=0.95, by=0.7, chroma=0.3, warmth=-0.01)),
    **dict.fromkeys(("dark", "darker"), Tint(towards=0.2, by=0.45, chroma=0.85)),
    **dict.fromkeys(("deep", "rich"), Tint(towards=0.25, by=0.35)),
    **dict.fromkeys(("dusty", "dusky", "smoky"), Tint(towards=0.68, by=0.35, chroma=0.5)),
    **dict.fromkeys(("muted", "faded"), Tint(towards=0.7, by=0.25, chroma=0.55)),
    **dict.fromkeys(("antique", "vintage"), Tint(towards=0.7, by=0.25, chroma=0.6, warmth=0.01)),
    **dict.fromkeys(("bright", "vivid"), Tint(towards=0.72, by=0.2, chroma=1.3)),
    **dict.fromkeys(("neon", "electric", "fluorescent"), Tint(towards=0.8, by=0.4, chroma=1.8)),
    "pastel": Tint(towards=0.91, by=0.65, chroma=0.6),
    "powder": Tint(towards=0.88, by=0.45, chroma=0.5),
    "hot": Tint(towards=0.62, by=0.4, chroma=1.6),
    "royal": Tint(towards=0.42, by=0.5, chroma=1.25),
    "burnt": Tint(towards=0.45, by=0.4, chroma=0.95),
    "warm": Tint(warmth=0.02),
    "cool": Tint(warmth=-0.02),
    # A finish, or no change at all.
    **dict.fromkeys(("metallic", "chrome", "shiny", "glossy", "pearl", "pearly"), Tint()),
    **dict.fromkeys(("matte", "satin", "medium", "true", "classic", "plain"), Tint()),
}


@lru_cache(maxsize=65_536)
def difference(one: str, other: str, lightness: float = 1.0) -> float:
    """CIEDE2000: about 1 is just to be seen, and from 10 on two colours have different names.

    `lightness` is its k_L: how many times more two may differ in lightness to count as much.
    """
    return float(_lab(one).delta_e(_lab(other), method="2000", kl=lightness))


@lru_cache(maxsize=4_096)
def mixed(one: str, other: str, share: float) -> str:
    """`one` mixed with a `share` of `other`."""
    pairs = zip(_oklab(one), _oklab(other), strict=True)
    return _hexed([a + share * (b - a) for a, b in pairs])


@lru_cache(maxsize=4_096)
def tinted(colour: str, tint: Tint) -> str:
    """`colour` made lighter, duller, warmer…, within what a screen can show."""
    lightness, a, b = _oklab(colour)
    lightness += tint.by * (tint.towards - lightness)
    return _hexed([lightness, a * tint.chroma, b * tint.chroma + tint.warmth])


@lru_cache(maxsize=4_096)
def _lab(colour: str) -> Color:
    from coloraide import Color

    return Color(colour).convert("lab-d65")


def _oklab(colour: str) -> list[float]:
    from coloraide import Color

    return Color(colour).convert("oklab").coords()


def _hexed(oklab: Sequence[float]) -> str:
    from coloraide import Color

    return Color("oklab", oklab).convert("srgb").fit().to_string(hex=True)
