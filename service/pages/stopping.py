"""The page on which a client stops the shop's reminders, or has them start again."""

from fastapi import APIRouter, Response

from service.leads import addresses, follow_up, handling
from service.leads.follow_up.stopping import STOP_LINK
from service.pages.posted import Sent
from service.pages.visit import Visiting, go_to, path_of

router = APIRouter()


@router.get("/stop/{token}")
def stop_page(token: str, visit: Visiting, done: str = "") -> Response:
    """Whether reminders come, and the button that changes it. Opening it changes nothing."""
    with visit.ports.read() as work:
        lead = handling.lead_of_link(work, visit.ports, token, purpose=STOP_LINK)
        stopped = work.chats.stopped_at(lead.channel, lead.chat_id) is not None
        quote_path = path_of(addresses.of_lead(work, visit.ports, lead.id)[0])
    return visit.speaking(lead.language).show(
        "stop.html",
        number=lead.number,
        stopped=stopped,
        done=bool(done),
        path=f"/stop/{token}",
        quote_path=quote_path,
    )


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
    return go_to(visit.at(f"/stop/{token}?done=1"))
