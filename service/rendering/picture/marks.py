"""What tells the size: a plain figure as tall as a grown person, and dimension lines."""

import numpy as np
from PIL import Image, ImageDraw, ImageFilter

from service.leads.words import Words
from service.rendering.picture.lettering import font_for
from service.rendering.picture.light import sprite
from service.rendering.picture.stencil import XY, Stencil
from service.rendering.picture.tones import Finish, oklab, ramp, rgb_of, srgb
from service.rendering.picture.view import View
from service.workshop.scene import Measure, Person

_LINE = (84, 77, 70)
_PAPER = (250, 248, 244, 225)
# Of the sheet's width.
_LETTERS, _THIN = 1 / 40, 1 / 640

# A turned wooden figure: half its width at heights from foot to neck, both of its whole height.
_OUTLINE = ((0.0, 0.125), (0.03, 0.135), (0.45, 0.118), (0.66, 0.105), (0.77, 0.082), (0.83, 0.045))
_HEAD, _HEAD_AT = 0.175, 0.905
# How much darker than the wall.
_DARKER = 0.13


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
    tone = maps.tone.copy()
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
    half = np.interp(up, shares, halves)[:, None] * tall
    x = np.arange(wide) + 0.5 - wide / 2
    across = np.clip(x / half, -1, 1)
    tone = 0.60 - 0.16 * across - 0.10 * across**2 + 0.06 * up[:, None]
    cover = np.clip(half - np.abs(x) + 0.5, 0, 1)
    return (
        Image.fromarray((np.clip(tone, 0, 1) * 255).astype(np.uint8)),
        Image.fromarray((cover * 255).astype(np.uint8)),
    )


def _draw_foot_shadow(sheet: Image.Image, foot: XY, tall: float) -> None:
    wide, high = round(0.50 * tall), max(4, round(0.10 * tall))
    shade = Image.new("L", (wide, high))
    box = (wide * 0.2, high * 0.3, wide * 0.8, high * 0.7)
    ImageDraw.Draw(shade).ellipse(box, fill=120)
    shade = shade.filter(ImageFilter.GaussianBlur(high / 5))
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
    _label(sheet, middle, said(measure.metres, words))


def said(metres: float, words: Words) -> str:
    """A length in the units of the reader."""
    return words.feet(metres)


def _label(sheet: Image.Image, middle: XY, text: str) -> None:
    font = font_for(text, round(sheet.width * _LETTERS))
    draw = ImageDraw.Draw(sheet, "RGBA")
    left, _top, right, _bottom = draw.textbbox((0, 0), text, font=font, anchor="mm")
    aside, above = 0.45 * font.size, 0.28 * font.size
    half = (right - left) / 2 + aside, font.size / 2 + above
    x = min(max(middle[0], half[0] + 2), sheet.width - half[0] - 2)
    y = min(max(middle[1], half[1] + 2), sheet.height - half[1] - 2)
    box = (x - half[0], y - half[1], x + half[0], y + half[1])
    draw.rounded_rectangle(box, half[1], fill=_PAPER)
    draw.text((x, y), text, fill=_LINE, font=font, anchor="mm")


def draw_small_print(sheet: Image.Image, text: str) -> None:
    """A line along the lower edge."""
    font = font_for(text, round(sheet.width / 44))
    at = (sheet.width / 2, sheet.height - 0.9 * font.size)
    ImageDraw.Draw(sheet).text(at, text, fill=_LINE, font=font, anchor="mm")
