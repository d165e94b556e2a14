"""Foils: digits, letters and shapes as puffed cushions of mirror film."""

import math
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from unicodedata import normalize

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageChops, ImageDraw, ImageFilter, ImageFont

from service.rendering.picture.light import GLOSS, metal_tones
from service.rendering.picture.shapes import Part, outline_of
from service.rendering.picture.stencil import XY
from service.rendering.picture.tones import Finish, ramp
from service.rendering.picture.view import View
from service.workshop.scene import Foil, FoilSort

Floats = NDArray[np.float64]

_FONTS = Path(__file__).parents[1] / "fonts"
_FINER = 3
# How fine the film's height is reckoned, and how often; how far it stands out.
_COARSE, _ROUNDS, _STANDS_OUT = 56, 160, 1.25
# Of its height: how far a glyph is swollen, the welded seam around a foil, and its creases.
_SWOLLEN, _SEAM, _CREASE = 0.055, 0.022, 0.045
_SEAM_SHADE = 0.16
# Corners of a film are round, of its height.
_ROUNDED = 0.022
_SHADOW, _SHADOW_DEPTH = "#2E2A27", 92


def draw_foil(sheet: Image.Image, view: View, foil: Foil) -> None:
    """Put a foil on the sheet, and its shadow on what is behind it."""
    spot = view.at(foil.centre)
    width, height = (max(6, round(side * spot.scale)) for side in (foil.width_m, foil.height_m))
    puffed(sheet, spot.xy, (width, height), foil.hex, foil.sort, foil.text)


def puffed(
    sheet: Image.Image, centre: XY, size: tuple[int, int], hex_: str, sort: FoilSort, text: str
) -> None:
    """A foil of a size in pixels about a place of the sheet."""
    colour, gloss, cover = _cushion(size, hex_, sort, text)
    left, top = round(centre[0] - size[0] / 2), round(centre[1] - size[1] / 2)
    _cast(sheet, cover, left, top)
    sheet.paste(colour, (left, top), cover)
    sheet.paste(GLOSS, (left, top, left + size[0], top + size[1]), gloss)


