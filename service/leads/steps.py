"""Steps of work that are owed, and the leases under which workers take them.

The queue is only a hint: what is owed stands in SQL. A worker takes a step under a lease
that runs out by itself and carries a fencing number; whoever comes back with an older
number is refused, so a second copy of a job changes nothing.
"""

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

# Longer than a job's calls can take together, short enough that a killed worker's step is
# taken again within ten seconds or so.
LEASE = timedelta(seconds=8)

# How long the queue may take to bring a step to a worker before the sweep hands it over again.
PATIENCE = timedelta(seconds=4)

# What the outside did not answer may have happened all the same: few tries, far apart.
UNCLEAR_PAUSES = tuple(timedelta(seconds=s) for s in (60, 300))

PAUSES = tuple(timedelta(seconds=s) for s in (1, 4, 15, 60, 300, 900, 1800))
MAX_ATTEMPTS = len(PAUSES) + 1


class StepKind(StrEnum):
    """What a step does: quote a lead, deliver a message through a push channel, remind, or do a
    part of a long work."""

    QUOTE = "quote"
    DELIVER = "deliver"
    REMIND = "remind"
    CHORE = "chore"


class StepState(StrEnum):
    """Owed until its effect is confirmed; dead when only the owner can help."""

    OWED = "owed"
    DONE = "done"
    DEAD = "dead"


class StepRefused(Exception):
    """The step cannot be taken or finished by whoever asks; `reason` says why."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One owed piece of work.

    `lane` orders steps: of those that share a lane only the oldest owed one may be taken,
    so that a chat's messages arrive in the order in which they were written.
    """

    id: str
    kind: StepKind
    subject_id: str
    lane: str
    position: int
    state: StepState
    attempts: int
    fence: int
    due_at: datetime
    lease_until: datetime | None = None
    maybe_done: bool = False
    last_error: str | None = None


def pause_after(attempts: int, *, unclear: bool = False) -> timedelta | None:
    """How long to wait after the given number of failed attempts; None when it is enough."""
    pauses = UNCLEAR_PAUSES if unclear else PAUSES
    return pauses[attempts - 1] if attempts <= len(pauses) else None


def handing(step: Step, now: datetime) -> int:
    """How many times the step should have been handed to the queue by now.

    The queue refuses a job that it knows. A job whose worker died before it could take the
    lease is known yet never runs, so a step that stays due gets a new name after 4, 8, 16 …
    seconds: soon enough to recover, and only a handful of names however long workers are down.
    """
    waited = (now - step.due_at) / PATIENCE
    return 0 if waited < 1 else int(math.log2(waited)) + 1
