"""From the form's fields to a brief, with every fault in words that help."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from service.estimating import (
    Accent,
    Brief,
    BriefError,
    Budget,
    Event,
    Piece,
    PriceBook,
    Setting,
    Shop,
    Site,
)
from service.leads.lead import Client
from service.leads.speech import msg
from service.leads.vocabulary import OCCASIONS
from service.leads.words import Words
from service.pages.form import looks
from service.pages.form.days import day_of_event, start_of_event
from service.pages.form.pieces import read_pieces
from service.pages.posted import Fault, Posted, Refusals, read_amount
from service.pages.reaching import read_client, territory_of

_LONGEST_NOTES = 4000
_LONGEST_PLACE = 200
_LONGEST_POSTAL_CODE = 16
_LONGEST_SOURCE = 64
_MOST_GUESTS = 100_000
_LARGEST_BUDGET = Decimal(1_000_000)

_US_CODE = re.compile(r"[0-9]{5}(?:[- ]?[0-9]{4})?")
# Nearly everywhere a code has a digit in it.
_ANY_CODE = re.compile(r"(?=.*[0-9])[\w -]+")


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """What the form says. `brief` is None as long as there are faults.

    `source` names what led to the form, as the owner's website calls it.
    """

    brief: Brief | None
    client: Client
    source: str | None
    faults: tuple[Fault, ...]


def read_form(sent: Posted, book: PriceBook, words: Words, *, today: date) -> Reading:
    """The brief and the client, or every fault at once, in the order of the page."""
    refusals = Refusals(words)
    parts = {
        "pieces": _dressed(read_pieces(sent, refusals), looks.accents(sent, refusals)),
        "palette": looks.palette(sent, book, refusals),
        "foils": looks.foils(sent, book, refusals),
        "floating": looks.floating(sent, refusals),
        "event": _event(sent, refusals, today),
        "site": _site(sent, book.shop, refusals),
        "budget": _budget(sent, refusals),
        "notes": _short(sent, "notes", _LONGEST_NOTES, refusals),
    }
    client, client_faults = read_client(sent, book.shop, words)
    refusals.faults.extend(client_faults)
    brief = None if refusals.faults else _brief(parts, refusals)
    source = sent.text("source")[:_LONGEST_SOURCE] or None
    return Reading(brief=brief, client=client, source=source, faults=tuple(refusals.faults))


def _dressed(pieces: tuple[Piece, ...], accents: tuple[Accent, ...]) -> tuple[Piece, ...]:
    """The extras go on the first piece, which is the one that guests look at."""
    return (replace(pieces[0], accents=accents), *pieces[1:]) if pieces else ()


def _brief(parts: Mapping[str, Any], refusals: Refusals) -> Brief | None:
    try:
        return Brief(**parts)
    except BriefError:
        # Each part is sound by now, so together they are too much.
        text = msg("All pieces together are more than one crew can build. Ask for less, please.")
        refusals.refuse("p1-count", text)
        return None


def _event(sent: Posted, refusals: Refusals, today: date) -> Event:
    occasion = sent.text("occasion")
    return Event(
        occasion=occasion if occasion in OCCASIONS else None,
        date=day_of_event(sent, refusals, today),
        start_time=start_of_event(sent, refusals),
        guests=_guests(sent, refusals),
    )


def _guests(sent: Posted, refusals: Refusals) -> int | None:
    text = sent.text("guests").replace(",", "")
    if not text:
        return None
    if re.fullmatch(r"[0-9]{1,9}", text) and int(text) <= _MOST_GUESTS:
        return int(text)
    said = msg("Give the number of guests as a whole number up to %(most)s.")
    refusals.refuse("guests", said, most=refusals.words.number(_MOST_GUESTS))
    return None


def _site(sent: Posted, shop: Shop, refusals: Refusals) -> Site:
    setting = sent.text("setting")
    return Site(
        setting=Setting(setting) if setting in set(Setting) else None,
        place=_short(sent, "place", _LONGEST_PLACE, refusals),
        postal_code=_postal_code(sent, shop, refusals),
    )


def _postal_code(sent: Posted, shop: Shop, refusals: Refusals) -> str | None:
    text = _short(sent, "postal_code", _LONGEST_POSTAL_CODE, refusals)
    if text is None or len(text) > _LONGEST_POSTAL_CODE:
        return text
    at_home = _US_CODE if territory_of(shop) == "US" else _ANY_CODE
    if not at_home.fullmatch(text):
        said = msg("A ZIP code has five digits, like 02139. Leave it empty if you don't know it.")
        refusals.refuse("postal_code", said)
    return text


def _budget(sent: Posted, refusals: Refusals) -> Budget | None:
    text = sent.text("budget")
    if not text:
        return None
    amount = read_amount(text)
    if amount is None:
        refusals.refuse("budget", msg("Write the budget like 450 or 1,450, or leave it empty."))
    elif amount > _LARGEST_BUDGET:
        text = msg("That is more than we could ever use. Please check the amount.")
        refusals.refuse("budget", text)
    else:
        return Budget(max=amount.quantize(Decimal("0.01")))
    return None


def _short(sent: Posted, name: str, longest: int, refusals: Refusals) -> str | None:
    text = sent.text(name)
    if len(text) > longest:
        said = msg("Please keep this to %(most)s characters; it has %(count)s now.")
        number = refusals.words.number
        refusals.refuse(name, said, most=number(longest), count=number(len(text)))
    return text or None
