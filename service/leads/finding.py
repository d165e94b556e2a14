"""Finding requests: the words they are found by, what is wanted of the list, and its rows."""

import re
import unicodedata
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Protocol

from service.estimating import Brief
from service.leads.lead import Client, Lead, LeadState, QuoteKind, Standing

_LONGEST_TERM = 40
_MOST_WORDS = 8

# Who looks for a client by phone often knows only how it ends.
_PHONES_END = 4

# From here on a run of digits is a phone number, however it was grouped.
_PHONE = re.compile(r"(?<!\w)[+(]?\d[\d\s().-]{5,}\d(?!\w)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Word:
    """One word of a search: any of `spellings`, at the beginning of a term if `begins`."""

    spellings: tuple[str, ...]
    begins: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Wanted:
    """What the list should show. Every word must be found; days are inclusive.

    Asked for by the day of the event, requests come in the order of their days; else, and
    whenever words are searched for, the newest first. `untold` are jobs done of which nobody has
    told how they went.
    """

    words: tuple[Word, ...] = ()
    state: LeadState | None = None
    standing: Standing | None = None
    since: date | None = None
    until: date | None = None
    untold: bool = False

    @property
    def by_day(self) -> bool:
        """Whether the nearest event comes first, and not the newest request."""
        return not self.words and (self.since is not None or self.until is not None)


@dataclass(frozen=True, kw_only=True, slots=True)
class ListedPrice:
    """The newest quote of a request as far as a list needs it."""

    number: str
    kind: QuoteKind
    low: Decimal
    likely: Decimal
    high: Decimal
    currency: str
    sent_at: datetime | None
    expires_at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class Listed:
    """A request in a list; `newer` is the number of the one that took its place."""

    lead: Lead
    price: ListedPrice | None
    newer: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Found:
    """A page of the list, and the cursor that goes on from its end."""

    rows: tuple[Listed, ...]
    next: str | None


class Listing(Protocol):
    """Requests as lists show them."""

    def find(self, wanted: Wanted, *, after: "Cursor | None", limit: int) -> Found:
        """A page of what is wanted, beyond where the page before ended."""
        ...

    def listed(self, lead_ids: Sequence[str]) -> tuple[Listed, ...]:
        """These requests, in this order."""
        ...

    def of_chats(self, chats: Sequence[tuple[str, str]]) -> Mapping[tuple[str, str], list[Lead]]:
        """The requests of each conversation, newest first."""
        ...

    def waiting(self, *, today: date, limit: int) -> tuple[Listed, ...]:
        """What the owner looks at first: the next event, then those without a day, then past."""
        ...

    def unanswered(self, *, since: datetime, limit: int) -> tuple[Listed, ...]:
        """Prices sent since then that the client has not taken up, the newest first."""
        ...

    def counts(self, *, most: int) -> Mapping[Standing, int]:
        """How many requests stand how, counted no further than `most`."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Cursor:
    """Where a page ended: the last request's place, and the day of its event."""

    seq: int
    day: str = ""

    def __str__(self) -> str:
        """An opaque token; `cursor_of` reads it."""
        return urlsafe_b64encode(f"{self.seq}.{self.day}".encode()).decode().rstrip("=")


def cursor_of(token: str | None) -> Cursor | None:
    """The cursor that a token stands for; None for no token and for one that was made up."""
    try:
        text = urlsafe_b64decode((token or "") + "=" * (-len(token or "") % 4)).decode()
    except ValueError:
        return None
    read = re.fullmatch(r"([0-9]{1,9})\.((?:[0-9]{4}-[0-9]{2}-[0-9]{2})?)", text, re.ASCII)
    return read and Cursor(seq=int(read[1]), day=read[2])


def terms_of(number: str, client: Client, brief: Brief) -> frozenset[str]:
    """The words by which a request is found: number, name, email, place, postal code, phone.

    A phone is found by its last four digits too.
    """
    said = (client.name, client.email, brief.site.place, brief.site.postal_code)
    terms = {number.lower()}
    for text in filter(None, said):
        terms.update(_folded(text))
    digits = re.sub(r"\D", "", client.phone or "")
    if digits:
        terms.update((digits[:_LONGEST_TERM], digits[-_PHONES_END:]))
    return frozenset(terms)


def words_of(text: str) -> tuple[Word, ...]:
    """What somebody searches for; the last word may be only begun."""
    spellings = [*_spellings(text)][:_MOST_WORDS]
    last = len(spellings) - 1
    return tuple(Word(spellings=each, begins=place == last) for place, each in enumerate(spellings))


def _spellings(text: str) -> Iterator[tuple[str, ...]]:
    ended = 0
    for phone in _PHONE.finditer(text):
        yield from map(_one, _folded(text[ended : phone.start()]))
        yield _phone(re.sub(r"\D", "", phone[0]))
        ended = phone.end()
    yield from map(_one, _folded(text[ended:]))


def _one(word: str) -> tuple[str, ...]:
    # A request's number may be said without its letter.
    return (word, f"g{word}") if word.isdigit() and len(word) < 10 else (word,)


def _phone(digits: str) -> tuple[str, ...]:
    """With and without the country's 1, which some give and some do not."""
    whole = digits[:_LONGEST_TERM]
    if len(whole) == 11 and whole.startswith("1"):
        return (whole, whole[1:])
    return (whole, f"1{whole}") if len(whole) <= 10 else (whole,)


def _folded(text: str) -> Iterator[str]:
    plain = unicodedata.normalize("NFKD", text).lower()
    plain = "".join(letter for letter in plain if not unicodedata.combining(letter))
    yield from (word[:_LONGEST_TERM] for word in re.findall(r"[^\W_]+", plain))
