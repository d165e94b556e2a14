"""What the shop keeps of its clients, said to them."""

from fastapi import APIRouter, Response

from service.pages.visit import Visiting

router = APIRouter()


@router.get("/privacy")
def privacy_page(visit: Visiting) -> Response:
    """The shop's own notice in the visitor's language, or the usual one."""
    rules = visit.book.privacy
    return visit.show(
        "privacy.html",
        own=rules.notice.get(visit.words.language),
        keep_lost=visit.words.lasting(rules.keep_lost),
        keep_done=visit.words.lasting(rules.keep_done),
    )
