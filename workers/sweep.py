"""The job that makes the service hand every owed step to the queue again."""

import logging

from service.contract.client import ServiceClient, ServiceUnavailable

_log = logging.getLogger(__name__)


async def sweep(service: ServiceClient) -> None:
    """Sweep the outbox once. A failed sweep is not retried: the next one is seconds away."""
    try:
        swept = await service.sweep()
    except ServiceUnavailable:
        _log.warning("no sweep: the service does not answer")
        return
    if swept.queued:
        _log.info("%d owed steps queued again", swept.queued)
