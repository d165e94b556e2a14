"""What the shop says to a client about a lead."""

from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads import words
from service.leads.lead import Hold, Lead, Quote
from service.leads.messages import Button, Message
from service.leads.review import names_latex_risk

# An event this near is better talked about than written about.
_SOON = timedelta(days=3)


def ballpark(
    lead: Lead, quote: Quote, book: PriceBook, *, url: str, booking_url: str | None
) -> Message:
    """The ballpark: range, what is in it, what it rests on, cautions in short, the next step.

    Without a `booking_url` no set-up time is free on the day.
    """
    currency = quote.currency
    after = "yours to keep afterwards" if lead.brief.client_keeps else "taken down afterwards"
    paragraphs = [
        f"Your ballpark is {words.money(quote.low, currency)} to "
        f"{words.money(quote.high, currency)}, most likely around "
        f"{words.money(quote.likely, currency)}{_tax(quote)}.",
        f"That covers, ready when your guests arrive and {after}:\n{_wanted(lead)}\n"
        f"• about {_about(quote.estimate.balloons_total)} balloons{_colours(lead)}",
    ]
    if quote.estimate.assumptions:
        taken = "\n".join(f"• {assumption.text}" for assumption in quote.estimate.assumptions)
        paragraphs.append(f"What I took for granted; tell me more and it gets closer:\n{taken}")
    paragraphs.append(_SAFETY)
    paragraphs.append(f"This price is good until {_day(quote.expires_at, book)}.")
    if booking_url is None:
        paragraphs.append(
            f"That day has no free set-up time just now. Ask {book.shop.owner} about it "
            f"({words.reached_by(book.shop.contact)}), or name another day."
        )
    return Message(
        kind="ballpark",
        text="\n\n".join(paragraphs),
        buttons=_ways_on(url, booking_url),
    )


def _ways_on(url: str, booking_url: str | None) -> tuple[Button, ...]:
    look = Button(label="See the whole quote", url=url)
    return (look, Button(label="Pick a set-up time", url=booking_url)) if booking_url else (look,)


_SAFETY = (
    "Please know: uninflated or broken balloons are a choking hazard for children under 8, and "
    "latex can set off allergies. The quote page has all the cautions."
)


def under_review(lead: Lead, book: PriceBook, *, today: date) -> Message:
    """The owner looks first, and the client is told so."""
    owner = book.shop.owner
    text = (
        f"Thank you. {owner} wants to look at this one personally before naming a price. "
        f"Your request is number {lead.number}, and the answer comes right here."
    )
    if names_latex_risk(lead.brief):
        text += (
            " Our garlands are latex, which can set off a serious reaction and which many "
            "hospitals and care homes do not allow: please ask the place too."
        )
    when = lead.brief.event.date
    if when is not None and when - today <= _SOON:
        text += f" It is soon, so to be quick: {words.reached_by(book.shop.contact)}."
    return Message(kind="review", text=text)


def firm(lead: Lead, quote: Quote, book: PriceBook, *, url: str, booking_url: str) -> Message:
    """The price that the owner stands behind."""
    said = f"{quote.note}\n\n" if quote.note else ""
    after = "the balloons yours to keep" if lead.brief.client_keeps else "taken down again"
    return Message(
        kind="firm",
        text=f"{book.shop.owner} has looked at your request.\n\n{said}"
        f"The price is {words.money(quote.likely, quote.currency)}{_tax(quote)}, set up and "
        f"{after}:\n{_wanted(lead)}\n\nThis price is good until {_day(quote.expires_at, book)}.",
        buttons=_ways_on(url, booking_url),
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


def booked(hold: Hold, book: PriceBook) -> Message:
    """The deposit has come."""
    zone = ZoneInfo(book.shop.time_zone)
    starts = hold.window.starts_at.astimezone(zone)
    ends = hold.window.ends_at.astimezone(zone)
    return Message(
        kind="note",
        text=f"Your deposit is here, thank you: {words.day(starts.date())} is booked. "
        f"{book.shop.owner} arrives at {words.clock(starts.time())} and is ready by "
        f"{words.clock(ends.time())}.",
    )


def hold_over(hold: Hold, book: PriceBook) -> Message:
    """The hold has run out."""
    starts = hold.window.starts_at.astimezone(ZoneInfo(book.shop.time_zone))
    return Message(
        kind="note",
        text=f"The set-up time we held for {words.day(starts.date())} is free again, since no "
        "deposit came. If you still want it, open your quote and pick a time.",
    )


def _about(count: int) -> int:
    """A count that depends on how the balloons lie is not said to the piece."""
    return round(count, -1) if count >= 50 else count


def _wanted(lead: Lead) -> str:
    brief = lead.brief
    wanted = (*map(words.piece, brief.pieces), *map(words.floating, brief.floating))
    return "\n".join(f"• {each}" for each in wanted)


def _tax(quote: Quote) -> str:
    return f", {words.tax(quote.estimate.price, quote.likely)}"


def _colours(lead: Lead) -> str:
    names = [share.colour for share in lead.brief.palette]
    return f" in {words.listed(names)}" if names else ""


def _day(value: datetime, book: PriceBook) -> str:
    return words.day(value.astimezone(ZoneInfo(book.shop.time_zone)).date())
