"""The page on which a website client follows a request until the answer is there."""

from datetime import timedelta
from functools import partial

from fastapi import APIRouter, Response

from service.leads import handling
from service.leads.lead import Lead, LeadState
from service.pages.pictures import came_with
from service.pages.visit import Visit, Visiting

router = APIRouter()

# An answer is usually there in seconds; whoever is still waiting after that is not hurried by
# asking more often.
_USUAL = timedelta(seconds=60)


@router.get("/requests/{token}")
def request_page(token: str, visit: Visiting) -> Response:
    """How far the request is, and everything we said about it. Changes nothing."""
    with visit.ports.read() as work:
        lead = handling.lead_of_link(work, visit.ports, token, purpose=handling.STATUS_LINK)
        visit = visit.speaking(lead.language)
        said = work.chats.messages(lead.channel, lead.chat_id)
    refresh = _refresh(visit, lead)
    return visit.show(
        "request.html",
        framed=True,
        headers={"Refresh": str(refresh)} if refresh else None,
        lead=lead,
        waiting=lead.state is LeadState.NEW,
        slow=visit.now - lead.created_at > _USUAL,
        messages=[stored.message for stored in said if stored.direction == "out"],
        picture_of=partial(came_with, words=visit.words),
    )


def _refresh(visit: Visit, lead: Lead) -> int | None:
    """Seconds until the page should be read again, if waiting makes sense."""
    if lead.state is LeadState.NEW:
        return 2 if visit.now - lead.created_at < _USUAL else 10
    return 60 if lead.state is LeadState.REVIEW else None
