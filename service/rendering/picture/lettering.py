"""Letters on the picture: what fits where, in a typeface that has the characters."""

from functools import lru_cache
from pathlib import Path

from PIL import ImageFont

_FONTS = Path(__file__).parents[1] / "fonts"
_USUAL, _BOLD, _OTHERS = "Lato-Regular.ttf", "Lato-Bold.ttf", "DejaVuSans.ttf"
_SMALLEST = 7
_STEP = 0.92
# What the usual typeface has: Latin with its accents, and common signs.
_LAST_USUAL = 0x2122


@lru_cache(maxsize=64)
def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(_FONTS / name), size, layout_engine=ImageFont.Layout.BASIC)


def font_for(text: str, size: int, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    """A typeface `size` pixels high for a text."""
    usual = all(ord(c) < 0x250 or 0x2010 <= ord(c) <= _LAST_USUAL for c in text)
    return _font((_BOLD if bold else _USUAL) if usual else _OTHERS, max(_SMALLEST, size))


def fitted(text: str, room: tuple[float, float]) -> tuple[list[str], ImageFont.FreeTypeFont]:
    """The text in lines, as large as it fits into `room` (pixels across and down)."""
    size = room[1] * 0.5
    while True:
        font = font_for(text, round(size))
        lines = wrapped(text, font, room[0])
        line_high = size * 1.25
        fits = max(font.getlength(line) for line in lines) <= room[0]
        if (fits and len(lines) * line_high <= room[1]) or size <= _SMALLEST:
            return lines[: max(1, int(room[1] / line_high))], font
        size *= _STEP


def wrapped(text: str, font: ImageFont.FreeTypeFont, wide: float) -> list[str]:
    """The text in lines of at most `wide` pixels, cut between words only."""
    lines: list[str] = []
    for word in text.split():
        if lines and font.getlength(f"{lines[-1]} {word}") <= wide:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines or [""]
