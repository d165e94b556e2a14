"""What the shop says to a client about a lead."""

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import words
from service.leads.lead import Hold, Lead, Quote
from service.leads.messages import Button, Message


def ballpark(lead: Lead, quote: Quote, book: PriceBook, *, url: str, booking_url: str) -> Message:
    """The ballpark: range, what is in it, what it rests on, cautions in short, the next step."""
    currency = quote.currency
    pieces = "\n".join(f"• {words.piece(piece)}" for piece in lead.brief.pieces)
    paragraphs = [
        f"Your ballpark is {words.money(quote.low, currency)} to "
        f"{words.money(quote.high, currency)}, most likely around "
        f"{words.money(quote.likely, currency)}{_tax(quote)}.",
        f"That covers, ready when your guests arrive and taken down afterwards:\n{pieces}\n"
        f"• about {quote.estimate.balloons_total} balloons{_colours(lead)}",
    ]
    if quote.estimate.assumptions:
        taken = "\n".join(f"• {assumption.text}" for assumption in quote.estimate.assumptions)
        paragraphs.append(f"What I assumed; tell me and the range gets narrower:\n{taken}")
    paragraphs.append(_SAFETY)
    paragraphs.append(
        f"It stands until {_day(quote.expires_at, book)}. Next step: pick a set-up time."
    )
    return Message(
        kind="ballpark",
        text="\n\n".join(paragraphs),
        buttons=(
            Button(label="See the whole quote", url=url),
            Button(label="Pick a set-up time", url=booking_url),
        ),
    )


_SAFETY = (
    "Please know: uninflated or broken balloons are a choking hazard for children under 8, and "
    "latex can set off allergies. The quote page has all the cautions."
)


def under_review(lead: Lead, book: PriceBook) -> Message:
    """The owner looks first, and the client is told so."""
    return Message(
        kind="review",
        text=f"Thank you. {book.shop.owner} wants to look at this one personally before naming a "
        f"price. Your request is number {lead.number}, and the answer comes right here.",
    )


def firm(lead: Lead, quote: Quote, book: PriceBook, *, url: str, booking_url: str) -> Message:
    """The price that the owner stands behind."""
    said = f"{quote.note}\n\n" if quote.note else ""
    pieces = "\n".join(f"• {words.piece(piece)}" for piece in lead.brief.pieces)
    return Message(
        kind="firm",
        text=f"{book.shop.owner} has looked at your request.\n\n{said}"
        f"The price is {words.money(quote.likely, quote.currency)}{_tax(quote)}, set up and taken "
        f"down again:\n{pieces}\n\nIt stands until {_day(quote.expires_at, book)}.",
        buttons=(
            Button(label="See the whole quote", url=url),
            Button(label="Pick a set-up time", url=booking_url),
        ),
    )


def declined(book: PriceBook, text: str | None) -> Message:
    """A kind no."""
    usual = (
        f"Thank you for asking us. {book.shop.owner} can't take this one on, and would rather tell "
        "you now than keep you waiting. We hope your day goes beautifully."
    )
    return Message(kind="note", text=text or usual)


def held(hold: Hold, book: PriceBook, deposit: Decimal, currency: str) -> Message:
    """The window is kept; what turns it into a booking."""
    zone = ZoneInfo(book.shop.time_zone)
    starts = hold.window.starts_at.astimezone(zone)
    ends = hold.window.ends_at.astimezone(zone)
    until = hold.expires_at.astimezone(zone)
    return Message(
        kind="note",
        text=f"{words.day(starts.date())}, {words.clock(starts.time())} to "
        f"{words.clock(ends.time())} is held for your set-up until {words.day(until.date())}, "
        f"{words.clock(until.time())}. A deposit of {words.money(deposit, currency)} turns it into "
        f"a booking. To pay it, reach us: {words.reached_by(book.shop.contact)}.",
    )


def hold_over(hold: Hold, book: PriceBook) -> Message:
    """The hold has run out."""
    starts = hold.window.starts_at.astimezone(ZoneInfo(book.shop.time_zone))
    return Message(
        kind="note",
        text=f"The set-up time we held for {words.day(starts.date())} is free again, since no "
        "deposit came. If you still want it, open your quote and pick a time.",
    )


def _tax(quote: Quote) -> str:
    return ", tax included" if quote.estimate.price.tax_included else ", before tax"


def _colours(lead: Lead) -> str:
    names = [share.colour for share in lead.brief.palette]
    return f" in {words.listed(names)}" if names else ""


def _day(value: datetime, book: PriceBook) -> str:
    return words.day(value.astimezone(ZoneInfo(book.shop.time_zone)).date())
