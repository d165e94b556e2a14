"""A picture of colours with their names, for channels that cannot show them beside a text."""

from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO

from PIL import Image, ImageDraw, ImageFont

from service.contract.talk import Swatch

_COLUMNS = 4
_FIELD = (240, 150)
_GAP = 28
_LINES = 2
_LINE_HEIGHT = 30
_FONT_SIZE = 25

_PAPER = "#fbfaf7"
_INK = "#26221f"
# White on paper needs an edge, and every field the same one.
_EDGE = "#b9b2a8"


def picture(swatches: Sequence[Swatch]) -> bytes:
    """The colours as fields with their names beneath, in rows of four; a PNG.

    Takes some 10 ms: call it in a thread.
    """
    return _drawn(tuple((swatch.name, swatch.hex) for swatch in swatches))


@lru_cache(maxsize=64)
def _drawn(colours: tuple[tuple[str, str], ...]) -> bytes:
    columns = min(_COLUMNS, len(colours))
    rows = -(-len(colours) // columns)
    width = columns * (_FIELD[0] + _GAP) + _GAP
    image = Image.new("RGB", (width, rows * _row_height() + _GAP), _PAPER)
    draw = ImageDraw.Draw(image)
    font = ImageFont.load_default(_FONT_SIZE)
    for place, (name, colour) in enumerate(colours):
        down, across = divmod(place, columns)
        corner = (_GAP + across * (_FIELD[0] + _GAP), _GAP + down * _row_height())
        _draw_field(draw, corner, colour, _wrapped(name, font), font)
    encoded = BytesIO()
    image.save(encoded, "PNG")
    return encoded.getvalue()


def _row_height() -> int:
    return _FIELD[1] + _LINES * _LINE_HEIGHT + _GAP


def _draw_field(
    draw: ImageDraw.ImageDraw,
    corner: tuple[int, int],
    colour: str,
    lines: Sequence[str],
    font: ImageFont.FreeTypeFont | ImageFont.ImageFont,
) -> None:
    left, top = corner
    box = (left, top, left + _FIELD[0], top + _FIELD[1])
    draw.rounded_rectangle(box, radius=18, fill=colour, outline=_EDGE, width=2)
    for number, line in enumerate(lines):
        middle = (left + _FIELD[0] / 2, top + _FIELD[1] + 6 + number * _LINE_HEIGHT)
        draw.text(middle, line, fill=_INK, font=font, anchor="ma")


def _wrapped(name: str, font: ImageFont.FreeTypeFont | ImageFont.ImageFont) -> list[str]:
    """The name in as many lines as there are; what does not fit is cut off visibly."""
    lines: list[str] = []
    for word in name.split():
        if lines and font.getlength(f"{lines[-1]} {word}") <= _FIELD[0]:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    kept = [_shortened(line, font) for line in lines[:_LINES]]
    if len(lines) > _LINES:
        kept[-1] = _shortened(f"{lines[_LINES - 1]}…", font)
    return kept


def _shortened(line: str, font: ImageFont.FreeTypeFont | ImageFont.ImageFont) -> str:
    while len(line) > 1 and font.getlength(line) > _FIELD[0]:
        line = f"{line.removesuffix('…')[:-1]}…"
    return line
