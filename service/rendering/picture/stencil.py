"""Shapes with smooth edges: drawn three times as large, and made small again."""

import math
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFilter

XY = tuple[float, float]
Ink = str | tuple[int, int, int]

_FINER = 3


class Stencil:
    """A mask for the part of the sheet around some points, `margin` pixels about them.

    Coordinates are those of the sheet.
    """

    def __init__(self, around: Sequence[XY], margin: float, size: tuple[int, int]) -> None:
        xs, ys = [x for x, _ in around], [y for _, y in around]
        self.left = max(0, math.floor(min(xs) - margin))
        self.top = max(0, math.floor(min(ys) - margin))
        self.width = min(size[0], math.ceil(max(xs) + margin)) - self.left
        self.height = min(size[1], math.ceil(max(ys) + margin)) - self.top
        large = (max(1, self.width) * _FINER, max(1, self.height) * _FINER)
        self._large = Image.new("L", large)
        self._draw = ImageDraw.Draw(self._large)

    @property
    def visible(self) -> bool:
        """Whether any of it is on the sheet."""
        return self.width > 0 and self.height > 0

    def polygon(self, corners: Sequence[XY]) -> None:
        """Fill between the corners."""
        self._draw.polygon([self._fine(corner) for corner in corners], fill=255)

    def line(self, points: Sequence[XY], width: float, depth: int = 255) -> None:
        """A line with round joints and ends."""
        fine = [self._fine(point) for point in points]
        self._draw.line(fine, fill=depth, width=max(1, round(width * _FINER)), joint="curve")
        for point in (points[0], points[-1]):
            self.disc(point, width / 2, depth)

    def board(self, box: tuple[float, float, float, float], radius: float) -> None:
        """A filled rectangle with round corners."""
        left, top = self._fine((box[0], box[1]))
        right, bottom = self._fine((box[2], box[3]))
        self._draw.rounded_rectangle((left, top, right, bottom), radius * _FINER, fill=255)

    def frame(self, box: tuple[float, float, float, float], radius: float, width: float) -> None:
        """Its outline alone, `width` pixels thick, inwards."""
        self.board(box, radius)
        left, top, right, bottom = box
        inner = (left + width, top + width, right - width, bottom - width)
        corners = (*self._fine(inner[:2]), *self._fine(inner[2:]))
        self._draw.rounded_rectangle(corners, (radius - width) * _FINER, fill=0)

    def disc(self, centre: XY, radius: float, depth: int = 255) -> None:
        """A filled circle."""
        self.oval(centre, radius, radius, depth)

    def oval(self, centre: XY, across: float, upright: float, depth: int = 255) -> None:
        """A filled ellipse, by its half axes."""
        x, y = self._fine(centre)
        a, b = across * _FINER, upright * _FINER
        self._draw.ellipse((x - a, y - b, x + a, y + b), fill=depth)

    def mask(self) -> Image.Image:
        """The mask in the sheet's own size."""
        return self._large.reduce(_FINER)

    def paint(
        self, sheet: Image.Image, ink: Ink | Image.Image, *, soft: float = 0, depth: int = 255
    ) -> None:
        """Put ink on the sheet through the mask; `soft` blurs it, `depth` of 255 thins it."""
        if not self.visible:
            return
        mask = self.mask()
        if soft:
            mask = mask.filter(ImageFilter.GaussianBlur(soft))
        if depth < 255:
            mask = mask.point(lambda level: level * depth // 255)
        box = (self.left, self.top, self.left + self.width, self.top + self.height)
        sheet.paste(ink, box, mask)

    def _fine(self, point: XY) -> XY:
        return (point[0] - self.left) * _FINER, (point[1] - self.top) * _FINER
