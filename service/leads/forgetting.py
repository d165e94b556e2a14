"""A client's own data: all of it in one file, or erased, or forgotten when its time is over.

What is erased: names, how to reach somebody, places, words, pictures, and what was made of them.
What stays says nothing of anybody: supports and their measures, days, amounts, states.
"""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from service.estimating import Brief, Event, PriceBook, Site
from service.leads import stocking
from service.leads.clients import Consent
from service.leads.keeping import changed
from service.leads.lead import HoldState, Lead, LeadError, LeadState, NotFound
from service.leads.ports import Ports, UnitOfWork

NOTICE = "notice"
"""What a client who sends a request has read: the shop's word on what it keeps."""

# So many at a time, that no sweep takes long.
_FORGOTTEN_AT_ONCE = 20

_STILL_TO_COME = frozenset({LeadState.HELD, LeadState.BOOKED})


class StillToCome(LeadError):
    """A date is kept for the client; it has to be given back before anything is erased."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Kept:
    """What is kept of a client, in numbers; `leads` are all of the requests it is about."""

    leads: tuple[Lead, ...]
    messages: int
    photos: int
    quotes: int
    payments: int
    consents: tuple[Consent, ...]


def kept_of(work: UnitOfWork, lead_id: str) -> Kept:
    """What is kept of the client who sent a request. Raises NotFound."""
    ids = work.clients.same(work.leads.get(lead_id))
    counted = work.clients.counted(ids)
    return Kept(
        leads=tuple(work.leads.get(each) for each in ids),
        consents=tuple(work.clients.agreed(ids)),
        **counted,
    )


def collected(work: UnitOfWork, lead_id: str) -> tuple[Mapping[str, Any], Mapping[str, bytes]]:
    """Everything kept of a client, as JSON values, and the pictures by name. Raises NotFound."""
    ids = work.clients.same(work.leads.get(lead_id))
    return work.clients.collected(ids), work.clients.pictures(ids)


def erase(work: UnitOfWork, lead_id: str, *, now: datetime) -> int:
    """Erase all that is kept of the client who sent a request; how many requests it was about.

    Raises StillToCome while a date is kept for them, NotFound, and does nothing to a request that
    was erased before. After the commit the storage wipes what the database file still shows of it.
    """
    ids = work.clients.same(work.leads.get(lead_id))
    leads = [work.leads.get(each, lock=True) for each in sorted(ids)]
    kept = [lead.number for lead in leads if lead.state in _STILL_TO_COME]
    if kept:
        raise StillToCome(f"A date is kept for {' and '.join(kept)}. Give it back first.")
    for lead in leads:
        _erase_one(work, lead, now)
    return len(leads)


def forget_old(work: UnitOfWork, book: PriceBook, *, now: datetime) -> int:
    """Erase a few of the requests whose time is over; how many."""
    rules = book.privacy
    over = work.clients.over(
        lost_before=now - rules.keep_lost,
        done_before=now - rules.keep_done,
        limit=_FORGOTTEN_AT_ONCE,
    )
    for lead_id in sorted(over):
        _erase_one(work, work.leads.get(lead_id, lock=True), now)
    return len(over)


def erase_again(
    work: UnitOfWork, lead_id: str, *, state: LeadState, who: str, now: datetime
) -> bool:
    """Erase a request that had been erased before the shop went back to an older state.

    It ends in the state that it had then, so a date that it still keeps is given back, unless the
    job was done. False where there is no such request: it came later.
    """
    try:
        lead = work.leads.get(lead_id, lock=True)
    except NotFound:
        return False
    hold = work.holds.of_lead(lead_id)
    if hold is not None and state is not LeadState.DONE:
        work.holds.save(changed(hold, HoldState.RELEASED, now))
        stocking.give_back(work, lead, who=who, now=now)
    work.clients.erase(lead, state=state, brief=without_words(lead.brief), now=now)
    return True


def note_consent(work: UnitOfWork, ports: Ports, lead: Lead, *, now: datetime) -> None:
    """The client sent a request under the notice as it stands."""
    version = notice_version(ports.price_books.current())
    work.clients.agree(
        Consent(lead_id=lead.id, what=NOTICE, version=version, channel=lead.channel, at=now)
    )


def notice_version(book: PriceBook) -> str:
    """A digest of what the notice says, in every language, and of how long things are kept."""
    rules = book.privacy
    said = [f"{rules.keep_lost.days} {rules.keep_done.days}"]
    said += [f"{language} {text}" for language, text in sorted(rules.notice.items())]
    return hashlib.sha256("\0".join(said).encode()).hexdigest()[:16]


def without_words(brief: Brief) -> Brief:
    """What of a brief says nothing of anybody: what was to be built, how large, on which day.

    Colours, foils, notes and the place are in the client's own words, so they go.
    """
    event = Event(
        occasion=None, date=brief.event.date, start_time=brief.event.start_time, guests=None
    )
    return Brief(
        pieces=tuple(replace(piece, accents=()) for piece in brief.pieces),
        event=event,
        site=Site(setting=brief.site.setting),
        client_keeps=brief.client_keeps,
    )


def _erase_one(work: UnitOfWork, lead: Lead, now: datetime) -> None:
    # Nobody is left to be answered.
    open_ones = (LeadState.NEW, LeadState.REVIEW, LeadState.QUOTED)
    state = LeadState.LAPSED if lead.state in open_ones else lead.state
    work.clients.erase(lead, state=state, brief=without_words(lead.brief), now=now)
