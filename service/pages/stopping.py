"""The page on which a client stops the shop's reminders, or has them start again."""

from http import HTTPStatus

from fastapi import APIRouter, Response

from service.leads import follow_up, handling
from service.leads.follow_up.stopping import STOP_LINK
from service.pages.posted import Sent
from service.pages.visit import Visit, Visiting

router = APIRouter()


@router.get("/stop/{token}")
def stop_page(token: str, visit: Visiting) -> Response:
    """Whether reminders come, and the button that changes it. Opening it changes nothing."""
    return _page(visit, token)


@router.post("/stop/{token}")
def stop(token: str, visit: Visiting, sent: Sent) -> Response:
    """Write nothing unasked any more; or, asked so, again."""
    ports = visit.ports
    with ports.work() as work:
        lead = handling.lead_of_link(work, ports, token, purpose=STOP_LINK)
        chat = lead.channel, lead.chat_id
        if sent.text("again"):
            follow_up.start(work, ports, *chat, now=visit.now)
        else:
            follow_up.stop(work, *chat, now=visit.now)
        work.commit()
    return _page(visit, token, done=True)


def _page(visit: Visit, token: str, *, done: bool = False) -> Response:
    with visit.ports.read() as work:
        lead = handling.lead_of_link(work, visit.ports, token, purpose=STOP_LINK)
        stopped = work.chats.stopped_at(lead.channel, lead.chat_id) is not None
    visit = visit.speaking(lead.language)
    return visit.show(
        "stop.html",
        status=HTTPStatus.OK,
        number=lead.number,
        stopped=stopped,
        done=done,
        path=f"/stop/{token}",
    )
