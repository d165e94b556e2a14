"""The diagram of a piece as marks: on paper, and as SVG on a page. In mm, black and white."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import hypot
from xml.sax.saxutils import escape, quoteattr

from service.rendering.paper import Align, Circle, Line, Mark, Polygon, Text
from service.workshop.build_sheet import Diagram, Sign, Spot

_ROUND = 13.0
"""Room for numbers and marks round the piece."""

_EDGE = 2.0
_BLACK, _GARLAND, _WHITE = "#000000", "#b9bdb9", "#ffffff"
_NUMBER_OUT, _TICK = 6.0, 2.6
_DEPTHS = (7.0, 12.4, 17.8, 23.2)
"""How far inside a mark stands: as near to its place as others leave room for."""
_RING = 2.5

_MOST_PINS = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawn:
    """Marks in a room of so much width and height."""

    width: float
    height: float
    marks: tuple[Mark, ...]


def drawn(diagram: Diagram, *, width: float, height: float) -> Drawn:
    """The diagram as large as there is room for, with what stands round it."""
    view = _View(diagram, width, height)
    marks: list[Mark] = [
        *(Polygon(view.line(line), _GARLAND, None, 3.2, closed=False) for line in diagram.garland),
        *(Polygon(view.line(line), _BLACK, None, 0.35, closed=False) for line in diagram.support),
    ]
    pins: list[tuple[float, float]] = []
    for spot in _worth_showing(diagram.spots):
        if spot.sign is Sign.MARK:
            pins.append(_free(view, spot, pins))
            marks += _pin(view, spot, pins[-1])
        else:
            marks += _held(view, spot) if spot.sign is Sign.HELD else _number(view, spot)
    top = min(mark.extent[0] for mark in marks) - _EDGE
    bottom = max(mark.extent[1] for mark in marks) + _EDGE
    moved = tuple(mark.placed(0, -top) for mark in marks)
    return Drawn(width=view.width, height=bottom - top, marks=moved)


def svg(drawing: Drawn, *, alt: str) -> str:
    """The drawing for a page; `alt` is read out in its place."""
    inside = "".join(map(_element, drawing.marks))
    box = f"0 0 {drawing.width:.1f} {drawing.height:.1f}"
    return (
        f'<svg class="diagram" role="img" aria-label={quoteattr(alt)} viewBox="{box}"'
        f' xmlns="http://www.w3.org/2000/svg">{inside}</svg>'
    )


class _View:
    """Metres of the diagram in mm of the drawing."""

    def __init__(self, diagram: Diagram, width: float, height: float) -> None:
        points = [point for line in diagram.support for point in line]
        self._left = min(x for x, _ in points)
        self._top = max(y for _, y in points)
        wide = max(max(x for x, _ in points) - self._left, 1e-6)
        high = max(self._top - min(y for _, y in points), 1e-6)
        self._scale = min((width - 2 * _ROUND) / wide, (height - 2 * _ROUND) / high)
        self.width = wide * self._scale + 2 * _ROUND

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A place on the drawing."""
        across, down = (x - self._left) * self._scale, (self._top - y) * self._scale
        return across + _ROUND, down + _ROUND

    def line(self, points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
        """A line on the drawing."""
        return tuple(self.at(x, y) for x, y in points)

    def off(self, spot: Spot, by: float) -> tuple[float, float]:
        """A place so far outside of a spot, or inside where `by` is negative."""
        x, y = self.at(spot.x, spot.y)
        return x + spot.out_x * by, y - spot.out_y * by


def _worth_showing(spots: Sequence[Spot]) -> Iterator[Spot]:
    """All but the marks in the midst of many alike: the first and the last say where they are."""
    for (sign, _), group in groupby(spots, key=lambda spot: (spot.sign, spot.text)):
        alike = list(group)
        few = sign is not Sign.MARK or len(alike) <= _MOST_PINS
        yield from alike if few else (alike[0], alike[-1])


def _held(view: _View, spot: Spot) -> list[Mark]:
    inner, outer = view.off(spot, -_TICK), view.off(spot, _TICK)
    return [Line(*inner, *outer, _BLACK, 0.45)]


def _number(view: _View, spot: Spot) -> list[Mark]:
    x, y = view.off(spot, _NUMBER_OUT)
    on = view.at(spot.x, spot.y)
    return [
        Circle(*on, 1.0, _BLACK, _BLACK, 0.2),
        Text(x, y + 1.4, spot.text, size=11, bold=True, colour=_BLACK, anchor=Align.CENTRE),
    ]


def _pin(view: _View, spot: Spot, at: tuple[float, float]) -> list[Mark]:
    x, y = at
    return [
        Line(*view.at(spot.x, spot.y), x, y, _BLACK, 0.25),
        Circle(x, y, _RING, _BLACK, _WHITE, 0.4),
        Text(x, y + 1.2, spot.text, size=9.5, bold=True, colour=_BLACK, anchor=Align.CENTRE),
    ]


def _free(view: _View, spot: Spot, taken: Sequence[tuple[float, float]]) -> tuple[float, float]:
    """The nearest place for a mark at which it hides none of the others."""
    for depth in _DEPTHS:
        place = view.off(spot, -depth)
        if all(hypot(place[0] - x, place[1] - y) > 2 * _RING for x, y in taken):
            break
    return place


def _element(mark: Mark) -> str:
    if isinstance(mark, Line):
        ends = f'x1="{mark.x1:.1f}" y1="{mark.y1:.1f}" x2="{mark.x2:.1f}" y2="{mark.y2:.1f}"'
        return f'<line {ends} stroke="{mark.colour}" stroke-width="{mark.thickness}"/>'
    if isinstance(mark, Circle):
        place = f'cx="{mark.x:.1f}" cy="{mark.y:.1f}" r="{mark.radius}"'
        edge = f'stroke="{mark.colour}" stroke-width="{mark.thickness}"'
        return f'<circle {place} fill="{mark.fill}" {edge}/>'
    if isinstance(mark, Polygon):
        points = " ".join(f"{x:.1f},{y:.1f}" for x, y in mark.points)
        edge = f'stroke="{mark.colour}" stroke-width="{mark.thickness}" stroke-linejoin="round"'
        return f'<polyline points="{points}" fill="none" {edge}/>'
    if isinstance(mark, Text):
        # Sizes of text are in points, all else in mm.
        place = f'x="{mark.x:.1f}" y="{mark.y:.1f}" font-size="{mark.size * 0.3528:.1f}"'
        return f'<text {place} text-anchor="middle" font-weight="700">{escape(mark.text)}</text>'
    raise TypeError(f"a diagram has no {type(mark).__name__}")
