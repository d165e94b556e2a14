"""How requests, and what needs the owner, are said in lists."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from service.leads import words
from service.leads.dues import Due
from service.leads.finding import Listed
from service.leads.lead import Lead, LeadState
from service.leads.needs import Call, Ending
from service.leads.owner_words import CHANNELS, cut, price_of, summary_of, who
from service.pages.desk.access import Desk
from service.pages.desk.chat import Chat
from service.pages.desk.wording import STATES, ago, runs_out

_CALLING_WORDS = 160


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
