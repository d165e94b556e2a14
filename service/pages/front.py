"""The front page: what the shop does and where to ask."""

from fastapi import APIRouter, Response

from service.pages.visit import Visiting

router = APIRouter()


@router.get("/")
def front(visit: Visiting) -> Response:
    """The shop in a few words, with the ways to ask for a price."""
    return visit.show("front.html")
