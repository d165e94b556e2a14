"""The owner's own chats: pairing one, what is decided there, what waits, the morning digest."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Literal

from service.estimating import PriceBook
from service.leads import handling, owner_words, talking
from service.leads.lead import (
    Lead,
    LeadState,
    LinkExpired,
    NotFound,
    NotPaired,
    StaleDecision,
)
from service.leads.messages import PUSH_CHANNELS, Button, Message, OwnerChat
from service.leads.ports import Ports, UnitOfWork
from service.leads.reminders import Reminder
from service.leads.reminding import SENT
from service.leads.shop_time import midnight, today_at, zone_of
from service.leads.telling import tell

PAIRING_LINK = "pairing"
PAIRING_LASTS = timedelta(minutes=15)
PAYLOAD = "owner-"
"""What stands before the token where it is said in a chat."""

# Later than this after its hour a digest is none any more.
_MORNING_LASTS = timedelta(hours=4)

# A message that did not arrive is named for so long.
_LOST_SHOWN = timedelta(days=3)

_MOST_SHOWN = 8
_MOST_WAITING = 50


@dataclass(frozen=True, kw_only=True, slots=True)
class Decision:
    """What the owner decides in the chat.

    `lead_id` or `conversation_id` says on what; `basis` is the quote that the owner was shown.
    """

    action: Literal["send", "ask", "decline", "settle"]
    lead_id: str | None = None
    conversation_id: int | None = None
    basis: str | None = None
    price: Decimal | None = None
    text: str | None = None


def open_pairing(work: UnitOfWork, *, now: datetime) -> str:
    """A token that makes the chat which sends it the owner's: once, and soon."""
    expires_at = now + PAIRING_LASTS
    return work.links.add(purpose=PAIRING_LINK, subject_id="owner", expires_at=expires_at)


def pair(
    work: UnitOfWork,
    ports: Ports,
    channel: str,
    chat_id: str,
    *,
    token: str,
    name: str | None,
    now: datetime,
) -> None:
    """Make the chat the owner's. Raises NotFound or LinkExpired for a token that is no good.

    A chat that is paired already stays so, whatever the token: the answer to a first attempt
    may have been lost.
    """
    if channel not in PUSH_CHANNELS:
        raise NotFound("Only a chat that can be written to can be the owner's.")
    if work.owner_chats.has(channel, chat_id):
        return
    try:
        work.links.use(token, purpose=PAIRING_LINK, now=now)
    except LinkExpired:
        # The same words may have been taken twice at once: then the other one has paired it.
        if work.owner_chats.has(channel, chat_id):
            return
        raise
    today = today_at(now, ports.price_books.current())
    work.owner_chats.pair(
        OwnerChat(channel=channel, chat_id=chat_id, name=name, paired_at=now, digest_on=today)
    )


def decide(
    work: UnitOfWork,
    ports: Ports,
    channel: str,
    chat_id: str,
    decision: Decision,
    *,
    now: datetime,
) -> None:
    """Carry out what was decided in a chat. Raises LeadError where that cannot be done."""
    refuse_strangers(work, channel, chat_id)
    if decision.lead_id is not None:
        _decide_on(work, ports, work.leads.get(decision.lead_id, lock=True), decision, now)
    elif decision.conversation_id is not None:
        there = work.chats.chat_of(decision.conversation_id)
        _answer(work, *there, decision, now)
    else:
        raise NotFound("It is not said what this is about.")


def refuse_strangers(work: UnitOfWork, channel: str, chat_id: str) -> None:
    """Raises NotPaired for a chat that is not the owner's."""
    if not work.owner_chats.has(channel, chat_id):
        raise NotPaired("This chat is not connected to the shop.")


def _decide_on(
    work: UnitOfWork, ports: Ports, lead: Lead, decision: Decision, now: datetime
) -> None:
    if decision.action in ("ask", "settle"):
        _answer(work, lead.channel, lead.chat_id, decision, now)
        return
    newer = handling.replaced_by(work, lead) if lead.state is LeadState.LAPSED else None
    if newer is not None:
        raise StaleDecision(f"The client asked again: {newer.number} has taken its place.")
    if decision.action == "decline":
        handling.decline(work, ports, lead_id=lead.id, text=decision.text, now=now)
        return
    handling.send_firm(
        work,
        ports,
        lead_id=lead.id,
        # An empty basis fits no quote.
        basis_number=decision.basis or "",
        price=decision.price,
        reason=None,
        text=decision.text,
        now=now,
    )


def _answer(
    work: UnitOfWork, channel: str, chat_id: str, decision: Decision, now: datetime
) -> None:
    # Written just now, by somebody who was shown the client's latest words when they came.
    seen = work.chats.attention(channel, chat_id, lock=True).last_seq
    if decision.action == "settle":
        talking.settle(work, channel, chat_id, seen=seen)
    elif decision.text:
        talking.answer_as_owner(work, channel, chat_id, decision.text, seen=seen, now=now)
    else:
        raise NotFound("There are no words to send.")


