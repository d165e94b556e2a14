"""Build sheets for the owner, as JSON and as PDF."""

from typing import Annotated

from fastapi import APIRouter, Depends, Query, Response

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import build_sheet as wire
from service.leads.people import PersonRole
from service.leads.ports import Ports
from service.rendering import build_sheet as drawing
from service.rendering.paper import MEDIA_TYPE, PdfFile, paper_size
from service.workshop.build_sheet import sheet_of
from service.workshop.papers import Papers, papers_of

router = APIRouter(tags=["documents"], dependencies=[Depends(allow(Role.OWNER))])


@router.get("/leads/{lead_id}/build-sheet")
def read_build_sheet(lead_id: str, ports: Given) -> wire.BuildSheet:
    """How to make what was quoted: clusters in order along the line, sizes, bags. No prices."""
    return wire.BuildSheet.model_validate(sheet_of(_papers(ports, lead_id)))


@router.get(
    "/leads/{lead_id}/build-sheet.pdf",
    response_class=Response,
    responses={200: {"content": {MEDIA_TYPE: {}}}},
)
def read_build_sheet_pdf(
    lead_id: str,
    ports: Given,
    paper: Annotated[
        str, Query(description="a4 or letter; else as the shop's country has it.")
    ] = "",
) -> Response:
    """The build sheet to print."""
    papers = _papers(ports, lead_id)
    made = drawing.pdf(
        sheet_of(papers),
        shop=papers.book.shop.name,
        made_at=papers.quote.created_at,
        size=paper_size(papers.book, paper),
    )
    file = PdfFile(name=f"{papers.lead.number} build sheet.pdf", content=made)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))


def _papers(ports: Ports, lead_id: str) -> Papers:
    with ports.read() as work:
        return papers_of(work, ports.price_books, lead_id, now=ports.clock(), role=PersonRole.OWNER)
