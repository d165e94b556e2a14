"""What the shop writes unasked: what is to come, what was sent, and who wants none of it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from http import HTTPStatus
from urllib.parse import quote

from fastapi import APIRouter, Response

from service.leads import follow_up, reminding, words
from service.leads.follow_up.quiet import is_quiet
from service.leads.lead import Lead, LeadError, NotFound
from service.leads.messages import PUSH_CHANNELS, Message
from service.leads.owner_words import who
from service.leads.ports import UnitOfWork
from service.leads.reminders import Kind, Reminder, State
from service.pages.desk.access import Confirmed, Desk, SignedIn
from service.pages.desk.wording import READ_BY
from service.pages.posted import Posted, Sent
from service.pages.visit import go_to

router = APIRouter()

_MOST_TO_COME = 100
_MOST_PAST = 50

KINDS: Mapping[Kind, str] = {
    Kind.NUDGE: "The price runs out soon",
    Kind.HOLD: "The held date runs out soon",
    Kind.OWNERS_HOLD: "To you: a held date runs out soon",
    Kind.BALANCE: "The balance is due",
    Kind.DAY_BEFORE: "The day before: when you come",
    Kind.THANKS: "Thank you, and is there a photo?",
}

_BECAME: Mapping[State, str] = {
    State.SENT: "sent",
    State.DROPPED: "not needed any more",
    State.SKIPPED: "left out by you",
}

# What these say is true on their day only.
_ON_THEIR_DAY = frozenset({Kind.DAY_BEFORE, Kind.THANKS})
_NEAR = timedelta(hours=16)

_SHOWN = frozenset({State.OWED, State.SENT})

_DONE: Mapping[str, str] = {
    "sent": "It is on its way.",
    "skipped": "It is left out.",
    "stopped": "Nothing more goes to this client unasked.",
    "started": "This client is reminded again.",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class ByHand:
    """Words for the owner to send by other means; addresses where they are known."""

    text: str
    mail: str | None
    sms: str | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Row:
    """A reminder as a line of a list; `pulled` where nothing can bring it to the client."""

    id: str
    lead_id: str
    number: str
    who: str
    about: str
    when: str
    became: str
    failed: bool
    text: str
    may_send: bool
    pulled: bool
    by_hand: ByHand | None


@dataclass(frozen=True, kw_only=True, slots=True)
class LeadReminders:
    """A request's reminders, and since when its client wants none.

    `read_by` says where the client reads them, where nothing can bring them.
    """

    lead_id: str
    to_come: Sequence[Row]
    past: Sequence[Row]
    stopped: str | None
    read_by: str | None


@router.get("/reminders")
def reminders_page(desk: SignedIn, done: str = "") -> Response:
    """Everything that is to come, and the latest that was."""
    return _page(desk, notice=_DONE.get(done))


@router.post("/reminders/stops/{lead_id}")
def stop(lead_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Write nothing unasked to a request's client any more, or again."""
    now, stopping = desk.visit.now, sent.text("stopped") == "yes"

    def act(work: UnitOfWork) -> None:
        lead = work.leads.get(lead_id)
        chat = lead.channel, lead.chat_id
        if stopping:
            follow_up.stop(work, *chat, now=now, who=desk.who)
        else:
            follow_up.start(work, desk.visit.ports, *chat, now=now, who=desk.who)

    return _acted(desk, sent, act, done="stopped" if stopping else "started")


