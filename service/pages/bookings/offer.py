"""What a time is picked for: the picture, what is in it and what it costs, in short."""

from dataclasses import dataclass

from service.leads.lead import QuoteKind
from service.leads.phrasing import firm_tax
from service.leads.speech import msg
from service.pages.bookings.opened import Job
from service.pages.pictures import Framed, framed

_PRICE, _BALLPARK = msg("Your price"), msg("Your ballpark")


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """A quote in a few words beside its picture; `tax` says what becomes of the sales tax."""

    picture: Framed
    pieces: tuple[str, ...]
    title: str
    price: str
    tax: str


def offer_of(job: Job) -> Offer:
    """What the client of a job was offered last."""
    quote, words, visit = job.quote, job.visit.words, job.visit
    low, high = (words.money(amount, quote.currency) for amount in (quote.low, quote.high))
    firm = quote.kind is QuoteKind.FIRM
    path = visit.at(f"{job.quote_path}/picture.webp?of={quote.number}")
    return Offer(
        picture=framed(quote, words, owner=visit.shop.owner, path=path),
        pieces=tuple(map(words.piece, quote.brief.pieces)),
        title=words.say(_PRICE if firm else _BALLPARK),
        price=(
            words.money(quote.likely, quote.currency)
            if firm
            else words.say("%(low)s to %(high)s", low=low, high=high)
        ),
        tax=firm_tax(quote, words) if firm else words.tax(quote.estimate.price, quote.likely),
    )
