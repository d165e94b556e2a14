"""Calendars as files: the shop's feeds, and a client's own dates."""

import hashlib
from http import HTTPStatus

from fastapi import APIRouter, Request, Response

from service.leads import agenda, feed_entries, handling, paying
from service.leads.feed_entries import CalendarEntry
from service.leads.lead import NotFound
from service.leads.people import PersonRole
from service.leads.words import address
from service.pages.visit import Visit, Visiting

router = APIRouter()


@router.get("/calendar/{key}.ics")
def feed(key: str, visit: Visiting, request: Request) -> Response:
    """The feed that a key opens. Raises NotFound for a key that opens none, or none any more."""
    with visit.ports.read() as work:
        found = work.feeds.of_key(key)
        if found is None:
            raise NotFound("There is no such calendar.")
        entries = feed_entries.of_shop(
            work, visit.book, found.role, public_url=visit.ports.public_url, now=visit.now
        )
    whose = "" if found.role is PersonRole.OWNER else ", the work"
    return _file(request, visit, f"{visit.shop.name}{whose}", entries)


@router.get("/bookings/{token}.ics")
def client_dates(token: str, visit: Visiting, request: Request) -> Response:
    """The client's event and when we come, for their own calendar; canceled where it is off.

    Raises NotFound.
    """
    with visit.ports.read() as work:
        lead = handling.lead_of_link(work, visit.ports, token, purpose=handling.BOOKING_LINK)
        visit = visit.speaking(lead.language)
        job = agenda.last_of_lead(work, visit.book, lead, visit.now)
        if job is None:
            raise NotFound("No date was ever held for this request.")
        quote = paying.quote_of(work, lead.id)
    url = f"{visit.ports.public_url}/bookings/{token}"
    entries = feed_entries.of_client(job, quote, visit.book, visit.words, url=url)
    return _file(request, visit, visit.shop.name, entries)


def _file(request: Request, visit: Visit, name: str, entries: list[CalendarEntry]) -> Response:
    # Of the entries and not of the file, which takes longer to write than they to find.
    tag = f'"{hashlib.sha256(repr((name, visit.zone.key, entries)).encode()).hexdigest()[:32]}"'
    headers = {
        "ETag": tag,
        "Cache-Control": "private, no-cache",
        "X-Content-Type-Options": "nosniff",
        "X-Robots-Tag": "noindex",
    }
    if tag in request.headers.get("If-None-Match", ""):
        return Response(status_code=HTTPStatus.NOT_MODIFIED, headers=headers)
    # Its library is slow to load: only who reads a calendar waits.
    from service.rendering import ics

    sheet = ics.Sheet(
        name=name,
        zone=visit.zone,
        entries=entries,
        by=visit.shop.name,
        address=_mailbox(visit),
    )
    body = ics.written(sheet)
    return Response(body, media_type=ics.MEDIA_TYPE, headers=headers)


def _mailbox(visit: Visit) -> str | None:
    """Where the shop reads email: whoever publishes an event says so."""
    found = map(address, visit.shop.contact)
    return next((each for each in found if each and each.startswith("mailto:")), None)
