"""Photos that clients sent, for nobody but the owner."""

import re
from http import HTTPStatus

from fastapi import APIRouter, Response

from service.pages.desk.access import SignedIn

router = APIRouter()

_GUARDS = {
    "Content-Security-Policy": "default-src 'none'",
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "X-Robots-Tag": "noindex",
}


@router.get("/photos/{photo_id}")
def photo(photo_id: str, desk: SignedIn) -> Response:
    """The photo as it was kept."""
    found = None
    # What no photo is named is not looked up: PostgreSQL takes no NUL, for one.
    if re.fullmatch(r"[A-Za-z0-9_-]{1,64}", photo_id):
        with desk.visit.ports.read() as work:
            found = work.chats.photo(photo_id)
    if found is None:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is no such photo")
    return Response(found.jpeg, media_type="image/jpeg", headers=_GUARDS)
