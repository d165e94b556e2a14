"""What the shop says to a client about a lead, in the client's language."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

from service.estimating import Option, Price, PriceBook
from service.leads.assumed import assumed
from service.leads.differing import changes
from service.leads.lead import Hold, Lead, Quote
from service.leads.messages import Button, Message
from service.leads.review import names_latex_risk
from service.leads.speech import msg
from service.leads.words import ENGLISH, Words

# An event this near is better talked about than written about.
_SOON = timedelta(days=3)

# A phone shows so many lines before they are skipped.
_MOST_OPEN = 3
_MOST_OPTIONS = 3

# From this many on, a count is rounded to tens.
_MANY = 50

# What the quote page says at length.
_CAUTIONS: Mapping[str, str] = {
    "choking_hazard": msg(
        "Uninflated or broken balloons are a choking hazard for children under 8."
    ),
    "helium": msg("Never breathe helium."),
    "latex_in_hospitals": msg("Hospitals often allow no latex, so please ask there first."),
    "latex_allergy": msg("Latex can set off allergies."),
    "strong_wind": msg("In strong wind it comes down, or isn't put up."),
    "floating_foils_and_power_lines": msg("Keep foil balloons tied down, away from power lines."),
    "foils_and_power_lines": msg("Keep foil balloons away from power lines."),
}


def ballpark(
    lead: Lead,
    quote: Quote,
    book: PriceBook,
    words: Words = ENGLISH,
    *,
    url: str,
    booking_url: str | None,
    options: Sequence[Option] = (),
) -> Message:
    """The ballpark: range, what is in it, what would change it, cautions in short, the next step.

    Without a `booking_url` no set-up time is free on the day. `options` are what would fit the
    client's budget, where the likely price is over it.
    """
    budget = _over_budget(lead, quote.estimate.price)
    paragraphs = [
        _range(quote, words),
        "" if budget is None else _other_ways(lead, quote, options, words, budget),
        _included(lead, quote, words),
        _would_change(lead, quote, book, words),
        _in_short(quote, words),
        _next_step(quote, book, words, bookable=booking_url is not None),
    ]
    ways_on = _ways_on(words, url, booking_url)
    fitting = Button(label=words.say("What would fit my budget?"), value="options")
    return Message(
        kind="ballpark",
        text="\n\n".join(filter(None, paragraphs)),
        buttons=ways_on if budget is None else (*ways_on, fitting),
    )


def under_review(lead: Lead, book: PriceBook, words: Words = ENGLISH, *, today: date) -> Message:
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


def firm(
    lead: Lead,
    quote: Quote,
    book: PriceBook,
    words: Words = ENGLISH,
    *,
    url: str,
    booking_url: str,
) -> Message:
    """The price that the owner stands behind."""
    paragraphs = [
        words.say("%(owner)s has looked at your request.", owner=book.shop.owner),
        quote.note or "",
        words.say(
            "The price is %(price)s, %(tax)s.",
            price=words.money(quote.likely, quote.currency),
            tax=words.tax(quote.estimate.price, quote.likely),
        ),
        _included(lead, quote, words),
        words.say("It's good until %(day)s.", day=_day(quote.expires_at, book, words)),
    ]
    return Message(
        kind="firm",
        text="\n\n".join(filter(None, paragraphs)),
        buttons=_ways_on(words, url, booking_url),
    )


def declined(book: PriceBook, text: str | None, words: Words = ENGLISH) -> Message:
    """A kind no; `text` is the owner's own."""
    usual = words.say(
        "Thank you for asking us. %(owner)s can't take this one on, and would rather tell you now "
        "than keep you waiting. We hope your day goes beautifully.",
        owner=book.shop.owner,
    )
    return Message(kind="note", text=text or usual)


def held(
    hold: Hold, book: PriceBook, deposit: Decimal, currency: str, words: Words = ENGLISH
) -> Message:
    """The window is kept; what turns it into a booking."""
    zone = ZoneInfo(book.shop.time_zone)
    starts = hold.window.starts_at.astimezone(zone)
    return Message(
        kind="note",
        text=words.say(
            "%(day)s is held for you: we arrive at %(arrive)s and are ready by %(ready)s. We keep "
            "it until %(until)s. A deposit of %(deposit)s turns it into a booking. To pay it, "
            "reach us: %(reach)s.",
            day=words.day(starts.date()),
            arrive=words.clock(starts),
            ready=words.clock(hold.window.ends_at, zone),
            until=words.moment(hold.expires_at.astimezone(zone)),
            deposit=words.money(deposit, currency),
            reach=words.reached_by(book.shop.contact),
        ),
    )


def booked(hold: Hold, book: PriceBook, words: Words = ENGLISH) -> Message:
    """The deposit has come."""
    zone = ZoneInfo(book.shop.time_zone)
    starts = hold.window.starts_at.astimezone(zone)
    return Message(
        kind="note",
        text=words.say(
            "Your deposit is here, thank you! %(day)s is booked. %(owner)s arrives at %(arrive)s "
            "and is ready by %(ready)s.",
            day=words.day(starts.date()),
            owner=book.shop.owner,
            arrive=words.clock(starts),
            ready=words.clock(hold.window.ends_at, zone),
        ),
    )


