"""The desk's first page: what needs the owner, then every request, newest first."""

import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from fastapi import APIRouter, Response

from service.leads import stepping, words
from service.leads.lead import Lead, LeadState, NotFound, Quote
from service.leads.owner_words import CHANNELS, cut, price_of, summary_of
from service.leads.ports import UnitOfWork
from service.leads.steps import Step, StepKind, StepRefused
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.conversation import Chat, calls
from service.pages.desk.wording import MOST_STUCK, STATES, ago, state_of
from service.pages.newer import newer_than
from service.pages.visit import go_to

router = APIRouter()

_PAGE = 25
_MOST_WAITING = 50


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A request in the list."""

    number: str
    path: str
    who: str
    what: str
    when: str
    asked: str
    state: str
    state_words: str
    price: str | None
    reasons: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stuck:
    """A step that was given up: what it was, why, and where to look."""

    id: str
    what: str
    why: str
    path: str | None


@router.post("/steps/{step_id}/again")
def again(step_id: str, desk: Confirmed) -> Response:
    """What was given up is tried once more from the beginning; a second press changes nothing."""
    with desk.visit.ports.work() as work, suppress(StepRefused):
        stepping.revive(work, step_id, desk.visit.now)
        work.commit()
    return go_to("/desk")


@router.get("")
def desk_page(desk: SignedIn, state: str = "", before: str = "") -> Response:
    """The list; `state` filters it and `before` pages on from that request's number."""
    wanted = LeadState(state) if state in set(LeadState) else None
    before = before if re.fullmatch(r"G[0-9]{1,9}", before) else ""
    first = wanted is None and not before
    with desk.visit.ports.read() as work:
        page = work.leads.page(before=before or None, limit=_PAGE + 1, state=wanted)
        waiting = _waiting(work) if first else []
        calling, more_calling = calls(desk, work) if first else ([], False)
        counts = work.leads.count_by_state()
        return desk.show(
            "desk/leads.html",
            calling=calling,
            more_calling=more_calling,
            waiting=[_row(desk, work, lead) for lead in waiting],
            rows=[_row(desk, work, lead) for lead in page[:_PAGE]],
            older=page[_PAGE - 1].number if len(page) > _PAGE else None,
            first=first,
            in_telegram=bool(work.owner_chats.every()),
            wanted=wanted,
            states=[(each, STATES[each], counts.get(each, 0)) for each in LeadState],
            total=sum(counts.values()),
            stuck=[_stuck(work, step) for step in work.outbox.dead(limit=MOST_STUCK)]
            if first
            else [],
            book_problem=desk.visit.ports.price_books.problem,
        )


def _waiting(work: UnitOfWork) -> list[Lead]:
    """Requests for the owner, the nearest event first; those without a day last."""
    waiting = work.leads.page(before=None, limit=_MOST_WAITING, state=LeadState.REVIEW)
    return sorted(waiting, key=lambda lead: (lead.brief.event.date or date.max, lead.created_at))


def _row(desk: Desk, work: UnitOfWork, lead: Lead) -> Row:
    quote: Quote | None = work.quotes.latest(lead.id)
    event_day = lead.brief.event.date
    return Row(
        number=lead.number,
        path=f"/desk/leads/{lead.id}",
        who=lead.client.name or f"A client, by {CHANNELS.get(lead.channel, lead.channel)}",
        what=summary_of(lead.brief),
        when=words.day(event_day) if event_day else "no date yet",
        asked=ago(lead.created_at, desk.visit.now),
        state=lead.state,
        state_words=state_of(lead, newer_than(work, desk.visit.ports, lead)),
        price=price_of(quote) if quote else None,
        reasons=lead.review_reasons if lead.state is LeadState.REVIEW else (),
    )


def _stuck(work: UnitOfWork, step: Step) -> Stuck:
    why = step.last_error or "no reason was given"
    try:
        if step.kind is StepKind.QUOTE:
            lead = work.leads.get(step.subject_id)
            what = f"Request {lead.number} could not be priced"
            return Stuck(id=step.id, what=what, why=why, path=f"/desk/leads/{lead.id}")
        delivery = work.chats.delivery(step.subject_id)
    except NotFound:
        gone = "Something was to be done for a request that is gone"
        return Stuck(id=step.id, what=gone, why=why, path=None)
    through = CHANNELS.get(delivery.channel, delivery.channel)
    said = cut(delivery.stored.message.text, 90)
    certain = "May not have arrived" if step.maybe_done else "Not delivered"
    return Stuck(
        id=step.id,
        what=f"{certain} through {through}: “{said}”",
        why=why,
        path=Chat(channel=delivery.channel, chat_id=delivery.chat_id).path,
    )
