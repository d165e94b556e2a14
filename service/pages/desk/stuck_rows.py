"""How the desk says what did not go through, and what can be done about it."""

from collections.abc import Iterable
from dataclasses import dataclass

from service.leads import stuck_words
from service.leads.owner_words import CHANNELS, cut, who
from service.leads.ports import UnitOfWork
from service.leads.steps import Step, StepState
from service.leads.stuck import Stuck, concerning, left_to_owner
from service.pages.desk.chat import Chat
from service.pages.desk.reminders import KINDS

_WORDS = 90


@dataclass(frozen=True, kw_only=True, slots=True)
class StuckRow:
    """A step that was given up, or is in doubt: about whom, what, why, and what can be done.

    `doubt` says what else to know before a press. `seen` is the attempt that is shown; `again` and
    `away` are what the buttons say.
    """

    id: str
    seen: int
    who: str
    path: str | None
    what: str
    why: str
    doubt: str | None
    again: str | None
    arrived: bool
    away: str


def stuck_rows(work: UnitOfWork, steps: Iterable[Step]) -> list[StuckRow]:
    """Steps that were given up or are in doubt."""
    return [row_of_stuck(concerning(work, step)) for step in steps]


def row_of_stuck(stuck: Stuck) -> StuckRow:
    """One of them."""
    step = stuck.step
    given_up = step.state is StepState.DEAD
    return StuckRow(
        id=step.id,
        seen=step.fence,
        who=_who(stuck),
        path=_path(stuck),
        what=_what(stuck),
        why=stuck_words.why(stuck),
        doubt=_doubt(stuck, given_up=given_up),
        again=_again(stuck) if given_up else None,
        arrived=stuck.delivery is not None,
        away="I'll take it over" if left_to_owner(stuck) else "Not wanted any more",
    )


def _who(stuck: Stuck) -> str:
    if stuck.to_owner:
        return "To you"
    if stuck.lead is not None:
        return f"{who(stuck.lead)}, {stuck.lead.number}"
    if stuck.delivery is not None:
        return f"A client, by {_through(stuck.delivery.channel)}"
    return "Many at once" if stuck.part is not None else "Gone by now"


def _path(stuck: Stuck) -> str | None:
    if stuck.to_owner:
        return "/desk/telegram"
    if stuck.delivery is not None:
        return Chat(channel=stuck.delivery.channel, chat_id=stuck.delivery.chat_id).path
    if stuck.lead is not None:
        return f"/desk/leads/{stuck.lead.id}"
    return f"/desk/many/{stuck.part.chore_id}" if stuck.part is not None else None


def _what(stuck: Stuck) -> str:
    if stuck.delivery is not None:
        said = cut(stuck.delivery.stored.message.text, _WORDS)
        return f"{_certain(stuck)} through {_through(stuck.delivery.channel)}: “{said}”"
    if stuck.reminder is not None:
        return f"Reminder not written: {KINDS[stuck.reminder.kind]}"
    if stuck.lead is not None:
        return f"Request {stuck.lead.number} {_unpriced(stuck)}"
    if stuck.part is not None:
        return f"Not made: {stuck.part.about}"
    return "Something was to be done for a request that is gone"


def _certain(stuck: Stuck) -> str:
    if stuck.step.doubts:
        return "May not have arrived"
    return "Not sent yet" if stuck.held_back else "Not delivered"


def _unpriced(stuck: Stuck) -> str:
    return "is not priced yet" if stuck.held_back else "could not be priced"


def _doubt(stuck: Stuck, *, given_up: bool) -> str | None:
    doubt = stuck_words.doubt(stuck)
    if not given_up:
        return f"{doubt} It goes out again soon." if doubt else None
    if doubt:
        return f"{doubt} If you send it again, it may be there twice."
    if stuck.held_back and stuck.delivery is not None:
        return "If you send it, it may be there twice."
    if left_to_owner(stuck):
        return "If you take it over, the client is told that you look at it first."
    return None


def _again(stuck: Stuck) -> str:
    if stuck.delivery is None:
        return "Try it again"
    return "Send it" if stuck.held_back and not stuck.step.doubts else "Send it again"


def _through(channel: str) -> str:
    return CHANNELS.get(channel, channel)
