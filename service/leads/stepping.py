"""Taking, finishing and failing owed steps, and handing them to the queue again."""

from dataclasses import replace
from datetime import datetime, timedelta

from service.leads.ports import UnitOfWork
from service.leads.steps import (
    LEASE,
    MAX_ATTEMPTS,
    Step,
    StepRefused,
    StepState,
    pause_after,
)

# RQ's own retry and the ledger's due time are set moments apart; the earlier one may come first.
_EARLY = timedelta(milliseconds=500)


def lease(work: UnitOfWork, step_id: str, now: datetime) -> Step:
    """Take a step until its lease runs out.

    `maybe_done` of the returned step tells of an earlier attempt that was cut off after it
    may have reached the outside. Raises StepRefused.
    """
    step = work.outbox.get(step_id, lock=True)
    if step.state is not StepState.OWED:
        raise StepRefused(f"this step is {step.state}")
    if step.lease_until is not None and step.lease_until > now:
        raise StepRefused("another worker has this step")
    if step.due_at - _EARLY > now:
        raise StepRefused("this step is not due yet")
    first = work.outbox.first_owed(step.lane)
    if first is not None and first.id != step.id:
        raise StepRefused("an earlier step has to go first")
    taken = replace(step, fence=step.fence + 1, attempts=step.attempts + 1, lease_until=now + LEASE)
    work.outbox.save(taken)
    return taken


def bury_if_spent(work: UnitOfWork, step_id: str, now: datetime) -> bool:
    """Give a step up that has been tried too often without an answer; True when it was."""
    step = work.outbox.get(step_id, lock=True)
    if step.state is not StepState.OWED or step.attempts < MAX_ATTEMPTS:
        return False
    if step.lease_until is not None and step.lease_until > now:
        return False  # its last attempt is still at work
    _close(work, replace(step, state=StepState.DEAD, last_error=step.last_error or "cut off"))
    return True


def sending(work: UnitOfWork, step_id: str, fence: int, now: datetime) -> None:
    """From here on the step may have reached the outside, whatever happens to the worker.

    Renews the lease: a channel may be slow, and the worker says so again while it waits.
    """
    step = held(work, step_id, fence)
    if step.state is StepState.OWED:
        work.outbox.save(replace(step, maybe_done=True, lease_until=now + LEASE))


def held(work: UnitOfWork, step_id: str, fence: int) -> Step:
    """The step, locked, if `fence` is its newest. Raises StepRefused otherwise."""
    step = work.outbox.get(step_id, lock=True)
    if step.fence != fence:
        raise StepRefused("the lease has passed to another worker")
    if step.state is StepState.DEAD:
        raise StepRefused("this step was given up")
    return step


def finish(work: UnitOfWork, step: Step) -> None:
    """The step's effect is confirmed."""
    _close(work, replace(step, state=StepState.DONE, last_error=None))


def fail(
    work: UnitOfWork,
    step_id: str,
    fence: int,
    *,
    error: str,
    retry: bool,
    unclear: bool = False,
    retry_after: timedelta | None,
    attempted: bool = True,
    now: datetime,
) -> None:
    """Give the step back: to be tried again after a growing pause, or up.

    `unclear` when the outside did not answer: then it may have happened, and stays so. Not
    `attempted` when the outside only asked to wait: a busy chat is not given up for that.
    """
    step = held(work, step_id, fence)
    if step.state is StepState.DONE:
        return
    if not attempted and retry_after is not None:
        put_off = replace(step, attempts=step.attempts - 1, last_error=error, maybe_done=False)
        work.outbox.save(replace(put_off, due_at=now + retry_after, lease_until=None))
        return
    pause = pause_after(step.attempts, unclear=unclear) if retry else None
    failed = replace(step, last_error=error, maybe_done=unclear)
    if pause is None:
        _close(work, replace(failed, state=StepState.DEAD))
        return
    due_at = now + max(pause, retry_after or timedelta(0))
    work.outbox.save(replace(failed, due_at=due_at, lease_until=None))


def revive(work: UnitOfWork, step_id: str, now: datetime) -> None:
    """The owner has a given-up step tried again from the beginning. Raises StepRefused."""
    step = work.outbox.get(step_id, lock=True)
    if step.state is not StepState.DEAD:
        raise StepRefused(f"this step is {step.state}, not given up")
    owed = replace(step, state=StepState.OWED, attempts=0, due_at=now, lease_until=None)
    work.outbox.save(owed)
    work.outbox.hand_over(owed)


def sweep(work: UnitOfWork, now: datetime, *, limit: int = 500) -> int:
    """Hand every owed step that is due and under no lease to the queue again."""
    steps = work.outbox.due(now, limit=limit)
    for step in steps:
        work.outbox.hand_over(step)
    return len(steps)


def _close(work: UnitOfWork, step: Step) -> None:
    work.outbox.save(replace(step, lease_until=None))
    following = work.outbox.first_owed(step.lane)
    if following is not None:
        work.outbox.hand_over(following)
