"""The owner changes a brief: what it would cost, and storing it with a price nobody was sent."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from service.estimating import Brief, Estimate, estimate
from service.leads import follow_up, wording
from service.leads.edited import client_edits, edits
from service.leads.handling import refuse_if_gone
from service.leads.lead import (
    Change,
    Client,
    Lead,
    LeadState,
    MoveRefused,
    Quote,
    StaleDecision,
)
from service.leads.locating import located
from service.leads.ports import Ports, UnitOfWork
from service.leads.quoting import draft
from service.leads.review import reasons
from service.leads.shop_time import today_at
from service.leads.telling import tell_client

CHANGED = "changed the brief"
"""In the history; `changes` of the detail says what."""

_OVER = frozenset({LeadState.DECLINED, LeadState.DONE})
_CHANGED_BEFORE_PRICED = "You changed it before a price was out."


@dataclass(frozen=True, kw_only=True, slots=True)
class Edit:
    """What a brief and its client become; `revision` is the one that was looked at."""

    lead_id: str
    brief: Brief
    client: Client
    revision: int


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkedOut:
    """A brief, its site found on the map, and what it takes to build."""

    brief: Brief
    estimate: Estimate


def may_edit(lead: Lead) -> bool:
    """Whether the brief can still be changed."""
    gone = lead.merged_into is not None or lead.erased_at is not None
    return lead.state not in _OVER and not gone


def work_out(ports: Ports, brief: Brief, *, now: datetime) -> WorkedOut:
    """What a brief would cost today. It takes a while: ask before the transaction begins.

    Raises BriefError.
    """
    book, calibration = ports.price_books.current(), ports.calibrations.current()
    found = placed(ports, brief)
    answer = estimate(found, book, calibration, today=today_at(now, book))
    return WorkedOut(brief=found, estimate=answer)


def placed(ports: Ports, brief: Brief) -> Brief:
    """The brief with its site found on the map, if it can be."""
    shop = ports.price_books.current().shop
    return replace(brief, site=located(brief.site, ports.places, shop))


def save_brief(
    work: UnitOfWork,
    ports: Ports,
    edit: Edit,
    worked_out: WorkedOut,
    *,
    who: str,
    now: datetime,
) -> Lead:
    """Store a changed brief with a ballpark of it, which the client does not see until it is sent.

    A date that is held or booked stays as it is. What changes nothing stores nothing. Raises
    StaleDecision, saying what changed, where somebody changed it since; MoveRefused once it is
    over.
    """
    lead = work.leads.get(edit.lead_id, lock=True)
    refuse_if_gone(work, lead)
    _refuse_overwriting(work, lead, edit.revision)
    if lead.state in _OVER:
        raise MoveRefused(lead.state, LeadState.QUOTED)
    currency = ports.price_books.current().shop.currency
    of_brief = edits(lead.brief, edit.brief, currency)
    said = (*of_brief, *client_edits(lead.client, edit.client))
    if not said:
        return lead
    before = work.quotes.latest(lead.id)
    saved = work.leads.save_brief(replace(lead, brief=worked_out.brief, client=edit.client))
    detail: dict[str, Any] = {"changes": list(said)}
    if of_brief:
        quote = work.quotes.add(draft(ports, saved, worked_out.estimate, now))
        detail |= _from_to(before, quote)
        saved = _looked_at(work, ports, saved, worked_out.estimate, now)
    work.leads.note(saved.id, Change(at=now, who=who, what=CHANGED, detail=detail))
    follow_up.arrange(work, ports, saved.id, now=now)
    return saved


def _refuse_overwriting(work: UnitOfWork, lead: Lead, seen: int) -> None:
    missed = lead.revision - seen
    if not missed:
        return
    found = [change for change in work.leads.history(lead.id) if "changes" in change.detail]
    said = [text for change in found[-missed:] for text in change.detail["changes"]]
    what = f": {'; '.join(said)}" if said else ""
    raise StaleDecision(f"The brief was changed in the meantime{what}.")


def _from_to(before: Quote | None, quote: Quote) -> Mapping[str, str]:
    was = {"was": str(before.likely)} if before is not None else {}
    return {**was, "now": str(quote.likely)}


def _looked_at(work: UnitOfWork, ports: Ports, lead: Lead, answer: Estimate, now: datetime) -> Lead:
    """The owner has it in hand: why it waits is told anew, and a client without a price knows."""
    book = ports.price_books.current()
    if lead.state is LeadState.NEW:
        waits = replace(lead.moved_to(LeadState.REVIEW), review_reasons=(_CHANGED_BEFORE_PRICED,))
        said = ports.wording.in_language(lead.language)
        today = today_at(now, book)
        tell_client(work, waits, wording.under_review(waits, book, said, today=today), now=now)
    elif lead.state is LeadState.REVIEW:
        found = reasons(lead.brief, answer, book, today=today_at(now, book))
        waits = replace(lead, review_reasons=found)
    else:
        return lead
    work.leads.save(waits)
    return waits
