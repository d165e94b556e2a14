"""How a quote stands with its client, from what is kept of it."""

from service.leads import addresses, cancelling, stays, terms
from service.leads.agreements import Clauses
from service.leads.lead import Lead, NotFound
from service.leads.newer import newest_after
from service.leads.ports import Ports, UnitOfWork
from service.leads.price_books import book_of
from service.workshop.quote_document.case import Standing


def standing_of(work: UnitOfWork, ports: Ports, lead: Lead, *, language: str) -> Standing:
    """How the quotes of a lead stand now; what was agreed on in a language."""
    hold = work.holds.of_lead(lead.id)
    newer = newest_after(work, lead)
    book = ports.price_books.current()
    return Standing(
        state=lead.state,
        addressee=lead.client.name,
        newer=newer.number if newer else None,
        canceled=cancelling.cancelled(work, lead.id) is not None,
        hold=hold,
        strikes_at=stays.agreed_strike(lead.brief.event, hold, book) if hold else None,
        clauses=_clauses(work, ports, lead, language),
        link=_link(work, ports, lead),
    )


def _clauses(work: UnitOfWork, ports: Ports, lead: Lead, language: str) -> Clauses:
    """What the client agreed to, else what the price was told under."""
    accepted = terms.accepted(work, lead.id)
    if accepted is not None:
        return work.agreements.terms(accepted.version).said(language)
    quote = work.quotes.latest(lead.id, sent=True)
    book = book_of(ports.price_books, quote) if quote else ports.price_books.current()
    return terms.by_book(ports, book).said(language)


def _link(work: UnitOfWork, ports: Ports, lead: Lead) -> str | None:
    try:
        return addresses.of_lead(work, ports, lead.id)[0]
    except NotFound:
        return None
