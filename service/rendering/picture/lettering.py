"""Letters on the picture: what fits where, in a typeface that has the characters."""

from functools import lru_cache
from pathlib import Path

from PIL import ImageFont

_FONTS = Path(__file__).parents[1] / "fonts"
_USUAL, _OTHERS = "Lato-Regular.ttf", "DejaVuSans.ttf"
_SMALLEST = 7
_STEP = 0.92
# Letters of a sign, of its height: the largest, and the smallest before a word is broken.
_LARGE, _SMALL, _LEADING = 0.5, 0.13, 1.3
# What the usual typeface has: Latin with its accents, and common signs.
_LAST_USUAL = 0x2122


@lru_cache(maxsize=64)
def _font(name: str, size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(_FONTS / name), size, layout_engine=ImageFont.Layout.BASIC)


def font_for(text: str, size: int) -> ImageFont.FreeTypeFont:
    """A typeface `size` pixels high for a text."""
    usual = all(ord(c) < 0x250 or 0x2010 <= ord(c) <= _LAST_USUAL for c in text)
    return _font(_USUAL if usual else _OTHERS, max(_SMALLEST, size))


def fitted(text: str, room: tuple[float, float]) -> tuple[list[str], ImageFont.FreeTypeFont]:
    """The text in lines, as large as it fits into `room` (pixels across and down).

    A word that is too long for small letters is broken, and what is too much for the smallest ends
    in an ellipsis.
    """
    for least, broken in ((_SMALL * room[1], False), (_SMALLEST, True)):
        size = _LARGE * room[1]
        while size >= least:
            font = font_for(text, round(size))
            lines = wrapped(text, font, room[0], broken=broken)
            fits = max(font.getlength(line) for line in lines) <= room[0]
            if fits and len(lines) * _LEADING * font.size <= room[1]:
                return lines, font
            size *= _STEP
    font = font_for(text, _SMALLEST)
    lines = wrapped(text, font, room[0], broken=True)
    kept = lines[: max(1, int(room[1] / (_LEADING * font.size)))]
    return [*kept[:-1], f"{kept[-1][:-1]}…"], font


def wrapped(
    text: str, font: ImageFont.FreeTypeFont, wide: float, *, broken: bool = False
) -> list[str]:
    """The text in lines of at most `wide` pixels, cut between words; with `broken` in them too."""
    lines: list[str] = []
    for word in text.split():
        if lines and font.getlength(f"{lines[-1]} {word}") <= wide:
            lines[-1] += f" {word}"
            continue
        if not broken:
            lines.append(word)
            continue
        lines += _pieces(word, font, wide)
    return lines or [""]


def _pieces(word: str, font: ImageFont.FreeTypeFont, wide: float) -> list[str]:
    pieces, rest = [], word
    usual = int(wide * len(word) / max(1.0, font.getlength(word)))
    while rest:
        # Measuring is what takes time: so many fit on average, here a few more or fewer.
        count = min(max(1, usual), len(rest))
        while count < len(rest) and font.getlength(rest[: count + 1]) <= wide:
            count += 1
        while count > 1 and font.getlength(rest[:count]) > wide:
            count -= 1
        pieces.append(rest[:count])
        rest = rest[count:]
    return pieces