@router.post("/reminders/{reminder_id}/send")
def send(reminder_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Send it now."""
    visit = desk.visit
    return _acted(
        desk,
        sent,
        lambda work: reminding.send_now(
            work, visit.ports, reminder_id, who=desk.who, now=visit.now
        ),
        done="sent",
    )


@router.post("/reminders/{reminder_id}/skip")
def skip(reminder_id: str, desk: Confirmed, sent: Sent) -> Response:
    """Leave it out, for good."""
    now = desk.visit.now
    return _acted(
        desk,
        sent,
        lambda work: reminding.skip(work, reminder_id, who=desk.who, now=now),
        done="skipped",
    )


def of_lead(desk: Desk, work: UnitOfWork, lead: Lead) -> LeadReminders:
    """What `desk/_reminders.html` shows of a request."""
    found = work.reminders.of_lead(lead.id)
    rows = _rows(desk, work, found, {lead.id: lead})
    owed = {each.id for each in found if each.state is State.OWED}
    stopped = work.chats.stopped_at(lead.channel, lead.chat_id)
    return LeadReminders(
        lead_id=lead.id,
        to_come=[row for row in rows if row.id in owed],
        past=[row for row in rows if row.id not in owed],
        stopped=words.moment(stopped.astimezone(desk.visit.zone)) if stopped else None,
        read_by=READ_BY[lead.channel] if any(row.pulled for row in rows) else None,
    )


def _acted(desk: Desk, sent: Posted, act: Callable[[UnitOfWork], object], *, done: str) -> Response:
    try:
        with desk.visit.ports.work() as work:
            act(work)
            work.commit()
    except NotFound:
        return desk.trouble(HTTPStatus.NOT_FOUND, "There is nothing of that kind here")
    except LeadError as error:
        return _page(desk, trouble=str(error), status=HTTPStatus.CONFLICT)
    back = sent.text("back")
    return go_to(f"/desk/leads/{quote(back)}#reminders" if back else f"/desk/reminders?done={done}")


def _page(
    desk: Desk,
    *,
    notice: str | None = None,
    trouble: str | None = None,
    status: HTTPStatus = HTTPStatus.OK,
) -> Response:
    with desk.visit.ports.read() as work:
        to_come = _rows(desk, work, work.reminders.owed(limit=_MOST_TO_COME), {})
        past = _rows(desk, work, work.reminders.closed(limit=_MOST_PAST), {})
    rules = desk.visit.book.follow_up
    return desk.show(
        "desk/reminders.html",
        status=status,
        to_come=to_come,
        past=past,
        notice=notice,
        trouble=trouble,
        pulled=any(row.pulled for row in (*to_come, *past)),
        quiet_now=is_quiet(desk.visit.now, desk.visit.book),
        quiet=(words.clock(rules.quiet_from), words.clock(rules.quiet_until)),
    )


def _rows(
    desk: Desk, work: UnitOfWork, found: Sequence[Reminder], leads: dict[str, Lead]
) -> list[Row]:
    failed = {each.id for each in work.reminders.undelivered(limit=_MOST_PAST)}
    return [
        _row(desk, work, each, _known(work, each.lead_id, leads), each.id in failed)
        for each in found
    ]


def _known(work: UnitOfWork, lead_id: str, leads: dict[str, Lead]) -> Lead:
    if lead_id not in leads:
        leads[lead_id] = work.leads.get(lead_id)
    return leads[lead_id]


def _row(desk: Desk, work: UnitOfWork, reminder: Reminder, lead: Lead, failed: bool) -> Row:
    at = reminder.closed_at or reminder.due_at
    message = _message(work, reminder)
    pulled = reminder.kind.to_client and lead.channel not in PUSH_CHANNELS
    return Row(
        id=reminder.id,
        lead_id=lead.id,
        number=lead.number,
        who=who(lead),
        about=KINDS[reminder.kind],
        when=words.moment(at.astimezone(desk.visit.zone)),
        became="could not be delivered" if failed else _BECAME.get(reminder.state, ""),
        failed=failed,
        text=message.text if message else "",
        may_send=_may_send(desk, reminder),
        pulled=pulled and reminder.state in _SHOWN,
        by_hand=_by_hand(desk, lead, message) if message and (pulled or failed) else None,
    )


def _may_send(desk: Desk, reminder: Reminder) -> bool:
    if is_quiet(desk.visit.now, desk.visit.book):
        return False
    return reminder.kind not in _ON_THEIR_DAY or reminder.due_at - desk.visit.now < _NEAR


def _message(work: UnitOfWork, reminder: Reminder) -> Message | None:
    if reminder.message_id is None:
        return None
    try:
        return work.chats.delivery(reminder.message_id).stored.message
    except NotFound:  # forgotten, as the client asked
        return None


def _by_hand(desk: Desk, lead: Lead, message: Message) -> ByHand:
    links = [f"{button.label}: {button.url}" for button in message.buttons if button.url]
    text = "\n\n".join([message.text, *links])
    email, phone = lead.client.email, lead.client.phone
    subject = f"{desk.visit.shop.name}, {lead.number}"
    number = "".join(char for char in phone or "" if char.isdigit() or char == "+")
    return ByHand(
        text=text,
        mail=f"mailto:{quote(email, safe='@')}?subject={quote(subject)}&body={quote(text)}"
        if email
        else None,
        sms=f"sms:{number}?&body={quote(text)}" if number else None,
    )
