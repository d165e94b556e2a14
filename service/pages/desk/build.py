"""The build sheet at the bench, on a screen and on paper, and the labels of its bags."""

from fastapi import APIRouter, Response
from markupsafe import Markup

from service.pages.desk.access import AnyoneIn, Desk
from service.pages.desk.documents import papers_for
from service.rendering import build_sheet as drawing
from service.rendering.paper import MEDIA_TYPE, PdfFile, paper_size
from service.workshop.build_sheet import PieceSheet, boxes_for, saying, sheet_of
from service.workshop.papers import Papers

router = APIRouter(prefix="/leads/{lead_id}")

_WIDE, _HIGH = 150.0, 95.0


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
def build_pdf(lead_id: str, desk: AnyoneIn, paper: str = "") -> Response:
    """The same to print."""
    papers = papers_for(desk, lead_id)
    made = drawing.pdf(
        sheet_of(papers),
        shop=papers.book.shop.name,
        made_at=papers.quote.created_at,
        size=paper_size(papers.book, paper),
    )
    return _file(papers, "build sheet", made)


@router.get("/labels.pdf")
def labels_pdf(lead_id: str, desk: AnyoneIn, paper: str = "") -> Response:
    """A label for every bag."""
    papers = papers_for(desk, lead_id)
    made = drawing.labels_pdf(
        sheet_of(papers),
        shop=papers.book.shop.name,
        made_at=papers.quote.created_at,
        size=paper_size(papers.book, paper),
        link=_set_up_address(desk, papers),
    )
    return _file(papers, "bag labels", made)


def _set_up_address(desk: Desk, papers: Papers) -> str | None:
    if papers.hold is None:
        return None
    return f"{desk.visit.ports.public_url}/desk/jobs/{papers.hold.id}"


def _file(papers: Papers, what: str, content: bytes) -> Response:
    file = PdfFile(name=f"{papers.lead.number} {what}.pdf", content=content)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def _drawn(piece: PieceSheet) -> Markup:
    made = drawing.drawn(piece.diagram, width=_WIDE, height=_HIGH)
    # Every text in it is escaped where it is written.
    return Markup(drawing.svg(made, alt=saying.alt(piece)))  # noqa: S704
