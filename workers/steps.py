"""Taking a step of the ledger: leased, done once, given back when it fails."""

import asyncio
import contextlib
import logging
from collections.abc import Awaitable, Callable

from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from service.contract.leads import Lease, StepFailure
from workers.queues import JOB_LIMIT_S

_log = logging.getLogger(__name__)

# 409: done, dead, held by another worker, or not its turn. 404: erased with its lead.
_NOT_OURS = (404, 409)


class StepFailed(Exception):
    """The step was given back to the service; raised so that RQ's Retry runs the job again.

    Names the kind of trouble only: a message could carry what a client wrote into the log.
    """


async def take(
    service: ServiceClient, step_id: str, work: Callable[[Lease], Awaitable[None]]
) -> None:
    """Run `work` under the lease of a step, or return quietly when it is not ours to do.

    Raises StepFailed once the service knows that the step is owed again.
    """
    try:
        lease = await service.lease(step_id)
    except ServiceRefused as refusal:
        if refusal.problem.status in _NOT_OURS:
            return
        raise StepFailed(f"lease refused with status {refusal.problem.status}") from None
    except ServiceUnavailable:
        raise StepFailed("the service does not answer") from None
    try:
        async with asyncio.timeout(JOB_LIMIT_S):
            await work(lease)
        _log.info("step %s: %s, attempt %d", step_id, lease.kind, lease.attempt)
    except ServiceRefused as refusal:
        if refusal.problem.status == 409:
            _log.info("step %s: another worker has it, fence %d is old", step_id, lease.fence)
            return
        await _give_back(service, lease, f"refused with status {refusal.problem.status}")
    except Exception as error:
        await _give_back(service, lease, type(error).__name__)


async def _give_back(service: ServiceClient, lease: Lease, trouble: str) -> None:
    failure = StepFailure(fence=lease.fence, error=trouble, retry=True)
    # When even this cannot be said, the lease runs out and the sweep finds the step.
    with contextlib.suppress(ServiceRefused, ServiceUnavailable):
        await service.step_failed(lease.step_id, failure)
    raise StepFailed(trouble) from None
