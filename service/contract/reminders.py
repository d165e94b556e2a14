"""The wire form of reminders: what the shop will write unasked, and what became of it."""

from datetime import datetime
from typing import Literal

from pydantic import Field, StrictBool

from service.contract.brief import Wire
from service.contract.figure import Whole

ReminderKind = Literal["nudge", "hold", "owners_hold", "balance", "day_before", "thanks"]
ReminderState = Literal["owed", "sent", "dropped", "skipped"]


class DueReminder(Wire):
    """A worker's step that has fallen due, under the lease it was taken with."""

    step_id: str
    fence: Whole


class ReminderOutcome(Wire):
    """What became of a reminder that fell due; `due_at` where it was put off."""

    state: ReminderState
    due_at: datetime | None


class Reminder(Wire):
    """A message that falls due, or what became of it. `text` is what was written."""

    reminder_id: str
    lead_id: str
    kind: ReminderKind
    due_at: datetime
    state: ReminderState
    closed_at: datetime | None
    text: str | None = None


class Reminders(Wire):
    """What is to come, the next first, and what was sent or left out, the latest first."""

    owed: list[Reminder]
    closed: list[Reminder]


class Stop(Wire):
    """Whether a request's client wants nothing unasked."""

    stopped: StrictBool = Field(description="False: the client wants to be reminded again.")
