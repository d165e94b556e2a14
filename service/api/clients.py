"""A client's own data: what is kept, all of it as a file, and erasing it."""

from http import HTTPStatus

from fastapi import APIRouter, Depends, Response

from service.api.access import Role, allow
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import clients as wire
from service.contract.estimate import Problem
from service.leads import forgetting
from service.rendering.client_file import packed

router = APIRouter(prefix="/clients", tags=["clients"], dependencies=[Depends(allow(Role.OWNER))])

_NO_SUCH: dict[int | str, dict[str, object]] = {
    404: {"model": Problem, "description": "There is no such lead."}
}


@router.get("/{lead_id}", responses=_NO_SUCH)
def read_client(lead_id: str, ports: Given) -> wire.Kept:
    """What is kept of the client who sent a request, their other requests included."""
    with ports.read() as work:
        kept = forgetting.kept_of(work, lead_id)
    return wire.Kept(
        requests=[lead.number for lead in kept.leads],
        messages=kept.messages,
        photos=kept.photos,
        quotes=kept.quotes,
        payments=kept.payments,
        consents=[wire.Consent.model_validate(each) for each in kept.consents],
    )


@router.get(
    "/{lead_id}/file",
    response_class=Response,
    responses=_NO_SUCH | {200: {"content": {"application/zip": {}}}},
)
def client_file(lead_id: str, ports: Given) -> Response:
    """Everything that is kept of the client, as a zip to be given to them."""
    with ports.read() as work:
        found, pictures = forgetting.collected(work, lead_id)
    return Response(packed(found, pictures), media_type="application/zip")


@router.delete(
    "/{lead_id}",
    responses=_NO_SUCH
    | {409: {"model": Problem, "description": "A date is kept for them; give it back first."}},
)
def erase_client(lead_id: str, ports: Given) -> wire.Erased:
    """Erase the client's data in all of their requests; figures without a name stay."""
    with ports.work() as work:
        try:
            erased = forgetting.erase(work, lead_id, now=ports.clock())
        except forgetting.StillToCome as error:
            raise Refusal(HTTPStatus.CONFLICT, str(error)) from error
        work.commit()
    return wire.Erased(requests=erased)
