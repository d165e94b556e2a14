"""How the desk says things to the owner."""

from collections.abc import Mapping
from datetime import datetime

from service.leads import words
from service.leads.lead import CLIENT, GARLANDRY, OWNER, Lead, LostBecause, Standing
from service.pages.newer import Newer

STATES: Mapping[Standing, str] = {
    Standing.NEW: "being worked out",
    Standing.REVIEW: "waits for you",
    Standing.QUOTED: "price is out",
    Standing.HELD: "date held",
    Standing.BOOKED: "booked",
    Standing.DONE: "done",
    Standing.DECLINED: "declined",
    Standing.CANCELED: "canceled",
    Standing.LAPSED: "ran out",
    Standing.REPLACED: "replaced",
    Standing.ERASED: "erased",
}

# Where the client reads what the owner writes at the desk.
READ_BY: Mapping[str, str] = {
    "telegram": "they read it in Telegram",
    "webchat": "they read it in the web chat, when they look in again",
    "form": "they read it on their request's page, when they look in again",
    "api": "they read it on their request's page, when they look in again",
}

# Why a request came to nothing, as the owner chooses it.
BECAUSE: Mapping[LostBecause, str] = {
    LostBecause.TOO_FAR: "too far away",
    LostBecause.DATE_TAKEN: "the date is taken",
    LostBecause.TOO_SMALL: "too small a job",
    LostBecause.TOO_BIG: "too big a job",
    LostBecause.NOT_OURS: "not our kind of work",
    LostBecause.PRICE: "the price",
    LostBecause.NO_ANSWER: "the client doesn't answer",
    LostBecause.CLIENT_CANCELLED: "the client has called it off",
    LostBecause.OTHER: "something else",
}

# Words of a request's history that say it better from the owner's chair.
WHAT: Mapping[str, str] = {
    "queued for the owner": "set it aside for you",
    "replaced by another request": "asked again; replaced by",
    "became a part of another request": "made it a part of",
    "took another request in": "took in",
    "struck out: recorded the deposit": "struck out the deposit",
    "struck out: recorded a payment": "struck out a payment",
    "struck out: recorded a fee": "struck out a fee",
    "struck out: recorded a refund": "struck out a refund",
    "struck out: recorded money given back": "struck out money given back",
}

WHO: Mapping[str, str] = {OWNER: "You", CLIENT: "The client", GARLANDRY: "Garlandry"}


def state_of(lead: Lead, newer: Newer | None) -> str:
    """Where a request stands; "replaced by G1002" where its client has asked again."""
    return f"replaced by {newer.lead.number}" if newer else STATES[lead.standing]


def ago(then: datetime, now: datetime) -> str:
    """ "just now", "5 min ago", "3 h ago", "2 days ago"; after a week the day, as at `now`."""
    minutes = int((now - then).total_seconds() / 60)
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes} min ago"
    hours = minutes // 60
    if hours < 24:
        return f"{hours} h ago"
    if hours < 48:
        return "a day ago"
    if hours < 7 * 24:
        return f"{hours // 24} days ago"
    return words.day(then.astimezone(now.tzinfo).date())


def runs_out(moment: datetime, now: datetime) -> str:
    """ "today, 8:00 PM", "Friday, 8:00 PM", and the date from a week on; as at `now`."""
    there = moment.astimezone(now.tzinfo)
    days = (there.date() - now.date()).days
    said = words.ENGLISH.weekday if days < 7 else words.day
    day = {0: "today", 1: "tomorrow"}.get(days) or said(there.date())
    return f"{day}, {words.clock(there.time())}"
