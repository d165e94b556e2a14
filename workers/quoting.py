"""The job that turns a lead into a quote."""

import logging

from service.contract import tracing
from service.contract.client import ServiceClient, ServiceRefused, ServiceUnavailable
from workers.steps import NOT_OURS, StepFailed

_log = logging.getLogger(__name__)


async def quote_lead(service: ServiceClient, step_id: str) -> None:
    """Have the lead that a step is about quoted, or end quietly where it is not ours to do.

    The service takes the step's lease, estimates, and finishes the step in one call: all that is
    needed is there. Raises StepFailed where it is owed still.
    """
    try:
        quoted = await service.quote(step_id)
    except ServiceRefused as refusal:
        if refusal.problem.status in NOT_OURS:
            return
        raise StepFailed(f"refused with status {refusal.problem.status}") from None
    except ServiceUnavailable:
        raise StepFailed("the service does not answer") from None
    tracing.note(step_id=step_id, lead_id=quoted.lead_id)
    _log.info("step %s: quote, attempt %d", step_id, quoted.attempt)
