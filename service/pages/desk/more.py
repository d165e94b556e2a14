"""What the owner needs less often."""

from fastapi import APIRouter, Response

from service.pages.desk.access import SignedIn
from service.pages.desk.rooms import FURTHER

router = APIRouter()


@router.get("/more")
def more_page(desk: SignedIn) -> Response:
    """A list of the desk's further pages."""
    return desk.show("desk/more.html", further=FURTHER)
