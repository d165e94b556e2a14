"""Two requests that are one: which may be, and making one of them a part of the other."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from service.leads import follow_up
from service.leads.finding import Wanted, words_of
from service.leads.lead import (
    Change,
    Lead,
    LeadError,
    LeadState,
    NotFound,
    StaleDecision,
    Standing,
)
from service.leads.ports import Ports, UnitOfWork

TOOK_IN = "took another request in"
BECAME_A_PART = "became a part of another request"

_MERGEABLE = frozenset({LeadState.NEW, LeadState.REVIEW, LeadState.QUOTED, LeadState.LAPSED})
_KEEPS_NOTHING = frozenset({LeadState.DECLINED, LeadState.DONE})
_TOLD_APART = frozenset({Standing.REPLACED, Standing.ERASED, Standing.DONE})
_MOST = 30


class MergeRefused(LeadError):
    """These two cannot become one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Likely:
    """A request that may be the same one, and why it looks so."""

    lead: Lead
    because: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Merger:
    """`other_id` becomes a part of `kept_id`; `kept_seen` and `other_seen` as `standing` said."""

    kept_id: str
    other_id: str
    kept_seen: str
    other_seen: str


def standing(work: UnitOfWork, lead: Lead) -> str:
    """What a decision on both has to have looked at: state, brief and newest price of one."""
    quote = work.quotes.latest(lead.id)
    return f"{lead.state}.{lead.revision}.{quote.number if quote else ''}"


def may_take_in(kept: Lead, other: Lead) -> bool:
    """Whether the one can become a part of the other."""
    return (
        kept.id != other.id
        and kept.merged_into is None
        and kept.erased_at is None
        and other.erased_at is None
        and kept.state not in _KEEPS_NOTHING
        and other.merged_into is None
        and other.state in _MERGEABLE
    )


def refuse_unfit(kept: Lead, other: Lead) -> None:
    """Raises MergeRefused, saying why, where the one cannot become a part of the other."""
    if not may_take_in(kept, other):
        raise MergeRefused(_why_not(kept, other))


def likely(work: UnitOfWork, lead: Lead) -> tuple[Likely, ...]:
    """Requests that may be the same: by conversation, email, phone, or day and place."""
    found: dict[str, Likely] = {}
    for other, because in _candidates(work, lead):
        if may_take_in(lead, other):
            found.setdefault(other.id, Likely(lead=other, because=because))
    return tuple(found.values())


def twins(work: UnitOfWork, lead: Lead) -> tuple[Lead, ...]:
    """Requests that are perhaps this one once more: of the same client, for the same day."""
    found = {other.id: other for other, _ in _candidates(work, lead)}
    return tuple(other for each, other in found.items() if each in twins_among([lead, other]))


def twins_among(leads: Iterable[Lead]) -> Mapping[str, Lead]:
    """Of these requests, by their ids, those that are perhaps another one of them, and which."""
    among = {lead.id: lead for lead in leads}
    marked: dict[tuple[date, str], list[Lead]] = {}
    for lead in among.values():
        for mark in _marks(lead):
            marked.setdefault(mark, []).append(lead)
    return {
        lead.id: next(other for other in alike if other is not lead)
        for alike in marked.values()
        if len(alike) > 1
        for lead in alike
    }


def _marks(lead: Lead) -> Iterator[tuple[date, str]]:
    """What two requests of one client for one event have in common."""
    day = lead.brief.event.date
    if day is None or lead.standing in _TOLD_APART:
        return
    yield from ((day, mark) for mark in (_email(lead), _digits(lead)) if mark)


def numbered(work: UnitOfWork, number: str) -> Lead:
    """The request with that number, with or without its letter. Raises NotFound."""
    wanted = f"G{number.strip().upper().removeprefix('G')}"
    found = work.listing.find(Wanted(words=words_of(wanted)), after=None, limit=_MOST)
    for row in found.rows:
        if row.lead.number == wanted:
            return row.lead
    raise NotFound("There is no request with that number.")


