"""What a quote says, on its page and on paper, in its client's language."""

from dataclasses import dataclass

from service.workshop.quote_document.pieces import PieceView
from service.workshop.quote_document.totals import Totals


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """Points under a title, with what stands before them."""

    title: str
    intro: str
    points: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """What the price is made up of: each part with its amount, and what they come to.

    `tax` says what becomes of the sales tax; where it is known to the cent it is empty, and `taxed`
    has the tax and the sum with it.
    """

    lines: tuple[tuple[str, str], ...]
    total: tuple[str, str]
    tax: str
    taxed: tuple[tuple[str, str], ...]
    deposit: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Conditions:
    """What is agreed on by booking; `weather` where it stands outdoors. Either may be empty."""

    terms: str
    weather: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Titles:
    """What stands above each part. `page_of` has "%(page)s" and "%(pages)s" in it."""

    quote: str
    day: str
    goods: str
    costs: str
    booking: str
    cautions: str
    terms: str
    conditions: str
    outdoors: str
    page_of: str


@dataclass(frozen=True, kw_only=True, slots=True)
class QuoteDocument:
    """A quote in words. Nothing in it is the workshop's own.

    `heading` says what it is for and `addressee` for whom; a letter begins with `thanks` and ends
    with `closing` over the owner's name, while there is anything to thank for. `notice` says why
    the price does not stand, `kept` which time is held. `stand_in` says which colours of the
    picture are not the real ones. `booking` tells how to say yes, while that is possible, and
    `paying` how to pay what makes it certain; `link` is the address of the quote's page, while it
    leads somewhere. `contact` is how the shop is reached, `reach` the same in a few words.
    """

    number: str
    shop: str
    owner: str
    language: str
    firm: bool
    titles: Titles
    heading: str
    addressee: str | None
    thanks: str
    closing: str
    sent: str
    notice: str | None
    kept: str | None
    title: str
    price: str
    about: tuple[str, ...]
    note: str | None
    facts: tuple[tuple[str, str], ...]
    pieces: tuple[PieceView, ...]
    totals: Totals
    stand_in: str
    others: tuple[str, ...]
    included: str
    costs: Costs | None
    open_points: Section | None
    cautions: tuple[str, ...]
    terms: tuple[str, ...]
    conditions: Conditions
    good_until: str
    booking: tuple[str, ...]
    paying: str
    link: str | None
    contact: tuple[str, ...]
    reach: str
