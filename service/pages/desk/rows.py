"""How requests, and what needs the owner, are said in lists."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from service.leads import words
from service.leads.dues import Due
from service.leads.finding import Listed
from service.leads.lead import Lead, LeadState, NotFound
from service.leads.needs import Call, Ending
from service.leads.owner_words import CHANNELS, cut, price_of, summary_of, who
from service.leads.ports import UnitOfWork
from service.leads.steps import Step, StepKind
from service.pages.desk.access import Desk
from service.pages.desk.conversation import Chat
from service.pages.desk.wording import STATES, ago, runs_out

_CALLING_WORDS = 160
_STUCK_WORDS = 90


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A request in a list.

    `ends` is when its held date runs out, where it does; `twin` another one that may be the same.
    """

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
    ends: str | None = None
    twin: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class OverdueRow:
    """Money that should have come, or has to go back."""

    path: str
    who: str
    number: str
    amount: Decimal
    currency: str
    when: str


@dataclass(frozen=True, kw_only=True, slots=True)
class CallRow:
    """A client who asks for the owner."""

    path: str
    who: str
    since: str
    words: str
    channel: str
    asked: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stuck:
    """A step that was given up, or is in doubt: what it was, why, and where to look.

    `doubt` says so where it may have reached the client all the same.
    """

    id: str
    what: str
    why: str
    path: str | None
    doubt: str | None = None


Twins = Mapping[str, Lead]
"""By the id of a request, another one in the lists that is perhaps the same."""


def row_of(desk: Desk, listed: Listed, twins: Twins, *, ends: str | None = None) -> Row:
    """A request as a line of a list."""
    lead = listed.lead
    day = lead.brief.event.date
    return Row(
        number=lead.number,
        path=f"/desk/leads/{lead.id}",
        who="Erased" if lead.erased_at else lead.client.name or _nameless(lead),
        what=summary_of(lead.brief),
        when=words.day(day) if day else "no date yet",
        asked=ago(lead.created_at, desk.visit.now),
        state=lead.state,
        state_words=f"replaced by {listed.newer}" if listed.newer else STATES[lead.standing],
        price=price_of(listed.price) if listed.price else None,
        reasons=lead.review_reasons if lead.state is LeadState.REVIEW else (),
        ends=ends,
        twin=twins[lead.id].number if lead.id in twins else None,
    )


def _nameless(lead: Lead) -> str:
    return f"A client, by {CHANNELS.get(lead.channel, lead.channel)}"


def ending_of(desk: Desk, ending: Ending, twins: Twins) -> Row:
    """A request whose date is held without a deposit."""
    return row_of(desk, ending.row, twins, ends=runs_out(ending.hold.expires_at, desk.visit.now))


def untold_of(desk: Desk, listed: Listed) -> Row:
    """A finished job of which it was not told yet how it went; it leads to where that is told."""
    row = row_of(desk, listed, {})
    return replace(row, path=f"{row.path}/actuals")


def overdue_of(due: Due) -> OverdueRow:
    """Money that should have come, or has to go back; it leads to the job's account."""
    account = due.account
    words_of_it = (
        "to be sent back" if account.owed_back else f"since {words.day(due.on)}" if due.on else ""
    )
    return OverdueRow(
        path=f"/desk/bookings/{due.lead.id}",
        who=who(due.lead),
        number=due.lead.number,
        amount=account.owed_back or account.due,
        currency=account.currency,
        when=words_of_it,
    )


def call_of(desk: Desk, call: Call) -> CallRow:
    """A client who asks for the owner, with the words that called."""
    calling = call.calling
    return CallRow(
        path=Chat(channel=calling.channel, chat_id=calling.chat_id).path,
        who=next((lead.client.name for lead in call.leads if lead.client.name), "A client"),
        since=ago(calling.since, desk.visit.now),
        words=cut(calling.words, _CALLING_WORDS),
        channel=CHANNELS[calling.channel],
        asked=tuple(lead.number for lead in call.leads),
    )


def stuck_of(work: UnitOfWork, step: Step) -> Stuck:
    """A step that was given up."""
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
    said = cut(delivery.stored.message.text, _STUCK_WORDS)
    certain = "May not have arrived" if step.unclear else "Not delivered"
    return Stuck(
        id=step.id,
        what=f"{certain} through {through}: “{said}”",
        why=why,
        path=Chat(channel=delivery.channel, chat_id=delivery.chat_id).path,
        doubt=f"{_unconfirmed(step)} If you try again, it may be there twice."
        if step.unclear
        else None,
    )


def in_doubt_of(work: UnitOfWork, step: Step) -> Stuck:
    """A message that may have arrived and goes out again, unless that is confirmed."""
    return replace(stuck_of(work, step), doubt=f"{_unconfirmed(step)} It goes out again soon.")


def _unconfirmed(step: Step) -> str:
    times = {0: "once", 1: "once", 2: "twice"}.get(step.doubts, f"{step.doubts} times")
    return f"Sent {times} and never confirmed: it may have arrived."
