"""Parts that several messages about a price share."""

from collections.abc import Iterator, Sequence

from service.estimating import PriceBook
from service.leads import terms
from service.leads.accounts import tax_on
from service.leads.lead import Quote
from service.leads.messages import Button
from service.leads.shop_time import zone_of
from service.leads.speech import msg
from service.leads.words import Words

PICK_A_TIME = msg("Pick a set-up time")
OTHER_DAYS = msg("See other days")
YOUR_DATE = msg("See your date")


def included(quote: Quote, words: Words) -> str:
    """What the price covers, piece by piece."""
    if quote.brief.client_keeps:
        intro = words.say("Included, ready before your guests arrive and yours to keep afterwards:")
    else:
        intro = words.say("Included, ready before your guests arrive and taken down afterwards:")
    return bullets(intro, [*_wanted(quote, words), _balloons(quote, words)])


def _wanted(quote: Quote, words: Words) -> Iterator[str]:
    yield from map(words.piece, quote.brief.pieces)
    yield from map(words.floating, quote.brief.floating)
    if quote.brief.foils:
        yield words.say("foil balloons: %(foils)s", foils=words.foils(quote.brief.foils))


def _balloons(quote: Quote, words: Words) -> str:
    about = words.about(quote.estimate.balloons_total)
    if not quote.brief.palette:
        return words.say("about %(count)s balloons", count=about)
    colours = words.colours(share.colour for share in quote.brief.palette)
    return words.say("about %(count)s balloons in %(colors)s", count=about, colors=colours)


def how_to_pay(book: PriceBook, words: Words) -> str:
    """The price book's own words, or how the shop is reached."""
    own = terms.pay_to(book, words.language)
    return own or words.say(
        "To pay, reach us: %(reach)s.", reach=words.reached_by(book.shop.contact)
    )


def firm_tax(quote: Quote, words: Words) -> str:
    """What to say of the sales tax on a firm price, to the cent, and what it comes to with it."""
    tax = tax_on(quote)
    if not tax:
        return words.tax(quote.estimate.price, quote.likely)
    return words.say(
        "plus %(tax)s sales tax: %(total)s in all",
        tax=words.money(tax, quote.currency),
        total=words.money(quote.likely + tax, quote.currency),
    )


def to_date(words: Words, booking_url: str) -> tuple[Button, ...]:
    """To the date that is kept: paying, another time, the calendar."""
    return (Button(label=words.say(YOUR_DATE), url=booking_url),)


def ways_on(
    words: Words, url: str, booking_url: str | None, label: str = PICK_A_TIME
) -> tuple[Button, ...]:
    """To the quote, and to the booking page where there is something to do on it."""
    look = Button(label=words.say("See the whole quote"), url=url)
    if booking_url is None:
        return (look,)
    return look, Button(label=words.say(label), url=booking_url)


def bullets(intro: str, lines: Sequence[str]) -> str:
    """A list under the line that introduces it."""
    return "\n".join((intro, *(f"• {line}" for line in lines)))


def last_day(quote: Quote, book: PriceBook, words: Words) -> str:
    """The last day on which the price is good."""
    return words.day(quote.expires_at.astimezone(zone_of(book)).date())
