"""What a client's signed links open, as JSON: the quote, the free windows, the hold."""

import datetime as dt
from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Path, Query

from service.api import views
from service.api.dependencies import Given
from service.api.problems import Refusal
from service.contract import leads as wire
from service.contract.estimate import Problem
from service.leads import booking, handling
from service.leads.lead import Client, NotFound

router = APIRouter(
    tags=["client links"],
    responses={
        404: {"model": Problem, "description": "The link was altered or never made."},
        410: {"model": Problem, "description": "The link's time is over."},
    },
)

Token = Annotated[str, Path(max_length=200, description="The last part of the link's path.")]


@router.get("/quotes/{token}")
def read_quote(token: Token, ports: Given) -> wire.LeadStatus:
    """The newest quote behind a quote link. Opening it changes nothing."""
    with ports.read() as work:
        lead = handling.lead_of_link(work, ports, token, purpose=handling.QUOTE_LINK)
        return views.status(work, ports, lead)


@router.get("/bookings/{token}/windows")
def free_windows(
    token: Token,
    ports: Given,
    day: Annotated[
        dt.date | None, Query(description="Needed where the brief names no date.")
    ] = None,
) -> list[wire.Window]:
    """Set-up windows that are free on the day of the event."""
    with ports.read() as work:
        lead = handling.lead_of_link(work, ports, token, purpose=handling.BOOKING_LINK)
        quote = work.quotes.latest(lead.id, sent=True)
        if quote is None:
            raise NotFound("This lead has no quote yet.")
        wanted = lead.brief.event.date or day
        if wanted is None:
            raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, "Say which day: ?day=2027-06-06")
        book = ports.price_books.current()
        found = booking.offered(work, lead, quote, book, day=wanted, now=ports.clock())
        return [views.window(ports, window) for window in found]


@router.post(
    "/bookings/{token}/holds",
    status_code=HTTPStatus.CREATED,
    responses={409: {"model": Problem, "description": "That window is not free."}},
)
def place_hold(token: Token, body: wire.HoldRequest, ports: Given) -> wire.Hold:
    """Hold a set-up window. The same request again gives the same hold."""
    booking.free_expired(ports)
    with ports.work() as work:
        lead = handling.lead_of_link(work, ports, token, purpose=handling.BOOKING_LINK)
        hold = booking.place_hold(
            work,
            ports,
            lead.id,
            starts_at=body.starts_at,
            client=Client(name=body.name, phone=body.phone, email=body.email),
            now=ports.clock(),
        )
        answer = views.hold(ports, hold, work.quotes.latest(lead.id, sent=True))
        work.commit()
        return answer
