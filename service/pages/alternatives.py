"""What else a client could have: other fullnesses, or ways within the budget."""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from service.estimating import (
    Brief,
    BriefError,
    Calibration,
    Option,
    Price,
    PriceBook,
    estimate,
    options,
)
from service.leads.differing import changes
from service.leads.lead import Quote, QuoteKind
from service.leads.shop_time import zone_of
from service.leads.words import Words


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


def also_possible(
    quote: Quote, book: PriceBook, calibration: Calibration | None, words: Words
) -> Alternatives | None:
    """Alternatives to a ballpark, at the prices of its own day; None where there are none.

    `calibration` is the one that it was made with, None where that is not known. Nor are there any
    alternatives once the owner has set a price, or where the ballpark would come out differently
    now: two prices for one thing help nobody.
    """
    if calibration is None:
        return None
    if quote.kind is QuoteKind.FIRM or quote.estimate.price_book_version != book.version:
        return None
    made_on = quote.created_at.astimezone(zone_of(book)).date()
    try:
        answer = estimate(quote.brief, book, calibration, today=made_on)
        if answer.price != quote.estimate.price:
            return None
        found = options(quote.brief, book, calibration, today=made_on)
    except BriefError:
        return None
    ways = tuple(_way(option, quote.brief, words) for option in found)
    if all(way.asked for way in ways):
        return None
    return Alternatives(about=_about(found, quote.brief, quote, words), ways=ways)


def _way(option: Option, wished: Brief, words: Words) -> Alternative:
    price = option.estimate.price
    return Alternative(
        label=changes(words, wished, option.brief),
        range=words.say(
            "%(low)s to %(high)s",
            low=words.money(price.low, price.currency),
            high=words.money(price.high, price.currency),
        ),
        caution=_caution(price, _most(wished), words) if option.fits else None,
        asked=option.brief == wished,
    )


def _most(wished: Brief) -> Decimal | None:
    return wished.budget.max if wished.budget else None


def _caution(price: Price, most: Decimal | None, words: Words) -> str | None:
    due = Decimal(0) if price.tax_included else price.tax_rate * price.taxable_share
    reached = (price.high * (1 + due)).quantize(Decimal(1), ROUND_CEILING)
    if most is None or reached <= most:
        return None
    amount = words.money(reached, price.currency)
    if due:
        return words.say("likely fits; could reach %(amount)s with tax", amount=amount)
    return words.say("likely fits; could reach %(amount)s", amount=amount)


def _about(found: tuple[Option, ...], wished: Brief, quote: Quote, words: Words) -> str:
    most = _most(wished)
    if most is None:
        return words.say("The same pieces, lighter or richer.")
    budget = words.money(most, quote.currency)
    if any(option.fits for option in found):
        return words.say(
            "Ways that most likely stay within your budget of %(budget)s.", budget=budget
        )
    return words.say(
        "Nothing that we could leave out brings it within %(budget)s; this comes closest.",
        budget=budget,
    )
