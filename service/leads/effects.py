"""What taking a lesson does to prices: quotes of late, as they would come out with and without."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from service.estimating import BriefError, Calibration, Price, PriceBook, estimate
from service.leads.lead import Quote
from service.leads.price_books import PriceBooks, book_of
from service.leads.shop_time import today_at

MOST_QUOTES = 3
"""So many quotes are estimated anew."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Effect:
    """One quote by its number: its price with what is in use, and with what is on trial."""

    number: str
    before: Price
    after: Price


@dataclass(frozen=True, kw_only=True, slots=True)
class _Case:
    quote: Quote
    book: PriceBook
    before: Price


class Trial:
    """Quotes of late, each by its own book and day, ready to be held against a calibration."""

    def __init__(self, quotes: Sequence[Quote], books: PriceBooks, in_use: Calibration) -> None:
        self._cases = tuple(_cases(quotes, books, in_use))

    def of(self, calibration: Calibration) -> tuple[Effect, ...]:
        """How their prices would move."""
        return tuple(
            Effect(
                number=case.quote.number,
                before=case.before,
                after=_price(case.quote, case.book, calibration),
            )
            for case in self._cases
        )


def _cases(quotes: Sequence[Quote], books: PriceBooks, in_use: Calibration) -> Iterator[_Case]:
    for quote in quotes:
        book = book_of(books, quote)
        try:
            yield _Case(quote=quote, book=book, before=_price(quote, book, in_use))
        except BriefError:
            # Its own book can be read no more, and today's does not know all that is in it.
            continue


def _price(quote: Quote, book: PriceBook, calibration: Calibration) -> Price:
    today = today_at(quote.created_at, book)
    return estimate(quote.brief, book, calibration, today=today).price
