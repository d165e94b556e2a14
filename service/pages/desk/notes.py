"""Notes that the owner keeps on a request."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import notes
from service.leads.lead import NotFound
from service.pages.desk.access import Confirmed
from service.pages.desk.lead_page import Entered, show_lead
from service.pages.posted import Sent, too_long
from service.pages.visit import go_to

router = APIRouter()


@router.post("/leads/{lead_id}/notes")
def add_note(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Keep a note. A second press keeps it once."""
    text = sent.text("note")
    fault = _fault(text)
    if fault:
        entered = Entered(note=text, faults={"note": fault})
        return show_lead(desk, lead_id, entered=entered, status=HTTPStatus.UNPROCESSABLE_ENTITY)
    try:
        with desk.visit.ports.work() as work:
            notes.add(work, lead_id, text, who=desk.who, now=desk.visit.now)
            work.commit()
    except NotFound:
        return desk.no_request()
    return go_to(f"/desk/leads/{lead_id}?done=noted#notes")


def _fault(text: str) -> str | None:
    if not text:
        return "Write a few words first."
    return too_long(text, notes.LONGEST)
