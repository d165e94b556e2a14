"""Build sheets for the owner, as JSON and as PDF."""

from fastapi import APIRouter, Depends, Query, Response

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract import build_sheet as wire
from service.contract.estimate import Problem
from service.leads.people import PersonRole
from service.rendering.build_files import sheet_of_lead
from service.rendering.paper import MEDIA_TYPE
from service.workshop.build_sheet import sheet_of
from service.workshop.papers import papers_of

router = APIRouter(
    prefix="/leads",
    tags=["leads"],
    dependencies=[Depends(allow(Role.OWNER))],
    responses={404: {"model": Problem, "description": "There is no such lead, or no price of it."}},
)

_PAPER = Query(default=None, description="`a4` or `letter`; the shop's own where it is neither")


@router.get("/{lead_id}/build-sheet")
def read_build_sheet(lead_id: str, ports: Given) -> wire.BuildSheet:
    """How to make what was quoted: clusters in order along the line, sizes, bags. No prices."""
    now, books = ports.clock(), ports.price_books
    with ports.read() as work:
        papers = papers_of(work, books, lead_id, now=now, role=PersonRole.OWNER)
    return wire.BuildSheet.model_validate(sheet_of(papers))


@router.get(
    "/{lead_id}/build-sheet.pdf",
    response_class=Response,
    responses={200: {"content": {MEDIA_TYPE: {}}}},
)
def read_build_sheet_on_paper(lead_id: str, ports: Given, paper: str | None = _PAPER) -> Response:
    """The build sheet to print."""
    file = sheet_of_lead(ports, lead_id, paper=paper)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))