def _cast(sheet: Image.Image, cover: Image.Image, left: int, top: int) -> None:
    soft = max(2, cover.height // 22)
    wide = Image.new("L", (cover.width + 4 * soft, cover.height + 4 * soft))
    wide.paste(cover.point(lambda level: level * _SHADOW_DEPTH // 255), (2 * soft, 2 * soft))
    wide = wide.filter(ImageFilter.GaussianBlur(soft))
    at = (left - 2 * soft + soft // 2, top - 2 * soft + soft)
    sheet.paste(_SHADOW, (*at, at[0] + wide.width, at[1] + wide.height), wide)


@lru_cache(maxsize=64)
def _cushion(
    size: tuple[int, int], hex_: str, sort: FoilSort, text: str
) -> tuple[Image.Image, Image.Image, Image.Image]:
    """A foil's colour, the gloss on it, and its cover."""
    outline = _outline((size[0] * _FINER, size[1] * _FINER), sort, text)
    cover = outline.reduce(_FINER)
    edge = _edge(outline, size)
    tone, gloss = metal_tones(_normals(_inflated(outline, size), edge))
    shaded = _grey(tone - _SEAM_SHADE * edge)
    shaded.putpalette(ramp(hex_, Finish.METAL))
    return shaded.convert("RGB"), ImageChops.multiply(_grey(gloss), cover), cover


def _inflated(outline: Image.Image, size: tuple[int, int]) -> Floats:
    """How far the film stands out [px].

    A film under pressure is highest where it is farthest from its seams: as the root of the
    solution of Poisson's equation, zero along the outline, found on a coarse grid.
    """
    coarse = max(8, round(_COARSE * size[0] / size[1])), _COARSE
    inside = np.asarray(outline.resize(coarse, Image.Resampling.BOX)) / 255
    inside = np.pad(inside, 1)
    sag = np.zeros_like(inside)
    for _ in range(_ROUNDS):
        around = sag[:-2, 1:-1] + sag[2:, 1:-1] + sag[1:-1, :-2] + sag[1:-1, 2:]
        sag[1:-1, 1:-1] = inside[1:-1, 1:-1] * (1 + around) / 4
    grid = Image.fromarray(sag[1:-1, 1:-1].astype(np.float32))
    fine = np.asarray(grid.resize(size, Image.Resampling.BICUBIC))
    height: Floats = np.sqrt(np.maximum(fine, 0)) * (_STANDS_OUT * size[1] / _COARSE)
    return height


def _edge(outline: Image.Image, size: tuple[int, int]) -> Floats:
    """1 along the seam, fading inwards."""
    soft = outline.filter(ImageFilter.GaussianBlur(outline.height * _SEAM)).resize(size)
    edge: Floats = np.exp(-(((np.asarray(soft) / 255 - 0.60) / 0.16) ** 2))
    return edge


def _normals(height: Floats, edge: Floats) -> Floats:
    """The film's outward normals; along the seam it lies in small creases."""
    down, right = np.gradient(height)
    y, x = np.indices(height.shape)
    pitch = len(height) * _CREASE
    right = right + 0.22 * edge * np.sin(2 * math.pi * (x * 0.8 + y * 0.6) / pitch)
    down = down + 0.22 * edge * np.sin(2 * math.pi * (y * 0.8 - x * 0.6) / pitch + 1)
    normal = np.stack([-right, down, np.ones_like(height)], axis=-1)
    unit: Floats = normal / np.linalg.norm(normal, axis=-1, keepdims=True)
    return unit


def _grey(values: Floats) -> Image.Image:
    return Image.fromarray((np.clip(values, 0, 1) * 255 + 0.5).astype(np.uint8))


def _outline(size: tuple[int, int], sort: FoilSort, text: str) -> Image.Image:
    if sort is FoilSort.SHAPE and len(text) > 1:
        return _shape(size, outline_of(text))
    return _glyph(size, text)


def _glyph(size: tuple[int, int], text: str) -> Image.Image:
    """One character, swollen, as tall as the size and at most as wide: a narrow one stays so."""
    tall, margin = size[1], round(size[1] * 0.02)
    font = ImageFont.truetype(str(_FONTS / "Lato-Bold.ttf"), tall)
    # An accent must not flow together with its letter.
    accented = len(normalize("NFD", text)) > len(text)
    swollen = round(tall * _SWOLLEN * (0.5 if accented else 1))
    room = Image.new("L", (3 * tall, 2 * tall))
    ImageDraw.Draw(room).text(
        (tall * 1.5, tall), text, fill=255, font=font, anchor="mm", stroke_width=swollen
    )
    box = room.getbbox()
    glyph = room.crop(box) if box else Image.new("L", size, 255)
    high = tall - 2 * margin
    wide = min(size[0] - 2 * margin, round(high * glyph.width / glyph.height))
    large = Image.new("L", size)
    large.paste(glyph.resize((wide, high)), ((size[0] - wide) // 2, margin))
    soft = large.filter(ImageFilter.GaussianBlur(tall * 0.016))
    return soft.point(lambda level: max(0, min(255, (level - 112) * 8)))


def _shape(size: tuple[int, int], parts: Sequence[Part]) -> Image.Image:
    """A shape on the size; its corners rounded."""
    large = Image.new("L", size)
    draw, edge = ImageDraw.Draw(large), size[1] * 0.03
    half = size[0] / 2 - edge, size[1] / 2 - edge
    for part in parts:
        corners = [(size[0] / 2 + x * half[0], size[1] / 2 - y * half[1]) for x, y in part.line]
        draw.polygon(corners, fill=0 if part.hole else 255)
    soft = large.filter(ImageFilter.GaussianBlur(size[1] * _ROUNDED))
    return soft.point(lambda level: max(0, min(255, (level - 100) * 8)))
