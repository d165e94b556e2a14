"""A client's own data at the desk: what is kept, as a file to be given to them, and erasing it."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import forgetting, words
from service.leads.forgetting import Kept, StillToCome
from service.leads.lead import NotFound
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.posted import Sent
from service.pages.visit import go_to
from service.rendering.client_file import packed

router = APIRouter(prefix="/privacy")

_SURE = "Tick this to erase for good."


@router.get("/{lead_id}")
def privacy_page(lead_id: str, desk: SignedIn, done: str = "") -> Response:
    """What is kept of the client. Changes nothing."""
    return _page(desk, lead_id, done=bool(done))


@router.get("/{lead_id}/file")
def client_file(lead_id: str, desk: SignedIn) -> Response:
    """All of it, as one file."""
    with desk.visit.ports.read() as work:
        number = desk.lead(work, lead_id).number
        found, pictures = forgetting.collected(work, lead_id)
    headers = {
        "Content-Disposition": f'attachment; filename="client-{number}.zip"',
        "Cache-Control": "no-store",
    }
    return Response(packed(found, pictures), media_type="application/zip", headers=headers)


@router.post("/{lead_id}/erase")
def erase(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Erase it, where the owner said to be sure; a second press finds nothing more."""
    if not sent.text("sure"):
        return _page(desk, lead_id, fault=_SURE, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    try:
        with desk.visit.ports.work() as work:
            forgetting.erase(work, lead_id, now=desk.visit.now)
            work.commit()
    except NotFound:
        return desk.no_request()
    except StillToCome as error:
        return _page(desk, lead_id, trouble=str(error), status=HTTPStatus.CONFLICT)
    return go_to(f"/desk/privacy/{lead_id}?done=1")


def _page(
    desk: Desk,
    lead_id: str,
    *,
    done: bool = False,
    fault: str | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    with desk.visit.ports.read() as work:
        try:
            kept = forgetting.kept_of(work, lead_id)
        except NotFound:
            return desk.no_request()
    zone, rules = desk.visit.zone, desk.visit.book.privacy
    return desk.show(
        "desk/privacy.html",
        status=status,
        lead_id=lead_id,
        done=done,
        erased=all(lead.erased_at for lead in kept.leads),
        name=next((lead.client.name for lead in kept.leads if lead.client.name), None),
        requests=[(lead.number, f"/desk/leads/{lead.id}") for lead in kept.leads],
        counts=_counts(kept),
        agreed=[(words.moment(each.at.astimezone(zone)), each.channel) for each in kept.consents],
        keep_lost=desk.visit.words.lasting(rules.keep_lost),
        keep_done=desk.visit.words.lasting(rules.keep_done),
        faults={"sure": fault} if fault else {},
        trouble=trouble,
    )


def _counts(kept: Kept) -> list[tuple[str, int]]:
    return [
        ("requests", len(kept.leads)),
        ("messages", kept.messages),
        ("photos", kept.photos),
        ("quotes", kept.quotes),
        ("payments", kept.payments),
    ]
