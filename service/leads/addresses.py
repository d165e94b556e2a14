"""The addresses of a client's own pages: the quote, and the set-up time."""

from service.leads.lead import Lead, NotFound, Quote
from service.leads.ports import Ports, UnitOfWork
from service.leads.repositories import BOOKING_LINK, QUOTE_LINK


def of_lead(work: UnitOfWork, ports: Ports, lead_id: str) -> tuple[str, str]:
    """The newest addresses of a lead's quote page and booking page. Raises NotFound."""
    quote_link = work.links.of(lead_id, QUOTE_LINK)
    booking_link = work.links.of(lead_id, BOOKING_LINK)
    if quote_link is None or booking_link is None:
        raise NotFound("This lead has no quote yet.")
    return _addresses(ports, quote_link, booking_link)


def fresh(work: UnitOfWork, ports: Ports, lead: Lead, quote: Quote) -> tuple[str, str]:
    """New addresses of a quote that goes out, good as long as its price; so are older ones."""
    quote_link, booking_link = work.links.renew(
        lead.id, purposes=(QUOTE_LINK, BOOKING_LINK), until=quote.expires_at
    )
    return _addresses(ports, quote_link, booking_link)


def _addresses(ports: Ports, quote_link: str, booking_link: str) -> tuple[str, str]:
    return (
        f"{ports.public_url}/quotes/{ports.signer.sign(quote_link, purpose=QUOTE_LINK)}",
        f"{ports.public_url}/bookings/{ports.signer.sign(booking_link, purpose=BOOKING_LINK)}",
    )
