"""A diagram for a page."""

from xml.sax.saxutils import escape, quoteattr

from service.rendering.build_sheet.drawing import Drawn
from service.rendering.paper import Circle, Line, Mark, Polygon, Text

_POINT_MM = 0.3528


def svg(drawing: Drawn, *, alt: str) -> str:
    """The drawing as SVG; `alt` is read out in its place."""
    inside = "".join(map(_element, drawing.marks))
    box = f"0 0 {drawing.width:.1f} {drawing.height:.1f}"
    return (
        f'<svg class="diagram" role="img" aria-label={quoteattr(alt)} viewBox="{box}"'
        f' xmlns="http://www.w3.org/2000/svg">{inside}</svg>'
    )


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
        place = f'x="{mark.x:.1f}" y="{mark.y:.1f}" font-size="{mark.size * _POINT_MM:.1f}"'
        return f'<text {place} text-anchor="middle" font-weight="700">{escape(mark.text)}</text>'
    raise TypeError(f"a diagram has no {type(mark).__name__}")
