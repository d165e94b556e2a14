"""A reminder falls due: whether it is still wanted is decided then, and what it says is written."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from service.estimating import PriceBook
from service.leads import addresses, balances, owner_words, stepping, words
from service.leads.follow_up.arranging import drop, put_off, wants
from service.leads.follow_up.quiet import after_quiet, is_quiet
from service.leads.follow_up.saying import About, reminding
from service.leads.follow_up.stopping import STOP_LINK
from service.leads.handling import BOOKING_LINK, QUOTE_LINK
from service.leads.lead import GARLANDRY, Change, Hold, Lead, NotFound, StaleDecision
from service.leads.messages import Button, Message
from service.leads.ports import Ports, UnitOfWork
from service.leads.reminders import Kind, Planned, Reminder, State
from service.leads.shop_time import today_at, zone_of
from service.leads.site_noting import notes_of
from service.leads.steps import StepKind, StepState
from service.leads.telling import tell, tell_owner

_STOP_LASTS = timedelta(days=400)
_LINKS_LAST = timedelta(days=30)

# The queue's clock and the shop's may differ by so much.
_EARLY = timedelta(seconds=1)


# These ask the client something that the dialogue knows nothing of.
_ASKING = frozenset({Kind.BALANCE, Kind.DAY_BEFORE, Kind.THANKS})

SENT: Mapping[Kind, str] = {
    Kind.NUDGE: "said that the price runs out",
    Kind.HOLD: "said that the held date runs out",
    Kind.OWNERS_HOLD: "told you that the held date runs out",
    Kind.BALANCE: "asked for the balance",
    Kind.DAY_BEFORE: "wrote for the day before",
    Kind.THANKS: "said thank you, and asked for a photo",
}
"""What the history says of a reminder that was sent."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What became of a reminder; `due_at` where it was put off."""

    state: State
    due_at: datetime | None = None


def fall_due(
    work: UnitOfWork, ports: Ports, reminder_id: str, *, step_id: str, fence: int, now: datetime
) -> Outcome:
    """A worker's step comes back: write the reminder, put it off, or drop it, and close the step.

    A step that was closed before changes nothing. Raises StepRefused for an old fence.
    """
    # The request's lock first, as everywhere.
    lead = work.leads.get(work.reminders.get(reminder_id).lead_id, lock=True)
    step = stepping.held(work, step_id, fence)
    if step.subject_id != reminder_id:
        raise NotFound("That step is for another reminder.")
    reminder = work.reminders.get(reminder_id)
    if step.state is StepState.DONE:
        return _outcome(reminder)
    stepping.finish(work, step)
    if reminder.state is State.OWED:
        _decide(work, ports, lead, reminder, now)
    return _outcome(work.reminders.get(reminder_id))


def send_now(work: UnitOfWork, ports: Ports, reminder_id: str, *, who: str, now: datetime) -> None:
    """The owner has a reminder sent before it falls due.

    Raises StaleDecision where it is owed no more, where what it says does not hold, or not yet,
    and in quiet hours.
    """
    lead, reminder = _owed(work, reminder_id)
    book = ports.price_books.current()
    plan = wants(work, ports, lead).get((reminder.kind, reminder.basis))
    if plan is None or now >= plan.until:
        raise StaleDecision("What this reminder says does not hold any more.")
    if plan.since is not None and now < plan.since:
        since = words.moment(plan.since.astimezone(zone_of(book)))
        raise StaleDecision(f"What it says is not true before {since}.")
    if is_quiet(now, book):
        until = words.clock(book.follow_up.quiet_until)
        raise StaleDecision(f"Nothing is written unasked now; quiet hours last until {until}.")
    work.leads.note(lead.id, Change(at=now, who=who, what="sent a reminder early"))
    _send(work, ports, lead, reminder, now)


def skip(work: UnitOfWork, reminder_id: str, *, who: str, now: datetime) -> None:
    """The owner takes a reminder out, for good. Raises StaleDecision where it is owed no more."""
    lead, reminder = _owed(work, reminder_id)
    drop(work, reminder, now, state=State.SKIPPED)
    work.leads.note(lead.id, Change(at=now, who=who, what="took out a reminder"))


