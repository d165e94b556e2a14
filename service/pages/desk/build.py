"""The build sheet at the bench, on a screen and on paper, and the labels of its bags."""

from fastapi import APIRouter, Response
from markupsafe import Markup

from service.pages.desk.access import AnyoneIn
from service.pages.desk.documents import papers_for
from service.rendering.build_files import labels_file, sheet_file
from service.rendering.build_sheet import drawn, svg
from service.rendering.paper import MEDIA_TYPE, PdfFile
from service.workshop.build_sheet import PieceSheet, boxes_for, saying, sheet_of

router = APIRouter(prefix="/leads/{lead_id}")

_WIDE, _HIGH = 108.0, 84.0


@router.get("/build")
def build_page(lead_id: str, desk: AnyoneIn) -> Response:
    """What to make, readable from across the bench, with ticks that stay."""
    papers = papers_for(desk, lead_id)
    return desk.show(
        "desk/build.html",
        lead=papers.lead,
        quote=papers.quote,
        sheet=sheet_of(papers),
        say=saying,
        boxes_for=boxes_for,
        drawn=_drawn,
    )


@router.get("/build.pdf")
def build_pdf(lead_id: str, desk: AnyoneIn, paper: str | None = None) -> Response:
    """The same to print."""
    return _shown(sheet_file(papers_for(desk, lead_id), paper=paper))


@router.get("/labels.pdf")
def labels_pdf(lead_id: str, desk: AnyoneIn, paper: str | None = None) -> Response:
    """A label for every bag."""
    papers, public_url = papers_for(desk, lead_id), desk.visit.ports.public_url
    return _shown(labels_file(papers, paper=paper, public_url=public_url))


def _shown(file: PdfFile) -> Response:
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def _drawn(piece: PieceSheet) -> Markup:
    made = drawn(piece.diagram, width=_WIDE, height=_HIGH)
    # Every text in it is escaped where it is written.
    return Markup(svg(made, alt=saying.alt(piece)))  # noqa: S704
