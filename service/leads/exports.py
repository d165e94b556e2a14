"""What can be taken out as tables: everything that is the shop's own."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Protocol

Cell = str | int | float | Decimal | datetime | None
"""One value; amounts and times are given as what they are, for whoever writes them down."""

TABLES: Mapping[str, str] = {
    "leads": "every request, with what was wanted and what became of it",
    "clients": "everybody who asked, once each",
    "quotes": "every price, with its planned cost and hours",
    "bookings": "held and booked dates, also those given back",
    "actuals": "what finished jobs really took and cost, and what went wrong",
    "payments": "deposits, balances, fees, refunds and gifts",
    "history": "who did what to which request, and when",
    "notes": "your own notes on requests",
    "messages": "everything that was said in the conversations",
    "reminders": "what clients are, or were, reminded of",
    "stock": "every balloon that came in or went out",
    "purchases": "what was bought for which jobs, and what was paid",
    "price-books": "every version of your price book, as text",
    "calibrations": "what your jobs taught as far as you took it, decision by decision",
}
"""The tables by name, and what is in them."""


class Exports(Protocol):
    """The tables, row by row, so that even the longest is never all in memory."""

    def columns(self, table: str) -> Sequence[str]:
        """The names of a table's columns."""
        ...

    def rows(self, table: str) -> Iterator[Sequence[Cell]]:
        """A table's rows, the oldest first."""
        ...
