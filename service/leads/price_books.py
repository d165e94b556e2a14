"""The owner's price book in its versions: what the world outside offers, and which one counts.

The newest version is in use. A quote stays with the version that it was made by.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Protocol
from zoneinfo import ZoneInfo

from service.estimating import PriceBook
from service.leads.book_forms import BookPage, Changed, Form, Typed
from service.leads.lead import Quote

FROM_THE_FILE = "from the file"
"""Who made a version that was read from the shop's file."""


@dataclass(frozen=True, kw_only=True, slots=True)
class BookVersion:
    """One version of the price book: a digest of its text, when it was made, by whom and why."""

    version: str
    made_at: datetime
    made_by: str
    note: str


class BookEditor(Protocol):
    """The price book as forms, page by page. Texts in, forms and texts out; nothing is kept."""

    def pages(self) -> Sequence[BookPage]:
        """The pages on which the book is edited; every section is on one of them."""
        ...

    def form(self, text: str, page: str) -> Form:
        """A page's form, filled in from a text. Raises NotFound for a page there is not."""
        ...

    def reshaped(self, page: str, typed: Typed, *, add: str = "", remove: str = "") -> Form:
        """A page's form as it was typed, with a row more or less. Nothing is checked."""
        ...

    def entered(self, text: str, page: str, typed: Typed) -> tuple[Form, str | None]:
        """The form with what is wrong in it, and the new text where nothing is."""
        ...

    def compared(self, old: str, new: str) -> Sequence[Changed]:
        """What changed between two texts, in their order."""
        ...


class PriceBooks(Protocol):
    """The price book as it stands, as it was, and as it may become."""

    def current(self) -> PriceBook:
        """The newest price book, with the stock that is on hand. Cheap: ask for it every time."""
        ...

    @property
    def problem(self) -> str | None:
        """Why a newer edit is not in use, if so."""
        ...

    def newest(self) -> BookVersion:
        """The version that counts."""
        ...

    def versions(self, limit: int) -> Sequence[BookVersion]:
        """What was saved, newest first. One that was gone back to is listed again."""
        ...

    def about(self, version: str) -> BookVersion | None:
        """When and by whom a version was first made."""
        ...

    def text_of(self, version: str) -> str | None:
        """A version as the owner reads it: YAML with its comments."""
        ...

    def of(self, version: str) -> PriceBook | None:
        """A version as a price book; None where it is not known, or can no longer be read."""
        ...

    def read(self, text: str) -> PriceBook:
        """The text as a price book, with the stock on hand; nothing is kept.

        Raises BookError with every fault and its line.
        """
        ...

    def save(self, text: str, *, by: str, note: str, basis: str) -> str:
        """Keep the text as the newest version and return its name.

        `basis` is the version that the change began with: StaleDecision where it is not the
        newest any more. Raises BookError as `read` does.
        """
        ...

    def back_to(self, version: str, *, by: str, basis: str) -> str:
        """Make an earlier version the newest one. Raises NotFound besides what `save` raises."""
        ...

    def rewritten(self, text: str, section: str, data: Any) -> str:
        """The text with one section written anew from plain data; comments stay where they fit.

        Nothing is checked: that is for `read` and `save`.
        """
        ...

    @property
    def editor(self) -> BookEditor:
        """The book as forms."""
        ...


def book_of(books: PriceBooks, quote: Quote) -> PriceBook:
    """The book that a quote was made by, or the current one where it can no longer be read.

    What was promised with a quote is told by this one: deposit, validity, tax, how long a date
    is held.
    """
    return books.of(quote.book_version) or books.current()


def dated(books: PriceBooks, version: str, zone: ZoneInfo) -> str | None:
    """ "price book of March 3, 2027"; None for a version that is not known."""
    known = books.about(version)
    if known is None:
        return None
    day = known.made_at.astimezone(zone)
    return f"price book of {day:%B} {day.day}, {day.year}"
