"""What the shop says to a client about a lead, in the client's language."""

from datetime import date, timedelta
from decimal import Decimal

from service.estimating import PriceBook
from service.leads import money_wording
from service.leads.balances import Rest
from service.leads.ballpark import ballpark
from service.leads.lead import Hold, Lead, Quote
from service.leads.messages import Message
from service.leads.phrasing import (
    PICK_A_TIME,
    YOUR_DATE,
    firm_tax,
    how_to_pay,
    included,
    last_day,
    to_date,
    ways_on,
)
from service.leads.review import names_latex_risk
from service.leads.shop_time import zone_of
from service.leads.words import Words

__all__ = [
    "ballpark",
    "booked",
    "declined",
    "firm",
    "given_back",
    "held",
    "hold_over",
    "moved",
    "under_review",
]

# An event this near is better talked about than written about.
_SOON = timedelta(days=3)


def under_review(lead: Lead, book: PriceBook, words: Words, *, today: date) -> Message:
    """The owner looks first, and the client is told so."""
    owner = book.shop.owner
    said = [
        words.say(
            "Thank you! %(owner)s wants to look at this one before naming a price.", owner=owner
        ),
        words.say(
            "Your request is number %(number)s, and the answer comes right here.",
            number=lead.number,
        ),
    ]
    if names_latex_risk(lead.brief):
        said.append(
            words.say(
                "Our garlands are latex, which can set off a serious reaction and which many "
                "hospitals and care homes do not allow: please ask the place too."
            )
        )
    when = lead.brief.event.date
    if when is not None and when - today <= _SOON:
        reach = words.reached_by(book.shop.contact)
        said.append(words.say("It's soon, so the quickest way is to call: %(reach)s.", reach=reach))
    return Message(kind="review", text=" ".join(said))


def _price_is(quote: Quote, words: Words) -> str:
    amount, price = words.money(quote.likely, quote.currency), quote.estimate.price
    tax = firm_tax(quote, words)
    if price.tax_rate * price.taxable_share:
        return words.say("The price is %(price)s, %(tax)s.", price=amount, tax=tax)
    return words.say("The price is %(price)s; %(tax)s.", price=amount, tax=tax)


def firm(
    quote: Quote,
    book: PriceBook,
    words: Words,
    *,
    url: str,
    booking_url: str | None,
    kept: Hold | None = None,
) -> Message:
    """The price that the owner stands behind; without a `booking_url` its date is booked.

    `kept` is what the client holds without a deposit: another price asks for another one.
    """
    paragraphs = [
        words.say("%(owner)s has looked at your request.", owner=book.shop.owner),
        quote.note or "",
        _price_is(quote, words),
        included(quote, words),
        words.say("It's good until %(day)s.", day=last_day(quote, book, words)),
        _still_kept(kept, quote, book, words) if kept else "",
    ]
    return Message(
        kind="firm",
        text="\n\n".join(filter(None, paragraphs)),
        buttons=ways_on(words, url, booking_url, YOUR_DATE if kept else PICK_A_TIME),
    )


def _still_kept(hold: Hold, quote: Quote, book: PriceBook, words: Words) -> str:
    zone = zone_of(book)
    return words.say(
        "Your time on %(day)s stays held until %(until)s. The deposit for it is now %(deposit)s.",
        day=words.day(hold.window.starts_at.astimezone(zone).date()),
        until=words.moment(hold.expires_at.astimezone(zone)),
        deposit=words.money(quote.deposit, quote.currency),
    )


def declined(book: PriceBook, text: str | None, words: Words) -> Message:
    """A kind no; `text` is the owner's own."""
    usual = words.say(
        "Thank you for asking us. %(owner)s can't take this one on, and would rather tell you now "
        "than keep you waiting. We hope your day goes beautifully.",
        owner=book.shop.owner,
    )
    return Message(kind="note", text=text or usual)


def held(
    hold: Hold,
    book: PriceBook,
    deposit: Decimal,
    currency: str,
    words: Words,
    *,
    url: str,
    rest: Rest | None = None,
) -> Message:
    """The window is kept; what turns it into a booking, and the `rest` of the price after that."""
    zone = zone_of(book)
    starts = hold.window.starts_at.astimezone(zone)
    said = words.say(
        "%(day)s is held for you: we arrive at %(arrive)s and are ready by %(ready)s. We keep "
        "it until %(until)s. A deposit of %(deposit)s turns it into a booking. %(pay)s",
        day=words.day(starts.date()),
        arrive=words.clock(starts),
        ready=words.clock(hold.window.ends_at, zone),
        until=words.moment(hold.expires_at.astimezone(zone)),
        deposit=words.money(deposit, currency),
        pay=how_to_pay(book, words),
    )
    return _of_date(said, rest, words, url)


def booked(
    hold: Hold,
    book: PriceBook,
    words: Words,
    *,
    paid: Decimal,
    currency: str,
    url: str,
    rest: Rest | None = None,
) -> Message:
    """The deposit has come; `paid` is how much, and the `rest` is still to come."""
    zone = zone_of(book)
    starts = hold.window.starts_at.astimezone(zone)
    said = words.say(
        "Your %(paid)s arrived, thank you! %(day)s is booked. %(owner)s comes at %(arrive)s "
        "and is ready by %(ready)s.",
        paid=words.money(paid, currency),
        day=words.day(starts.date()),
        owner=book.shop.owner,
        arrive=words.clock(starts),
        ready=words.clock(hold.window.ends_at, zone),
    )
    return _of_date(said, rest, words, url)


def moved(
    hold: Hold, book: PriceBook, words: Words, *, url: str, rest: Rest | None = None
) -> Message:
    """The owner has moved the date, and with it the day on which the `rest` is due."""
    zone = zone_of(book)
    starts = hold.window.starts_at.astimezone(zone)
    said = words.say(
        "Your set-up has a new time: %(day)s. %(owner)s comes at %(arrive)s and is ready by "
        "%(ready)s.",
        day=words.day(starts.date()),
        owner=book.shop.owner,
        arrive=words.clock(starts),
        ready=words.clock(hold.window.ends_at, zone),
    )
    return _of_date(said, rest, words, url)


def given_back(hold: Hold, book: PriceBook, words: Words) -> Message:
    """The client no longer needs the date."""
    starts = hold.window.starts_at.astimezone(zone_of(book))
    return Message(
        kind="note",
        text=words.say(
            "Done: %(day)s is no longer held for you, and there is nothing to pay. If things "
            "change, pick a time again from your quote.",
            day=words.day(starts.date()),
        ),
    )


def hold_over(hold: Hold, book: PriceBook, words: Words) -> Message:
    """The hold has run out."""
    starts = hold.window.starts_at.astimezone(zone_of(book))
    return Message(
        kind="note",
        text=words.say(
            "No deposit came, so the set-up time we held for %(day)s is free again. Still want "
            "it? Open your quote and pick a time.",
            day=words.day(starts.date()),
        ),
    )


def _of_date(said: str, rest: Rest | None, words: Words, url: str) -> Message:
    parts = (said, money_wording.rest(rest, words))
    return Message(kind="note", text=" ".join(filter(None, parts)), buttons=to_date(words, url))
