"""The ballpark as a client reads it on a phone: the range first, the next step last."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from service.estimating import Option, Price, PriceBook
from service.leads.assumed import assumed
from service.leads.differing import changes
from service.leads.lead import Lead, Quote
from service.leads.messages import Button, Message
from service.leads.phrasing import (
    OTHER_DAYS,
    PICK_A_TIME,
    bullets,
    included,
    last_day,
    ways_on,
)
from service.leads.pictures import stand_in_note
from service.leads.speech import msg
from service.leads.words import Words

# A phone shows so many lines before they are skipped.
_MOST_OPEN = 3
_MOST_OPTIONS = 3

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
    words: Words,
    *,
    url: str,
    booking_url: str,
    bookable: bool = True,
    options: Sequence[Option] = (),
) -> Message:
    """The ballpark: range, what is in it, what would change it, cautions in short, the next step.

    Not `bookable` is a day on which no set-up time is free. `options` are what would fit the
    client's budget, where the likely price is over it.
    """
    budget = _over_budget(lead, quote.estimate.price)
    paragraphs = [
        _range(quote, words),
        "" if budget is None else _other_ways(lead, quote, options, words, budget),
        included(quote, words),
        stand_in_note(quote, book.shop.owner, words),
        _would_change(lead, quote, book, words),
        _in_short(quote, words),
        _next_step(quote, book, words, bookable=bookable),
    ]
    links = ways_on(words, url, booking_url, PICK_A_TIME if bookable else OTHER_DAYS)
    fitting = Button(label=words.say("What would fit my budget?"), value="options")
    return Message(
        kind="ballpark",
        text="\n\n".join(filter(None, paragraphs)),
        buttons=links if budget is None else (*links, fitting),
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
                "Most likely around %(likely)s (%(tax)s).",
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
    return bullets(intro, [_way(lead, option, words) for option in fitting])


def _way(lead: Lead, option: Option, words: Words) -> str:
    price = option.estimate.price
    return words.say(
        "%(changes)s: %(low)s to %(high)s",
        changes=changes(words, lead.brief, option.brief),
        low=words.money(price.low, price.currency),
        high=words.money(price.high, price.currency),
    )


def _would_change(lead: Lead, quote: Quote, book: PriceBook, words: Words) -> str:
    open_ = assumed(words, lead.brief, quote.estimate, book)[:_MOST_OPEN]
    if not open_:
        return words.say(
            "You've told us all that matters; the rest of the range is how it builds on the day."
        )
    intro = words.say("What would change the price (tell us more, and the range gets narrower):")
    return bullets(intro, open_)


def _in_short(quote: Quote, words: Words) -> str:
    codes = dict.fromkeys(caution.code for caution in quote.estimate.cautions)
    said = [words.say(_CAUTIONS[code]) for code in codes if code in _CAUTIONS]
    return words.say("Please note. %(cautions)s", cautions=" ".join(said))


def _next_step(quote: Quote, book: PriceBook, words: Words, *, bookable: bool) -> str:
    until = last_day(quote, book, words)
    if bookable:
        return words.say(
            "Like it? Pick a set-up time. Everything else is on the quote page, and the price is "
            "good until %(day)s.",
            day=until,
        )
    return words.say(
        "That day has no free set-up time just now. See which other days have one, or ask "
        "%(owner)s about it (%(reach)s). The price is good until %(day)s.",
        owner=book.shop.owner,
        reach=words.reached_by(book.shop.contact),
        day=until,
    )