def merge(work: UnitOfWork, ports: Ports, merger: Merger, *, who: str, now: datetime) -> Lead:
    """The other request lapses into the kept one, and its links show the kept one's newest quote.

    Raises StaleDecision where either has changed since it was looked at, MergeRefused where the
    two cannot become one, as with a date held for the other.
    """
    # In one order for everybody, so that two mergers cannot wait for one another.
    locked = {
        lead_id: work.leads.get(lead_id, lock=True)
        for lead_id in sorted({merger.kept_id, merger.other_id})
    }
    kept, other = locked[merger.kept_id], locked[merger.other_id]
    seen = standing(work, kept), standing(work, other)
    if seen != (merger.kept_seen, merger.other_seen) or kept.merged_into or other.merged_into:
        raise StaleDecision("One of the two has changed in the meantime. Look again.")
    refuse_unfit(kept, other)
    work.leads.save(replace(other, state=LeadState.LAPSED, merged_into=kept.id, lost_because=None))
    became = Change(at=now, who=who, what=BECAME_A_PART, detail={"by": kept.id})
    work.leads.note(other.id, became)
    work.leads.note(kept.id, Change(at=now, who=who, what=TOOK_IN, detail={"by": other.id}))
    follow_up.drop_all(work, other.id, now=now)
    follow_up.arrange(work, ports, kept.id, now=now)
    return kept


def parts_of(work: UnitOfWork, lead: Lead) -> tuple[Lead, ...]:
    """The requests that became a part of this one."""
    taken = [each for each in work.leads.history(lead.id) if each.what == TOOK_IN]
    return tuple(work.leads.get(each.detail["by"]) for each in taken)


def kept_with_price(work: UnitOfWork, lead: Lead) -> Lead:
    """The request that a client's link shows: the one that took it in once its price is out."""
    shown = lead
    while shown.merged_into is not None:
        shown = work.leads.get(shown.merged_into)
    return shown if work.quotes.latest(shown.id, sent=True) is not None else lead


def _candidates(work: UnitOfWork, lead: Lead) -> Iterator[tuple[Lead, str]]:
    yield from ((other, "same conversation") for other in work.leads.of_chat(*_chat(lead)))
    email, phone = _email(lead), _digits(lead)
    if email:
        same = (other for other in _found(work, email) if _email(other) == email)
        yield from ((other, "same email") for other in same)
    if phone:
        same = (other for other in _found(work, phone) if _digits(other) == phone)
        yield from ((other, "same phone number") for other in same)
    day, place = lead.brief.event.date, _place(lead)
    if day is not None and any(place):
        on_the_day = work.listing.find(Wanted(since=day, until=day), after=None, limit=_MOST)
        for row in on_the_day.rows:
            if any(mine and mine == its for mine, its in zip(place, _place(row.lead), strict=True)):
                yield row.lead, "same day and place"


def _found(work: UnitOfWork, text: str) -> list[Lead]:
    rows = work.listing.find(Wanted(words=words_of(text)), after=None, limit=_MOST).rows
    return [row.lead for row in rows]


def _chat(lead: Lead) -> tuple[str, str]:
    return lead.channel, lead.chat_id


def _email(lead: Lead) -> str:
    return (lead.client.email or "").casefold()


def _digits(lead: Lead) -> str:
    return re.sub(r"\D", "", lead.client.phone or "")


def _place(lead: Lead) -> tuple[str, str]:
    site = lead.brief.site
    return _folded(site.place), _folded(site.postal_code)


def _folded(text: str | None) -> str:
    return " ".join((text or "").casefold().split())


def _why_not(kept: Lead, other: Lead) -> str:
    if kept.id == other.id:
        return "That is this request itself."
    if kept.erased_at or other.erased_at:
        return "One of the two has been erased."
    if kept.state in _KEEPS_NOTHING:
        return f"{kept.number} is over: keep the other one."
    if other.state in (LeadState.HELD, LeadState.BOOKED):
        return f"A date is kept for {other.number}: open that one, and make this one a part of it."
    return f"{other.number} is over already: there is nothing to bring together."
