"""Signs: a pale board, with words in it or a flourish."""

import math

from PIL import Image, ImageDraw

from service.rendering.picture.lettering import fitted
from service.rendering.picture.stencil import Stencil
from service.rendering.picture.view import Spot, View
from service.workshop.scene import Sign

_BOARD, _BOARD_EDGE, _LETTERS = "#FBF7EF", "#C9B48A", "#4A433C"
_SHADOW, _SHADOW_DEPTH = "#2E2A27", 70


def draw_sign(sheet: Image.Image, view: View, sign: Sign) -> None:
    """A pale board with its words, or with a flourish where the client has not said which."""
    spot = view.at(sign.centre)
    half = sign.width_m * spot.scale / 2, sign.height_m * spot.scale / 2
    radius = 0.16 * half[1]
    _cast_board(sheet, _box(spot, half, 0), radius)
    for inset, thick, ink in ((0.0, 0.0, _BOARD), (0.10, 0.028, _BOARD_EDGE)):
        box = _box(spot, half, inset * half[1])
        stencil = Stencil([box[:2], box[2:]], 2, sheet.size)
        if not stencil.visible:
            return
        if thick:
            stencil.frame(box, radius * 0.7, max(1.0, thick * half[1]))
        else:
            stencil.board(box, radius)
        stencil.paint(sheet, ink)
    if sign.words:
        _letter(ImageDraw.Draw(sheet), spot, sign.words, (1.66 * half[0], 1.5 * half[1]))
    else:
        _flourish(sheet, spot, 2 * half[0])


def _box(spot: Spot, half: tuple[float, float], inset: float) -> tuple[float, float, float, float]:
    across, upright = half[0] - inset, half[1] - inset
    return spot.x - across, spot.y - upright, spot.x + across, spot.y + upright


def _cast_board(sheet: Image.Image, box: tuple[float, float, float, float], radius: float) -> None:
    """The soft shadow of a board that hangs before the garland."""
    soft = max(2.0, 0.6 * radius)
    moved = (box[0] + 0.4 * soft, box[1] + soft, box[2] + 0.4 * soft, box[3] + soft)
    stencil = Stencil([moved[:2], moved[2:]], 3 * soft, sheet.size)
    if stencil.visible:
        stencil.board(moved, radius)
        stencil.paint(sheet, _SHADOW, soft=soft, depth=_SHADOW_DEPTH)


def _letter(draw: ImageDraw.ImageDraw, spot: Spot, words: str, room: tuple[float, float]) -> None:
    lines, font = fitted(words, room)
    draw.multiline_text(
        spot.xy,
        "\n".join(lines),
        fill=_LETTERS,
        font=font,
        anchor="mm",
        align="center",
        spacing=0.3 * font.size,
    )


def _flourish(sheet: Image.Image, spot: Spot, wide: float) -> None:
    shares = [k / 24 for k in range(25)]
    wave = [
        (
            spot.x + (share - 0.5) * wide * 0.5,
            spot.y + wide * 0.035 * math.sin(4 * math.pi * share) * math.sin(math.pi * share),
        )
        for share in shares
    ]
    stencil = Stencil(wave, 4, sheet.size)
    stencil.line(wave, max(1.5, wide * 0.012))
    stencil.paint(sheet, _BOARD_EDGE)
