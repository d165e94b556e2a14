"""Taking a step of the ledger: leased, done once, given back when it fails."""

import asyncio
import contextlib
import logging
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass

from service.contract import tracing
from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.leads import Lease, StepDone, StepFailure
from workers.queues import JOB_LIMIT_S, RENEW_LEASE_EVERY_S

_log = logging.getLogger(__name__)

# 409: done, dead, held by another worker, or not its turn. 404: erased with its lead.
NOT_OURS = (404, 409)


# What a step of each kind is about, as log lines call it.
_SUBJECTS = {
    "deliver": "message_id",
    "remind": "reminder_id",
    "chore": "part_id",
}


class StepFailed(Exception):
    """The step was given back to the service, or will be when its lease runs out; the service
    queues it again. Raised so that RQ counts the job as failed.

    Names the kind of trouble only: a message could carry what a client wrote into the log.
    """


@dataclass
class Attempt:
    """One attempt at a step. While `unclear`, trouble leaves open whether the step happened."""

    lease: Lease
    unclear: bool = False


async def take(
    service: ServiceClient, step_id: str, work: Callable[[Attempt], Awaitable[None]]
) -> None:
    """Run `work` under the lease of a step, or return quietly when it is not ours to do.

    Raises StepFailed once the service knows that the step is owed again; `work` may do so too.
    """
    try:
        lease = await service.lease(step_id)
    except ServiceRefused as refusal:
        if refusal.problem.status in NOT_OURS:
            return
        raise StepFailed(f"lease refused with status {refusal.problem.status}") from None
    except ServiceUnavailable:
        raise StepFailed("the service does not answer") from None
    tracing.note(step_id=lease.step_id, **{_SUBJECTS[lease.kind]: lease.subject_id})
    await _attempt(service, Attempt(lease), work)


async def _attempt(
    service: ServiceClient, attempt: Attempt, work: Callable[[Attempt], Awaitable[None]]
) -> None:
    lease = attempt.lease
    try:
        async with asyncio.timeout(JOB_LIMIT_S), _kept(service, lease):
            await work(attempt)
        _log.info("step %s: %s, attempt %d", lease.step_id, lease.kind, lease.attempt)
    except StepFailed:
        raise
    except ServiceRefused as refusal:
        if refusal.problem.status == 409:
            _log.info("step %s: fence %d is old, another has it", lease.step_id, lease.fence)
            return
        await _give_back(service, attempt, f"refused with status {refusal.problem.status}")
    except Exception as error:
        await _give_back(service, attempt, type(error).__name__)


@contextlib.asynccontextmanager
async def _kept(service: ServiceClient, lease: Lease) -> AsyncIterator[None]:
    """Renew the lease meanwhile. A step that has been given back is renewed no more, by the
    service's word: a renewal that is still under way at the end does no harm."""
    renewing = asyncio.create_task(_renew(service, lease))
    try:
        yield
    finally:
        renewing.cancel()
        await asyncio.wait([renewing])


async def _renew(service: ServiceClient, lease: Lease) -> None:
    # A lease that was lost shows when the outcome is reported: what is under way goes on.
    while True:
        await asyncio.sleep(RENEW_LEASE_EVERY_S)
        with contextlib.suppress(ServiceRefused, ServiceUnavailable):
            await service.renew(lease.step_id, StepDone(fence=lease.fence))


async def _give_back(service: ServiceClient, attempt: Attempt, trouble: str) -> None:
    lease = attempt.lease
    failure = StepFailure(fence=lease.fence, error=trouble, retry=True, unclear=attempt.unclear)
    # When even this cannot be said, the lease runs out and the sweep finds the step.
    with contextlib.suppress(ServiceRefused, ServiceUnavailable):
        await service.step_failed(lease.step_id, failure)
    raise StepFailed(trouble) from None
