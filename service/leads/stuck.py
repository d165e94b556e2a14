"""What did not go through: which client it is about, and the owner's word that puts it away."""

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from service.leads import long_work, quoting, reminding, stepping
from service.leads.chores import Part
from service.leads.lead import Change, Lead, LeadState, NotFound
from service.leads.messages import Delivery
from service.leads.ports import Ports, UnitOfWork
from service.leads.reminders import Reminder, State
from service.leads.steps import HELD_BACK, Step, StepKind, StepRefused

# Of one client; the list of everything has all of them.
_MOST = 50


class Verdict(StrEnum):
    """It did arrive, as the client says; or it is not wanted any more."""

    ARRIVED = "arrived"
    UNWANTED = "unwanted"


@dataclass(frozen=True, kw_only=True, slots=True)
class Stuck:
    """A step that was given up or is in doubt, with what it is about, where that still is.

    `lead` is the request; for a message the newest of its chat's, and none for the owner's own.
    """

    step: Step
    lead: Lead | None = None
    delivery: Delivery | None = None
    reminder: Reminder | None = None
    part: Part | None = None
    to_owner: bool = False

    @property
    def held_back(self) -> bool:
        """Whether it only waits because the shop was restored from a backup."""
        return self.step.last_error == HELD_BACK


def concerning(work: UnitOfWork, step: Step) -> Stuck:
    """What a step is about."""
    try:
        match step.kind:
            case StepKind.QUOTE:
                return Stuck(step=step, lead=work.leads.get(step.subject_id))
            case StepKind.DELIVER:
                return _message(work, step)
            case StepKind.REMIND:
                reminder = work.reminders.get(step.subject_id)
                return Stuck(step=step, lead=work.leads.get(reminder.lead_id), reminder=reminder)
            case StepKind.CHORE:
                return Stuck(step=step, part=work.chores.part(step.subject_id))
    except NotFound:
        return Stuck(step=step)


def of_lead(work: UnitOfWork, lead: Lead) -> list[Stuck]:
    """All of a request that did not go through, and of its conversation, newest first."""
    reminders = (f"reminder:{each.id}" for each in work.reminders.of_lead(lead.id))
    lanes = [f"lead:{lead.id}", f"{lead.channel}:{lead.chat_id}", *reminders]
    return _of_lanes(work, lanes)


def of_chat(work: UnitOfWork, channel: str, chat_id: str) -> list[Stuck]:
    """All of a conversation that did not go through, newest first."""
    return _of_lanes(work, [f"{channel}:{chat_id}"])


def put_away(
    work: UnitOfWork,
    ports: Ports,
    step_id: str,
    verdict: Verdict,
    *,
    seen: int,
    who: str,
    now: datetime,
) -> None:
    """The owner decides that a step which was given up, or is in doubt, needs nothing more.

    `seen` is the fence of the step that they were looking at. A request that still has no price
    then waits for them. Raises StepRefused where there is nothing to decide.
    """
    found = concerning(work, work.outbox.get(step_id))
    if verdict is Verdict.ARRIVED and found.delivery is None:
        raise StepRefused("only a message can have arrived")
    # Their locks first, as everywhere.
    if found.lead is not None:
        found = replace(found, lead=work.leads.get(found.lead.id, lock=True))
    if found.part is not None:
        work.chores.get(found.part.chore_id, lock=True)
    stepping.put_away(work, step_id, now, seen=seen)
    if found.lead is not None:
        work.leads.note(found.lead.id, Change(at=now, who=who, what=_said(found, verdict)))
    _leave(work, ports, found, who=who, now=now)


def left_to_owner(found: Stuck) -> bool:
    """Whether its client still waits for a price, which becomes the owner's to find."""
    priced = found.step.kind is StepKind.QUOTE
    return priced and found.lead is not None and found.lead.state is LeadState.NEW


def _leave(work: UnitOfWork, ports: Ports, found: Stuck, *, who: str, now: datetime) -> None:
    if found.lead is not None and left_to_owner(found):
        quoting.leave_to_owner(work, ports, found.lead, now=now)
    if found.reminder is not None and found.reminder.state is State.OWED:
        reminding.skip(work, found.reminder.id, who=who, now=now)
    if found.part is not None:
        long_work.leave_out(work, found.part.id, now=now)


def _said(found: Stuck, verdict: Verdict) -> str:
    if verdict is Verdict.ARRIVED:
        return "noted that a message did arrive"
    if found.delivery is not None:
        return "let go of a message that did not go through"
    if found.reminder is not None:
        return "let go of a reminder that did not go through"
    if left_to_owner(found):
        return "took over what could not be priced"
    return "let go of a price that was stuck"


def _message(work: UnitOfWork, step: Step) -> Stuck:
    delivery = work.chats.delivery(step.subject_id)
    chat = delivery.channel, delivery.chat_id
    to_owner = work.owner_chats.has(*chat)
    leads = () if to_owner else work.leads.of_chat(*chat)
    return Stuck(step=step, delivery=delivery, to_owner=to_owner, lead=next(iter(leads), None))


def _of_lanes(work: UnitOfWork, lanes: list[str]) -> list[Stuck]:
    return [concerning(work, step) for step in work.outbox.troubled(limit=_MOST, lanes=lanes)]
