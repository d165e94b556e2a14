"""What a quote says, on its page and on paper, in its client's language."""

from dataclasses import dataclass

from service.workshop.quote_document.pieces import PieceView


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """Points under a title, with what stands before them."""

    title: str
    intro: str
    points: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Costs:
    """What the price is made up of: each part with its amount, and what they come to."""

    lines: tuple[tuple[str, str], ...]
    total: tuple[str, str]
    tax: str
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

    `heading` says what it is for and `addressee` for whom. `notice` says why the price does not
    stand, `kept` which time is held. `booking` tells how to say yes, while that is possible; `link`
    is the address of the quote's page, while it leads somewhere. `contact` is how the shop is
    reached, `reach` the same in a few words.
    """

    number: str
    shop: str
    language: str
    firm: bool
    titles: Titles
    heading: str
    addressee: str | None
    sent: str
    notice: str | None
    kept: str | None
    title: str
    price: str
    about: tuple[str, ...]
    note: str | None
    facts: tuple[tuple[str, str], ...]
    pieces: tuple[PieceView, ...]
    colours: tuple[tuple[str, str | None], ...]
    others: tuple[str, ...]
    included: str
    costs: Costs | None
    open_points: Section | None
    cautions: tuple[str, ...]
    terms: tuple[str, ...]
    conditions: Conditions
    good_until: str
    booking: tuple[str, ...]
    link: str | None
    contact: tuple[str, ...]
    reach: str
