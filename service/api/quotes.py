"""Quotes as files."""

from fastapi import APIRouter, Depends, Query, Response

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.contract.estimate import Problem
from service.rendering.paper import MEDIA_TYPE
from service.rendering.quote_file import of_lead

router = APIRouter(prefix="/leads", tags=["leads"])

_PAPER = Query(default=None, description="`a4` or `letter`; the shop's own where it is neither")


@router.get(
    "/{lead_id}/quote.pdf",
    dependencies=[Depends(allow(Role.OWNER))],
    response_class=Response,
    responses={
        200: {"content": {MEDIA_TYPE: {}}},
        404: {"model": Problem, "description": "There is no such lead, or no quote of it."},
    },
)
def read_quote_on_paper(lead_id: str, ports: Given, paper: str | None = _PAPER) -> Response:
    """The newest quote that was sent, or the draft of one, in the client's language."""
    file = of_lead(ports, lead_id, paper=paper)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))