def hold_over(hold: Hold, book: PriceBook, words: Words = ENGLISH) -> Message:
    """The hold has run out."""
    starts = hold.window.starts_at.astimezone(ZoneInfo(book.shop.time_zone))
    return Message(
        kind="note",
        text=words.say(
            "No deposit came, so the set-up time we held for %(day)s is free again. Still want "
            "it? Open your quote and pick a time.",
            day=words.day(starts.date()),
        ),
    )


def _range(quote: Quote, words: Words) -> str:
    price = quote.estimate.price
    return "\n".join(
        (
            words.say(
                "Your ballpark is %(low)s to %(high)s.",
                low=words.money(quote.low, quote.currency),
                high=words.money(quote.high, quote.currency),
            ),
            words.say(
                "Most likely around %(likely)s, %(tax)s.",
                likely=words.money(quote.likely, quote.currency),
                tax=words.tax(price, quote.likely),
            ),
        )
    )


def _over_budget(lead: Lead, price: Price) -> Decimal | None:
    """The budget, where the likely price with its tax is over it."""
    most = lead.brief.budget.max if lead.brief.budget else None
    due = price.likely if price.tax_included else price.likely + price.tax
    return most if most is not None and due > most else None


def _other_ways(
    lead: Lead, quote: Quote, options: Sequence[Option], words: Words, most: Decimal
) -> str:
    budget = words.money(most, quote.currency)
    fitting = [option for option in options if option.fits][:_MOST_OPTIONS]
    if not fitting:
        return words.say(
            "That's more than the %(budget)s you had in mind, and it's better said now. Tell us "
            "what matters most to you, and we'll see what can be left out.",
            budget=budget,
        )
    intro = words.say(
        "That's more than the %(budget)s you had in mind. These would most likely fit:",
        budget=budget,
    )
    return _bullets(intro, [_way(lead, option, words) for option in fitting])


def _way(lead: Lead, option: Option, words: Words) -> str:
    price = option.estimate.price
    return words.say(
        "%(changes)s: %(low)s to %(high)s",
        changes=changes(words, lead.brief, option.brief),
        low=words.money(price.low, price.currency),
        high=words.money(price.high, price.currency),
    )


def _included(lead: Lead, quote: Quote, words: Words) -> str:
    if lead.brief.client_keeps:
        intro = words.say("Included, ready before your guests arrive and yours to keep afterwards:")
    else:
        intro = words.say("Included, ready before your guests arrive and taken down afterwards:")
    return _bullets(intro, [*_wanted(lead, words), _balloons(lead, quote, words)])


def _wanted(lead: Lead, words: Words) -> Iterator[str]:
    yield from map(words.piece, lead.brief.pieces)
    yield from map(words.floating, lead.brief.floating)
    if lead.brief.foils:
        yield words.say("foil balloons: %(foils)s", foils=" ".join(lead.brief.foils))


def _balloons(lead: Lead, quote: Quote, words: Words) -> str:
    count = quote.estimate.balloons_total
    # A count that depends on how the balloons lie is not said to the piece.
    about = words.number(round(count, -1) if count >= _MANY else count)
    if not lead.brief.palette:
        return words.say("about %(count)s balloons", count=about)
    colours = words.colours(share.colour for share in lead.brief.palette)
    return words.say("about %(count)s balloons in %(colors)s", count=about, colors=colours)


def _would_change(lead: Lead, quote: Quote, book: PriceBook, words: Words) -> str:
    open_ = assumed(words, lead.brief, quote.estimate, book)[:_MOST_OPEN]
    if not open_:
        return words.say(
            "You've told us all that matters; the rest of the range is how it builds on the day."
        )
    intro = words.say("What would change the price (tell us more, and the range gets narrower):")
    return _bullets(intro, open_)


def _in_short(quote: Quote, words: Words) -> str:
    codes = dict.fromkeys(caution.code for caution in quote.estimate.cautions)
    said = [words.say(_CAUTIONS[code]) for code in codes if code in _CAUTIONS]
    return words.say("Please know: %(cautions)s", cautions=" ".join(said))


def _next_step(quote: Quote, book: PriceBook, words: Words, *, bookable: bool) -> str:
    until = _day(quote.expires_at, book, words)
    if bookable:
        return words.say(
            "Like it? Pick a set-up time. Everything else is on the quote page, and the price is "
            "good until %(day)s.",
            day=until,
        )
    return words.say(
        "That day has no free set-up time just now. Ask %(owner)s about it (%(reach)s), or name "
        "another day. The price is good until %(day)s.",
        owner=book.shop.owner,
        reach=words.reached_by(book.shop.contact),
        day=until,
    )


def _ways_on(words: Words, url: str, booking_url: str | None) -> tuple[Button, ...]:
    look = Button(label=words.say("See the whole quote"), url=url)
    if booking_url is None:
        return (look,)
    return look, Button(label=words.say("Pick a set-up time"), url=booking_url)


def _bullets(intro: str, lines: Sequence[str]) -> str:
    return "\n".join((intro, *(f"• {line}" for line in lines)))


def _day(value: datetime, book: PriceBook, words: Words) -> str:
    return words.day(value.astimezone(ZoneInfo(book.shop.time_zone)).date())

