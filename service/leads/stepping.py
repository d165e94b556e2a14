"""Taking, finishing and failing owed steps, and handing them to the queue again."""

from dataclasses import replace
from datetime import datetime, timedelta

from service.leads.ports import Ports, UnitOfWork
from service.leads.steps import (
    GRACE,
    LEASE,
    MAX_ATTEMPTS,
    MOST_DOUBTS,
    Step,
    StepRefused,
    StepState,
    pause_after,
    pause_in_doubt,
)

# RQ's scheduler and the ledger's due time are moments apart; the earlier one may come first.
_EARLY = timedelta(milliseconds=500)

_CUT_OFF = "cut off"

_TRIED_SINCE = "this step was tried again in the meantime"

TOO_OFTEN = "this step was tried too often and is now the owner's to look at"


def lease(work: UnitOfWork, step_id: str, now: datetime) -> Step:
    """Take a step until its lease runs out; or give it up where it was tried too often.

    `unclear` of the returned step tells of an earlier attempt that may have reached the outside; a
    step that was given up comes back as `dead`. Raises StepRefused.
    """
    step = work.outbox.get(step_id, lock=True)
    if step.state is not StepState.OWED:
        raise StepRefused(f"this step is {step.state}")
    if step.is_leased(now):
        raise StepRefused("another worker has this step")
    if step.maybe_done:  # whoever had it never said what became of it
        step = _doubted(step, since=now)
    if step.attempts >= MAX_ATTEMPTS or step.doubts >= MOST_DOUBTS:
        return _close(work, replace(_given_up(step), last_error=step.last_error or _CUT_OFF))
    if step.due_at - _EARLY > now and not step.was_due(now):
        raise StepRefused("this step is not due yet")
    if not work.outbox.is_next(step):
        raise StepRefused("an earlier step has to go first")
    taken = replace(step, fence=step.fence + 1, attempts=step.attempts + 1, lease_until=now + LEASE)
    work.outbox.save(taken)
    return taken


def renew(work: UnitOfWork, step_id: str, fence: int, now: datetime) -> None:
    """Whoever has the step is still at work on it. Raises StepRefused for anybody else."""
    if not work.outbox.extend(step_id, fence, until=now + LEASE):
        raise StepRefused("the lease has passed on, or the step was given back")


def sending(work: UnitOfWork, step_id: str, fence: int, now: datetime) -> None:
    """From here on the step may have reached the outside, whatever happens to the worker."""
    step = held(work, step_id, fence)
    if step.state is StepState.DONE:
        return
    if step.lease_until is None:
        raise StepRefused("this step was given back")
    work.outbox.save(replace(step, maybe_done=True, lease_until=now + LEASE))


def held(work: UnitOfWork, step_id: str, fence: int) -> Step:
    """The step, locked, if `fence` is its newest. Raises StepRefused otherwise."""
    step = _of_fence(work, step_id, fence)
    if step.state is StepState.DEAD:
        raise StepRefused("this step was given up")
    return step


def _of_fence(work: UnitOfWork, step_id: str, fence: int) -> Step:
    step = work.outbox.get(step_id, lock=True)
    if step.fence != fence:
        raise StepRefused("the lease has passed to another worker")
    return step


def finish(work: UnitOfWork, step: Step) -> None:
    """The step's effect is confirmed. A doubt stays on record: it may have happened twice."""
    _close(work, replace(step, state=StepState.DONE, last_error=None, maybe_done=False))


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

    Said again of the same attempt, as when the answer was lost, it changes nothing.
    `unclear` when the outside did not answer: then it may have happened, and stays so. Not
    `attempted` when the outside only asked to wait: a busy chat is not given up for that.
    """
    step = _of_fence(work, step_id, fence)
    if step.lease_until is None:  # done, or given back already
        return
    step = replace(step, last_error=error, maybe_done=False)
    if not attempted and retry_after is not None:
        _put_off(work, replace(step, attempts=step.attempts - 1), now + retry_after)
        return
    if unclear:
        step = _doubted(step, since=now)
    pause = _pause(step, unclear=unclear) if retry else None
    if pause is None:
        _close(work, _given_up(step))
    else:
        _put_off(work, step, now + max(pause, retry_after or timedelta(0)))


def revive(work: UnitOfWork, step_id: str, now: datetime, *, seen: int | None = None) -> None:
    """The owner has a given-up step tried again from the beginning. Raises StepRefused.

    `seen` is the fence that the owner was looking at, where that is known: after another attempt
    the press was for something else. Whoever had the step before is late from now on.
    """
    step = work.outbox.get(step_id, lock=True)
    if seen is not None and step.fence != seen:
        raise StepRefused(_TRIED_SINCE)
    if step.state is not StepState.DEAD:
        raise StepRefused(f"this step is {step.state}, not given up")
    anew = replace(step, state=StepState.OWED, fence=step.fence + 1, attempts=0, doubts=0)
    _put_off(work, replace(anew, doubtful_since=None), now)


def put_away(work: UnitOfWork, step_id: str, now: datetime, *, seen: int) -> None:
    """The owner has decided that a step which was given up, or is in doubt, needs nothing more.

    A doubt stays on record. Raises StepRefused where it is neither, where a worker has it, and
    where it was tried after the attempt `seen`.
    """
    step = work.outbox.get(step_id, lock=True)
    if step.fence != seen:
        raise StepRefused(_TRIED_SINCE)
    if step.is_leased(now):
        raise StepRefused("a worker has this step just now")
    if step.state is StepState.DONE or not (step.state is StepState.DEAD or step.unclear):
        raise StepRefused(f"this step is {step.state}, not given up and not in doubt")
    _close(work, replace(step, state=StepState.DONE, maybe_done=False))


def sweep(ports: Ports) -> int:
    """Bring every step that nobody works on, and that the queue has lost, to the queue again.

    It writes nothing, so that it waits for nobody who does; how many it found is returned.
    """
    now = ports.clock()
    with ports.read() as work:
        brought = ports.queue.bring_back(work.outbox.stranded(now - GRACE, now=now))
    ports.vitals.swept()
    return brought


def _doubted(step: Step, *, since: datetime) -> Step:
    first = step.doubtful_since or since
    return replace(step, doubts=step.doubts + 1, doubtful_since=first, maybe_done=False)


def _pause(step: Step, *, unclear: bool) -> timedelta | None:
    return pause_in_doubt(step.doubts) if unclear else pause_after(step.attempts)


def _put_off(work: UnitOfWork, step: Step, due_at: datetime) -> None:
    later = replace(step, due_at=due_at, lease_until=None)
    work.outbox.save(later)
    work.outbox.hand_over(later)


def _given_up(step: Step) -> Step:
    return replace(step, state=StepState.DEAD)


def _close(work: UnitOfWork, step: Step) -> Step:
    closed = replace(step, lease_until=None)
    work.outbox.save(closed)
    following = work.outbox.first_owed(step.lane)
    if following is not None:
        work.outbox.hand_over(following)
    return closed
