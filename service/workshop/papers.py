"""What the documents of a job are made from, and who may read them."""

from dataclasses import dataclass
from datetime import datetime

from service.estimating import PriceBook
from service.leads.lead import Hold, Lead, NotFound, Quote
from service.leads.people import PersonRole
from service.leads.ports import UnitOfWork
from service.leads.price_books import PriceBooks, book_of
from service.workshop import set_ups


@dataclass(frozen=True, kw_only=True, slots=True)
class Papers:
    """A request with the quote that is built, the price book it was made by, and its time.

    `hold` is None where no time is kept.
    """

    lead: Lead
    quote: Quote
    book: PriceBook
    hold: Hold | None


def built_by(work: UnitOfWork, lead: Lead) -> Quote:
    """The price that a job is built by: the newest that was sent, or a draft before the first.

    Raises NotFound where there is none, and for a client who was erased.
    """
    quote = work.quotes.latest(lead.id, sent=True) or work.quotes.latest(lead.id)
    if quote is None or lead.erased_at:
        raise NotFound("There is no price for this request yet, so nothing is known to make.")
    return quote


def papers_of(
    work: UnitOfWork, books: PriceBooks, lead_id: str, *, now: datetime, role: PersonRole
) -> Papers:
    """The papers of a request: its newest price that was sent; for the owner a draft will do.

    Raises NotFound where there is none. To a helper only what is coming is there.
    """
    if role is not PersonRole.OWNER:
        coming = set_ups.of_lead(work, books.current(), lead_id, now=now, role=role)
        book = book_of(books, coming.quote)
        return Papers(lead=coming.lead, quote=coming.quote, book=book, hold=coming.hold)
    lead = work.leads.get(lead_id)
    quote = built_by(work, lead)
    hold = work.holds.of_lead(lead_id)
    return Papers(lead=lead, quote=quote, book=book_of(books, quote), hold=hold)
