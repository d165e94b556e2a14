"""Photos of finished jobs: taken in, and shown to nobody but the owner."""

import re
from collections.abc import Sequence
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import recording
from service.leads.actuals import MOST_PHOTOS
from service.leads.recording import CannotBe
from service.pages.desk.access import Desk, SignedIn

router = APIRouter()

_GUARDS = {
    "Content-Security-Policy": "default-src 'none'",
    # The name is a digest of the picture: what is behind it never changes.
    "Cache-Control": "private, max-age=86400, immutable",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex",
}


@router.get("/leads/{lead_id}/actuals/photos/{photo_id}")
def photo(lead_id: str, photo_id: str, desk: SignedIn) -> Response:
    """The photo as it was kept."""
    found = None
    if re.fullmatch(r"[0-9a-f]{32}", photo_id):
        with desk.visit.ports.read() as work:
            found = recording.photo_of(work, lead_id, photo_id)
    if found is None:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such photo")
    return Response(found.jpeg, media_type="image/jpeg", headers=_GUARDS)


def take_in(desk: Desk, lead_id: str, files: Sequence[bytes]) -> str | None:
    """Keep what can be kept, one by one; what is wrong with the first that cannot.

    Raises NotFound, NotYet.
    """
    # Starting the service loads no Pillow.
    from service.rendering.photos import NotAPhoto, reduced

    if len(files) > MOST_PHOTOS:
        return f"Choose at most {MOST_PHOTOS} photos."
    wrong = None
    for data in files:
        try:
            _keep(desk, lead_id, reduced(data))
        except CannotBe as refused:
            wrong = wrong or refused.faults["photo"]
        except NotAPhoto as refused:
            wrong = wrong or str(refused)
    return wrong


def throw_away(desk: Desk, lead_id: str, photo_ids: Sequence[str]) -> None:
    """Photos that the owner ticked. Raises NotFound."""
    with desk.visit.ports.work() as work:
        for photo_id in photo_ids:
            recording.drop_photo(work, lead_id, photo_id)
        work.commit()


def _keep(desk: Desk, lead_id: str, jpeg: bytes) -> None:
    visit = desk.visit
    with visit.ports.work() as work:
        recording.keep_photo(work, visit.ports, lead_id, jpeg, who=desk.who, now=visit.now)
        work.commit()
