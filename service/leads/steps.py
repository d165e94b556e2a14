"""Steps of work that are owed, and the leases under which workers take them.

The queue is only a hint: what is owed stands in SQL. A worker takes a step under a lease
that runs out by itself and carries a fencing number; whoever comes back with an older
number is refused, so a second copy of a job changes nothing.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

# A worker renews it while it works (`workers.queues.RENEW_LEASE_EVERY_S`): long enough to miss two
# renewals, short enough that a killed or stopped worker's step is taken again within ten seconds.
LEASE = timedelta(seconds=4)

# The clocks of two machines may differ by so much. What lies further ahead than that explains was
# put there before a clock was set back.
SKEW = timedelta(seconds=2)

# A due step that is in no queue is handed over again after this: until then a worker may be just
# between taking its job and asking for the lease.
GRACE = timedelta(seconds=1)

# What the outside did not answer may have happened all the same: few tries, far apart.
UNCLEAR_PAUSES = tuple(timedelta(seconds=s) for s in (60, 300))

# So often a step may have reached the outside without our knowing; then the owner decides.
MOST_DOUBTS = len(UNCLEAR_PAUSES) + 1

PAUSES = tuple(timedelta(seconds=s) for s in (1, 4, 15, 60, 300, 900, 1800))
MAX_ATTEMPTS = len(PAUSES) + 1

# A channel that asks for patience gets no more than this at a time.
LONGEST_PAUSE = timedelta(days=1)


HELD_BACK = "restored from a backup: it may have been sent since then"
"""Why a delivery that a backup still owed waits for the owner."""


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
    so that a chat's messages arrive in the order in which they were written. `maybe_done` while an
    attempt may be reaching the outside. `doubts` counts the attempts that may have reached it and
    whose outcome nobody knows, the first since `doubtful_since`: such a step is unclear until it is
    done, and stays countable as one that may have happened more than once. `traceparent` is the
    trace (W3C Trace Context) of the call that made it owed.
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
    doubts: int = 0
    doubtful_since: datetime | None = None
    traceparent: str | None = None

    @property
    def unclear(self) -> bool:
        """Whether an earlier attempt may have reached the outside."""
        return self.doubts > 0 or self.maybe_done

    def is_leased(self, now: datetime) -> bool:
        """Whether somebody has it. No lease reaches further ahead than one that begins now."""
        return self.lease_until is not None and now < self.lease_until <= now + LEASE + SKEW

    def was_due(self, now: datetime) -> bool:
        """Whether it has been due already, though its time is to come by a clock that was set back.

        So is what was taken and never given back, what is to be done as soon as it is owed, and
        what was given back for longer than anybody may ask for.
        """
        if self.fence == 0:
            return self.kind is not StepKind.REMIND
        return self.lease_until is not None or self.due_at > now + LONGEST_PAUSE + SKEW


@dataclass(frozen=True, kw_only=True, slots=True)
class Owed:
    """How many steps of a kind are in a state, and for how long the oldest has been due."""

    kind: StepKind
    state: StepState
    count: int
    oldest_s: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Doubtful:
    """Steps that may have reached the outside without our knowing.

    `owed` will be tried again, `given_up` are the owner's, `settled` were confirmed later and may
    have happened twice, or were put away by the owner. `oldest_s` is the age of the oldest doubt
    about one that is not done.
    """

    owed: int
    given_up: int
    settled: int
    oldest_s: float


def pause_after(attempts: int) -> timedelta | None:
    """How long to wait after the given number of failed attempts; None when it is enough."""
    return PAUSES[attempts - 1] if attempts <= len(PAUSES) else None


def pause_in_doubt(doubts: int) -> timedelta | None:
    """How long to wait where the outside has left so many attempts open; None when it is enough."""
    return UNCLEAR_PAUSES[doubts - 1] if doubts < MOST_DOUBTS else None
