"""The owner's calendar as JSON: windows on offer, holding, moving and releasing a date."""

from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Query

from service.api import views
from service.api.access import Role, allow
from service.api.dependencies import Day, Given
from service.api.problems import Refusal
from service.contract import bookings as wire
from service.contract.estimate import FieldProblem, Problem
from service.leads import booking, cancelling, paying
from service.leads.lacking import owner_reasons
from service.leads.lead import OWNER, Hold, HoldState, Lead, NotFound, Quote, WindowTaken
from service.leads.offering import OwnersWindow, day_of_event, open_to_owner, why_none
from service.leads.owner_words import why_not
from service.leads.ports import Ports, UnitOfWork
from service.leads.shop_time import zone_of

_TAKEN: dict[int | str, dict[str, Any]] = {
    409: {"model": Problem, "description": "That window is not free; see next_free."}
}

router = APIRouter(prefix="/leads", tags=["leads"], dependencies=[Depends(allow(Role.OWNER))])


@router.get("/{lead_id}/windows")
def windows(
    lead_id: str,
    ports: Given,
    day: Annotated[
        Day | None, Query(description="Without it, the day of the event, or that is held.")
    ] = None,
) -> wire.FreeWindows:
    """Windows with room for the lead's job; what the lead holds itself counts as free.

    Those that break a rule of the shop's own say so: the owner may hold them, a client may not.
    """
    with ports.read() as work:
        lead, quote = work.leads.get(lead_id), _quote(work, lead_id)
        book, now = ports.price_books.current(), ports.clock()
        wanted = day or day_of_event(work, lead_id, quote, book)
        if wanted is None:
            raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, "Say which day: ?day=2027-06-06")
        free = open_to_owner(work, lead, quote, book, day=wanted, now=now)
        none = why_none(work, lead, quote, book, day=wanted, now=now)
        others = booking.next_free(work, lead, quote, book, after=wanted, now=now)
    return wire.FreeWindows(
        day=wanted,
        windows=[_owners_window(ports, each) for each in free],
        why_none=owner_reasons(none) if none else [],
        next_free=[views.window(ports, each) for each in others],
    )


@router.post("/{lead_id}/hold", status_code=HTTPStatus.CREATED, responses=_TAKEN)
def hold(lead_id: str, body: wire.OwnerHoldRequest, ports: Given) -> wire.Date:
    """Hold a window for the client, whichever of the shop's own rules it breaks.

    The same request again gives the same hold.
    """

    def place(work: UnitOfWork, lead: Lead) -> Hold:
        return booking.place_hold(
            work,
            ports,
            lead_id,
            starts_at=body.starts_at,
            client=lead.client,
            who=OWNER,
            now=ports.clock(),
        )

    booking.free_expired(ports)
    try:
        with ports.work() as work:
            kept = place(work, work.leads.get(lead_id, lock=True))
            work.commit()
    except WindowTaken as error:
        raise taken(ports, lead_id, error, starts_at=body.starts_at, owner=True) from None
    return date_view(ports, kept)


@router.post("/{lead_id}/move", responses=_TAKEN)
def move(lead_id: str, body: wire.MoveRequest, ports: Given) -> wire.Date:
    """Move a held or booked date by the shop's rules; the event may move to another day with it.

    The fee that the price book asks of a client this late is added to what is due, unless it is
    waived; for the weather the client reads the clause. The window that it has already changes
    nothing.
    """
    booking.free_expired(ports)
    try:
        with ports.work() as work:
            kept = _moved(work, ports, lead_id, body)
            work.commit()
    except WindowTaken as error:
        raise taken(ports, lead_id, error, starts_at=body.starts_at, owner=True) from None
    return date_view(ports, kept)


def _moved(work: UnitOfWork, ports: Ports, lead_id: str, body: wire.MoveRequest) -> Hold:
    lead, why, now = work.leads.get(lead_id, lock=True), cancelling.Why(body.why), ports.clock()
    kept = work.holds.of_lead(lead_id)
    if kept is None:
        raise NotFound("Nothing is held for this request any more.")
    if why is cancelling.Why.WEATHER and not cancelling.may_wait_for_weather(lead):
        detail = "The weather is no reason for what stands indoors."
        errors = [FieldProblem(field="why", detail=detail)]
        raise Refusal(HTTPStatus.UNPROCESSABLE_ENTITY, detail, errors=errors)
    fee = cancelling.fee_to_move(work, ports, lead, why, now=now)
    return cancelling.move(
        work,
        ports,
        lead_id,
        starts_at=body.starts_at,
        why=why,
        fee=Decimal(0) if body.waive_fee else fee,
        seen=paying.Seen(quote=_quote(work, lead_id).number, hold=kept.id),
        who=OWNER,
        now=now,
        reason=body.reason,
    )


@router.post(
    "/{lead_id}/release",
    responses={409: {"model": Problem, "description": "A booked date is canceled, not released."}},
)
def release(lead_id: str, body: wire.GiveBack, ports: Given) -> wire.Date:
    """Let go of a held date; the client is told."""
    with ports.work() as work:
        lead = work.leads.get(lead_id, lock=True)
        kept = work.holds.of_lead(lead_id)
        if kept is None:
            raise NotFound("Nothing is held for this request.")
        if kept.state is HoldState.BOOKED:
            raise Refusal(HTTPStatus.CONFLICT, "A booked date is canceled, with what is paid.")
        booking.release(work, ports, lead, now=ports.clock(), who=OWNER, because=body.because)
        newest = work.holds.newest_of_lead(lead_id) or kept
        work.commit()
    return date_view(ports, newest)


def taken(
    ports: Ports, lead_id: str, error: WindowTaken, *, starts_at: datetime, owner: bool = False
) -> Refusal:
    """A window that is not free, with the next ones that are; to the owner also why."""
    with ports.read() as work:
        lead, quote = work.leads.get(lead_id), _quote(work, lead_id)
        book = ports.price_books.current()
        day = starts_at.astimezone(zone_of(book)).date()
        free = booking.next_free(work, lead, quote, book, after=day, now=ports.clock())
    return Refusal(
        HTTPStatus.CONFLICT,
        why_not(error) if owner else str(error),
        next_free=[views.window(ports, each) for each in free],
    )


def date_view(ports: Ports, value: Hold) -> wire.Date:
    """What is kept, in the shop's own time."""
    zone = zone_of(ports.price_books.current())
    stay = {name: getattr(value.stay, name) for name in ("leaves_at", "strikes_at", "struck_at")}
    stay |= {"arrives_at": value.window.starts_at, "ready_at": value.window.ends_at}
    stay |= {"returns_at": value.stay.returns_at}
    booked = value.state is HoldState.BOOKED
    return wire.Date(
        id=value.id,
        state=value.state.value,
        revision=value.revision,
        crew=value.crew,
        stay=wire.Stay(**{name: at.astimezone(zone) for name, at in stay.items()}),
        expires_at=None if booked else value.expires_at.astimezone(zone),
    )


def _owners_window(ports: Ports, value: OwnersWindow) -> wire.OwnersWindow:
    seen = views.window(ports, value.window)
    return wire.OwnersWindow(
        starts_at=seen.starts_at,
        ends_at=seen.ends_at,
        breaks=[rule.value for rule in value.broken],
    )


def _quote(work: UnitOfWork, lead_id: str) -> Quote:
    quote = work.quotes.latest(lead_id, sent=True)
    if quote is None:
        raise NotFound("This lead has no quote yet.")
    return quote
