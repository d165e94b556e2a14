"""What else a client could have: other fullnesses, or ways within the budget."""

from dataclasses import dataclass
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import BriefError, Option, PriceBook, estimate, options
from service.leads import words
from service.leads.lead import Lead, Quote, QuoteKind


@dataclass(frozen=True, kw_only=True, slots=True)
class Alternative:
    """One way to build it, and its range; `asked` where it is what the client asked for."""

    label: str
    range: str
    asked: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Alternatives:
    """Ways to choose among; `about` says what they have in common."""

    about: str
    ways: tuple[Alternative, ...]


def also_possible(lead: Lead, quote: Quote, book: PriceBook) -> Alternatives | None:
    """Alternatives to a ballpark, at the prices of its own day; None where there are none.

    Nor are there any once the owner has set a price, or where the ballpark would come out
    differently now: two prices for one thing help nobody.
    """
    if quote.kind is QuoteKind.FIRM or quote.estimate.price_book_version != book.version:
        return None
    made_on = quote.created_at.astimezone(ZoneInfo(book.shop.time_zone)).date()
    try:
        if estimate(lead.brief, book, today=made_on).price != quote.estimate.price:
            return None
        found = options(lead.brief, book, today=made_on)
    except BriefError:
        return None
    ways = tuple(_way(option) for option in found)
    if all(way.asked for way in ways):
        return None
    most = lead.brief.budget.max if lead.brief.budget else None
    return Alternatives(about=_about(found, most, quote), ways=ways)


def _way(option: Option) -> Alternative:
    price = option.estimate.price
    low, high = (words.money(amount, price.currency) for amount in (price.low, price.high))
    return Alternative(
        label=", ".join(option.changes) if option.changes else "as you asked",
        range=f"{low} to {high}",
        asked=not option.changes,
    )


def _about(found: tuple[Option, ...], most: Decimal | None, quote: Quote) -> str:
    if most is None:
        return "The same pieces, lighter or richer."
    budget = words.money(most, quote.currency)
    if any(option.fits for option in found):
        return f"Ways that most likely stay within your budget of {budget}."
    return f"Nothing that we could leave out brings it within {budget}; this comes closest."
