"""A text as it would read for a made-up client, so that its wording can be judged."""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from decimal import Decimal

from service.estimating import PriceBook
from service.leads.follow_up.texts import from_braces
from service.leads.words import Words

_DAY = date(2027, 6, 5)
_UNTIL = datetime(2027, 5, 28, 20, 0, tzinfo=UTC)
_DUE = date(2027, 6, 2)


def filled_in(said: str, words: Words, book: PriceBook) -> str:
    """The owner's text, which has no fault, with the sample's figures in it."""
    return from_braces(said) % _values(words, book)


def _values(words: Words, book: PriceBook) -> Mapping[str, str]:
    currency = book.shop.currency
    reach = words.reached_by(book.shop.contact)
    return {
        "number": "G1042",
        "owner": book.shop.owner,
        "reach": reach,
        "pay": book.booking.pay_to.get(words.language) or reach,
        "day": words.day(_DAY),
        "due": words.day(_DUE),
        "until": words.moment(_UNTIL),
        "arrive": words.clock(time(11, 0)),
        "ready": words.clock(time(13, 30)),
        "place": "Boathouse hall, 3 Mill Street",
        "deposit": words.money(Decimal(150), currency),
        "paid": words.money(Decimal(150), currency),
        "amount": words.money(Decimal(330), currency),
    }
