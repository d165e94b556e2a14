"""What tells the size: a plain figure as tall as a grown person, and dimension lines."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter

from service.leads.speech import msg
from service.leads.words import Words
from service.rendering.picture.lettering import font_for
from service.rendering.picture.light import sprite
from service.rendering.picture.stencil import XY, Stencil
from service.rendering.picture.tones import Finish, oklab, ramp, rgb_of, srgb
from service.rendering.picture.view import View
from service.workshop.scene import Direction, Measure, Person

Floats = NDArray[np.float64]

_LINE = (84, 77, 70)
_PAPER, _PAPER_DEPTH = (250, 248, 244), 228
# Of the sheet's width.
_LETTERS, _SMALL, _THIN = 1 / 34, 1 / 54, 1 / 640
# What is written is so high in the scene [m], as long as that can be read.
_LETTERS_M = 0.13
_FRAME = msg("frame %(size)s")

# A plain figure: half its width at heights from foot to neck, both of its whole height.
_OUTLINE = (
    *((0.0, 0.060), (0.012, 0.068), (0.25, 0.074), (0.44, 0.085), (0.52, 0.086), (0.62, 0.085)),
    *(
        (0.71, 0.096),
        (0.760, 0.103),
        (0.790, 0.100),
        (0.812, 0.085),
        (0.830, 0.052),
        (0.845, 0.028),
    ),
    (0.90, 0.026),
)
# Between the legs, likewise.
_GAP = ((0.0, 0.014), (0.43, 0.003), (0.44, -0.01), (0.90, -0.01))
_HEAD, _HEAD_AT = 0.125, 0.9375
# How much darker than the wall.
_DARKER = 0.105


def draw_person(sheet: Image.Image, view: View, person: Person, tint: str) -> None:
    """A plain figure, quiet in the colour of the wall."""
    foot = view.at(person.at)
    tall = person.height_m * foot.scale
    palette = ramp(_deeper(tint), Finish.SATIN)
    _draw_foot_shadow(sheet, foot.xy, tall)
    body, cover = _body(tall)
    body.putpalette(palette)
    left, top = round(foot.x - body.width / 2), round(foot.y - body.height)
    sheet.paste(body.convert("RGB"), (left, top), cover)
    head = max(4, round(_HEAD * tall))
    maps = sprite(head, Finish.SATIN)
    tone = maps.tone.point(lambda level: 156 + (level - 156) // 2)
    tone.putpalette(palette)
    at = (round(foot.x - head / 2), round(foot.y - _HEAD_AT * tall - head / 2))
    sheet.paste(tone.convert("RGB"), at, maps.cover)


def _deeper(hex_: str) -> str:
    lab = oklab(rgb_of(hex_)) - np.array([_DARKER, 0.0, 0.0])
    red, green, blue = (round(255 * part) for part in srgb(lab))
    return f"#{red:02x}{green:02x}{blue:02x}"


def _body(tall: float) -> tuple[Image.Image, Image.Image]:
    """The figure without its head, as tones, and its cover."""
    shares, halves = zip(*_OUTLINE, strict=True)
    high, wide = max(4, round(shares[-1] * tall)), max(4, round(2 * max(halves) * tall) + 2)
    up = (high - 0.5 - np.arange(high)) / tall
    half = _rounded(up, shares, halves)[:, None] * tall
    x = np.arange(wide) + 0.5 - wide / 2
    across = np.clip(x / half, -1, 1)
    tone = 0.62 - 0.10 * across - 0.08 * across**2 + 0.10 * up[:, None]
    legs, apart = zip(*_GAP, strict=True)
    gap = np.interp(up, legs, apart)[:, None] * tall
    cover = np.clip(half - np.abs(x) + 0.5, 0, 1) * np.clip(np.abs(x) - gap + 0.5, 0, 1)
    return (
        Image.fromarray((np.clip(tone, 0, 1) * 255).astype(np.uint8)),
        Image.fromarray((cover * 255).astype(np.uint8)),
    )


def _rounded(up: Floats, shares: Sequence[float], halves: Sequence[float]) -> Floats:
    """The outline at these heights, its corners taken off."""
    near = np.linspace(-0.012, 0.012, 7)
    outline: Floats = np.mean([np.interp(up + each, shares, halves) for each in near], axis=0)
    return outline


def _draw_foot_shadow(sheet: Image.Image, foot: XY, tall: float) -> None:
    wide, high = round(0.56 * tall), max(6, round(0.14 * tall))
    shade = Image.new("L", (wide, high))
    box = (wide * 0.26, high * 0.38, wide * 0.74, high * 0.62)
    ImageDraw.Draw(shade).ellipse(box, fill=130)
    shade = shade.filter(ImageFilter.GaussianBlur(high / 9))
    at = (round(foot[0] - wide / 2 + 0.03 * tall), round(foot[1] - high / 2))
    sheet.paste((60, 54, 48), (*at, at[0] + wide, at[1] + high), shade)


def draw_measure(sheet: Image.Image, view: View, measure: Measure, words: Words) -> None:
    """A thin line with a dot at each end, and its length in the middle of it."""
    ends = [view.at(point).xy for point in (measure.start, measure.end)]
    thin = sheet.width * _THIN
    stencil = Stencil(ends, 4 * thin, sheet.size)
    if stencil.visible:
        stencil.line(ends, thin)
        for end in ends:
            stencil.disc(end, 2.4 * thin)
        stencil.paint(sheet, _LINE)
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    text = words.on_a_drawing(measure.metres)
    if measure.frame:
        # Beside an upright line there is little room: one word under the other.
        upright = measure.direction is Direction.HEIGHT
        text = words.say(_FRAME, size=f"\n{text}" if upright else text)
    high = view.at(measure.start).scale * _LETTERS_M
    _label(sheet, middle, text, min(max(high, sheet.width * _SMALL), sheet.width * _LETTERS))


def _label(sheet: Image.Image, middle: XY, text: str, high: float) -> None:
    """One line or two, on a pale pill that stays on the sheet."""
    lines = [line.strip() for line in text.split("\n")]
    font = font_for("".join(lines), round(high))
    half = max(map(font.getlength, lines)) / 2, 0.62 * font.size
    across, up = half[0] + half[1], half[1] * len(lines)
    x = min(max(middle[0], across + 2), sheet.width - across - 2)
    y = min(max(middle[1], up + 2), sheet.height - up - 2)
    box = x - across, y - up, x + across, y + up
    stencil = Stencil([box[:2], box[2:]], 2, sheet.size)
    stencil.board(box, half[1])
    stencil.paint(sheet, _PAPER, depth=_PAPER_DEPTH)
    draw = ImageDraw.Draw(sheet)
    for index, line in enumerate(lines):
        at = x, y + (2 * index + 1 - len(lines)) * half[1]
        draw.text(at, line, fill=_LINE, font=font, anchor="mm")


def draw_small_print(sheet: Image.Image, text: str) -> None:
    """A line along the lower edge."""
    font = font_for(text, round(sheet.width / 44))
    at = (sheet.width / 2, sheet.height - 0.9 * font.size)
    ImageDraw.Draw(sheet).text(at, text, fill=_LINE, font=font, anchor="mm")
