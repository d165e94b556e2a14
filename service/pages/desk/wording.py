"""How the desk says things to the owner."""

from collections.abc import Mapping

from service.estimating import Brief
from service.leads import words
from service.leads.lead import LeadState, Quote, QuoteKind

STATES: Mapping[LeadState, str] = {
    LeadState.NEW: "being worked out",
    LeadState.REVIEW: "waits for you",
    LeadState.QUOTED: "price is out",
    LeadState.HELD: "date held",
    LeadState.BOOKED: "booked",
    LeadState.DONE: "done",
    LeadState.DECLINED: "declined",
    LeadState.LAPSED: "ran out",
}

CHANNELS: Mapping[str, str] = {
    "telegram": "Telegram",
    "webchat": "the web chat",
    "form": "the website form",
    "api": "the website",
}

# So many steps that were given up are shown at once; more means that a process is down.
MOST_STUCK = 20

WHO: Mapping[str, str] = {"owner": "You", "client": "The client", "garlandry": "Garlandry"}


def summary_of(brief: Brief) -> str:
    """The pieces in one line."""
    return "; ".join(words.piece(piece) for piece in brief.pieces)


def price_of(quote: Quote) -> str:
    """ "$540 to $720", or the one price of a firm quote."""
    if quote.kind is QuoteKind.FIRM:
        return words.money(quote.likely, quote.currency)
    low, high = (words.money(amount, quote.currency) for amount in (quote.low, quote.high))
    return f"{low} to {high}"
