"""What else a client could have: other fullnesses, or ways within the budget."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from zoneinfo import ZoneInfo

from service.estimating import BriefError, Option, Price, PriceBook, estimate, options
from service.leads import words
from service.leads.lead import Lead, Quote, QuoteKind


@dataclass(frozen=True, kw_only=True, slots=True)
class Alternative:
    """One way to build it, and its range; `asked` where it is what the client asked for.

    `caution` says where one that most likely fits the budget could still go beyond it.
    """

    label: str
    range: str
    caution: str | None
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
    most = lead.brief.budget.max if lead.brief.budget else None
    ways = tuple(_way(option, most) for option in found)
    if all(way.asked for way in ways):
        return None
    return Alternatives(about=_about(found, most, quote), ways=ways)


def _way(option: Option, most: Decimal | None) -> Alternative:
    price = option.estimate.price
    low, high = (words.money(amount, price.currency) for amount in (price.low, price.high))
    return Alternative(
        label="; ".join(option.changes) if option.changes else "as you asked",
        range=f"{low} to {high}",
        caution=_caution(price, most) if option.fits else None,
        asked=not option.changes,
    )


def _caution(price: Price, most: Decimal | None) -> str | None:
    due = Decimal(0) if price.tax_included else price.tax_rate * price.taxable_share
    reached = (price.high * (1 + due)).quantize(Decimal(1), ROUND_CEILING)
    if most is None or reached <= most:
        return None
    with_tax = " with tax" if due else ""
    return f"likely fits; could reach {words.money(reached, price.currency)}{with_tax}"


def _about(found: tuple[Option, ...], most: Decimal | None, quote: Quote) -> str:
    if most is None:
        return "The same pieces, lighter or richer."
    budget = words.money(most, quote.currency)
    if any(option.fits for option in found):
        return f"Ways that most likely stay within your budget of {budget}."
    return f"Nothing that we could leave out brings it within {budget}; this comes closest."
