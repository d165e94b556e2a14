"""Marks on pages as a PDF, by fpdf2."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING, Any

from service.rendering.paper.marks import (
    Circle,
    Line,
    Link,
    Mark,
    Polygon,
    Raster,
    Rectangle,
    Text,
)
from service.rendering.paper.typefaces import Face, fit_to_print, runs, width_of

if TYPE_CHECKING:
    from fpdf import FPDF


def written(
    pages: Sequence[Sequence[Mark]],
    *,
    size: tuple[float, float],
    title: str,
    language: str,
    made_at: datetime,
) -> bytes:
    """The file. Typefaces are embedded, with the characters that are used."""
    pdf: FPDF = _library().FPDF(unit="mm", format=size)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.set_title(fit_to_print(title))
    pdf.set_lang(language)
    pdf.set_creation_date(made_at)
    pdf.set_producer("Garlandry")
    for face in _faces(pages):
        pdf.add_font(face.value, "", face.path)
    for marks in pages:
        pdf.add_page()
        for mark in marks:
            _DRAWN[type(mark)](pdf, mark)
    return bytes(pdf.output())


@cache
def _library() -> Any:
    import fpdf  # takes half a second: only who wants a document waits

    return fpdf


def _faces(pages: Sequence[Sequence[Mark]]) -> list[Face]:
    """The typefaces that the texts need: reading one takes a while."""
    used = {
        face
        for marks in pages
        for mark in marks
        if isinstance(mark, Text)
        for face, _ in runs(fit_to_print(mark.text), bold=mark.bold)
    }
    return [face for face in Face if face in used]


def _text(pdf: "FPDF", mark: Text) -> None:
    pdf.set_text_color(mark.colour)
    x = mark.left
    for face, part in runs(fit_to_print(mark.text), bold=mark.bold):
        pdf.set_font(face.value, "", mark.size)
        pdf.text(x, mark.y, part)
        x += width_of(part, size=mark.size, bold=mark.bold)


def _line(pdf: "FPDF", mark: Line) -> None:
    _pen(pdf, mark.colour, mark.thickness)
    if mark.dashed:
        pdf.set_dash_pattern(dash=1.4, gap=1.0)
    pdf.line(mark.x1, mark.y1, mark.x2, mark.y2)
    if mark.dashed:
        pdf.set_dash_pattern()


def _rectangle(pdf: "FPDF", mark: Rectangle) -> None:
    style = _style(pdf, mark)
    round_corners, radius = mark.radius > 0, min(mark.radius, mark.width / 2, mark.height / 2)
    pdf.rect(
        mark.x,
        mark.y,
        mark.width,
        mark.height,
        style=style,
        round_corners=round_corners,
        corner_radius=radius,
    )


def _circle(pdf: "FPDF", mark: Circle) -> None:
    pdf.circle(mark.x, mark.y, mark.radius, style=_style(pdf, mark))


def _polygon(pdf: "FPDF", mark: Polygon) -> None:
    style = _style(pdf, mark)
    pdf.polyline(list(mark.points), style=style, polygon=mark.closed)


def _raster(pdf: "FPDF", mark: Raster) -> None:
    pdf.image(mark.data, mark.x, mark.y, mark.width, mark.height, alt_text=fit_to_print(mark.alt))


def _link(pdf: "FPDF", mark: Link) -> None:
    pdf.link(mark.x, mark.y, mark.width, mark.height, mark.url)


def _style(pdf: "FPDF", mark: Rectangle | Circle | Polygon) -> str:
    """Edge, inside or both, with the pen and the fill set."""
    if mark.colour is not None:
        _pen(pdf, mark.colour, mark.thickness)
    if mark.fill is not None:
        pdf.set_fill_color(mark.fill)
    return f"{'D' if mark.colour else ''}{'F' if mark.fill else ''}" or "N"


def _pen(pdf: "FPDF", colour: str, thickness: float) -> None:
    pdf.set_draw_color(colour)
    pdf.set_line_width(thickness)


_DRAWN: Mapping[type[Mark], Callable[["FPDF", Any], None]] = {
    Text: _text,
    Line: _line,
    Rectangle: _rectangle,
    Circle: _circle,
    Polygon: _polygon,
    Raster: _raster,
    Link: _link,
}
