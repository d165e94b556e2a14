"""The job that turns a lead into a quote."""

from service.contract.client import ServiceClient, ServiceRefused
from service.contract.estimate import Problem
from service.contract.leads import Lead, Lease, QuoteRequest, ReviewRequest
from workers.steps import Attempt, take


async def quote_lead(service: ServiceClient, step_id: str) -> None:
    """Estimate the lead that a step is about and hand the estimate in under the step's lease."""

    async def work(attempt: Attempt) -> None:
        lease = attempt.lease
        lead = await service.lead(lease.subject_id)
        try:
            estimate = await service.estimate(lead.brief)
        except ServiceRefused as refusal:
            if refusal.problem.status != 422:
                raise
            await _ask_owner(service, lease, lead, refusal.problem)
            return
        request = QuoteRequest(step_id=lease.step_id, fence=lease.fence, estimate=estimate)
        await service.quote(lead.lead_id, request)

    await take(service, step_id, work)


async def _ask_owner(service: ServiceClient, lease: Lease, lead: Lead, problem: Problem) -> None:
    reasons = _reasons(problem)
    request = ReviewRequest(step_id=lease.step_id, fence=lease.fence, reasons=reasons)
    await service.review(lead.lead_id, request)


def _reasons(problem: Problem) -> list[str]:
    if problem.errors:
        return [f"{error.field}: {error.detail}" for error in problem.errors[:20]]
    return [problem.detail or problem.title]