def _owed(work: UnitOfWork, reminder_id: str) -> tuple[Lead, Reminder]:
    lead = work.leads.get(work.reminders.get(reminder_id).lead_id, lock=True)
    reminder = work.reminders.get(reminder_id)
    if reminder.state is not State.OWED:
        raise StaleDecision("This reminder has been sent or taken out in the meantime.")
    return lead, reminder


def _outcome(reminder: Reminder) -> Outcome:
    due_at = reminder.due_at if reminder.state is State.OWED else None
    return Outcome(state=reminder.state, due_at=due_at)


def _decide(work: UnitOfWork, ports: Ports, lead: Lead, reminder: Reminder, now: datetime) -> None:
    plan: Planned | None = wants(work, ports, lead).get((reminder.kind, reminder.basis))
    if plan is None or now >= plan.until:
        drop(work, reminder, now)
    elif plan.due_at - _EARLY > now:
        put_off(work, reminder, plan.due_at, now)
    else:
        _send_or_wait(work, ports, lead, reminder, now)


def _send_or_wait(
    work: UnitOfWork, ports: Ports, lead: Lead, reminder: Reminder, now: datetime
) -> None:
    awake = after_quiet(now, ports.price_books.current())
    if awake > now:
        put_off(work, reminder, awake, now)
    else:
        _send(work, ports, lead, reminder, now)


def _send(work: UnitOfWork, ports: Ports, lead: Lead, reminder: Reminder, now: datetime) -> None:
    work.outbox.settle(StepKind.REMIND, reminder.id)
    message_id = _write(work, ports, lead, reminder.kind, now)
    sent = replace(reminder, state=State.SENT, closed_at=now, message_id=message_id)
    work.reminders.save(sent)
    work.leads.note(lead.id, Change(at=now, who=GARLANDRY, what=SENT[reminder.kind]))


def _write(work: UnitOfWork, ports: Ports, lead: Lead, kind: Kind, now: datetime) -> str | None:
    """The message's id; None for what went to the owner."""
    about = _about(work, ports, lead, now)
    if kind.to_client:
        return _to_client(work, kind, about, now)
    if about.hold is not None:
        tell_owner(work, _runs_out(lead, about.hold, about.book, ports.public_url), now=now)
    return None


def _to_client(work: UnitOfWork, kind: Kind, about: About, now: datetime) -> str:
    chat = about.lead.channel, about.lead.chat_id
    told = tell(work, *chat, reminding(kind, about), now=now)
    if kind in _ASKING and work.chats.attention(*chat).calls_since is None:
        # What the client answers is meant for the owner, as after the owner's own words.
        work.chats.answered(*chat, in_words=True)
    return told.id


def _runs_out(lead: Lead, hold: Hold, book: PriceBook, public_url: str) -> Message:
    line = owner_words.running_out(lead, hold, book)
    text = owner_words.listed("A held date runs out soon, and no deposit is recorded:", [line])
    desk = Button(label="Open on the desk", url=f"{public_url}/desk/leads/{lead.id}")
    return Message(kind="owner", text=text, buttons=(desk,))


def _about(work: UnitOfWork, ports: Ports, lead: Lead, now: datetime) -> About:
    book = ports.price_books.current()
    hold = work.holds.of_lead(lead.id)
    quote = work.quotes.latest(lead.id, sent=True)
    if quote is None:
        raise NotFound("This request has no price yet.")
    # A booking outlives the price that it came from.
    for purpose in (QUOTE_LINK, BOOKING_LINK) if hold else ():
        work.links.prolong(lead.id, purpose=purpose, until=now + _LINKS_LAST)
    url, booking_url = addresses.of_lead(work, ports, lead.id)
    link = work.links.add(purpose=STOP_LINK, subject_id=lead.id, expires_at=now + _STOP_LASTS)
    return About(
        lead=lead,
        quote=quote,
        hold=hold,
        account=balances.of_lead(work, lead, quote),
        due_on=balances.due_on(work, ports, lead, quote, hold),
        book=book,
        words=ports.wording.in_language(lead.language),
        today=today_at(now, book),
        place=notes_of(work, lead.id),
        url=url,
        booking_url=booking_url,
        stop_url=f"{ports.public_url}/stop/{ports.signer.sign(link, purpose=STOP_LINK)}",
    )
