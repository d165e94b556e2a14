"""What a client's signed links open, as JSON: the quote, the free windows, the hold."""

from http import HTTPStatus
from typing import Annotated

from fastapi import APIRouter, Path, Query

from service.api import views
from service.api.bookings import taken
from service.api.dependencies import Day, Given
from service.api.problems import Refusal
from service.contract import bookings as wire
from service.contract.estimate import Problem
from service.contract.leads import LeadStatus
from service.estimating import Setting
from service.leads import booking, handling, limits, merging, terms
from service.leads.lead import Client, Lead, LeadState, MoveRefused, NotFound, Quote, WindowTaken
from service.leads.limits import keep_to
from service.leads.offering import day_of_event
from service.leads.ports import Ports, UnitOfWork

_TOO_MANY = {"model": Problem, "description": "Too many by this link; see Retry-After."}

router = APIRouter(
    tags=["client links"],
    responses={
        404: {"model": Problem, "description": "The link was altered or never made."},
        410: {"model": Problem, "description": "The link's time is over."},
    },
)

Token = Annotated[str, Path(max_length=200, description="The last part of the link's path.")]


@router.get("/quotes/{token}")
def read_quote(token: Token, ports: Given) -> LeadStatus:
    """The newest quote behind a quote link. Opening it changes nothing."""
    with ports.read() as work:
        opened = handling.lead_of_link(work, ports, token, purpose=handling.QUOTE_LINK)
        return views.status(work, ports, merging.kept_with_price(work, opened))


@router.get("/bookings/{token}/windows", responses={429: _TOO_MANY})
def free_windows(
    token: Token,
    ports: Given,
    day: Annotated[Day | None, Query(description="Needed where the brief names no date.")] = None,
) -> list[wire.Window]:
    """Set-up windows that are free on the day of the event."""
    with ports.read() as work:
        lead, quote = _opened(work, ports, token)
        keep_to(ports.limits, limits.WINDOWS, lead.id)
        book = ports.price_books.current()
        fixed = day_of_event(work, lead.id, quote, book)
        wanted = fixed if quote.brief.event.date is not None else day or fixed
        if wanted is None:
            raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, "Say which day: ?day=2027-06-06")
        found = booking.offered(work, lead, quote, book, day=wanted, now=ports.clock())
        return [views.window(ports, window) for window in found]


@router.get("/bookings/{token}/terms")
def read_terms(token: Token, ports: Given) -> wire.Terms:
    """What a client agrees to by holding a window, in the client's language."""
    with ports.read() as work:
        lead, quote = _opened(work, ports, token)
    now = terms.current(ports)
    said = now.said(lead.language)
    outdoors = quote.brief.site.setting is Setting.OUTDOOR
    return wire.Terms(
        version=now.version,
        language=lead.language,
        terms=said.terms,
        weather=said.weather if outdoors else "",
    )


@router.post(
    "/bookings/{token}/holds",
    status_code=HTTPStatus.CREATED,
    responses={
        409: {"model": Problem, "description": "That window is not free; see next_free."},
        429: _TOO_MANY,
    },
)
def place_hold(token: Token, body: wire.HoldRequest, ports: Given) -> wire.Hold:
    """Hold a set-up window. The same request again gives the same hold."""
    booking.free_expired(ports)
    _refuse_old_terms(body, ports)
    with ports.read() as work:
        lead, _ = _opened(work, ports, token)
    keep_to(ports.limits, limits.HOLDS, lead.id)
    try:
        return _hold(ports, lead, body)
    except WindowTaken as error:
        raise taken(ports, lead.id, error, starts_at=body.starts_at) from None


@router.post(
    "/bookings/{token}/give-back",
    responses={409: {"model": Problem, "description": "Booked: that is the owner's to cancel."}},
)
def give_back(token: Token, body: wire.GiveBack, ports: Given) -> LeadStatus:
    """The client no longer needs the held window. The same request again changes nothing."""
    with ports.work() as work:
        lead, _ = _opened(work, ports, token)
        lead = work.leads.get(lead.id, lock=True)
        if lead.state not in (LeadState.HELD, LeadState.QUOTED):
            raise MoveRefused(lead.state, LeadState.QUOTED)
        lead = booking.release(work, ports, lead, now=ports.clock(), because=body.because)
        work.commit()
        return views.status(work, ports, lead)


def _opened(work: UnitOfWork, ports: Ports, token: str) -> tuple[Lead, Quote]:
    lead = handling.lead_of_link(work, ports, token, purpose=handling.BOOKING_LINK)
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    return lead, quote


def _hold(ports: Ports, lead: Lead, body: wire.HoldRequest) -> wire.Hold:
    with ports.work() as work:
        now = ports.clock()
        hold = booking.place_hold(
            work,
            ports,
            lead.id,
            starts_at=body.starts_at,
            client=Client(name=body.name, phone=body.phone, email=body.email),
            another_day=body.another_day,
            now=now,
        )
        if body.accepted_terms:
            terms.accept(work, ports, lead, language=lead.language, now=now)
        answer = views.hold(ports, hold, work.quotes.latest(lead.id, sent=True))
        work.commit()
        return answer


def _refuse_old_terms(body: wire.HoldRequest, ports: Ports) -> None:
    if body.accepted_terms and body.accepted_terms != terms.current(ports).version:
        raise Refusal(HTTPStatus.CONFLICT, "The terms have changed since. Show them again.")
