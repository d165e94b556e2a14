"""The load list of a coming set-up: boxes to tick, on a phone or on paper."""

from fastapi import APIRouter, Response

from service.leads import words
from service.pages.desk.access import AnyoneIn
from service.pages.desk.jobs import set_up_of
from service.workshop.load_list import load_of

router = APIRouter(prefix="/jobs")


@router.get("/{hold_id}/load")
def load_page(hold_id: str, desk: AnyoneIn) -> Response:
    """What goes into the car."""
    found = set_up_of(desk, hold_id)
    leaves = found.hold.stay.leaves_at.astimezone(desk.visit.zone)
    load = load_of(found, desk.visit.ports.price_books)
    return desk.show(
        "desk/load.html",
        job=found,
        load=load,
        mark=load.mark,
        leaves=words.moment(leaves),
        day=leaves.date(),
    )


@router.get("/{hold_id}/load.pdf")
def load_pdf(hold_id: str, desk: AnyoneIn, paper: str = "") -> Response:
    """What goes into the car, on paper."""
    from service.rendering.day_files import load_file
    from service.rendering.paper import MEDIA_TYPE

    file = load_file(desk.visit.ports, set_up_of(desk, hold_id), paper=paper)
    return Response(file.content, media_type=MEDIA_TYPE, headers=dict(file.headers))