def waiting(work: UnitOfWork, ports: Ports) -> tuple[Message, ...]:
    """What waits for the owner, one message each, the most pressing first."""
    book = ports.price_books.current()
    shown = [
        owner_words.call(
            one, work.leads.of_chat(one.channel, one.chat_id), public_url=ports.public_url
        )
        for one in work.chats.calling(limit=_MOST_SHOWN)
    ]
    shown += [
        owner_words.review(
            lead,
            work.quotes.latest(lead.id),
            book,
            public_url=ports.public_url,
            before=handling.firm_before(work, lead),
        )
        for lead in _in_review(work)[:_MOST_SHOWN]
    ]
    if work.outbox.troubled(limit=1):
        shown.append(owner_words.stuck(public_url=ports.public_url))
    elif not shown:
        answered = "" if work.outbox.answers_owed() else " Every client has an answer."
        shown.append(_say(f"Nothing waits for you.{answered}"))
    return tuple(shown)


def today(work: UnitOfWork, ports: Ports, *, now: datetime) -> Message:
    """Today's and tomorrow's set-ups, and holds that run out soon."""
    parts = _coming(work, ports.price_books.current(), now)
    return _say("\n\n".join(parts) or "No set-up today or tomorrow, and no hold runs out.")


def tell_digests(work: UnitOfWork, ports: Ports, *, now: datetime) -> None:
    """The morning's digest, once a day in each of the owner's chats; nothing on a quiet day.

    The day is stored with the message: whatever restarts, nobody is told twice.
    """
    book = ports.price_books.current()
    here = now.astimezone(zone_of(book))
    due = datetime.combine(here.date(), book.calendar.digest_at, here.tzinfo)
    if here < due:
        return
    for chat in work.owner_chats.every():
        if chat.digest_on >= here.date():
            continue
        if not work.owner_chats.take_digest(chat.channel, chat.chat_id, here.date()):
            continue
        message = _digest(work, ports, book, now) if here - due < _MORNING_LASTS else None
        if message is not None:
            tell(work, chat.channel, chat.chat_id, message, now=now)


def _digest(work: UnitOfWork, ports: Ports, book: PriceBook, now: datetime) -> Message | None:
    parts = [*_pressing(work), *_coming(work, book, now), *_followed_up(work, now)]
    if not parts:
        return None
    greeting = f"Good morning, {book.shop.owner}."
    buttons = [Button(label="Open your desk", url=f"{ports.public_url}/desk")]
    day = today_at(now, book)
    if work.holds.between(midnight(day, book), midnight(day + timedelta(days=1), book)):
        buttons.append(Button(label="Today's run sheet", url=f"{ports.public_url}/desk/days"))
    text = "\n\n".join([greeting, *parts])
    return Message(kind="owner", text=text, buttons=tuple(buttons))


def _pressing(work: UnitOfWork) -> list[str]:
    parts = []
    calling = work.chats.calling(limit=_MOST_SHOWN)
    if calling:
        lines = [owner_words.calling_line(one) for one in calling]
        parts.append(owner_words.listed("Asks for you:", lines))
    leads = _in_review(work)
    if leads:
        lines = [
            owner_words.line(lead, work.quotes.latest(lead.id)) for lead in leads[:_MOST_SHOWN]
        ]
        more = len(leads) - len(lines)
        if more:
            lines.append(f"and {more} more")
        parts.append(owner_words.listed("Waits for you:", lines))
    return parts


def _followed_up(work: UnitOfWork, now: datetime) -> list[str]:
    """What was written unasked since yesterday morning, and what did not arrive."""
    parts = []
    lost = [
        reminder
        for reminder in work.reminders.undelivered(limit=_MOST_SHOWN)
        if reminder.closed_at is not None and now - reminder.closed_at < _LOST_SHOWN
    ]
    sent = [
        reminder
        for reminder in work.reminders.sent_between(now - timedelta(days=1), now)
        if reminder.kind.to_client and reminder not in lost
    ]
    for title, reminders in (
        ("Could not be delivered; call, or write by other means:", lost),
        ("Went out by itself:", sent[:_MOST_SHOWN]),
    ):
        lines = [_reminder_line(work, reminder) for reminder in reminders]
        if lines:
            parts.append(owner_words.listed(title, lines))
    return parts


def _reminder_line(work: UnitOfWork, reminder: Reminder) -> str:
    lead = work.leads.get(reminder.lead_id)
    waits = "" if lead.channel in PUSH_CHANNELS else ", which waits until they look in again"
    return f"{lead.number}, {owner_words.who(lead)}: {SENT[reminder.kind]}{waits}"


def _coming(work: UnitOfWork, book: PriceBook, now: datetime) -> list[str]:
    day = today_at(now, book)
    today, tomorrow, after = (midnight(day + timedelta(days=each), book) for each in range(3))
    parts = []
    lines = [
        owner_words.running_out(work.leads.get(hold.lead_id), hold, book)
        for hold in work.holds.expired(after)
        if hold.expires_at > now
    ]
    if lines:
        title = "Held without a deposit, and runs out today or tomorrow:"
        parts.append(owner_words.listed(title, lines))
    for title, since, until in (("Today:", today, tomorrow), ("Tomorrow:", tomorrow, after)):
        lines = [
            owner_words.set_up(work.leads.get(hold.lead_id), hold, book)
            for hold in work.holds.starting(since, until)
        ]
        if lines:
            parts.append(owner_words.listed(title, lines))
    return parts


def _in_review(work: UnitOfWork) -> list[Lead]:
    """Requests for the owner, the nearest event first; those without a day last."""
    found = work.leads.page(before=None, limit=_MOST_WAITING, state=LeadState.REVIEW)
    return sorted(found, key=lambda lead: (lead.brief.event.date or date.max, lead.created_at))


def _say(text: str) -> Message:
    return Message(kind="owner", text=text)
